package calibration

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// planned is a scene of a table of lamps, for a surface of 4 × 2 m.
func planned(rows ...string) *plan.Scene {
	table := "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,dimmer,CCT\n" + strings.Join(rows, "\n") + "\n"
	lamps, err := setup.ReadLamps(strings.NewReader(table), "lamps.csv")
	must(err)
	s, err := plan.NewScene(lamps, plan.Options{Surface: &planBox})
	must(err)
	return s
}

var planBox = spatial.Box{X1: 4, Y1: 2}

// ofPlans are plans held to readings, and levels that a plan was asked for.
func ofPlans() []simulation {
	held := func(generator string, ambient float64, read func(r *rand.Rand, lx float64) float64) simulation {
		return simulation{subject: "a plan held to readings", generator: generator, short: 30, full: 1500, most: missing("a lamp's level", "ambient light"), said: 0.5, draw: func(r *rand.Rand, c *counts) {
			s := surface{columns: 8, rows: 5, truth: make([]float64, 40)}
			var rows []string
			var factors []float64
			for k := range 2 + r.IntN(2) {
				at, aim := vec(-1.5+7*r.Float64(), 0.5+2*r.Float64(), 2+1.5*r.Float64()), vec(1+2*r.Float64(), 0.5+r.Float64(), 0)
				flux, deg := 10_000+15_000*r.Float64(), 50+40*r.Float64()
				rows = append(rows, fmt.Sprintf("%s,point,%.6f,%.6f,%.6f,%.6f,%.6f,0,%.6f,%.6f,100,5600", lampName(k), at.X, at.Y, at.Z, aim.X, aim.Y, flux, deg))
				factors = append(factors, 0.5+r.Float64())
				beam, err := falloff.NewBeam(at, r3.Sub(aim, at), factors[k]*flux, deg)
				must(err)
				for i := range s.truth {
					x, y := s.place(i)
					s.truth[i] += beam.Illuminance(vec(x, y, 0), vec(0, 0, 1))
				}
			}
			score, err := planned(rows...).Against(judged(s.read(repeatabilityNoted, "lux", func(_ int, lx float64) string {
				return fmt.Sprintf("%.6f", read(r, lx+ambient))
			})))
			must(err)
			for k, l := range score.Lamps {
				if l.Low != nil {
					c.misses("a lamp's level", *l.Low, *l.High, 100*factors[k])
				}
			}
			if a := score.Ambient; a.Low != nil {
				c.misses("ambient light", *a.Low, *a.High, ambient)
			}
		}}
	}
	plain := func(r *rand.Rand, lx float64) float64 { return lx * normal(r) }
	return []simulation{
		held("two or three beams of other levels and ambient light, 40 places", 60, plain),
		held("two or three beams of other levels, one reading in thirty wild", 0, func(r *rand.Rand, lx float64) float64 {
			if r.IntN(30) == 0 {
				return lx * math.Exp(4*scatter*r.NormFloat64())
			}
			return plain(r, lx)
		}),
		{subject: "a level that a plan was asked for", generator: "two beams with a free dimmer, aim and place", short: 4, full: 100, draw: reached, most: map[string]float64{"said to be reached, more than 0.1 stop off": 0}, said: 0.4},
	}
}

// reached asks a plan for a level that one of its settings has, or for one about as high
// as any has, and adds up what the lamps then give by their laws.
func reached(r *rand.Rand, c *counts) {
	deg, flux := 60+30*r.Float64(), 9_000+9_000*r.Float64()
	scene := planned(fmt.Sprintf("left,point,-1,1,1.5..3,1..3,1,0,%.6f,%.6f,20..100,5600", flux, deg), fmt.Sprintf("right,point,5,1,2.5,2,1,0,%.6f,%.6f,50,5600", flux, deg))
	mean := func(z, aim, dimmer float64) float64 {
		sum := 0.0
		for _, l := range []struct {
			at, aim r3.Vec
			percent float64
		}{{vec(-1, 1, z), vec(aim, 1, 0), dimmer}, {vec(5, 1, 2.5), vec(2, 1, 0), 50}} {
			beam, err := falloff.NewBeam(l.at, r3.Sub(l.aim, l.at), flux*l.percent/100, deg)
			must(err)
			for i := range 40 * 20 {
				sum += beam.Illuminance(vec(0.05+0.1*float64(i%40), 0.05+0.1*float64(i/40), 0), vec(0, 0, 1)) / 800
			}
		}
		return sum
	}
	level := mean(1.5+1.5*r.Float64(), 1+2*r.Float64(), 20+80*r.Float64())
	if r.IntN(2) == 0 {
		level = mean(1.5, 2, 100) * math.Exp2(0.5*r.Float64()-0.1)
	}
	_, moves, solution, err := scene.Solve(context.Background(), plan.Goal{On: plan.Surface{Extent: planBox}, Level: level, Starts: 3})
	must(err)
	set := map[string]float64{"z": 2.25, "aim x": 2, "dimmer": 60}
	for _, m := range moves {
		if _, free := set[m.Field]; !free {
			panic("moved " + m.Field)
		}
		set[m.Field] = m.To
	}
	if solution.Reached() {
		c.say("said to be reached, more than 0.1 stop off", math.Abs(math.Log2(mean(set["z"], set["aim x"], set["dimmer"])/level)) > 0.1)
	}
}
