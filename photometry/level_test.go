package photometry_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/testdata"
)

// The published figures of level and exposure; SOURCES.md names each source.
func TestPublishedFigures(t *testing.T) {
	functions := map[string]func(x []float64) float64{
		"footcandle":      func(x []float64) float64 { return photometry.Lux(x[0]) },
		"exposure":        func(x []float64) float64 { return photometry.Exposure{ISO: x[1], ShutterS: x[2]}.FNumber(x[0], x[3]) },
		"exposure value":  func(x []float64) float64 { return photometry.LevelFromEV(x[0], x[1], x[2]) },
		"flash":           func(x []float64) float64 { return photometry.FlashExposure(x[0], x[1], x[2]) },
		"marked f-number": func(x []float64) float64 { return photometry.Thirds.ExactFNumber(x[0]) * math.Exp2(x[1]/x[2]/2) },
	}
	seen := 0
	for _, f := range testdata.LevelFigures() {
		if compute, ours := functions[f.Quantity]; ours {
			seen++
			if got := compute(f.Args); math.Abs(got-f.Want) > f.Tolerance {
				t.Errorf("%s of %v: %.10g, want %.10g", f.Quantity, f.Args, got, f.Want)
			}
		}
	}
	if seen < 8 {
		t.Errorf("%d figures checked", seen)
	}
}

func TestParseLevel(t *testing.T) {
	for _, c := range []struct {
		text     string
		meter    photometry.Meter
		quantity photometry.Quantity
		want     float64
	}{
		{"1250", photometry.Meter{}, photometry.Illuminance, 1250},
		{"1250 lx", photometry.Meter{}, photometry.Illuminance, 1250},
		{"1.25k", photometry.Meter{}, photometry.Illuminance, 1250},
		{"1.25 klx", photometry.Meter{}, photometry.Illuminance, 1250},
		{"1.25k lux", photometry.Meter{}, photometry.Illuminance, 1250},
		// Common practice, no source: 1250 lx reads 116 fc.
		{"116 fc", photometry.Meter{}, photometry.Illuminance, 1248.6136},
		{"116", photometry.Meter{Unit: photometry.FC}, photometry.Illuminance, 1248.6136},
		{"116 FOOTCANDLES", photometry.Meter{}, photometry.Illuminance, 1248.6136},
		{"EV 0", photometry.Meter{}, photometry.Illuminance, 2.5},
		{"ev10 1/2", photometry.Meter{}, photometry.Illuminance, 2.5 * math.Exp2(10.5)},
		{"-1", photometry.Meter{Unit: photometry.EV}, photometry.Illuminance, 1.25},
		{"f/8", photometry.Meter{}, photometry.LuminousExposure, 160},
		{"f8", photometry.Meter{ISO: 200}, photometry.LuminousExposure, 80},
		{"8", photometry.Meter{Unit: photometry.FStop, Receptor: photometry.DomeReceptor}, photometry.LuminousExposure, 217.6},
		{"5.6 7/10", photometry.Meter{Unit: photometry.FStop}, photometry.LuminousExposure, 250 * math.Exp2(5.7) / 100},
		{"8 -1/3", photometry.Meter{Unit: photometry.FStop}, photometry.LuminousExposure, 160 * math.Exp2(-1.0/3)},
		{"8 + 1/3", photometry.Meter{Unit: photometry.FStop}, photometry.LuminousExposure, 160 * math.Exp2(1.0/3)},
		{"8½", photometry.Meter{Unit: photometry.FStop}, photometry.LuminousExposure, 160 * math.Exp2(0.5)},
		{"320 cd/m²", photometry.Meter{}, photometry.Luminance, 320},
		{"320cd/m^2", photometry.Meter{}, photometry.Luminance, 320},
		{"12 lx·s", photometry.Meter{}, photometry.LuminousExposure, 12},
		{"85 %", photometry.Meter{}, photometry.Relative, 0.85},
		{"0", photometry.Meter{}, photometry.Illuminance, 0},
	} {
		got, _, err := c.meter.ParseLevel(c.text)
		if err != nil || got.Quantity != c.quantity || math.Abs(got.Value-c.want) > 1e-6*math.Max(1, c.want) {
			t.Errorf("%q: %+v, %v; want %v %v", c.text, got, err, c.want, c.quantity)
		}
	}
	for _, text := range []string{"", "bright", "-5", "NaN", "inf", "1e999", "f/0", "f/-8", "5.6 7/10 lx", "1/2", "12 parsecs", "0x10", "1250 1250", "f/", "EV"} {
		if got, _, err := (photometry.Meter{}).ParseLevel(text); err == nil {
			t.Errorf("%q was read as %+v", text, got)
		}
	}
}

func TestParseShutter(t *testing.T) {
	for text, want := range map[string]float64{"1/48": 1.0 / 48, "1/48 s": 1.0 / 48, "0.02 s": 0.02, "20 ms": 0.02, "2 s": 2, "180°": 1.0 / 48, "172.8 deg": 0.02, "0.5": 0.5, "1/2.5": 0.4} {
		fps := 0.0
		if strings.ContainsAny(text, "°g") { // an angle
			fps = 24
		}
		if got, err := photometry.ParseShutter(text, fps); err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "Jan-48", "1-Jan", "2048-01-01", "01/02/1948", "48", "0", "-1/48", "fast", "361°", "1/0"} {
		if got, err := photometry.ParseShutter(text, 24); err == nil {
			t.Errorf("%q was read as %v s", text, got)
		}
	}
	if _, err := photometry.ParseShutter("180°", 0); err == nil {
		t.Error("an angle without a frame rate was read")
	}
	// No longer than a frame, where the rate is known; a rounded time counts.
	for text, ok := range map[string]bool{"1/12": false, "0.05": false, "1/24": true, "0.042": true, "360°": true} {
		if _, err := photometry.ParseShutter(text, 24); (err == nil) != ok {
			t.Errorf("%s at 24 frames a second: %v", text, err)
		}
	}
}

// Marks of one series a mark apart are equally many stops apart.
func TestMarks(t *testing.T) {
	for series, marks := range map[photometry.Series][]float64{photometry.Thirds: {5.6, 6.3, 7.1, 8, 9, 10, 11, 13}, photometry.Halves: {5.6, 6.7, 8, 9.5, 11, 13}} {
		step := map[photometry.Series]float64{photometry.Thirds: 1.0 / 6, photometry.Halves: 0.25}[series]
		for i, mark := range marks {
			exact := series.ExactFNumber(mark)
			if want := math.Exp2(2.5 + step*float64(i)); math.Abs(exact-want) > 1e-12 {
				t.Errorf("series %d, mark %v is %v, want %v", series, mark, exact, want)
			}
			if math.Abs(exact/mark-1) > 0.05 {
				t.Errorf("mark %v stands for %v", mark, exact)
			}
			if back, over := series.MarkedFNumber(exact); back != mark || math.Abs(over) > 1e-9 {
				t.Errorf("%v is marked %v, over by %v", exact, back, over)
			}
		}
	}
	if photometry.Thirds.ExactFNumber(8.2) != 8.2 {
		t.Error("a number between marks was moved")
	}
	for text, n := range map[string]float64{"f/8": 8, "f/5.6 7/10": math.Exp2(2.85), "f/2.8": 2.83, "f/11 1/10": math.Exp2(3.55)} {
		if got := photometry.FormatFNumber(n); got != text {
			t.Errorf("%v prints %q, want %q", n, got, text)
		}
	}
	// Two digits in continuous light, the engraved figure where it is one (common practice, no source).
	for text, n := range map[string]float64{"f/2.6": math.Exp2(1.4), "f/5.6": math.Exp2(2.5), "f/11": math.Exp2(3.5), "f/7.1": math.Exp2(2.5 + 1.0/3), "f/2.9": 2.92, "f/27": 26.9, "f/10.6": 10.6, "f/1.17": 1.17, "f/150": 150.4} {
		if got := photometry.FormatLensStop(n); got != text {
			t.Errorf("%v prints %q, want %q", n, got, text)
		}
	}
	for text, s := range map[string]float64{"1/48 s": 1.0 / 48, "1/50 s": 0.02, "2 s": 2, "1/2.5 s": 0.4, "1/1000 s": 0.001, "1/59.94 s": 1 / 59.94} {
		if got := photometry.FormatShutter(s); got != text {
			t.Errorf("%v s prints %q, want %q", s, got, text)
		}
	}
}

func TestLaws(t *testing.T) {
	// Twice the distance is a quarter of the light; at 60° half of it.
	for _, c := range []struct{ got, want float64 }{
		{photometry.InverseSquare(800, 1, 2), 200}, {photometry.InverseSquareStops(1, 2), -2}, {photometry.DistanceFactor(math.Log2(200.0 / 800)), 2},
		{photometry.PointIlluminance(900, 3, photometry.CosineFactor(60)), 50}, {photometry.PointIlluminance(900, 3, 0), 0}, {photometry.PointIlluminance(900, 3, -0.5), 0}, {photometry.CosineFactor(120), 0},
		{photometry.CosineFactor(60), 0.5}, {photometry.DomeFactor(0), 1}, {photometry.DomeFactor(90), 0.5}, {photometry.DomeFactor(180), 0},
		{photometry.DistanceFactor(-1), math.Sqrt2}, {photometry.DimmerPercent(-1), 50}, {photometry.DensityStops(0.9), 3}, {photometry.FilterFactorStops(8), 3},
		{photometry.FlashFNumber(2*photometry.FlashExposure(8, 100, 250), 100, 250), 8 * math.Sqrt2}, {photometry.ShutterFromAngle(180, 24), 1.0 / 48},
		{photometry.Exposure{ISO: 100, ShutterS: 1.0 / 48, LossStops: 2}.FNumber(1000, 250), math.Sqrt(1000.0/48*100/250) / 2},
		{photometry.Exposure{Transmittance: 0.81}.TStop(4.5), 5}, {photometry.FlashFNumber(160, 100, 250), 8},
	} {
		if math.Abs(c.got-c.want) > 1e-12*math.Max(1, math.Abs(c.want)) {
			t.Errorf("%v, want %v", c.got, c.want)
		}
	}
	if name, got := photometry.Scrims(0.55); name != "a single scrim" || got != 0.5 {
		t.Errorf("0.55 stop: %s, %v", name, got)
	}
	if name, got := photometry.Scrims(0.1); name != "" || got != 0 {
		t.Errorf("0.1 stop: %s, %v", name, got)
	}
}

// Exposure and level, EV and level, factor and stops undo each other.
func TestRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.Float64Range(0.01, 1e6).Draw(t, "lx")
		e := photometry.Exposure{ISO: rapid.Float64Range(25, 25600).Draw(t, "ISO"), ShutterS: rapid.Float64Range(1e-4, 10).Draw(t, "s"), LossStops: rapid.Float64Range(0, 6).Draw(t, "ND")}
		same := func(what string, got, want float64) {
			if math.Abs(got/want-1) > 1e-12 {
				t.Fatalf("%s: %v, want %v", what, got, want)
			}
		}
		same("exposure", e.Level(e.FNumber(level, 250), 250), level)
		same("EV", photometry.LevelFromEV(photometry.EV100(level, 340), 100, 340), level)
		same("stops", level*photometry.Factor(photometry.Stops(2*level, level)), 2*level)
		same("footcandles", photometry.Lux(photometry.Footcandles(level)), level)
		same("flash", photometry.FlashExposure(photometry.FlashFNumber(level, e.ISO, 250), e.ISO, 250), level)
	})
}

func FuzzParseLevel(f *testing.F) {
	for _, seed := range []string{"1250", "f/8", "5.6 7/10", "EV 12 1/3", "1.25klx", "320 cd/m²", "½"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		level, _, err := (photometry.Meter{}).ParseLevel(text)
		if err == nil && !(level.Value >= 0) {
			t.Fatalf("%q is %v", text, level.Value)
		}
	})
}

func ExampleExposure_FNumber() {
	key := photometry.Lux(100) // 100 fc
	camera := photometry.Exposure{ISO: 800, ShutterS: photometry.ShutterFromAngle(180, 24)}
	n := camera.FNumber(key, photometry.FlatConstant)
	fmt.Printf("%.2f is %s\n", n, photometry.FormatFNumber(n))
	// Output: 8.47 is f/8 2/10
}

func ExampleMeter_ParseLevel() {
	level, unit, _ := photometry.Meter{}.ParseLevel("116 fc")
	fmt.Printf("%.0f %s, read in %s\n", level.Value, level.Quantity.Unit(), unit)
	// Output: 1249 lx, read in fc
}

func ExampleStops() {
	fmt.Println(photometry.FormatStops(photometry.Stops(1250, 625)))
	// Output: 1.0 stop
}
