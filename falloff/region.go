package falloff

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// region is every law that a series allows: the points of the χ² surface, over
// all parameters at once, that are within the 99 % point of one degree of freedom
// (6.63) of the least. A conclusion's interval is its range over them. It is
// called a 95 % interval and is on the safe side of one, since no lamp is quite a
// disc.
//
// The region is probed along rays in all directions from its minima, turned and
// stretched by the curvature there. Every point on the way counts.
type region struct {
	s      *series
	tape   prior
	best   solution
	misfit float64 // see misfit
	limit  float64 // of χ²
	points []solution
}

// rayCount is the number of rays from a minimum; ten times as many move no end of
// an interval by more than 3 % of its width.
const rayCount = 150

func newRegion(s *series, tape prior) *region {
	minima := s.minima(all, tape)
	// The prior makes up for one of the four parameters.
	r := &region{s: s, tape: tape, best: minima[0], misfit: misfit(minima[0].readings, len(s.d)-3)}
	width := s.quantile * r.misfit
	r.limit = r.best.chi2 + width*width
	for _, m := range minima {
		r.probe(m, rayCount)
	}
	// Laws without a size, or without ambient light, are faces of the region, which
	// few rays meet.
	for _, f := range []freedom{{offset: true, ambient: true}, {offset: true, radius: true}, {offset: true}} {
		r.probe(s.descend(s.problem(f, tape), r.best, tape), 0)
	}
	return r
}

// misfit returns by how much readings scatter beyond their own s about a law,
// √(χ²/ν), where that is more than chance (1 %) would have; otherwise 1.
func misfit(chi2 float64, dof int) float64 {
	nu := float64(dof)
	if dof <= 0 || (distuv.ChiSquared{K: nu}).Survival(chi2) >= 0.01 {
		return 1
	}
	return math.Sqrt(chi2 / nu)
}

// probe follows rays from a minimum to the rim of the region and keeps what is
// within it: first both ways along each main axis, then so many between them, each
// axis counted in its own reach, so that a long one does not hide the others.
func (r *region) probe(from solution, rays int) {
	if from.chi2 > r.limit || slices.ContainsFunc(r.points, func(p solution) bool { return p.shape == from.shape }) {
		return
	}
	r.points = append(r.points, from)
	lower, upper := r.s.bounds()
	along := func(step shape) func(float64) solution {
		return func(t float64) solution {
			return r.s.solve(shape{from.o + t*step.o, from.q + t*step.q, from.a + t*step.a}.within(lower, upper), r.tape)
		}
	}
	axes := r.axes(from)
	var ahead, behind [3]float64
	for j, axis := range axes {
		var within [2][]solution
		within[0], ahead[j] = r.follow(along(axis))
		within[1], behind[j] = r.follow(along(shape{-axis.o, -axis.q, -axis.a}))
		r.points = slices.Concat(r.points, within[0], within[1])
	}
	found := make([][]solution, rays) // by ray, so that their order is always the same
	var group sync.WaitGroup
	for k := range rays {
		// A spiral over the sphere: equal steps along its axis, the golden angle
		// about it.
		z := 1 - (2*float64(k)+1)/float64(rays)
		ring, turn := math.Sqrt(1-z*z), float64(k)*math.Pi*(3-math.Sqrt(5))
		var step shape
		for j, u := range [3]float64{ring * math.Cos(turn), ring * math.Sin(turn), z} {
			t := u * ahead[j]
			if u < 0 {
				t = u * behind[j]
			}
			step.o, step.q, step.a = step.o+t*axes[j].o, step.q+t*axes[j].q, step.a+t*axes[j].a
		}
		group.Go(func() { found[k], _ = r.follow(along(step)) })
	}
	group.Wait()
	r.points = slices.Concat(r.points, slices.Concat(found...))
}

// follow returns the points of a ray that are within the region, and how far it
// reaches. From one step it goes out until a point is outside, or in until one
// is inside, and then halves what is between.
func (r *region) follow(at func(float64) solution) (within []solution, inside float64) {
	outside := math.Inf(1)
	try := func(t float64) {
		if p := at(t); p.chi2 <= r.limit {
			within = append(within, p)
			inside = t
		} else {
			outside = t
		}
	}
	t := 1.0
	for try(t); math.IsInf(outside, 1) && t < 1e9; try(t) {
		t *= 2
	}
	for inside == 0 && t > 1e-9 {
		t /= 2
		try(t)
	}
	for range 7 {
		try((inside + math.Min(outside, 2*inside)) / 2)
	}
	return within, inside
}

// axes are the main axes of χ² about a minimum, each so long that it raises χ² by
// one; where χ² is flat, long.
func (r *region) axes(at solution) [3]shape {
	n := len(r.s.fitted.d) + 1
	jac := mat.NewDense(n, 3, nil)
	r.s.jacobian(jac.RawMatrix().Data, at.shape, r.tape)
	// Each parameter in its own unit, or the flattest would drown in rounding.
	var unit [3]float64
	for k := range unit {
		column := mat.Col(nil, k, jac)
		unit[k] = 1 / math.Max(floats.Norm(column, 2), 1e-6)
		floats.Scale(unit[k], column)
		jac.SetCol(k, column)
	}
	var curvature mat.SymDense
	curvature.SymOuterK(1, jac.T())
	var eigen mat.EigenSym
	if !eigen.Factorize(&curvature, true) {
		panic("falloff: the curvature of χ² has no axes")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	var axes [3]shape
	for k, v := range eigen.Values(nil) {
		length := 1 / math.Sqrt(math.Max(v, 1e-6))
		axes[k] = shape{length * unit[0] * vectors.At(0, k), length * unit[1] * vectors.At(1, k), length * unit[2] * vectors.At(2, k)}
	}
	return axes
}

// law is the best law.
func (r *region) law() Law { return r.s.law(r.best) }

// interval returns the range of a quantity of the shape alone over the region.
func (r *region) interval(of func(Law) float64) Interval {
	iv := Interval{math.Inf(1), math.Inf(-1)}
	for _, p := range r.points {
		iv = iv.hull(of(r.s.law(p)))
	}
	return iv
}

// extreme is a law of the region and by how much its intensity may be off its best
// either way, as a factor, as far as χ² lets it.
type extreme struct {
	Law
	stray float64
}

func (r *region) extremes() []extreme {
	out := make([]extreme, len(r.points))
	for i, p := range r.points {
		out[i] = extreme{r.s.law(p), math.Exp(math.Sqrt((r.limit - p.chi2) / r.s.totalPrecision))}
	}
	return out
}

// levels returns the range of a quantity that is proportional to the intensity.
func levels(among []extreme, of func(Law) float64) Interval {
	iv := Interval{math.Inf(1), math.Inf(-1)}
	for _, e := range among {
		level := of(e.Law)
		iv = Interval{math.Min(iv.Lo, level/e.stray), math.Max(iv.Hi, level*e.stray)}
	}
	return iv
}

// distanceAt returns the range of distances at which a level is, open where some
// law has none.
func (r *region) distanceAt(level float64) Interval {
	iv := Interval{math.Inf(1), math.Inf(-1)}
	for _, e := range r.extremes() {
		for _, stray := range []float64{1 / e.stray, e.stray} {
			l := e.Law
			l.Intensity, l.Ambient = l.Intensity*stray, l.Ambient*stray
			d, ok := l.DistanceAt(level)
			if !ok {
				d = math.Inf(1)
			}
			iv = iv.hull(d)
		}
	}
	return iv
}

// radius returns the interval of the source's radius in meters, without an upper
// end where the readings set none.
func (r *region) radius() Interval {
	_, upper := r.s.bounds()
	iv := r.interval(func(l Law) float64 { return l.SourceRadiusM })
	if iv.Hi > 0.99*math.Sqrt(upper.q)*r.s.scaleM {
		iv.Hi = math.Inf(1)
	}
	return iv
}
