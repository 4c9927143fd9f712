package plots

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// metersPerFoot is exact (NIST SP 811).
const metersPerFoot = 0.3048

// length prints meters in the unit of a picture, without the unit.
func length(meters float64, feet bool) string {
	if feet {
		meters /= metersPerFoot
	}
	return strconv.FormatFloat(math.Round(meters*100)/100+0, 'f', -1, 64)
}

// lengthUnit is the unit of a picture's lengths.
func lengthUnit(feet bool) string {
	if feet {
		return "ft"
	}
	return "m"
}

// stopsText prints a size in stops to a hundredth.
func stopsText(stops float64) string {
	text := strconv.FormatFloat(math.Abs(stops), 'f', 2, 64)
	if math.Abs(stops) > 1.001 {
		return text + " stops"
	}
	return text + " stop"
}

// verdictText is a verdict in words.
func verdictText(verdict string) string {
	switch verdict {
	case uncertainty.Pass:
		return "Within tolerance"
	case uncertainty.Fail:
		return "Out of tolerance"
	case uncertainty.Unsure:
		return "Not settled"
	}
	return ""
}

// title is the heading of a map.
func (c *column) title() string {
	text := c.result.Title
	if text == "" {
		text = c.survey.Title
	}
	if text = tidy(text); text == "" {
		text = "Surface"
	}
	switch c.kind {
	case Mired:
		return text + ": warm and cool"
	case Duv:
		return text + ": green and magenta"
	}
	return text
}

// headline is the verdict with what it rests on.
func (c *column) headline() string {
	verdict, text := "", ""
	switch c.kind {
	case Level:
		verdict, text = c.result.Verdict.Evenness, c.spread()
	default:
		verdict, text = c.shift()
	}
	if word := verdictText(verdict); word != "" {
		return word + ": " + text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// spread is the evenness that decides, against its tolerance.
func (c *column) spread() string {
	r := c.result
	e, where := &r.Evenness, ""
	if r.Area != nil {
		e, where = r.Area, " in the part in shot"
	}
	if !(e.Min > 0) {
		return "a level is zero" + where + ", so the spread has no figure"
	}
	if r.Limits.EachSide {
		above, below, from := e.AboveMeanStops, e.BelowMeanStops, "the mean"
		if e.AboveRefStops != nil && e.BelowRefStops != nil {
			above, below, from = *e.AboveRefStops, *e.BelowRefStops, "the reference"
		}
		return fmt.Sprintf("+%.2f and \u2212%.2f stop from %s%s, tolerance ±%s",
			math.Abs(above), math.Abs(below), from, where, stopsText(r.Limits.Stops))
	}
	text := "spread " + stopsText(e.SpreadStops) + where
	if e.SpreadInterval != nil && !c.survey.Predicted { // a prediction has no scatter
		text += fmt.Sprintf(" (95 %%: %.2f to %.2f)", e.SpreadInterval[0], e.SpreadInterval[1])
	}
	if r.Limits.Stops > 0 {
		text += ", tolerance " + stopsText(r.Limits.Stops)
	}
	if r.Without != nil {
		text += fmt.Sprintf("; without the readings in doubt %.2f", r.Without.SpreadStops)
	}
	return text
}

// shift is the largest shift of color, against its tolerance.
func (c *column) shift() (verdict, text string) {
	color, limits := c.result.Color, c.result.Limits
	where := ""
	from, to := math.Inf(1), math.Inf(-1)
	for i, v := range c.values {
		if v == v && (c.survey.Area == nil || c.survey.Area.Contains(c.survey.X[i], c.survey.Y[i])) {
			from, to = min(from, v), max(to, v)
		}
	}
	switch {
	case from > to:
		high, low := c.extremes()
		from, to = c.values[low], c.values[high]
	case c.survey.Area != nil:
		where = " in the part in shot"
	}
	if c.kind == Mired {
		text = fmt.Sprintf("shift from %s to %s mired%s", signed(from, 0), signed(to, 0), where)
		if limits.Mired > 0 {
			text += ", tolerance " + strconv.FormatFloat(limits.Mired, 'f', -1, 64) + " mired"
		}
		return color.VerdictMired, text
	}
	text = fmt.Sprintf("Duv shift from %s to %s%s", signed(from, 4), signed(to, 4), where)
	if limits.Duv > 0 {
		text += ", tolerance " + strconv.FormatFloat(limits.Duv, 'f', -1, 64)
	}
	return color.VerdictDuv, text
}

// extremes are the points with the highest and lowest value. Of equal levels
// they are the ones that the result names.
func (c *column) extremes() (high, low int) {
	high, low = -1, -1
	if c.kind == Level {
		e := &c.result.Evenness
		if c.result.Area != nil { // which decides, so its extremes are told
			e = c.result.Area
		}
		if high, low = c.pointAt(e.Brightest), c.pointAt(e.Darkest); high >= 0 && low >= 0 {
			return high, low
		}
		high, low = -1, -1
	}
	for i, v := range c.values {
		if v != v {
			continue
		}
		if high < 0 || v > c.values[high] {
			high = i
		}
		if low < 0 || v < c.values[low] {
			low = i
		}
	}
	return high, low
}

// pointAt is the point of a place of the result, -1 where there is none.
func (c *column) pointAt(p evenness.Place) int {
	s := c.survey
	for i := range s.X {
		if s.X[i] == p.X && s.Y[i] == p.Y && c.values[i] == p.Level {
			return i
		}
	}
	return -1
}

// extremeNames are the words for the highest and the lowest value.
func (k Kind) extremeNames() (high, low string) {
	switch k {
	case Mired:
		return "warmest", "coolest"
	case Duv:
		return "greenest", "most magenta"
	}
	return "brightest", "darkest"
}

// thousands prints a count with its thousands apart: 1,000,000.
func thousands(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0 && text[i-1] != '-'; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// counts says how many readings stand behind a map and how large it is.
func (c *column) counts(feet bool) string {
	s := c.survey
	n, what := s.Len(), "readings"
	switch {
	case c.result.Reference.Words != "":
		what = "points, compared"
	case s.Predicted:
		what = "points, predicted"
	}
	text := thousands(n) + " " + what
	if n == 1 {
		text = strings.Replace(text, "readings", "reading", 1)
	}
	if !s.Predicted && s.Readings > n {
		text = thousands(s.Readings) + " readings at " + thousands(n) + " points"
	}
	if s.Missing > 0 {
		text += ", " + thousands(s.Missing) + " not read"
	}
	if e := s.Extent; e.Width() > 0 && e.Height() > 0 {
		text += fmt.Sprintf(", %s × %s %s", length(e.Width(), feet), length(e.Height(), feet), lengthUnit(feet))
	}
	return text
}

// name is a point's label, or its position in the picture's unit.
func (c *column) name(i int, feet bool) string {
	if label := c.survey.LabelOf(i); label != "" {
		return shorten(label, 24)
	}
	return placeName(c.survey.X[i], c.survey.Y[i], feet)
}

// placeName is a position in words: x 1.2 m, y 0.4 m.
func placeName(x, y float64, feet bool) string {
	unit := lengthUnit(feet)
	return fmt.Sprintf("x %s %s, y %s %s", length(x, feet), unit, length(y, feet), unit)
}

// whereabouts names the part of the surface that a place lies in, seen from
// the camera: upper left, center, lower right.
func whereabouts(b spatial.Box, x, y float64) string {
	if !(b.Width() > 0 && b.Height() > 0) {
		return ""
	}
	third := func(v float64, words [3]string) string {
		return words[max(0, min(int(v*3), 2))]
	}
	column := third((x-b.X0)/b.Width(), [3]string{"left", "", "right"})
	row := third((y-b.Y0)/b.Height(), [3]string{"lower", "", "upper"})
	switch {
	case column == "" && row == "":
		return "center"
	case column == "":
		return row + " middle"
	case row == "":
		return "middle " + column
	}
	return row + " " + column
}
