package plots

import (
	"bytes"
	"image"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// fitted reads and fits a series.
func fitted(t testing.TB, sheet string, o falloff.Options) (*survey.Series, *falloff.Distance) {
	t.Helper()
	s, err := survey.ReadSeries(survey.Input{Name: "lamp.csv", Reader: strings.NewReader(sheet)}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := falloff.FitSeries(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// The series of the tests: a frame of 2 by 2 m near by, a lamp in a bright room,
// a flash, and a light that rises.
const (
	frameSheet = "# title: 2 × 2 m frame\n# date: 2026-03-04\n# repeatability: 1.5 %\ndistance (m),E (lx)\n0.5,1300\n0.75,1070\n1,866\n1.5,575\n2,375\n3,188\n4,116\n6,53.4\n8,30.1\n"
	roomSheet  = "# repeatability: 2 %\ndistance (m),E (lx)\n0.7,264\n0.9,184\n1.2,130\n1.6,98.3\n2.1,83\n2.8,73.4\n3.6,67.4\n4.7,63.9\n6,63.2\n"
	flashSheet = "# lamp: flash head\ndistance (m),f\n0.7,22\n1,16\n1.4,11\n2,8\n2.8,5.6\n4,4\n5.6,2.8\n8,2\n"
	riseSheet  = "distance (m),lux\n1,36.2\n1.5,45.1\n2,55.4\n3,103\n4,218\n"
)

func TestDistanceGolden(t *testing.T) {
	s, r := fitted(t, frameSheet, falloff.Options{MarkM: 2, WantedLevel: 800})
	samePicture(t, "distance.png", Distance(s, r, SeriesOptions{Answer: "Inverse square only from 11.3 m on (95 % CI 9.8–12.8 m), farther than was read, within 1 %."}))
	s, r = fitted(t, flashSheet, falloff.Options{MarkM: 2})
	samePicture(t, "distance_flash.png", Distance(s, r, SeriesOptions{Feet: true, Answer: "Inverse square from 9.5 ft on at the latest; nearer than that is not settled."}))
}

// The text alternative says what the picture shows; the formats carry it.
func TestDistanceAlt(t *testing.T) {
	s, r := fitted(t, frameSheet, falloff.Options{MarkM: 2, WantedLevel: 800})
	p := Distance(s, r, SeriesOptions{Answer: "The inverse square holds."})
	if p.Title != "2 × 2 m frame, level against distance, 2026-03-04, as read" {
		t.Errorf("title %q", p.Title)
	}
	for _, part := range []string{"9 readings, 0.5 to 8 m; best law: a light 2.26 m across.", "The inverse square holds.", "From 2 to 8 m the level falls by 3.6", "The zone within ±0.33 stop of the mark at 2 m runs from 1.71 to 2.32 m.", "No reading is farther than 0.0"} {
		if !strings.Contains(p.Alt, part) {
			t.Errorf("%q does not say %q", p.Alt, part)
		}
	}
	svg := string(render(t, p, "svg"))
	for _, part := range []string{"800 lx at 1.", "mark: " + s.FormatLevel(r.MarkLevel, photometry.NoUnit) + " at 2 m", "within ±0.33 stop of the mark: 1.71 to 2.32 m", "stops from the mark", ">illuminance (lx)<", ">distance (m)<", ">residual (stops)<"} {
		if !strings.Contains(svg, part) {
			t.Errorf("the picture does not say %q", part)
		}
	}
	feet := string(render(t, Distance(s, r, SeriesOptions{Unit: photometry.FC, Feet: true}), "svg"))
	for _, part := range []string{">illuminance (fc)<", ">distance (ft)<", "mark: " + s.FormatLevel(r.MarkLevel, photometry.FC) + " at 6.56 ft"} {
		if !strings.Contains(feet, part) {
			t.Errorf("the picture in feet does not say %q", part)
		}
	}
	s, r = fitted(t, roomSheet, falloff.Options{})
	if svg := string(render(t, Distance(s, r, SeriesOptions{}), "svg")); !strings.Contains(svg, "ambient light: 6") {
		t.Error("ambient light is not named")
	}
	s, r = fitted(t, flashSheet, falloff.Options{})
	if svg := string(render(t, Distance(s, r, SeriesOptions{}), "svg")); !strings.Contains(svg, ">f-number at ISO 100<") || !strings.Contains(svg, ">f/5.6<") {
		t.Error("the axis of a flash has no f-numbers")
	}
	s, r = fitted(t, riseSheet, falloff.Options{})
	p = Distance(s, r, SeriesOptions{})
	if svg := string(render(t, p, "svg")); strings.Contains(svg, "inverse square through") || strings.Contains(svg, "residual (stops)") || strings.Contains(p.Alt, "beneath") || !strings.Contains(p.Alt, "the level rises by 2.59 stops") {
		t.Errorf("a law is drawn where none applies: %q", p.Alt)
	}
}

// A reading that strays is ringed, and the picture says so.
func TestDistanceStray(t *testing.T) {
	s, r := fitted(t, strings.Replace(frameSheet, "3,188", "3,160", 1), falloff.Options{MarkM: 2})
	if svg := string(render(t, Distance(s, r, SeriesOptions{}), "svg")); !strings.Contains(svg, "strays by more than 3 of") {
		t.Error("no word of the reading that strays")
	}
	s, r = fitted(t, frameSheet, falloff.Options{MarkM: 2})
	if svg := string(render(t, Distance(s, r, SeriesOptions{}), "svg")); strings.Contains(svg, "strays by more than 3 of") {
		t.Error("a reading is said to stray that does not")
	}
}

// Tilted readings are drawn as if they faced the light: on the same curve.
func TestDistanceTilted(t *testing.T) {
	sheet := "# repeatability: 1 %\ndistance (m),angle (deg),lux\n1,0,1000\n1.4,60,255.1\n2,0,250\n2.8,45,90.19\n4,0,62.5\n5.6,0,31.89\n"
	s, r := fitted(t, sheet, falloff.Options{})
	m := &distancePlot{series: s, result: r, law: r.Law()}
	for i, p := range r.Points {
		if want := 1000 / (p.DistanceM * p.DistanceM); math.Abs(m.levelFacing(i)/want-1) > 0.01 {
			t.Errorf("at %g m the reading is %g lx, want %g", p.DistanceM, m.levelFacing(i), want)
		}
	}
	if texts := parseSVG(t, render(t, Distance(s, r, SeriesOptions{}), "svg")).texts; !strings.Contains(strings.Join(texts, " "), "Readings at an angle") {
		t.Error("no word of tilted readings")
	}
}

// Any series gives a picture in every format, whose parts lie inside it.
func TestDistanceProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "readings")
		var readings []falloff.Reading
		for range n {
			readings = append(readings, falloff.Reading{
				DistanceM: rapid.Float64Range(0.01, 100).Draw(t, "distance"), Level: math.Exp(rapid.Float64Range(-5, 12).Draw(t, "level")),
				IncidenceDeg: rapid.Float64Range(-80, 80).Draw(t, "angle"),
			})
		}
		r, err := falloff.FitDistance(readings, falloff.Options{MarkM: rapid.Float64Range(0.01, 100).Draw(t, "mark"), WantedLevel: math.Exp(rapid.Float64Range(-5, 12).Draw(t, "wanted"))})
		if err != nil {
			t.Skip()
		}
		p := Distance(&survey.Series{}, r, SeriesOptions{})
		var b bytes.Buffer
		if err := p.Write(&b, "svg"); err != nil {
			t.Fatal(err)
		}
		if text := b.String(); strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
			t.Fatalf("a figure that is none in the picture of %+v", readings)
		}
	})
}

func TestDistancePanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic without a result")
		}
	}()
	Distance(nil, nil, SeriesOptions{})
}

// turnedMeter is a check of a meter of cos^1.06 whose axis is 2° off.
func turnedMeter(t testing.TB) *falloff.Meter {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, 1))
	var in falloff.MeterReadings
	for a := -80.0; a <= 80; a += 10 {
		in.Angles = append(in.Angles, falloff.AngleReading{AngleDeg: a,
			Level: math.Round(2400 * math.Pow(cosine(a-2), 1.06) * (1 + 0.01*rng.NormFloat64()))})
	}
	r, err := falloff.CheckMeter(in, falloff.Options{Repeatability: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	r.Title = "the stage meter"
	return r
}

func TestAngleGolden(t *testing.T) {
	samePicture(t, "angle.png", Angle(turnedMeter(t), "2026-03-04", false))
}

func TestAngleAlt(t *testing.T) {
	p := Angle(turnedMeter(t), "2026-03-04", false)
	if p.Title != "the stage meter, response by angle, 2026-03-04, as read" {
		t.Errorf("title %q", p.Title)
	}
	for _, part := range []string{"17 readings, −80° to 80°; tilt +2.", "f2 ", "within a tenth of a stop of the cosine law out to ", "percent at 60°"} {
		if !strings.Contains(p.Alt, part) {
			t.Errorf("%q does not say %q", p.Alt, part)
		}
	}
	oneSided, err := falloff.CheckMeter(falloff.MeterReadings{Angles: []falloff.AngleReading{{AngleDeg: 0, Level: 100}, {AngleDeg: 30, Level: 86}, {AngleDeg: 60, Level: 49}}}, falloff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if p := Angle(oneSided, "", false); !strings.Contains(p.Alt, "one side only") {
		t.Errorf("%q", p.Alt)
	}
	repeats, err := falloff.CheckMeter(falloff.MeterReadings{Repeats: [][]float64{{1, 1.01, 0.99}}}, falloff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if Angle(repeats, "", false) != nil {
		t.Error("a picture of angles without angles")
	}
}

// In gray, what is drawn still differs: zone from paper, band from zone, ink
// from all. A reader distinguishes areas from about two steps of L* on.
func TestSeriesInGray(t *testing.T) {
	gray := func(r, g, b uint8) float64 { return 0.2126*float64(r) + 0.7152*float64(g) + 0.0722*float64(b) }
	shades := []float64{gray(paper.R, paper.G, paper.B), gray(zoneColor.R, zoneColor.G, zoneColor.B), gray(bandColor.R, bandColor.G, bandColor.B), gray(ink.R, ink.G, ink.B)}
	for i := 1; i < len(shades); i++ {
		if shades[i-1]-shades[i] < 12 {
			t.Errorf("shades %v are too near to each other", shades)
		}
	}
}

// Every tick of a logarithmic axis lies on it, labels are round and far enough
// apart to be read.
func TestLogTicks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := math.Exp(rapid.Float64Range(-6, 6).Draw(t, "lo"))
		hi := lo * math.Exp(rapid.Float64Range(0.4, 12).Draw(t, "range"))
		ticks := logTicks{1, formatTick, 800, 40}
		last, labels := math.Inf(-1), 0
		for _, tick := range ticks.Ticks(lo, hi) {
			if tick.Value < lo*(1-1e-6) || tick.Value > hi*(1+1e-6) {
				t.Fatalf("a tick at %g outside %g to %g", tick.Value, lo, hi)
			}
			if tick.Label == "" {
				continue
			}
			labels++
			at := 800 * math.Log(tick.Value/lo) / math.Log(hi/lo)
			if at-last < 39.9 {
				t.Fatalf("labels %g pixels apart", at-last)
			}
			last = at
		}
		if math.Log10(hi/lo) >= 1 && labels < 1 {
			t.Fatalf("no label from %g to %g", lo, hi)
		}
	})
}

// The panels are at their intended positions, whatever is next to them.
func TestDrawPanel(t *testing.T) {
	s, r := fitted(t, flashSheet, falloff.Options{MarkM: 2})
	m := &distancePlot{series: s, result: r, law: r.Law()}
	m.setExtent()
	m.layOut()
	img := decode(t, render(t, NewPicture("x", "x", int(m.width), int(m.height), m.paint), "png"))
	// The axis on the right ends where the zone does, at the panel's top.
	x, top := int(m.data.Max.X), int(m.height)-int(m.data.Max.Y)
	dark := func(p image.Point) bool { return img.NRGBAAt(p.X, p.Y).R < 128 }
	if !dark(image.Pt(x, top+3)) || dark(image.Pt(x, top-4)) {
		t.Errorf("the right axis does not end at the panel's top")
	}
	left := int(m.data.Min.X)
	if !dark(image.Pt(left, top+40)) && !dark(image.Pt(left-1, top+40)) {
		t.Errorf("the left axis is not at the panel's left")
	}
}
