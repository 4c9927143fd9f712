package plots

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// metersPerFoot is exact (NIST SP 811).
const metersPerFoot = 0.3048

// formatLength prints meters in the unit of a picture, without the unit.
func formatLength(meters float64, feet bool) string {
	return formatPlain(math.Round(meters/lengthScale(feet)*100)/100 + 0)
}

// formatPlain prints a number with the decimals that it has.
func formatPlain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// lengthScale is the unit of a picture's lengths in meters, and lengthUnit its symbol.
func lengthScale(feet bool) float64 { return either(feet, metersPerFoot, 1) }
func lengthUnit(feet bool) string   { return either(feet, "ft", "m") }

// formatStops prints a size in stops to a hundredth.
func formatStops(stops float64) string {
	text := strconv.FormatFloat(math.Abs(stops), 'f', 2, 64)
	return either(math.Abs(stops) > 1.001, text+" stops", text+" stop")
}

// either is one of two values.
func either[T any](first bool, one, other T) T {
	if first {
		return one
	}
	return other
}

var verdictWords = map[string]string{uncertainty.Pass: "Within tolerance", uncertainty.Fail: "Out of tolerance", uncertainty.Unsure: "Not settled"}

// mapTitle is the heading of a map: what it shows, of which day, and whether that was
// read or computed.
func (c *mapValues) mapTitle() string { return c.titled(kinds[c.kind].title) }

// titled is a heading of what a picture shows of the surface.
func (c *mapValues) titled(what string) string {
	state := "as read"
	switch d := c.result.Drift; {
	case c.isDifference():
		state = ""
	case c.survey.Predicted:
		state = "computed"
	case c.kind == Level && d != nil && d.Corrected:
		state = "as read, drift taken out"
	}
	return headingOf(cmp.Or(c.result.Title, c.survey.Title, "Surface"), what, c.survey.Date, state)
}

// headingOf is the heading of a picture: whose it is, what it shows, of which day, and
// whether that was read or computed. Parts that are not known are empty.
func headingOf(parts ...string) string {
	var known []string
	for _, part := range parts {
		if part = cleanText(part); part != "" {
			known = append(known, part)
		}
	}
	return strings.Join(known, ", ")
}

// describeShare says how much of the part in shot is within the tolerance: 64 % of the
// shot within 0.50 stop.
func (c *mapValues) describeShare(s Scale) string {
	where, e := either(c.result.Area != nil, "shot ", "surface "), c.result.Decisive()
	if c.kind != Level || c.isDifference() || !(e.WithinPercent > 0) {
		return s.describeWindow()
	}
	return fmt.Sprintf("%.0f %% of the %s", e.WithinPercent, where) + s.describeWindow()
}

// describeVerdict gives the verdict with the figures it is based on.
func (c *mapValues) describeVerdict() string {
	if c.kind == Level {
		return judged(c.result.Verdict.Evenness, c.describeSpread())
	}
	return judged(c.describeShift())
}

// judged is a text behind the word for a verdict, if there is one.
func judged(verdict, text string) string {
	if word := verdictWords[verdict]; word != "" {
		return word + ": " + text
	}
	return capitalize(text)
}

// describeSpread gives the spread that decides the verdict, and its tolerance.
func (c *mapValues) describeSpread() string {
	r := c.result
	e, where := r.Decisive(), either(r.Area != nil, " in the part in shot", "")
	if !(e.Min > 0) {
		return "a level is zero" + where + ", so the spread has no figure"
	}
	if r.Limits.EachSide {
		above, below, from := e.AboveMeanStops, e.BelowMeanStops, "the mean"
		if e.AboveRefStops != nil && e.BelowRefStops != nil {
			above, below, from = *e.AboveRefStops, *e.BelowRefStops, "the reference"
		}
		return fmt.Sprintf("+%.2f and \u2212%.2f stop from %s%s, tolerance ±%s",
			math.Abs(above), math.Abs(below), from, where, formatStops(r.Limits.Stops))
	}
	text := "spread " + formatStops(e.SpreadStops) + where
	if e.SpreadInterval != nil && !c.survey.Predicted { // a prediction has no scatter
		text += fmt.Sprintf(" (95 %% CI %.2f–%.2f)", e.SpreadInterval[0], e.SpreadInterval[1])
	}
	if r.Limits.Stops > 0 {
		text += ", tolerance " + formatStops(r.Limits.Stops)
	}
	if with, ok := r.WithSuspects(); ok {
		text += fmt.Sprintf("; without suspects, with them %.2f", with)
	}
	return text
}

// describeShift gives the largest shift of color, and its tolerance.
func (c *mapValues) describeShift() (verdict, text string) {
	verdict, limit, decimals := c.result.Color.VerdictMired, c.result.Limits.Mired, 0
	what, unit := "shift", " mired"
	if c.kind == Duv {
		verdict, limit, decimals = c.result.Color.VerdictDuv, c.result.Limits.Duv, 4
		what, unit = "ΔDuv", ""
	}
	high, low := c.extremes()
	text = fmt.Sprintf("%s from %s to %s%s", what, formatSigned(c.values[low], decimals), formatSigned(c.values[high], decimals), unit)
	if c.survey.Area != nil && c.inShot(high) {
		text += " in the part in shot"
	}
	if limit > 0 {
		text += ", tolerance " + formatPlain(limit) + unit
	}
	return verdict, text
}

// extremes are the points with the highest and lowest value of the part in shot, or of
// all where none is in it, suspects left out; of equal levels, the points that the
// result names.
func (c *mapValues) extremes() (high, low int) {
	if c.kind == Level && !c.isDifference() {
		e := c.result.Decisive()
		if high, low = c.pointAt(e.Brightest), c.pointAt(e.Darkest); high >= 0 && low >= 0 && !c.isExcluded(high) && !c.isExcluded(low) {
			return high, low
		}
	}
	if high, low = c.extremesOf(func(i int) bool { return c.inShot(i) && !c.isExcluded(i) }); high >= 0 {
		return high, low
	}
	return c.extremesOf(func(int) bool { return true })
}

// extremeNames are what the highest and the lowest value are called.
func (c *mapValues) extremeNames() (high, low string) {
	if c.isDifference() { // which may be a loss everywhere
		return "highest", "lowest"
	}
	return kinds[c.kind].high, kinds[c.kind].low
}

// extremesOf are the points with the highest and lowest value of some, -1 for none.
func (c *mapValues) extremesOf(some func(point int) bool) (high, low int) {
	high, low = -1, -1
	for i, v := range c.values {
		if v != v || !some(i) {
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

// inShot reports whether point i is in shot; the verdict covers these points.
func (c *mapValues) inShot(i int) bool {
	a := c.survey.Area
	return a == nil || a.Contains(c.survey.X[i], c.survey.Y[i])
}

// pointAt is the index of the point at a place of the result, -1 for none.
func (c *mapValues) pointAt(p evenness.Place) int {
	s := c.survey
	for i := range s.X {
		if s.X[i] == p.X && s.Y[i] == p.Y && c.values[i] == p.Level {
			return i
		}
	}
	return -1
}

// formatCount prints a count with thousands separators: 1,000,000.
func formatCount(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0 && text[i-1] != '-'; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// describeCounts gives the number of readings on a map and its size.
func (c *mapValues) describeCounts(feet bool) string {
	s := c.survey
	n, text := s.Len(), formatCount(s.Len())
	switch {
	case !s.Predicted && s.ReadingCount > n:
		text = formatCount(s.ReadingCount) + " readings at " + text + " points"
	case c.isDifference():
		text += " points, compared"
	case s.Predicted:
		text += " points, predicted"
	default:
		text += either(n == 1, " reading", " readings")
	}
	if s.Missing > 0 {
		text += ", " + formatCount(s.Missing) + either(c.isDifference(), " left out", " not read")
	}
	if e := s.Extent; e.Width() > 0 && e.Height() > 0 {
		text += fmt.Sprintf(", %s × %s %s", formatLength(e.Width(), feet), formatLength(e.Height(), feet), lengthUnit(feet))
	}
	return text
}

// pointName is a point's label, or its position in the picture's unit.
func (c *mapValues) pointName(i int, feet bool) string {
	return placeName(photometry.Point{Label: c.survey.LabelOf(i), X: c.survey.X[i], Y: c.survey.Y[i]}, feet)
}

func placeName(p photometry.Point, feet bool) string {
	if p.Label != "" {
		return shorten(p.Label, 24)
	}
	return formatPosition(p.X, p.Y, feet)
}

// describeLeftOut names the places that a difference leaves out.
func (c *mapValues) describeLeftOut(feet bool) string {
	var names []string
	for _, p := range c.result.LeftOut {
		names = append(names, placeName(p, feet))
	}
	return firstOf(names)
}

// firstOf are at most three of some names, and how many more there are.
func firstOf(names []string) string {
	text := strings.Join(names[:min(len(names), 3)], ", ")
	if n := len(names); n > 3 {
		text += fmt.Sprintf(" and %d more", n-3)
	}
	return text
}

// formatPosition prints a position: x 1.2 m, y 0.4 m.
func formatPosition(x, y float64, feet bool) string {
	unit := lengthUnit(feet)
	return fmt.Sprintf("x %s %s, y %s %s", formatLength(x, feet), unit, formatLength(y, feet), unit)
}

// describeRegion names the part of the surface that a point is in, as seen from
// the camera: upper left, center, lower right.
func describeRegion(b spatial.Box, x, y float64) string {
	if !(b.Width() > 0 && b.Height() > 0) {
		return ""
	}
	third := func(v float64, words [3]string) string { return words[max(0, min(int(v*3), 2))] }
	column := third((x-b.X0)/b.Width(), [3]string{"left", "middle", "right"})
	row := third((y-b.Y0)/b.Height(), [3]string{"lower", "middle", "upper"})
	return either(column == "middle" && row == "middle", "center", row+" "+column)
}
