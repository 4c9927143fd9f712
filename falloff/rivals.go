package falloff

import (
	"math"
	"slices"

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
		a.warn("few_readings", "distances", a.s.distinct, "least", leastDistances)
	case spare < leastSpare:
		a.warn("unchecked.few_readings", "spare", spare)
	}
	if d.FarM/d.NearM < leastRange {
		a.warn("short_range", "near", photometry.Length(d.NearM), "far", photometry.Length(d.FarM), "factor", d.FarM/d.NearM)
	}
	if a.widen > 1 {
		a.warn("no_model_fits", "times", a.widen, "percent", a.s.repeat.Percent)
		a.suspects(readings)
	}
	for _, f := range a.rivals() {
		a.warn("rival_model", "rival", LawName(f.name), "score", f.score(), "best_score", a.best.score(), "moves", a.moves(f))
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

// moves says which answers f puts outside the best model's interval.
func (a *answers) moves(f *fit) []Finding {
	var out []Finding
	outside := func(iv *Interval, v float64) bool {
		slack := 1e-3 * math.Abs(v)
		return iv != nil && (v < iv.Lo-slack || v > iv.Hi+slack)
	}
	law := f.law()
	// The intensity is compared whatever the unit: the interval is the best
	// fit's own.
	if iv := a.best.reader(0); outside(&iv, law.Intensity) {
		out = append(out, photometry.Found("moved_intensity", "to", law.Intensity, "from", a.law.Intensity, "levels", quantities[a.o.Unit]))
	}
	own := a.best.inverseSquareInterval()
	if v := law.InverseSquareFrom(inverseSquareTolerance); outside(&own, v) {
		out = append(out, photometry.Found("moved_start", "to", photometry.Length(v), "from", photometry.Length(a.InverseSquareFromM)))
	}
	z := a.Depth
	if z == nil {
		return out
	}
	near, ok := nearEnd(a.MarkM, z.WithinStops)(law)
	if !ok || outside(z.NearIntervalM, near) {
		out = append(out, photometry.Found("moved_near_end", "to", photometry.Length(near), "from", photometry.Length(z.NearM)))
	}
	far, ok := farEnd(a.MarkM, z.WithinStops)(law)
	switch {
	case ok && z.FarM != nil && outside(z.FarIntervalM, far):
		out = append(out, photometry.Found("moved_far_end", "to", photometry.Length(far), "from", photometry.Length(*z.FarM)))
	case ok && z.FarM == nil:
		out = append(out, photometry.Found("gained_far_end", "to", photometry.Length(far)))
	case !ok && z.FarM != nil && !math.IsInf(z.FarIntervalM.Hi, 1):
		out = append(out, photometry.Found("lost_far_end"))
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
	near, far := photometry.Length(from*a.s.scaleM), photometry.Length(to*a.s.scaleM)
	if a.upward {
		a.warn("everywhere.rising", "rise", worst/math.Ln2, "from", near, "to", far)
	} else {
		a.warn("rising", "rise", worst/math.Ln2, "from", near, "to", far)
	}
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
	code, nearest := "outlier", math.Inf(1)
	var causes []Finding
	for _, e := range dataEntryErrors {
		// Several can be this near to each other: all are named, and the nearest
		// gives the code.
		if miss := math.Abs(math.Abs(off) - e.stops); miss < 0.12 {
			if miss < nearest {
				nearest, code = miss, e.code
			}
			causes = append(causes, e.cause)
		}
	}
	if few && code == "outlier" {
		return
	}
	name := r.called(i)
	found := photometry.Found("outlier", "reading", name, "level", a.o.level(r.Level), "at", photometry.Length(r.DistanceM), "off", off, "slips", causes)
	found.Code = code
	a.suspect = &name
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
