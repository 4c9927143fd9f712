package dimmer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// Field is the part of a reading that an InputError is about, by the name of its column.
type Field string

// The parts of a reading.
const (
	LevelField  Field = "level"
	DimmerField Field = "dimmer"
)

// InputError is a reading that cannot be used; Index counts readings from 0.
type InputError struct {
	Index           int
	Field           Field
	Found, Expected string
}

// Error says what was found and what was expected.
func (e *InputError) Error() string {
	return fmt.Sprintf("reading %d: found %s, expected %s", e.Index+1, e.Found, e.Expected)
}

// InputErrors are all that is wrong with an input.
type InputErrors []*InputError

// Error is the messages, a line each.
func (e InputErrors) Error() string {
	lines := make([]string, len(e))
	for i, one := range e {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// conflict is how far apart two levels have to be, in standard deviations of their
// difference, so that scatter is no explanation: at 3.5, one pair in 2,000.
const conflict = 3.5

// Check finds what no dimmer does: levels that are no levels or of several quantities,
// two levels at one setting and a level that falls where the dial rises, both beyond what
// scatter explains. The error is InputErrors.
func (in Input) Check() error {
	var errs InputErrors
	fail := func(i int, field Field, found any, expected string) {
		errs = append(errs, &InputError{i, field, fmt.Sprint(found), expected})
	}
	for i, r := range in.Readings {
		if !(r.Percent >= 0 && r.Percent <= 100) {
			fail(i, DimmerField, r.Percent, "a setting from 0 to 100 %")
		}
		if !(r.Level.Value >= 0) || math.IsInf(r.Level.Value, 0) {
			fail(i, LevelField, r.Level.Value, "a level of 0 or more")
		}
	}
	if len(errs) > 0 {
		return errs
	}
	most := conflict * math.Sqrt2 * in.assumed()
	for _, name := range in.Lamps() {
		var rows []int
		for i, r := range in.Readings {
			if sameName(r.Lamp, name) {
				rows = append(rows, i)
			}
		}
		slices.SortStableFunc(rows, func(a, b int) int { return compare(in.Readings[a].Percent, in.Readings[b].Percent) })
		brightest := rows[0]
		for _, i := range rows[1:] {
			r, before := in.Readings[i], in.Readings[brightest]
			at := fmt.Sprintf("%s, which has %g %%", place(brightest, before), before.Percent)
			apart := photometry.Stops(r.Level.Value, before.Level.Value)
			switch {
			case r.Level.Quantity != before.Level.Quantity:
				fail(i, LevelField, r.Level.Quantity, fmt.Sprintf("%s as on %s", before.Level.Quantity, at))
				continue
			case r.Level.Value == before.Level.Value: // 0 among them
			case r.Percent == before.Percent && !(math.Abs(apart) <= most):
				fail(i, LevelField, r.Level.Value, fmt.Sprintf("the level of %s too, within what a meter scatters; take out the wrong one", at))
				continue
			case !(apart >= -most):
				fail(i, LevelField, r.Level.Value, fmt.Sprintf("no less light than on %s: a level that does not fall while the dial rises", at))
				continue
			}
			if r.Level.Value > before.Level.Value || r.Percent > before.Percent && r.Level.Value == before.Level.Value {
				brightest = i
			}
		}
		if in.Readings[brightest].Level.Value == 0 {
			fail(brightest, LevelField, 0, fmt.Sprintf("a level above 0 at some setting of %s", name))
		}
	}
	if len(errs) == 0 {
		return nil
	}
	return errs
}

// place names a reading by its line.
func place(i int, r Reading) string {
	if r.Line > 0 {
		return fmt.Sprintf("line %d", r.Line)
	}
	return fmt.Sprintf("reading %d", i+1)
}

// Lamps are the names, each once, in the order of the table.
func (in Input) Lamps() (names []string) {
	for _, r := range in.Readings {
		if !slices.ContainsFunc(names, func(name string) bool { return sameName(name, r.Lamp) }) {
			names = append(names, r.Lamp)
		}
	}
	return names
}

func (in Input) of(lamp string) (readings []Reading) {
	for _, r := range in.Readings {
		if sameName(r.Lamp, lamp) {
			readings = append(readings, r)
		}
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
	for _, name := range in.Lamps() {
		readings := in.of(name)
		for _, k := range knotsOf(readings) {
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
