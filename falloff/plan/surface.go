package plan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/evenness"
	"evenfall/photometry/parallel"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Surface says where a surface is predicted and by what it is judged.
type Surface struct {
	Title string
	// Extent is the surface, from its lower left corner.
	Extent spatial.Box
	// Columns and Rows are the places across and up; 0 takes as many as the
	// spacing of EN 12464-1 asks for, evenness.AdvisedSpacing.
	Columns, Rows int
	// Cells puts the places at the middle of cells; otherwise the outer ones
	// stand on the border, where light as a rule falls off most.
	Cells bool
	// Area is the part in shot; nil for the whole.
	Area *spatial.Box
	// Settings are the kind of surface and its tolerances.
	Settings survey.Settings
}

// mostPlaces is how many places a survey may have.
const mostPlaces = 4_000_000

// Places returns the coordinates of the places across and up. Unless their
// number is given, the borders of the part in shot are among them.
func (s Surface) Places() (xs, ys []float64, err error) {
	w, h := s.Extent.Width(), s.Extent.Height()
	if !(w > 0 && h > 0) {
		return nil, nil, fmt.Errorf("a surface of %g by %g m, expected a width and a height above 0", w, h)
	}
	if s.Columns < 0 || s.Rows < 0 || s.Columns > mostPlaces || s.Rows > mostPlaces || s.Columns*s.Rows > mostPlaces {
		return nil, nil, fmt.Errorf("%d by %d places, expected at least one and at most %d in all", s.Columns, s.Rows, mostPlaces)
	}
	step := evenness.AdvisedSpacing(w, h)
	var acrossX, acrossY []float64
	if a := s.Area; a != nil && !s.Cells {
		acrossX, acrossY = []float64{a.X0, a.X1}, []float64{a.Y0, a.Y1}
	}
	return s.along(s.Columns, s.Extent.X0, s.Extent.X1, step, acrossX), s.along(s.Rows, s.Extent.Y0, s.Extent.Y1, step, acrossY), nil
}

// along is n places from one border to the other; without a number as many as
// the spacing asks for, with those of through among them.
func (s Surface) along(n int, from, to, step float64, through []float64) []float64 {
	switch {
	case n == 0 && s.Cells:
		n = max(2, int(math.Ceil((to-from)/step-1e-9)))
	case n == 0:
		ends := []float64{from}
		for _, v := range append(through, to) {
			if v > ends[len(ends)-1]+1e-6 && v < to-1e-6 || v == to {
				ends = append(ends, v)
			}
		}
		out := []float64{from}
		for i := 1; i < len(ends); i++ {
			parts := int(math.Max(1, math.Min(mostPlaces, math.Ceil((ends[i]-ends[i-1])/step-1e-9))))
			for k := 1; k <= parts; k++ {
				out = append(out, tidied(ends[i-1]+(ends[i]-ends[i-1])*float64(k)/float64(parts)))
			}
		}
		return out
	}
	out := make([]float64, n)
	for i := range out {
		if s.Cells || n == 1 {
			out[i] = tidied(from + (to-from)*(float64(i)+0.5)/float64(n))
		} else {
			out[i] = tidied(from + (to-from)*float64(i)/float64(n-1))
		}
	}
	return out
}

// tidied makes 0.8 of 0.7999999999999999.
func tidied(v float64) float64 { return math.Round(v*1e9) / 1e9 }

// grid is the places of the surface, row by row from the lower left.
func (s Surface) grid() (x, y []float64, l *spatial.Lattice, err error) {
	xs, ys, err := s.Places()
	if err != nil {
		return nil, nil, nil, err
	}
	l = spatial.FullLattice(xs, ys)
	for i := range l.Index {
		x, y = append(x, xs[i%len(xs)]), append(y, ys[i/len(xs)])
	}
	return x, y, l, nil
}

// Survey predicts a surface as a meter with a flat receptor would read it. It is
// marked as predicted, and otherwise a survey like any other. Its color is
// absent where some lamp's color is not known.
func (s *Scene) Survey(on Surface) (*survey.Survey, error) {
	x, y, l, err := on.grid()
	if err != nil {
		return nil, err
	}
	out := on.survey(x, y, l)
	s.fill(out)
	return out, s.TooMuch()
}

// Predicted is the verdict on a predicted surface: it was not read, and no scatter says
// how far it may be off.
const Predicted = "predicted"

// Judged is the surface as it is predicted, with its figures. within reports whether
// it is so within the tolerances, which is no verdict.
func (s *Scene) Judged(on Surface) (r *evenness.Result, within bool, err error) {
	is, err := s.Survey(on)
	if err != nil {
		return nil, false, err
	}
	if r, err = evenness.Analyze(is); err != nil {
		return nil, false, err
	}
	within = r.Verdict.Overall == uncertainty.Pass
	r.Verdict.Overall, r.Verdict.Evenness = Predicted, Predicted
	if c := r.Color; c != nil {
		for _, v := range []*string{&r.Verdict.Color, &c.VerdictMired, &c.VerdictDuv} {
			if *v != "" {
				*v = Predicted
			}
		}
	}
	return r, within, nil
}

// survey is a predicted one of places, still without levels.
func (s Surface) survey(x, y []float64, l *spatial.Lattice) *survey.Survey {
	settings := s.Settings
	settings.Sized = true
	settings.Edges = !s.Cells
	return &survey.Survey{
		Title: s.Title, X: x, Y: y, Lattice: l, Level: make([]float64, len(x)), DuvRead: true, ReadingCount: len(x),
		Extent: s.Extent, Area: s.Area, Reference: -1, Predicted: true, Settings: settings,
	}
}

// filled is what each fixture gives of the mean at the places of a survey.
type filled struct {
	of     *survey.Survey
	shares []float64
}

// sharesEvery is at how many places of a survey one is looked at for the shares of its
// mean: a few hundred tell it.
func sharesEvery(s *survey.Survey) int { return max(1, s.Len()/400) }

// fill computes the levels and colors of all places, on all processors.
func (s *Scene) fill(out *survey.Survey) {
	n := out.Len()
	out.Quantity = s.Quantity
	out.Inferred = append(out.Inferred, s.Inferred...)
	out.Warnings = append(out.Warnings, s.Warnings...)
	if s.colored {
		out.U, out.V = make([]float64, n), make([]float64, n)
	}
	parts := make([][]float64, n)
	parallel.Each(n, 16, func(i int) {
		if i%sharesEvery(out) == 0 {
			parts[i] = make([]float64, len(s.Fixtures))
		}
		sum := s.mixture(r3.Vec{X: out.X[i], Y: out.Y[i]}, toCamera, parts[i])
		out.Level[i] = sum.level
		if s.colored {
			out.U[i], out.V[i] = math.NaN(), math.NaN()
			if uv := sum.color.XY().UVPrime(); sum.level > 0 {
				out.U[i], out.V[i] = uv.U, uv.V
			}
		}
	})
	s.filled.Store(&filled{out, s.summed(parts)})
}
