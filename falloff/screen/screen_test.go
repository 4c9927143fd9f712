package screen

import (
	"math"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// even is a screen of 4 × 3 m read at 4 × 3 places, of one light and reflectance.
func even(light, reflectance float64) Input {
	in := Input{Lit: &spatial.Box{X1: 4, Y1: 3}}
	for i := range 12 {
		in.Places = append(in.Places, Place{spatial.GridLabel(i%4, i/4), 0.5 + float64(i%4), 2.5 - float64(i/4), light, light * reflectance / math.Pi, 0})
	}
	return in
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

// parallel is the factor from a small receptor to a parallel rectangle with a corner on
// its normal, sides x and y in distances: J. R. Howell, A Catalog of Radiation Heat
// Transfer Configuration Factors, differential planar element to finite parallel
// rectangle; from memory.
func parallel(x, y float64) float64 {
	p, q := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
	return (x/p*math.Atan(y/p) + y/q*math.Atan(x/q)) / (2 * math.Pi)
}

// TestSpillOfAPlane holds the spill to the closed form at 1 and 4 m before the middle and
// off it, and to π·L right before the cloth.
func TestSpillOfAPlane(t *testing.T) {
	for _, c := range []struct{ z, x, y, want, within float64 }{
		{0.001, 2, 1.5, 1, 1e-3},
		{1, 2, 1.5, 4 * parallel(2, 1.5), 1e-9},
		{4, 2, 1.5, 4 * parallel(0.5, 0.375), 1e-9},
		{1, 1, 1, parallel(1, 1) + parallel(3, 1) + parallel(1, 2) + parallel(3, 2), 1e-9},
		{2, 0, 0, parallel(2, 1.5), 1e-9},
	} {
		in := even(1000, 0.25)
		in.Marks = []Mark{{Label: "m", Key: 500, ToScreenM: c.z, X: &c.x, Y: &c.y}}
		m := Analyze(in).Marks[0]
		luminance := 1000 * 0.25 / math.Pi
		near(t, "spill over π·L", *m.Spill/(math.Pi*luminance), c.want, c.within)
		if m.SpillInterval[0] > *m.Spill || m.SpillInterval[1] < *m.Spill {
			t.Errorf("%v about %g", *m.SpillInterval, *m.Spill)
		}
	}
}

// TestSurveyFor takes the survey of the title, and of several others none.
func TestSurveyFor(t *testing.T) {
	for _, c := range []struct {
		title   string
		surveys []string
		want    int
	}{{"cloth", []string{"backdrop", "Cloth"}, 1}, {"", []string{"backdrop", "cloth"}, -1}, {"", []string{"", ""}, -1}, {"", []string{""}, 0}, {"screen", []string{"cloth"}, 0}, {"cloth", nil, -1}} {
		if got := SurveyFor(c.title, c.surveys); got != c.want {
			t.Errorf("%q of %q: %d, want %d", c.title, c.surveys, got, c.want)
		}
	}
}

// TestCard takes a luminance meter that is off to the scale of the light.
func TestCard(t *testing.T) {
	in := even(800, 0.2)
	for i := range in.Places {
		in.Places[i].Luminance *= 1.07
	}
	r := Analyze(in)
	near(t, "without a card", r.Reflectance, 1.07*0.2, 1e-12)
	in.Places = append(in.Places, Place{"B2", 1.5, 1.5, 800, 1.07 * 800 * 0.18 / math.Pi, 0.18})
	r = Analyze(in)
	near(t, "by the card", r.Reflectance, 0.2, 1e-12)
	near(t, "factor", *r.CardFactor, 1/1.07, 1e-12)
	if len(r.Places) != 12 || r.Interval[0] > 0.2 || r.Interval[1] < 0.2 {
		t.Errorf("%d places, %v", len(r.Places), r.Interval)
	}
}

// TestLightAndCloth tells a fold from a light that falls off.
func TestLightAndCloth(t *testing.T) {
	in := even(800, 0.2)
	for i := range in.Places {
		in.Places[i].Light *= math.Exp2(-0.1 * float64(i%4))
		in.Places[i].Luminance *= math.Exp2(-0.1 * float64(i%4))
	}
	in.Places[5].Luminance *= math.Exp2(-0.3)
	r := Analyze(in)
	near(t, "light", r.LightSpread, 0.3, 1e-12)
	near(t, "cloth", r.ClothSpread, 0.3, 1e-12)
	for i, p := range r.Places {
		if p.Cloth != (i == 5) {
			t.Errorf("%s: cloth %t, %+.2f stop", p.Label, p.Cloth, p.ClothStops)
		}
	}
	near(t, "the fold", r.Places[5].ClothStops, -0.3*11/12, 1e-12)
}

// TestScreenToKey is log2(ρ·E/(0.18·E_key)), held to its target on both sides.
func TestScreenToKey(t *testing.T) {
	for want, reflectance := range map[float64]float64{0: 0.18, 1: 0.36, -1: 0.09} {
		in := even(700, reflectance)
		target := 0.0
		in.Target, in.Tolerance = &target, 0.33
		in.Marks = []Mark{{Label: "m", Key: 700}}
		m := Analyze(in).Marks[0]
		near(t, "screen to key", *m.ScreenToKey, want, 1e-12)
		if verdict := map[bool]string{true: uncertainty.Pass, false: uncertainty.Fail}[want == 0]; m.Verdict != verdict {
			t.Errorf("%g: %s", want, m.Verdict)
		}
	}
}

// TestForwardAndMask brings the spill to its limit either way, and warns of what does not
// come of the screen, and of a reflectance that no cloth has.
func TestForwardAndMask(t *testing.T) {
	in := even(1500, 0.3)
	limit, read := -4.0, 400.0
	in.SpillTarget = &limit
	in.Marks = []Mark{{Label: "m", Key: 400, ToScreenM: 2, Spill: &read}}
	in.Places[0].Luminance = 1.2 * 1500 / math.Pi
	r := Analyze(in)
	near(t, "reflectance without the impossible place", r.Reflectance, 0.3, 1e-9)
	m := r.Marks[0]
	in.Places[0].Luminance = 0.3 * 1500 / math.Pi
	in.Marks[0].Spill = nil
	plain := Analyze(in).Marks[0]
	most := 400 * photometry.Factor(limit)
	at := in.Marks[0]
	at.ToScreenM += *plain.ForwardM
	in.Marks[0] = at
	near(t, "forward", *Analyze(in).Marks[0].Spill, most, 1e-6)
	// What a mask leaves is a smaller screen about the same middle.
	side := math.Sqrt(1 - *plain.MaskPercent/100)
	in.Marks[0].ToScreenM = 2
	in.Lit = &spatial.Box{X0: 2 - 2*side, X1: 2 + 2*side, Y0: 1.5 - 1.5*side, Y1: 1.5 + 1.5*side}
	near(t, "masked", *Analyze(in).Marks[0].Spill, most, 1e-6)
	var codes []string
	for _, f := range r.Warnings {
		codes = append(codes, f.Code)
	}
	if len(codes) != 2 || codes[0] != "over_one" || codes[1] != "spill_differs" || m.SpillVerdict != uncertainty.Fail {
		t.Errorf("%v, %+v", codes, m)
	}
}

// TestVeryManySpills figures the spill at as many marks as it may, and passes none of the
// others.
func TestVeryManySpills(t *testing.T) {
	for more := range 2 {
		in := even(1, 0.3)
		limit := 4.0
		in.SpillTarget = &limit
		for range schema.MostSpills + more {
			in.Marks = append(in.Marks, Mark{Label: "m", Key: 400, ToScreenM: 2})
		}
		r := Analyze(in)
		for i, m := range r.Marks {
			if want := map[bool]string{true: uncertainty.Pass, false: uncertainty.Unsure}[i < schema.MostSpills]; (m.Spill != nil) != (i < schema.MostSpills) || m.SpillVerdict != want {
				t.Errorf("mark %d of %d: %v, %s", i, len(r.Marks), m.Spill, m.SpillVerdict)
			}
		}
		if want := map[int]string{0: uncertainty.Pass, 1: uncertainty.Unsure}[more]; r.Verdict != want {
			t.Errorf("%d marks: %s, expected %s", len(r.Marks), r.Verdict, want)
		}
	}
}
