package evenness

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// Next is a further reading that would help most, with what each outcome would mean.
type Next struct {
	photometry.Finding
	point photometry.Point
}

// mostNext is how many further readings are asked for at most.
const mostNext = 5

// Next are the few further readings that would settle the verdict or tell the causes
// apart, in walking order: from the top, from camera left. It is empty where none is
// needed.
func (r *Result) Next() []Next {
	out := []Next{}
	add := func(p photometry.Point, f photometry.Finding) {
		if len(out) < mostNext {
			out = append(out, Next{f, p})
		}
	}
	for _, x := range r.Suspects {
		if p := r.Survey.Point(x.Point); x.Expected > 0 {
			add(p, photometry.Found("next.suspect", "place", p, "expected", photometry.Level{Value: x.Expected, Quantity: r.Survey.Quantity}, "found", x.Found))
		}
	}
	if r.Verdict.Evenness != uncertainty.Pass && len(r.explained) > 0 {
		if c := &r.explained[0]; len(c.Rivals) > 0 && c.Test != nil {
			add(r.testPlace(c.Test), photometry.Found("next.test", "test", r.tested(c)))
		}
	}
	if i, ok := r.MostHelpful(r.Survey.UnreadX, r.Survey.UnreadY); ok && r.incomplete {
		p := photometry.Point{X: r.Survey.UnreadX[i.Index], Y: r.Survey.UnreadY[i.Index]}
		add(p, photometry.Found("next.unread", "place", p, "off", photometry.Stop(i.Stops), "near", i.Near))
	}
	for _, a := range r.Advice {
		if a.Code == "repeat_extremes" {
			r.nextExtremes(a.Finding, add)
		}
	}
	slices.SortStableFunc(out, func(a, b Next) int {
		return cmp.Or(cmp.Compare(b.point.Y, a.point.Y), cmp.Compare(a.point.X, b.point.X))
	})
	return out
}

// nextExtremes asks for the brightest and the darkest place again, and says from which
// difference of their means on it is a fail.
func (r *Result) nextExtremes(f photometry.Finding, add func(photometry.Point, photometry.Finding)) {
	e := r.Decisive()
	times, m := f.Values["times"].(photometry.Times), r.Models[0]
	limit := r.Limits.Stops + uncertainty.FactorsFor(e.Points, m.Nu).Q*m.Stops/math.Sqrt(float64(times+1))
	for _, p := range []photometry.Point{e.Brightest.Point(), e.Darkest.Point()} {
		add(p, photometry.Found("next.extreme", "place", p, "times", times, "limit", photometry.Stop(limit)))
	}
}
