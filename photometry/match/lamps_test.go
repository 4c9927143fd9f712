package match

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
)

// pointLamp is a small lamp in front of a surface of 4.8 × 2.4 m: the inverse square
// and the cosine.
type pointLamp struct {
	name    string
	x, y, z float64
	cd      float64
	light   colorimetry.CCT
}

func (s pointLamp) level(x, y float64) float64 {
	d2 := (x-s.x)*(x-s.x) + (y-s.y)*(y-s.y) + s.z*s.z
	return s.cd * s.z / math.Pow(d2, 1.5)
}

// stage is a set of pointLamps, read by a meter that scatters.
type stage struct {
	pointLamps []pointLamp
	ambient    float64
	scatter    float64 // of one reading
	color      float64 // scatter of u′ and v′
	random     *rand.Rand

	// Outside of what a match assumes.
	gain, step, wild, bounced float64 // of the meter, 0 for 1; its step in stops; the part of wild readings; light from the floor
}

func (g stage) read(v float64) float64 {
	scatter := g.scatter
	if g.wild > 0 && g.random.Float64() < g.wild {
		scatter *= 4
	}
	v *= cmp.Or(g.gain, 1) * math.Exp(scatter*g.random.NormFloat64())
	if g.step > 0 {
		v = math.Exp2(g.step * math.Round(math.Log2(v)/g.step))
	}
	return v
}

// at is the light at a place.
func (g stage) at(t interface{ Fatal(...any) }, x, y float64) (float64, colorimetry.UVPrime) {
	var lights []colorimetry.Light
	for _, s := range g.pointLamps {
		uv, err := s.light.UV()
		if err != nil {
			t.Fatal(err)
		}
		level := s.level(x, y) + g.bounced*s.level(x, -y)
		lights = append(lights, colorimetry.Light{Level: level, XY: uv.XY()})
	}
	mix, err := colorimetry.Mix(lights...)
	if err != nil {
		t.Fatal(err)
	}
	return mix.Level + g.ambient, mix.XY.UVPrime()
}

// survey reads all lamps together at 9 × 5 places, in color.
func (g stage) survey(t interface{ Fatal(...any) }) *survey.Survey {
	s := gridSurvey(9, 5, g.scatter, func(x, y float64) float64 { v, _ := g.at(t, x, y); return g.read(v) })
	s.DuvRead = true
	for i := range s.Len() {
		_, uv := g.at(t, s.X[i], s.Y[i])
		s.U, s.V = append(s.U, uv.U+g.color*g.random.NormFloat64()), append(s.V, uv.V+g.color*g.random.NormFloat64())
	}
	return s
}

// alone reads each lamp alone, at every n-th place of the survey, or at all.
func (g stage) alone(t interface{ Fatal(...any) }, s *survey.Survey, places []int) *survey.LampSet {
	set := &survey.LampSet{Surface: s, Together: true}
	for _, one := range g.pointLamps {
		none := func() []float64 { return slices.Repeat([]float64{math.NaN()}, s.Len()) }
		m := survey.LampMap{Name: one.name, Level: none(), U: none(), V: none(), DuvRead: true}
		uv, err := one.light.UV()
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Len() {
			if places == nil || slices.Contains(places, i) {
				m.Level[i] = g.read(one.level(s.X[i], s.Y[i]))
				m.U[i], m.V[i] = uv.UVPrime().U+g.color*g.random.NormFloat64(), uv.UVPrime().V+g.color*g.random.NormFloat64()
				m.Read++
			}
		}
		set.Maps = append(set.Maps, m)
	}
	return set
}

// twoSides is a cloth lit from both sides and a little from the middle.
func twoSides(seed uint64) stage {
	return stage{pointLamps: []pointLamp{
		{"left", -1.2, 1.6, 2.6, 9000, colorimetry.CCT{Kelvin: 5500, Duv: 0.001}},
		{"right", 5.8, 1.6, 2.4, 9500, colorimetry.CCT{Kelvin: 5600, Duv: 0.006}},
		{"middle", 2.4, 3.4, 3.0, 4000, colorimetry.CCT{Kelvin: 5200, Duv: -0.001}},
	}, scatter: 0.015, color: 0.0002, random: rand.New(rand.NewPCG(seed, 7))}
}

// with is the same stage with one lamp at another level, color or place.
func (g stage) with(change func(pointLamps []pointLamp)) stage {
	g.pointLamps = slices.Clone(g.pointLamps)
	change(g.pointLamps)
	return g
}

// Three to seven places on each side and in the middle.
var somePlaces = []int{9, 13, 17, 27, 31, 35}

func mustMatchWith(before, after *survey.Survey, o Options) *Result {
	r, err := Compare(before, after, o)
	if err != nil {
		panic(err)
	}
	return r
}

// Lamps at one place make the same pattern: only what they give together is found,
// and it is right.
func TestLampsLookAlike(t *testing.T) {
	g := twoSides(1)
	g.pointLamps[2] = g.pointLamps[0]
	g.pointLamps[2].name, g.pointLamps[2].cd = "twin", 4500
	before := g.survey(t)
	today := g.with(func(s []pointLamp) { s[2].cd *= 0.5 }).survey(t)
	r := mustMatchWith(before, today, Options{Lamps: g.alone(t, before, nil)})
	for _, name := range []string{"left", "twin"} {
		l := r.Lamps[name]
		// 9000 + 2250 of 13500 cd.
		if l.Percent != nil || len(l.With) != 1 || l.GroupLow == nil || *l.GroupLow > 100*11250/13500.0 || *l.GroupHigh < 100*11250/13500.0 || !l.Changed {
			t.Errorf("%s: %+v", name, l)
		}
	}
	if l := r.Lamps["right"]; l.Percent == nil || l.Changed {
		t.Errorf("right: %+v", l)
	}
	// Maps that are the same to the last digit leave no covariance before they are
	// put together.
	lamps := g.alone(t, before, nil)
	lamps.Maps[2].Level = lamps.Maps[0].Level
	r = mustMatchWith(before, today, Options{Lamps: lamps})
	if l := r.Lamps["twin"]; l.Percent != nil || l.GroupPercent == nil {
		t.Errorf("twin: %+v", l)
	}
	if _, err := json.Marshal(r); err != nil {
		t.Error(err)
	}
}

// What a lamp alone is read to give today is an equation of its own: it separates lamps
// that make the same pattern, and finds a lamp's color where no other reading does. One
// that is off reads zero.
func TestLampsAloneToday(t *testing.T) {
	for _, part := range []float64{0.5, 0} {
		g := twoSides(1)
		g.pointLamps[2] = g.pointLamps[0]
		g.pointLamps[2].name, g.pointLamps[2].cd = "twin", 4500
		before := g.survey(t)
		alone := g.alone(t, before, nil)
		g.pointLamps[2].cd *= part
		g.pointLamps[2].light.Duv += 0.006
		today := g.survey(t)
		twin := survey.Lamp{Name: "Twin"}
		uv, err := g.pointLamps[2].light.UV()
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range []int32{11, 20, 29} {
			twin.Point, twin.Level = append(twin.Point, i), append(twin.Level, g.read(g.pointLamps[2].level(today.X[i], today.Y[i])))
			twin.U, twin.V = append(twin.U, uv.UVPrime().U), append(twin.V, uv.UVPrime().V)
		}
		today.Lamps = []survey.Lamp{twin, {Name: "new one", Point: []int32{0}, Level: []float64{5}, U: []float64{math.NaN()}, V: []float64{math.NaN()}}}
		r := mustMatchWith(before, today, Options{Lamps: alone})
		for name, want := range map[string]float64{"twin": 100 * part, "left": 100, "right": 100} {
			l := r.Lamps[name]
			if l.Percent == nil || math.Abs(*l.Percent-want) > 5 || *l.High-*l.Low > 15 || l.Changed != (want != 100) {
				t.Errorf("%s: %s, %t, want %g", name, percents(l), l.Changed, want)
			}
		}
		if c := r.Lamps["twin"].Color; part > 0 && (c == nil || math.Abs(c.DuvShift-0.006) > 0.0005) {
			t.Errorf("color of the twin: %+v", c)
		}
		if !slices.ContainsFunc(r.Inferred, func(x photometry.Remark) bool { return x.Key == "match.lamp_new" }) {
			t.Errorf("nothing is said of the lamp that is new: %v", r.Inferred)
		}
	}
}

// Light that was not there the day before is separated from a lamp that moved, and
// either from lamps that only changed their level.
func TestLampMovedOrLightAdded(t *testing.T) {
	moved, added, none, unknown := 0, 0, 0, 0
	runs := 12
	for run := range runs {
		g := twoSides(uint64(run) + 100)
		before := g.survey(t)
		lamps := g.alone(t, before, nil)
		// The right lamp half a meter farther up and out.
		r := mustMatchWith(before, g.with(func(s []pointLamp) { s[1].y += 0.9; s[1].x -= 0.9 }).survey(t), Options{Lamps: lamps})
		if r.Lamps["right"].Moved != nil {
			moved++
			if r.Lamps["right"].Moved.UpStops < 0 {
				t.Errorf("moved up, but the light lies lower: %+v", r.Lamps["right"].Moved)
			}
		}
		if r.Lamps["left"].Moved != nil || r.Lamps["middle"].Moved != nil {
			t.Errorf("run %d: another lamp is said to have moved", run)
		}
		bright := g
		bright.ambient = 250
		r = mustMatchWith(before, bright.survey(t), Options{Lamps: lamps})
		if a := r.LampFit.Ambient; a != nil {
			added++
			if a.Low > 250 || a.High < 250 {
				unknown++
			}
		}
		r = mustMatchWith(before, g.with(func(s []pointLamp) { s[0].cd *= 0.6 }).survey(t), Options{Lamps: lamps})
		for _, l := range r.Lamps {
			if l.Moved != nil || r.LampFit.Ambient != nil {
				none++
			}
		}
	}
	if moved < runs*9/10 || added < runs*6/10 || none > 1 || unknown > runs/10 {
		t.Errorf("of %d: moved %d, added %d (off %d), false alarms %d", runs, moved, added, unknown, none)
	}
}

// The lamp whose gel changed is named with its shift, whichever it is, also where
// another is dimmed.
func TestMatchFindsGel(t *testing.T) {
	runs := 6
	for k := range 3 {
		for _, places := range [][]int{nil, somePlaces} {
			named, others, missed := 0, 0, 0
			for run := range runs {
				g := twoSides(uint64(run) + 300)
				before := g.survey(t)
				lamps := g.alone(t, before, places)
				today := g.with(func(s []pointLamp) {
					s[k].light.Duv -= 0.005
					s[k].light.Kelvin += 150
					s[(k+1)%3].cd *= 0.7
				})
				r := mustMatchWith(before, today.survey(t), Options{Lamps: lamps})
				for j, s := range g.pointLamps {
					switch c := r.Lamps[s.name].Color; {
					case c == nil:
					case j != k:
						others++
					default:
						named++
						mired := colorimetry.Mired(s.light.Kelvin+150) - s.light.Mired()
						missed += countOutside(c.DuvInterval, -0.005) + countOutside(c.MiredInterval, mired)
					}
				}
			}
			if named < runs*95/100-1 || others > 0 || missed > 2 {
				t.Errorf("gel of %s, %d places: of %d named %d, others %d, shifts missed %d", twoSides(0).pointLamps[k].name, len(places), runs, named, others, missed)
			}
		}
	}
}

// countOutside is 1 where an interval misses a value.
func countOutside(i *[2]float64, v float64) int {
	if i[0] <= v && v <= i[1] {
		return 0
	}
	return 1
}

// A shift of all light is separated from that of a lamp; a dimmed lamp alone shifts nothing.
func TestMatchFindsShiftOfAllLight(t *testing.T) {
	all, alarms, runs := 0, 0, 10
	for run := range runs {
		g := twoSides(uint64(run) + 500)
		before := g.survey(t)
		lamps := g.alone(t, before, nil)
		r := mustMatchWith(before, g.with(func(s []pointLamp) {
			for k := range s {
				s[k].light.Duv -= 0.004
			}
		}).survey(t), Options{Lamps: lamps})
		if r.warned("color_of_all") {
			all++
		}
		r = mustMatchWith(before, g.with(func(s []pointLamp) { s[0].cd *= 0.6 }).survey(t), Options{Lamps: lamps})
		for _, l := range r.Lamps {
			if l.Color != nil {
				alarms++
			}
		}
	}
	if all < runs*9/10 || alarms > max(1, runs/50) {
		t.Errorf("of %d: a shift of all light found %d times, false alarms %d", runs, all, alarms)
	}
}

// Too few readings of a lamp alone are said so, and the rest of the match pointLamps.
func TestLampsUntold(t *testing.T) {
	g := twoSides(2)
	before := g.survey(t)
	r := mustMatchWith(before, g.survey(t), Options{Lamps: g.alone(t, before, []int{9, 17})})
	if len(r.Lamps) > 0 || !slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool { return f.Code == "lamps_untold" }) || r.OffsetInterval == nil {
		t.Errorf("lamps %v, warnings %v", r.Lamps, r.Warnings)
	}
}

// percents is a lamp's level with its interval.
func percents(l LampLevel) string {
	if l.Percent == nil {
		return "not known"
	}
	return fmt.Sprintf("%.1f (%.1f to %.1f)", *l.Percent, *l.Low, *l.High)
}
