package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// Unsolved notes why nothing was solved: no cell is free, though a level was
// asked for, or some are and there is no surface to judge them by.
func (r *Result) Unsolved(s *Scene, asked bool) {
	switch free := s.Free(); {
	case free > 0:
		r.warn("unsolved", "free", free)
	case asked:
		r.warn("nothing_free")
	}
}

// NoSensitivity notes that the sensitivity of the stands was not computed to its end.
func (r *Result) NoSensitivity() {
	r.Sensitivity = []Sensitivity{}
	r.warn("no_sensitivity")
}

// SkipSensitivity notes the stands whose sensitivity took too many looks.
func (r *Result) SkipSensitivity(lamps []string) {
	if len(lamps) > 0 {
		r.warn("skipped_sensitivity", "lamps", lamps)
	}
}

func (r *Result) warn(key string, namesAndValues ...any) {
	r.Warnings = append(r.Warnings, photometry.Found(key, namesAndValues...))
}

// WantedLevel notes how far the predicted mean is from a level that was asked
// for where nothing was solved. It reports whether the level is reached.
func (r *Result) WantedLevel(wanted float64) bool {
	if r.Surface == nil || !(wanted > 0) {
		return true
	}
	e := decisive(r.Surface)
	if !(e.Mean > 0) {
		return false
	}
	sol := &Solution{Wanted: wanted, Mean: e.Mean, MeanBefore: e.Mean}
	if e.Min > 0 { // else there is no spread in stops
		sol.SpreadStops, sol.SpreadBeforeStops = e.SpreadStops, e.SpreadStops
	}
	sol.off(photometry.Stops(e.Mean, wanted))
	r.Solution = sol
	return sol.Reached()
}

// decisive is the figures of the part in shot, where there is one, else of the whole.
func decisive(r *evenness.Result) evenness.Statistics {
	if r.Area != nil {
		return *r.Area
	}
	return r.Evenness
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
func AtLevel(m Mark) bool { return m.OffStops != nil && math.Abs(*m.OffStops) <= levelTolerance }

// ExposeMarks notes what each mark exposes for, by the notes iso and shutter.
func (r *Result) ExposeMarks(s *Scene, set survey.Settings) {
	for i := range r.Marks {
		m := &r.Marks[i]
		if e := set.Exposure(photometry.Level{Value: m.Level, Quantity: s.Quantity}); m.Level > 0 && e != nil && e.FNumber != nil {
			m.Exposure = e
		}
	}
}

// Conclude adds the cautions that apply to the set-up, and what the score rests
// on.
func (r *Result) Conclude(s *Scene) {
	if r.Score != nil {
		r.Inferred = append(r.Inferred, r.Score.inferred...)
	}
	if r.Solution != nil && r.Solution.Stopped {
		r.warn("stopped")
	}
	if r.Solution != nil && r.Solution.Skipped {
		r.warn("skipped_values")
	}
	if slices.ContainsFunc(r.Solved, func(m Move) bool { return m.FromMiddle }) {
		r.warn("from_middle")
	}
	for _, m := range r.Marks {
		for i := range s.Fixtures {
			r.Warnings = append(r.Warnings, s.nearFile(i, r3.Vec{X: m.X, Y: m.Y, Z: m.Z}, m.Label)...)
		}
	}
	r.Cautions = append(s.glare(r.Marks), s.Cautions()...)
}
