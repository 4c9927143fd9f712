package answers

import (
	"slices"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
)

// What takes green tungsten light to its target, in words.
func TestCorrectWords(t *testing.T) {
	c, err := colorimetry.Correct(colorimetry.CCT{Kelvin: 3200, Duv: 0.010}, colorimetry.CCT{Kelvin: 3200}, colorimetry.NominalKit(), colorimetry.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"Needs 35 mired of cooling and 14.5M, about quarter CTB and half minus green.",
		"The magenta filter alone would shift this light by about +35 mired; the conversion filter takes that back.",
		"Hang quarter CTB with half minus green: reads 3169 K, Duv -0.0002, 1.0 steps from the target, for 1.0 stop.",
		"On the lamp it costs that lamp alone 1.0 stop; on the lens it costs the exposure 1.0 stop and shifts every lamp.",
		"If this is the only light, no gel is needed: set the camera to 3200 K, tint 14.5 toward magenta.",
	}
	if got := Sentences(SI, c.Advice); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

// What lamps share has no part that is nothing, and ends where nothing more is known.
func TestSharedShift(t *testing.T) {
	lens := photometry.Found("shared_on_lens", "loss", photometry.Loss(1.04))
	for _, c := range []struct {
		f    photometry.Finding
		want string
	}{
		{photometry.Found("correct.shared", "mired", 20.4, "duv", 0.0, "lens", photometry.Finding{}, "camera", photometry.Finding{}),
			"All lamps share a shift of 20 mired of warming to the target. One filter on the lens, or the camera's own setting, does that for all of them; gels are then needed only for what differs."},
		{photometry.Found("correct.shared", "mired", 0.0, "duv", -0.005, "lens", lens, "camera", photometry.Finding{}),
			"All lamps share a shift of -0.0050 Duv to the target. One filter on the lens, or the camera's own setting, does that for all of them; gels are then needed only for what differs. On the lens it costs 1.0 stop of exposure."},
	} {
		if got := Sentence(SI, c.f); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestCameraSetting(t *testing.T) {
	for want, s := range map[string]colorimetry.CameraSetting{
		"set the camera to 5600 K, no tint":             {Kelvin: 5603, Tint: 0.1},
		"set B to 3200 K, tint 2.5 toward magenta":      {Camera: "B", Kelvin: 3200, Tint: 2.4},
		"set the camera to 4300 K, tint 3 toward green": {Kelvin: 4300, Tint: -3.1},
	} {
		if got := cameraSetting(s); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
