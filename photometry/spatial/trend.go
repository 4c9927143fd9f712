package spatial

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Trend is a smooth surface through the logarithm of the levels, fitted so
// that single readings cannot pull it: log2 E on 1, x, y, x², xy, y². Slopes
// are at the middle of the box of readings; positive is brighter toward +x and
// +y. What the places read cannot determine is absent.
type Trend struct {
	TiltX    *float64 `json:"tilt_x_stops_per_m,omitempty"`
	TiltY    *float64 `json:"tilt_y_stops_per_m,omitempty"`
	Bow      *float64 `json:"bow_stops,omitempty"` // middle less the mean of the four edge middles
	Steepest float64  `json:"steepest_stops_per_m"`
	Residual float64  `json:"residual_stops"` // rms of the readings about it

	coefficients [Cubic]float64 // in the box's own coordinates, -1 to 1
	box          Box
	center       float64
	terms        []int // those that the places could determine
	finer        bool  // third-degree terms are in use
}

// Terms of a trend in box coordinates u, v from -1 to 1: 1, u, v, u², uv, v² of
// the quadratic that describes a surface, then those of third degree, which
// only tell a local patch from a run that is merely not quadratic.
const (
	Plane     = 3
	Quadratic = 6
	Cubic     = 10
)

func trendTerms(u, v float64) [Cubic]float64 {
	return [Cubic]float64{1, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v}
}

// trendOrder is the order in which terms are admitted: a plane before a bow.
var trendOrder = [Cubic]int{0, 1, 2, 3, 5, 4, 6, 7, 8, 9}

// binnedAbove is how many points are fitted one by one; above it the robust
// search runs on the medians of small cells.
const binnedAbove = 20_000

// FitTrend fits the quadratic.
func FitTrend(x, y, level []float64, skip []bool) *Trend {
	if len(level) > binnedAbove && skip == nil {
		return fitBinned(x, y, level)
	}
	return FitPolynomial(x, y, level, skip, Quadratic)
}

// fitBinned finds the trend of very many points: robustly through the median
// of each cell of some fifty points, then two weighted steps with all points
// for full precision.
func fitBinned(x, y, level []float64) *Trend {
	box, _ := BoxOf(x, y)
	grid := NewBins(x, y, box, 48)
	var cx, cy, median []float64
	var cell []float64
	for c := range grid.Cells() {
		members := grid.Members(c)
		if len(members) == 0 {
			continue
		}
		cell = cell[:0]
		sx, sy := 0.0, 0.0
		for _, i := range members {
			cell = append(cell, level[i])
			sx, sy = sx+x[i], sy+y[i]
		}
		n := float64(len(members))
		cx, cy, median = append(cx, sx/n), append(cy, sy/n), append(median, MedianInPlace(cell))
	}
	t := FitPolynomial(cx, cy, median, nil, Quadratic)
	if t == nil {
		return nil
	}
	terms := t.terms
	t = t.over(box)
	stops := make([]float64, len(level))
	for i, v := range level {
		stops[i] = math.NaN()
		if v > 0 {
			stops[i] = math.Log2(v)
		}
	}
	// A sample of some thousand residuals tells the scatter well enough to
	// weigh by.
	sizes := make([]float64, 0, 4096)
	step := max(1, len(level)/4096)
	squares := 0.0
	for range 2 {
		sizes = sizes[:0]
		for i := 0; i < len(level); i += step {
			if !math.IsNaN(stops[i]) {
				sizes = append(sizes, math.Abs(stops[i]-t.Log2At(x[i], y[i])))
			}
		}
		scale := 1.4826 * MedianInPlace(sizes)
		if scale < 1e-9 {
			break
		}
		if !t.solve(x, y, stops, terms, bisquare(4.685*scale)) {
			break
		}
	}
	used := 0.0
	for i, s := range stops {
		if !math.IsNaN(s) {
			r := s - t.Log2At(x[i], y[i])
			squares += r * r
			used++
		}
	}
	t.Residual = math.Sqrt(squares / used)
	t.TiltX, t.TiltY, t.Bow, t.Steepest = nil, nil, nil, 0
	t.describe(terms)
	return t
}

// over is the same trend in the coordinates of another box.
func (t *Trend) over(box Box) *Trend {
	moved := &Trend{box: box, center: t.center, terms: t.terms}
	// A quadratic is known by its values at six places; the nine of a grid
	// over the box are solved by least squares, which is exact here.
	var x, y, values []float64
	for _, u := range []float64{-1, 0, 1} {
		for _, v := range []float64{-1, 0, 1} {
			px, py := box.X0+(u+1)/2*box.Width(), box.Y0+(v+1)/2*box.Height()
			x, y, values = append(x, px), append(y, py), append(values, t.Log2At(px, py))
		}
	}
	moved.solve(x, y, values, t.terms, func(float64) float64 { return 1 })
	return moved
}

// bisquare is Tukey's weight of a residual for a cut c.
func bisquare(c float64) func(float64) float64 {
	return func(r float64) float64 {
		if z := r / c; math.Abs(z) < 1 {
			return (1 - z*z) * (1 - z*z)
		}
		return 0
	}
}

// FitPolynomial fits log2 of the levels by iteratively reweighted least squares
// with Tukey's bisquare (c = 4.685; Holland & Welsch, Comm. Stat. A6, 1977)
// from a Huber start, so that a slip of the pen or a local hot spot does not
// bend it. skip marks points to leave out; nil takes all. Terms that the
// places read cannot determine are left out; nil is returned below 3 points.
func FitPolynomial(x, y, level []float64, skip []bool, degreeTerms int) *Trend {
	box, ok := BoxOf(x, y)
	if !ok {
		return nil
	}
	t := &Trend{box: box, finer: degreeTerms > Quadratic}
	stops := make([]float64, len(level))
	used := 0
	for i, v := range level {
		if v > 0 && (skip == nil || !skip[i]) {
			stops[i] = math.Log2(v)
			t.center += stops[i]
			used++
		} else {
			stops[i] = math.NaN()
		}
	}
	if used < 3 {
		return nil
	}
	t.center /= float64(used)
	terms := t.admissible(x, y, stops, used, degreeTerms)
	t.terms = terms
	if len(terms) < 2 {
		return nil
	}
	weightOf := func(float64) float64 { return 1 }
	residuals := make([]float64, 0, used)
	var last [Cubic]float64
	for round := range 200 {
		if !t.solve(x, y, stops, terms, weightOf) {
			if round == 0 {
				return nil
			}
			break // too few readings kept their weight: the step before stands
		}
		residuals = residuals[:0]
		sum := 0.0
		for i, v := range stops {
			if !math.IsNaN(v) {
				r := v - t.Log2At(x[i], y[i])
				residuals = append(residuals, math.Abs(r))
				sum += r * r
			}
		}
		t.Residual = math.Sqrt(sum / float64(used))
		// As many residuals as there are terms are small by the fit alone and
		// say nothing of the scatter (DuMouchel & O'Brien, 1989).
		scale := 1.4826 * selectInPlace(residuals, min(used-1, len(terms)-1+(used-len(terms)+1)/2))
		// Readings without scatter, to rounding, leave nothing to weigh.
		if scale < 1e-9 {
			break
		}
		switch {
		case round < huberRounds:
			k := 1.345 * scale
			weightOf = func(r float64) float64 { return min(1, k/math.Max(math.Abs(r), 1e-300)) }
		case round < scaleRounds:
			weightOf = bisquare(4.685 * scale)
		case t.moved(last) < 1e-13:
			t.describe(terms)
			return t
		}
		// With its scale fixed the search can only come nearer; a scale that
		// followed the residuals might go around in circles.
		last = t.coefficients
	}
	t.describe(terms)
	return t
}

// Rounds of the robust search: with Huber's weights first, then Tukey's, the
// scale estimated anew, and from then on with the last scale.
const (
	huberRounds = 4
	scaleRounds = 9
)

// moved is the largest change of a coefficient since another set, in stops.
func (t *Trend) moved(since [Cubic]float64) float64 {
	most := 0.0
	for k, v := range t.coefficients {
		most = max(most, math.Abs(v-since[k]))
	}
	return most
}

// ConstantTrend is the median level everywhere.
func ConstantTrend(x, y, level []float64) *Trend {
	box, _ := BoxOf(x, y)
	stops := make([]float64, len(level))
	for i, v := range level {
		stops[i] = math.Log2(v)
	}
	return &Trend{box: box, center: MedianInPlace(stops)}
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

// admissible lists the terms that the places can tell apart, by Gram–Schmidt
// on their columns in the order of trendOrder.
func (t *Trend) admissible(x, y, stops []float64, used, degreeTerms int) []int {
	var gram [Cubic][Cubic]float64
	for i, s := range stops {
		if math.IsNaN(s) {
			continue
		}
		f := trendTerms(t.box.Local(x[i], y[i]))
		for a := range degreeTerms {
			for b := range degreeTerms {
				gram[a][b] += f[a] * f[b]
			}
		}
	}
	var terms []int
	for _, candidate := range trendOrder[:degreeTerms] {
		if len(terms) == used-1 && used < 7 || len(terms) >= used {
			break
		}
		// The part of the candidate's column outside the chosen ones' span.
		left := gram[candidate][candidate]
		if n := len(terms); n > 0 {
			g := mat.NewSymDense(n, nil)
			b := mat.NewVecDense(n, nil)
			for i, a := range terms {
				for j, c := range terms {
					if j >= i {
						g.SetSym(i, j, gram[a][c])
					}
				}
				b.SetVec(i, gram[a][candidate])
			}
			var chol mat.Cholesky
			if !chol.Factorize(g) {
				break
			}
			var w mat.VecDense
			if err := chol.SolveVecTo(&w, b); err != nil {
				continue
			}
			left -= mat.Dot(&w, b)
		}
		if left > 1e-6*float64(used) {
			terms = append(terms, candidate)
		}
	}
	return terms
}

// solve does one weighted least-squares step; weights come from the residual
// about the present coefficients.
func (t *Trend) solve(x, y, stops []float64, terms []int, weightOf func(float64) float64) bool {
	n := len(terms)
	var gram [Cubic][Cubic]float64
	var rhs [Cubic]float64
	size := slices.Max(terms) + 1
	for i, s := range stops {
		if math.IsNaN(s) {
			continue
		}
		f := trendTerms(t.box.Local(x[i], y[i]))
		fit := 0.0
		for k := range size {
			fit += t.coefficients[k] * f[k]
		}
		w := weightOf(s - t.center - fit)
		if w == 0 {
			continue
		}
		for a := range size {
			wa := w * f[a]
			rhs[a] += wa * (s - t.center)
			for b := a; b < size; b++ {
				gram[a][b] += wa * f[b]
			}
		}
	}
	g := mat.NewSymDense(n, nil)
	b := mat.NewVecDense(n, nil)
	for i, a := range terms {
		b.SetVec(i, rhs[a])
		for j := i; j < n; j++ {
			low, high := min(a, terms[j]), max(a, terms[j])
			g.SetSym(i, j, gram[low][high])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(g) {
		return false
	}
	var c mat.VecDense
	if err := chol.SolveVecTo(&c, b); err != nil {
		return false
	}
	t.coefficients = [Cubic]float64{}
	for i, a := range terms {
		t.coefficients[a] = c.AtVec(i)
	}
	return true
}

// describe turns coefficients into slopes and bow.
func (t *Trend) describe(terms []int) {
	c := t.coefficients
	w, h := t.box.Width(), t.box.Height()
	if slices.Contains(terms, 1) {
		tilt := c[1] * 2 / w
		t.TiltX = &tilt
	}
	if slices.Contains(terms, 2) {
		tilt := c[2] * 2 / h
		t.TiltY = &tilt
	}
	if slices.Contains(terms, 3) || slices.Contains(terms, 5) {
		// Edge middles are at u, v = ±1: their mean is (u² + v² terms)/2 above
		// the middle. Readings in one line have only two ends.
		bow := -(c[3] + c[5]) / 2
		if w == 0 || h == 0 {
			bow = -(c[3] + c[5])
		}
		t.Bow = &bow
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

// Scatter is that of levels about the trend in stops, by the median absolute
// residual.
func (t *Trend) Scatter(x, y, level []float64) float64 {
	sizes := make([]float64, len(level))
	for i, v := range level {
		sizes[i] = math.Abs(math.Log2(v) - t.Log2At(x[i], y[i]))
	}
	return 1.4826 * MedianInPlace(sizes)
}

// Extent is the box of the places that the trend was fitted to.
func (t *Trend) Extent() Box { return t.box }
