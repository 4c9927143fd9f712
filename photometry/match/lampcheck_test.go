package match

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/photometry"
)

// By hand: a stop is a factor of two; 0.1 stop of 625 lx is 583 to 670 lx; 5130 K to
// 5600 K is −16.4 mired. The thresholds are those of the comment.
func TestCheckLamp(t *testing.T) {
	light := func(lx, cct, duv float64) LampLight {
		return LampLight{Level: photometry.Level{Value: lx}, CCTK: &cct, Duv: &duv}
	}
	was := light(625, 5130, -0.0012)
	for _, c := range []struct {
		is   LampLight
		want string
	}{
		{light(612, 5120, -0.0010), "lamp.good"}, {light(584, 5130, -0.0012), "lamp.good"}, {light(580, 5130, -0.0012), "lamp.trim"},
		{light(625*math.Exp2(0.49), 5130, -0.0012), "lamp.trim"}, {light(625*math.Exp2(0.51), 5130, -0.0012), "lamp.place"}, {light(312, 5130, -0.0012), "lamp.place"},
		{light(612, 5600, -0.0012), "lamp.color"}, {light(612, 5130, 0.0040), "lamp.color"}, {light(0, 5130, 0), "lamp.off"},
		{LampLight{Level: photometry.Level{Value: 612}}, "lamp.good"},
	} {
		if got := CheckLamp(was, c.is, 0.02, 10, 0.003); got.Key != c.want {
			t.Errorf("%g lx: %s, expected %s", c.is.Level.Value, got.Key, c.want)
		}
	}
	got := CheckLamp(was, light(500, 5130, -0.0012), 0.02, 10, 0.003)
	if low := got.Values["from"].(photometry.Level).Value; math.Abs(low-583.1) > 0.1 {
		t.Errorf("trimmed from %g lx", low)
	}
}

// A lamp that did not change is called good in 95 % of readings or more, whatever the
// meter scatters.
func TestCheckLampRate(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	for _, scatter := range []float64{0.01, 0.03, 0.06, 0.1} {
		off, trials := 0, 4000
		for range trials {
			read := func() LampLight {
				return LampLight{Level: photometry.Level{Value: 500 * math.Exp2(scatter*random.NormFloat64())}}
			}
			if CheckLamp(read(), read(), scatter, 10, 0.003).Key != "lamp.good" {
				off++
			}
		}
		// Two-sided 95 %, and three standard errors of 4,000.
		if rate := float64(off) / float64(trials); rate > 0.05+3*math.Sqrt(0.05*0.95/4000) {
			t.Errorf("scatter %g: %g are called off", scatter, rate)
		}
	}
}
