package falloff

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// fit is one model fitted to a series.
type fit struct {
	model
	s            *series
	x            []float64 // scaled parameters at the least χ²
	chi2         float64
	lower, upper []float64
	w            *search
	problem      Problem
	cov          []float64 // of x, params×params; zero for what is held
	// intervals are in scaled units; ends holds the whole parameter vector at
	// each end (at the bound, where an end is open): the edges of the 95 % region.
	intervals []Interval
	ends      [][]float64
}

// fitSettings are enough for parameters to a millionth of their own error.
var fitSettings = Settings{Tolerance: 1e-9, MaxIterations: 200}

// fitModel finds the least χ² of a model from all of its starts.
func fitModel(m model, s *series) *fit {
	n := m.params()
	f := &fit{
		model: m, s: s,
		x: make([]float64, n), chi2: math.Inf(1),
		lower: make([]float64, n), upper: make([]float64, n),
		w: newSearch(len(s.d), n),
	}
	m.bounds(s, f.lower, f.upper)
	f.problem = Problem{
		Count:     len(s.d),
		Residuals: func(r, x []float64) { m.residuals(s, r, x) },
		Jacobian:  func(jac, x []float64) { m.jacobian(s, jac, x) },
		Lower:     append([]float64(nil), f.lower...),
		Upper:     append([]float64(nil), f.upper...),
	}
	for _, x := range m.starts(s) {
		f.search(x)
	}
	return f
}

// search minimizes from x and keeps what is better than before.
func (f *fit) search(x []float64) {
	f.w.start(x)
	if f.w.run(&f.problem, 1e-3, fitSettings) && f.w.ss < f.chi2 {
		f.chi2 = f.w.ss
		copy(f.x, f.w.x)
	}
}

func (f *fit) score() float64 { return f.chi2 + 2*float64(f.params()) }

func (f *fit) law() Law { return f.model.law(f.s, f.x) }

// fitModels fits every model that the series has enough distances for, one more
// than parameters, and returns them best score first. A richer model is also
// started from its simpler ones' answers, so that it never fits worse than they.
func fitModels(s *series) []*fit {
	var fits []*fit
	for _, m := range models {
		if m.params() >= s.distinct {
			continue
		}
		f := fitModel(m, s)
		for _, g := range fits {
			if x, ok := m.widen(s, g); ok {
				f.search(x)
			}
		}
		fits = append(fits, f)
	}
	// An insertion sort keeps the simpler model first on equal scores.
	for i := 1; i < len(fits); i++ {
		for k := i; k > 0 && fits[k].score() < fits[k-1].score(); k-- {
			fits[k], fits[k-1] = fits[k-1], fits[k]
		}
	}
	return fits
}

// widen returns g's answer as parameters of m, where g is a special case of m.
func (m model) widen(s *series, g *fit) ([]float64, bool) {
	if g.shape != point && g.shape != m.shape || g.ambient && !m.ambient {
		return nil, false
	}
	x := make([]float64, m.params())
	for k := range x {
		x[k], _ = m.zero(s, k)
	}
	x[0] = g.x[0]
	if g.shape != point {
		x[1] = g.x[1]
	}
	if g.ambient {
		x[len(x)-1] = g.x[len(g.x)-1]
	}
	return x, true
}

// misfit returns by how much the readings scatter beyond their own s about the
// fit, √(χ²/ν), where that is more than chance (1 %) would have; otherwise 1.
func (f *fit) misfit() float64 {
	dof := float64(len(f.s.d) - f.params())
	if dof <= 0 {
		return 1
	}
	if (distuv.ChiSquared{K: dof}).Survival(f.chi2) >= 0.01 {
		return 1
	}
	return math.Sqrt(f.chi2 / dof)
}

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
	f.ends = f.ends[:0]
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
	for j := range f.w.scale {
		f.w.scale[j] = 0
	}
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
	n := len(f.x)
	best := f.x[k]
	bound, open := f.lower[k], math.Inf(-1)
	if side > 0 {
		bound, open = f.upper[k], math.Inf(1)
	}
	physical := side < 0 && k > 0
	step := math.Sqrt(f.cov[k*n+k]) * z
	if !(step > 0) || math.IsInf(step, 0) {
		step = 1e-3 * (1 + math.Abs(best))
		if k > 0 {
			step = 1e-2 * (math.Abs(best) + f.s.d[0]*f.s.d[0])
		}
	}
	from := append(make([]float64, 0, n), f.x...)
	depth := func(v float64) float64 { return f.profile(k, v, from) - z }

	// Step out until past z, then close in: √Δχ² is nearly straight, so the
	// secant lands almost at once.
	lo, dlo := best, -z
	hi, dhi := best, -z
	for i := 0; ; i++ {
		hi = best + side*step
		if (hi-bound)*side >= 0 {
			hi = bound
		}
		dhi = depth(hi)
		if dhi >= 0 {
			break
		}
		if hi == bound {
			f.ends = append(f.ends, append([]float64(nil), from...))
			if physical {
				return bound
			}
			return open
		}
		if i > 60 {
			return open
		}
		lo, dlo = hi, dhi
		// Where the secant through the best point points, at least half as far
		// again and at most four times.
		step *= math.Min(math.Max(1.1*z/math.Max(z+dhi, 1e-3*z), 1.5), 4)
	}
	v := hi
	for i, last := 0, 0; i < 60 && math.Abs(dhi) > 1e-4*z; i++ {
		v = hi - dhi*(hi-lo)/(dhi-dlo)
		if math.Abs(hi-lo) < 1e-9*(math.Abs(hi)+math.Abs(lo)) {
			break
		}
		d := depth(v)
		if math.Abs(d) <= 1e-4*z {
			break
		}
		// The Illinois rule keeps one end from standing still.
		if d < 0 {
			lo, dlo = v, d
			if last < 0 {
				dhi /= 2
			}
			last = -1
		} else {
			hi, dhi = v, d
			if last > 0 {
				dlo /= 2
			}
			last = 1
		}
	}
	f.ends = append(f.ends, append([]float64(nil), from...))
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

// rim returns the point of the rim of the 95 % region in the direction in which
// g changes fastest for its uncertainty, C·∇g, or nil where g does not change.
func (f *fit) rim(g func(Law) (float64, bool), side, z float64) []float64 {
	n := len(f.x)
	grad := make([]float64, n)
	x := append([]float64(nil), f.x...)
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
