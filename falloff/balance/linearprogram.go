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
// holds: rows·z ≥ least. Bounds are finite. The general simplex method at hand
// goes around in circles where many rows meet in one vertex, as the rows of
// places that are equally bright do, so the program is solved here: it has few
// variables (a lamp each) and very many rows (two a place).
type linearProgram struct {
	cost, lower, upper []float64
	rows               []float64 // len(least) × len(cost), row by row
	least              []float64
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
// whose crossing is the point z.
type vertex struct {
	*linearProgram
	d      int
	norms  []float64
	active []int // bounds first: lower k, then d + upper k, then 2d + row i
	basis  *mat.Dense
	lu     mat.LU
	z, y   *mat.VecDense
	right  *mat.VecDense
	steps  int
	proved float64 // the best bound on the way, where the end is not reached
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
	d := len(p.cost)
	if len(p.lower) != d || len(p.upper) != d || len(p.rows) != d*len(p.least) {
		panic("plan: a linear program whose parts do not fit")
	}
	c := &vertex{linearProgram: p, d: d, norms: make([]float64, len(p.least)), active: make([]int, d),
		basis: mat.NewDense(d, d, nil), z: mat.NewVecDense(d, nil), y: mat.NewVecDense(d, nil), right: mat.NewVecDense(d, nil), proved: math.Inf(-1)}
	for i := range p.least {
		c.norms[i] = floats.Norm(p.row(i), 2)
		if c.norms[i] == 0 {
			c.norms[i] = 1
		}
	}
	cost := c.perturbed()
	for k, v := range cost {
		if p.lower[k] > p.upper[k] {
			return lpAnswer{}, errInfeasible
		}
		c.active[k] = k
		if v < 0 {
			c.active[k] = d + k
		}
	}
	if err := c.descend(ctx, cost); err != nil {
		return lpAnswer{bound: c.proved, steps: c.steps}, err
	}
	c.polish()
	answer := lpAnswer{z: append([]float64(nil), c.z.RawVector().Data...), bound: c.bound(), steps: c.steps}
	for k := range answer.z {
		answer.z[k] = min(max(answer.z[k], p.lower[k]), p.upper[k])
	}
	answer.cost = floats.Dot(answer.z, p.cost)
	return answer, nil
}

func (p *linearProgram) row(i int) []float64 { d := len(p.cost); return p.rows[i*d : (i+1)*d] }

// perturbed are the costs with a little added to each, away from zero.
func (c *vertex) perturbed() []float64 {
	largest := 0.0
	for _, v := range c.cost {
		largest = max(largest, math.Abs(v))
	}
	if largest == 0 {
		largest = 1
	}
	out := make([]float64, c.d)
	for k, v := range c.cost {
		// The golden ratio's multiples are spread evenly and repeat nowhere.
		_, uneven := math.Modf(float64(k+1) * 0.6180339887498949)
		add := lpPerturbed * largest * (1 + uneven)
		if v < 0 {
			add = -add
		}
		out[k] = v + add
	}
	return out
}

// constraint writes an active or any other row into dst and gives its right
// side.
func (c *vertex) constraint(id int, dst []float64) (least float64) {
	if id >= 2*c.d {
		copy(dst, c.row(id-2*c.d))
		return c.linearProgram.least[id-2*c.d]
	}
	clear(dst)
	if id >= c.d {
		dst[id-c.d] = -1
		return -c.upper[id-c.d]
	}
	dst[id] = 1
	return c.lower[id]
}

// factorize prepares the active rows and finds their crossing; it reports
// false where they do not cross in one point.
func (c *vertex) factorize() bool {
	for r, id := range c.active {
		c.right.SetVec(r, c.constraint(id, c.basis.RawRowView(r)))
	}
	c.lu.Factorize(c.basis)
	return c.lu.Cond() < 1e15 && c.lu.SolveVecTo(c.z, false, c.right) == nil
}

// multipliers solves Σ y·row = cost over the active rows.
func (c *vertex) multipliers(cost []float64) []float64 {
	c.mustSolve(c.y, mat.NewVecDense(c.d, cost))
	return c.y.RawVector().Data
}

// mustSolve solves for what the active rows add up to; factorize has seen that
// they can.
func (c *vertex) mustSolve(dst, sum *mat.VecDense) {
	if err := c.lu.SolveVecTo(dst, true, sum); err != nil {
		panic("plan: " + err.Error())
	}
}

// worst is the row that z violates most, in units of its length, -1 for none.
func (c *vertex) worst() int {
	z := c.z.RawVector().Data
	worst, most := -1, lpFeasible
	look := func(id int, short float64) {
		// An active row is met to rounding; to call it violated would go around
		// in circles.
		if short > most && !slices.Contains(c.active, id) {
			worst, most = id, short
		}
	}
	for k, v := range z {
		look(k, c.lower[k]-v)
		look(c.d+k, v-c.upper[k])
	}
	for i, least := range c.least {
		look(2*c.d+i, (least-floats.Dot(c.row(i), z))/c.norms[i])
	}
	return worst
}

// descend makes violated rows active until none is left.
func (c *vertex) descend(ctx context.Context, cost []float64) error {
	w := mat.NewVecDense(c.d, nil)
	enter := mat.NewVecDense(c.d, nil)
	limit := 2000 + 100*c.d
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		if !c.factorize() {
			return errStalled
		}
		id := c.worst()
		if id < 0 {
			return nil
		}
		if c.steps++; c.steps > limit {
			c.proved = c.bound()
			return errStalled
		}
		y := c.multipliers(cost)
		c.constraint(id, enter.RawVector().Data)
		c.mustSolve(w, enter)
		largest := 0.0
		for _, v := range w.RawVector().Data {
			largest = max(largest, math.Abs(v))
		}
		leave, ratio := -1, math.Inf(1)
		for r, v := range w.RawVector().Data {
			if v > lpPivot*largest {
				if q := max(0, y[r]) / v; q < ratio {
					leave, ratio = r, q
				}
			}
		}
		if leave < 0 {
			return errInfeasible
		}
		c.active[leave] = id
	}
}

// polish takes back the perturbation: while an active row has a multiplier of
// the wrong sign under the true costs, it moves off that row to the next one
// in the way. It stops early rather than go in circles; the bound is true
// either way.
func (c *vertex) polish() {
	move := mat.NewVecDense(c.d, nil)
	unit := mat.NewVecDense(c.d, nil)
	for range 20 * c.d {
		y := c.multipliers(c.cost)
		leave := floats.MinIdx(y)
		if y[leave] >= -1e-13*floats.Norm(c.cost, math.Inf(1)) {
			return
		}
		unit.Zero()
		unit.SetVec(leave, 1)
		if c.lu.SolveVecTo(move, false, unit) != nil {
			return
		}
		id := c.blocking(move.RawVector().Data, leave)
		if id < 0 {
			return // cannot be: the bounds are finite
		}
		c.steps++
		old := c.active[leave]
		c.active[leave] = id
		if !c.factorize() || c.worstBy(1e-9) {
			c.active[leave] = old
			c.factorize()
			return
		}
	}
}

// worstBy tells whether some row is violated by more than a tolerance.
func (c *vertex) worstBy(tolerance float64) bool {
	id := c.worst()
	if id < 0 {
		return false
	}
	row := make([]float64, c.d)
	least := c.constraint(id, row)
	return (least-floats.Dot(row, c.z.RawVector().Data))/floats.Norm(row, 2) > tolerance
}

// blocking is the row outside the active ones that a move from z meets first.
func (c *vertex) blocking(move []float64, leave int) int {
	z := c.z.RawVector().Data
	is := map[int]bool{}
	for _, id := range c.active {
		is[id] = true
	}
	size := floats.Norm(move, math.Inf(1))
	found, first := -1, math.Inf(1)
	look := func(id int, slack, speed float64) {
		if speed < -lpPivot*size && !is[id] {
			if at := max(0, slack) / -speed; at < first {
				found, first = id, at
			}
		}
	}
	for k := range z {
		look(k, z[k]-c.lower[k], move[k])
		look(c.d+k, c.upper[k]-z[k], -move[k])
	}
	for i, least := range c.least {
		look(2*c.d+i, (floats.Dot(c.row(i), z)-least)/c.norms[i], floats.Dot(c.row(i), move)/c.norms[i])
	}
	return found
}

// bound is a cost that nothing allowed can undercut: with multipliers y ≥ 0 of
// the active rows, cost·z = Σ y·(row·z) + rest·z ≥ Σ y·least + Σ min(rest·lower,
// rest·upper), where rest is what the multipliers leave over.
func (c *vertex) bound() float64 {
	y := c.multipliers(c.cost)
	rest := append([]float64(nil), c.cost...)
	row := make([]float64, c.d)
	sum := 0.0
	for r, id := range c.active {
		if v := y[r]; v > 0 {
			sum += v * c.constraint(id, row)
			floats.AddScaled(rest, -v, row)
		}
	}
	for k, v := range rest {
		sum += min(v*c.lower[k], v*c.upper[k])
	}
	return sum
}
