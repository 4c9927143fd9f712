package plots

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

func surface(t testing.TB, r *evenness.Result, opt SurfaceOptions) *Picture {
	t.Helper()
	p, err := Surface(r, opt)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSurfacePictures(t *testing.T) {
	s, r := scene()
	colored(s, r)
	samePicture(t, "level.png", surface(t, r, SurfaceOptions{}))
	samePicture(t, "mired.png", surface(t, r, SurfaceOptions{Kind: Mired}))
	row := lattice(9, 1, 4.8, 0.3, func(x, y float64) float64 { return 500 + 60*x })
	row.Title = "One row"
	samePicture(t, "narrow.png", surface(t, r, SurfaceOptions{Narrow: true}))
	samePicture(t, "sheet.png", surface(t, r, SurfaceOptions{Narrow: true, Sheet: 480}))
	samePicture(t, "row.png", surface(t, resultOf(row), SurfaceOptions{Unit: photometry.FC, Feet: true}))
}

// All readings of 9 by 5 places have their number on the picture, in shot on a narrow one.
func TestSurfaceNumbers(t *testing.T) {
	s, r := scene()
	colored(s, r)
	for _, opt := range []SurfaceOptions{{Kind: Level}, {Kind: Mired}, {Kind: Duv}, {Kind: Level, Narrow: true}, {Kind: Mired, Narrow: true}} {
		kind, p := opt.Kind, surface(t, r, opt)
		if opt.Narrow != (float64(p.Width) == narrowMap.width) || p.Alt == "" {
			t.Errorf("%+v: %d wide, %q", opt, p.Width, p.Alt)
		}
		texts := parseSVG(t, render(t, p, "svg")).texts
		scale, err := scaleOf(r, kind)
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]int{}
		c, _ := newMapValues(r, kind)
		high, low := c.extremes()
		for i := range s.X {
			v, _ := c.at(i)
			switch {
			case kind == Level && i == r.Suspects[0].Point:
				want[photometry.FormatFigure(s.Level[i])+"?"]++
			case kind == Level && (i == high || i == low):
				want[photometry.FormatFigure(s.Level[i])]++
			case !opt.Narrow || s.Area.Contains(s.X[i], s.Y[i]):
				want[scale.Label(v)]++
			}
		}
		for label, n := range want {
			got := 0
			for _, text := range texts {
				if text == label {
					got++
				}
			}
			if got < n {
				t.Errorf("%v map: %q stands %d times, want %d", kind, label, got, n)
			}
		}
	}
}

func TestSurfaceWords(t *testing.T) {
	s, r := scene()
	colored(s, r)
	s.Reference, s.Date = at(s, "C5"), "2026-03-04"
	all := func(opt SurfaceOptions) string {
		return strings.Join(parseSVG(t, render(t, surface(t, r, opt), "svg")).texts, " ")
	}
	for _, test := range []struct {
		opt  SurfaceOptions
		want []string
	}{
		{SurfaceOptions{}, []string{
			"Green cloth, puppet theater, level, 2026-03-04, as read", "Out of tolerance: spread 4.18 stops in the part in shot (95 % CI 4.06–4.26), tolerance",
			"45 readings, 4.8 × 2.4 m", "x (m)", "y (m)", "← camera left", "camera right →", "stops", "from the mean, 700 lx", "part in shot", "limit", "lx",
			"within 0.50 stop", "brightest without suspects: B8, +0.53 stop, 1012 lx", "darkest without suspects: D4", "reference: C5", "read again: C4, found 56.0 lx",
			"left out of", "thin-plate spline", "Gray: not read.", "A", "E", "1", "9",
		}},
		{SurfaceOptions{Unit: photometry.FC, Feet: true}, []string{
			"15.75 × 7.87 ft", "x (ft)", "fc", "the mean, 65.0 fc", "+0.53 stop, 94.0 fc", "5.20?",
		}},
		{SurfaceOptions{Kind: Mired}, []string{
			"Green cloth, puppet theater, warm and cool, 2026-03-04, as read", "Out of tolerance: shift from −8 to +8 mired in the part in shot, tolerance 10 mired",
			"warmest: ", "coolest: ", "mired", "within ±10 mired", "the mean color, 5580 K",
		}},
		{SurfaceOptions{Kind: Duv}, []string{
			"Within tolerance: ΔDuv from", "greenest: ", "most magenta: ", "thousandths", "within ±0.003 ΔDuv",
		}},
	} {
		text := all(test.opt)
		for _, want := range test.want {
			if !strings.Contains(text, want) {
				t.Errorf("%+v: %q is missing", test.opt, want)
			}
		}
	}
}

func TestSurfaceAlt(t *testing.T) {
	_, r := scene()
	p := surface(t, r, SurfaceOptions{})
	for _, want := range []string{
		"45 readings, 4.8 × 2.4 m", "Out of tolerance", "spread 4.18 stops", "tolerance 0.50 stop",
		"Brightest at B8 (upper right), 0.53 stop above the mean, 1012 lx", "darkest at D4 (lower middle), 0.40 stop below the mean, 531 lx",
		"brighter toward camera right by 0.11 stop a meter", "To read again: C4 (56.0 lx)",
	} {
		if !strings.Contains(p.Alt, want) {
			t.Errorf("%q is missing in %q", want, p.Alt)
		}
	}
	if feet := surface(t, r, SurfaceOptions{Feet: true, Unit: photometry.FC}); !strings.Contains(feet.Alt, "0.03 stop a foot") || !strings.Contains(feet.Alt, "94.0 fc") {
		t.Errorf("in feet and footcandles: %q", feet.Alt)
	}
}

// A meter is as long across as up, whatever the surface's shape, but on a strip.
func TestSurfaceAspect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(0.2, 30).Draw(t, "w"), rapid.Float64Range(0.2, 30).Draw(t, "h")
		s := lattice(3, 3, w, h, func(x, y float64) float64 { return 500 + x + y })
		c, err := newMapValues(resultOf(s), Level)
		if err != nil {
			t.Fatal(err)
		}
		m := &surfaceMap{mapValues: c, scale: c.scale(), look: fullMap}
		m.setExtent()
		m.layOut("")
		size := m.data.Size()
		across, up := float64(size.X)/m.box.Width(), float64(size.Y)/m.box.Height()
		oblong := float64(max(size.X/size.Y, size.Y/size.X))
		switch {
		case m.widened > 1 && math.Abs(oblong-mostOblong) > mostOblong/100:
			t.Fatalf("a strip of %.3f to 1, want %v", oblong, mostOblong)
		case m.widened > 1:
		case math.Abs(across-up) > across/float64(size.X)+up/float64(size.Y): // half a pixel of rounding on each side
			t.Fatalf("%.3f pixels a meter across, %.3f up", across, up)
		}
		if m.width > 1000 || m.height > 1400 {
			t.Fatalf("a picture of %v by %v pixels", m.width, m.height)
		}
	})
}

// degenerate are surveys that a map must bear.
func degenerate() map[string]*survey.Survey {
	line := func(n int, dx, dy float64) *survey.Survey {
		var x, y, l []float64
		for i := range n {
			x, y, l = append(x, 1+dx*float64(i)), append(y, 2+dy*float64(i)), append(l, 500+50*float64(i))
		}
		return scattered(x, y, l)
	}
	out := map[string]*survey.Survey{
		"one":        line(1, 0, 0),
		"two":        line(2, 1, 0.5),
		"a row":      line(7, 0.5, 0),
		"a column":   line(7, 0, 0.5),
		"a diagonal": line(7, 0.3, 0.2),
		"one place":  line(5, 0, 0),
		"equal":      lattice(4, 3, 2, 1, func(x, y float64) float64 { return 800 }),
		"a zero":     lattice(4, 3, 2, 1, func(x, y float64) float64 { return 800 * math.Floor(x+0.5) }),
		"dark":       lattice(4, 3, 2, 1, func(x, y float64) float64 { return 0 }),
		"huge range": lattice(4, 3, 2, 1, func(x, y float64) float64 { return math.Exp2(60 * (x - 1)) }),
		"tiny":       lattice(4, 3, 2e-4, 1e-4, func(x, y float64) float64 { return 800 + 1e6*x }),
		"far away":   line(9, 1e-3, 0),
		"thin":       lattice(30, 2, 30, 0.1, func(x, y float64) float64 { return 800 + x }),
		"tall":       lattice(2, 30, 0.1, 30, func(x, y float64) float64 { return 800 + y }),
		"many":       lattice(45, 30, 9, 6, func(x, y float64) float64 { return 800 + x*y }),
	}
	for i := range out["far away"].X {
		out["far away"].X[i] += 1e6
	}
	out["far away"].Extent, _ = spatial.BoxOf(out["far away"].X, out["far away"].Y)
	named := lattice(3, 2, 2, 1, func(x, y float64) float64 { return 800 + x })
	named.Title = awkward + strings.Repeat(" and so on", 60)
	named.Label = make([]string, 6)
	for i := range named.Label {
		named.Label[i] = fmt.Sprintf("place %d %s %s", i, awkward, strings.Repeat("x", 200))
	}
	named.Reference = 2
	out["long names"] = named
	gaps := lattice(4, 3, 2, 1, func(x, y float64) float64 { return 800 + x })
	gaps.Lattice.Index[5] = -1
	out["gaps"] = gaps
	return out
}

func TestDegenerateSurfaces(t *testing.T) {
	for name, s := range degenerate() {
		t.Run(name, func(t *testing.T) {
			r := resultOf(s)
			colored(s, r)
			for _, kind := range []Kind{Level, Mired, Duv} {
				p := surface(t, r, SurfaceOptions{Kind: kind})
				doc := parseSVG(t, render(t, p, "svg"))
				for _, text := range append(doc.texts, p.Title, p.Alt) {
					if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
						t.Errorf("%v: %q", kind, text)
					}
				}
				decode(t, render(t, p, "png"))
				render(t, p, "pdf")
				if p.Width > 1000 || p.Height > 1400 {
					t.Errorf("%v: %d by %d pixels", kind, p.Width, p.Height)
				}
			}
		})
	}
}

func TestSurfaceSaysWhyNoField(t *testing.T) {
	for name, want := range map[string]string{"one": "One place alone", "two": "lie on one line", "a row": "lie on one line", "one place": "One place alone"} {
		s := degenerate()[name]
		texts := parseSVG(t, render(t, surface(t, resultOf(s), SurfaceOptions{}), "svg")).texts
		if !strings.Contains(strings.Join(texts, " "), want) { // whose lines may break
			t.Errorf("%s: %q is missing in %q", name, want, texts)
		}
	}
}

// A zero level is printed in its unit, not as a number of stops.
func TestSurfaceZeroLevel(t *testing.T) {
	s := degenerate()["a zero"]
	p := surface(t, resultOf(s), SurfaceOptions{})
	if texts := parseSVG(t, render(t, p, "svg")).texts; !slices.Contains(texts, "0") {
		t.Errorf("texts %q", texts)
	}
	if !strings.Contains(p.Alt, ", 0 lx") {
		t.Errorf("text alternative %q", p.Alt)
	}
}

// Levels corrected for drift are what is drawn.
func TestSurfaceDrawsJudgedLevels(t *testing.T) {
	s := lattice(3, 2, 2, 1, func(x, y float64) float64 { return 800 })
	r := resultOf(s)
	r.Levels = []float64{800, 800, 800, 1600, 800, 800}
	texts := parseSVG(t, render(t, surface(t, r, SurfaceOptions{}), "svg")).texts
	if !slices.Contains(texts, "+1.0") {
		t.Errorf("the corrected level is not shown: %q", texts)
	}
}

func TestSurfaceErrors(t *testing.T) {
	_, r := scene()
	if _, err := Surface(r, SurfaceOptions{Kind: Mired}); !errors.Is(err, ErrNoColor) {
		t.Errorf("without color: %v", err)
	}
	r.Survey = &survey.Survey{}
	if _, err := Surface(r, SurfaceOptions{}); !errors.Is(err, ErrNoReadings) {
		t.Errorf("without readings: %v", err)
	}
}

// The analysis and the map agree on what they say.
func TestSurfaceOfAnalysis(t *testing.T) {
	s, _ := scene()
	r, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	p := surface(t, r, SurfaceOptions{})
	texts := strings.Join(parseSVG(t, render(t, p, "svg")).texts, "\n")
	for _, want := range []string{
		"spread " + formatStops(r.Without.SpreadStops), "with them " + photometry.FormatSigned(r.Area.SpreadStops, 2)[1:],
		"brightest without suspects: " + r.Area.Brightest.Label, "read again: " + r.Area.Darkest.Label,
		"the mean, " + photometry.FormatFigure(r.Reference.Level),
		verdictWords[r.Verdict.Evenness],
	} {
		if !strings.Contains(texts, want) {
			t.Errorf("%q is missing in\n%s", want, texts)
		}
	}
}

func TestWhereabouts(t *testing.T) {
	b := spatial.Box{X1: 3, Y1: 3}
	for _, test := range []struct {
		x, y float64
		want string
	}{
		{0.5, 0.5, "lower left"}, {1.5, 0.5, "lower middle"}, {2.5, 0.5, "lower right"},
		{0.5, 1.5, "middle left"}, {1.5, 1.5, "center"}, {3, 1.5, "middle right"},
		{0, 3, "upper left"}, {1.5, 9, "upper middle"}, {2.5, 2.5, "upper right"},
	} {
		if got := describeRegion(b, test.x, test.y); got != test.want {
			t.Errorf("(%v, %v) is %q, want %q", test.x, test.y, got, test.want)
		}
	}
}

func TestLengthTicks(t *testing.T) {
	for _, test := range []struct {
		feet   bool
		lo, hi float64
		px     vg.Length
		want   string
	}{
		{false, -0.15, 4.95, 1180, "0.0 0.5 1.0 1.5 2.0 2.5 3.0 3.5 4.0 4.5"},
		{true, -0.15, 4.95, 1180, "0 2 4 6 8 10 12 14 16"},
		{false, -0.1, 2.5, 200, "0 2"},
		{false, 3.5, 3.7, 600, "3.50 3.55 3.60 3.65 3.70"},
		{false, -1, 1, 600, "-1.0 -0.5 0.0 0.5 1.0"},
	} {
		var labels []string
		for _, tick := range lengthTicks(test.feet, test.px).Ticks(test.lo, test.hi) {
			labels = append(labels, tick.Label)
		}
		if got := strings.Join(labels, " "); got != test.want {
			t.Errorf("%v to %v: %s, want %s", test.lo, test.hi, got, test.want)
		}
	}
}
