package dimmer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// DimmerField is the setting of a reading in an InputError.
const DimmerField photometry.InputField = "dimmer"

// conflict is how far apart two levels have to be, in standard deviations of their
// difference, so that scatter is no explanation: at 3.5, one pair in 2,000.
const conflict = 3.5

// Check finds what no dimmer does: levels that are no levels or of several quantities,
// two levels at one setting and a level that falls where the dial rises, both beyond what
// scatter explains. The error is photometry.InputErrors.
func (in Input) Check() error {
	var errs photometry.InputErrors
	fail := func(i int, field photometry.InputField, found any, expected string) {
		errs = append(errs, &photometry.InputError{Index: i, Field: field, Found: fmt.Sprint(found), Expected: expected})
	}
	for i, r := range in.Readings {
		if !(r.Percent >= 0 && r.Percent <= 100) {
			fail(i, DimmerField, r.Percent, "a setting from 0 to 100 %")
		}
		if !(r.Level.Value >= 0) || math.IsInf(r.Level.Value, 0) {
			fail(i, photometry.LevelField, r.Level.Value, "a level of 0 or more")
		}
	}
	if len(errs) > 0 {
		return errs
	}
	for _, l := range in.lamps() {
		slices.SortStableFunc(l.rows, func(a, b int) int { return cmp.Compare(in.Readings[a].Percent, in.Readings[b].Percent) })
		found := in.conflicts(l.rows, 1)
		slices.Reverse(l.rows)
		if fewer := in.conflicts(l.rows, -1); len(fewer) < len(found) {
			found = fewer // one level that is far too high is blamed, not all that follow it
		}
		errs = append(errs, found...)
		if !slices.ContainsFunc(in.of(l), func(r Reading) bool { return r.Level.Value > 0 }) {
			fail(l.rows[0], photometry.LevelField, 0, fmt.Sprintf("a level above 0 at some setting of %s", l.name))
		}
	}
	return errs.OrNil()
}

// conflicts are the readings of a lamp that do not go with those before them, in the order
// of their settings: way is 1 where these rise, and -1 where they fall.
func (in Input) conflicts(rows []int, way float64) (errs photometry.InputErrors) {
	most := conflict * math.Sqrt2 * in.assumed()
	against := map[float64]string{1: "no less light than on %s: a level that does not fall while the dial rises", -1: "no more light than on %s: a level that does not rise while the dial falls"}[way]
	extreme := rows[0] // the brightest so far, or the darkest
	for _, i := range rows[1:] {
		r, before := in.Readings[i], in.Readings[extreme]
		apart := way * photometry.Stops(r.Level.Value, before.Level.Value)
		found, expected := fmt.Sprint(r.Level.Value), ""
		switch {
		case r.Level.Quantity != before.Level.Quantity:
			found, expected = fmt.Sprint(r.Level.Quantity), fmt.Sprint(before.Level.Quantity, " as on %s")
		case r.Level.Value == before.Level.Value: // 0 among them
		case r.Percent == before.Percent && !(math.Abs(apart) <= most):
			expected = "the level of %s too, within what a meter scatters; take out the wrong one"
		case !(apart >= -most):
			expected = against
		}
		switch {
		case expected != "":
			at := fmt.Sprintf("%s, which has %g %%", photometry.ReadingName(before.Line, extreme), before.Percent)
			errs = append(errs, &photometry.InputError{Index: i, Field: photometry.LevelField, Found: found, Expected: fmt.Sprintf(expected, at)})
		case way*r.Level.Value > way*before.Level.Value, r.Percent != before.Percent && r.Level.Value == before.Level.Value:
			extreme = i
		}
	}
	return errs
}

// Lamps are the names, each once, in the order of the table.
func (in Input) Lamps() (names []string) {
	for _, l := range in.lamps() {
		names = append(names, l.name)
	}
	return names
}

// lampRows are the readings of one lamp by their places in the table.
type lampRows struct {
	name string
	rows []int
}

// lamps are the rows of each lamp, in the order of the table.
func (in Input) lamps() (out []*lampRows) {
	known := map[string]*lampRows{}
	for i, r := range in.Readings {
		key := photometry.NameKey(r.Lamp)
		l := known[key]
		if l == nil {
			l = &lampRows{name: r.Lamp}
			known[key] = l
			out = append(out, l)
		}
		l.rows = append(l.rows, i)
	}
	return out
}

// of are the readings of a lamp.
func (in Input) of(l *lampRows) (readings []Reading) {
	for _, i := range l.rows {
		readings = append(readings, in.Readings[i])
	}
	return readings
}

// assumed is the standard deviation of one reading in stops as it is stated, or assumed.
func (in Input) assumed() float64 {
	r := uncertainty.AssumedRepeatability
	if in.Repeatability != nil {
		r = *in.Repeatability
	}
	return photometry.ReadingStops(r, in.Resolution)
}

// scatter is the standard deviation of one reading in stops: stated, else from repeats
// with their degrees of freedom, else assumed. From few repeats the larger of theirs and
// the assumed one counts.
func (in Input) scatter() (stops float64, freedoms int, source string) {
	if in.Repeatability != nil {
		return in.assumed(), 0, "stated"
	}
	squares := 0.0
	for _, l := range in.lamps() {
		readings := in.of(l)
		for _, k := range means(readings, logLevel) {
			freedoms += int(k.weight) - 1
			for _, r := range readings {
				if r.Percent == k.percent && r.Level.Value > 0 {
					squares += math.Pow(math.Log2(r.Level.Value)-k.y, 2)
				}
			}
		}
	}
	if freedoms == 0 || squares == 0 {
		return in.assumed(), 0, "assumed"
	}
	stops = math.Hypot(math.Sqrt(squares/float64(freedoms)), photometry.ReadingStops(0, in.Resolution))
	if known := in.assumed(); freedoms < uncertainty.FewRepeats && uncertainty.Factor(freedoms)*stops < uncertainty.Factor(0)*known {
		return known, 0, "assumed"
	}
	return stops, freedoms, "repeats"
}
