package plots

import (
	"math"
	"slices"

	"evenfall/photometry"
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
	if len(r.Levels) == s.Len() {
		c.values = r.Levels
	}
	if kind != Level {
		if r.Color == nil || r.Color.Shifts == nil {
			return nil, ErrNoColor
		}
		c.values = r.Color.Shifts.Mired
		if kind == Duv {
			c.values = r.Color.Shifts.Duv
		}
		if len(c.values) != s.Len() || !slices.ContainsFunc(c.values, finite) {
			return nil, ErrNoColor
		}
	} else {
		c.excludeSuspects()
		if !(c.reference > 0) || math.IsInf(c.reference, 0) {
			// There is no usable reference, as in a prediction that is dark
			// everywhere: use the brightest reading.
			c.reference = slices.Max(c.values)
		}
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
	return s.Point >= 0 && s.Point < c.survey.Len() && !slices.Contains(s.Reasons, survey.SerpentineAsRows)
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
	_, found := slices.BinarySearch(c.excluded, i)
	return found
}

// keepsAll reports that every point is used for the field.
func (c *mapValues) keepsAll() bool { return c.kind == Level && len(c.excluded) == 0 }

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

// scale fits the scale to the values.
func (c *mapValues) scale() Scale {
	lo, hi := math.Inf(1), math.Inf(-1)
	dark := false
	all := c.keepsAll()
	for i, v := range c.values {
		switch {
		case v != v || math.IsInf(v, 0) || !all && !c.inField(i):
		case c.kind == Level && !(v > 0):
			dark = true
		default:
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if lo > hi {
		lo, hi = 0, 0
	} else {
		lo, hi = c.toScale(lo), c.toScale(hi)
	}
	limits := c.result.Limits
	least := 0.3
	switch c.kind {
	case Level:
		if limits.Stops > 0 {
			least = limits.Stops
			if limits.EachSide {
				least *= 2
			}
		}
		if lo < hi-maxDepthStops {
			lo, dark = hi-maxDepthStops, true
		}
	case Mired:
		least = 2 * max(limits.Mired, 5)
	case Duv:
		least = 2 * max(limits.Duv, 0.001)
	}
	s := newScale(c.kind, lo, hi, least)
	s.Below = dark
	s.Zero = c.describeZero(photometry.NoUnit)
	s.reference, s.quantity = c.reference, c.survey.Quantity
	return s
}

// describeZero describes the zero of the scale.
func (c *mapValues) describeZero(unit photometry.Unit) string {
	r := c.result
	if r.Reference.Words != "" {
		return r.Reference.Words
	}
	if c.kind == Level {
		text := "the mean"
		if r.Reference.Label != "" {
			text = "reference " + shorten(r.Reference.Label, 16)
		}
		if !(r.Reference.Level > 0) {
			text = "the brightest"
		}
		if c.reference > 0 {
			text += ", " + c.formatLevel(c.reference, unit)
		}
		return text
	}
	return describeColorReference(r.Color.Reference, c.kind == Duv)
}

// describeColorReference describes the color at zero, with its Duv where that matters.
func describeColorReference(ref evenness.ColorPlace, withDuv bool) string {
	text := "the mean color"
	if ref.Label != "" {
		text = "reference " + shorten(ref.Label, 16)
	}
	if ref.CCT != nil && finite(*ref.CCT) {
		text += ", " + formatKelvin(*ref.CCT)
	}
	if withDuv && ref.Duv != nil && finite(*ref.Duv) {
		text += ", " + Duv.formatShift(*ref.Duv)
	}
	return text
}

// formatLevel prints a level as it was read: flash as an f-number, a relative level
// as a multiple of its base.
func (c *mapValues) formatLevel(level float64, unit photometry.Unit) string {
	switch s := c.survey; {
	case s.Quantity == photometry.LuminousExposure && s.Settings.Meter.Unit == photometry.FStop && unit != photometry.FC:
		return s.FormatLevel(level)
	case s.Over != "":
		return formatRounded(level, s.Quantity, unit) + " times " + s.Over
	}
	return formatRounded(level, c.survey.Quantity, unit)
}

// formatKelvin prints a color temperature to the 10 K that a handheld meter
// supports.
func formatKelvin(kelvin float64) string {
	return photometry.FormatFigure(10*math.Round(kelvin/10)) + " K"
}
