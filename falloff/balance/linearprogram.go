package balance

import (
	"context"
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// linearProgram asks for the least cost·z where lower ≤ z ≤ upper and every row
// holds: rows·z ≥ least. Bounds are finite. It has few variables (a lamp each)
// and very many rows (two a place). The general simplex method at hand has no
// limit of steps and gives up on some programs whose vertices tie, as those of
// places that are equally bright do, so the program is solved here.
type linearProgram struct {
	cost, lower, upper []float64
	rows               [][]float64
	least              []float64
}

// newLinearProgram is a program of d variables without costs, bounds of 0 and no
// rows.
func newLinearProgram(d int) *linearProgram {
	return &linearProgram{cost: make([]float64, d), lower: make([]float64, d), upper: make([]float64, d)}
}

// require adds a row, still of zeros, that has to come to least or more.
func (p *linearProgram) require(least float64) []float64 {
	row := make([]float64, len(p.cost))
	p.rows, p.least = append(p.rows, row), append(p.least, least)
	return row
}

// lpAnswer is a vertex z with its cost, and a lower bound on the cost of every
// z that is allowed, proved by multipliers of the rows.
type lpAnswer struct {
	z           []float64
	cost, bound float64
	steps       int
}

// Errors of a linear program.
var (
	errInfeasible = errors.New("no point satisfies all rows")
	errStalled    = errors.New("the linear program was given up after too many steps")
)

const (
	lpFeasible  = 1e-10 // violation of a row of unit length that counts as none
	lpPerturbed = 1e-7  // of the largest cost, so that no two vertices tie
	lpPivot     = 1e-9  // of the largest entry, below which a pivot is none
)

// vertex is the solver's state: as many active rows as there are variables,
// whose crossing is the point z. Bounds are rows like others: lower k is row k,
// upper k is row d + k, and the program's follow, each of unit length.
type vertex struct {
	*linearProgram
	d      int
	rows   *mat.Dense
	least  []float64
	active []int
	lu     mat.LU
	since  []exchange // rows exchanged since lu was made
	z      *mat.VecDense
	steps  int

	slacks, speeds mat.VecDense
}

func newVertex(p *linearProgram) *vertex {
	d := len(p.cost)
	v := &vertex{linearProgram: p, d: d, rows: mat.NewDense(2*d+len(p.least), d, nil), active: make([]int, d), z: mat.NewVecDense(d, nil)}
	v.least = slices.Concat(p.lower, p.upper, p.least)
	for k := range d {
		v.rows.Set(k, k, 1)
		v.rows.Set(d+k, k, -1)
		v.least[d+k] = -p.upper[k]
		if v.active[k] = k; p.cost[k] < 0 {
			v.active[k] = d + k
		}
	}
	for i := range p.least {
		row := v.rows.RawRowView(2*d + i)
		copy(row, p.rows[i])
		if length := floats.Norm(row, 2); length > 0 {
			floats.Scale(1/length, row)
			v.least[2*d+i] /= length
		}
	}
	return v
}

// solve runs the dual simplex method by active rows. It starts at a vertex of
// the bounds that no other vertex of them undercuts, and as long as some row is
// violated it makes the worst one active in place of the one whose multiplier
// reaches zero first; each vertex is the optimum of the rows met so far, so its
// cost is a lower bound at every step. Costs are perturbed by about 1e-7, which
// keeps multipliers apart and the method from going in circles, and a few steps
// of the primal simplex method with the true costs then take that back (G. B.
// Dantzig, Linear Programming and Extensions, 1963, chapters 10 and 11). The
// bound of the answer comes from the true multipliers, whatever their rounding.
func (p *linearProgram) solve(ctx context.Context) (lpAnswer, error) {
	if d := len(p.cost); len(p.lower) != d || len(p.upper) != d || len(p.rows) != len(p.least) {
		panic("balance: a linear program whose parts do not fit")
	}
	for k := range p.lower {
		if p.lower[k] > p.upper[k] {
			return lpAnswer{}, errInfeasible
		}
	}
	v := newVertex(p)
	if err := v.descend(ctx, p.perturbed()); err != nil {
		bound := math.Inf(-1)
		if v.steps > v.limit() {
			bound = v.bound()
		}
		return lpAnswer{bound: bound, steps: v.steps}, err
	}
	v.polish()
	answer := lpAnswer{z: slices.Clone(v.z.RawVector().Data), bound: v.bound(), steps: v.steps}
	for k, z := range answer.z {
		answer.z[k] = min(max(z, p.lower[k]), p.upper[k])
	}
	answer.cost = floats.Dot(answer.z, p.cost)
	return answer, nil
}

// perturbed are the costs with a little added to each, away from zero.
func (p *linearProgram) perturbed() []float64 {
	largest := floats.Norm(p.cost, math.Inf(1))
	if largest == 0 {
		largest = 1
	}
	out := slices.Clone(p.cost)
	for k, v := range out {
		// The golden ratio's multiples are spread evenly and repeat nowhere.
		_, uneven := math.Modf(float64(k+1) * math.Phi)
		out[k] += math.Copysign(lpPerturbed*largest*(1+uneven), v)
	}
	return out
}

// limit is how many steps are taken before the program is given up.
func (v *vertex) limit() int { return 2000 + 100*v.d }

// exchange is an active row that was replaced by a sum of the active ones.
type exchange struct {
	at int
	of []float64 // how many times each
}

// mostExchanges is how many rows are exchanged before the active rows are prepared
// anew, and steepest how small the share of the one that leaves may be until then:
// rounding grows with both.
const (
	mostExchanges = 25
	steepest      = 1e-4
)

// exchange puts a row in the place of an active one, of which and the others it is made
// by w, and finds the new crossing without preparing all rows anew (the product form of
// G. B. Dantzig and W. Orchard-Hays, Mathematical Tables and Other Aids to Computation 8,
// 1954, 64; from memory). It reports false where they do not cross in one point.
func (v *vertex) exchange(leave, enter int, w []float64) bool {
	v.active[leave] = enter
	if v.since = append(v.since, exchange{leave, w}); len(v.since) > mostExchanges || w[leave] < steepest*floats.Norm(w, math.Inf(1)) {
		return v.factorize()
	}
	right := make([]float64, v.d)
	for r, id := range v.active {
		right[r] = v.least[id]
	}
	for _, x := range slices.Backward(v.since) {
		right[x.at] = (right[x.at] - (floats.Dot(x.of, right) - x.of[x.at]*right[x.at])) / x.of[x.at]
	}
	return v.lu.SolveVecTo(v.z, false, mat.NewVecDense(v.d, right)) == nil
}

// factorize prepares the active rows and finds their crossing; it reports
// false where they do not cross in one point.
func (v *vertex) factorize() bool {
	v.since = v.since[:0]
	basis, right := mat.NewDense(v.d, v.d, nil), mat.NewVecDense(v.d, nil)
	for r, id := range v.active {
		basis.SetRow(r, v.rows.RawRowView(id))
		right.SetVec(r, v.least[id])
	}
	v.lu.Factorize(basis)
	return v.lu.Cond() < 1e15 && v.lu.SolveVecTo(v.z, false, right) == nil
}

// multipliers solves Σ y·row = sum over the active rows; factorize has seen that
// this can be done.
func (v *vertex) multipliers(sum []float64) []float64 {
	var y mat.VecDense
	if err := v.lu.SolveVecTo(&y, true, mat.NewVecDense(v.d, sum)); err != nil {
		panic("balance: " + err.Error())
	}
	out := y.RawVector().Data
	for _, x := range v.since {
		at := out[x.at] / x.of[x.at]
		floats.AddScaled(out, -at, x.of)
		out[x.at] = at
	}
	return out
}

// slack is by how much z satisfies each row, negative where it violates it.
// Active rows are met to rounding: to call one violated would go around in
// circles.
func (v *vertex) slack() []float64 {
	out := v.along(v.z, &v.slacks)
	floats.Sub(out, v.least)
	for _, id := range v.active {
		out[id] = 0
	}
	return out
}

// along is each row times a vector, in the memory of out.
func (v *vertex) along(x, out *mat.VecDense) []float64 {
	out.MulVec(v.rows, x)
	return out.RawVector().Data
}

// descend makes violated rows active until none is left.
func (v *vertex) descend(ctx context.Context, cost []float64) error {
	crosses := v.factorize()
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		if !crosses {
			return errStalled
		}
		slack := v.slack()
		enter := floats.MinIdx(slack)
		if slack[enter] >= -lpFeasible {
			if len(v.since) == 0 {
				return nil
			}
			crosses = v.factorize() // to the last digit
			continue
		}
		if v.steps++; v.steps > v.limit() {
			return errStalled
		}
		made := v.multipliers(v.rows.RawRowView(enter))
		leave := leaving(v.multipliers(cost), made)
		if leave < 0 {
			return errInfeasible
		}
		crosses = v.exchange(leave, enter, made)
	}
}

// leaving is the active row whose multiplier y reaches zero first as the one of
// the entering row, made of the active ones by w, grows; −1 where none does.
func leaving(y, w []float64) int {
	leave, first, least := -1, math.Inf(1), lpPivot*floats.Norm(w, math.Inf(1))
	for r, pivot := range w {
		if pivot > least {
			if at := max(0, y[r]) / pivot; at < first {
				leave, first = r, at
			}
		}
	}
	return leave
}

// polish takes back the perturbation: while an active row has a multiplier of
// the wrong sign under the true costs, it moves off that row to the next one
// in the way. It stops early rather than go in circles; the bound is true
// either way.
func (v *vertex) polish() {
	for range 20 * v.d {
		y := v.multipliers(v.cost)
		leave := floats.MinIdx(y)
		if y[leave] >= -1e-13*floats.Norm(v.cost, math.Inf(1)) {
			return
		}
		var move mat.VecDense
		unit := mat.NewVecDense(v.d, nil)
		unit.SetVec(leave, 1)
		if v.lu.SolveVecTo(&move, false, unit) != nil {
			return
		}
		enter := v.blocking(&move)
		if enter < 0 {
			return // cannot be: the bounds are finite
		}
		v.steps++
		old := v.active[leave]
		v.active[leave] = enter
		if !v.factorize() || floats.Min(v.slack()) < -1e-9 {
			v.active[leave] = old
			v.factorize()
			return
		}
	}
}

// blocking is the row outside the active ones that a move from z meets first.
func (v *vertex) blocking(move *mat.VecDense) int {
	size := mat.Norm(move, math.Inf(1))
	slack, speed := v.slack(), v.along(move, &v.speeds)
	for _, id := range v.active {
		speed[id] = 0
	}
	found, first := -1, math.Inf(1)
	for id, s := range speed {
		if s < -lpPivot*size {
			if at := max(0, slack[id]) / -s; at < first {
				found, first = id, at
			}
		}
	}
	return found
}

// bound is a cost that nothing allowed can undercut: with multipliers y ≥ 0 of
// the active rows, cost·z = Σ y·(row·z) + rest·z ≥ Σ y·least + Σ min(rest·lower,
// rest·upper), where rest is what the multipliers leave over.
func (v *vertex) bound() float64 {
	rest := slices.Clone(v.cost)
	sum := 0.0
	for r, y := range v.multipliers(v.cost) {
		if id := v.active[r]; y > 0 {
			sum += y * v.least[id]
			floats.AddScaled(rest, -y, v.rows.RawRowView(id))
		}
	}
	for k, c := range rest {
		sum += min(c*v.lower[k], c*v.upper[k])
	}
	return sum
}
