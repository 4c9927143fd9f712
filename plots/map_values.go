package plots

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// mapValues is the value of each point on a map: its level, shown against the
// reference, or its shift of color. The survey's slices are used without copying.
type mapValues struct {
	survey    *survey.Survey
	result    *evenness.Result
	kind      Kind
	values    []float64 // levels in the SI unit, or shifts
	reference float64   // level at zero stops
	excluded  []int     // suspects left out of scale and field, ascending
}

// newMapValues takes the values of one kind of map from a result. It fails with
// ErrNoReadings or ErrNoColor.
func newMapValues(r *evenness.Result, kind Kind) (*mapValues, error) {
	s := r.Survey
	if s == nil || r == nil {
		panic("plots: no survey or no result")
	}
	if s.Len() == 0 {
		return nil, ErrNoReadings
	}
	c := &mapValues{survey: s, result: r, kind: kind, values: s.Level, reference: r.Reference.Level}
	if kind != Level {
		if r.Color == nil || r.Color.Shifts == nil {
			return nil, ErrNoColor
		}
		c.values = either(kind == Duv, r.Color.Shifts.Duv, r.Color.Shifts.Mired)
		if len(c.values) != s.Len() || !slices.ContainsFunc(c.values, finite) {
			return nil, ErrNoColor
		}
		return c, nil
	}
	if len(r.Levels) == s.Len() {
		c.values = r.Levels
	}
	c.excludeSuspects()
	if !(c.reference > 0) || math.IsInf(c.reference, 0) {
		// There is no usable reference, as in a prediction that is dark
		// everywhere: use the brightest reading.
		c.reference = slices.Max(c.values)
	}
	return c, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// excludeSuspects keeps likely data-entry errors from coloring their neighborhood.
// Where many readings are suspect, as after a whole table was typed in the wrong
// order, no field would be left without them, so all are kept.
func (c *mapValues) excludeSuspects() {
	for _, s := range c.singleSuspects() {
		c.excluded = append(c.excluded, s.Point)
	}
	slices.Sort(c.excluded)
	c.excluded = slices.Compact(c.excluded)
	if n := c.survey.Len(); 10*len(c.excluded) > max(n, 10) || n-len(c.excluded) < 3 {
		c.excluded = nil
	}
}

// isSingleReading reports whether a suspect is one reading rather than whole rows
// that may have been typed in the wrong order.
func (c *mapValues) isSingleReading(s survey.Suspect) bool {
	return s.Point >= 0 && s.Point < c.survey.Len() && !slices.Contains(s.Reasons, entry.SerpentineAsRows)
}

// singleSuspects are the suspects of a level map that are one reading each.
func (c *mapValues) singleSuspects() (out []survey.Suspect) {
	if c.kind == Level {
		for _, s := range c.result.Suspects {
			if c.isSingleReading(s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// isSuspect reports whether point i alone is a suspect.
func (c *mapValues) isSuspect(i int) bool {
	return c.kind == Level && slices.ContainsFunc(c.result.Suspects, func(s survey.Suspect) bool {
		return s.Point == i && c.isSingleReading(s)
	})
}

// isExcluded reports whether point i is excluded.
func (c *mapValues) isExcluded(i int) bool {
	if len(c.excluded) == 0 {
		return false // as a rule, and quickly of a million
	}
	_, found := slices.BinarySearch(c.excluded, i)
	return found
}

// inField reports whether point i is used for the field.
func (c *mapValues) inField(i int) bool { return !math.IsNaN(c.values[i]) && !c.isExcluded(i) }

// sized reports whether the size of the surface is known.
func (c *mapValues) sized() bool { return c.survey.Extent.Width() > 0 && c.survey.Extent.Height() > 0 }

// extent is the box of the surface and every reading.
func (c *mapValues) extent() spatial.Box {
	b, _ := spatial.BoxOf(c.survey.X, c.survey.Y)
	if c.sized() {
		b = b.Union(c.survey.Extent)
	}
	return b
}

// at is the value of point i on the scale, -Inf for a zero level; ok is false for a
// point without a value.
func (c *mapValues) at(i int) (value float64, ok bool) {
	v := c.values[i]
	if math.IsNaN(v) {
		return 0, false
	}
	return c.toScale(v), true
}

// toScale converts a value, or a mean of values, to the scale. Levels are averaged
// before the logarithm is taken, since light adds.
func (c *mapValues) toScale(v float64) float64 {
	switch {
	case c.kind != Level:
		return v
	case !(c.reference > 0) || !(v > 0):
		return math.Inf(-1)
	}
	return math.Log2(v / c.reference)
}

// scale parts the values into classes.
func (c *mapValues) scale() Scale {
	lo, hi := math.Inf(1), math.Inf(-1)
	dark := false
	for i, v := range c.values {
		switch {
		case !finite(v) || c.isExcluded(i):
		case c.kind == Level && !(v > 0):
			dark = true
		default:
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if lo > hi {
		lo = either(c.kind == Level, c.reference, 0)
		hi = lo
	}
	lo, hi = c.toScale(lo), c.toScale(hi)
	if math.IsInf(lo, -1) {
		lo, hi = 0, 0 // dark everywhere
	}
	low, high, centered := c.window()
	if dark || c.kind == Level && lo < hi-maxDepthStops {
		lo = min(max(lo, hi-maxDepthStops), low-shades*(high-low)/2)
	}
	s := newScale(c.kind, low, high, lo, hi)
	s.Centered = centered
	s.Zero = c.describeZero(photometry.NoUnit)
	s.reference, s.quantity = c.reference, c.survey.Quantity
	return s
}

// maxSorted is the most readings that are sorted to place the window; of more, evenly
// chosen ones are.
const maxSorted = 20000

// ToleranceWindow is the part of the scale of levels that maps show as within the
// tolerance, in stops from the result's reference; false where there is no such map.
func ToleranceWindow(r *evenness.Result) (low, high float64, ok bool) {
	c, err := newMapValues(r, Level)
	if err != nil {
		return 0, 0, false
	}
	low, high, _ = c.window()
	return low, high, true
}

// window is the part of the scale that is within the tolerance. Where that is on each
// side, and in a difference of two days, it lies about zero. Otherwise it is the window
// of the tolerance's width that holds most of the part in shot, by area; of several
// the one whose middle is nearest to the mean.
func (c *mapValues) window() (low, high float64, centered bool) {
	limits := c.result.Limits
	width := cmp.Or(limits.Stops, 0.5)
	half := 0.0
	switch {
	case c.kind == Mired:
		half = cmp.Or(limits.Mired, 10)
	case c.kind == Duv:
		half = cmp.Or(limits.Duv, 0.003)
	case limits.EachSide:
		half = width
	case c.isDifference():
		half = width / 2
	}
	if half > 0 {
		return -half, half, true
	}
	read, mean := c.shotLevels()
	most, middle, sum, end := -1.0, mean, 0.0, 0
	for i, first := range read {
		for end < len(read) && read[end].stops <= first.stops+width*(1+1e-9) {
			sum += read[end].area
			end++
		}
		at := max(read[end-1].stops-width/2, min(mean, first.stops+width/2))
		if hair := 1e-9 * sum; sum > most+hair || sum > most-hair && math.Abs(at-mean) < math.Abs(middle-mean) {
			most, middle = sum, at
		}
		if end == len(read) && i == 0 {
			break // all of it
		}
		sum -= first.area
	}
	return middle - width/2, middle + width/2, false
}

// areaLevel is a reading in stops with the area that it represents.
type areaLevel struct{ stops, area float64 }

// shotLevels are the readings of the part in shot, the darkest first, and their mean
// light in stops; all readings where none is in shot.
func (c *mapValues) shotLevels() (read []areaLevel, mean float64) {
	for _, counts := range []func(int) bool{c.inShot, func(int) bool { return true }} {
		every := 1 + len(c.values)/maxSorted
		light, whole := 0.0, 0.0
		for i := 0; i < len(c.values); i += every {
			area := 1.0
			if len(c.result.Weights) == len(c.values) {
				area = c.result.Weights[i]
			}
			if v := c.values[i]; v > 0 && area > 0 && c.inField(i) && counts(i) {
				read = append(read, areaLevel{c.toScale(v), area})
				light, whole = light+v*area, whole+area
			}
		}
		if len(read) > 0 {
			slices.SortFunc(read, func(a, b areaLevel) int { return cmp.Compare(a.stops, b.stops) })
			return read, c.toScale(light / whole)
		}
	}
	return nil, 0
}

// bounds are the places of a map of levels whose light was beyond what the meter can show.
func (c *mapValues) bounds() []survey.Bound {
	if c.kind != Level || c.isDifference() {
		return nil
	}
	return c.survey.Bounds
}

// describeBounds says of which places no more than a limit is known; empty without any.
func (c *mapValues) describeBounds(feet bool) string {
	var names []string
	for _, b := range c.bounds() {
		names = append(names, placeName(photometry.Point{Label: cleanText(b.Label), X: b.X, Y: b.Y}, feet)+either(b.Over, " over", " under"))
	}
	if len(names) == 0 {
		return ""
	}
	return "beyond the meter's range: " + firstOf(names)
}

// isDifference reports whether the values are those of one day less another's.
func (c *mapValues) isDifference() bool { return c.result.Reference.Words != "" }

// suspectNote says of an extreme that suspects are left out of it, where any are.
func (c *mapValues) suspectNote() string { return either(len(c.excluded) > 0, " without suspects", "") }

// hasLevels reports whether there are levels beside the stops.
func (c *mapValues) hasLevels() bool { return c.kind == Level && !c.isDifference() && c.reference > 0 }

// about is what stands before a level that was computed, not read.
func (c *mapValues) about() string { return either(c.survey.Predicted && !c.isDifference(), "≈", "") }

// describeZero describes the zero of the scale.
func (c *mapValues) describeZero(unit photometry.Unit) string {
	r := c.result
	if r.Reference.Words != "" {
		return r.Reference.Words
	}
	if c.kind != Level {
		return describeColorReference(r.Color.Reference, c.kind == Duv)
	}
	text := "the brightest"
	if r.Reference.Level > 0 {
		text = referenceName(r.Reference.Label, "the mean")
	}
	if c.reference > 0 {
		text += ", " + c.formatLevel(c.reference, unit)
	}
	return text
}

// referenceName is a reference by its label, or what it is without one.
func referenceName(label, without string) string {
	return either(label == "", without, "reference "+shorten(label, 16))
}

// describeColorReference describes the color at zero, with its Duv where that matters.
func describeColorReference(ref evenness.ColorPlace, withDuv bool) string {
	text := referenceName(ref.Label, "the mean color")
	if ref.CCT != nil && finite(*ref.CCT) {
		text += ", " + formatKelvin(*ref.CCT)
	}
	if withDuv && ref.Duv != nil && finite(*ref.Duv) {
		text += ", Duv " + formatSigned(*ref.Duv, 4)
	}
	return text
}

// formatLevel prints a level as it was read: flash as an f-number, a relative level
// as a multiple of its base.
func (c *mapValues) formatLevel(level float64, unit photometry.Unit) string {
	switch s := c.survey; {
	case c.isFlash(unit):
		return s.FormatLevel(level)
	case s.Over != "":
		return formatRounded(level, s.Quantity, unit) + " times " + s.Over
	}
	return photometry.FormatLevel(photometry.Level{Value: level, Quantity: c.survey.Quantity}, unit)
}

// formatEdge prints a level that was not read, with three digits.
func (c *mapValues) formatEdge(level float64, unit photometry.Unit) string {
	if c.isFlash(unit) || c.survey.Over != "" {
		return c.formatLevel(level, unit)
	}
	return formatRounded(level, c.survey.Quantity, unit)
}

// isFlash reports whether levels are printed as f-numbers of flash.
func (c *mapValues) isFlash(unit photometry.Unit) bool {
	s := c.survey
	return s.Quantity == photometry.LuminousExposure && s.Settings.Meter.Unit == photometry.FStop && unit != photometry.FC
}

// formatKelvin prints a color temperature to the 10 K that a handheld meter
// supports.
func formatKelvin(kelvin float64) string {
	return photometry.FormatFigure(10*math.Round(kelvin/10)) + " K"
}
