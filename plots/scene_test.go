package plots

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
)

// scene is an invented green cloth, 4.8 by 2.4 m, read at the cell centers of
// 9 by 5 places under two lamps, the right one closer, with meter noise from a
// fixed sequence, and one reading typed in footcandles.
func scene() (*survey.Survey, *evenness.Result) {
	s := lattice(9, 5, 4.8, 2.4, func(x, y float64) float64 {
		lamp := func(candela, lx, ly, lz float64) float64 {
			d := math.Sqrt((x-lx)*(x-lx) + (y-ly)*(y-ly) + lz*lz)
			return photometry.PointIlluminance(candela, d, lz/d)
		}
		return lamp(8200, -0.6, 2.6, 3.1) + lamp(8200, 5.2, 2.2, 2.6)
	})
	s.Title = "Green cloth, puppet theater"
	for i := range s.Level {
		// A low-discrepancy sequence in place of noise of 1.5 %.
		s.Level[i] = math.Round(s.Level[i] * (1 + 0.03*(math.Mod(0.618034*float64(i+1), 1)-0.5)))
	}
	entryError := at(s, "C4")
	full := s.Level[entryError]
	s.Level[entryError] = math.Round(photometry.Footcandles(full))
	s.Area = &spatial.Box{X0: 0.6, Y0: 0.3, X1: 4.2, Y1: 2.1}
	r := resultOf(s)
	r.Suspects = []survey.Suspect{{
		Label: "C4", Line: 27, Found: photometry.FormatFigure(s.Level[entryError]) + " lx",
		Reasons: []string{"lux_fc_swap"}, Point: entryError,
	}}
	return s, r
}

// colored adds invented shifts of color to a scene: warmer toward the right,
// greener toward the top.
func colored(s *survey.Survey, r *evenness.Result) {
	shifts := &evenness.Shifts{}
	b := s.Extent
	part := func(v, from, size float64) float64 {
		if !(size > 0) {
			return 0
		}
		return (v-from)/size - 0.5
	}
	for i := range s.X {
		fx, fy := part(s.X[i], b.X0, b.Width()), part(s.Y[i], b.Y0, b.Height())
		noise := math.Mod(0.618034*float64(i+1), 1) - 0.5
		shifts.Mired = append(shifts.Mired, 22*fx+3*noise)
		shifts.Duv = append(shifts.Duv, 0.003*fy+0.0006*noise)
	}
	cct, duv := 5580.0, 0.0012
	r.Color = &evenness.ColorResult{
		Reference: evenness.ColorPlace{CCT: &cct, Duv: &duv}, Shifts: shifts,
		VerdictMired: uncertainty.Fail, VerdictDuv: uncertainty.Pass,
	}
}

// chromatic gives a scene the colors that the shifts of colored stand for
// about a reference.
func chromatic(s *survey.Survey, r *evenness.Result, kelvin, duv float64) {
	colored(s, r)
	r.Color.Reference.CCT, r.Color.Reference.Duv = &kelvin, &duv
	s.DuvRead = true
	s.U, s.V = make([]float64, s.Len()), make([]float64, s.Len())
	for i := range s.U {
		t := colorimetry.CCT{
			Kelvin: colorimetry.Kelvin(colorimetry.Mired(kelvin) + r.Color.Shifts.Mired[i]),
			Duv:    duv + r.Color.Shifts.Duv[i],
		}
		uv, err := t.UV()
		if err != nil {
			panic(err)
		}
		s.U[i], s.V[i] = uv.UVPrime().U, uv.UVPrime().V
	}
	r.Verdict.Color = uncertainty.Fail
}

// lattice reads a function at the cell centers of columns by rows places.
func lattice(columns, rows int, width, height float64, level func(x, y float64) float64) *survey.Survey {
	s := &survey.Survey{
		Extent: spatial.Box{X1: width, Y1: height}, Reference: -1,
		Lattice: &spatial.Lattice{Even: true},
	}
	for c := range columns {
		s.Lattice.Xs = append(s.Lattice.Xs, width*(float64(c)+0.5)/float64(columns))
	}
	for r := range rows {
		s.Lattice.Ys = append(s.Lattice.Ys, height*(float64(r)+0.5)/float64(rows))
	}
	for r, y := range s.Lattice.Ys {
		for c, x := range s.Lattice.Xs {
			s.Lattice.Index = append(s.Lattice.Index, int32(r*columns+c))
			s.X, s.Y, s.Level = append(s.X, x), append(s.Y, y), append(s.Level, level(x, y))
		}
	}
	s.ReadingCount = s.Len()
	return s
}

// scattered is a survey of points without a lattice.
func scattered(x, y, level []float64) *survey.Survey {
	s := &survey.Survey{X: x, Y: y, Level: level, Reference: -1, ReadingCount: len(x)}
	s.Extent, _ = spatial.BoxOf(x, y)
	return s
}

// at is the point with a label.
func at(s *survey.Survey, label string) int {
	for i := range s.X {
		if s.LabelOf(i) == label {
			return i
		}
	}
	panic("no point " + label)
}

// resultOf is what a map needs of a result, without the analysis.
func resultOf(s *survey.Survey) *evenness.Result {
	r := &evenness.Result{Survey: s, Title: s.Title, Unit: s.Quantity.Unit(), ReadingCount: s.ReadingCount, Points: s.Len(),
		Limits: tolerance.Limits{Stops: 0.5, Mired: 10, Duv: 0.003}}
	if s.Len() == 0 {
		return r
	}
	statistics := func(keep func(int) bool) evenness.Statistics {
		e := evenness.Statistics{Min: math.Inf(1), Max: math.Inf(-1)}
		high, low := -1, -1
		for i, v := range s.Level {
			if !keep(i) {
				continue
			}
			e.Points++
			e.Mean += v
			if v > e.Max {
				e.Max, high = v, i
			}
			if v < e.Min {
				e.Min, low = v, i
			}
		}
		e.Mean /= float64(e.Points)
		place := func(i int) evenness.Place {
			return evenness.Place{Label: s.LabelOf(i), X: s.X[i], Y: s.Y[i], Level: s.Level[i]}
		}
		e.Brightest, e.Darkest = place(high), place(low)
		if e.Min > 0 {
			e.SpreadStops = math.Log2(e.Max / e.Min)
			e.SpreadInterval = &[2]float64{max(0, e.SpreadStops-0.12), e.SpreadStops + 0.08}
		}
		return e
	}
	r.Evenness = statistics(func(int) bool { return true })
	if s.Area != nil {
		a := statistics(func(i int) bool { return s.Area.Contains(s.X[i], s.Y[i]) })
		r.Area = &a
	}
	r.Reference = evenness.Reference{Level: r.Evenness.Mean}
	r.Verdict = evenness.Verdict{Evenness: uncertainty.Pass, Overall: uncertainty.Pass}
	if r.Evenness.SpreadStops > 0.5 {
		r.Verdict = evenness.Verdict{Evenness: uncertainty.Fail, Overall: uncertainty.Fail}
	}
	right, up, bow := 0.11, -0.02, 0.05
	r.Trend = &spatial.Trend{TiltX: &right, TiltY: &up, Curvature: &bow}
	slices.SortFunc(r.Suspects, func(a, b survey.Suspect) int { return a.Point - b.Point })
	return r
}
