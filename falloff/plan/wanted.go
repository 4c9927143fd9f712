package plan

import (
	"slices"

	"evenfall/photometry"
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

func (r *Result) warn(key string, namesAndValues ...any) {
	r.Warnings = append(r.Warnings, photometry.Found(key, namesAndValues...))
}

// WantedLevel notes how far the predicted mean is from a level that was asked
// for where nothing was solved. It reports whether the level is reached.
func (r *Result) WantedLevel(wanted float64) bool {
	if r.Surface == nil || !(wanted > 0) {
		return true
	}
	mean := r.Surface.Evenness.Mean
	if r.Surface.Area != nil {
		mean = r.Surface.Area.Mean
	}
	if !(mean > 0) {
		return false
	}
	r.Solution = &Solution{Wanted: wanted, Mean: mean, MeanBefore: mean, SpreadStops: r.decisiveSpread(), SpreadBeforeStops: r.decisiveSpread()}
	if short := photometry.Stops(wanted, mean); short > reached {
		r.Solution.ShortStops = short
		return false
	}
	return true
}

func (r *Result) decisiveSpread() float64 {
	e := r.Surface.Evenness
	if r.Surface.Area != nil {
		e = *r.Surface.Area
	}
	if !(e.Min > 0) {
		return 0 // an unlit place: there is no spread in stops
	}
	return e.SpreadStops
}

// Conclude adds the cautions that apply to the set-up, and what the score rests
// on.
func (r *Result) Conclude(s *Scene) {
	if r.Score != nil {
		r.Inferred = append(r.Inferred, r.Score.inferred...)
	}
	if slices.ContainsFunc(r.Solved, func(m Move) bool { return m.FromMiddle }) {
		r.warn("from_middle")
	}
	r.Cautions = append(s.glare(r.Marks), s.Cautions()...)
}
