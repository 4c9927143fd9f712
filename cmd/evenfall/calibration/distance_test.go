package calibration

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
)

// trueLight is a light of 1000 cd as it is: what it gives at a distance from its own
// center, where the tape's zero is, and what other light there is.
type trueLight struct {
	direct           func(m float64) float64
	fromM            float64 // the inverse square holds to 1 %
	offsetM, ambient float64
}

func (l trueLight) level(tapeM float64) float64 { return l.direct(tapeM+l.offsetM) + l.ambient }

// bisected is where a condition that holds at low ends, at most high.
func bisected(low, high float64, holds func(float64) bool) float64 {
	for range 60 {
		if middle := (low + high) / 2; holds(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// trueLights are a point, a disc 1 m across, a rectangle and a strip of 8 to 1, in
// closed form.
var trueLights = sync.OnceValue(func() map[string]trueLight {
	lights := map[string]trueLight{
		"point": {direct: func(m float64) float64 { return 1000 / (m * m) }},
		"disc":  {direct: func(m float64) float64 { return 1000 / (m*m + 0.25) }},
	}
	for name, height := range map[string]float64{"rectangle": 0.8, "strip": 0.15} {
		source, err := falloff.Rectangle(r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1.2, height, 1000/(1.2*height))
		must(err)
		lights[name] = trueLight{direct: func(m float64) float64 { return source.Illuminance(r3.Vec{Z: m}, r3.Vec{Z: -1}) }}
	}
	for name, l := range lights {
		if name != "point" {
			l.fromM = bisected(0.01, 100, func(m float64) bool { return 1000/(m*m)/l.direct(m) > 1.01 })
		}
		lights[name] = l
	}
	return lights
})

// read is a series of n distances from 0.6 to 7.2 m.
func (l trueLight) read(r *rand.Rand, n int, o falloff.Options) *falloff.Distance {
	readings := make([]falloff.Reading, n)
	for i := range readings {
		m := 0.6 * math.Pow(12, float64(i)/float64(n-1))
		readings[i] = falloff.Reading{DistanceM: m, Level: l.level(m) * normal(r)}
	}
	d, err := falloff.FitDistance(readings, o)
	must(err)
	return d
}

const (
	mark      = 2.0
	zoneStops = 1.0 / 3
)

// zone is that about the mark.
func (l trueLight) zone() (near, far float64) {
	near = bisected(mark, 0.05, func(m float64) bool { return l.level(m) < l.level(mark)*math.Exp2(zoneStops) })
	return near, bisected(mark, 1000, func(m float64) bool { return l.level(m) > l.level(mark)*math.Exp2(-zoneStops) })
}

// settled counts the settled answers of a series, by conclusion or all the same.
func (l trueLight) settled(d *falloff.Distance, c *counts, name func(conclusion string) string) {
	near, far := l.zone()
	iv := d.Intervals
	depth := d.Depth != nil && d.Depth.NearIntervalM.Contains(near) && d.Depth.FarIntervalM != nil && d.Depth.FarIntervalM.Contains(far)
	for _, x := range []struct {
		conclusion     string
		settled, right bool
	}{{"candelas", d.Settles.Intensity, iv.Intensity().Contains(1000)}, {"start of the inverse square", d.Settles.InverseSquare, iv.InverseSquareFromM.Contains(l.fromM)},
		{"even zone", d.Settles.Depth, depth}, {"ambient light", d.Settles.Ambient, iv.Ambient.Contains(l.ambient)}} {
		if x.settled {
			c.say(name(x.conclusion), !x.right)
		}
	}
}

const settledWrong = "a settled answer is wrong"

func ofDistance() []simulation {
	options := falloff.Options{MarkM: mark, Repeatability: scatter}
	checked := options
	checked.TapeChecked = true
	each := func(string) string { return settledWrong }
	// kind is a light with ambient light or not, with tapes that start anywhere of these.
	kind := func(generator string, sources []string, ambients []float64, o falloff.Options, offsets ...float64) simulation {
		return simulation{subject: "distance, any one kind", generator: generator, short: 4, full: 200, most: map[string]float64{settledWrong: 0.1}, said: 0.3, draw: func(r *rand.Rand, c *counts) {
			l := trueLights()[sources[r.IntN(len(sources))]]
			l.ambient, l.offsetM = ambients[r.IntN(len(ambients))], offsets[r.IntN(len(offsets))]
			l.settled(l.read(r, []int{6, 8}[r.IntN(2)], o), c, each)
		}}
	}
	var out []simulation
	none, light, round := []float64{0}, []float64{5}, []string{"point", "disc", "rectangle"}
	for _, source := range round {
		of := []string{source}
		out = append(out,
			kind("a "+source, of, none, options, 0),
			kind("a "+source+", with ambient light", of, light, options, 0),
			kind("a "+source+", the tape 10 cm off", of, none, options, -0.1, 0.1),
			kind("a "+source+", with ambient light, the tape 10 cm off", of, light, options, -0.1, 0.1))
	}
	out = append(out, kind("a strip of 8 to 1, with any of these", []string{"strip"}, []float64{0, 5}, options, -0.1, 0, 0.1),
		kind("any of these, the tape checked to 1 cm, ambient light of up to 60 lx", []string{"point", "disc", "rectangle", "strip"}, []float64{0, 5, 20, 60}, checked, -0.01, 0, 0.01),
		kind("any of these 60 cm behind a lens", round, none, options, 0.6))
	return append(out, simulation{subject: "distance", generator: "point, disc, rectangle, each plain, with ambient light, the tape 10 cm off, or both", short: 30, full: 1500, said: 0.05, most: withRate(
		missing("candelas", "the tape's offset", "ambient light", "the start of the inverse square", "the zone's near end", "the zone's far end", "the curve"), 0.05,
		"settled candelas wrong", "settled start of the inverse square wrong", "settled even zone wrong", "settled ambient light wrong"), draw: func(r *rand.Rand, c *counts) {
		l := trueLights()[round[r.IntN(3)]]
		l.ambient, l.offsetM = 5*float64(r.IntN(2)), []float64{0, 0, -0.1, 0.1}[r.IntN(4)]
		d := l.read(r, []int{6, 8}[r.IntN(2)], options)
		l.settled(d, c, func(conclusion string) string { return "settled " + conclusion + " wrong" })
		near, far := l.zone()
		iv := d.Intervals
		for figure, x := range map[string]struct {
			in    *falloff.Interval
			truth float64
		}{
			"candelas": {ptr(iv.Intensity()), 1000}, "the tape's offset": {&iv.OffsetM, l.offsetM}, "ambient light": {&iv.Ambient, l.ambient},
			"the start of the inverse square": {&iv.InverseSquareFromM, l.fromM}, "the zone's near end": {d.Depth.NearIntervalM, near}, "the zone's far end": {d.Depth.FarIntervalM, far},
		} {
			if x.in != nil {
				c.misses(figure, x.in.Lo, x.in.Hi, x.truth)
			}
		}
		p := d.Curve(0.6, 7.2, 3)[1]
		c.misses("the curve", p.Band.Lo, p.Band.Hi, l.level(p.DistanceM))
	}})
}

func withRate(most map[string]float64, share float64, claims ...string) map[string]float64 {
	for _, c := range claims {
		most[c] = share
	}
	return most
}

func ptr[T any](v T) *T { return &v }

// ofMeters are a meter's own checks: turned in steps of 10, 20 or 30 degrees, repeated,
// at a ladder of distances.
func ofMeters() []simulation {
	responses := map[string]func(e float64) float64{
		"the cosine":             math.Cos,
		"the cosine to the 1.1":  func(e float64) float64 { return math.Pow(math.Cos(e), 1.1) },
		"a cosine that drops":    func(e float64) float64 { return math.Cos(e) * (1 - 0.1*math.Pow(math.Sin(e), 6)) },
		"a cosine with a ripple": func(e float64) float64 { return math.Cos(e) * (1 + 0.02*math.Pow(math.Sin(2*e), 2)) },
	}
	known := map[string]func(r *rand.Rand, in *falloff.MeterReadings, o *falloff.Options){
		"scatter noted": func(_ *rand.Rand, _ *falloff.MeterReadings, o *falloff.Options) { o.Repeatability = 0.01 },
		"scatter from six repeats": func(r *rand.Rand, in *falloff.MeterReadings, _ *falloff.Options) {
			group := make([]float64, 6)
			for i := range group {
				group[i] = 1000 * (1 + 0.01*r.NormFloat64())
			}
			in.Repeats = [][]float64{group}
		},
		"scatter assumed": func(*rand.Rand, *falloff.MeterReadings, *falloff.Options) {},
	}
	turned := func(r *rand.Rand, response, how string) (*falloff.Meter, float64) {
		tilt, step := 4*r.Float64()-2, []float64{10, 20, 30}[r.IntN(3)]
		var in falloff.MeterReadings
		for a := -60.0; a <= 60; a += step {
			in.Angles = append(in.Angles, falloff.AngleReading{AngleDeg: a, Level: 1000 * responses[response]((a-tilt)*math.Pi/180) * (1 + 0.01*r.NormFloat64())})
		}
		var o falloff.Options
		known[how](r, &in, &o)
		m, err := falloff.CheckMeter(in, o)
		must(err)
		return m, tilt
	}
	held := withRate(missing("the tilt"), 0.05, "f2, more than at most")
	holds := func(c *counts, m *falloff.Meter, tilt float64, response string) {
		c.misses("the tilt", m.TiltIntervalDeg.Lo, m.TiltIntervalDeg.Hi, tilt)
		if most := m.F2AtMostPercent; most != nil {
			truth := falloff.F2(func(deg float64) float64 { return responses[response](deg * math.Pi / 180) }, *m.F2ToDeg)
			c.say("f2, more than at most", 100*truth > *most)
		}
	}
	var out []simulation
	for _, how := range []string{"scatter noted", "scatter from six repeats", "scatter assumed"} {
		out = append(out, simulation{subject: "meter that is turned", generator: "the cosine, " + how, short: 200, full: 6000, most: withRate(maps.Clone(held), 0.05, "directional error, falsely"), draw: func(r *rand.Rand, c *counts) {
			m, tilt := turned(r, "the cosine", how)
			holds(c, m, tilt, "the cosine")
			c.say("directional error, falsely", found(m.Causes, "directional"))
		}})
		for _, response := range []string{"the cosine to the 1.1", "a cosine that drops", "a cosine with a ripple"} {
			out = append(out, simulation{subject: "meter that is turned", generator: response + ", " + how, short: 100, full: 4000, said: 0.03, most: held, draw: func(r *rand.Rand, c *counts) {
				m, tilt := turned(r, response, how)
				holds(c, m, tilt, response)
			}})
		}
	}
	return append(out,
		simulation{subject: "meter", generator: "five repeats of one light", short: 300, full: 6000, most: missing("the repeatability"), draw: func(r *rand.Rand, c *counts) {
			group := make([]float64, 5)
			for i := range group {
				group[i] = 1000 * normal(r)
			}
			m, err := falloff.CheckMeter(falloff.MeterReadings{Repeats: [][]float64{group}}, falloff.Options{})
			must(err)
			if in := m.RepeatabilityIntervalPercent; in != nil {
				c.misses("the repeatability", in.Lo, in.Hi, 100*scatter)
			}
		}},
		simulation{subject: "meter", generator: "seven distances, a meter that is linear", short: 60, full: 1500, most: map[string]float64{"not linear, falsely": 0.05}, draw: func(r *rand.Rand, c *counts) {
			var in falloff.MeterReadings
			for i := range 7 {
				m := 0.5 * math.Pow(8, float64(i)/6)
				in.Ladder = append(in.Ladder, falloff.Reading{DistanceM: m, Level: 1000 / (m * m) * normal(r)})
			}
			m, err := falloff.CheckMeter(in, falloff.Options{})
			must(err)
			c.say("not linear, falsely", found(m.Causes, "not_linear") || m.Ladder != nil)
		}})
}

func found(findings []falloff.Finding, code string) bool {
	return slices.ContainsFunc(findings, func(f falloff.Finding) bool { return f.Code == code })
}
