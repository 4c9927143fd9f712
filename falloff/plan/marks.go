package plan

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// markAtLevel is how far off the wanted level a mark may be and have it, in
// stops: what a dimmer or a tape measure can hold.
const markAtLevel = 0.1

// newMarkObjective makes what is off the wanted level at marks small.
func newMarkObjective(s *Scene, marks func(*Scene) ([]Mark, error), level float64) (*objective, error) {
	if !(level > 0) {
		return nil, errors.New("plan: no level to reach at the marks, expected one such as 300lx")
	}
	o := &objective{scene: s, variables: freeCells(s.rows), changed: make([]bool, len(s.rows)), level: level, marks: marks}
	for _, v := range o.variables {
		o.changed[v.row] = true
		o.start = append(o.start, setup.RangeColumns[v.column].Of(&s.rows[v.row]).At)
	}
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

// facing is the normal of a mark's receptor; none is toward the camera.
func facing(m Mark) r3.Vec {
	normal := r3.Vec{X: m.Facing[0], Y: m.Facing[1], Z: m.Facing[2]}
	if r3.Norm(normal) == 0 {
		return toCamera
	}
	return r3.Unit(normal)
}

// markSolution describes how good a choice for marks is.
func (o *objective) markSolution(sol *Solution, before, after *Scene) {
	_, sol.MeanBefore = o.off(before)
	off, mean := o.off(after)
	sol.Mean = mean
	if !math.IsInf(off, 0) {
		sol.OffStops = &off
		sol.ShortStops = max(0, -off)
	}
	if sol.ShortStops <= markAtLevel {
		sol.ShortStops = 0
	}
}

// WantedAtMarks notes how far each mark is off a level that was asked for, 0 for
// none. It reports whether all have it within a tenth of a stop.
func (r *Result) WantedAtMarks(wanted float64) bool {
	if !(wanted > 0) {
		return true
	}
	all := true
	for i := range r.Marks {
		m := &r.Marks[i]
		if !(m.Level > 0) {
			all = false
			continue
		}
		off := photometry.Stops(m.Level, wanted)
		m.OffStops = &off
		all = all && AtLevel(*m)
	}
	if r.Solution == nil {
		r.Solution = &Solution{}
	}
	r.Solution.Wanted = wanted
	return all
}

// AtLevel reports whether a mark has the level that was asked for, within a tenth
// of a stop.
func AtLevel(m Mark) bool { return m.OffStops != nil && math.Abs(*m.OffStops) <= markAtLevel }

// ExposeMarks notes what each mark exposes for, by the notes iso and shutter.
func (r *Result) ExposeMarks(s *Scene, set survey.Settings) {
	for i := range r.Marks {
		m := &r.Marks[i]
		if e := set.Exposure(photometry.Level{Value: m.Level, Quantity: s.Quantity}); m.Level > 0 && e != nil && e.FNumber != nil {
			m.Exposure = e
		}
	}
}
