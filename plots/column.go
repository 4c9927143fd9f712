package plots

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// column is what a map shows of each point of a survey: its level against the
// reference, or its shift of color. It reads the survey in place, so that a
// million points cost nothing.
type column struct {
	survey    *survey.Survey
	result    *evenness.Result
	kind      Kind
	values    []float64 // levels in the SI unit, or shifts
	reference float64   // level that zero stops stands for
	leftOut   []int     // suspects that neither color nor field shows, ascending
}

// columnOf chooses the column of a kind of map.
func columnOf(r *evenness.Result, kind Kind) (*column, error) {
	s := r.Survey
	if s == nil || r == nil {
		panic("plots: no survey or no result")
	}
	if s.Len() == 0 {
		return nil, ErrNoReadings
	}
	c := &column{survey: s, result: r, kind: kind, values: s.Level, reference: r.Reference.Level}
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
		if len(c.values) != s.Len() {
			return nil, ErrNoColor
		}
		if !slices.ContainsFunc(c.values, finite) {
			return nil, ErrNoColor
		}
	} else {
		c.leaveOutSuspects()
		if !(c.reference > 0) || math.IsInf(c.reference, 0) {
			// No usable reference, as in a prediction that is dark all over:
			// the brightest reading stands in.
			c.reference = slices.Max(c.values)
		}
	}
	return c, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// leaveOutSuspects keeps readings that look like slips from coloring their
// neighborhood. Where many readings are suspect, as after a whole table was
// typed in the wrong order, no field is left without them, and all are shown.
func (c *column) leaveOutSuspects() {
	for _, s := range c.result.Suspects {
		if c.single(s) {
			c.leftOut = append(c.leftOut, s.Point)
		}
	}
	slices.Sort(c.leftOut)
	c.leftOut = slices.Compact(c.leftOut)
	if n := c.survey.Len(); 10*len(c.leftOut) > max(n, 10) || n-len(c.leftOut) < 3 {
		c.leftOut = nil
	}
}

// single tells whether a suspect is one reading, and not whole rows that may
// have been typed in the wrong order.
func (c *column) single(s survey.Suspect) bool {
	return s.Point >= 0 && s.Point < c.survey.Len() && !slices.Contains(s.Reasons, survey.SnakeAsRows)
}

// suspect tells whether point i looks like a slip on its own.
func (c *column) suspect(i int) bool {
	return c.kind == Level && slices.ContainsFunc(c.result.Suspects, func(s survey.Suspect) bool {
		return s.Point == i && c.single(s)
	})
}

// out tells whether point i is left out.
func (c *column) out(i int) bool {
	if len(c.leftOut) == 0 {
		return false
	}
	_, found := slices.BinarySearch(c.leftOut, i)
	return found
}

// fielded tells whether point i takes part in the field.
func (c *column) fielded(i int) bool { return !math.IsNaN(c.values[i]) && !c.out(i) }

// at is the value of point i on the scale, -Inf for a zero level; ok is false
// where the point has none.
func (c *column) at(i int) (value float64, ok bool) {
	v := c.values[i]
	if math.IsNaN(v) {
		return 0, false
	}
	return c.value(v), true
}

// value turns an entry of the column, or a mean of entries, into a value on
// the scale. Levels are averaged as light, before the logarithm.
func (c *column) value(v float64) float64 {
	switch {
	case c.kind != Level:
		return v
	case !(c.reference > 0) || !(v > 0):
		return math.Inf(-1)
	}
	return math.Log2(v / c.reference)
}

// scale fits the scale to the column.
func (c *column) scale() Scale {
	lo, hi := math.Inf(1), math.Inf(-1)
	dark := false
	if c.kind == Level && len(c.leftOut) == 0 {
		// The long way round below costs too much on a million points.
		for _, v := range c.values {
			if v > 0 {
				lo, hi = min(lo, v), max(hi, v)
			} else if v == 0 {
				dark = true
			}
		}
	} else {
		for i, v := range c.values {
			switch {
			case !c.fielded(i) || math.IsInf(v, 0):
			case c.kind == Level && !(v > 0):
				dark = true
			default:
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	if lo > hi {
		lo, hi = 0, 0
	} else {
		lo, hi = c.value(lo), c.value(hi)
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
		if lo < hi-deepest {
			lo, dark = hi-deepest, true
		}
	case Mired:
		least = 2 * max(limits.Mired, 5)
	case Duv:
		least = 2 * max(limits.Duv, 0.001)
	}
	s := newScale(c.kind, lo, hi, least)
	s.Below = dark
	s.Zero = c.zero(photometry.NoUnit)
	s.reference, s.quantity = c.reference, c.survey.Quantity
	return s
}

// zero says what zero stands for.
func (c *column) zero(unit photometry.Unit) string {
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
			text += ", " + c.shown(c.reference, unit)
		}
		return text
	}
	ref := r.Color.Reference
	text := "the mean color"
	if ref.Label != "" {
		text = "reference " + shorten(ref.Label, 16)
	}
	if ref.CCT != nil && finite(*ref.CCT) {
		text += ", " + formatKelvin(*ref.CCT)
	}
	if c.kind == Duv && ref.Duv != nil && finite(*ref.Duv) {
		text += ", Duv " + signed(*ref.Duv, 4)
	}
	return text
}

// shown prints a level as it was read: f-numbers of flash as such, and times of
// what relative levels are over.
func (c *column) shown(level float64, unit photometry.Unit) string {
	switch s := c.survey; {
	case s.Quantity == photometry.LuminousExposure && s.Settings.Meter.Unit == photometry.FStop && unit != photometry.FC:
		return s.Shown(level)
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
