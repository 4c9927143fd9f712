package balance

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
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
	// Unit is how sentences write illuminance; NoUnit is as it was read.
	Unit photometry.Unit
}

// HalfStep is the step of trims in half stops, as wire scrims make them.
const HalfStep = 0.5

// Solve finds the trims of lamps, each at most its level as read, that make
// the sum most even where it decides: in the area in shot, or everywhere.
//
// Light adds, so that the surface after trimming is known from readings of each
// lamp alone: MinSpreadProblem has the method, survey.LampSet.Judge how sure the verdict
// after is. With one map of all lamps and each lamp alone at a few places only,
// each lamp's map is its share of the whole, interpolated smoothly; how well
// that predicts a place left out is told, and widens the verdict. Doubtful
// readings are left out of the trims and of all figures; where they would
// change the verdict it is unsure.
func Solve(ctx context.Context, set *survey.LampSet, o Options) (*Result, error) {
	s := set.Surface
	b := &balancing{set: set, o: o, n: s.Len(), r: &Result{
		Schema: Schema, Title: s.Title, Unit: s.Quantity.Unit(), For: s.Settings.Kind.Name, StepStops: o.StepStops,
		Trims: map[string]Trim{}, Suspects: []LampSuspect{}, Inferred: []photometry.Remark{}, Advice: []photometry.Finding{},
		Warnings: append([]photometry.Finding{}, s.Warnings...), Cautions: []photometry.Finding{}, Noise: set.Noise(), Reading: s.ParseLog}}
	for _, text := range s.Inferred {
		b.r.Inferred = append(b.r.Inferred, photometry.Remark{Finding: photometry.Finding{Text: text}})
	}
	if err := b.chooseLamps(); err != nil {
		return nil, err
	}
	for _, step := range []func() error{b.readTogether, b.readAmbient, b.checkLamps, b.additivity, b.findMaps} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	decide := set.Judgeable(b.excluded)
	if len(decide) < 2 {
		where := ""
		if s.Area != nil {
			where = " in the area in shot"
		}
		return nil, fmt.Errorf("%d place%s%s to judge by, expected at least two", len(decide), plural(len(decide)), where)
	}
	b.r.Places = len(decide)
	trims, err := b.solve(ctx, decide)
	if err != nil {
		return nil, err
	}
	b.judge(trims)
	b.r.Trims = b.tellTrims(trims, decide)
	b.tryScrims(trims, decide)
	if err := b.keepLight(ctx, decide); err != nil {
		return nil, err
	}
	b.conclude()
	return b.r, nil
}

// chooseLamps parts the lamps from ambient light and finds the fixed ones.
func (b *balancing) chooseLamps() error {
	for k := range b.set.Maps {
		if m := &b.set.Maps[k]; !m.Ambient() {
			b.lamp = append(b.lamp, m)
			b.r.Lamps = append(b.r.Lamps, m.Name)
		}
	}
	b.fix = make([]bool, len(b.lamp))
	ambient := b.o.Ambient > 0 || b.set.Find(survey.AmbientName) != nil
	switch {
	case len(b.lamp) == 0:
		return errors.New("found readings of ambient light only, expected readings of each lamp alone")
	case len(b.lamp) == 1 && !ambient && !b.set.Together:
		return oneLampOnly(b.lamp[0].Name)
	}
	find := func(flag, name string) (int, error) {
		at := slices.IndexFunc(b.lamp, func(m *survey.LampMap) bool { return strings.EqualFold(m.Name, strings.TrimSpace(name)) })
		if at < 0 {
			return 0, fmt.Errorf("%s: found %q, expected a lamp that was read: %s", flag, name, lampNames(b.lamp))
		}
		return at, nil
	}
	for _, name := range b.o.Fixed {
		if strings.EqualFold(strings.TrimSpace(name), survey.AmbientName) && ambient {
			continue // it is fixed anyway
		}
		j, err := find("--fixed", name)
		if err != nil {
			return err
		}
		b.fix[j] = true
	}
	for _, name := range b.o.Tungsten {
		if _, err := find("--tungsten", name); err != nil {
			return err
		}
	}
	if !slices.Contains(b.fix, false) {
		return errors.New("every lamp is fixed: expected one at least that can be trimmed")
	}
	return nil
}

// evening is the question for the linear program: the lamps that can be
// trimmed, over the places that decide.
func (b *balancing) evening(decide []int) (e MinSpreadProblem, free []int) {
	e.Least = b.o.Least
	e.Rest = make([]float64, len(decide))
	for k, i := range decide {
		e.Rest[k] = b.still(i)
	}
	for j, m := range b.maps {
		column := make([]float64, len(decide))
		for k, i := range decide {
			column[k] = m[i]
			if b.fix[j] {
				e.Rest[k] += m[i]
			}
		}
		if !b.fix[j] {
			e.Maps = append(e.Maps, column)
			free = append(free, j)
		}
	}
	return e, free
}

// spread of all trims over the places that decide.
func (b *balancing) spread(trims []float64, decide []int) float64 {
	levels := b.levels(trims)
	out := make([]float64, len(decide))
	for k, i := range decide {
		out[k] = levels[i]
	}
	return spreadOf(out)
}

// run answers the question with or without steps.
func (e MinSpreadProblem) run(ctx context.Context, step float64) (MinSpreadSolution, error) {
	if step > 0 {
		return e.SolveSteps(ctx, step)
	}
	return e.Solve(ctx)
}

// solve finds the trims of all lamps.
func (b *balancing) solve(ctx context.Context, decide []int) ([]float64, error) {
	e, free := b.evening(decide)
	answer, err := e.run(ctx, b.o.StepStops)
	var unreachable *UnreachableError
	var dark *DarkError
	switch {
	case errors.As(err, &unreachable):
		at := decide[unreachable.Place]
		return nil, fmt.Errorf("--min: %s cannot be reached: with every lamp as read the darkest place, %s, has %s, %s less",
			b.level(unreachable.Least), b.set.Surface.Name(at), b.level(unreachable.Got), photometry.FormatStops(photometry.Stops(unreachable.Least, unreachable.Got)))
	case errors.As(err, &dark):
		return nil, fmt.Errorf("%s gets no light from any lamp, so no trims make it even: aim a lamp there, or set the area in shot without it (the area note)", b.set.Surface.Name(decide[dark.Place]))
	case err != nil:
		return nil, err
	}
	trims := ones(len(b.lamp))
	for k, j := range free {
		trims[j] = answer.Shares[k]
	}
	b.r.Optimal, b.r.Gap, b.r.BoundStops = answer.Optimal, answer.GapStops, answer.BoundStops
	if b.o.Least > 0 {
		least := b.o.Least
		b.r.MinLevel = &least
	}
	for k, j := range free {
		if slices.Max(e.Maps[k]) == 0 {
			b.warn("no_light_here", "lamp", b.lamp[j].Name)
		}
	}
	return trims, nil
}

// judge judges the surface before and after.
func (b *balancing) judge(trims []float64) {
	// A reading in doubt twice is shown twice, but marks its place once.
	var marks []survey.Suspect
	for _, x := range b.suspects {
		if b.excluded[x.Point] && !slices.ContainsFunc(marks, func(m survey.Suspect) bool { return m.Point == x.Point }) {
			marks = append(marks, x.Suspect)
		}
		b.r.Suspects = append(b.r.Suspects, x)
	}
	state := func(trims []float64, chosen bool) (State, *evenness.Result) {
		levels := b.levels(trims)
		c := evenness.Computed{Level: levels, Chosen: chosen, Excluded: b.excluded, Suspects: marks}
		c.Of, c.Smooth = b.scatter(trims, levels)
		b.color(&c, trims)
		r := evenness.JudgeComputed(b.set, c)
		r.Title = stateTitle(b.set.Surface.Title, chosen)
		b.r.Limits = r.Limits
		if b.fit != nil && chosen {
			for _, i := range b.set.Judgeable(b.excluded) {
				b.r.Shares.LevelErrorStops = max(b.r.Shares.LevelErrorStops, c.Smooth[i])
			}
			if b.fit.Missed == nil && r.Verdict.Evenness == uncertainty.Pass {
				r.Verdict.Evenness = uncertainty.Unsure
				if r.Verdict.Overall == uncertainty.Pass {
					r.Verdict.Overall = uncertainty.Unsure
				}
			}
		}
		return b.stateOf(r, levels), r
	}
	b.r.Before, b.r.BeforeMap = state(ones(len(b.lamp)), false)
	// Lamps that all stay as they are were not chosen by these readings.
	b.r.After, b.r.AfterMap = state(trims, slices.ContainsFunc(trims, func(t float64) bool { return t < 1 }))
	b.r.AfterMap.Title = stateTitle(b.set.Surface.Title, true)
	b.r.Verdict = b.r.After.Verdict.Overall
	if b.r.Before.Verdict.Overall == uncertainty.Pass {
		b.r.Verdict = uncertainty.Pass // leave the lamps alone
	}
	if before, after := b.r.Before.Mean, b.r.After.Mean; before > 0 && after > 0 {
		light := photometry.Stops(after, before)
		b.r.LightStops = &light
	}
	if b.ambient != nil || b.other != nil {
		sum := 0.0
		for i := range b.n {
			sum += b.still(i)
		}
		mean := sum / float64(b.n)
		b.r.Ambient = &mean
	}
}

// stateTitle is the heading of a map before or after.
func stateTitle(title string, after bool) string {
	switch {
	case title == "" && after:
		return "After trimming"
	case title == "":
		return "Before"
	case after:
		return title + ", after trimming"
	}
	return title + ", before"
}

// stateOf takes the figures of the part that decides.
func (b *balancing) stateOf(r *evenness.Result, levels []float64) State {
	out := State{Evenness: Evenness(r.Evenness), Verdict: r.Verdict}
	if r.Area != nil {
		whole := r.Evenness
		out.Evenness, out.Whole = Evenness(*r.Area), &whole
	}
	if slices.Contains(b.excluded, true) {
		low, high := math.Inf(1), 0.0
		for _, i := range b.set.Judgeable(nil) {
			low, high = min(low, levels[i]), max(high, levels[i])
		}
		if low > 0 {
			with := photometry.Stops(high, low)
			out.WithSuspects = &with
		}
	}
	if c := r.Color; c != nil && c.Points > 0 {
		out.Color = &Color{CCT: c.Reference.CCT, Duv: c.Reference.Duv, MaxMiredShift: c.MaxMiredShift, MaxDuvShift: c.MaxDuvShift}
	}
	return out
}

// tellTrims puts trims into set units.
func (b *balancing) tellTrims(trims []float64, decide []int) map[string]Trim {
	out := map[string]Trim{}
	for j, m := range b.lamp {
		t := Trim{Percent: 100 * trims[j], Fixed: b.fix[j]}
		if trims[j] > 0 {
			stops := min(0, math.Log2(trims[j])) + 0
			t.Stops = &stops
			if name, loss := photometry.Scrims(-stops); -stops <= loss+mostScrims {
				t.Scrim, t.ScrimStops = name, loss
			}
		}
		if !b.fix[j] && trims[j] > 0 {
			worst := 0.0
			for _, by := range []float64{-0.1, 0.1} {
				off := slices.Clone(trims)
				off[j] = min(1, off[j]*math.Exp2(by))
				worst = max(worst, b.spread(off, decide))
			}
			t.TenthOffStops = &worst
		}
		b.addColor(&t, m, trims[j])
		out[m.Name] = t
	}
	return out
}

// tryScrims tells the spread with the nearest scrims in place of the trims.
func (b *balancing) tryScrims(trims []float64, decide []int) {
	scrimmed := slices.Clone(trims)
	for j, m := range b.lamp {
		if t := b.r.Trims[m.Name]; t.Stops != nil {
			if -*t.Stops > t.ScrimStops+mostScrims {
				return // no scrims take so much
			}
			scrimmed[j] = math.Exp2(-t.ScrimStops)
		}
	}
	levels := b.levels(scrimmed)
	for _, i := range decide {
		if levels[i] < b.o.Least*(1-1e-9) {
			return
		}
	}
	if spread := b.spread(scrimmed, decide); !math.IsInf(spread, 0) {
		b.r.ScrimsStops = &spread
	}
}

// mostScrims is how much more than its scrims a trim may take and still be made
// by them, about, in stops.
const mostScrims = 0.3

// keepLight answers the same question with at least half of the least level as
// read, where the most even trims give up more than that: ambient or fixed
// light, or a weak lamp's, is often the most even of all.
func (b *balancing) keepLight(ctx context.Context, decide []int) error {
	e, free := b.evening(decide)
	now := slices.Min(e.Levels(ones(len(free))))
	if b.o.Least > 0 || !(b.r.After.Min < now/2) {
		return nil
	}
	e.Least = b.roundLevel(now / 2)
	answer, err := e.run(ctx, b.o.StepStops)
	if err != nil {
		return err
	}
	trims := ones(len(b.lamp))
	for k, j := range free {
		trims[j] = answer.Shares[k]
	}
	b.r.Kept = &Kept{MinLevel: e.Least, SpreadStops: answer.SpreadStops, Trims: b.tellTrims(trims, decide)}
	return nil
}

// roundLevel rounds a level down to two digits, as a person would ask for it.
func (b *balancing) roundLevel(v float64) float64 {
	scale := 1.0
	if s := b.set.Surface; s.Quantity == photometry.Illuminance && s.UnitFor(b.o.Unit) == photometry.FC {
		scale = photometry.LuxPerFootcandle
	}
	unit := scale * math.Pow(10, math.Floor(math.Log10(v/scale))-1)
	return math.Floor(v/unit+1e-9) * unit
}
