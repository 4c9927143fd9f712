package calibration

import (
	"math"
	"math/rand/v2"

	"evenfall/falloff/screen"
	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// law is the light of a dimmer at a share of its dial, 1 at full.
type law func(share float64) float64

// scaled is a law from 0 at 0 to 1 at full.
func scaled(f law) law {
	return func(p float64) float64 { return (f(p) - f(0)) / (f(1) - f(0)) }
}

// settingOf is where on the dial row i of so many is read, in percent: 8 first, full last.
func settingOf(r *rand.Rand, i, rows int) float64 {
	if i == rows-1 {
		return 100
	}
	return math.Round(8 + 92*(float64(i)+0.4*r.Float64()*min(1, float64(i)))/float64(rows-1))
}

// ofDimmers are settings for a level and for a change, by four to seven settings of dimmers
// of several laws, each read once.
func ofDimmers() []simulation {
	var out []simulation
	for _, of := range []struct {
		name string
		law  func(r *rand.Rand) law
	}{
		{"a linear dial", func(*rand.Rand) law { return func(p float64) float64 { return p } }},
		{"a square law, or any power from 0.7 to 3", func(r *rand.Rand) law {
			power := 0.7 + 2.3*r.Float64()
			return func(p float64) float64 { return math.Pow(p, power) }
		}},
		{"an S, by the sine or the logistic curve", func(r *rand.Rand) law {
			if steep := 4 + 4*r.Float64(); r.IntN(2) == 0 {
				return scaled(func(p float64) float64 { return 1 / (1 + math.Exp(-steep*(p-0.5))) })
			}
			return func(p float64) float64 { return math.Pow(math.Sin(math.Pi/2*p), 2) }
		}},
		{"a logarithmic dial of 5 to 10 stops", func(r *rand.Rand) law {
			stops := 5 + 5*r.Float64()
			return func(p float64) float64 { return math.Exp2(stops * (p - 1)) }
		}},
		{"a linear dial with a threshold of up to 5 %", func(r *rand.Rand) law {
			from := 0.05 * r.Float64()
			return func(p float64) float64 { return (p - from) / (1 - from) }
		}},
		{"any of these", nil},
	} {
		all := out
		out = append(out, simulation{subject: "a dimmer's setting", generator: of.name, short: 100, full: 6000, most: missing("the setting"), said: 0.8, draw: func(r *rand.Rand, c *counts) {
			if of.law == nil {
				all[r.IntN(len(all))].draw(r, c)
				return
			}
			f := of.law(r)
			in := dimmer.Input{}
			if stated := scatter; r.IntN(2) == 0 {
				in.Repeatability = &stated
			}
			rows := 4 + r.IntN(4)
			for i := range rows {
				percent := settingOf(r, i, rows)
				in.Readings = append(in.Readings, dimmer.Reading{Lamp: "lamp", Percent: percent, Level: photometry.Level{Value: 1000 * f(percent/100) * normal(r)}})
			}
			truth := in.Readings[0].Percent + (100-in.Readings[0].Percent)*r.Float64()
			want := dimmer.Wanted{Level: &photometry.Level{Value: 1000 * f(truth/100)}}
			result, err := dimmer.Analyze(in, want)
			must(err)
			if s := result.Lamps[0].Setting; s != nil {
				c.misses("the setting", s.Interval[0], s.Interval[1], truth)
			}
		}})
	}
	return out
}

// ofDimmedColors are the color at a setting, of lamps each setting of which was read once.
func ofDimmedColors() []simulation {
	var out []simulation
	for _, of := range []struct {
		name string
		// color is mired and Duv at a share of the dial.
		color func(r *rand.Rand) (mired, duv law)
	}{
		{"a filament, its temperature by a power of its light", func(r *rand.Rand) (law, law) {
			full, power, dial := 290+60*r.Float64(), 0.1+0.04*r.Float64(), 0.7+2.3*r.Float64()
			return func(p float64) float64 { return full * math.Pow(p, -power*dial) }, func(float64) float64 { return 0 }
		}},
		{"LEDs that hold their color", func(r *rand.Rand) (law, law) {
			mired, duv := 180+150*r.Float64(), 0.006*(2*r.Float64()-1)
			return func(float64) float64 { return mired }, func(float64) float64 { return duv }
		}},
		{"LEDs that turn warm, with a step of an S", func(r *rand.Rand) (law, law) {
			mired, warm, middle, steep := 250+80*r.Float64(), 150*r.Float64(), 0.2+0.5*r.Float64(), 4+4*r.Float64()
			turn := func(p float64) float64 { return 1 / (1 + math.Exp(steep*(p-middle))) }
			green := 0.006 * (2*r.Float64() - 1)
			return func(p float64) float64 { return mired + warm*turn(p) }, func(p float64) float64 { return green * turn(p) }
		}},
		{"LEDs whose color rises and falls", func(r *rand.Rand) (law, law) {
			mired, by, duv := 180+150*r.Float64(), 20*r.Float64(), 0.003*r.Float64()
			return func(p float64) float64 { return mired + by*math.Sin(math.Pi*p) }, func(p float64) float64 { return duv * math.Sin(math.Pi*p) }
		}},
	} {
		out = append(out, simulation{subject: "a color over a dimmer", generator: of.name, short: 100, full: 6000, most: missing("mired", "Duv"), said: 0.8, draw: func(r *rand.Rand, c *counts) {
			mired, duv := of.color(r)
			in := dimmer.Input{}
			rows := 4 + r.IntN(4)
			for i := range rows {
				percent := settingOf(r, i, rows)
				kelvin, d := 1e6/(mired(percent/100)+uncertainty.AssumedMired*r.NormFloat64()), duv(percent/100)+uncertainty.AssumedDuv*r.NormFloat64()
				in.Readings = append(in.Readings, dimmer.Reading{Lamp: "lamp", Percent: percent, Level: photometry.Level{Value: 10 * percent * normal(r)}, Kelvin: &kelvin, Duv: &d})
			}
			first := in.Readings[0].Percent
			result, err := dimmer.Analyze(in, dimmer.Wanted{Level: &photometry.Level{Value: 10 * (first + (100-first)*r.Float64())}})
			must(err)
			if s := result.Lamps[0].Setting; s != nil {
				c.misses("mired", 1e6/s.KelvinInterval[1], 1e6/s.KelvinInterval[0], mired(s.Percent/100))
				c.misses("Duv", s.DuvInterval[0], s.DuvInterval[1], duv(s.Percent/100))
			}
		}})
	}
	return out
}

// ofScreens are reflectances of a cloth, each place read once with two meters that agree,
// or that do not and a card is read.
func ofScreens() []simulation {
	var out []simulation
	for _, of := range []struct {
		name   string
		places int
		card   bool
	}{{"nine places, meters that agree", 9, false}, {"nine places, a luminance meter up to 10 % off and a card", 9, true}, {"two places and a card", 2, true}} {
		out = append(out, simulation{subject: "a screen's reflectance", generator: of.name, short: 300, full: 6000, most: missing("the whole", "one place"), draw: func(r *rand.Rand, c *counts) {
			stated, off, reflectance := scatter, 1.0, 0.08+0.5*r.Float64()
			in := screen.Input{Repeatability: &stated}
			if of.card {
				off = 0.9 + 0.2*r.Float64()
			}
			read := func(reflectance, card float64) {
				lx := 300 + 900*r.Float64()
				in.Places = append(in.Places, screen.Place{X: math.NaN(), Light: lx * normal(r), Luminance: off * lx * reflectance / math.Pi * normal(r), Card: card})
			}
			for range of.places {
				read(reflectance, 0)
			}
			if of.card {
				read(0.18, 0.18)
			}
			result := screen.Analyze(in)
			c.misses("the whole", result.Interval[0], result.Interval[1], reflectance)
			c.misses("one place", result.Places[0].Interval[0], result.Places[0].Interval[1], reflectance)
		}})
	}
	return out
}

// ofSpill is what a lit screen throws on a subject: the light of beams, a slope and a
// seam on it, read at the middles of cells and at the corners or edges, against the sum
// of L·z²/d⁴ over 20,000 small parts, as a Lambertian surface is by definition. The tape
// is off by 1 cm, one standard deviation.
func ofSpill() []simulation {
	var out []simulation
	for _, of := range []struct {
		name          string
		columns, rows int
		card          bool
		seam          float64 // stops that a part of the cloth is off
	}{{"3 × 3 places", 3, 3, false, 0}, {"5 × 3 places, a card", 5, 3, true, 0}, {"9 × 5 places, a part of other cloth", 9, 5, false, 0.3}} {
		out = append(out, simulation{subject: "a screen's spill", generator: of.name, short: 60, full: 3000, most: missing("spill at a mark"), draw: func(r *rand.Rand, c *counts) {
			const width, height = 4.8, 2.4
			stated, off := scatter, 1.0
			if of.card {
				off = 0.9 + 0.2*r.Float64()
			}
			beamX, beamY, beam, slope := width*r.Float64(), height*r.Float64(), 0.8*r.Float64(), 0.4*r.Float64()-0.2
			seamX, turn := width*r.Float64(), math.Exp2(of.seam)
			luminance := func(x, y float64) float64 {
				l := 60 * math.Exp2(slope*(x-width/2)) * (1 + beam*math.Exp(-(math.Pow(x-beamX, 2)+math.Pow(y-beamY, 2))/2))
				if math.Abs(x-seamX) < 0.4 {
					l *= turn
				}
				return l
			}
			in := screen.Input{Repeatability: &stated, Lit: &spatial.Box{X1: width, Y1: height}}
			read := func(x, y, l, card float64) {
				lx := 900.0
				if card > 0 {
					l = lx * card / math.Pi
				}
				in.Places = append(in.Places, screen.Place{X: x, Y: y, Light: lx * normal(r), Luminance: off * l * normal(r), Card: card})
			}
			for i := range of.columns {
				for j := range of.rows {
					x, y := (float64(i)+0.5)*width/float64(of.columns), (float64(j)+0.5)*height/float64(of.rows)
					read(x, y, luminance(x, y), 0)
				}
			}
			if of.card {
				read(math.NaN(), math.NaN(), 0, 0.18)
			}
			x, y, z := width*r.Float64(), height*(0.3+0.5*r.Float64()), 0.8+3*r.Float64()
			in.Marks = []screen.Mark{{Label: "m", Key: 800, ToScreenM: z + 0.01*r.NormFloat64(), X: &x, Y: &y}}
			truth := 0.0
			const across, up = 200, 100
			for i := range across {
				for j := range up {
					px, py := (float64(i)+0.5)*width/across, (float64(j)+0.5)*height/up
					d2 := (px-x)*(px-x) + (py-y)*(py-y) + z*z
					truth += luminance(px, py) * z * z / (d2 * d2) * (width / across) * (height / up)
				}
			}
			spill := screen.Analyze(in).Marks[0].SpillInterval
			c.misses("spill at a mark", spill[0], spill[1], truth)
		}})
	}
	return out
}
