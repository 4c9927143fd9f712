package falloff

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"

	"gonum.org/v1/gonum/floats"
)

// Least that must stand behind a settled answer.
const (
	leastDistances = 4
	leastSpare     = 2
	leastRange     = 2.0
)

// settle decides whether the answer stands and says each reason against it.
func (a *answers) settle(readings []Reading) {
	d := a.Distance
	before := len(d.Warnings)
	switch spare := len(a.s.d) - a.best.params(); {
	case a.s.distinct < leastDistances:
		a.warn("few_readings", a.s.distinct, leastDistances)
	case spare < leastSpare:
		a.warn("few_readings/unchecked", spare)
	}
	if d.FarM/d.NearM < leastRange {
		a.warn("short_range", a.o.length(d.NearM), a.o.length(d.FarM), digits(d.FarM/d.NearM))
	}
	if a.widen > 1 {
		a.warn("no_model_fits", digits(a.widen), digits(a.s.repeat.Percent))
		a.suspects(readings)
	}
	for _, f := range a.rivals() {
		a.warn("rival_model", upperFirst(f.words), f.score(), a.best.score(), strings.Join(a.moves(f), ", "))
	}
	d.Settled = len(d.Warnings) == before && !a.rises
}

// rivals returns the models within 2 of the best score that would move an
// answer, best first.
func (a *answers) rivals() []*fit {
	var out []*fit
	if a.upward {
		return nil // laws that all fail are no rivals
	}
	for _, f := range a.fits[1:] {
		if f.score() > a.best.score()+2 || a.harmless(f) || len(a.moves(f)) == 0 {
			continue
		}
		out = append(out, f)
	}
	return out
}

// harmless says whether every parameter that f has and the best model has not
// may as well be absent.
func (a *answers) harmless(f *fit) bool {
	extra := 0
	for k, name := range f.names() {
		if _, ok := a.Models[0].Parameters[name]; ok {
			continue
		}
		extra++
		if !f.addsNothing(k) {
			return false
		}
	}
	return extra > 0
}

// moves says, in words, which answers f puts outside the best model's interval.
func (a *answers) moves(f *fit) []string {
	var out []string
	move := func(what string, values ...any) { out = append(out, say("rival_model/"+what, values...).Text) }
	outside := func(iv *Interval, v float64) bool {
		slack := 1e-3 * math.Abs(v)
		return iv != nil && (v < iv.Lo-slack || v > iv.Hi+slack)
	}
	law, length := f.law(), a.o.length
	// The intensity is compared whatever the unit: the interval is the best
	// fit's own.
	if iv := a.best.reader(0); outside(&iv, law.Intensity) {
		move("intensity", a.o.intensity(law.Intensity), a.o.intensity(a.law.Intensity))
	}
	own := a.best.inverseSquareInterval()
	if v := law.InverseSquareFrom(inverseSquareTolerance); outside(&own, v) {
		move("inverse_square", length(v), length(a.InverseSquareFromM))
	}
	z := a.Depth
	if z == nil {
		return out
	}
	near, ok := nearEnd(a.MarkM, z.WithinStops)(law)
	if !ok || outside(z.NearIntervalM, near) {
		move("near", length(near), length(z.NearM))
	}
	far, ok := farEnd(a.MarkM, z.WithinStops)(law)
	switch {
	case ok && z.FarM != nil && outside(z.FarIntervalM, far):
		move("far", length(far), length(*z.FarM))
	case ok && z.FarM == nil:
		move("far_at_all", length(far))
	case !ok && z.FarM != nil && !math.IsInf(z.FarIntervalM.Hi, 1):
		move("no_far")
	}
	return out
}

// rising warns where the level rises with distance by more than chance.
func (a *answers) rising() {
	d, level, precision := make([]float64, a.s.distinct), make([]float64, a.s.distinct), make([]float64, a.s.distinct)
	for i, k := range a.s.place {
		d[k] = a.s.d[i]
		level[k] += a.s.precision[i] * a.s.facing[i]
		precision[k] += a.s.precision[i]
	}
	floats.Div(level, precision)
	var worst, from, to float64
	for i := 1; i < len(d); i++ {
		rise := level[i] - level[i-1]
		// 3 standard deviations: one step in 700 rises so by chance.
		if rise > 3*math.Sqrt(1/precision[i-1]+1/precision[i]) && rise > worst {
			worst, from, to = rise, d[i-1], d[i]
		}
	}
	if worst == 0 {
		return
	}
	a.rises, a.upward = true, a.Exponent > 0
	a.warn(choose(a.upward, "rising/everywhere", "rising"), digits(worst/math.Ln2), a.o.length(from*a.s.scaleM), a.o.length(to*a.s.scaleM))
}

// suspects looks, where no model fits, for a single reading without which one
// does, and for the data-entry error that would explain it. With four distances
// only the plain law counts, and only an error that is known: a richer one fits
// any three. It never changes a figure.
func (a *answers) suspects(readings []Reading) {
	few := a.s.distinct < 5
	if a.s.distinct < 4 || len(readings) > 60 {
		return
	}
	without, i := a.bestWithout(readings, few)
	if without == nil {
		return
	}
	r := readings[i]
	off := photometry.Stops(r.Level, without.law().LevelTilted(r.DistanceM, r.IncidenceDeg))
	found := say("outlier", upperFirst(r.name(i)), a.o.level(r.Level), a.o.length(r.DistanceM), digits(off))
	nearest := math.Inf(1)
	for _, e := range dataEntryErrors {
		// Several can be this near to each other: all are named, and the nearest
		// gives the code.
		if miss := math.Abs(math.Abs(off) - e.stops); miss < 0.12 {
			if miss < nearest {
				nearest, found.Code = miss, e.code
			}
			found.Text += e.text
		}
	}
	if few && found.Code == "outlier" {
		return
	}
	a.suspect = r.name(i)
	a.Warnings = append(a.Warnings, found)
}

// bestWithout returns the best fit to all readings but one that leaves nothing
// unexplained, and the reading left out; nil where there is none.
func (a *answers) bestWithout(readings []Reading, few bool) (best *fit, i int) {
	for k := range readings {
		s := newSeries(slices.Concat(readings[:k], readings[k+1:]), a.o)
		var f *fit
		switch {
		case s.distinct >= leastDistances:
			f = fitModels(s)[0]
		case few && s.distinct == 3:
			f = fitModel(models[0], s)
		default:
			continue
		}
		if f.misfit() == 1 && (best == nil || f.score() < best.score()) {
			best, i = f, k
		}
	}
	return best, i
}
