package evenness

import (
	"math"
	"strings"
	"testing"

	"evenfall/photometry"
)

// By hand: a window of 0.5 stop about the reference, less twice a repeatability of 2 % on
// each side, 0.02/ln 2 = 0.0289 stop; the stops of what is left over go up to the next tenth.
func TestTrimWithin(t *testing.T) {
	r := judged(t, strings.NewReader("# tolerance: 0.5 stop\n# repeatability: 2 %\nlabel,x (m),y (m),lux\nA,0,0,742\nB,1,0,800\nC,2,0,1180\nD,3,0,810\n"))
	trim, ok := r.TrimWithin(-0.25, 0.25)
	if !ok || trim.Roles[0] != "brightest" || r.Survey.Name(trim.Watched[0]) != "C" || r.Survey.Name(trim.Watched[1]) != "A" {
		t.Fatalf("%+v, %v", trim, ok)
	}
	if math.Abs(trim.Half-(0.25-2*r.Noise.Stops)) > 1e-12 || math.Abs(r.Noise.Stops-0.02/math.Ln2) > 1e-3 || math.Abs(trim.Middle-r.Reference.Level) > 1e-9 {
		t.Errorf("%+v with noise %g", trim, r.Noise.Stops)
	}
	for _, c := range []struct {
		before, now float64
		want        string
		stops       float64
	}{
		{0.5, trim.Half + 0.01, "trim.off", 0.1}, {0.5, trim.Half + 0.11, "trim.off", 0.2}, {0.5, trim.Half - 0.01, "trim.good", 0},
		{0.5, -trim.Half - 0.05, "trim.back_up", 0.1}, {-0.5, -trim.Half - 0.3, "trim.on", 0.3}, {-0.5, trim.Half + 0.02, "trim.back_down", 0.1},
	} {
		say, good := trim.Advise(c.before, c.now)
		stops, _ := say.Values["stops"].(photometry.Stop)
		if say.Key != c.want || good != (c.want == "trim.good") || math.Abs(float64(stops)-c.stops) > 1e-9 {
			t.Errorf("%+v: %s %v", c, say.Key, stops)
		}
	}
	dark := judged(t, strings.NewReader("# tolerance: 0.5 stop\nx (m),y (m),lux\n0,0,400\n1,0,800\n2,0,820\n"))
	if trim, ok := dark.TrimWithin(-0.25, 0.25); !ok || trim.Roles[0] != "darkest" {
		t.Errorf("%+v", trim)
	}
	alike := judged(t, strings.NewReader("# tolerance: 0.5 stop\nx (m),y (m),lux\n0,0,800\n1,0,800\n2,0,800\n"))
	if trim, ok := alike.TrimWithin(-0.25, 0.25); !ok || trim.Watched[0] == trim.Watched[1] || trim.Watched[1] == trim.Watched[2] || trim.Watched[0] == trim.Watched[2] {
		t.Errorf("%+v, %v", trim, ok)
	}
	if _, ok := dark.TrimWithin(-0.05, 0.05); ok {
		t.Error("a window as narrow as the scatter has a goal")
	}
}
