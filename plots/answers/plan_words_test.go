package answers

import (
	"testing"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/plots/document"
)

// What a plan says names lamps with the frames that their light passes, and gives
// lengths as a tape does, in the reader's units.
func TestPlanSentences(t *testing.T) {
	us := document.Words{Unit: photometry.FC, Feet: true}
	elsewhere := func(by string, off photometry.Length, degrees float64) photometry.Finding {
		return photometry.Found("lamp_elsewhere", "lamp", "left", "by", by, "distance", off, "degrees", degrees, "explained", photometry.Percentage(80))
	}
	for _, c := range []struct {
		words   document.Words
		finding photometry.Finding
		want    string
	}{
		{SI, elsewhere("x", -0.24, -12), "Left as planned cannot explain the readings: that it stands about 24 cm farther to camera left would explain 80 % of the error."},
		{us, elsewhere("z", 0.254, 12), "Left as planned cannot explain the readings: that it stands about 10 in farther from the surface would explain 80 % of the error."},
		{SI, elsewhere("tilt", -0.24, -12), "Left as planned cannot explain the readings: that it is tilted about 12° farther down would explain 80 % of the error."},
		{SI, photometry.Found("lamp_level", "lamp", "key", "through", []string{"silk", "board"}, "percent", photometry.Percentage(50), "change", -1.0),
			"Key (through silk and board) gives 50 % of its plan (-1.0 stop): its dimmer, scrims, age or figures are other than the table says."},
		{SI, photometry.Found("past_frame", "misses", photometry.Percentage(12), "lamp", "key", "frame", "silk", "of_mean", photometry.Percentage(3)),
			"12 % of the light of “key” passes beside “silk” and counts. It makes 3 % of the mean on the surface. Close its doors or flag it off. Write the spill (%) that is left, 0 for none, in the frame's row."},
		{us, photometry.Found("plan.stands", "tall", []string{"a", "b", "c", "d"}, "height", photometry.Length(2), "sails", []string{"silk"}),
			"Rated stands, sandbags, safety bonds and trained riggers (a, b and the others over 6.56 ft, silk a sail)."},
		{SI, photometry.Found("close.heat", "frames", []string{"silk"}, "within", photometry.Length(1)), "Heat: silk is within 1.00 m of its lamp; keep the lamp maker's distance."},
		{us, photometry.Found("glare", "most", photometry.Level{Value: 21527.8, Quantity: photometry.Illuminance}, "marks", []string{"face", "hand"}), "Eyes: 2000 fc and more at face, hand is too bright to look into for long."},
		{SI, photometry.Found("unsolved", "free", 1), "1 free cell taken at the present value or the middle of the range: nothing was asked that could choose. --level with --at or --size, or --size alone, would."},
		{us, photometry.Found("asked_penumbra", "least", photometry.Length(0.0508)), "penumbra at least 2.00 in"},
		{us, photometry.Found("off_by", "distance", photometry.Length(0.1)), "4 in"},
	} {
		if got := Sentence(c.words, c.finding); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if got := moveText(us, plan.Move{Field: "z", From: 3.048, To: 1.524, Unit: "m", FromMiddle: true}); got != "z 10.0 ft (middle) to 5.00 ft" {
		t.Error(got)
	}
}
