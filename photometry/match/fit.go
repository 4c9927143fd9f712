package match

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry/lamps"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// levelFit finds what of each lamp's light of the day before makes today's
// levels: y_i = Σ a_j·map_ij, no a below zero, each place weighted by the scatter
// of its two readings.
//
// Readings scatter in proportion, so the equations are divided by their standard
// deviations: of today's reading, and of the day before's, which every map
// carries. The error of fitted shares and of a drift that was taken out runs
// smoothly over the surface; it enters the covariance by its own gradient.
type levelFit struct {
	m     *matching
	light *lampLight
	rows  []int     // pairs
	sd    []float64 // of each row, in the unit of the levels
	nu    int       // degrees of freedom of the scatter, 0 where it is known

	units   [][]int // lamps that are fitted as one; each lamp is in one
	held    []int   // units too weak to be told, held near their level of the day before
	ambient bool    // light that was not there, even over the surface
	moved   int     // lamp whose map may tilt, −1 for none
	solved
}

// solved is what a set of columns makes of today's levels.
type solved struct {
	x    []float64     // a of each unit, then the ambient level, then the two tilts
	cov  *mat.SymDense // nil where the columns are not independent
	chi2 float64       // sum of squares in units of the scatter
	free int           // degrees of freedom left
}

// newLevelFit collects the rows.
func (m *matching) newLevelFit(light *lampLight) *levelFit {
	f := &levelFit{m: m, light: light, moved: -1}
	var widest pairNoise
	for _, n := range m.noises() {
		if n.before.Stops+n.after.Stops >= widest.before.Stops+widest.after.Stops {
			widest = n
		}
	}
	f.nu = widest.freedom()
	for k, p := range m.r.Points {
		known := !p.Excluded
		for _, column := range light.level {
			known = known && !math.IsNaN(column[k])
		}
		if known {
			f.rows = append(f.rows, k)
			// Readings that agree to the digit still have a last digit.
			f.sd = append(f.sd, p.After*math.Ln2*math.Max(1e-4, math.Sqrt(m.variance(p, widest))))
		}
	}
	for j := range light.names {
		f.units = append(f.units, []int{j})
	}
	return f
}

// column is a level at every row in units of its scatter.
func (f *levelFit) column(level func(k int) float64) []float64 {
	out := make([]float64, len(f.rows))
	for i, k := range f.rows {
		out[i] = level(k) / f.sd[i]
	}
	return out
}

// local are the coordinates of a pair in the box of all, −1 to 1 on each side.
func (f *levelFit) local() func(k int) (u, v float64) {
	var x, y []float64
	for _, k := range f.rows {
		x, y = append(x, f.m.r.Points[k].X), append(y, f.m.r.Points[k].Y)
	}
	box, _ := spatial.BoxOf(x, y)
	return func(k int) (u, v float64) { return box.Local(f.m.r.Points[k].X, f.m.r.Points[k].Y) }
}

// columns are those of the units, the ambient light and the tilts.
func (f *levelFit) columns() [][]float64 {
	var out [][]float64
	for _, unit := range f.units {
		out = append(out, f.column(func(k int) float64 {
			sum := 0.0
			for _, j := range unit {
				sum += f.light.level[j][k]
			}
			return sum
		}))
	}
	if f.ambient {
		out = append(out, f.column(func(int) float64 { return 1 }))
	}
	if f.moved >= 0 {
		local := f.local()
		out = append(out, f.column(func(k int) float64 { u, _ := local(k); return u * f.light.level[f.moved][k] }),
			f.column(func(k int) float64 { _, v := local(k); return v * f.light.level[f.moved][k] }))
	}
	return out
}

// solve fits the columns; ok is false where there are fewer rows than columns.
func (f *levelFit) solve() bool {
	columns := f.columns()
	today := f.column(func(k int) float64 { return f.m.r.Points[k].After })
	for _, u := range f.held { // an equation more: a = 1 ± heldWithin
		for j := range columns {
			columns[j] = append(columns[j], 0)
		}
		columns[u][len(today)] = 1 / heldWithin
		today = append(today, 1/heldWithin)
	}
	n, p := len(today), len(columns)
	if n < p || len(f.rows) == 0 {
		return false
	}
	signed := len(f.units) // columns that may not be negative
	if f.ambient {
		signed++
	}
	a := mat.NewDense(n, 2*p-signed, nil)
	for j, c := range columns {
		a.SetCol(j, c)
		if j >= signed { // either sign
			floats.Scale(-1, c)
			a.SetCol(p+j-signed, c)
			floats.Scale(-1, c)
		}
	}
	both, _ := lamps.NonnegativeLeastSquares(a, today, 0)
	f.x = slices.Clone(both[:p])
	for j := signed; j < p; j++ {
		f.x[j] -= both[p+j-signed]
	}
	rest := slices.Clone(today)
	for j, c := range columns {
		floats.AddScaled(rest, -f.x[j], c)
	}
	f.chi2, f.free = floats.Dot(rest, rest), n-p
	f.cov = f.covariance(columns)
	return true
}

// covariance is that of the plain least-squares solution with all columns free,
// also of those that ended at zero: it errs on the wide side there, since a lamp
// that may give a little leaves the others uncertain.
func (f *levelFit) covariance(columns [][]float64) *mat.SymDense {
	p := len(columns)
	normal := mat.NewSymDense(p, nil)
	size := make([]float64, p)
	for i := range columns {
		size[i] = floats.Norm(columns[i], 2)
		if size[i] == 0 {
			return nil
		}
	}
	for i := range columns {
		for j := i; j < p; j++ {
			normal.SetSym(i, j, floats.Dot(columns[i], columns[j])/size[i]/size[j])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) || chol.Cond() > 1e10 {
		return nil
	}
	inverse := mat.NewSymDense(p, nil)
	if chol.InverseTo(inverse) != nil {
		return nil
	}
	for i := range columns {
		for j := i; j < p; j++ {
			inverse.SetSym(i, j, inverse.At(i, j)/size[i]/size[j])
		}
	}
	cov := mat.NewSymDense(p, nil)
	cov.CopySym(inverse)
	// Errors that run smoothly over the surface, by how they carry to x.
	for _, by := range f.smoothErrors() {
		carried := mat.NewVecDense(p, nil)
		for i := range columns {
			carried.SetVec(i, floats.Dot(columns[i][:len(by)], by))
		}
		var g mat.VecDense
		g.MulVec(inverse, carried)
		cov.SymRankOne(cov, 1, &g)
	}
	return cov
}

// smoothErrors are independent errors of one standard deviation each, as columns:
// of the drifts that were taken out, and of the fitted shares.
func (f *levelFit) smoothErrors() [][]float64 {
	var out [][]float64
	for _, d := range []struct {
		day   *matchDay
		point func(Point) int
	}{{f.m.before, func(p Point) int { return p.before }}, {f.m.after, func(p Point) int { return p.after }}} {
		if d.day.taken() != nil {
			out = append(out, f.column(func(k int) float64 {
				p := f.m.r.Points[k]
				return math.Ln2 * d.day.lever(d.point(p)) * p.After
			}))
		}
	}
	s := f.light.shares
	if s == nil {
		return out
	}
	trims := f.byLamp()[:s.Lamps]
	var x, y []float64
	for _, k := range f.rows {
		x, y = append(x, f.m.r.Points[k].X), append(y, f.m.r.Points[k].Y)
	}
	for _, by := range s.Errors(x, y, trims) {
		for i, k := range f.rows {
			lit := 0.0
			for j := range s.Lamps {
				lit += f.light.level[j][k]
			}
			by[i] *= lit / f.sd[i]
		}
		out = append(out, by)
	}
	return out
}

// byLamp is the factor of each lamp.
func (f *levelFit) byLamp() []float64 {
	out := make([]float64, len(f.light.names))
	for u, unit := range f.units {
		for _, j := range unit {
			out[j] = f.x[u]
		}
	}
	return out
}

// misfit is by how much residuals exceed what the readings' scatter allows, as a
// variance ratio, at least 1.
func (f *levelFit) misfit() float64 {
	if f.free <= 0 {
		return 1
	}
	return math.Max(1, f.chi2/float64(f.free))
}

// explained reports whether the residuals are no more than scatter leaves in 97.5
// of 100 cases.
func (f *levelFit) explained() bool {
	if f.free <= 0 {
		return true
	}
	ratio := f.chi2 / float64(f.free)
	if f.nu > 0 {
		return ratio <= distuv.F{D1: float64(f.free), D2: float64(f.nu)}.Quantile(uncertainty.OneSided)
	}
	return ratio <= distuv.ChiSquared{K: float64(f.free)}.Quantile(uncertainty.OneSided)/float64(f.free)
}

// half is half of the 95 % interval of the c-th unknown, by the scatter of the
// readings or about the fit, whichever says more; +Inf where it is not determined.
func (f *levelFit) half(c int) float64 {
	if f.cov == nil {
		return math.Inf(1)
	}
	return f.halfOf(f.cov.At(c, c))
}

func (f *levelFit) halfOf(variance float64) float64 {
	half := uncertainty.Factor(f.nu)
	if f.free > 0 {
		half = max(half, uncertainty.Factor(f.free)*math.Sqrt(f.chi2/float64(f.free)))
	}
	return half * math.Sqrt(variance)
}

// beats is what an F ratio of so many numerator degrees of freedom exceeds in one
// of a thousand cases by chance.
func (f *levelFit) beats(numerator int) float64 {
	nu := float64(f.nu)
	if f.nu == 0 {
		nu = 1e6
	}
	return distuv.F{D1: float64(numerator), D2: nu}.Quantile(0.999)
}
