package spatial

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Trend is a smooth surface through the logarithm of the levels, fitted so
// that single readings cannot pull it: log2 E on 1, x, y, x², xy, y². Slopes
// are at the middle of the box of readings; positive is brighter toward +x and
// +y. What the places read cannot determine is absent.
type Trend struct {
	TiltX     *float64 `json:"tilt_x_stops_per_m,omitempty"`
	TiltY     *float64 `json:"tilt_y_stops_per_m,omitempty"`
	Curvature *float64 `json:"bow_stops,omitempty"` // middle less the mean of the four edge middles
	Steepest  float64  `json:"steepest_stops_per_m"`
	Residual  float64  `json:"residual_stops"` // rms of the readings about it

	coefficients [Cubic]float64 // in the box's own coordinates, -1 to 1
	box          Box
	center       float64
	terms        []int // those that the places could determine
	finer        bool  // third-degree terms are in use
}

// How many terms a trend has in box coordinates u, v from -1 to 1: 1, u, v of a
// plane, u², uv, v² of the quadratic that describes a surface, then those of third
// degree, which only tell a local patch from a run that is merely not quadratic.
const (
	Plane     = 3
	Quadratic = 6
	Cubic     = 10
)

func trendTerms(u, v float64) [Cubic]float64 {
	return [Cubic]float64{1, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v}
}

// trendOrder is the order in which terms are admitted: a plane before a curvature.
var trendOrder = [Cubic]int{0, 1, 2, 3, 5, 4, 6, 7, 8, 9}

// The usual figures of robust fits: the cut of Tukey's bisquare and of Huber's
// weights in standard deviations, and the standard deviation of a normal variable
// over its median absolute deviation.
const (
	tukey     = 4.685
	huber     = 1.345
	normalMAD = 1.4826
)

// Rounds of the robust search: with Huber's weights first, then Tukey's, the
// scale estimated anew, and from then on with the last scale.
const (
	huberRounds = 4
	scaleRounds = 9
	mostRounds  = 200
)

// binnedAbove is how many places are fitted one by one; above it the robust
// search runs on the medians of small groups.
const binnedAbove = 20_000

// Trend fits the quadratic to levels at the places; skip marks those to leave out,
// nil none. It is nil below 3 places.
func (p *Places) Trend(level []float64, skip []bool) *Trend {
	if len(level) > binnedAbove && skip == nil {
		return p.trendOfGroups(level)
	}
	return p.Fit(level, skip, Quadratic)
}

// Fit fits log2 of the levels by iteratively reweighted least squares with
// Tukey's bisquare (c = 4.685; Holland & Welsch, Comm. Stat. A6, 1977) from a
// Huber start, so that a data-entry error or a local hot spot does not bend it.
// skip marks places to leave out; nil takes all. Terms that the places cannot
// determine are left out; nil is returned below 3 places.
func (p *Places) Fit(level []float64, skip []bool, terms int) *Trend {
	stops := log2Of(level, skip)
	t := &Trend{box: p.Box, finer: terms > Quadratic}
	used := 0
	for _, v := range stops {
		if !math.IsNaN(v) {
			t.center += v
			used++
		}
	}
	if used < 3 {
		return nil
	}
	t.center /= float64(used)
	if t.terms = t.admissible(p, stops, used, terms); len(t.terms) < 2 {
		return nil
	}
	weight := equal
	var last [Cubic]float64
	for round := range mostRounds {
		if !t.solve(p, stops, weight) {
			if round == 0 {
				return nil
			}
			break // too few readings kept their weight: the step before stands
		}
		sizes := t.residuals(p, stops, 1)
		// As many residuals as there are terms are small by the fit alone and
		// say nothing of the scatter (DuMouchel & O'Brien, 1989).
		scale := normalMAD * selectInPlace(sizes, min(used-1, len(t.terms)-1+(used-len(t.terms)+1)/2))
		// Readings without scatter, to rounding, leave nothing to weigh. With its
		// scale fixed the search can only come nearer; a scale that followed the
		// residuals might go around in circles.
		if scale < 1e-9 || round >= scaleRounds && floats.Distance(t.coefficients[:], last[:], math.Inf(1)) < 1e-13 {
			break
		}
		switch {
		case round < huberRounds:
			weight = huberWeight(huber * scale)
		case round < scaleRounds:
			weight = bisquare(tukey * scale)
		}
		last = t.coefficients
	}
	t.describe(p, stops)
	return t
}

// trendOfGroups finds the trend of very many places: robustly through the median
// of each group of some fifty, then two weighted steps with all of them for full
// precision.
func (p *Places) trendOfGroups(level []float64) *Trend {
	var x, y, median, values []float64
	for members := range p.Groups(48) {
		values = values[:0]
		sx, sy := 0.0, 0.0
		for _, i := range members {
			values = append(values, level[i])
			sx, sy = sx+p.X[i], sy+p.Y[i]
		}
		n := float64(len(members))
		x, y, median = append(x, sx/n), append(y, sy/n), append(median, MedianInPlace(values))
	}
	t := NewPlaces(x, y).Fit(median, nil, Quadratic)
	if t == nil {
		return nil
	}
	t = t.over(p.Box)
	stops := log2Of(level, nil)
	for range 2 {
		// A sample of some thousand residuals tells the scatter well enough to
		// weigh by.
		scale := normalMAD * MedianInPlace(t.residuals(p, stops, max(1, len(level)/4096)))
		if scale < 1e-9 || !t.solve(p, stops, bisquare(tukey*scale)) {
			break
		}
	}
	t.describe(p, stops)
	return t
}

// over is the same quadratic in the coordinates of another box: known by its
// values at nine places, through which least squares are exact.
func (t *Trend) over(box Box) *Trend {
	moved := &Trend{box: box, center: t.center, terms: t.terms}
	nine := &Places{Box: box}
	var values []float64
	for _, u := range []float64{0, 0.5, 1} {
		for _, v := range []float64{0, 0.5, 1} {
			x, y := box.X0+u*box.Width(), box.Y0+v*box.Height()
			nine.X, nine.Y, values = append(nine.X, x), append(nine.Y, y), append(values, t.Log2At(x, y))
		}
	}
	moved.solve(nine, values, equal)
	return moved
}

// log2Of are levels in stops, NaN for those that are skipped or not positive.
func log2Of(level []float64, skip []bool) []float64 {
	stops := make([]float64, len(level))
	for i, v := range level {
		stops[i] = math.NaN()
		if v > 0 && (skip == nil || !skip[i]) {
			stops[i] = math.Log2(v)
		}
	}
	return stops
}

// The weights of a residual.
func equal(float64) float64 { return 1 }

func huberWeight(k float64) func(float64) float64 {
	return func(r float64) float64 { return min(1, k/math.Max(math.Abs(r), 1e-300)) }
}

// bisquare is Tukey's for a cut c.
func bisquare(c float64) func(float64) float64 {
	return func(r float64) float64 {
		if z := r / c; math.Abs(z) < 1 {
			return (1 - z*z) * (1 - z*z)
		}
		return 0
	}
}

// residuals are the sizes of every n-th place's distance from the trend in stops.
func (t *Trend) residuals(p *Places, stops []float64, every int) []float64 {
	sizes := make([]float64, 0, len(stops)/every+1)
	for i := 0; i < len(stops); i += every {
		if !math.IsNaN(stops[i]) {
			sizes = append(sizes, math.Abs(stops[i]-t.Log2At(p.X[i], p.Y[i])))
		}
	}
	return sizes
}

// Constant is the median level everywhere.
func (p *Places) Constant(level []float64) *Trend {
	return &Trend{box: p.Box, center: MedianInPlace(log2Of(level, nil))}
}

// Log2At is the trend's log2 level at a place in meters.
func (t *Trend) Log2At(x, y float64) float64 {
	u, v := t.box.Local(x, y)
	c := &t.coefficients
	sum := t.center + c[0] + c[1]*u + c[2]*v + c[3]*u*u + c[4]*u*v + c[5]*v*v
	if t.finer {
		sum += c[6]*u*u*u + c[7]*u*u*v + c[8]*u*v*v + c[9]*v*v*v
	}
	return sum
}

// At is the level that the trend gives at a place in meters.
func (t *Trend) At(x, y float64) float64 { return math.Exp2(t.Log2At(x, y)) }

// Extent is the box of the places that the trend was fitted to.
func (t *Trend) Extent() Box { return t.box }

// Scatter is that of levels about the trend in stops, by the median absolute
// residual.
func (t *Trend) Scatter(p *Places, level []float64) float64 {
	sizes := make([]float64, len(level))
	for i, v := range level {
		sizes[i] = math.Abs(math.Log2(v) - t.Log2At(p.X[i], p.Y[i]))
	}
	return normalMAD * MedianInPlace(sizes)
}

// normal are the normal equations of the first terms: sums of their products, the
// upper half, and of their products with the levels, each place weighted by its
// residual about the present coefficients.
func (t *Trend) normal(p *Places, stops []float64, terms int, weight func(float64) float64) (gram [Cubic][Cubic]float64, rhs [Cubic]float64) {
	for i, s := range stops {
		if math.IsNaN(s) {
			continue
		}
		f := trendTerms(t.box.Local(p.X[i], p.Y[i]))
		fit := 0.0
		for k := range terms {
			fit += t.coefficients[k] * f[k]
		}
		w := weight(s - t.center - fit)
		if w == 0 {
			continue
		}
		for a := range terms {
			wa := w * f[a]
			rhs[a] += wa * (s - t.center)
			for b := a; b < terms; b++ {
				gram[a][b] += wa * f[b]
			}
		}
	}
	return gram, rhs
}

// solveTerms solves the normal equations of some terms; ok is false where these
// do not determine them.
func solveTerms(gram *[Cubic][Cubic]float64, rhs []float64, terms []int) (x []float64, ok bool) {
	n := len(terms)
	g := mat.NewSymDense(n, nil)
	for i, a := range terms {
		for j := i; j < n; j++ {
			g.SetSym(i, j, gram[min(a, terms[j])][max(a, terms[j])])
		}
	}
	var chol mat.Cholesky
	var c mat.VecDense
	if !chol.Factorize(g) || chol.SolveVecTo(&c, mat.NewVecDense(n, rhs)) != nil {
		return nil, false
	}
	return c.RawVector().Data, true
}

// admissible lists the terms that the places can tell apart, by Gram–Schmidt
// on their columns in the order of trendOrder.
func (t *Trend) admissible(p *Places, stops []float64, used, terms int) []int {
	gram, _ := t.normal(p, stops, terms, equal)
	product := func(a, b int) float64 { return gram[min(a, b)][max(a, b)] }
	var chosen []int
	for _, candidate := range trendOrder[:terms] {
		if len(chosen) == used-1 && used < 7 || len(chosen) >= used {
			break
		}
		// The part of the candidate's column outside the chosen ones' span.
		outside := product(candidate, candidate)
		if len(chosen) > 0 {
			along := make([]float64, len(chosen))
			for i, a := range chosen {
				along[i] = product(a, candidate)
			}
			x, ok := solveTerms(&gram, slices.Clone(along), chosen)
			if !ok {
				break
			}
			for i := range x {
				outside -= x[i] * along[i]
			}
		}
		if outside > 1e-6*float64(used) {
			chosen = append(chosen, candidate)
		}
	}
	return chosen
}

// solve does one weighted least-squares step; ok is false where too few places
// have a weight.
func (t *Trend) solve(p *Places, stops []float64, weight func(float64) float64) (ok bool) {
	gram, all := t.normal(p, stops, slices.Max(t.terms)+1, weight)
	rhs := make([]float64, len(t.terms))
	for i, a := range t.terms {
		rhs[i] = all[a]
	}
	x, ok := solveTerms(&gram, rhs, t.terms)
	if !ok {
		return false
	}
	t.coefficients = [Cubic]float64{}
	for i, a := range t.terms {
		t.coefficients[a] = x[i]
	}
	return true
}

// describe turns coefficients into slopes, curvature and residual.
func (t *Trend) describe(p *Places, stops []float64) {
	squares, used := 0.0, 0.0
	for i, v := range stops {
		if !math.IsNaN(v) {
			r := v - t.Log2At(p.X[i], p.Y[i])
			squares += r * r
			used++
		}
	}
	t.Residual = math.Sqrt(squares / used)
	c := t.coefficients
	w, h := t.box.Width(), t.box.Height()
	if slices.Contains(t.terms, 1) {
		t.TiltX = new(c[1] * 2 / w)
	}
	if slices.Contains(t.terms, 2) {
		t.TiltY = new(c[2] * 2 / h)
	}
	if slices.Contains(t.terms, 3) || slices.Contains(t.terms, 5) {
		// Edge middles are at u, v = ±1: their mean is (u² + v² terms)/2 above
		// the middle. Readings in one line have only two ends.
		t.Curvature = new(-(c[3] + c[5]) / 2)
		if w == 0 || h == 0 {
			*t.Curvature *= 2
		}
	}
	// The gradient is linear, so its size is largest at a corner.
	for _, u := range []float64{-1, 1} {
		for _, v := range []float64{-1, 1} {
			gu, gv := 0.0, 0.0
			if w > 0 {
				gu = (c[1] + 2*c[3]*u + c[4]*v) * 2 / w
			}
			if h > 0 {
				gv = (c[2] + 2*c[5]*v + c[4]*u) * 2 / h
			}
			t.Steepest = max(t.Steepest, math.Hypot(gu, gv))
		}
	}
}
