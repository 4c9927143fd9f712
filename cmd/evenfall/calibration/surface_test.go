package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// scatter is that of one reading, as a share.
const scatter = 0.02

// normal is a reading's own error as a factor.
func normal(r *rand.Rand) float64 { return math.Exp(scatter * r.NormFloat64()) }

// surface is a surface that is read: its truth by place, in lx, row by row from the top.
type surface struct {
	columns, rows int
	truth         []float64
}

// place is where a reading is taken, on 4 × 2 m.
func (s surface) place(i int) (x, y float64) {
	return spatial.GridPosition(i%s.columns, i/s.columns, s.columns, s.rows, 4, 2, false)
}

// spread is that of the places, in stops.
func (s surface) spread() float64 { return math.Log2(slices.Max(s.truth) / slices.Min(s.truth)) }

// drawSurface is a slope, a bow, a hot spot, a dark corner or two lamps at the sides, of
// a spread from nearly none to most of a stop about so many lx.
func drawSurface(r *rand.Rand, columns, rows int, lx float64) surface {
	a, b := r.NormFloat64(), r.NormFloat64()
	x0, y0 := 2*r.Float64()-1, 2*r.Float64()-1
	spot := func(size float64) func(x, y float64) float64 {
		return func(x, y float64) float64 { return size * math.Exp(-((x-x0)*(x-x0)+(y-y0)*(y-y0))/0.3) }
	}
	shape := []func(x, y float64) float64{
		func(x, y float64) float64 { return a*x + b*y },
		func(x, y float64) float64 { return -a*a*x*x - b*b*y*y },
		spot(1), spot(-1),
		func(x, y float64) float64 {
			return math.Log2(math.Pow((x-1.5)*(x-1.5)+y*y+1, -1.5) + math.Pow((x+1.5)*(x+1.5)+y*y+1, -1.5))
		},
	}[r.IntN(5)]
	s := surface{columns: columns, rows: rows}
	for i := range columns * rows {
		x, y := s.place(i)
		s.truth = append(s.truth, math.Exp2(shape(x/2-1, y-1)))
	}
	scale, level := (0.05+0.75*r.Float64())/s.spread(), lx*math.Exp2(r.Float64()-0.5)
	for i, v := range s.truth {
		s.truth[i] = level * math.Pow(v, scale)
	}
	return s
}

// lines is a file of a survey: notes and rows. Its tolerance is the true spread.
func (s surface) lines(notes, header string, rows ...string) string {
	return fmt.Sprintf("# width: 4\n# height: 2\n# tolerance: %.12f stop\n%s%s\n%s\n", s.spread(), notes, header, strings.Join(rows, "\n"))
}

// read is a file of one reading a place.
func (s surface) read(notes, unit string, show func(i int, lx float64) string) string {
	var rows []string
	for i, v := range s.truth {
		rows = append(rows, spatial.GridLabel(i%s.columns, i/s.columns)+","+show(i, v))
	}
	return s.lines(notes, "label,"+unit, rows...)
}

func judged(file string) *evenness.Result {
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(file)}}, survey.ReadOptions{})
	must(err)
	r, err := evenness.Judge(s)
	must(err)
	return r
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// verdict counts the verdict on evenness of a file whose tolerance is its true spread,
// which makes either error likeliest: with a hair less a pass would be wrong, with a hair
// more a fail.
func (c counts) verdict(file string) *evenness.Result {
	r := judged(file)
	c.say("wrong pass", r.Verdict.Evenness == uncertainty.Pass)
	c.say("wrong fail", r.Verdict.Evenness == uncertainty.Fail)
	return r
}

const evennessVerdict = "verdict on evenness"

// even is a surface all of whose spread as read is the meter's.
func even(_ *rand.Rand, columns, rows int, lx float64) surface {
	s := surface{columns, rows, slices.Repeat([]float64{lx}, columns*rows)}
	s.truth[0] *= 1.0001
	return s
}

// apart is an even surface with one bright and one dark place.
func apart(r *rand.Rand, columns, rows int, lx float64) surface {
	s, order, by := even(r, columns, rows, lx), r.Perm(columns*rows), 1.08+0.12*r.Float64()
	s.truth[order[0]] *= by
	s.truth[order[1]] /= by
	return s
}

// lone is an even surface with one bright place.
func lone(r *rand.Rand, columns, rows int, lx float64) surface {
	s := even(r, columns, rows, lx)
	s.truth[r.IntN(columns*rows)] *= 1.08 + 0.12*r.Float64()
	return s
}

// fine shows a level with more digits than any meter, so that no step is found.
func fine(r *rand.Rand) func(int, float64) string {
	return func(_ int, lx float64) string { return fmt.Sprintf("%.6f", lx*normal(r)) }
}

const repeatabilityNoted = "# repeatability: 2 %\n"

type drawing func(r *rand.Rand, columns, rows int, lx float64) surface

// onSurfaces are surfaces of a grid read by a meter.
func onSurfaces(subject, generator string, short, full int, draw drawing, columns, rows int, lx float64, file func(r *rand.Rand, s surface) string) simulation {
	return simulation{subject: subject, generator: generator, short: short, full: full, most: verdicts, draw: func(r *rand.Rand, c *counts) {
		c.verdict(file(r, draw(r, columns, rows, lx)))
	}}
}

// ofSurfaces are surfaces by how well the meter is known.
func ofSurfaces() []simulation {
	plain := func(generator string, short, full int, draw drawing, columns, rows int, file func(r *rand.Rand, s surface) string) simulation {
		return onSurfaces(evennessVerdict, generator, short, full, draw, columns, rows, 800, file)
	}
	noted := func(r *rand.Rand, s surface) string { return s.read(repeatabilityNoted, "lux", fine(r)) }
	unknown := func(r *rand.Rand, s surface) string { return s.read("", "lux", fine(r)) }
	twice := func(r *rand.Rand, s surface) string {
		return unknown(r, s) + strings.Join(strings.Split(unknown(r, s), "\n")[4:], "\n")
	}
	nineTimes := func(r *rand.Rand, s surface) string {
		file := unknown(r, s)
		for range 8 {
			file += fmt.Sprintf("B3,%.6f\n", s.truth[s.columns+2]*normal(r))
		}
		return file
	}
	sharp := func(name string, file func(r *rand.Rand, s surface) string) []simulation {
		// A pass of the one or a fail of the other would take more than scatter.
		flat, pair := plain("45 places, even, "+name, 100, 3000, even, 9, 5, file), plain("45 places, one bright and one dark, "+name, 100, 3000, apart, 9, 5, file)
		flat.most, pair.most = map[string]float64{"wrong fail": 0.025}, map[string]float64{"wrong pass": 0.025}
		return []simulation{flat, pair}
	}
	return slices.Concat([]simulation{
		plain("9 places, 2 % noted", 100, 4000, drawSurface, 3, 3, noted),
		plain("45 places, 2 % noted", 60, 4000, drawSurface, 9, 5, noted),
		plain("200 places, 2 % noted", 20, 1500, drawSurface, 20, 10, noted),
	}, sharp("2 % noted", noted), sharp("nothing noted", unknown), sharp("each read twice", twice), sharp("one read nine times", nineTimes), []simulation{
		plain("45 places, one bright and one dark, a meter with errors of Student's t (4)", 100, 3000, apart, 9, 5, func(r *rand.Rand, s surface) string {
			return s.read(repeatabilityNoted, "lux", func(_ int, lx float64) string {
				chi := 0.0
				for range 4 {
					v := r.NormFloat64()
					chi += v * v
				}
				// Of variance 2, which is made 1.
				return fmt.Sprintf("%.6f", lx*math.Exp(scatter*r.NormFloat64()/math.Sqrt(chi/4)/math.Sqrt2))
			})
		}),
	}, fromReference("", 60, drawSurface, "wrong fail", "wrong pass"), fromReference("even, ", 100, even, "wrong fail"), fromReference("one bright, ", 100, lone, "wrong pass"))
}

// fromReference are verdicts on a tolerance to each side of a reference.
func fromReference(kind string, short int, draw drawing, claims ...string) []simulation {
	s := onSurfaces("verdict on ± from a reference", "45 places, "+kind+"the reference read four times", short, 3000, draw, 9, 5, 800, func(r *rand.Rand, s surface) string { return s.plusMinus(r) })
	s.most = withRate(map[string]float64{}, 0.025, claims...)
	return []simulation{s}
}

// ofDisplays are surfaces of nine places read on displays of coarse steps, whose
// readings alone say so.
func ofDisplays() []simulation {
	shown := func(generator string, lx float64, unit string, show func(lx float64) string) simulation {
		return onSurfaces(evennessVerdict+", coarse display", "9 places, "+generator, 80, 3000, func(r *rand.Rand, columns, rows int, lx float64) surface {
			return []drawing{drawSurface, apart, even}[r.IntN(3)](r, columns, rows, lx*math.Exp2(r.Float64()))
		}, 3, 3, lx, func(r *rand.Rand, s surface) string {
			return s.read("", unit, func(_ int, lx float64) string { return show(lx * normal(r)) })
		})
	}
	ev := func(perStop float64, decimals int) func(float64) string {
		return func(lx float64) string {
			return fmt.Sprintf("%.*f", decimals, math.Round(math.Log2(lx/2.5)*perStop)/perStop)
		}
	}
	return []simulation{
		shown("EV in thirds", 800, "EV", ev(3, 9)),
		shown("EV in thirds, written 8.3 and 8.7", 800, "EV", ev(3, 1)),
		shown("EV in tenths", 800, "EV", ev(10, 1)),
		shown("whole lx near 6 lx", 6, "lux", func(lx float64) string { return fmt.Sprintf("%.0f", lx) }),
		shown("tenths of fc near 2 fc", 2/(0.3048*0.3048), "fc", func(lx float64) string { return fmt.Sprintf("%.1f", lx*0.3048*0.3048) }),
		shown("flash in tenths of a stop", 400, "f", func(lx float64) string {
			// H = 2.5·N² lx·s at ISO 100 (C = 250).
			tenths := math.Round(10 * math.Log2(lx/2.5))
			whole := math.Floor(tenths / 10)
			return fmt.Sprintf("%.6g %.0f/10", math.Exp2(whole/2), tenths-10*whole)
		}),
		shown("three digits", 800, "lux", func(lx float64) string { return fmt.Sprintf("%.3g", lx) }),
	}
}

// uniform is a deviate of standard deviation 1.
func uniform(r *rand.Rand) float64 { return math.Sqrt(3) * (2*r.Float64() - 1) }

// marked are surfaces of which a part of the readings is in doubt, by errors of 5 %, and
// some at both ends are out of range.
func marked(generator string, doubt float64, deviate func(*rand.Rand) float64, out []string) simulation {
	return onSurfaces(evennessVerdict+", out of range or in doubt", generator, 40, 3000, func(r *rand.Rand, columns, rows int, lx float64) surface {
		return []drawing{drawSurface, apart}[r.IntN(2)](r, columns, rows, lx)
	}, 4, 3, 800, func(r *rand.Rand, s surface) string {
		read, doubted := make([]float64, len(s.truth)), make([]bool, len(s.truth))
		for i, lx := range s.truth {
			if doubted[i] = r.Float64() < doubt; doubted[i] {
				read[i] = lx * math.Exp(0.05*deviate(r))
			} else {
				read[i] = lx * normal(r)
			}
		}
		sorted := slices.Sorted(slices.Values(read))
		least, most := sorted[r.IntN(3)], sorted[len(sorted)-1-r.IntN(3)]
		mark := func(format string, limit float64) string {
			if strings.Contains(format, "%") {
				return fmt.Sprintf(format, limit)
			}
			return format
		}
		return s.read("", "lux", func(i int, _ float64) string {
			text := fmt.Sprintf("%.6f", read[i])
			switch {
			case out != nil && read[i] > most:
				return mark(out[1], most)
			case out != nil && read[i] < least:
				return mark(out[0], least)
			case doubted[i]:
				return []string{"~" + text, text + "?"}[r.IntN(2)]
			}
			return text
		})
	})
}

// ofIncomplete are surfaces with readings over range, in doubt, or not taken.
func ofIncomplete() []simulation {
	return []simulation{
		marked("12 places, one in five in doubt", 0.2, (*rand.Rand).NormFloat64, nil),
		marked("12 places, one in five in doubt, their errors uniform", 0.2, uniform, nil),
		marked("12 places, some over and under range", 0, nil, []string{"<%.6f", ">%.6f"}),
		marked("12 places, some over and under range, no limit written", 0, nil, []string{"Lo", "OL"}),
		marked("12 places, one in five in doubt, some over and under range", 0.2, (*rand.Rand).NormFloat64, []string{"<%.6f", ">%.6f"}),
		marked("12 places, one in three in doubt, their errors uniform, some over and under range, no limit written", 0.3, uniform, []string{"Lo", "OL"}),
		{subject: evennessVerdict + ", partly read", generator: "25 of 45 planned places, a dark spot anywhere", short: 100, full: 2000, draw: partly, most: map[string]float64{"wrong pass": 0, "wrong fail": 0.025}},
		{subject: "spread to the edge", generator: "smooth surfaces of 6 × 3 places", short: 60, full: 1500, draw: toEdge, most: missing("the spread"), said: 0.25},
	}
}

// plusMinus is a file with a tolerance about a reference that is read four times: the
// truth's largest deviation from it.
func (s surface) plusMinus(r *rand.Rand) string {
	at := r.IntN(len(s.truth))
	label, largest := spatial.GridLabel(at%s.columns, at/s.columns), 0.0
	for _, v := range s.truth {
		largest = max(largest, math.Abs(math.Log2(v/s.truth[at])))
	}
	file := s.read(fmt.Sprintf("%s# reference: %s\n", repeatabilityNoted, label), "lux", fine(r))
	for range 3 {
		file += fmt.Sprintf("%s,%.6f\n", label, s.truth[at]*normal(r))
	}
	return strings.Replace(file, fmt.Sprintf("tolerance: %.12f", s.spread()), fmt.Sprintf("tolerance: ±%.12f", largest), 1)
}

// partly reads 25 of 45 places, in any order, of a surface with a dark spot.
func partly(r *rand.Rand, c *counts) {
	s := surface{columns: 9, rows: 5}
	x0, y0, tilt := 4*r.Float64(), 2*r.Float64(), 0.6*r.Float64()-0.3
	for i := range 45 {
		x, y := s.place(i)
		s.truth = append(s.truth, 800*math.Exp2(tilt*(x-2)/2-0.5*math.Exp(-((x-x0)*(x-x0)+(y-y0)*(y-y0))/0.2)))
	}
	read := map[int]bool{}
	for _, i := range r.Perm(45)[:25] {
		read[i] = true
	}
	c.verdict(s.read(repeatabilityNoted, "lux", func(i int, lx float64) string {
		if !read[i] {
			return ""
		}
		return fmt.Sprintf("%.6f", lx*normal(r))
	}))
}

// toEdge is a smooth surface whose spread up to its edge is told from places within.
func toEdge(r *rand.Rand, c *counts) {
	a, b, q, p := 0.4*r.NormFloat64(), 0.4*r.NormFloat64(), 0.4*r.NormFloat64(), 0.3*r.NormFloat64()
	x0, y0, hot := 4*r.Float64(), 2*r.Float64(), 0.3*r.NormFloat64()
	level := func(x, y float64) float64 {
		u, v := x/2-1, y-1
		return 800 * math.Exp2(a*u+b*v-math.Abs(q)*u*u-math.Abs(p)*v*v+hot*math.Exp(-((x-x0)*(x-x0)+(y-y0)*(y-y0))/2))
	}
	whole, s := surface{}, surface{columns: 6, rows: 3}
	for i := range 41 * 21 {
		whole.truth = append(whole.truth, level(float64(i%41)/10, float64(i/41)/10))
	}
	for i := range 18 {
		s.truth = append(s.truth, level(s.place(i)))
	}
	if e := judged(s.read("", "lux", fine(r))).ToEdge; e != nil {
		c.misses("the spread", e.SpreadStops-e.ErrorStops, e.SpreadStops+e.ErrorStops, whole.spread())
	}
}

// changingLight are ways in which a light may change over a walk of length 1, in stops.
var changingLight = []struct {
	name string
	draw func(r *rand.Rand) func(t float64) float64
}{
	{"constant light", func(*rand.Rand) func(float64) float64 { return func(float64) float64 { return 0 } }},
	{"a line", func(r *rand.Rand) func(float64) float64 {
		total := signed(r, 0.1, 0.6)
		return func(t float64) float64 { return total * t }
	}},
	{"a warm-up", func(r *rand.Rand) func(float64) float64 {
		size, tau := signed(r, 0.1, 0.6), 0.1+0.4*r.Float64()
		return func(t float64) float64 { return -size * math.Exp(-t/tau) }
	}},
	{"a warm-up of two time constants", func(r *rand.Rand) func(float64) float64 {
		a, b := signed(r, 0.1, 0.4), signed(r, 0.1, 0.4)
		return func(t float64) float64 { return -a*math.Exp(-t/0.1) - math.Copysign(b, a)*math.Exp(-t/0.6) }
	}},
	{"a step of 0.1 stop", stepped(0.1)},
	{"a step of 0.15 stop", stepped(0.15)},
	{"a step of 0.2 stop", stepped(0.2)},
	{"a step of 0.3 stop", stepped(0.3)},
	{"a step of 0.4 stop", stepped(0.4)},
	{slowSwing, func(r *rand.Rand) func(float64) float64 {
		a, phase, turns := 0.05+0.15*r.Float64(), 2*math.Pi*r.Float64(), 0.5+r.Float64()
		return func(t float64) float64 { return a * math.Sin(2*math.Pi*turns*t+phase) }
	}},
}

// fewReferences are changes that two or three readings of the reference seldom show.
var fewReferences = []struct {
	name  string
	every int
	draw  func(r *rand.Rand) func(t float64) float64
}{
	{"a line of 0.08 stop, the reference first and last", 45, lined(0.08)},
	{"a line of 0.08 stop, the reference read three times", 23, lined(0.08)},
	{"a step of 0.1 stop, the reference first and last", 45, stepped(0.1)},
	{"a step of 0.1 stop, the reference read three times", 23, stepped(0.1)},
}

const slowSwing = "a slow swing, the reference every five or ten"

func signed(r *rand.Rand, low, high float64) float64 {
	return (low + (high-low)*r.Float64()) * float64(1-2*r.IntN(2))
}

func lined(size float64) func(*rand.Rand) func(float64) float64 {
	return func(r *rand.Rand) func(float64) float64 {
		total := signed(r, size, size)
		return func(t float64) float64 { return total * t }
	}
}

func stepped(size float64) func(*rand.Rand) func(float64) float64 {
	return func(r *rand.Rand) func(float64) float64 {
		at, by := 0.05+0.9*r.Float64(), signed(r, size, size)
		return func(t float64) float64 {
			if t < at {
				return 0
			}
			return by
		}
	}
}

// ofDrift are surfaces of 45 places in light that changes while they are read, with the
// reference before every five, ten or fifteen readings, or the first alone, and at the end.
func ofDrift() []simulation {
	var out []simulation
	for _, light := range changingLight {
		full := 600
		if strings.HasPrefix(light.name, "a step of 0.3") || strings.HasPrefix(light.name, "a step of 0.4") {
			full = 1200 // half a stop is seldom decided
		}
		out = append(out, simulation{subject: evennessVerdict + ", light that changes", generator: light.name, short: 25, full: full, said: 0.02,
			most: withRate(map[string]float64{}, 0.025, "wrong pass", "wrong fail", "half a stop decided wrongly"), draw: func(r *rand.Rand, c *counts) {
				s := []drawing{drawSurface, apart, even}[r.IntN(3)](r, 9, 5, 800)
				every := []int{5, 10, 15, 45}[r.IntN(4)]
				if light.name == slowSwing {
					every = []int{5, 10}[r.IntN(2)] // what is faster than the reference is not seen
				}
				in := c.verdict(s.walked(r, every, light.draw(r))).Evenness.SpreadInterval
				if in[1] <= 0.5 || in[0] > 0.5 {
					c.say("half a stop decided wrongly", (in[1] <= 0.5) != (s.spread() <= 0.5))
				}
			}})
	}
	for _, few := range fewReferences {
		out = append(out, simulation{subject: evennessVerdict + ", light that changes", generator: few.name, short: 25, full: 600, said: 0.02, most: verdicts, draw: func(r *rand.Rand, c *counts) {
			c.verdict([]drawing{apart, even}[r.IntN(2)](r, 9, 5, 800).walked(r, few.every, few.draw(r)))
		}})
	}
	return append(out, simulation{subject: "a change of light in time", generator: "constant light, 45 places, the reference every five or ten", short: 60, full: 3000, most: claims, draw: func(r *rand.Rand, c *counts) {
		file := drawSurface(r, 9, 5, 800).walked(r, []int{5, 10}[r.IntN(2)], changingLight[0].draw(r))
		c.say("false claim", judged(file).Drift.Significant)
	}})
}

// walked is a file of all places, a third of a minute each, in light that changes by
// stops, with one of them read before every so many and at the end.
func (s surface) walked(r *rand.Rand, every int, stops func(t float64) float64) string {
	at := r.IntN(len(s.truth))
	var order []int
	for i := range s.truth {
		if i%every == 0 {
			order = append(order, at)
		}
		if i != at {
			order = append(order, i)
		}
	}
	order = append(order, at)
	var rows []string
	label := func(i int) string { return spatial.GridLabel(i%s.columns, i/s.columns) }
	for k, i := range order {
		t := float64(k) / float64(len(order)-1)
		rows = append(rows, fmt.Sprintf("%s,%.2f,%.6f", label(i), float64(k)/3, s.truth[i]*math.Exp2(stops(t))*normal(r)))
	}
	return s.lines(repeatabilityNoted+"# reference: "+label(at)+"\n", "label,time (min),lux", rows...)
}
