package plan

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/optimize"

	"evenfall/photometry"
	"evenfall/photometry/parallel"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
)

// Goal is what the free cells are chosen for.
type Goal struct {
	// On is the surface; its area in shot, where one is set, is what has to be
	// even.
	On Surface
	// Marks gives the marks of a scene that should all have the level; it takes
	// the place of the surface. Nil is the surface.
	Marks func(*Scene) ([]Mark, error)
	// Level is the mean that the area should have, in the unit of the scene; 0 for
	// any.
	Level float64
	// Seed makes another set of starts; the same seed gives the same answer.
	Seed uint64
	// Starts is how many searches are made, the first from the present values
	// and the others from random ones; 0 is 6.
	Starts int
	// Progress is told, now and then and from one goroutine at a time, how much
	// of the work is done, 0 to 1, and the least spread so far in stops.
	Progress func(done, stops float64)
}

// Move is a cell that was free and what it is set to.
type Move struct {
	Lamp  string  `json:"lamp"`
	Field string  `json:"field"`
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	Unit  string  `json:"unit"`
	// AtEnd says that it is set to an end of its range: a wider one may do
	// better.
	AtEnd bool `json:"at_end,omitempty"`
	// FromMiddle says that From is no present value but the middle of the range.
	FromMiddle bool `json:"from_middle,omitempty"`
}

// Solution is how good the moves are.
type Solution struct {
	Seed              uint64  `json:"seed"`
	Starts            int     `json:"starts"`
	Evaluations       int     `json:"evaluations"`
	SpreadBeforeStops float64 `json:"spread_before_stops,omitempty"` // absent where a place got no light
	SpreadStops       float64 `json:"spread_stops"`
	MeanBefore        float64 `json:"mean_before"`
	Mean              float64 `json:"mean"`
	// Wanted is the level asked for and ShortStops what is missing of it, 0
	// where it is reached or there is more.
	Wanted     float64 `json:"level_wanted,omitempty"`
	ShortStops float64 `json:"short_stops"`
	// OffStops is how far the mean, or the mark that is farthest off, is from the
	// level wanted, positive over it; absent where none was.
	OffStops *float64 `json:"off_stops,omitempty"`
	// Agreeing is how many of the starts ended within 0.02 stop of the best.
	Agreeing int `json:"starts_agreeing"`
	// Stopped says that the search was ended before it was through.
	Stopped bool `json:"stopped,omitempty"`
	// Skipped says that values in the ranges were left out since their light takes too
	// many looks.
	Skipped bool `json:"skipped,omitempty"`
}

// levelTolerance is how far off a wanted level a mark or the mean may be and have it,
// in stops, over and under: what a dimmer or a tape measure can do.
const levelTolerance = 0.1

// Reached reports whether the level that was asked for is there within a tenth of a
// stop, neither over nor under.
func (s *Solution) Reached() bool {
	return s.OffStops != nil && math.Abs(*s.OffStops) <= levelTolerance
}

// off notes how far a level is from the wanted one, in stops.
func (s *Solution) off(stops float64) {
	s.OffStops, s.ShortStops = &stops, 0
	if !s.Reached() {
		s.ShortStops = max(0, -stops)
	}
}

// ErrNothingFree is the answer where no cell holds a range.
var ErrNothingFree = errors.New("plan: no cell of the table holds a range such as 1.5..3.0, so there is nothing to solve")

// mostTried is how many rows one start looks at, but for tests: a set-up of very many lamps
// is tried with fewer values.
var mostTried = 1_000_000

// usualBudget is how many values of so many free cells one start may try.
func usualBudget(cells int) int { return 300 * (cells + 2) }

// Solve chooses the free cells of a scene for the least spread over the area,
// with its mean at the wanted level. It is a search by an evolution
// strategy (CMA-ES) from several starts, each finished by a simplex, with values
// that can be set: whole centimeters, half degrees and percents. It returns the
// scene as it then is. Where the level cannot be reached it comes as near as it
// can, and the solution says what is missing.
//
// Where ctx ends first it is the best until then. It returns ErrNothingFree, an error of
// the surface's size, ctx's error where nothing was found by then, or one
// that says that no values in the ranges make a set-up that can stand.
func (s *Scene) Solve(ctx context.Context, g Goal) (*Scene, []Move, *Solution, error) {
	o, err := newObjective(s, g.On, g.Level)
	if g.Marks != nil {
		o, err = newMarkObjective(s, g.Marks, g.Level)
	}
	if err != nil {
		return nil, nil, nil, err
	}
	if len(o.variables) == 0 {
		return nil, nil, nil, ErrNothingFree
	}
	starts := g.Starts
	if starts <= 0 {
		starts = 6
	}
	if found := len(o.variables); found > schema.MostFree {
		return nil, nil, nil, fmt.Errorf("plan: found %d cells with a range, expected at most %d", found, schema.MostFree)
	}
	budget := min(usualBudget(len(o.variables)), mostTried/len(s.rows))
	run := &search{objective: o, goal: g, starts: starts, budget: budget, ctx: ctx, least: math.Inf(1), ends: make([]ending, starts)}
	parallel.Each(starts, 1, func(i int) { run.ends[i] = run.one(i) })
	if err := s.TooMuch(); err != nil {
		return nil, nil, nil, err
	}
	best := 0
	for i, e := range run.ends {
		if e.cost < run.ends[best].cost {
			best = i
		}
	}
	if err := ctx.Err(); err != nil && run.ends[best].cost >= worst {
		return nil, nil, nil, err
	}
	if run.ends[best].cost >= worst && o.tooMuch.Load() {
		return nil, nil, nil, errTooMuch
	}
	if run.ends[best].cost >= worst {
		return nil, nil, nil, errors.New("plan: no values in the ranges make a set-up that can stand: a lamp would be in the surface or aim at itself")
	}
	values := run.settle(run.ends[best].values)
	after := o.at(values)
	sol := &Solution{Seed: g.Seed, Starts: starts, Evaluations: run.count, Wanted: g.Level, Stopped: run.short.Load() || ctx.Err() != nil, Skipped: o.tooMuch.Load()}
	if o.marks != nil {
		if o.markSolution(sol, s, after); sol.OffStops == nil {
			return nil, nil, nil, errors.New("plan: some mark gets no light with any values in the ranges")
		}
	} else if err := o.surfaceSolution(sol, s, after); err != nil {
		return nil, nil, nil, err
	}
	for _, e := range run.ends {
		if e.cost <= run.ends[best].cost+0.02 {
			sol.Agreeing++
		}
	}
	moves := make([]Move, len(o.variables))
	for i, v := range o.variables {
		moves[i] = Move{Lamp: s.rows[v.row].Name, Field: v.name(), From: o.start[i], To: values[i], Unit: v.unit(),
			AtEnd: values[i] == v.low || values[i] == v.high, FromMiddle: setup.RangeColumns[v.column].Of(&s.rows[v.row]).FromMiddle()}
		cell := setup.RangeColumns[v.column].Of(&after.rows[v.row])
		*cell = setup.Fixed(values[i])
	}
	after.straighten(o.variables)
	return after, moves, sol, nil
}

// surfaceSolution describes how even and bright the surface is before and after.
func (o *objective) surfaceSolution(sol *Solution, before, after *Scene) error {
	if spread, mean := o.spread(before); !math.IsInf(spread, 1) {
		sol.SpreadBeforeStops, sol.MeanBefore = spread, mean
	} else {
		sol.MeanBefore = mean
	}
	sol.SpreadStops, sol.Mean = o.spread(after)
	if math.IsInf(sol.SpreadStops, 1) {
		return errors.New("plan: some place of the area gets no light with any values in the ranges")
	}
	if o.level > 0 {
		sol.off(photometry.Stops(sol.Mean, o.level))
	}
	return nil
}

// straighten makes the columns that say the same thing twice agree again after
// some of them moved.
func (s *Scene) straighten(moved []variable) {
	for _, v := range moved {
		l, f := &s.rows[v.row], &s.Fixtures[v.row]
		if l.StandHeight.Set && l.Y.Set {
			l.Y, l.StandHeight = setup.Fixed(round6(f.At.Y)), setup.Fixed(round6(f.At.Y-s.floor()))
		}
		if !f.Aimed || !(l.Pan.Set || l.Tilt.Set) || !l.AimX.Set {
			continue
		}
		if name := v.name(); name == "pan" || name == "tilt" {
			l.AimX, l.AimY, l.AimZ = setup.Range{}, setup.Range{}, setup.Range{}
		} else {
			pan, tilt := panTilt(f.Aim)
			l.Pan, l.Tilt = setup.Fixed(math.Round(pan*10)/10), setup.Fixed(math.Round(tilt*10)/10)
		}
	}
}

func round6(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// ending is where one start led.
type ending struct {
	values []float64
	cost   float64
}

// search runs the starts.
type search struct {
	*objective
	goal   Goal
	starts int
	budget int // evaluations of one start
	ctx    context.Context
	short  atomic.Bool // very many lamps left too little of it

	lock  sync.Mutex
	count int
	least float64
	ends  []ending
}

// value folds a coordinate of the search, 0 to 1 and mirrored beyond, into the
// range of a cell.
func (v variable) value(x float64) float64 {
	x = math.Mod(math.Abs(x), 2)
	if x > 1 {
		x = 2 - x
	}
	return v.low + x*(v.high-v.low)
}

func (r *search) values(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range r.variables {
		out[i] = v.value(x[i])
	}
	return out
}

// one is the search from one start. Each has a source of random numbers of its
// own, so that the answer does not hang on which processor was faster.
func (r *search) one(start int) ending {
	random := rand.New(rand.NewPCG(r.goal.Seed, uint64(start)+1))
	x := make([]float64, len(r.variables))
	for i, v := range r.variables {
		x[i] = (r.start[i] - v.low) / (v.high - v.low)
		if start > 0 {
			x[i] = random.Float64()
		}
	}
	best := ending{values: r.values(x), cost: math.Inf(1)}
	problem := optimize.Problem{
		Func: func(x []float64) float64 {
			values := r.values(x)
			cost := r.cost(values)
			if cost < best.cost {
				best = ending{values, cost}
			}
			r.reportProgress(cost)
			return cost
		},
		Status: func() (optimize.Status, error) {
			if r.ctx.Err() != nil {
				return optimize.RuntimeLimit, nil
			}
			return optimize.NotTerminated, nil
		},
	}
	step := 0.15
	if start > 0 {
		step = 0.3
	}
	settings := func(evaluations int) *optimize.Settings {
		return &optimize.Settings{FuncEvaluations: evaluations, Converger: &optimize.FunctionConverge{Absolute: 1e-5, Iterations: 25}}
	}
	if len(x) > 1 {
		// Its errors are about malformed problems, which this is not; what it
		// found is in best.
		result, _ := optimize.Minimize(problem, x, settings(r.budget), &optimize.CmaEsChol{InitStepSize: step, Src: random})
		if result != nil && result.Status == optimize.FunctionEvaluationLimit && r.budget < usualBudget(len(x)) {
			r.short.Store(true)
		}
	} else {
		r.scan(problem.Func)
	}
	if r.ctx.Err() == nil && best.cost < worst {
		_, _ = optimize.Minimize(problem, r.coordinates(best.values), settings(r.budget/4), &optimize.NelderMead{SimplexSize: 0.02})
	}
	return best
}

// coordinates is the inverse of values.
func (r *search) coordinates(values []float64) []float64 {
	x := make([]float64, len(values))
	for i, v := range r.variables {
		x[i] = (values[i] - v.low) / (v.high - v.low)
	}
	return x
}

// scan tries a single free cell all along its range.
func (r *search) scan(f func([]float64) float64) {
	const n = 120
	for i := range n + 1 {
		f([]float64{float64(i) / n})
	}
}

// reportProgress counts an evaluation and reports progress.
func (r *search) reportProgress(cost float64) {
	r.lock.Lock()
	defer r.lock.Unlock()
	r.count++
	r.least = math.Min(r.least, cost)
	if r.goal.Progress != nil && r.count%50 == 0 {
		r.goal.Progress(math.Min(1, float64(r.count)/float64(r.starts*r.budget)), r.least)
	}
}

// settle rounds values to what can be set, and then tries each a step up and
// down: rounding all at once is not the best of them.
func (r *search) settle(values []float64) []float64 {
	out := slices.Clone(values)
	for i, v := range r.variables {
		out[i] = v.rounded(out[i])
	}
	least := r.cost(out)
	for range 3 {
		better := false
		for i, v := range r.variables {
			step := v.step()
			if step == 0 {
				step = 0.01 * (v.high - v.low)
			}
			for _, d := range []float64{-step, step} {
				try := slices.Clone(out)
				try[i] = v.rounded(out[i] + d)
				if cost := r.cost(try); cost < least-1e-9 {
					out, least, better = try, cost, true
				}
			}
		}
		if !better {
			break
		}
	}
	return out
}
