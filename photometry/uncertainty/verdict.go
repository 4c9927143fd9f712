package uncertainty

import "slices"

// Judge compares an interval with a tolerance: pass where all of it is inside,
// fail where none is, else unsure.
func Judge(lo, hi, tolerance float64) string {
	switch {
	case hi <= tolerance:
		return Pass
	case lo > tolerance:
		return Fail
	}
	return Unsure
}

// WorstVerdict is fail before unsure before pass; empty parts do not count.
func WorstVerdict(parts ...string) string {
	worst := Pass
	for _, p := range parts {
		if p == Fail || (p == Unsure && worst == Pass) {
			worst = p
		}
	}
	return worst
}

// WorstJudged is WorstVerdict of what was judged, "" where nothing was.
func WorstJudged(parts ...string) string {
	if !slices.ContainsFunc(parts, func(v string) bool { return v != "" }) {
		return ""
	}
	return WorstVerdict(parts...)
}

// The three verdicts. Pass and Fail are each wrong at most 2.5 % of the time.
const (
	Pass   = "pass"
	Fail   = "fail"
	Unsure = "unsure"
)
