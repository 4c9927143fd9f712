package match

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
)

// The rates that a match states are held by simulation: in short on every run, and
// with CALIBRATION=1 in the environment with as many surveys as tell 5 % from 7 %.
func simulated(short, full int) int {
	if os.Getenv("CALIBRATION") != "" {
		return full
	}
	return short
}

// atMost fails where more than a share of n cases is beyond three standard errors.
func atMost(t *testing.T, what string, n, of int, share float64) {
	t.Helper()
	bound := share + 3*math.Sqrt(share*(1-share)/float64(of))
	t.Logf("%s: %d of %d, %.1f %%, at most %.1f %%", what, n, of, 100*float64(n)/float64(of), 100*share)
	if float64(n)/float64(of) > bound {
		t.Errorf("%s: %d of %d, at most %.1f %%", what, n, of, 100*bound)
	}
}

// many is a stage of n lamps on an arc in front of the surface, of random strengths and
// colors.
func many(n int, random *rand.Rand) stage {
	g := stage{scatter: 0.015, color: 0.0002, random: random}
	for k := range n {
		at := (float64(k) + 0.5) / float64(n)
		g.pointLamps = append(g.pointLamps, pointLamp{fmt.Sprint("lamp ", k+1), -2 + 8.8*at, 0.5 + 2.5*random.Float64(), 2 + random.Float64(), 3000 + 6000*random.Float64(),
			colorimetry.CCT{Kelvin: 3200 + 2600*random.Float64(), Duv: 0.006 * random.NormFloat64() / 2}})
	}
	return g
}

// outside are ways in which readings differ from the model of the fit, small enough to
// be met on any day.
var outside = []struct {
	name  string
	today func(g *stage) // changes the day, not the lamps
}{
	{"as modelled", func(*stage) {}},
	{"another meter", func(g *stage) { g.gain = 1.01 }},
	{"a coarse display", func(g *stage) { g.step = 0.1 }},
	{"a wild reading in thirty", func(g *stage) { g.wild = 1.0 / 30 }},
	{"light reflected from a floor", func(g *stage) { g.bounced = 0.02 }},
}

// claims reports whether a match says that anything of some lamp changed.
func claims(r *Result) bool {
	told := func(f photometry.Finding) bool {
		return f.Code == "color_lamp_unknown" || f.Code == "lamp_moved_unknown"
	}
	for _, l := range r.Lamps {
		if l.Changed || l.Moved != nil || l.Color != nil {
			return true
		}
	}
	return slices.ContainsFunc(r.Warnings, told)
}

// Where nothing changed, at most one survey in twenty says that some lamp did,
// whatever their number and however they were read.
func TestNothingChanged(t *testing.T) {
	for _, c := range []struct {
		lamps, runs, all int // surveys of each kind, in short and in full
		places           []int
	}{{2, 6, 100, nil}, {4, 6, 100, nil}, {9, 4, 100, nil}, {2, 2, 100, spread}, {3, 2, 60, spread}, {5, 0, 20, spread}} {
		runs, wrong := simulated(c.runs, c.all), 0
		for _, o := range outside {
			of := 0
			for seed := range runs {
				g := many(c.lamps, rand.New(rand.NewPCG(uint64(seed), uint64(c.lamps))))
				before := g.survey(t)
				alone := g.alone(t, before, c.places)
				o.today(&g)
				if r := mustMatchWith(before, g.survey(t), Options{Lamps: alone}); claims(r) {
					of++
				}
			}
			if wrong += of; runs >= 50 {
				atMost(t, fmt.Sprintf("%d lamps, %d places alone, %s", c.lamps, len(c.places), o.name), of, runs, 0.05)
			}
		}
		atMost(t, fmt.Sprintf("%d lamps, %d places alone", c.lamps, len(c.places)), wrong, max(1, runs*len(outside)), 0.05)
	}
}

// spread are twelve places of 9 × 5 at which lamps are read alone: the edges, their
// middles and some within.
var spread = []int{0, 4, 8, 20, 24, 36, 40, 44, 11, 33, 29, 13}

// Of a lamp whose level and color changed, the 95 % intervals of level and Duv hold the
// truth.
func TestChangedLampIntervals(t *testing.T) {
	runs := simulated(12, 300)
	for _, places := range [][]int{nil, spread[:8]} {
		var level, duv, said, all int
		for seed := range runs {
			for _, lamps := range []int{2, 3, 4} {
				random := rand.New(rand.NewPCG(uint64(seed), uint64(100+lamps)))
				g := many(lamps, random)
				before := g.survey(t)
				alone := g.alone(t, before, places)
				k, factor := random.IntN(lamps), 0.5+random.Float64()
				by := 0.004 + 0.006*random.Float64()
				today := g.with(func(s []pointLamp) {
					s[k].cd *= factor
					s[k].light.Duv -= by
				})
				r := mustMatchWith(before, today.survey(t), Options{Lamps: alone})
				l := r.Lamps[g.pointLamps[k].name]
				if l.Percent == nil {
					continue
				}
				all++
				level += countOutside(&[2]float64{*l.Low, *l.High}, 100*factor)
				if l.Color != nil {
					said++
					duv += countOutside(l.Color.DuvInterval, -by)
				}
			}
		}
		atMost(t, fmt.Sprintf("levels missed, %d places alone", len(places)), level, all, 0.05)
		atMost(t, fmt.Sprintf("Duv missed, %d places alone", len(places)), duv, said, 0.05)
		if 2*said < all {
			t.Errorf("%d of %d changed colors are named", said, all)
		}
	}
}
