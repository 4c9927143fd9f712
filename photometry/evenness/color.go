package evenness

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// analyzeColor judges how color runs over the surface. level and weights are
// columns beside the points; chosen lists the points that decide, nil for all.
func analyzeColor(r *Result, level, weights []float64, chosen []int32) {
	s := r.Survey
	reference, place, err := referenceColor(s, level, weights)
	if err != nil {
		r.warn("color_reference", "why", err.Error())
		return
	}
	c := &ColorResult{Reference: place}
	r.Color = c
	refCCT, err := reference.CCT()
	onLocus := err == nil
	if onLocus {
		c.Reference.CCT = &refCCT.Kelvin
		if s.DuvRead {
			c.Reference.Duv = &refCCT.Duv
		}
	} else {
		r.warn("reference.color_off_white", "why", err.Error())
	}
	c.Shifts = shifts(s, reference, refCCT, onLocus)
	colorExtremes(r, c, reference, chosen)
	if !onLocus || c.Points == 0 {
		return
	}
	judgeColor(r, c, refCCT, chosen)
	c.Run = colorRun(r, c)
	if lamps := lampsBehindColor(s, c, r.Limits.Mired/2, r.Limits.Duv/2); len(lamps) > 0 {
		r.Causes = append(r.Causes, lamps...)
	} else {
		r.Causes = append(r.Causes, c.runCauses(r.Limits, s.DuvRead)...)
	}
}

// referenceColor is the reference point's color, or that of the light of all
// points mixed.
func referenceColor(s *survey.Survey, level, weights []float64) (colorimetry.UVPrime, ColorPlace, error) {
	if i := s.Reference; i >= 0 && !math.IsNaN(s.U[i]) {
		x, y := s.X[i], s.Y[i]
		return colorimetry.UVPrime{U: s.U[i], V: s.V[i]}, ColorPlace{Label: s.LabelOf(i), X: &x, Y: &y}, nil
	}
	var sum colorimetry.XYZ
	for i, u := range s.U {
		if math.IsNaN(u) {
			continue
		}
		share := level[i]
		if weights != nil {
			share *= weights[i]
		}
		sum = sum.Add(colorimetry.UVPrime{U: u, V: s.V[i]}.XY().XYZ(share))
	}
	if !(sum.Y > 0) {
		return colorimetry.UVPrime{}, ColorPlace{}, fmt.Errorf("no place has both a level and a color")
	}
	return sum.XY().UVPrime(), ColorPlace{}, nil
}

// shifts are each point's mired and Duv less the reference's; NaN where a
// point has no color or no color temperature.
func shifts(s *survey.Survey, reference colorimetry.UVPrime, ref colorimetry.CCT, onLocus bool) *Shifts {
	n := s.Len()
	out := &Shifts{Mired: slices.Repeat([]float64{math.NaN()}, n), Duv: slices.Repeat([]float64{math.NaN()}, n)}
	if !onLocus {
		return out
	}
	var wait sync.WaitGroup
	parts := 1
	if n > 10_000 {
		parts = runtime.GOMAXPROCS(0)
	}
	for p := range parts {
		wait.Go(func() {
			for i := p * n / parts; i < (p+1)*n/parts; i++ {
				if math.IsNaN(s.U[i]) {
					continue
				}
				if t, err := (colorimetry.UVPrime{U: s.U[i], V: s.V[i]}).CCT(); err == nil {
					out.Mired[i] = t.Mired() - ref.Mired()
					out.Duv[i] = t.Duv - ref.Duv
				}
			}
		})
	}
	wait.Wait()
	return out
}

// colorExtremes finds the largest shifts among the chosen points.
func colorExtremes(r *Result, c *ColorResult, reference colorimetry.UVPrime, chosen []int32) {
	s := r.Survey
	worst, none, offWhite := -1, 0, 0
	mired, duv := math.NaN(), math.NaN()
	each(s.Len(), chosen, func(i int) {
		if math.IsNaN(s.U[i]) {
			none++
			return
		}
		c.Points++
		if d := math.Hypot(s.U[i]-reference.U, s.V[i]-reference.V); worst < 0 || d > c.MaxDeltaUV {
			c.MaxDeltaUV, worst = d, i
		}
		if math.IsNaN(c.Shifts.Mired[i]) {
			offWhite++
			return
		}
		if a := math.Abs(c.Shifts.Mired[i]); !(a <= mired) {
			mired = a
		}
		if a := math.Abs(c.Shifts.Duv[i]); !(a <= duv) {
			duv = a
		}
	})
	if none > 0 {
		r.warn("color_missing", "missing", none, "places", none+c.Points)
	}
	if c.Points == 0 {
		return
	}
	if offWhite > 0 {
		r.warn("color_off_white", "places", offWhite)
	}
	c.Steps = colorimetry.Steps(c.MaxDeltaUV)
	if !math.IsNaN(mired) {
		c.MaxMiredShift = &mired
		if s.DuvRead {
			c.MaxDuvShift = &duv
		}
	}
	c.Worst = colorPlace(s, worst, c, reference)
	warnColorSlips(r, c, reference, chosen)
}

// warnColorSlips tells of a single color far off all others, which a lamp would
// not make.
func warnColorSlips(r *Result, c *ColorResult, reference colorimetry.UVPrime, chosen []int32) {
	s := r.Survey
	if c.Points < 5 || c.Points > everyPlace {
		return
	}
	var far []float64
	distance := func(i int) float64 { return math.Hypot(s.U[i]-reference.U, s.V[i]-reference.V) }
	each(s.Len(), chosen, func(i int) {
		if !math.IsNaN(s.U[i]) {
			far = append(far, distance(i))
		}
	})
	slices.Sort(far)
	// The next farthest tells how far color really runs here.
	if n := len(far); far[n-1] > 0.01 && far[n-1] > 3*far[n-2] {
		r.warn("color_far_off", "place", photometry.Point{Label: c.Worst.Label, X: *c.Worst.X, Y: *c.Worst.Y})
	}
}

// each calls f with every point, or with the chosen ones.
func each(n int, chosen []int32, f func(i int)) {
	if chosen == nil {
		for i := range n {
			f(i)
		}
		return
	}
	for _, i := range chosen {
		f(int(i))
	}
}

func colorPlace(s *survey.Survey, i int, c *ColorResult, reference colorimetry.UVPrime) ColorPlace {
	x, y := s.X[i], s.Y[i]
	d := math.Hypot(s.U[i]-reference.U, s.V[i]-reference.V)
	p := ColorPlace{Label: s.LabelOf(i), X: &x, Y: &y, DeltaUV: &d}
	if t, err := (colorimetry.UVPrime{U: s.U[i], V: s.V[i]}).CCT(); err == nil {
		p.CCT = &t.Kelvin
		if s.DuvRead {
			p.Duv = &t.Duv
		}
	}
	if m := c.Shifts.Mired[i]; !math.IsNaN(m) {
		p.MiredShift = &m
		if duv := c.Shifts.Duv[i]; s.DuvRead {
			p.DuvShift = &duv
		}
	}
	return p
}

// judgeColor compares the largest shifts with the tolerance: by themselves, or
// by their interval where repeat readings of color tell how they scatter.
func judgeColor(r *Result, c *ColorResult, ref colorimetry.CCT, chosen []int32) {
	s := r.Survey
	if c.MaxMiredShift == nil {
		r.warn("color_unjudged")
		return
	}
	miredScatter, duvScatter, nu := s.ColorScatter()
	one := func(largest float64, shifts []float64, scatter, tolerance float64) (verdict string, interval *[2]float64) {
		if nu == 0 {
			return uncertainty.Judge(largest, largest, tolerance), nil
		}
		classes := colorClasses(s, shifts, chosen)
		kRef := float64(c.Points)
		if s.Reference >= 0 {
			kRef = max(1, s.ColorCount()[int32(s.Reference)])
		}
		lo, hi := uncertainty.DeviationInterval(classes, 0, kRef, uncertainty.Model{Stops: scatter, Nu: nu}, uncertainty.FactorsFor(max(2, c.Points), nu))
		return uncertainty.Judge(lo, hi, tolerance), &[2]float64{lo, hi}
	}
	c.VerdictMired, c.MiredInterval = one(*c.MaxMiredShift, c.Shifts.Mired, miredScatter, r.Limits.Mired)
	if c.MaxDuvShift != nil {
		c.VerdictDuv, c.DuvInterval = one(*c.MaxDuvShift, c.Shifts.Duv, duvScatter, r.Limits.Duv)
	}
	parts := []string{c.VerdictMired}
	if c.VerdictDuv != "" {
		parts = append(parts, c.VerdictDuv)
	}
	r.Verdict.Color = uncertainty.WorstVerdict(parts...)
}

// colorClasses groups the shifts by how often a point's color was read.
func colorClasses(s *survey.Survey, shifts []float64, chosen []int32) uncertainty.Classes {
	count := s.ColorCount()
	var classes uncertainty.Classes
	each(s.Len(), chosen, func(i int) {
		if !math.IsNaN(shifts[i]) {
			classes.Add(shifts[i], max(1, count[int32(i)]))
		}
	})
	return classes
}

// colorRun fits a plane to the shifts in mired and in Duv. A slope is told
// where it stands four standard errors out of the scatter about the plane and
// reaches a third of a step across the surface.
func colorRun(r *Result, c *ColorResult) *ColorRun {
	var run ColorRun
	run.MiredRight, run.MiredUp = r.Places.Run(c.Shifts.Mired, 0.5)
	if r.Survey.DuvRead {
		run.DuvRight, run.DuvUp = r.Places.Run(c.Shifts.Duv, 0.0003)
	}
	if run == (ColorRun{}) {
		return nil
	}
	return &run
}

// runCauses tells the direction of a steady run of color. Which lamp makes it
// cannot be known from the surface alone.
func (c *ColorResult) runCauses(limits survey.Limits, duvRead bool) []Cause {
	if c.Run == nil {
		return nil
	}
	var out []Cause
	tell := func(right, up *float64, tolerance float64, cause func(toward string, size float64) photometry.Finding) {
		toward := func(v float64, high, low string) (string, float64) {
			if v >= 0 {
				return high, v
			}
			return low, -v
		}
		for _, part := range []struct {
			value     *float64
			high, low string
		}{{right, "camera right", "camera left"}, {up, "the top", "the bottom"}} {
			if part.value == nil || math.Abs(*part.value) < tolerance/2 {
				continue
			}
			to, size := toward(*part.value, part.high, part.low)
			out = append(out, Cause{cause(to, size), photometry.Remarked("evidence_color_plane")})
		}
	}
	tell(c.Run.MiredRight, c.Run.MiredUp, limits.Mired, func(toward string, size float64) photometry.Finding {
		return photometry.Found(CauseWarmerSide, "toward", toward, "size", photometry.Mired(size))
	})
	if duvRead {
		tell(c.Run.DuvRight, c.Run.DuvUp, limits.Duv, func(toward string, size float64) photometry.Finding {
			return photometry.Found(CauseGreenerSide, "toward", toward, "size", photometry.Duv(size))
		})
	}
	return out
}

// colorAdvice says what to do about a color that does not hold.
func (r *Result) colorAdvice() []photometry.Finding {
	c := r.Color
	if c == nil || r.Verdict.Color == "" || r.Verdict.Color == uncertainty.Pass {
		return nil
	}
	return []photometry.Finding{photometry.Found("match_color", "worst", c.Worst.Label)}
}
