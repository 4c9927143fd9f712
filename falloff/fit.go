package falloff

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
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
		Lower:     slices.Clone(f.lower),
		Upper:     slices.Clone(f.upper),
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
	// The simpler model stays first on equal scores.
	slices.SortStableFunc(fits, func(a, b *fit) int { return cmp.Compare(a.score(), b.score()) })
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
	if dof <= 0 || (distuv.ChiSquared{K: dof}).Survival(f.chi2) >= 0.01 {
		return 1
	}
	return math.Sqrt(f.chi2 / dof)
}

// result writes a fit in the reader's units.
func (f *fit) result() Model {
	m := Model{
		Name:             f.name,
		Parameters:       map[string]float64{},
		Intervals:        map[string]Interval{},
		Score:            f.score(),
		ChiSquare:        f.chi2,
		DegreesOfFreedom: len(f.s.d) - f.params(),
	}
	for k, name := range f.names() {
		m.Parameters[name] = f.value(f.s, k, f.x[k])
		m.Intervals[name] = f.reader(k)
	}
	f.residuals(f.s, f.w.r, f.x)
	floats.Div(f.w.r, f.s.weight)
	m.RMSStops = floats.Norm(f.w.r, 2) / math.Ln2 / math.Sqrt(float64(len(f.s.d)))
	return m
}

// reader returns the interval of parameter k in the reader's units.
func (f *fit) reader(k int) Interval {
	iv := f.intervals[k]
	return Interval{Lo: f.value(f.s, k, iv.Lo), Hi: f.value(f.s, k, iv.Hi)}
}
