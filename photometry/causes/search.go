package causes

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/parallel"
)

// candidate is a model to fit and, where it grew from another, that one's parameters:
// NaN for those that are new.
type candidate struct {
	model
	start []float64
}

// search fits the models that may explain a surface, the best first.
type search struct {
	*shape
	fits  []*fit
	tried map[string]bool
}

// explain fits the four bases, even light and the pair of lamps with each fault and
// with a reading that is off, and in two rounds lets the best three gain one more or
// exchange the pair for other lamps.
func (s *shape) explain() []*fit {
	w := &search{shape: s, tried: map[string]bool{}}
	var first []candidate
	for b := range bases {
		first = append(first, candidate{model: model{base: b}})
	}
	w.run(first)
	roots := slices.Clone(w.fits)
	var next []candidate
	for _, root := range roots {
		if root.base == even || root.base == pair {
			next = append(next, w.grow(root)...)
		}
	}
	w.run(next)
	for range 2 {
		next = nil
		for _, f := range w.fits[:min(3, len(w.fits))] {
			if f.score < w.fits[0].score-3 || !w.canGain(f) {
				continue
			}
			next = append(next, w.grow(f)...)
			next = append(next, exchanges(f)...)
		}
		w.run(next)
	}
	return w.fits
}

// run fits candidates that were not tried yet, on all processors.
func (w *search) run(all []candidate) {
	var fresh []candidate
	for _, c := range all {
		if key := c.key(); !w.tried[key] {
			w.tried[key] = true
			fresh = append(fresh, c)
		}
	}
	found := make([]*fit, len(fresh))
	parallel.Each(len(fresh), 1, func(i int) { found[i] = w.fit(fresh[i].model, fresh[i].start) })
	w.fits = append(w.fits, found...)
	slices.SortStableFunc(w.fits, func(a, b *fit) int { return cmp.Compare(b.score, a.score) })
}

// canGain reports whether a fit leaves enough for one more fault to be worth its
// prior: were the readings to fit to their scatter, would the evidence grow by so much?
func (w *search) canGain(f *fit) bool {
	n := float64(len(w.u))
	floor := priorReadings * w.scatter * w.scatter
	left := max(1, n-1-float64(len(f.Z)+3)) * w.scatter * w.scatter
	return (n+priorReadings-1)/2*math.Log((floor+f.RSS)/(floor+0.8*left)) > 4
}

// grow adds each fault that a model does not have yet.
func (w *search) grow(f *fit) []candidate {
	var out []candidate
	for k := range oneOff {
		if k == drifting && !w.timed || slices.ContainsFunc(f.faults, func(x fault) bool { return x.kind == k && k != brightPatch && k != darkPatch || sameShade(x.kind, k) }) {
			continue
		}
		out = append(out, f.grown(fault{k, -1}))
	}
	if i, ok := w.outlier(f); ok {
		out = append(out, f.grown(fault{oneOff, i}))
	}
	return out
}

// sameShade reports whether two faults are both shadows at edges or corners.
func sameShade(a, b kind) bool {
	return a >= shadeLeft && a <= shadeTopRight && b >= shadeLeft && b <= shadeTopRight
}

// outlier is the place farthest from a model, where that is over 2.5 standard
// deviations and the model has not two such places already.
func (w *search) outlier(f *fit) (place int, ok bool) {
	off := 0
	for _, x := range f.faults {
		if x.kind == oneOff {
			off++
		}
	}
	if off >= 2 || w.all != nil || w.computed {
		return 0, false
	}
	largest := 0.0
	for i, v := range w.residuals(w.light(f.model, f.Z)) {
		if v = math.Abs(v); v > largest {
			largest, place = v, i
		}
	}
	return place, largest > 2.5*f.Scatter() && !slices.Contains(f.faults, fault{oneOff, place})
}

// residuals are the readings less a light, in stops about their mean.
func (s *shape) residuals(l *light) []float64 {
	off := l.each(make([]float64, len(s.u)))
	floats.SubTo(off, s.stops, off)
	return about(off)
}

// exchanges puts unequal lamps and one lamp in place of a pair.
func exchanges(f *fit) []candidate {
	if f.base != pair {
		return nil
	}
	own, faults := f.Z[:baseParameters[pair]], f.Z[baseParameters[pair]:]
	return []candidate{
		{model{unequal, f.faults}, slices.Concat(own, make([]float64, baseParameters[unequal]-len(own)), faults)},
		{model{single, f.faults}, slices.Concat(unknown(baseParameters[single]), faults)},
	}
}

// grown is a fit's model with one more fault.
func (f *fit) grown(x fault) candidate {
	return candidate{model{f.base, slices.Concat(f.faults, []fault{x})}, slices.Concat(f.Z, unknown(faultParameters[x.kind]))}
}

func unknown(n int) []float64 { return slices.Repeat([]float64{math.NaN()}, n) }
