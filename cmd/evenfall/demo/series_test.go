package demo

import (
	"bytes"
	"math"
	"testing"

	"evenfall/falloff"
	"evenfall/photometry/survey"
)

func seriesNamed(t *testing.T, name string) *survey.Series {
	t.Helper()
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if f.Name != name {
			continue
		}
		s, err := survey.ReadSeries(survey.Input{Name: name, Reader: bytes.NewReader(f.Content)}, survey.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	t.Fatalf("no %s in the demo", name)
	return nil
}

// The frame of the scene is 1.2 m square: a disc of the same area is 1.354 m
// across, and with its middle brighter than its rim it looks somewhat smaller.
// Next to it the light hardly falls.
func TestFrameSeries(t *testing.T) {
	d, err := falloff.FitSeries(seriesNamed(t, "key-frame.csv"), falloff.Options{MarkM: 1.2})
	if err != nil {
		t.Fatal(err)
	}
	if across := 2 * d.SourceRadiusM; !d.Settled || across < 1.1 || across > 1.354 {
		t.Errorf("settles %+v, %g m across", d.Settles, across)
	}
	if near, far := d.Points[0].LocalExponent, d.Points[len(d.Points)-1].LocalExponent; near < -0.6 || far > -1.8 {
		t.Errorf("exponents %g and %g", near, far)
	}
	// Five diameters, the five-times rule.
	if want := 5 * 2 * d.SourceRadiusM; math.Abs(d.InverseSquareFromM/want-1) > 1e-3 {
		t.Errorf("inverse square from %g m, five diameters are %g m", d.InverseSquareFromM, want)
	}
}

// The meter of the scene is 1.2 % repeatable, its angles are laid 2° wrong and
// it responds as cos^1.06.
func TestMeterSeries(t *testing.T) {
	m, err := falloff.CheckSeries(seriesNamed(t, "meter.csv"), falloff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !m.Settled || !m.RepeatabilityIntervalPercent.Contains(1.2) {
		t.Errorf("settled %v, repeatability %v", m.Settled, m.RepeatabilityIntervalPercent)
	}
	if math.Abs(*m.TiltDeg-2) > 0.3 {
		t.Errorf("tilt %g°", *m.TiltDeg)
	}
	want := 100 * falloff.F2(func(deg float64) float64 { return math.Pow(math.Cos(deg*math.Pi/180), 1.06) }, *m.F2ToDeg)
	if math.Abs(*m.F2Percent-want) > *m.F2NoisePercent {
		t.Errorf("f2 %g %%, want %g within %g", *m.F2Percent, want, *m.F2NoisePercent)
	}
	if *m.LinearityStops > 3**m.LinearityNoiseStops {
		t.Errorf("a linear meter strays by %g stop", *m.LinearityStops)
	}
}
