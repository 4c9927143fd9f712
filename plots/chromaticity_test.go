package plots

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
)

func chromaticity(t testing.TB, r *evenness.Result) *Picture {
	t.Helper()
	p, err := Chromaticity(r, false, false)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestChromaticityPicture(t *testing.T) {
	s, r := scene()
	chromatic(s, r, 5580, 0.0012)
	samePicture(t, "chromaticity.png", chromaticity(t, r))
}

func TestChromaticityWords(t *testing.T) {
	s, r := scene()
	chromatic(s, r, 5580, 0.0012)
	s.Area = nil
	p := chromaticity(t, r)
	texts := parseSVG(t, render(t, p, "svg")).texts
	worst := at(s, "A9")
	d := math.Hypot(s.U[worst]-s.U[at(s, "C5")], s.V[worst]-s.V[at(s, "C5")])
	if d < 0.004 {
		t.Fatal("the scene is not what the test takes it for")
	}
	for _, want := range []string{"Planckian locus", "circles of 1, 3 and 5 steps", "tolerance, ±10 mired and ±0.003 Duv", "farthest: A9", "u′", "v′", "reading", "5400 K", "5 steps"} {
		if !slices.Contains(texts, want) {
			t.Errorf("%q is missing in %q", want, texts)
		}
	}
	// There is space for nearly all names.
	named := 0
	for i := range s.X {
		if slices.Contains(texts, s.LabelOf(i)) {
			named++
		}
	}
	if named < 40 {
		t.Errorf("%d of 45 readings are named", named)
	}
	if !strings.Contains(p.Alt, "5580 K, Duv +0.0012") || !strings.Contains(p.Alt, "farthest A9") {
		t.Errorf("text alternative %q", p.Alt)
	}
}

// The count of readings outside the tolerance is that of their shifts.
func TestChromaticityTolerance(t *testing.T) {
	for _, kelvin := range []float64{2700, 3200, 5600, 9000} {
		s, r := scene()
		chromatic(s, r, kelvin, -0.001)
		s.Area = nil
		out := 0
		for i := range s.X {
			if math.Abs(r.Color.Shifts.Mired[i]) > 10 || math.Abs(r.Color.Shifts.Duv[i]) > 0.003 {
				out++
			}
		}
		want := fmt.Sprintf("%d of 45 readings lie outside the tolerance", out)
		if p := chromaticity(t, r); out == 0 || !strings.Contains(p.Alt, want) {
			t.Errorf("%v K: %q is not in %q", kelvin, want, p.Alt)
		}
	}
}

// The plot's middle is the reference, and a meter of u′ is one of v′.
func TestChromaticityGeometry(t *testing.T) {
	s, r := scene()
	chromatic(s, r, 4000, 0.002)
	m := &chromaticityPlot{mapValues: mapValues{survey: s, result: r}, points: []int32{0, 1, 2, 3, 4}}
	m.prepare()
	m.layOut()
	uv, err := colorimetry.CCT{Kelvin: 4000, Duv: 0.002}.UV()
	if err != nil {
		t.Fatal(err)
	}
	if d := colorimetry.DeltaUVPrime(m.center, uv.UVPrime()); d > 1e-12 {
		t.Errorf("the middle is %v off", d)
	}
	if size := m.data.Size(); size.X != size.Y {
		t.Errorf("a plot of %v by %v", size.X, size.Y)
	}
	if got, want := float64(m.radius(3)), 3*0.0011/m.reach*chartSide/2; math.Abs(got-want) > 1e-9 {
		t.Errorf("three steps are %v pixels, want %v", got, want)
	}
}

func TestChromaticityOutsideShot(t *testing.T) {
	s, r := scene()
	chromatic(s, r, 5580, 0.0012)
	p := chromaticity(t, r)
	if !strings.Contains(p.Alt, "farthest in the part in shot B8") || !strings.Contains(p.Alt, "0 of 21 readings lie outside") {
		t.Errorf("text alternative %q", p.Alt)
	}
}

func TestDegenerateChromaticities(t *testing.T) {
	nan := math.NaN()
	k := 5000.0
	for name, test := range map[string]struct {
		u, v []float64
		ref  evenness.ColorPlace
	}{
		"one":            {[]float64{0.21}, []float64{0.48}, evenness.ColorPlace{CCT: &k}},
		"equal":          {[]float64{0.21, 0.21, 0.21}, []float64{0.48, 0.48, 0.48}, evenness.ColorPlace{CCT: &k}},
		"some absent":    {[]float64{nan, 0.21, 0.22}, []float64{nan, 0.48, 0.47}, evenness.ColorPlace{CCT: &k}},
		"no temperature": {[]float64{0.15, 0.16}, []float64{0.56, 0.55}, evenness.ColorPlace{}},
		"far from white": {[]float64{0.15, 0.45}, []float64{0.56, 0.52}, evenness.ColorPlace{CCT: &k}},
	} {
		t.Run(name, func(t *testing.T) {
			n := len(test.u)
			s := &survey.Survey{Reference: -1, X: make([]float64, n), Y: make([]float64, n), Level: make([]float64, n), U: test.u, V: test.v}
			s.Title = awkward
			r := &evenness.Result{Survey: s, Color: &evenness.ColorResult{Reference: test.ref}, Limits: tolerance.Limits{Mired: 10, Duv: 0.003}}
			p := chromaticity(t, r)
			for _, text := range append(parseSVG(t, render(t, p, "svg")).texts, p.Title, p.Alt) {
				if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
					t.Errorf("text %q", text)
				}
			}
			decode(t, render(t, p, "png"))
			render(t, p, "pdf")
		})
	}
}

func TestManyChromaticities(t *testing.T) {
	s := &survey.Survey{Reference: -1}
	for i := range 5000 {
		a, b := math.Mod(0.618034*float64(i), 1), math.Mod(0.754878*float64(i), 1)
		s.X, s.Y, s.Level = append(s.X, a), append(s.Y, b), append(s.Level, 1)
		s.U, s.V = append(s.U, 0.21+0.01*a), append(s.V, 0.48+0.01*b)
	}
	k := 5000.0
	r := &evenness.Result{Survey: s, Color: &evenness.ColorResult{Reference: evenness.ColorPlace{CCT: &k}}}
	data := render(t, chromaticity(t, r), "svg")
	parseSVG(t, data)
	if len(data) > 1<<20 {
		t.Errorf("an SVG of %d bytes", len(data))
	}
}

func TestChromaticityErrors(t *testing.T) {
	s, r := scene()
	if _, err := Chromaticity(r, false, false); !errors.Is(err, ErrNoColor) {
		t.Errorf("without color: %v", err)
	}
	chromatic(s, r, 5580, 0)
	s.U, s.V = nanColumn(s.Len()), nanColumn(s.Len())
	if _, err := Chromaticity(r, false, false); !errors.Is(err, ErrNoColor) {
		t.Errorf("with absent colors: %v", err)
	}
	r.Survey = &survey.Survey{}
	if _, err := Chromaticity(r, false, false); !errors.Is(err, ErrNoReadings) {
		t.Errorf("without readings: %v", err)
	}
}
