package plots

import (
	"strings"
	"testing"

	"evenfall/photometry/colorimetry"
)

// A target and lights about it, invented: one behind a gel, one that hangs none.
var (
	testTarget = ColorTarget{CCT: colorimetry.CCT{Kelvin: 5600}, MissMired: 10, MissDuv: 0.003}
	testMoves  = []ColorMove{
		{From: colorimetry.CCT{Kelvin: 5120, Duv: -0.0012}, To: colorimetry.CCT{Kelvin: 5630, Duv: -0.001}, Text: "left: 5120 K, Duv -0.0012: hang 1/8 CTB"},
		{From: colorimetry.CCT{Kelvin: 4000, Duv: 0.004}, To: colorimetry.CCT{Kelvin: 4000, Duv: 0.004}, Text: "緑: nothing that helps"},
	}
)

func TestCorrectionPicture(t *testing.T) {
	p := Correction("Two lamps", testTarget, testMoves)
	samePicture(t, "correction.png", p)
	for _, format := range Formats {
		render(t, p, format)
	}
	for _, want := range []string{"target of 5600 K", "±10 mired, ±0.003 Duv", "1 left: 5120 K, Duv \u22120.0012: hang 1/8 CTB.", "2 緑: nothing that helps."} {
		if !strings.Contains(p.Alt, want) {
			t.Errorf("%q is missing in %s", want, p.Alt)
		}
	}
}

// A light of 4000 K is 10⁶/4000 − 10⁶/5600 = 71.4 mired warmer than 5600 K, and on the
// axes with what counts as met.
func TestCorrectionExtent(t *testing.T) {
	m := &correctionPlot{target: testTarget, moves: testMoves}
	if mired, duv := m.shift(testMoves[1].From); mired < 71.4 || mired > 71.5 || duv != 0.004 {
		t.Errorf("shift %v mired, %v Duv", mired, duv)
	}
	many := make([]ColorMove, 40)
	for i := range many {
		many[i] = testMoves[0]
	}
	if p := Correction("Forty lamps", testTarget, many); !strings.Contains(p.Alt, "and 24 more") || p.Height > 1400 {
		t.Errorf("%d pixels high: %s", p.Height, p.Alt)
	}
}
