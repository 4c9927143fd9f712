package evenness

import (
	"math"

	"evenfall/photometry"
)

// Trim is what a lamp is trimmed to while a few places are read again: a goal narrower than
// the tolerance, so that what is within it is not there by scatter. It is no verdict, which
// takes all places.
type Trim struct {
	// Watched are points of the survey: the one that leads first, then the other extreme,
	// then one between. Roles says what each is.
	Watched []int
	Roles   []string
	// Middle is the middle of the goal in the unit of the survey, Half its half width in
	// stops.
	Middle, Half float64
}

// TrimWithin is the goal for a window of the tolerance's width, low to high in stops from
// the reference: the window less twice the repeatability of a reading on each side. It leads
// with the brightest place, or with the darkest where that is farther out. It is false for
// fewer than three places, and where nothing of the window is left.
func (r *Result) TrimWithin(low, high float64) (Trim, bool) {
	half := (high-low)/2 - 2*r.Noise.Stops
	var points []int
	for i, v := range r.Levels {
		if v > 0 && r.Survey.InShot(r.Survey.X[i], r.Survey.Y[i]) {
			points = append(points, i)
		}
	}
	if len(points) < 3 || !(half > 0) {
		return Trim{}, false
	}
	t := Trim{Middle: r.Reference.Level * math.Exp2((low+high)/2), Half: half}
	brightest, darkest := points[0], points[len(points)-1] // two, where all are alike
	for _, i := range points {
		if r.Levels[i] > r.Levels[brightest] {
			brightest = i
		}
		if r.Levels[i] < r.Levels[darkest] {
			darkest = i
		}
	}
	between := -1
	for _, i := range points {
		if i != brightest && i != darkest && (between < 0 || math.Abs(t.Off(r.Levels[i])) < math.Abs(t.Off(r.Levels[between]))) {
			between = i
		}
	}
	t.Watched, t.Roles = []int{brightest, darkest, between}, []string{"brightest", "darkest", "between"}
	if -t.Off(r.Levels[darkest]) > t.Off(r.Levels[brightest]) {
		t.Watched, t.Roles = []int{darkest, brightest, between}, []string{"darkest", "brightest", "between"}
	}
	return t, true
}

// Off is a level in stops from the middle of the goal.
func (t Trim) Off(level float64) float64 { return math.Log2(level / t.Middle) }

// From and To are the levels between which the goal lies.
func (t Trim) From() float64 { return t.Middle * math.Exp2(-t.Half) }
func (t Trim) To() float64   { return t.Middle * math.Exp2(t.Half) }

// Advise says what the lamp needs by the place that leads, whose readings before the trim
// and now are in stops from the middle: more of the same, a part of it back, or nothing. The
// stops are from the edge of the goal, up to the next tenth.
func (t Trim) Advise(before, now float64) (say photometry.Finding, good bool) {
	beyond := photometry.Stop(math.Ceil((math.Abs(now)-t.Half)*10-1e-6) / 10)
	switch {
	case math.Abs(now) <= t.Half:
		return photometry.Found("trim.good"), true
	case now > 0 && before > 0:
		return photometry.Found("trim.off", "stops", beyond), false
	case now < 0 && before < 0:
		return photometry.Found("trim.on", "stops", beyond), false
	case now < 0:
		return photometry.Found("trim.back_up", "stops", beyond), false
	}
	return photometry.Found("trim.back_down", "stops", beyond), false
}

// TrimPlace says where a reading, in stops from the middle of the goal, is to the goal.
func TrimPlace(off, half float64) photometry.Finding {
	switch {
	case off > half:
		return photometry.Found("trim.over", "off", photometry.Stop(off-half))
	case off < -half:
		return photometry.Found("trim.under", "off", photometry.Stop(-half-off))
	}
	return photometry.Found("trim.within")
}
