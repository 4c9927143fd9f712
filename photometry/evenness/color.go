package evenness

import (
	"errors"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/parallel"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// colorAnalysis is a color result as it is put together.
type colorAnalysis struct {
	*Result
	deciding  subset
	reference colorimetry.UVPrime
}

// analyzeColor judges how color runs over the surface, by the points that decide.
func (r *Result) analyzeColor(deciding subset) {
	if !r.Survey.HasColor() {
		return
	}
	a := colorAnalysis{Result: r, deciding: deciding}
	place, err := a.findReference()
	if err != nil {
		r.warn("color_reference", "why", err.Error())
		return
	}
	r.Color = &ColorResult{Reference: place}
	light, err := a.reference.CCT()
	onLocus := err == nil
	if onLocus {
		r.Color.Reference.CCT = &light.Kelvin
		if r.Survey.DuvRead {
			r.Color.Reference.Duv = &light.Duv
		}
	} else {
		r.warn("reference.color_off_white", "why", err.Error())
	}
	r.Color.Shifts = shifts(r.Survey, light, onLocus)
	a.extremes()
	if !onLocus || r.Color.Points == 0 {
		return
	}
	a.judge()
	a.run()
	causes := r.lampsBehindColor()
	if len(causes) == 0 {
		causes = r.runCauses()
	}
	r.Causes = append(r.Causes, causes...)
}

// findReference takes the reference point's color, or that of the light of all
// points in shot mixed by their area.
func (a *colorAnalysis) findReference() (ColorPlace, error) {
	s := a.Survey
	if i := s.Reference; i >= 0 && !math.IsNaN(s.U[i]) {
		a.reference = a.color(i)
		return ColorPlace{Label: s.Name(i), X: new(s.X[i]), Y: new(s.Y[i])}, nil
	}
	var sum colorimetry.XYZ
	for i, u := range s.U {
		if !math.IsNaN(u) {
			sum = sum.Add(a.color(i).XY().XYZ(a.Levels[i] * weightAt(a.Weights, i)))
		}
	}
	if !(sum.Y > 0) {
		return ColorPlace{}, errors.New("no place has both a level and a color")
	}
	a.reference = sum.XY().UVPrime()
	return ColorPlace{}, nil
}

func (a *colorAnalysis) color(i int) colorimetry.UVPrime {
	return colorimetry.UVPrime{U: a.Survey.U[i], V: a.Survey.V[i]}
}

// distance of a point's color from the reference in u', v'.
func (a *colorAnalysis) distance(i int) float64 {
	return math.Hypot(a.Survey.U[i]-a.reference.U, a.Survey.V[i]-a.reference.V)
}

// shifts are each point's mired and Duv less the reference's; NaN where a
// point has no color or no color temperature.
func shifts(s *survey.Survey, reference colorimetry.CCT, onLocus bool) *Shifts {
	n := s.Len()
	out := &Shifts{Mired: slices.Repeat([]float64{math.NaN()}, n), Duv: slices.Repeat([]float64{math.NaN()}, n)}
	if !onLocus {
		return out
	}
	parallel.Each(n, 5000, func(i int) {
		if t, ok := s.CCT(i); ok {
			out.Mired[i], out.Duv[i] = t.Mired()-reference.Mired(), t.Duv-reference.Duv
		}
	})
	return out
}

// extremes finds the largest shifts among the points that decide.
func (a *colorAnalysis) extremes() {
	c := a.Color
	worst, none, offWhite := -1, 0, 0
	mired, duv := -1.0, -1.0
	a.deciding.each(func(i int) {
		if math.IsNaN(a.Survey.U[i]) {
			none++
			return
		}
		c.Points++
		if d := a.distance(i); worst < 0 || d > c.MaxDeltaUV {
			c.MaxDeltaUV, worst = d, i
		}
		if math.IsNaN(c.Shifts.Mired[i]) {
			offWhite++
			return
		}
		mired, duv = max(mired, math.Abs(c.Shifts.Mired[i])), max(duv, math.Abs(c.Shifts.Duv[i]))
	})
	if none > 0 {
		a.warn("color_missing", "missing", none, "places", none+c.Points)
	}
	if c.Points == 0 {
		return
	}
	if offWhite > 0 {
		a.warn("color_off_white", "places", offWhite)
	}
	c.Steps = colorimetry.Steps(c.MaxDeltaUV)
	if offWhite < c.Points {
		c.MaxMiredShift = &mired
		if a.Survey.DuvRead {
			c.MaxDuvShift = &duv
		}
	}
	c.Worst = a.place(worst)
	a.warnFarOff()
}

// place is the color of a point as a result has it.
func (a *colorAnalysis) place(i int) ColorPlace {
	s := a.Survey
	p := ColorPlace{Label: s.LabelOf(i), X: new(s.X[i]), Y: new(s.Y[i]), DeltaUV: new(a.distance(i))}
	if t, ok := s.CCT(i); ok {
		p.CCT = &t.Kelvin
		if s.DuvRead {
			p.Duv = &t.Duv
		}
	}
	if m := a.Color.Shifts.Mired[i]; !math.IsNaN(m) {
		p.MiredShift = &m
		if duv := a.Color.Shifts.Duv[i]; s.DuvRead {
			p.DuvShift = &duv
		}
	}
	return p
}

// warnFarOff warns of a single color far off all others, which a lamp would not
// make.
func (a *colorAnalysis) warnFarOff() {
	if a.Color.Points < 5 || a.Color.Points > everyPlace {
		return
	}
	var far []float64
	a.deciding.each(func(i int) {
		if !math.IsNaN(a.Survey.U[i]) {
			far = append(far, a.distance(i))
		}
	})
	slices.Sort(far)
	// The next farthest is how far color really runs here.
	if n := len(far); far[n-1] > 0.01 && far[n-1] > 3*far[n-2] {
		a.warn("color_far_off", "place", photometry.Point{Label: a.Color.Worst.Label, X: *a.Color.Worst.X, Y: *a.Color.Worst.Y})
	}
}

// judge compares the interval of the largest shifts with the tolerance, by the scatter of
// repeat readings of color, or as long as these are few by the assumed one where that is
// more; computed colors have no interval. Kelvins alone may fail, and pass nothing, since
// they do not see green and magenta.
func (a *colorAnalysis) judge() {
	c := a.Color
	if c.MaxMiredShift == nil {
		a.warn("color_unjudged")
		return
	}
	mired, duv, nu := a.Survey.ColorScatter()
	c.VerdictMired, c.MiredInterval = a.judgeShift(*c.MaxMiredShift, c.Shifts.Mired, a.colorModels(mired, uncertainty.AssumedMired, nu), a.Limits.Mired)
	if !a.Survey.Predicted && nu < uncertainty.FewRepeats {
		a.Inferred = append(a.Inferred, photometry.Remarked("assumed_color", "mired", uncertainty.AssumedMired, "duv", uncertainty.AssumedDuv))
	}
	a.Verdict.Color = c.VerdictMired
	if c.MaxDuvShift == nil && !a.Survey.Predicted && c.VerdictMired == uncertainty.Pass {
		a.Verdict.Color = uncertainty.Unsure // green and magenta may be off by any amount
	}
	if c.MaxDuvShift != nil {
		c.VerdictDuv, c.DuvInterval = a.judgeShift(*c.MaxDuvShift, c.Shifts.Duv, a.colorModels(duv, uncertainty.AssumedDuv, nu), a.Limits.Duv)
		a.Verdict.Color = uncertainty.WorstVerdict(c.VerdictMired, c.VerdictDuv)
		a.holdBack()
	}
}

// holdBack leaves a pass of color unsure where a place has kelvins alone, or where some
// have no color and those that do are too few for a pass.
func (a *colorAnalysis) holdBack() {
	colored := a.deciding.where(func(i int) bool { return !math.IsNaN(a.Survey.U[i]) })
	kelvins := slices.ContainsFunc(a.Warnings, func(f photometry.Finding) bool { return f.Code == "no_duv" })
	if a.Verdict.Color == uncertainty.Pass && !a.Survey.Predicted && (kelvins || colored.count() < a.deciding.count() && !a.spans(colored)) {
		a.Verdict.Color, a.fewColors = uncertainty.Unsure, true
	}
}

// colorModels are how one coordinate of color scatters in its own unit: by repeats, and
// where these are few as is assumed.
func (a *colorAnalysis) colorModels(byRepeats, assumed float64, nu int) (models []uncertainty.Model) {
	if nu > 0 {
		models = append(models, uncertainty.Model{Stops: byRepeats, Nu: nu})
	}
	if nu < uncertainty.FewRepeats && !a.Survey.Predicted {
		models = append(models, uncertainty.Model{Stops: assumed})
	}
	return models
}

// judgeShift judges one coordinate of color, whose readings scatter by models in its own
// unit; no interval without any.
func (a *colorAnalysis) judgeShift(largest float64, shifts []float64, models []uncertainty.Model, tolerance float64) (verdict string, interval *[2]float64) {
	if models == nil {
		return uncertainty.Judge(largest, largest, tolerance), nil
	}
	count := a.Survey.ColorCount()
	var classes uncertainty.Classes
	a.deciding.each(func(i int) {
		if !math.IsNaN(shifts[i]) {
			classes.Add(shifts[i], max(1, count[int32(i)]), 0)
		}
	})
	ofReference := float64(a.Color.Points)
	if i := a.Survey.Reference; i >= 0 {
		ofReference = max(1, count[int32(i)])
	}
	lo, hi := uncertainty.Widest(models, max(2, a.Color.Points), func(m uncertainty.Model, f uncertainty.Factors) (lo, hi float64) {
		return uncertainty.DeviationInterval(classes, 0, ofReference, m, f)
	})
	return uncertainty.Judge(lo, hi, tolerance), &[2]float64{lo, hi}
}

// run fits a plane to the shifts in mired and in Duv. A slope is reported where it is
// four standard errors out of the scatter about the plane and reaches a third of a
// step across the surface.
func (a *colorAnalysis) run() {
	var run ColorRun
	run.MiredRight, run.MiredUp = a.Places.Run(a.Color.Shifts.Mired, 0.5)
	if a.Survey.DuvRead {
		run.DuvRight, run.DuvUp = a.Places.Run(a.Color.Shifts.Duv, 0.0003)
	}
	if run != (ColorRun{}) {
		a.Color.Run = &run
	}
}

// runCauses describes the direction of a steady run of color. Which lamp makes it
// cannot be known from the surface alone.
func (r *Result) runCauses() (out []Cause) {
	run := r.Color.Run
	if run == nil {
		return nil
	}
	add := func(change *float64, least float64, low, high string, cause func(toward string, size float64) photometry.Finding) {
		if change == nil || math.Abs(*change) < least {
			return
		}
		toward := high
		if *change < 0 {
			toward = low
		}
		out = append(out, Cause{Finding: cause(toward, math.Abs(*change)), Evidence: photometry.Remarked("evidence_color_plane")})
	}
	mired := func(toward string, size float64) photometry.Finding {
		return photometry.Found(CauseWarmerSide, "toward", toward, "size", photometry.Mired(size))
	}
	duv := func(toward string, size float64) photometry.Finding {
		return photometry.Found(CauseGreenerSide, "toward", toward, "size", photometry.Duv(size))
	}
	add(run.MiredRight, r.Limits.Mired/2, "camera left", "camera right", mired)
	add(run.MiredUp, r.Limits.Mired/2, "the bottom", "the top", mired)
	add(run.DuvRight, r.Limits.Duv/2, "camera left", "camera right", duv)
	add(run.DuvUp, r.Limits.Duv/2, "the bottom", "the top", duv)
	return out
}
