package falloff

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// interval settles the profile-likelihood intervals of all parameters. widen
// (1 or the misfit) stretches them.
//
// The interval of a parameter holds the values at which the least χ² over the
// other parameters is within z² of the least of all, z = 1.96 (Student's t where
// repeatability itself is estimated). Where the best value stands on its bound,
// the test is one-sided and z = 1.645. Source: D. J. Venzon, S. H. Moolgavkar,
// Appl. Statist. 37 (1988) 87.
func (f *fit) interval(widen float64) {
	n := len(f.x)
	f.cov = f.fullCovariance()
	f.intervals = make([]Interval, n)
	f.ends = nil
	z := f.s.quantile * widen
	oneSided := z * distuv.UnitNormal.Quantile(0.95) / distuv.UnitNormal.Quantile(0.975)
	for k := range f.x {
		iv := Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}
		if f.x[k] <= f.lower[k]+1e-9 {
			iv.Lo = f.lower[k]
			iv.Hi = f.end(k, +1, oneSided)
		} else {
			iv.Lo = f.end(k, -1, z)
			iv.Hi = f.end(k, +1, z)
		}
		f.intervals[k] = iv
	}
}

// fullCovariance returns the covariance of the scaled parameters at the
// minimum from the curvature, zero where a parameter is held or undetermined.
func (f *fit) fullCovariance() []float64 {
	n := len(f.x)
	out := make([]float64, n*n)
	copy(f.w.x, f.x)
	f.problem.Residuals(f.w.r, f.w.x)
	clear(f.w.scale)
	cov := f.w.covariance(&f.problem)
	if cov == nil {
		return out
	}
	k := len(f.w.free)
	for i, a := range f.w.free {
		for j, b := range f.w.free {
			out[a*n+b] = cov[i*k+j]
		}
	}
	return out
}

// end finds the end of the profile interval of parameter k on one side, where
// the profile's √(χ² − least) reaches z. It returns the bound where the profile
// stays below z up to a bound that physics sets, and infinity where it stays
// below up to one that is only the end of the search.
func (f *fit) end(k int, side float64, z float64) float64 {
	bound, open := f.lower[k], math.Inf(-1)
	if side > 0 {
		bound, open = f.upper[k], math.Inf(1)
	}
	from := slices.Clone(f.x)
	depth := func(v float64) float64 { return f.profile(k, v, from) - z }
	lo, hi := stepOut(edge{f.x[k], -z}, bound, side*f.firstStep(k, z), z, depth)
	v := open
	switch {
	case hi.depth >= 0:
		v = closeIn(lo, hi, z, depth)
	case hi.v != bound:
		return open
	case side < 0 && k > 0:
		v = bound
	}
	f.ends = append(f.ends, from)
	return v
}

// firstStep is how far to look for the end first: where the curvature puts it.
func (f *fit) firstStep(k int, z float64) float64 {
	step := math.Sqrt(f.cov[k*len(f.x)+k]) * z
	switch {
	case step > 0 && !math.IsInf(step, 0):
		return step
	case k > 0:
		return 1e-2 * (math.Abs(f.x[k]) + f.s.d[0]*f.s.d[0])
	}
	return 1e-3 * (1 + math.Abs(f.x[k]))
}

// edge is a value of a parameter and the profile's depth there: √(χ² − least)
// less z.
type edge struct{ v, depth float64 }

// stepOut steps from the best value until the profile is past z, up to bound. It
// returns the last two values; the last has a depth below zero where the profile
// stays below.
func stepOut(best edge, bound, step, z float64, depth func(float64) float64) (lo, hi edge) {
	hi = best
	for range 62 {
		lo, hi.v = hi, best.v+step
		if (hi.v-bound)*step >= 0 {
			hi.v = bound
		}
		if hi.depth = depth(hi.v); hi.depth >= 0 || hi.v == bound {
			return lo, hi
		}
		// Where the secant through the best point points, at least half as far
		// again and at most four times.
		step *= math.Min(math.Max(1.1*z/math.Max(z+hi.depth, 1e-3*z), 1.5), 4)
	}
	return lo, hi
}

// closeIn finds the value between two at which the depth is zero: √Δχ² is nearly
// straight, so the secant lands almost at once.
func closeIn(lo, hi edge, z float64, depth func(float64) float64) float64 {
	v := hi.v
	for i, last := 0, 0; i < 60 && math.Abs(hi.depth) > 1e-4*z; i++ {
		v = hi.v - hi.depth*(hi.v-lo.v)/(hi.depth-lo.depth)
		if math.Abs(hi.v-lo.v) < 1e-9*(math.Abs(hi.v)+math.Abs(lo.v)) {
			break
		}
		at := edge{v, depth(v)}
		if math.Abs(at.depth) <= 1e-4*z {
			break
		}
		// The Illinois rule keeps one end from standing still.
		if at.depth < 0 {
			lo = at
			if last < 0 {
				hi.depth /= 2
			}
			last = -1
		} else {
			hi = at
			if last > 0 {
				lo.depth /= 2
			}
			last = 1
		}
	}
	return v
}

// profile returns √(χ² − least) with parameter k held at v and the others free,
// searching from the vector from, which it moves to the answer.
func (f *fit) profile(k int, v float64, from []float64) float64 {
	p := &f.problem
	p.Lower[k], p.Upper[k] = v, v
	from[k] = v
	f.w.start(from)
	ok := f.w.run(p, 1e-3, fitSettings)
	p.Lower[k], p.Upper[k] = f.lower[k], f.upper[k]
	if !ok {
		return math.Inf(1)
	}
	copy(from, f.w.x)
	return math.Sqrt(math.Max(0, f.w.ss-f.chi2))
}

// derived returns the 95 % interval of a quantity that follows from the law, by
// evaluating it where it changes fastest on the rim of the region
// χ² − least ≤ z², and at the ends of the parameters' own profiles. Where g has
// no value at some of those, ok is false and the interval holds the others.
func (f *fit) derived(g func(Law) (float64, bool), widen float64) (iv Interval, ok bool) {
	g0, ok := g(f.law())
	if !ok {
		return Interval{}, false
	}
	iv = Interval{Lo: g0, Hi: g0}
	see := func(x []float64) {
		v, valid := g(f.model.law(f.s, x))
		if !valid || math.IsNaN(v) {
			ok = false
			return
		}
		iv = iv.hull(v)
	}
	for _, x := range f.ends {
		see(x)
	}
	for _, side := range [2]float64{1, -1} {
		if x := f.rim(g, side, f.s.quantile*widen); x != nil {
			see(x)
		}
	}
	return iv, ok
}

// derivedOpen is derived with an end left open where the quantity has no value
// somewhere in the region.
func (f *fit) derivedOpen(g func(Law) (float64, bool), widen, open float64) Interval {
	iv, ok := f.derived(g, widen)
	if !ok {
		iv = iv.hull(open)
	}
	return iv
}

// rim returns the point of the rim of the 95 % region in the direction in which
// g changes fastest for its uncertainty, C·∇g, or nil where g does not change.
func (f *fit) rim(g func(Law) (float64, bool), side, z float64) []float64 {
	n := len(f.x)
	grad := make([]float64, n)
	x := slices.Clone(f.x)
	for k := range x {
		sd := math.Sqrt(f.cov[k*n+k])
		if sd == 0 {
			continue
		}
		h := 0.01 * sd
		x[k] = math.Min(f.x[k]+h, f.upper[k])
		up, ok1 := g(f.model.law(f.s, x))
		top := x[k]
		x[k] = math.Max(f.x[k]-h, f.lower[k])
		down, ok2 := g(f.model.law(f.s, x))
		if ok1 && ok2 && top > x[k] {
			grad[k] = (up - down) / (top - x[k])
		}
		x[k] = f.x[k]
	}
	dir := make([]float64, n)
	var variance float64
	for i := range dir {
		for j := range grad {
			dir[i] += f.cov[i*n+j] * grad[j]
		}
		variance += grad[i] * dir[i]
	}
	if !(variance > 0) {
		return nil
	}
	t := z / math.Sqrt(variance)
	// The region is not quite an ellipse: walk the ray until χ² agrees.
	for range 6 {
		for k := range x {
			x[k] = math.Min(math.Max(f.x[k]+side*t*dir[k], f.lower[k]), f.upper[k])
		}
		f.residuals(f.s, f.w.r, x)
		got := math.Sqrt(math.Max(0, sumSquares(f.w.r)-f.chi2))
		if math.IsInf(got, 1) {
			t /= 2
			continue
		}
		if got == 0 || math.Abs(got/z-1) < 1e-3 {
			break
		}
		t *= math.Min(math.Max(z/got, 0.25), 4)
	}
	if math.IsInf(sumSquares(f.w.r), 1) {
		return nil
	}
	return x
}
