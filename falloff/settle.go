package falloff

import (
	"fmt"
	"math"
	"strings"
)

// Least that must stand behind a settled answer.
const (
	leastDistances = 4
	leastSpare     = 2
	leastRange     = 2.0
)

// settle decides whether the answer stands and says each reason against it.
func (a *answers) settle(readings []Reading) {
	d := a.d
	before := len(d.Warnings)
	switch spare := len(a.s.d) - a.best.params(); {
	case a.s.distinct < leastDistances:
		a.warn("few_readings", "Readings at %d distances cannot tell one law from another: read at %d or more.", a.s.distinct, leastDistances)
	case spare < leastSpare:
		a.warn("few_readings", "Only %d reading more than the law has parameters: nothing checks it.", spare)
	}
	if d.FarM/d.NearM < leastRange {
		a.warn("short_range", "From %s to %s the distance changes by a factor of %s only: too little to see how the light falls.",
			a.length(d.NearM), a.length(d.FarM), digits(d.FarM/d.NearM))
	}
	if a.widen > 1 {
		a.warn("no_model_fits", "The readings scatter %s times more about the best law than their repeatability of %s %% allows: no model here is the whole story, and the intervals are stretched to match.",
			digits(a.widen), digits(a.s.repeat.Percent))
		a.suspects(readings)
	}
	for _, f := range a.rivals() {
		a.warn("rival_model", "%s fits about as well (score %.1f against %.1f) and would put %s.",
			upperFirst(f.words), f.score(), a.best.score(), strings.Join(a.moves(f), ", "))
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
		if _, ok := a.d.Models[0].Parameters[name]; ok {
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
	d, law := a.d, f.law()
	outside := func(iv *Interval, v float64) bool {
		slack := 1e-3 * math.Abs(v)
		return iv != nil && (v < iv.Lo-slack || v > iv.Hi+slack)
	}
	// The intensity is compared whatever the unit: the interval is the best
	// fit's own.
	if iv := a.best.reader(0); outside(&iv, law.Intensity) {
		out = append(out, fmt.Sprintf("the intensity at %s instead of %s", a.intensity(law.Intensity), a.intensity(a.law.Intensity)))
	}
	own := a.best.inverseSquareInterval()
	if v := law.InverseSquareFrom(inverseSquareTolerance); outside(&own, v) {
		out = append(out, fmt.Sprintf("the start of the inverse square at %s instead of %s", a.length(v), a.length(d.InverseSquareFromM)))
	}
	if d.Depth == nil {
		return out
	}
	near, ok := nearEnd(d.MarkM, d.Depth.WithinStops)(law)
	if !ok || outside(d.Depth.NearIntervalM, near) {
		out = append(out, fmt.Sprintf("the near end of the zone at %s instead of %s", a.length(near), a.length(d.Depth.NearM)))
	}
	far, ok := farEnd(d.MarkM, d.Depth.WithinStops)(law)
	switch {
	case ok && d.Depth.FarM != nil && outside(d.Depth.FarIntervalM, far):
		out = append(out, fmt.Sprintf("the far end of the zone at %s instead of %s", a.length(far), a.length(*d.Depth.FarM)))
	case ok && d.Depth.FarM == nil:
		out = append(out, fmt.Sprintf("the far end of the zone at %s", a.length(far)))
	case !ok && d.Depth.FarM != nil && !math.IsInf(d.Depth.FarIntervalM.Hi, 1):
		out = append(out, "no far end to the zone")
	}
	return out
}

// rising warns where the level rises with distance by more than chance.
func (a *answers) rising() {
	places := make([]struct{ d, sum, weight float64 }, a.s.distinct)
	for i, d := range a.s.d {
		p := &places[a.s.place[i]]
		p.d = d
		w := a.s.weight[i] * a.s.weight[i]
		p.sum += w * (a.s.lny[i] - math.Log(a.s.cos[i]))
		p.weight += w
	}
	var worst, from, to float64
	for i := 1; i < len(places); i++ {
		p, q := places[i-1], places[i]
		rise := q.sum/q.weight - p.sum/p.weight
		// 3 standard deviations: one step in 700 rises so by chance.
		if rise > 3*math.Sqrt(1/p.weight+1/q.weight) && rise > worst {
			worst, from, to = rise, p.d, q.d
		}
	}
	if worst == 0 {
		return
	}
	what := "a light that is focused farther out, another light, the meter's own shadow, or two readings swapped"
	a.rises = true
	if a.d.Exponent > 0 {
		a.upward = true
		what = "columns swapped, distances measured from the wrong end, or another light behind the meter"
	}
	a.warn("rising", "The level rises by %s stop from %s to %s. A light alone falls with distance: look for %s.",
		digits(worst/math.Ln2), a.length(from*a.s.scaleM), a.length(to*a.s.scaleM), what)
}

// suspects looks, where no model fits, for a single reading without which one
// does, and for the slip that would explain it. With four distances only the
// plain law counts, and only a slip that is known: a richer one fits any three.
// It never changes a figure.
func (a *answers) suspects(readings []Reading) {
	few := a.s.distinct < 5
	if a.s.distinct < 4 || len(readings) > 60 {
		return
	}
	var worst *fit
	left := -1
	for i := range readings {
		rest := make([]Reading, 0, len(readings)-1)
		rest = append(append(rest, readings[:i]...), readings[i+1:]...)
		s := newSeries(rest, a.o)
		var f *fit
		switch {
		case s.distinct >= leastDistances:
			f = fitModels(s)[0]
		case few && s.distinct == 3:
			f = fitModel(models[0], s)
		default:
			continue
		}
		if f.misfit() == 1 && (worst == nil || f.score() < worst.score()) {
			worst, left = f, i
		}
	}
	if worst == nil {
		return
	}
	r := readings[left]
	off := math.Log2(r.Level / worst.law().LevelTilted(r.DistanceM, r.IncidenceDeg))
	text := fmt.Sprintf("%s (%s at %s) is %s stop off the law of all the others: read it again.",
		upperFirst(r.name(left)), a.level(r.Level), a.length(r.DistanceM), digits(off))
	code, nearest := "outlier", math.Inf(1)
	for _, slip := range []struct {
		stops float64
		code  string
		words string
	}{
		{2 * math.Log2(1/0.3048), "lux_fc_swap", "Lux and footcandles, or meters and feet, swapped would do that."},
		{math.Log2(10), "decimal_slip", "A slip of the decimal point would do that."},
		{2 * math.Log2(10), "decimal_slip", "A slip of the decimal point in the distance would do that."},
		{2 * math.Log2(100), "decimal_slip", "A distance in centimeters taken for meters would do that."},
	} {
		// Several slips can be this near to each other: all are named, and the
		// nearest gives the code.
		if miss := math.Abs(math.Abs(off) - slip.stops); miss < 0.12 {
			if miss < nearest {
				nearest, code = miss, slip.code
			}
			text += " " + slip.words
		}
	}
	if few && code == "outlier" {
		return
	}
	a.suspect = r.name(left)
	a.warn(code, "%s", text)
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
