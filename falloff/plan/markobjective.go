package plan

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// newMarkObjective makes what is off the wanted level at marks small.
func newMarkObjective(s *Scene, marks func(*Scene) ([]Mark, error), level float64) (*objective, error) {
	if !(level > 0) {
		return nil, errors.New("plan: no level to reach at the marks, expected one such as 300lx")
	}
	o := freeObjective(s, level)
	o.marks = marks
	return o, nil
}

// off is the largest distance of a mark's level from the wanted one, in stops,
// positive over it; infinite where a mark gets no light. mean is of all marks.
func (o *objective) off(s *Scene) (stops, mean float64) {
	marks, err := o.marks(s)
	if err != nil {
		return math.Inf(1), 0
	}
	for _, m := range marks {
		level := s.At(r3.Vec{X: m.X, Y: m.Y, Z: m.Z}, facing(m)).Level
		mean += level / float64(len(marks))
		if off := math.Log2(level / o.level); math.Abs(off) > math.Abs(stops) {
			stops = off
		}
	}
	return stops, mean
}

// markSolution tells how good a choice for marks is.
func (o *objective) markSolution(sol *Solution, before, after *Scene) {
	_, sol.MeanBefore = o.off(before)
	off, mean := o.off(after)
	sol.Mean = mean
	if !math.IsInf(off, 0) {
		sol.off(off)
	}
}
