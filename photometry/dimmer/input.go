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
	most := conflict * math.Sqrt2 * in.assumed()
	for _, l := range in.lamps() {
		rows := l.rows
		slices.SortStableFunc(rows, func(a, b int) int { return cmp.Compare(in.Readings[a].Percent, in.Readings[b].Percent) })
		brightest := rows[0]
		for _, i := range rows[1:] {
			r, before := in.Readings[i], in.Readings[brightest]
			at := fmt.Sprintf("%s, which has %g %%", photometry.ReadingName(before.Line, brightest), before.Percent)
			apart := photometry.Stops(r.Level.Value, before.Level.Value)
			switch {
			case r.Level.Quantity != before.Level.Quantity:
				fail(i, photometry.LevelField, r.Level.Quantity, fmt.Sprintf("%s as on %s", before.Level.Quantity, at))
				continue
			case r.Level.Value == before.Level.Value: // 0 among them
			case r.Percent == before.Percent && !(math.Abs(apart) <= most):
				fail(i, photometry.LevelField, r.Level.Value, fmt.Sprintf("the level of %s too, within what a meter scatters; take out the wrong one", at))
				continue
			case !(apart >= -most):
				fail(i, photometry.LevelField, r.Level.Value, fmt.Sprintf("no less light than on %s: a level that does not fall while the dial rises", at))
				continue
			}
			if r.Level.Value > before.Level.Value || r.Percent > before.Percent && r.Level.Value == before.Level.Value {
				brightest = i
			}
		}
		if in.Readings[brightest].Level.Value == 0 {
			fail(brightest, photometry.LevelField, 0, fmt.Sprintf("a level above 0 at some setting of %s", l.name))
		}
	}
	return errs.OrNil()
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
