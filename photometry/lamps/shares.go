package lamps

import (
	"iter"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// ShareReading is one lamp's share of the light, from 0 to 1, at one place where
// it was read alone.
type ShareReading struct {
	Lamp, Place int // counted from 0
	Share       float64
}

// ShareReadings are the shares of the light that readings of lamps alone stand for:
// a column of levels for each lamp, NaN where it was not read or the reading is
// suspect, and all light together beside them, NaN where that is not known. Where
// every lamp was read, their sum is all light, which takes out what changed between
// the readings; elsewhere, and where there is other light too, it is the reading of
// all together. The other light is then one lamp more, the last one.
func ShareReadings(alone [][]float64, together []float64, other bool) []ShareReading {
	var out []ShareReading
	for i, total := range together {
		sum := 0.0
		for _, column := range alone {
			sum += column[i]
		}
		all := !math.IsNaN(sum)
		if other && !all {
			continue
		}
		if all && !other {
			total = sum
		}
		if !(total > 0) {
			continue
		}
		for j, column := range alone {
			if v := column[i]; !math.IsNaN(v) {
				out = append(out, ShareReading{Lamp: j, Place: i, Share: min(v/total, 1)})
			}
		}
		if other {
			out = append(out, ShareReading{Lamp: len(alone), Place: i, Share: max(0, 1-sum/total)})
		}
	}
	return out
}

// shareTerms are the terms of a smooth share in the box's coordinates, a plane
// before a curvature before what bends twice.
func shareTerms(u, v float64) [10]float64 {
	return [10]float64{1, u, v, u * u, v * v, u * v, u * u * u, u * u * v, u * v * v, v * v * v}
}

// Shares is how the light at each place divides among the lamps: share j is
// exp(η_j)/Σ exp(η_k), so that shares are positive and add up to 1, with η a
// low polynomial in x and y. The ratio of two lamps' light over a surface is
// smooth even where neither is, which is what makes a few readings a lamp
// enough beside a full map of all of them.
//
// Places is how many places the shares were fitted to, Terms how many terms of
// the polynomial they carry, and Missed the rms error of each lamp's share at
// places left out of the fit, nil where none could be left out. Residual is what Errors
// are multiplied by where what was missed elsewhere is counted apart: by the residuals
// alone, with Student's t for their degrees of freedom over the normal factor; at most 1.
type Shares struct {
	Places, Terms int
	Missed        []float64
	Residual      float64

	Lamps    int
	box      spatial.Box
	chosen   []int     // terms
	beta     []float64 // lamps − 1 rows of coefficients, the first lamp's being 0
	cov      *mat.SymDense
	relative float64 // rms error of a share, as a part of it
	readings []ShareReading
	x, y     []float64
}

// ErrorPercent is the rms of what was missed, in percent of the light; nil where
// nothing could be left out.
func (f *Shares) ErrorPercent() *float64 {
	if f.Missed == nil {
		return nil
	}
	return new(100 * floats.Norm(f.Missed, 2) / math.Sqrt(float64(len(f.Missed))))
}

// Weights of shares: readings scatter in proportion, and below a few percent of
// the light a share does not matter.
const smallShare = 0.05

// FitShares fits smooth shares to readings at places x, y. Each number of terms
// that the places can tell apart is tried; the one that best predicts places
// left out of the fit is taken, or a smaller one that does about as well. ok is
// false where there are too few places.
func FitShares(lamps int, x, y []float64, readings []ShareReading) (*Shares, bool) {
	f := &Shares{Lamps: lamps, readings: readings, x: x, y: y}
	f.box, _ = spatial.BoxOf(x, y)
	var places []int
	for _, r := range readings {
		places = append(places, r.Place)
	}
	slices.Sort(places)
	places = slices.Compact(places)
	f.Places = len(places)
	ladder := f.admissible()
	if f.Places < 3 || len(ladder) < 2 {
		return nil, false
	}
	var best []int
	var bestMissed []float64
	least := math.Inf(1)
	for n := 1; n <= len(ladder) && (n <= plane || f.effort(n) <= mostEffort); n++ {
		if f.Places == 3 && slices.Contains(ladder, 2) {
			break // three places carry a plane and leave nothing to test it by
		}
		f.chosen = ladder[:n]
		missed, ok := f.crossValidate(places)
		if !ok {
			continue
		}
		// A further term has to earn its place.
		if rms := floats.Norm(missed, 2); rms < 0.95*least || best == nil {
			best, bestMissed, least = f.chosen, missed, rms
		}
	}
	if best == nil {
		best = ladder
	}
	f.chosen, f.Missed, f.Terms = best, bestMissed, len(best)
	if !f.fit() {
		return nil, false
	}
	f.covariance()
	return f, true
}

// plane is how many terms are always tried. More are where a fit with them takes at most
// mostEffort steps, since it is made again and again with some places left out.
const (
	plane      = 3
	mostEffort = 12_000_000
)

// effort is how many steps a fit with so many terms takes: for the normal equations of each
// place, and to solve them.
func (f *Shares) effort(terms int) int {
	width := (f.Lamps - 1) * terms
	return width * width * (f.Places + width/3)
}

// admissible lists the terms that every lamp's places can tell apart, in order,
// and leaves one place at least to test them by where there are four or more.
func (f *Shares) admissible() (out []int) {
	of := f.termsByLamp()
	for k := range 10 {
		more := append(slices.Clone(out), k)
		fails := func(rows [][10]float64) bool {
			spare := 1
			if len(rows) <= 3 {
				spare = 0
			}
			return len(more) > len(rows)-spare || !independent(rows, more)
		}
		if !slices.ContainsFunc(of, fails) {
			out = more
		}
	}
	return out
}

// independent reports whether places tell terms apart: of each one's column, a thousandth
// is outside of the span of those before it.
func independent(rows [][10]float64, terms []int) bool {
	if len(rows) < len(terms) {
		return false
	}
	columns := mat.NewDense(len(rows), len(terms), nil)
	for i, row := range rows {
		for c, t := range terms {
			columns.Set(i, c, row[t])
		}
	}
	var qr mat.QR
	var r mat.Dense
	qr.Factorize(columns)
	qr.RTo(&r)
	for c := range terms {
		if !(math.Abs(r.At(c, c)) > 1e-3*mat.Norm(columns.ColView(c), 2)) {
			return false
		}
	}
	return true
}

// At is every lamp's share at a place, from 0 to 1; they add up to 1.
func (f *Shares) At(x, y float64) []float64 {
	shares, _ := f.at(x, y)
	return shares
}

// at is every lamp's share at a place, and the terms there.
func (f *Shares) at(x, y float64) (shares, terms []float64) {
	all := shareTerms(f.box.Local(x, y))
	terms = make([]float64, len(f.chosen))
	for k, t := range f.chosen {
		terms[k] = all[t]
	}
	shares = make([]float64, f.Lamps)
	for j := 1; j < f.Lamps; j++ {
		shares[j] = floats.Dot(f.beta[(j-1)*len(terms):j*len(terms)], terms)
	}
	high := slices.Max(shares)
	sum := 0.0
	for j := range shares {
		shares[j] = math.Exp(shares[j] - high)
		sum += shares[j]
	}
	floats.Scale(1/sum, shares)
	return shares, terms
}

// weight is that of a reading's residual.
func (r ShareReading) weight() float64 { return 1 / math.Hypot(r.Share, smallShare) }

// cost is the sum of the squares of the weighted residuals.
func (f *Shares) cost() (sum float64) {
	for at := range f.byPlace() {
		shares, _ := f.at(f.x[at[0].Place], f.y[at[0].Place])
		for _, r := range at {
			off := r.weight() * (shares[r.Lamp] - r.Share)
			sum += off * off
		}
	}
	return sum
}

// byPlace are the readings of each place in turn.
func (f *Shares) byPlace() iter.Seq[[]ShareReading] {
	return func(yield func([]ShareReading) bool) {
		for from, to := 0, 0; from < len(f.readings); from = to {
			for to < len(f.readings) && f.readings[to].Place == f.readings[from].Place {
				to++
			}
			if !yield(f.readings[from:to]) {
				return
			}
		}
	}
}

// normal are the normal equations of the weighted residuals by beta: JᵀJ and Jᵀres. The
// derivative of share r by η is s_r·(e_r − s), so that all readings at a place add to JᵀJ
// the matrix diag(q) − q·sᵀ − s·qᵀ + Σq·s·sᵀ, with q_r = (w_r·s_r)², times that of the terms:
// once for each place, not for each reading.
func (f *Shares) normal() (system *mat.SymDense, gradient []float64) {
	k, width := len(f.chosen), len(f.beta)
	system, gradient = mat.NewSymDense(width, nil), make([]float64, width)
	raw := system.RawSymmetric()
	q, g, row := make([]float64, f.Lamps), make([]float64, f.Lamps), make([]float64, width)
	for at := range f.byPlace() {
		shares, terms := f.at(f.x[at[0].Place], f.y[at[0].Place])
		clear(q)
		clear(g)
		for _, r := range at {
			d := r.weight() * shares[r.Lamp]
			q[r.Lamp] += d * d
			g[r.Lamp] += d * r.weight() * (shares[r.Lamp] - r.Share)
		}
		allQ, allG := floats.Sum(q), floats.Sum(g)
		for j := 1; j < f.Lamps; j++ {
			own := (j - 1) * k
			floats.AddScaled(gradient[own:own+k], g[j]-allG*shares[j], terms)
			for i := j; i < f.Lamps; i++ {
				m := allQ*shares[j]*shares[i] - q[j]*shares[i] - shares[j]*q[i]
				if i == j {
					m += q[j]
				}
				floats.ScaleTo(row[(i-1)*k:i*k], m, terms)
			}
			for t, v := range terms {
				from := own + t
				floats.AddScaled(raw.Data[from*raw.Stride+from:from*raw.Stride+width], v, row[from:])
			}
		}
	}
	return system, gradient
}

// fit finds the coefficients by damped Gauss–Newton steps (Levenberg and
// Marquardt), beginning with each lamp's mean share everywhere. A slight pull
// toward zero keeps the coefficients of a lamp that gives nothing finite.
func (f *Shares) fit() bool {
	const pull = 1e-8
	if !f.start() {
		return false
	}
	cost := func() float64 { return f.cost() + pull*floats.Dot(f.beta, f.beta) }
	damping, now := 1e-3, cost()
	for range 60 {
		system, gradient := f.normal()
		enlarge(system, damping, pull+1e-12)
		floats.AddScaled(gradient, pull, f.beta)
		var chol mat.Cholesky
		var step mat.VecDense
		if !chol.Factorize(system) || chol.SolveVecTo(&step, mat.NewVecDense(len(gradient), gradient)) != nil {
			damping *= 10
			continue
		}
		before := slices.Clone(f.beta)
		floats.Sub(f.beta, step.RawVector().Data)
		then := cost()
		if !(then <= now) {
			f.beta = before
			if damping *= 10; damping > 1e8 {
				break
			}
			continue
		}
		done := now-then <= 1e-12*now
		now, damping = then, max(damping/10, 1e-12)
		if done {
			break
		}
	}
	return !math.IsNaN(now)
}

// start sets the coefficients to each lamp's mean share everywhere; false where a
// lamp has no reading.
func (f *Shares) start() bool {
	k := len(f.chosen)
	f.beta = make([]float64, (f.Lamps-1)*k)
	sum, n := make([]float64, f.Lamps), make([]float64, f.Lamps)
	for _, r := range f.readings {
		sum[r.Lamp] += r.Share
		n[r.Lamp]++
	}
	for j := range sum {
		if n[j] == 0 {
			return false
		}
		sum[j] = max(sum[j]/n[j], 1e-4)
		if j > 0 {
			f.beta[(j-1)*k] = math.Log(sum[j] / sum[0])
		}
	}
	return true
}

// enlarge enlarges the diagonal of a system by a part of itself and a constant.
func enlarge(system *mat.SymDense, part, constant float64) {
	for a := range system.SymmetricDim() {
		system.SetSym(a, a, system.At(a, a)*(1+part)+constant)
	}
}

// folds is the most groups that places are left out in.
const folds = 12

// crossValidate fits without some places and predicts them, in turn: the rms error
// of each lamp's share; ok is false where what is left does not tell all terms
// apart.
func (f *Shares) crossValidate(places []int) (missed []float64, ok bool) {
	folds := min(len(places), folds)
	foldOf := map[int]int{}
	for i, p := range places {
		foldOf[p] = i % folds
	}
	missed, count := make([]float64, f.Lamps), make([]float64, f.Lamps)
	for fold := range folds {
		rest := &Shares{Lamps: f.Lamps, box: f.box, x: f.x, y: f.y, chosen: f.chosen}
		var out []ShareReading
		for _, r := range f.readings {
			if foldOf[r.Place] == fold {
				out = append(out, r)
			} else {
				rest.readings = append(rest.readings, r)
			}
		}
		if !rest.determines(f.chosen) || !rest.fit() {
			return nil, false
		}
		for _, r := range out {
			off := rest.At(f.x[r.Place], f.y[r.Place])[r.Lamp] - r.Share
			missed[r.Lamp] += off * off
			count[r.Lamp]++
		}
	}
	for j := range missed {
		if count[j] == 0 {
			return nil, false
		}
		missed[j] = math.Sqrt(missed[j] / count[j])
	}
	return missed, true
}

// determines reports whether each lamp's places tell the terms apart, with none
// to spare.
func (f *Shares) determines(terms []int) bool {
	return !slices.ContainsFunc(f.termsByLamp(), func(rows [][10]float64) bool { return !independent(rows, terms) })
}

// termsByLamp are the terms at the places where each lamp was read.
func (f *Shares) termsByLamp() [][][10]float64 {
	of := make([][][10]float64, f.Lamps)
	for _, r := range f.readings {
		of[r.Lamp] = append(of[r.Lamp], shareTerms(f.box.Local(f.x[r.Place], f.y[r.Place])))
	}
	return of
}

// covariance is that of the coefficients, from the residuals or from what was
// missed at places left out, whichever is more.
func (f *Shares) covariance() {
	width := (f.Lamps - 1) * len(f.chosen)
	freedom := len(f.readings) - width - f.Places // shares at a place add up to 1
	residual := 0.0
	if freedom > 0 {
		residual = f.cost() / float64(freedom)
	}
	variance := residual
	if f.Missed != nil {
		sum := 0.0
		for _, r := range f.readings {
			w := r.weight()
			sum += w * w * f.Missed[r.Lamp] * f.Missed[r.Lamp]
		}
		variance = max(variance, sum/float64(len(f.readings)))
	}
	f.Residual, f.relative = 1, math.Sqrt(variance)
	if freedom > 0 && variance > 0 {
		f.Residual = min(1, uncertainty.Factor(freedom)/uncertainty.Factor(0)*math.Sqrt(residual/variance))
	}
	system, _ := f.normal()
	enlarge(system, 0, 1e-9)
	var chol mat.Cholesky
	f.cov = mat.NewSymDense(width, nil)
	if chol.Factorize(system) && chol.InverseTo(f.cov) == nil {
		f.cov.ScaleSym(variance, f.cov)
	}
}

// Deviation is the standard deviation in stops of Σ trim·share at a place, by
// the coefficients' covariance or by what was missed at places left out,
// whichever is more there.
func (f *Shares) Deviation(x, y float64, trims []float64) float64 {
	shares, _ := f.at(x, y)
	sum := floats.Dot(shares, trims)
	if !(sum > 0) {
		return 0
	}
	gradient := mat.NewVecDense(len(f.beta), f.gradient(x, y, trims))
	variance := mat.Inner(gradient, f.cov, gradient)
	if f.Missed != nil {
		other := 0.0
		for j, m := range f.Missed {
			other += (trims[j] - sum) * (trims[j] - sum) * m * m
		}
		variance = max(variance, other)
	}
	return math.Sqrt(max(0, variance)) / (sum * math.Ln2)
}

// omittedSize is how large the coefficient of a term may be that a fit does not carry, of
// the relative error that was missed: so that lamps between two days are within what is
// said of them in 95 of 100 simulated cases.
const omittedSize = 0.5

// gradient is that of Σ trim·share at a place by the coefficients.
func (f *Shares) gradient(x, y float64, trims []float64) []float64 {
	shares, terms := f.at(x, y)
	return slopes(shares, terms, trims)
}

// slopes are the derivatives of Σ trim·share by the coefficients of terms.
func slopes(shares, terms, trims []float64) []float64 {
	sum, k := floats.Dot(shares, trims), len(terms)
	out := make([]float64, (len(shares)-1)*k)
	for j := 1; j < len(shares); j++ {
		for t, v := range terms {
			out[(j-1)*k+t] = shares[j] * (trims[j] - sum) * v
		}
	}
	return out
}

// Errors are what the fit may err by in Σ trim·share at places: independent errors
// of one standard deviation each, one a row, by the Cholesky factor of the
// coefficients' covariance; nil where that is not known.
func (f *Shares) Errors(x, y, trims []float64) [][]float64 {
	var chol mat.Cholesky
	if f.cov == nil || !chol.Factorize(f.cov) {
		return nil
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	out := make([][]float64, len(f.beta))
	for c := range out {
		out[c] = make([]float64, len(x))
	}
	var at mat.VecDense
	for i := range x {
		at.MulVec(lower.T(), mat.NewVecDense(len(f.beta), f.gradient(x[i], y[i], trims)))
		for c := range out {
			out[c][i] = at.AtVec(c)
		}
	}
	return out
}

// Omitted are what Σ trim·share at places may err by, as of Errors, since shares may run
// otherwise between the places than the terms of the fit do: each term that it does not
// carry may have a coefficient of the size of what was missed.
func (f *Shares) Omitted(x, y, trims []float64) [][]float64 {
	var left []int
	for t := range shareTerms(0, 0) {
		if !slices.Contains(f.chosen, t) {
			left = append(left, t)
		}
	}
	out := make([][]float64, (f.Lamps-1)*len(left))
	for i := range x {
		shares, _ := f.at(x[i], y[i])
		all := shareTerms(f.box.Local(x[i], y[i]))
		var terms []float64
		for _, t := range left {
			terms = append(terms, omittedSize*f.relative*all[t])
		}
		for c, v := range slopes(shares, terms, trims) {
			out[c] = append(out[c], v)
		}
	}
	return out
}
