package colorimetry

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Rows made from a known offset give it back, and applying it to a row's light
// gives the row's setting.
func TestCameraOffsetsAreFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mired := rapid.Float64Range(-20, 20).Draw(t, "mired")
		tint := rapid.Float64Range(-5, 5).Draw(t, "tint")
		perPoint := rapid.Float64Range(-2, 2).Draw(t, "per point")
		var rows []CameraReading
		for _, light := range []CCT{{3200, -0.004}, {4300, 0.001}, {5600, 0.006}, {6500, 0.003}} {
			needs, err := CCNeeded(light)
			if err != nil {
				t.Fatal(err)
			}
			rows = append(rows, CameraReading{
				Camera: "A", MeasuredKelvin: light.Kelvin, MeasuredDuv: light.Duv,
				CameraKelvin: Kelvin(light.Mired() + mired), CameraTint: tint - perPoint*float64(needs),
			})
		}
		offsets, err := CameraOffsets(rows)
		if err != nil {
			t.Fatal(err)
		}
		o := offsets[0]
		if len(offsets) != 1 || o.Rows != 4 || !o.TintFitted ||
			math.Abs(o.Mired-mired) > 1e-9 || math.Abs(o.Tint-tint) > 1e-9 || math.Abs(o.TintPerPoint-perPoint) > 1e-9 ||
			o.MiredSpread > 1e-9 || o.TintSpread > 1e-9 {
			t.Fatalf("%+v, want %g, %g, %g", o, mired, tint, perPoint)
		}
		for _, r := range rows {
			s, err := SettingFor(CCT{r.MeasuredKelvin, r.MeasuredDuv}, &o)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(s.Kelvin-r.CameraKelvin) > 1e-6 || math.Abs(s.Tint-r.CameraTint) > 1e-6 {
				t.Fatalf("%+v, want %g K, %g", s, r.CameraKelvin, r.CameraTint)
			}
		}
	})
}

// The spread is the sample standard deviation of the rows: of −2, 0 and 2 about
// their mean it is 2.
func TestCameraSpread(t *testing.T) {
	var rows []CameraReading
	for i, d := range []float64{-2, 0, 2} {
		rows = append(rows, CameraReading{Camera: "B", MeasuredKelvin: 5000, CameraKelvin: Kelvin(200 + 6 + d), CameraTint: float64(i)})
	}
	rows[1].Camera = " b " // one camera, however its name is written
	rows = append(rows, CameraReading{Camera: "A", MeasuredKelvin: 5000, CameraKelvin: 5000, CameraTint: 3})
	offsets, err := CameraOffsets(rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(offsets) != 2 || offsets[0].Camera != "A" {
		t.Fatalf("%+v", offsets)
	}
	a, b := offsets[0], offsets[1]
	if math.Abs(b.Mired-6) > 1e-9 || math.Abs(b.MiredSpread-2) > 1e-9 || math.Abs(b.Tint-1) > 1e-9 || math.Abs(b.TintSpread-1) > 1e-9 || b.TintFitted || b.TintPerPoint != 1 {
		t.Errorf("%+v", b)
	}
	if a.Rows != 1 || a.MiredSpread != 0 || a.TintSpread != 0 || math.Abs(a.Tint-3) > 1e-9 {
		t.Errorf("%+v", a)
	}
	if o, err := CameraNamed(offsets, "b"); err != nil || o != b {
		t.Errorf("%+v, %v", o, err)
	}
	if _, err := CameraNamed(offsets, "C"); err == nil || !strings.Contains(err.Error(), "A, B") {
		t.Errorf("%v", err)
	}
	if _, err := CameraNamed(nil, "C"); err == nil {
		t.Error("found in an empty table")
	}
}

func TestCameraErrors(t *testing.T) {
	for name, r := range map[string]CameraReading{
		"no name":    {MeasuredKelvin: 5000, CameraKelvin: 5000},
		"no setting": {Camera: "A", MeasuredKelvin: 5000},
		"no light":   {Camera: "A", MeasuredKelvin: 150, CameraKelvin: 5000},
		"no tint":    {Camera: "A", MeasuredKelvin: 5000, CameraKelvin: 5000, CameraTint: math.NaN()},
	} {
		if _, err := CameraOffsets([]CameraReading{r}); err == nil || !strings.Contains(err.Error(), "row 1") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := SettingFor(CCT{0, 0}, nil); err == nil {
		t.Error("a setting for 0 K")
	}
	if _, err := SettingFor(CCT{10000, 0}, &CameraOffset{Camera: "A", Mired: -100}); err == nil {
		t.Error("a setting of no kelvins")
	}
}

// A camera's offset reaches the advice of a correction.
func TestCorrectWithACamera(t *testing.T) {
	o := CameraOffset{Camera: "A", Rows: 3, Mired: 10, MiredSpread: 2, TintPerPoint: 1}
	c, err := Correct(CCT{3200, 0}, CCT{5000, 0}, nil, Options{Camera: &o})
	if err != nil {
		t.Fatal(err)
	}
	if c.Camera == nil || math.Abs(c.Camera.Kelvin-1e6/210) > 1e-9 || c.Camera.MiredSpread != 2 {
		t.Errorf("%+v", c.Camera)
	}
}
