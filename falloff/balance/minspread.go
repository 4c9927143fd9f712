package balance

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
)

// MinSpreadProblem asks for the shares of lamps that make their sum most even: the
// least of max E/min E over the places, where E = Rest + Σ share·Maps and each
// share lies between 0 and 1.
//
// That is a linear program by the transformation of A. Charnes and W. W. Cooper
// (Programming with linear fractional functionals, Naval Research Logistics
// Quarterly 9, 1962, 181–186): with t = 1/min E and x = t·share, the least M
// such that 1 ≤ t·Rest + Σ x·Maps ≤ M, 0 ≤ x ≤ t and t·Least ≤ 1. Of the answers
// that are equally even it takes the one with most light.
type MinSpreadProblem struct {
	Maps  [][]float64 // lamp by lamp, the level at each place as read, 0 or more
	Rest  []float64   // what no trim changes, place by place; nil for nothing
	Least float64     // lowest level allowed at any place; 0 for any
}

// MinSpreadSolution is an answer with its proof. Spreads are in stops, log2(max E/min E).
type MinSpreadSolution struct {
	Shares      []float64 // of each lamp's level as read, 0 to 1
	SpreadStops float64
	BoundStops  float64 // no shares give less than this
	GapStops    float64 // SpreadStops less BoundStops, never negative
	Optimal     bool    // the gap is under a millionth of a stop
}

const (
	// provedGap is the gap in stops that counts as none.
	provedGap = 1e-6
	// rounding is what arithmetic leaves of a gap of nothing.
	rounding = 1e-12
)

// UnreachableError says that even all lamps at their level as read leave a
// place below the least level asked for.
type UnreachableError struct {
	Least float64 // asked for
	Got   float64 // at the darkest place with all lamps as read
	Place int     // index of that place
}

func (e *UnreachableError) Error() string {
	return fmt.Sprintf("a least level of %s cannot be reached: with all lamps as read the darkest place has %s, %s less",
		photometry.FormatFigure(e.Least), photometry.FormatFigure(e.Got), photometry.FormatStops(photometry.Stops(e.Least, e.Got)))
}

// DarkError says that a place gets no light at all, whatever the trims.
type DarkError struct{ Place int }

func (e *DarkError) Error() string {
	return fmt.Sprintf("place %d gets no light from any lamp: no trims make it even", e.Place+1)
}

// Levels are the levels at all places for the shares of the lamps.
func (e MinSpreadProblem) Levels(shares []float64) []float64 {
	out := make([]float64, e.places())
	if e.Rest != nil {
		copy(out, e.Rest)
	}
	for j, m := range e.Maps {
		floats.AddScaled(out, shares[j], m)
	}
	return out
}

func (e MinSpreadProblem) places() int {
	if len(e.Maps) > 0 {
		return len(e.Maps[0])
	}
	return len(e.Rest)
}

// Spread is log2(max E/min E) for the shares of the lamps, +Inf where a place
// is dark.
func (e MinSpreadProblem) Spread(shares []float64) float64 { return spreadOf(e.Levels(shares)) }

func spreadOf(levels []float64) float64 {
	low, high := floats.Min(levels), floats.Max(levels)
	if !(low > 0) {
		return math.Inf(1)
	}
	return math.Log2(high / low)
}

// leastSlack is how far under the least level an answer may lie by rounding; the
// program itself allows a tenth of it.
const leastSlack = 1e-8

// check refuses a question without an answer and panics at a malformed one.
func (e MinSpreadProblem) check() error {
	if len(e.Maps) == 0 {
		panic("balance: no lamps to trim")
	}
	n := e.places()
	if n == 0 || e.Rest != nil && len(e.Rest) != n {
		panic("balance: maps of different lengths")
	}
	for _, m := range e.Maps {
		if len(m) != n {
			panic("balance: maps of different lengths")
		}
		for _, v := range m {
			if !(v >= 0) || math.IsInf(v, 0) {
				panic("balance: a level that no lamp has")
			}
		}
	}
	all := e.Levels(ones(len(e.Maps)))
	darkest := floats.MinIdx(all)
	switch got := all[darkest]; {
	case got == 0:
		return &DarkError{darkest}
	case got*(1+1e-12) < e.Least: // a hair of slack, so that the level as read itself can be asked for
		return &UnreachableError{Least: e.Least, Got: got, Place: darkest}
	}
	return nil
}

func ones(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// Solve finds the shares. Errors are UnreachableError, DarkError, or the
// context's.
func (e MinSpreadProblem) Solve(ctx context.Context) (MinSpreadSolution, error) {
	if err := e.check(); err != nil {
		return MinSpreadSolution{}, err
	}
	n := len(e.Maps)
	p := newRatioLP(e)
	out := MinSpreadSolution{Shares: ones(n)}
	out.SpreadStops = e.Spread(out.Shares)
	shares, bound, err := p.even(ctx, make([]float64, n), ones(n))
	if err != nil && !errors.Is(err, errStalled) {
		return MinSpreadSolution{}, err
	}
	take := func(shares []float64, slack float64) {
		if s := e.Spread(shares); s <= out.SpreadStops+slack && slices.Min(e.Levels(shares)) >= e.Least*(1-leastSlack) {
			out.Shares, out.SpreadStops = shares, s
		}
	}
	if err == nil {
		take(shares, 0)
		brighter, err := p.brightest(ctx, out.SpreadStops, make([]float64, n), ones(n))
		switch {
		case err == nil:
			take(brighter, provedGap/4)
			take(snapped(brighter), provedGap/4)
		case ctx.Err() != nil:
			return MinSpreadSolution{}, ctx.Err()
		}
	}
	out.prove(bound)
	return out, nil
}

// prove holds an answer to a lower bound of its spread.
func (o *MinSpreadSolution) prove(boundStops float64) {
	o.BoundStops = min(max(0, boundStops), o.SpreadStops)
	if o.SpreadStops-o.BoundStops < rounding {
		o.BoundStops = o.SpreadStops
	}
	o.GapStops = o.SpreadStops - o.BoundStops
	o.Optimal = o.GapStops <= provedGap
}

// snapped puts shares that are off 0 or 1 by rounding there.
func snapped(shares []float64) []float64 {
	out := slices.Clone(shares)
	for j, s := range out {
		switch {
		case s < 1e-6:
			out[j] = 0
		case s > 1-1e-6:
			out[j] = 1
		}
	}
	return out
}

// ratioLP holds what all linear programs of a question share. Levels are in units
// of the brightest place as read, and each lamp's share is counted in units of its
// own brightest place, so that figures stay near 1.
type ratioLP struct {
	MinSpreadProblem
	scale float64     // level of the unit
	lit   []int       // lamps that light any place
	peak  []float64   // of each lamp in the unit
	mean  []float64   // of each lamp over all places, in the unit
	shape [][]float64 // of each lamp that lights any place, over its peak
	rest  []float64   // what no trim changes, in the unit
}

func newRatioLP(e MinSpreadProblem) *ratioLP {
	p := &ratioLP{MinSpreadProblem: e, scale: floats.Max(e.Levels(ones(len(e.Maps)))), rest: make([]float64, e.places())}
	if e.Rest != nil {
		floats.ScaleTo(p.rest, 1/p.scale, e.Rest)
	}
	for j, m := range e.Maps {
		peak := floats.Max(m)
		p.mean = append(p.mean, floats.Sum(m)/float64(len(m))/p.scale)
		p.peak = append(p.peak, peak/p.scale)
		if peak > 0 {
			p.lit = append(p.lit, j)
			p.shape = append(p.shape, floats.ScaleTo(make([]float64, len(m)), 1/peak, m))
		}
	}
	return p
}

// between is a row of a place for each of two sides, its level times 1 and −1 in
// terms of the lamps' shares, to which the caller adds what bounds it.
func (p *ratioLP) between(lp *linearProgram, place int, least, most float64) (below, above []float64) {
	below, above = lp.require(least), lp.require(-most)
	for k, shape := range p.shape {
		below[k], above[k] = shape[place], -shape[place]
	}
	return below, above
}

// even solves for the least spread with each share between low and high. It
// gives the shares and a lower bound of the spread in stops. Where the shares
// of a lamp that lights no place are of no use they are high.
func (p *ratioLP) even(ctx context.Context, low, high []float64) (shares []float64, boundStops float64, err error) {
	most := p.Levels(high)
	dimmest, brightest := floats.Min(most)/p.scale, floats.Max(most)/p.scale
	least := p.Least / p.scale
	if dimmest*(1+1e-12) < least || dimmest <= 0 {
		return nil, math.Inf(1), errInfeasible
	}
	// Variables: a lamp's x in units of its peak, then t, then the ratio M.
	n := len(p.lit)
	t, ratio := n, n+1
	lp := newLinearProgram(n + 2)
	lp.cost[ratio] = 1
	lp.lower[ratio], lp.upper[ratio] = 1, brightest/dimmest*(1+1e-9) // a ratio that can be had
	lp.lower[t] = 1 / dimmest * (1 - 1e-12)
	lp.upper[t] = max(p.mostT(low, high, lp.upper[ratio])*(1+1e-9), lp.lower[t])
	for i := range p.places() {
		below, above := p.between(lp, i, 1, 0)
		below[t], above[t], above[ratio] = p.rest[i], -p.rest[i], 1
	}
	for k, j := range p.lit {
		lp.upper[k] = lp.upper[ratio]
		row := lp.require(0)
		row[k], row[t] = -1, high[j]*p.peak[j]
		if low[j] > 0 {
			row = lp.require(0)
			row[k], row[t] = 1, -low[j]*p.peak[j]
		}
	}
	answer, err := lp.solve(ctx)
	boundStops = math.Log2(max(1, answer.bound))
	if err != nil {
		return nil, boundStops, err
	}
	shares = slices.Clone(high)
	for k, j := range p.lit {
		shares[j] = min(max(answer.z[k]/p.peak[j]/answer.z[t], low[j]), high[j])
	}
	return shares, boundStops, nil
}

// mostT is the largest t = 1/min E: from the brightest of what the places have at
// the least, which may be no more than the ratio; else from the lamp that reaches
// the ratio last; and from the least level asked for.
func (p *ratioLP) mostT(low, high []float64, ratio float64) (t float64) {
	if lowest := floats.Max(p.Levels(low)) / p.scale; lowest > 0 {
		t = ratio / lowest
	} else {
		for _, j := range p.lit {
			if high[j] > 0 {
				t = max(t, ratio/(p.peak[j]*high[j]))
			}
		}
	}
	if p.Least > 0 {
		t = min(t, p.scale/p.Least)
	}
	return t
}

// brightest solves for most light within a spread that can be had: most mean
// level over the places, and lamps left as they are where that is all the same.
func (p *ratioLP) brightest(ctx context.Context, spreadStops float64, low, high []float64) ([]float64, error) {
	n := len(p.lit)
	floor := n
	lp := newLinearProgram(n + 1)
	all := floats.Sum(p.mean)
	for k, j := range p.lit {
		lp.cost[k] = -(p.mean[j]/all + 1e-4/float64(n)) / p.peak[j]
		lp.lower[k], lp.upper[k] = low[j]*p.peak[j], high[j]*p.peak[j]
	}
	lp.lower[floor], lp.upper[floor] = p.Least/p.scale*(1-1e-12), floats.Min(p.Levels(high))/p.scale
	factor := math.Exp2(spreadStops) * (1 + 1e-10)
	for i, rest := range p.rest {
		below, above := p.between(lp, i, -rest, -rest)
		below[floor], above[floor] = -1, factor
	}
	answer, err := lp.solve(ctx)
	if err != nil {
		return nil, err
	}
	shares := slices.Clone(high)
	for k, j := range p.lit {
		shares[j] = answer.z[k] / p.peak[j]
	}
	return shares, nil
}
