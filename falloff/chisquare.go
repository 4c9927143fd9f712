package falloff

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry/leastsquares"
)

// shape is what a law has beside its intensity, in the scaled units of a series:
// the offset o, the squared radius q = R² and the ambient a = A/I. The logarithm
// of the level is smooth in all three, and q and a at zero have a slope, which R
// has not.
type shape struct{ o, q, a float64 }

func (p shape) vector() []float64 { return []float64{p.o, p.q, p.a} }

func shapeOf(x []float64) shape { return shape{x[0], x[1], x[2]} }

// within moves a shape to the nearest that is within bounds.
func (p shape) within(lower, upper shape) shape {
	clip := func(v, lo, hi float64) float64 { return math.Min(math.Max(v, lo), hi) }
	return shape{clip(p.o, lower.o, upper.o), clip(p.q, lower.q, upper.q), clip(p.a, lower.a, upper.a)}
}

// bounds are where the physics ends (ambient and radius below zero, an origin
// beyond the nearest reading) and, far out, where a parameter has long lost its
// meaning.
func (s *series) bounds() (lower, upper shape) {
	d1, dn := s.d[0], s.d[len(s.d)-1]
	return shape{-0.98 * d1, 0, 0}, shape{1e3 * dn, 1e4 * dn * dn, 1e4 / (d1 * d1)}
}

// The width of the prior on the offset in meters, for a tape as it is laid and for
// one that was checked: common practice, no source.
const (
	tapeWidth        = 0.10
	checkedTapeWidth = 0.01
)

// prior is what is known of the offset before any reading: a Cauchy distribution
// about a mean, with its half width at half maximum. Its tails are long, so that a
// light that starts far from where the tape does, as behind a lens, is found
// where the readings say so. A width of infinity knows nothing. It is in the scaled
// units of a series.
type prior struct{ mean, width float64 }

// tape is the prior on the offset of a series.
func (s *series) tape(checked bool) prior {
	if checked {
		return prior{width: checkedTapeWidth / s.scaleM}
	}
	return prior{width: tapeWidth / s.scaleM}
}

// residual is the square root of −2 ln of the density relative to its peak,
// 2·ln(1 + u²), with the sign of u, and its derivative by the offset.
func (t prior) residual(o float64) (r, slope float64) {
	u := (o - t.mean) / t.width
	if math.Abs(u) < 1e-6 {
		return math.Sqrt2 * u, math.Sqrt2 / t.width
	}
	r = math.Copysign(math.Sqrt(2*math.Log1p(u*u)), u)
	return r, 2 * u / (1 + u*u) / r / t.width
}

// solution is a shape with the intensity that fits it best. chi2 has the square of
// the prior's residual in it, readings not.
type solution struct {
	shape
	lnI            float64
	chi2, readings float64
}

// solve returns the solution of a shape: ln I is the weighted mean of what each
// reading makes of it.
func (s *series) solve(p shape, t prior) solution {
	var sum, square float64
	f := &s.fitted
	for i := range f.d {
		z := f.lny[i] - f.lnPerIntensity(p, i)
		sum += f.precision[i] * z
		square += f.precision[i] * z * z
	}
	lnI := sum / s.totalPrecision
	off, _ := t.residual(p.o)
	// Σw(z − mean)², of which rounding may leave a trace below zero.
	readings := f.within + math.Max(0, square-sum*lnI)
	return solution{shape: p, lnI: lnI, chi2: readings + off*off, readings: readings}
}

// lnPerIntensity is ln(level/I) of a shape where reading i was taken.
func (c *columns) lnPerIntensity(p shape, i int) float64 {
	e := c.d[i] + p.o
	return math.Log(c.cos[i]/(e*e+p.q) + p.a)
}

// law turns a solution into a law in the reader's units.
func (s *series) law(p solution) Law {
	area := s.scaleM * s.scaleM
	intensity := math.Exp(p.lnI) * s.scaleE * area
	return Law{Intensity: intensity, OffsetM: p.o * s.scaleM, SourceRadiusM: math.Sqrt(p.q) * s.scaleM, Ambient: intensity * p.a / area}
}

// freedom says which parts of a shape a fit may move; the others stay at zero.
type freedom struct{ offset, radius, ambient bool }

// all lets a fit move everything.
var all = freedom{true, true, true}

// problem is the search for the shape of the least χ², with the intensity in
// closed form at each step and the prior as one residual more.
func (s *series) problem(f freedom, t prior) leastsquares.Problem {
	lower, upper := s.bounds()
	if !f.offset {
		lower.o, upper.o = 0, 0
	}
	if !f.radius {
		upper.q = 0
	}
	if !f.ambient {
		upper.a = 0
	}
	c := &s.fitted
	return leastsquares.Problem{
		Count: len(c.d) + 1, Lower: lower.vector(), Upper: upper.vector(),
		Residuals: func(r, x []float64) {
			p := shapeOf(x)
			lnI := s.solve(p, t).lnI
			for i := range c.d {
				r[i] = (c.lny[i] - c.lnPerIntensity(p, i) - lnI) * c.weight[i]
			}
			r[len(c.d)], _ = t.residual(p.o)
		},
		Jacobian: func(jac, x []float64) { s.jacobian(jac, shapeOf(x), t) },
	}
}

// jacobian fills jac with the derivatives of the residuals of problem, a row of
// three a residual.
func (s *series) jacobian(jac []float64, p shape, t prior) {
	c := &s.fitted
	n := len(c.d)
	var mean [3]float64
	for i := range c.d {
		e := c.d[i] + p.o
		g := 1 / (e*e + p.q)
		level := c.cos[i]*g + p.a
		direct := c.cos[i] * g / level
		row := [3]float64{2 * e * g * direct, g * direct, -1 / level}
		for k, v := range row {
			jac[3*i+k] = v
			mean[k] += v * c.precision[i] / s.totalPrecision
		}
	}
	for i := range c.d {
		for k := range 3 {
			jac[3*i+k] = (jac[3*i+k] - mean[k]) * c.weight[i]
		}
	}
	_, slope := t.residual(p.o)
	jac[3*n], jac[3*n+1], jac[3*n+2] = slope, 0, 0
}

// The coarse grid that the search starts from: offsets and radii in nearest
// distances, ambient as its share of a reading at the farthest.
var (
	startOffsets = []float64{-0.6, -0.3, -0.1, 0.1, 0.4, 1, 3}
	startRadii   = []float64{0, 0.2, 0.5, 1.7, 5.5}
	startShares  = []float64{0, 0.1, 0.4, 0.8}
)

// minima returns the minima of χ² that are found from the plain law and the best
// of a coarse grid, the least first. The plain law's stays where no other is
// better.
func (s *series) minima(f freedom, t prior) []solution {
	problem := s.problem(f, t)
	lower, upper := shapeOf(problem.Lower), shapeOf(problem.Upper)
	d1, dn := s.d[0], s.d[len(s.d)-1]
	var grid []solution
	for _, o := range startOffsets {
		for _, r := range startRadii {
			for _, share := range startShares {
				p := shape{o * d1, r * r * d1 * d1, share / (1 - share) / (dn * dn)}
				grid = append(grid, s.solve(p.within(lower, upper), t))
			}
		}
	}
	slices.SortStableFunc(grid, func(a, b solution) int { return cmp.Compare(a.chi2, b.chi2) })
	var found []solution
	for _, start := range append([]solution{s.solve(shape{}, t)}, grid[:4]...) {
		end := s.descend(problem, start, t)
		if len(found) == 0 || end.chi2 < found[0].chi2-1e-7*(1+found[0].chi2) {
			found = append([]solution{end}, found...)
		} else {
			found = append(found, end)
		}
	}
	return found
}

// descend returns the minimum of a problem below a solution.
func (s *series) descend(problem leastsquares.Problem, from solution, t prior) solution {
	best, err := leastsquares.Solve(problem, from.vector(), leastsquares.Settings{Tolerance: 1e-10, MaxIterations: 200})
	if err != nil {
		return s.solve(from.shape.within(shapeOf(problem.Lower), shapeOf(problem.Upper)), t)
	}
	end := shapeOf(best.Params)
	if math.Abs(end.o) < 1e-12 {
		end.o = 0 // where the search began, but for rounding
	}
	return s.solve(end, t)
}
