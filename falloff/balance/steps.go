package balance

import (
	"container/heap"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// lastStep is how far down trims in steps go before they switch a lamp off.
const lastStep = 6.0 // stops

// SolveSteps finds shares in whole steps of so many stops below the level as
// read (step by step down to six stops, then off), where a scrim or a dimmer
// does no finer. It searches by branch and bound, which proves the answer where
// there are few lamps; where the search would take too long it ends with the
// best that a seeded local search found and the gap that is left to the best
// bound, and where ctx ends first with the best until then. The same question gets the
// same answer. Errors as in Solve.
func (e MinSpreadProblem) SolveSteps(ctx context.Context, step float64) (MinSpreadSolution, error) {
	if !(step > 0) {
		panic("balance: steps of trims must be above zero")
	}
	if err := e.check(); err != nil {
		return MinSpreadSolution{}, err
	}
	b := newBranches(e, step)
	if err := b.guess(ctx); err != nil {
		return MinSpreadSolution{}, err
	}
	if err := b.search(ctx); err != nil {
		return MinSpreadSolution{}, err
	}
	out := MinSpreadSolution{Shares: b.shares(b.best)}
	out.SpreadStops = e.Spread(out.Shares)
	out.prove(b.bound)
	return out, nil
}

// stepsOf are the shares that steps allow, from off to as read.
func stepsOf(step float64) []float64 {
	out := []float64{0}
	for k := int(math.Floor(lastStep/step + 1e-9)); k >= 0; k-- {
		out = append(out, math.Exp2(-step*float64(k)))
	}
	return out
}

// branches is a search over shares in steps. A choice is an index of the grid
// for each lamp that lights any place.
type branches struct {
	*ratioLP
	grid     []float64
	best     []int // the best choice so far
	spread   float64
	light    float64 // its mean level, to choose among equals
	bound    float64 // stops that no choice undercuts
	floor    float64 // the same for trims of any size
	programs int
	limit    int // of programs
	levels   []float64
}

func newBranches(e MinSpreadProblem, step float64) *branches {
	b := &branches{ratioLP: newRatioLP(e), grid: stepsOf(step), spread: math.Inf(1)}
	// A program takes about as long as there are places and pairs of lamps; the limit
	// keeps the whole search to some seconds whatever the size.
	b.limit = int(min(max(7e6/(float64(b.places())*float64(len(b.lit)*len(b.lit))), 12), 20_000))
	b.levels = make([]float64, b.places())
	return b
}

func (b *branches) shares(choice []int) []float64 {
	out := ones(len(b.Maps))
	for k, j := range b.lit {
		out[j] = b.grid[choice[k]]
	}
	return out
}

// try takes a choice where it is better than the best, or as good with more
// light, and tells its spread, +Inf where it is not allowed.
func (b *branches) try(choice []int) float64 {
	copy(b.levels, b.rest)
	light := 0.0
	for k, j := range b.lit {
		s := b.grid[choice[k]]
		light += s * b.mean[j]
		floats.AddScaled(b.levels, s*b.peak[j], b.shape[k])
	}
	spread := spreadOf(b.levels)
	if floats.Min(b.levels)*(1+1e-12) < b.Least/b.scale {
		return math.Inf(1)
	}
	if spread < b.spread-1e-12 || spread < b.spread+1e-9 && light > b.light*(1+1e-12) {
		b.best, b.spread, b.light = slices.Clone(choice), spread, light
	}
	return spread
}

// guess finds a good choice to begin with: the continuous answer rounded at
// several levels, then single and paired steps up and down from the best, and
// from shaken copies of it with a fixed seed.
func (b *branches) guess(ctx context.Context) error {
	top := len(b.grid) - 1
	b.try(slices.Repeat([]int{top}, len(b.lit)))
	shares, bound, err := b.even(ctx, make([]float64, len(b.Maps)), ones(len(b.Maps)))
	b.programs++
	if err != nil {
		if errors.Is(err, errStalled) {
			return nil
		}
		return err
	}
	b.floor = bound
	highest := 0.0
	for _, j := range b.lit {
		highest = max(highest, shares[j])
	}
	round := func(factor float64) {
		choice := make([]int, len(b.lit))
		for k, j := range b.lit {
			choice[k] = b.nearest(shares[j] * factor)
		}
		b.try(choice)
	}
	if highest > 0 {
		for shift := range 8 {
			round(math.Exp2(-float64(shift)/16) / highest)
		}
	}
	round(1)
	b.climb(b.best)
	random := rand.New(rand.NewPCG(1, 1))
	rounds := int(min(max(3e7/float64(b.places()*len(b.lit)*len(b.lit)*4), 4), 60))
	for range rounds {
		if ctx.Err() != nil {
			break
		}
		shaken := slices.Clone(b.best)
		for k := range shaken {
			if random.IntN(3) == 0 {
				shaken[k] = min(max(shaken[k]+random.IntN(5)-2, 0), top)
			}
		}
		b.climb(shaken)
	}
	return nil
}

// nearest is the step nearest to a share, in stops; off is a stop below the
// last one.
func (b *branches) nearest(share float64) int {
	last := b.grid[1]
	if share < last/math.Sqrt2 {
		return 0
	}
	k := 1
	for k+1 < len(b.grid) && share*share > b.grid[k]*b.grid[k+1] {
		k++
	}
	return k
}

// climb changes one lamp by a step, or two lamps, as long as that helps.
func (b *branches) climb(from []int) {
	at := slices.Clone(from)
	value := b.try(at)
	top := len(b.grid) - 1
	move := func(changes ...[2]int) bool {
		before := slices.Clone(at)
		for _, c := range changes {
			if at[c[0]] += c[1]; at[c[0]] < 0 || at[c[0]] > top {
				at = before
				return false
			}
		}
		if v := b.try(at); v < value-1e-12 {
			value = v
			return true
		}
		at = before
		return false
	}
	pairs := len(b.lit) <= 8
	for better := true; better; {
		better = false
		for k := range at {
			for _, by := range []int{1, -1, 2, -2} {
				better = move([2]int{k, by}) || better
			}
			for l := 0; pairs && l < k; l++ {
				for _, by := range [][2]int{{1, -1}, {-1, 1}, {1, 1}, {-1, -1}} {
					better = move([2]int{k, by[0]}, [2]int{l, by[1]}) || better
				}
			}
		}
	}
}

// branch is a part of the choices: each lamp between two steps.
type branch struct {
	low, high []int
	bound     float64 // stops
	shares    []float64
}

type byBound []*branch

func (h byBound) Len() int           { return len(h) }
func (h byBound) Less(i, j int) bool { return h[i].bound < h[j].bound }
func (h byBound) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *byBound) Push(x any)        { *h = append(*h, x.(*branch)) }
func (h *byBound) Pop() any {
	old := *h
	last := old[len(old)-1]
	*h = old[:len(old)-1]
	return last
}

// equalStops is how near two spreads count as equal in the search.
const equalStops = 1e-9

// search divides the choices, best bound first, until none can be better than
// the best.
func (b *branches) search(ctx context.Context) error {
	open := &byBound{}
	b.bound = math.Inf(1) // of what is closed without a choice better than best
	roots := b.roots()
	if len(roots) > b.limit || ctx.Err() != nil {
		b.bound = b.floor
		return nil
	}
	for _, root := range roots {
		if err := b.open(ctx, open, root); err != nil {
			return err
		}
	}
	for open.Len() > 0 {
		next := heap.Pop(open).(*branch)
		if next.bound >= b.spread-equalStops || b.programs >= b.limit || ctx.Err() != nil {
			// All that is open is at least as high.
			b.bound = min(b.bound, next.bound)
			break
		}
		k, at := b.divide(next)
		for _, upper := range []bool{false, true} {
			part := &branch{low: slices.Clone(next.low), high: slices.Clone(next.high)}
			if upper {
				part.low[k] = at + 1
			} else {
				part.high[k] = at
			}
			if err := b.open(ctx, open, part); ctx.Err() != nil {
				b.bound = min(b.bound, next.bound)
				return nil
			} else if err != nil {
				return err
			}
		}
	}
	b.bound = min(b.bound, b.spread)
	return nil
}

// roots are the parts to begin with. Where nothing is fixed the sum may be
// scaled at will, so that of each family of choices only the brightest is
// looked at, in which some lamp is as read.
func (b *branches) roots() []*branch {
	top := len(b.grid) - 1
	n := len(b.lit)
	whole := func() *branch {
		return &branch{low: make([]int, n), high: slices.Repeat([]int{top}, n)}
	}
	if b.Rest != nil && slices.Max(b.Rest) > 0 {
		return []*branch{whole()}
	}
	var out []*branch
	for k := range n {
		r := whole()
		r.low[k] = top
		for l := range k { // those are another root's
			r.high[l] = top - 1
		}
		out = append(out, r)
	}
	return out
}

// open bounds a part and keeps it where it may hold something better.
func (b *branches) open(ctx context.Context, open *byBound, part *branch) error {
	if slices.Equal(part.low, part.high) {
		b.try(part.low)
		return nil
	}
	low, high := make([]float64, len(b.Maps)), ones(len(b.Maps))
	for k, j := range b.lit {
		low[j], high[j] = b.grid[part.low[k]], b.grid[part.high[k]]
	}
	shares, bound, err := b.even(ctx, low, high)
	b.programs++
	switch {
	case errors.Is(err, errInfeasible):
		return nil
	case errors.Is(err, errStalled):
		// Nothing is known of it but what its parent knew; divide it in half.
		shares = high
	case err != nil:
		return err
	}
	part.bound, part.shares = bound, shares
	choice := make([]int, len(b.lit))
	for k, j := range b.lit {
		choice[k] = min(max(b.nearest(shares[j]), part.low[k]), part.high[k])
	}
	b.try(choice)
	if bound < b.spread-equalStops {
		heap.Push(open, part)
	}
	return nil
}

// divide chooses the lamp to part and after which step: the lamp whose share
// lies farthest between two steps, weighed by its light.
func (b *branches) divide(part *branch) (lamp, after int) {
	farthest := -1.0
	for k, j := range b.lit {
		if part.low[k] == part.high[k] {
			continue
		}
		s := part.shares[j]
		below := part.low[k]
		for below+1 < part.high[k] && b.grid[below+1] <= s {
			below++
		}
		off := min(math.Abs(s-b.grid[below]), math.Abs(b.grid[below+1]-s)) * b.mean[j]
		if off > farthest {
			lamp, after, farthest = k, below, off
		}
	}
	return lamp, after
}
