package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/match"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// pointLamp is a small lamp in front of a cloth of 4.8 × 2.4 m.
type pointLamp struct {
	x, y, z, cd float64
	light       colorimetry.CCT
}

// stage is a set of lamps read on the cloth at 9 × 5 places, in color.
type stage struct {
	lamps   []pointLamp
	ambient float64
	r       *rand.Rand

	// Outside of what a match assumes: the gain of the meter, its step in stops, the
	// part of readings that scatter four times, and light from the floor.
	gain, step, wild, bounced float64
}

// Scatter of one reading of a stage: of levels as a share, of u′ and v′.
const (
	stageScatter = 0.015
	colorScatter = 0.0002
)

// drawStage is n lamps on an arc, of drawn strengths and colors.
func drawStage(r *rand.Rand, n int) stage {
	g := stage{r: r, gain: 1}
	for k := range n {
		at := (float64(k) + 0.5) / float64(n)
		g.lamps = append(g.lamps, pointLamp{-2 + 8.8*at, 0.5 + 2.5*r.Float64(), 2 + r.Float64(), 3000 + 6000*r.Float64(),
			colorimetry.CCT{Kelvin: 3200 + 2600*r.Float64(), Duv: 0.003 * r.NormFloat64()}})
	}
	return g
}

func lampName(k int) string { return fmt.Sprint("lamp ", k+1) }

func (g stage) level(k, i int) float64 {
	l := g.lamps[k]
	x, y := clothPlace(i)
	light := bareLamp(l.x, l.y, l.z, l.cd)
	return light(x, y) + g.bounced*light(x, -y)
}

// clothPlace is one of 9 × 5 on a cloth of 4.8 × 2.4 m.
func clothPlace(i int) (x, y float64) { return spatial.GridPosition(i%9, i/9, 9, 5, 4.8, 2.4, false) }

// row is a reading of a mix of light, which scatters.
func (g stage) row(lamp string, i int, lights ...colorimetry.Light) string {
	mix, err := colorimetry.Mix(lights...)
	must(err)
	s := stageScatter
	if g.r.Float64() < g.wild {
		s *= 4
	}
	v := g.gain * (mix.Level + g.ambient) * math.Exp(s*g.r.NormFloat64())
	if lamp != "" {
		v -= g.gain * g.ambient
	}
	if g.step > 0 {
		v = math.Exp2(g.step * math.Round(math.Log2(v)/g.step))
	}
	uv := mix.XY.UVPrime()
	return fmt.Sprintf("%s,%s,%.6f,%.7f,%.7f\n", lamp, spatial.GridLabel(i%9, i/9), v, uv.U+colorScatter*g.r.NormFloat64(), uv.V+colorScatter*g.r.NormFloat64())
}

const stageHead = "# width: 4.8\n# height: 2.4\n# meter: one\n# repeatability: 1.5 %\nlamp,label,E (lx),u',v'\n"

func (g stage) light(k, i int) colorimetry.Light {
	xy, err := g.lamps[k].light.XY()
	must(err)
	return colorimetry.Light{Level: g.level(k, i), XY: xy}
}

// day is a file of all lamps together.
func (g stage) day() string {
	var b strings.Builder
	b.WriteString(stageHead)
	for i := range 45 {
		var lights []colorimetry.Light
		for k := range g.lamps {
			lights = append(lights, g.light(k, i))
		}
		b.WriteString(g.row("", i, lights...))
	}
	return b.String()
}

// alone is a file with each lamp alone at places besides.
func (g stage) alone(day string, places []int) *survey.LampSet {
	var b strings.Builder
	b.WriteString(day)
	for k := range g.lamps {
		for _, i := range places {
			b.WriteString(g.row(lampName(k), i, g.light(k, i)))
		}
	}
	set, err := survey.ReadLampSet([]survey.LampInput{{Input: survey.Input{Name: "lamps.csv", Reader: strings.NewReader(b.String())}}}, survey.ReadOptions{})
	must(err)
	return set
}

func surveyed(file string) *survey.Survey {
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(file)}}, survey.ReadOptions{})
	must(err)
	return s
}

// everywhere is all places, twelve and eight are some: the edges, their middles and
// some within.
var (
	everywhere = func() (all []int) {
		for i := range 45 {
			all = append(all, i)
		}
		return all
	}()
	twelve = []int{0, 4, 8, 20, 24, 36, 40, 44, 11, 33, 29, 13}
	eight  = twelve[:8]
)

// matched is a match of a day with today's stage.
func (g stage) matched(places []int, today func(g *stage)) *match.Result {
	day := g.day()
	o := match.Options{Lamps: g.alone(day, places)}
	g.lamps = slices.Clone(g.lamps)
	today(&g)
	r, err := match.Compare(surveyed(day), surveyed(g.day()), o)
	must(err)
	return r
}

// claimed reports whether anything is said of some lamp.
func claimed(r *match.Result) bool {
	for _, l := range r.Lamps {
		if l.Changed || l.Moved != nil || l.Color != nil {
			return true
		}
	}
	return slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool {
		return f.Code == "color_lamp_unknown" || f.Code == "lamp_moved_unknown"
	})
}

// outside are ways in which today differs from the model of a match.
var outside = []func(g *stage){
	func(*stage) {}, func(g *stage) { g.gain = 1.01 }, func(g *stage) { g.step = 0.1 }, func(g *stage) { g.wild = 1.0 / 30 }, func(g *stage) { g.bounced = 0.02 },
}

// ofLamps are lamps between two days.
func ofLamps() []simulation {
	var out []simulation
	for _, x := range []struct {
		n           int
		where       string
		places      []int
		short, full int
	}{{2, "everywhere", everywhere, 12, 500}, {4, "everywhere", everywhere, 12, 500}, {8, "everywhere", everywhere, 10, 300}, {2, "at twelve places", twelve, 3, 200}, {3, "at twelve places", twelve, 3, 200}} {
		out = append(out, simulation{subject: "a lamp that changed", generator: fmt.Sprintf("%d lamps that did not, read alone %s; also another meter, a coarse display, wild readings, light from the floor", x.n, x.where), short: x.short, full: x.full, most: claims, draw: func(r *rand.Rand, c *counts) {
			g := drawStage(r, x.n)
			c.say("false claim", claimed(g.matched(x.places, outside[r.IntN(len(outside))])))
		}})
	}
	for _, x := range []struct {
		where  string
		places []int
	}{{"everywhere", everywhere}, {"at eight places", eight}} {
		out = append(out, simulation{subject: "a lamp that changed", generator: "2 to 4 lamps, one of another level and gel, read alone " + x.where, short: 15, full: 600, most: withRate(missing("its level", "its Duv", "its mired"), 0.05, "color of another lamp, falsely"), said: 0.5, draw: func(r *rand.Rand, c *counts) {
			g := drawStage(r, 2+r.IntN(3))
			k, factor, by, warmer := r.IntN(len(g.lamps)), 0.5+r.Float64(), 0.004+0.006*r.Float64(), 150*r.Float64()
			if r.IntN(5) == 0 {
				factor = 0 // it is off
			}
			was := g.lamps[k].light
			m := g.matched(x.places, func(g *stage) {
				g.lamps[k].cd *= math.Max(factor, 1e-9)
				g.lamps[k].light.Duv -= by
				g.lamps[k].light.Kelvin -= warmer
			})
			other := false
			for j := range g.lamps {
				l := m.Lamps[lampName(j)]
				if j != k {
					other = other || l.Color != nil
					continue
				}
				if l.Percent != nil {
					c.misses("its level", *l.Low, *l.High, 100*factor)
				}
				if factor > 0 && l.Color != nil && l.Color.DuvInterval != nil {
					c.misses("its Duv", l.Color.DuvInterval[0], l.Color.DuvInterval[1], -by)
					c.misses("its mired", l.Color.MiredInterval[0], l.Color.MiredInterval[1], colorimetry.Mired(was.Kelvin-warmer)-was.Mired())
				}
			}
			c.say("color of another lamp, falsely", other)
		}})
	}
	// A lamp that is off beside one other has no light of its own to hide how far shares run
	// otherwise between the places than the fit has them.
	out = append(out, simulation{subject: "a lamp that changed", generator: "2 lamps, one of them off, read alone at eight places", short: 20, full: 400, most: missing("its level"), said: 0.3, draw: func(r *rand.Rand, c *counts) {
		g := drawStage(r, 2)
		k := r.IntN(2)
		if l := g.matched(eight, func(g *stage) { g.lamps[k].cd *= 1e-9 }).Lamps[lampName(k)]; l.Percent != nil {
			c.misses("its level", *l.Low, *l.High, 0)
		}
	}})
	out = append(out, simulation{subject: "a lamp that changed", generator: "3 lamps that did not, one of 3200 K, read alone at eight places", short: 6, full: 300, most: map[string]float64{"a color, falsely": 0.05}, draw: func(r *rand.Rand, c *counts) {
		g := drawStage(r, 3)
		for k, kelvin := range []float64{5600, 5500, 3200} {
			g.lamps[k].light = colorimetry.CCT{Kelvin: kelvin, Duv: 0.002}
		}
		m := g.matched(eight, func(*stage) {})
		ofColor := func(f photometry.Finding) bool {
			return strings.HasPrefix(f.Code, "color_") || f.Code == match.StepGel
		}
		c.say("a color, falsely", slices.ContainsFunc(m.Warnings, ofColor) || slices.ContainsFunc(m.Steps, ofColor))
	}})
	return append(out, simulation{subject: "light that was added", generator: "2 to 4 lamps and even light besides, read alone everywhere", short: 20, full: 400, most: missing("its level"), said: 0.3, draw: func(r *rand.Rand, c *counts) {
		added := 100 + 300*r.Float64()
		g := drawStage(r, 2+r.IntN(3))
		if a := g.matched(everywhere, func(g *stage) { g.ambient = added }).LampFit.Ambient; a != nil {
			c.misses("its level", a.Low, a.High, added)
		}
	}})
}

// ofMatches are two days of a surface of 15 places: the change of its mean and of its
// pattern, against a tolerance of the true size.
func ofMatches() []simulation {
	day := func(r *rand.Rand, repeats int, truth []float64) *survey.Survey {
		s := surface{columns: 5, rows: 3, truth: truth}
		notes := ""
		if repeats == 0 {
			notes = repeatabilityNoted
		}
		file := s.read(notes, "lux", fine(r))
		for range repeats {
			file += fmt.Sprintf("B3,%.6f\n", truth[7]*normal(r))
		}
		return surveyed(file)
	}
	days := func(generator string, draw drawing, repeats int) simulation {
		return simulation{subject: "two days of a surface", generator: generator, short: 100, full: 4000, most: withRate(missing("the mean change"), 0.025, "pattern: wrong pass", "pattern: wrong fail"), draw: func(r *rand.Rand, c *counts) {
			before, change := drawSurface(r, 5, 3, 800).truth, draw(r, 5, 3, 1).truth
			after, stops := make([]float64, 15), make([]float64, 15)
			for i := range before {
				after[i], stops[i] = before[i]*change[i], math.Log2(change[i])
			}
			m, err := match.Compare(day(r, repeats, before), day(r, repeats, after), match.Options{})
			must(err)
			offset, pattern := stat.Mean(stops, nil), slices.Max(stops)-slices.Min(stops)
			c.misses("the mean change", m.OffsetInterval[0], m.OffsetInterval[1], offset)
			c.say("pattern: wrong pass", m.PatternInterval[1] < pattern)
			c.say("pattern: wrong fail", m.PatternInterval[0] > pattern)
		}}
	}
	drifting := func(generator string, light func(r *rand.Rand) func(t float64) float64) simulation {
		return simulation{subject: "two days of a surface", generator: generator, short: 40, full: 1000, most: missing("the mean change"), draw: func(r *rand.Rand, c *counts) {
			s, size := drawSurface(r, 9, 5, 800), 0.4*r.Float64()
			first, second := light(r), light(r)
			after := surface{s.columns, s.rows, slices.Clone(s.truth)}
			for i := range after.truth {
				after.truth[i] *= math.Exp2(size)
			}
			m, err := match.Compare(surveyed(s.walked(r, 5, first)), surveyed(after.walked(r, 5, second)), match.Options{})
			must(err)
			// How the light was left is what counts.
			c.misses("the mean change", m.OffsetInterval[0], m.OffsetInterval[1], size+second(1)-first(1))
		}}
	}
	return []simulation{drifting("45 places, both days in light that warms up", changingLight[2].draw), drifting("45 places, both days in light that steps by 0.2", changingLight[6].draw), days("15 places, 2 % noted", drawSurface, 0), days("15 places, one read nine times", drawSurface, 8),
		days("15 places, one up and one down, 2 % noted", apart, 0), days("15 places that all change alike, 2 % noted", even, 0)}
}
