package plan

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
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

// strips is how much of a side each place represents: the same for even places,
// otherwise the strip nearest to it.
func strips(at []float64, from, to float64) []float64 {
	out := make([]float64, len(at))
	if even(at) {
		for i := range out {
			out[i] = 1
		}
		return out
	}
	for i := range at {
		low, high := from, to
		if i > 0 {
			low = (at[i-1] + at[i]) / 2
		}
		if i < len(at)-1 {
			high = (at[i] + at[i+1]) / 2
		}
		out[i] = high - low
	}
	return out
}

func even(at []float64) bool {
	for i := 2; i < len(at); i++ {
		if math.Abs((at[i]-at[i-1])-(at[1]-at[0])) > 1e-3*(at[1]-at[0]) {
			return false
		}
	}
	return true
}

// Survey predicts a surface as a meter with a flat receptor would read it. It is
// marked as predicted, and otherwise a survey like any other. Its color is
// absent where some lamp's color is not known.
func (s *Scene) Survey(on Surface) (*survey.Survey, error) {
	xs, ys, err := on.Places()
	if err != nil {
		return nil, err
	}
	n := len(xs) * len(ys)
	out := on.survey(n)
	l := &spatial.Lattice{Xs: xs, Ys: ys, Index: make([]int32, n), Even: even(xs) && even(ys)}
	for i := range n {
		l.Index[i] = int32(i)
		out.X[i], out.Y[i] = xs[i%len(xs)], ys[i/len(xs)]
	}
	out.Lattice = l
	s.fill(out)
	return out, nil
}

// SurveyAt predicts the places of another survey of the same surface.
func (s *Scene) SurveyAt(like *survey.Survey) *survey.Survey {
	on := Surface{Title: like.Title, Extent: like.Extent, Area: like.Area, Settings: like.Settings}
	out := on.survey(like.Len())
	copy(out.X, like.X)
	copy(out.Y, like.Y)
	out.Lattice, out.Label, out.Reference = like.Lattice, like.Label, like.Reference
	s.fill(out)
	return out
}

func (s Surface) survey(n int) *survey.Survey {
	settings := s.Settings
	settings.Sized = true
	settings.Edges = !s.Cells
	return &survey.Survey{
		Title: s.Title, X: make([]float64, n), Y: make([]float64, n), Level: make([]float64, n),
		DuvRead: true, Readings: n, Extent: s.Extent, Area: s.Area, Reference: -1, Predicted: true, Settings: settings,
	}
}

// fill computes the levels and colors of all places, on all processors.
func (s *Scene) fill(out *survey.Survey) {
	n := out.Len()
	out.Quantity = s.Quantity
	out.Inferred = append(out.Inferred, s.Inferred...)
	out.Warnings = append(out.Warnings, s.Warnings...)
	if s.colored {
		out.U, out.V = make([]float64, n), make([]float64, n)
	}
	each(n, func(i int) {
		sum := s.mixture(r3.Vec{X: out.X[i], Y: out.Y[i]}, r3.Vec{Z: 1})
		out.Level[i] = sum.level
		if s.colored {
			out.U[i], out.V[i] = math.NaN(), math.NaN()
			if uv := sum.color.XY().UVPrime(); sum.level > 0 {
				out.U[i], out.V[i] = uv.U, uv.V
			}
		}
	})
}

// mixture is a level and its tristimulus values.
type mixture struct {
	level float64
	color colorimetry.XYZ
}

func (s *Scene) mixture(at, normal r3.Vec) (m mixture) {
	var room [6]cone
	screens := s.cones(room[:0], at)
	for i := range s.emitters {
		e := &s.emitters[i]
		if lux := e.lux(at, normal, screens); lux > 0 {
			m.level += lux
			m.color = m.color.Add(e.unit.Scale(lux))
		}
	}
	return m
}

// each calls f for 0 to n−1 on all processors.
func each(n int, f func(i int)) {
	const block = 64
	workers := min(runtime.GOMAXPROCS(0), (n+block-1)/block)
	if workers < 2 {
		for i := range n {
			f(i)
		}
		return
	}
	var group sync.WaitGroup
	next := make(chan int, (n+block-1)/block)
	for from := 0; from < n; from += block {
		next <- from
	}
	close(next)
	for range workers {
		group.Go(func() {
			for from := range next {
				for i := from; i < min(from+block, n); i++ {
					f(i)
				}
			}
		})
	}
	group.Wait()
}

// Mark is a place where somebody will stand or something will lie, and the light
// there.
type Mark struct {
	Label string   `json:"label"`
	X     float64  `json:"x_m"`
	Y     float64  `json:"y_m"`
	Z     float64  `json:"z_m"`
	Level float64  `json:"level"`
	CCT   *float64 `json:"cct_k,omitempty"`
	Duv   *float64 `json:"duv,omitempty"`
	// Facing is where the receptor looks, a unit vector: [0, 0, 1] is toward the
	// camera, away from the surface.
	Facing [3]float64 `json:"facing"`
	// From is what each lamp, frame and bounce adds, in percent of the level.
	From []Share `json:"from"`
	// OffStops is how far the level is over a wanted one, under where negative;
	// absent where none was asked for or no light comes.
	OffStops *float64 `json:"off_level_stops,omitempty"`
	// Exposure is what the level exposes for, where the settings say enough.
	Exposure *survey.Exposure `json:"exposure,omitempty"`
}

// Share is a fixture's part of the light at a place.
type Share struct {
	Lamp    string  `json:"lamp"`
	Percent float64 `json:"percent"`
}

// Mark fills in the light at a mark, whose label, place and facing are given. A
// zero facing is toward the camera.
func (s *Scene) Mark(m Mark) Mark {
	normal := facing(m)
	m.Facing = [3]float64{normal.X, normal.Y, normal.Z}
	at := r3.Vec{X: m.X, Y: m.Y, Z: m.Z}
	light := s.At(at, normal)
	m.Level = light.Level
	if light.Color != nil {
		m.CCT, m.Duv = &light.Color.Kelvin, &light.Color.Duv
	}
	m.From = s.shares(func(e *emitter) float64 { return s.lux(e, at, normal) })
	return m
}

// shares is each fixture's part of a level, in the order of the table.
func (s *Scene) shares(of func(*emitter) float64) []Share {
	total := 0.0
	parts := make([]float64, len(s.Fixtures))
	for i := range s.emitters {
		e := &s.emitters[i]
		v := of(e)
		parts[e.fixture] += v
		total += v
	}
	out := []Share{}
	for i, v := range parts {
		if v > 0 && total > 0 {
			out = append(out, Share{s.Fixtures[i].Name, 100 * v / total})
		}
	}
	return out
}

// Facing reads where a receptor looks: camera, surface, up, down, left, right,
// the name of a lamp, or a direction x,y,z.
func (s *Scene) Facing(text string, from r3.Vec, numbers func(string) ([]float64, error)) ([3]float64, error) {
	key := strings.ToLower(strings.TrimSpace(text))
	words := map[string][3]float64{
		"": {0, 0, 1}, "camera": {0, 0, 1}, "surface": {0, 0, -1}, "up": {0, 1, 0}, "down": {0, -1, 0}, "left": {-1, 0, 0}, "right": {1, 0, 0},
	}
	if v, ok := words[key]; ok {
		return v, nil
	}
	for i := range s.Fixtures {
		if strings.EqualFold(s.Fixtures[i].Name, strings.TrimSpace(text)) {
			v := r3.Sub(s.Fixtures[i].At, from)
			if r3.Norm(v) == 0 {
				return [3]float64{}, errors.New("the mark stands where that lamp does")
			}
			v = r3.Unit(v)
			return [3]float64{v.X, v.Y, v.Z}, nil
		}
	}
	v, err := numbers(text)
	if err != nil || len(v) != 3 || v[0] == 0 && v[1] == 0 && v[2] == 0 {
		return [3]float64{}, fmt.Errorf("found %q, expected camera, surface, up, down, left, right, the name of a lamp, or a direction such as 0,0.3,1", text)
	}
	return [3]float64{v[0], v[1], v[2]}, nil
}
