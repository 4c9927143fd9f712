package ratio

import (
	"slices"

	"evenfall/photometry/uncertainty"
)

// Decisive is the result with at most so many of its marks, and how many were left out.
// Where some are, what is out of its target comes first, then what is unsettled and what
// has a warning, each in the order of the table. All else stays that of all marks.
func (r *Result) Decisive(most int) (listed *Result, left int) {
	if len(r.Marks) <= most {
		return r, 0
	}
	rank := func(m Mark) int {
		switch {
		case m.Verdict == uncertainty.Fail:
			return 0
		case m.Verdict == uncertainty.Unsure:
			return 1
		case len(m.Warnings) > 0:
			return 2
		}
		return 3
	}
	some := *r
	some.Marks = slices.Clone(r.Marks)
	slices.SortStableFunc(some.Marks, func(a, b Mark) int { return rank(a) - rank(b) })
	some.Marks = slices.Clip(some.Marks[:most])
	return &some, len(r.Marks) - most
}
