package balance

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/lamps"
	"evenfall/photometry/survey"
)

// Options say what the trims have to keep to.
type Options struct {
	// Least is the lowest level allowed at any place that decides, in the SI
	// unit of the readings; 0 for any.
	Least float64
	// Fixed names lamps that cannot be trimmed.
	Fixed []string
	// Ambient is a level that no lamp makes, everywhere, in the SI unit of the
	// readings; 0 for none. Readings of a lamp named ambient do the same.
	Ambient float64
	// AmbientInReadings says that lamps were read alone with the ambient light
	// on, so that it is taken off their readings.
	AmbientInReadings bool
	// StepStops asks for trims in whole steps of so many stops; 0 for any.
	StepStops float64
	// Tungsten names lamps that warm when they are dimmed.
	Tungsten []string
	// Unit is how errors write illuminance; NoUnit is as it was read.
	Unit photometry.Unit
}

// HalfStep is the step of trims in half stops, as wire scrims make them.
const HalfStep = 0.5

// Solve finds the trims of lamps, each at most its level as read, that make
// the sum most even where it decides: in the area in shot, or everywhere.
//
// Light adds, so that the surface after trimming is known from readings of each
// lamp alone: MinSpreadProblem has the method, evenness.JudgeComputed how sure the
// verdict after is. With one map of all lamps and each lamp alone at a few places
// only, each lamp's map is its share of the whole, interpolated smoothly; how well
// that predicts a place left out is in the result, and widens the verdict. Suspects
// are left out of the trims and of all figures; where they would change the verdict
// it is unsure.
func Solve(ctx context.Context, set *survey.LampSet, o Options) (*Result, error) {
	b := newBalancing(set, o)
	for _, stage := range []func() error{
		b.chooseLamps, b.readTogether, b.readAmbient, b.readAlone, b.compareSums, b.findMaps, b.choosePlaces,
		func() error { return b.chooseTrims(ctx) },
		func() error { return b.keepLight(ctx) },
	} {
		if err := stage(); err != nil {
			return nil, err
		}
	}
	b.conclude()
	b.r.from = b
	return b.r, nil
}

// balancing is a question of balance as its stages put it together.
type balancing struct {
	set  *survey.LampSet
	o    Options
	r    *Result
	n    int // points
	lamp []*survey.LampMap
	fix  []bool // by lamp

	together []float64   // all lamps, drift taken out; nil where not read
	ambient  []float64   // by point; nil for none
	alone    [][]float64 // each lamp without ambient light, NaN where it was not read
	unread   bool        // lamps together give light that no lamp alone explains
	suspects []LampSuspect
	excluded []bool // points of suspects

	maps   [][]float64   // each lamp at every point
	rest   []float64     // what no trim changes, at every point
	other  bool          // rest holds light that is neither ambient nor of a lamp
	fit    *lamps.Shares // nil with full maps; its last lamp is the other light, if any
	decide []int         // the points that the trims are chosen for

	fewAlone bool // shares rest on too few places for a pass
}

func newBalancing(set *survey.LampSet, o Options) *balancing {
	s := set.Surface
	return &balancing{set: set, o: o, n: s.Len(), excluded: make([]bool, s.Len()), r: &Result{ReadAs: s.ReadAs,
		Schema: Schema, Title: s.Title, Unit: s.Quantity.Unit(), For: s.Settings.Kind.Name, StepStops: o.StepStops,
		Trims: map[string]Trim{}, Suspects: []LampSuspect{}, Inferred: append([]photometry.Remark{}, s.Inferred...), Advice: []photometry.Finding{},
		Warnings: append([]photometry.Finding{}, s.Warnings...), Cautions: []photometry.Finding{}, Noise: set.Noise(), Notes: s.Notes, ParseLog: s.ParseLog}}
}

// chooseLamps parts the lamps from ambient light and finds the fixed ones.
func (b *balancing) chooseLamps() error {
	b.lamp = b.set.Lamps()
	for _, m := range b.lamp {
		b.r.Lamps = append(b.r.Lamps, m.Name)
	}
	b.fix = make([]bool, len(b.lamp))
	ambient := b.o.Ambient > 0 || b.set.Find(survey.AmbientName) != nil
	switch {
	case len(b.lamp) == 0:
		return errors.New("found readings of ambient light only, expected readings of each lamp alone")
	case len(b.lamp) == 1 && !ambient && !b.set.Together:
		return oneLampOnly(b.lamp[0].Name)
	}
	for _, name := range b.o.Fixed {
		if photometry.SameName(name, survey.AmbientName) && ambient {
			continue // it is fixed anyway
		}
		j, err := b.lampNamed("--fixed", name)
		if err != nil {
			return err
		}
		b.fix[j] = true
	}
	for _, name := range b.o.Tungsten {
		if _, err := b.lampNamed("--tungsten", name); err != nil {
			return err
		}
	}
	if !slices.Contains(b.fix, false) {
		return errors.New("every lamp is fixed: expected one at least that can be trimmed")
	}
	return nil
}

// lampNamed finds a lamp that a flag names.
func (b *balancing) lampNamed(flag, name string) (int, error) {
	j := slices.IndexFunc(b.lamp, func(m *survey.LampMap) bool { return photometry.SameName(name, m.Name) })
	if j < 0 {
		return 0, fmt.Errorf("%s: found %q, expected a lamp that was read: %s", flag, name, strings.Join(b.r.Lamps, ", "))
	}
	return j, nil
}

// choosePlaces finds the points that decide.
func (b *balancing) choosePlaces() error {
	b.decide = b.set.Judgeable(b.excluded)
	if b.r.Places = len(b.decide); b.r.Places >= 2 {
		return nil
	}
	where := ""
	if b.set.Surface.Area != nil {
		where = " in the area in shot"
	}
	return fmt.Errorf("%d place%s%s to judge by, expected at least two", b.r.Places, plural(b.r.Places), where)
}
