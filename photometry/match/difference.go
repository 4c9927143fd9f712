package match

import (
	"cmp"
	"math"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
)

// Difference is today over the day before as a survey of relative levels about 1,
// and its result, so that it can be drawn as any surface is: zero stops is no
// change. Where colors were read on both days it has their shifts. Pairs with a
// suspect reading are left out. It is nil where fewer than two pairs are left, and
// where places are names alone.
func (r *Result) Difference() *evenness.Result {
	s := r.Survey
	if s == nil || r.PairsInAll < 2 || s.Placing == survey.Nowhere {
		return nil
	}
	out := &survey.Survey{
		Title: "Difference", Quantity: photometry.Relative, Extent: s.Extent, Reference: -1, Predicted: true, Placing: s.Placing,
		Settings: survey.Settings{Sized: s.Settings.Sized, Limits: tolerance.Limits{Stops: r.Tolerance.PatternStops, Mired: r.Tolerance.Mired, Duv: r.Tolerance.Duv}},
	}
	if r.Title != "" {
		out.Title = r.Title
	}
	out.Date = cmp.Or(r.After.Date, "today") + " minus " + cmp.Or(r.Before.Date, "the day before")
	var leftOut []photometry.Point
	at := map[int]int32{}
	inShot := 0
	shifts := &evenness.Shifts{}
	for _, p := range r.Points {
		if p.Excluded {
			leftOut = append(leftOut, p.place())
			continue
		}
		at[p.before] = int32(len(out.Level))
		out.X, out.Y = append(out.X, p.X), append(out.Y, p.Y)
		out.Level, out.Label = append(out.Level, photometry.Factor(p.Stops)), append(out.Label, p.Label)
		shifts.Mired, shifts.Duv = append(shifts.Mired, orNaN(p.MiredShift)), append(shifts.Duv, orNaN(p.DuvShift))
		if s.Area != nil && s.Area.Contains(p.X, p.Y) {
			inShot++
		}
	}
	if inShot >= 2 {
		out.Area = s.Area
	}
	out.ReadingCount, out.Missing = len(out.Level), s.Len()-len(out.Level)
	out.Lattice = s.Lattice.Renumbered(at)
	judged, err := evenness.Judge(out)
	if err != nil {
		return nil
	}
	judged.LeftOut = leftOut
	judged.Reference = evenness.Reference{Level: 1, Words: "the day before"}
	judged.Verdict = evenness.Verdict{Evenness: r.Verdict.Pattern, Overall: r.Verdict.Pattern, Color: r.Verdict.Color}
	if r.Color != nil {
		r.differenceOfColor(judged, shifts)
	}
	return judged
}

// differenceOfColor adds the shifts of color to a difference. Its survey has no
// chromaticities, only marks of where there is a shift.
func (r *Result) differenceOfColor(judged *evenness.Result, shifts *evenness.Shifts) {
	s := judged.Survey
	s.U, s.V, s.DuvRead = make([]float64, s.Len()), make([]float64, s.Len()), r.Color.WorstDuv != nil
	for k, shift := range shifts.Mired {
		if math.IsNaN(shift) {
			s.U[k], s.V[k] = shift, shift
		}
	}
	judged.Color = &evenness.ColorResult{Points: r.Color.Points, Shifts: shifts, MaxMiredShift: largest(shifts.Mired), VerdictMired: r.Color.VerdictMired, VerdictDuv: r.Color.VerdictDuv}
	if s.DuvRead {
		judged.Color.MaxDuvShift = largest(shifts.Duv)
	}
}

// largest is the largest size among values, NaN left aside.
func largest(values []float64) *float64 {
	v := 0.0
	for _, x := range values {
		if a := math.Abs(x); a > v {
			v = a
		}
	}
	return &v
}

func orNaN(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
