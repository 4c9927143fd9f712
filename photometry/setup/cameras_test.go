package setup

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestReadCameras(t *testing.T) {
	in := "camera;measured K;measured Duv;camera K;camera tint;note\n" +
		"A;5000;0;4900;2;\nB;200 mired;;5000;1;\na;4000;0;3900;4;same camera\n"
	c, err := ReadCameras(strings.NewReader(in), "c.csv")
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Offsets) != 2 || c.Offsets[0].Camera != "A" || c.Offsets[0].Rows != 2 || c.Offsets[1].Rows != 1 {
		t.Fatalf("%+v", c.Offsets)
	}
	// 10⁶/4900 − 200 and 10⁶/3900 − 250 mired, their mean, and for two rows a
	// spread of their difference over √2.
	a, b := 1e6/4900-200, 1e6/3900-250
	if o := c.Offsets[0]; math.Abs(o.Mired-(a+b)/2) > 1e-9 || math.Abs(o.MiredSpread-math.Abs(a-b)/math.Sqrt2) > 1e-9 || o.Tint != 3 || math.Abs(o.TintSpread-math.Sqrt2) > 1e-9 {
		t.Errorf("%+v", o)
	}
	if o := c.Offsets[1]; math.Abs(o.Mired) > 1e-9 || o.Tint != 1 {
		t.Errorf("%+v", o)
	}
}

func TestCameraErrors(t *testing.T) {
	in := "camera,measured K,measured Duv,camera K,camera tint\n" +
		",5600,0,5500,1\nA,150,0,5500,1\nA,5600,3,5500,1\nA,5600,0,0,1\nA,,0,5500,1\nA,5600,0,,1\nA,5600,0.001,5500,pink\nA,25000,0.05,5500,1\nA,5600,0,5500,1e30\n"
	_, err := ReadCameras(strings.NewReader(in), "c.csv")
	want := `c.csv:2:1: found an empty cell, expected the camera's name
c.csv:3:2: found "150", expected a color temperature from 1,000 K to 25,000 K
c.csv:4:3: found "3", expected a Duv that light of this color temperature can have, at most 0.05 either way
c.csv:5:4: found "0", expected a color temperature from 1,000 K to 25,000 K
c.csv:6:2: found an empty cell, expected the color temperature that the meter read
c.csv:7:4: found an empty cell, expected the color temperature that the camera was set to
c.csv:8:5: found "pink", expected a number
c.csv:9:3: found "0.05", expected a Duv that a CC filter can take to 0
c.csv:10:5: found "1e30", expected a tint in the camera's own units, from -1000 to 1000`
	if err == nil {
		t.Fatal("no error")
	}
	if diff := cmp.Diff(strings.Split(want, "\n"), strings.Split(err.Error(), "\n")); diff != "" {
		t.Errorf("errors (want, got):\n%s", diff)
	}
	for in, says := range map[string]string{
		"camera,measured K,camera K\n": "found a table without rows, expected a row for each camera",
		"camera,measured K\nA,5600\n":  "found no column “camera K”",
		"camera,camera K\nA,5600\n":    "found no column “measured K”",
	} {
		if _, err := ReadCameras(strings.NewReader(in), "c.csv"); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v does not say %q", in, err, says)
		}
	}
}

func TestCamerasRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Camera {
			duv, tint := rapid.Float64Range(-0.02, 0.02).Draw(t, "Duv"), rapid.Float64Range(-50, 50).Draw(t, "tint")
			return Camera{
				Camera:         rapid.StringMatching(`[A-Za-z][A-Za-z0-9 ]{0,5}[a-z]`).Draw(t, "camera"),
				MeasuredKelvin: Kelvins(rapid.Float64Range(2000, 10000).Draw(t, "measured")),
				MeasuredDuv:    &duv,
				CameraKelvin:   Kelvins(rapid.Float64Range(2000, 10000).Draw(t, "camera K")),
				CameraTint:     &tint,
			}
		}), 1, 5).Draw(t, "rows")
		var records [][]string
		for _, c := range rows {
			records = append(records, []string{c.Camera, cell(&c.MeasuredKelvin), cell(c.MeasuredDuv), cell(&c.CameraKelvin), cell(c.CameraTint)})
		}
		back := readBack[Camera](t, csvOf("camera,measured K,measured Duv,camera K,camera tint", records...))
		if diff := cmp.Diff(rows, back); diff != "" {
			t.Fatalf("(wrote, read):\n%s", diff)
		}
	})
}
