package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
)

// near is within rounding of the printed tables.
func near(got, want float64) bool { return math.Abs(got-want) < 2e-6*math.Max(1, math.Abs(want)) }

// What the notes say of the scatter decides, then repeats, then 2 %; below four
// degrees of freedom the 2 % count beside the repeats.
func TestNoiseComesFrom(t *testing.T) {
	r := 0.05
	stated := &Survey{Settings: Settings{Repeatability: &r, Resolution: 0.1}}
	// √((0.05/ln 2)² + 0.1²/12).
	models, told := stated.noise(1, 9)
	if want := math.Sqrt(0.05*0.05/(math.Ln2*math.Ln2) + 0.01/12); len(models) != 1 || !near(models[0].Stops, want) || models[0].Nu != 0 || told.Source != "stated" || !near(told.RepeatabilityPercent, 5) {
		t.Errorf("stated: %+v, %+v", models, told)
	}
	plain := &Survey{Settings: Settings{Resolution: 0.1}}
	models, told = plain.noise(0, 0)
	if want := math.Sqrt(0.02*0.02/(math.Ln2*math.Ln2) + 0.01/12); len(models) != 1 || !near(models[0].Stops, want) || told.Source != "assumed" || !near(told.Stops, want) {
		t.Errorf("assumed: %+v, %+v", models, told)
	}
	assumed := models[0].Stops
	// Squares of 0.0004 stop² with four degrees of freedom: 0.01 stop, and the
	// display's step in it as well.
	models, told = plain.noise(0.0004, 4)
	if want := math.Sqrt(0.0001 + 0.01/12); len(models) != 1 || !near(models[0].Stops, want) || models[0].Nu != 4 || told.Source != "repeats" || told.DegreesOfFreedom != 4 || !near(told.RepeatabilityPercent, math.Ln2) {
		t.Errorf("four repeats: %+v, %+v", models, told)
	}
	for nu := 1; nu <= 3; nu++ {
		models, told = plain.noise(0.0001*float64(nu), nu)
		if len(models) != 2 || models[0].Nu != nu || models[1].Nu != 0 || !near(models[1].Stops, assumed) || !near(told.Stops, assumed) {
			t.Errorf("%d repeats: %+v, %+v", nu, models, told)
		}
		// Where they scatter more than was assumed they are the wider ones.
		if _, told = plain.noise(0.01*float64(nu), nu); !near(told.Stops, math.Sqrt(0.01+0.01/12)) {
			t.Errorf("%d wide repeats: %+v", nu, told)
		}
	}
	if models, told = (&Survey{Predicted: true}).noise(1, 9); len(models) != 1 || models[0].Stops != 0 || told.Source != "predicted" {
		t.Errorf("predicted: %+v, %+v", models, told)
	}
}

// grid5 is a surface of 5 × 5 places, even to 0.001 stop, with some levels of its
// own.
func grid5(level float64, odd map[int]float64) *Survey {
	s := &Survey{Reference: -1, Quantity: photometry.Illuminance}
	for i := range 25 {
		v := level * math.Exp2(0.001*(float64(i%2)-0.5))
		if o, ok := odd[i]; ok {
			v = o
		}
		s.X, s.Y, s.Level = append(s.X, float64(i%5)), append(s.Y, float64(i/5)), append(s.Level, v)
	}
	s.Extent, _ = spatial.BoxOf(s.X, s.Y)
	return s
}

// suspected are the reasons at point 12, the middle of the grid, and whether it
// stands alone.
func suspected(s *Survey, noise float64) (reasons string, alone bool) {
	places := spatial.NewPlaces(s.X, s.Y)
	suspects, lone := s.Suspects(places, s.Level, places.Constant(s.Level), noise)
	for _, x := range suspects {
		if x.Point == 12 {
			reasons = strings.Join(x.Reasons, " ")
		}
	}
	return reasons, slices.Contains(lone, 12)
}

// A suspect stands off by six scatters and 0.3 stop at least, and undoing the error
// brings it to within three scatters.
func TestSuspectsStandFarOff(t *testing.T) {
	off := func(stops float64) map[int]float64 { return map[int]float64{12: 500 * math.Exp2(stops)} }
	swapped := func(stops float64) map[int]float64 {
		return map[int]float64{12: photometry.Footcandles(500) * math.Exp2(stops)}
	}
	for _, c := range []struct {
		name  string
		s     *Survey
		noise float64
		want  string
		alone bool
	}{
		// Digits transposed, 436 as 346 is 0.3335 stop, 546 as 456 is 0.2599.
		{"0.3335 stop off", grid5(436, map[int]float64{12: 346}), 0.001, "digits_transposed own_shadow", false},
		{"0.26 stop off", grid5(546, map[int]float64{12: 456}), 0.001, "", false},
		{"6.06 scatters off", grid5(436, map[int]float64{12: 346}), 0.055, "digits_transposed own_shadow", false},
		{"5.95 scatters off", grid5(436, map[int]float64{12: 346}), 0.056, "", false},
		{"undone, 2.9 scatters off", grid5(500, swapped(-0.145)), 0.05, "lux_fc_swap", false},
		{"undone, 3.1 scatters off", grid5(500, swapped(-0.155)), 0.05, "", true},
		{"2.95 stops down", grid5(500, off(-2.95)), 0.05, "own_shadow", false},
		{"3.05 stops down", grid5(500, off(-3.05)), 0.05, "", true},
		{"1.05 stops up", grid5(500, off(1.05)), 0.05, "", true},
		{"0.95 stop up", grid5(500, off(0.95)), 0.05, "", false},
	} {
		if got, alone := suspected(c.s, c.noise); got != c.want || alone != c.alone {
			t.Errorf("%s: %q, alone %v; want %q, %v", c.name, got, alone, c.want, c.alone)
		}
	}
}

// Two neighbors that stand off the same way by a quarter of it support a reading;
// one does not, nor do two that stand off by less.
func TestNeighborsSupportAReading(t *testing.T) {
	with := func(share float64, neighbors ...int) *Survey {
		odd := map[int]float64{12: 500 * math.Exp2(-2)}
		for _, j := range neighbors {
			odd[j] = 500 * math.Exp2(-2*share)
		}
		return grid5(500, odd)
	}
	for _, c := range []struct {
		name string
		s    *Survey
		want string
	}{
		{"none", with(0), "own_shadow"},
		{"one", with(0.5, 11), "own_shadow"},
		{"two by 0.26", with(0.26, 11, 13), ""},
		{"two by 0.24", with(0.24, 11, 13), "own_shadow"},
		{"two that are nowhere near", with(0.5, 0, 24), "own_shadow"},
		{"two beyond the eight nearest", with(0.5, 10, 14), "own_shadow"},
	} {
		if got, _ := suspected(c.s, 0.02); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	// Neighbors off by the very factor of the error are data-entry errors themselves.
	fc := photometry.Footcandles(500)
	if got, _ := suspected(grid5(500, map[int]float64{11: fc, 12: fc, 13: fc}), 0.02); got != entry.LuxFootcandleSwap {
		t.Errorf("three swapped: %q", got)
	}
	// A spread of the level among the neighbors makes a reading no odd one.
	steep := grid5(500, map[int]float64{12: 346})
	for i := range steep.Level {
		if i != 12 {
			steep.Level[i] = 436 * math.Exp2(0.2*(steep.X[i]-2))
		}
	}
	places := spatial.NewPlaces(steep.X, steep.Y)
	trend := places.Trend(steep.Level, nil)
	if suspects, _ := steep.Suspects(places, steep.Level, trend, 0.001); len(suspects) > 0 {
		t.Errorf("on a steep run: %+v", suspects)
	}
	// Three readings cannot tell which one is odd, four can.
	for n, want := range map[int]int{3: 0, 4: 1} {
		s := &Survey{Reference: -1, Quantity: photometry.Illuminance, X: []float64{0, 1, 2, 3}[:n], Y: make([]float64, n), Level: []float64{50, 500, 500, 500}[:n]}
		if suspects, _ := s.Suspects(spatial.NewPlaces(s.X, s.Y), s.Level, spatial.NewPlaces(s.X, s.Y).Constant(s.Level), 0.02); len(suspects) != want {
			t.Errorf("%d readings: %+v", n, suspects)
		}
	}
}

// Six scatters are of the surface as a whole, and where the places around scatter
// more, of theirs: 346 for 436, 0.3335 stop, is a suspect among readings that agree
// to 0.001 stop, but not where either scatters by ±0.08.
func TestScatterOfTheSurfaceAndAround(t *testing.T) {
	for name, wild := range map[string]struct {
		near, far float64
		want      int
	}{"calm": {0.001, 0.001, 1}, "wild around": {0.08, 0.001, 0}, "wild elsewhere": {0.001, 0.08, 0}} {
		s := &Survey{Reference: -1, Quantity: photometry.Illuminance}
		for i := range 81 {
			x, y := float64(i%9), float64(i/9)
			size := wild.far
			if math.Abs(x-4)+math.Abs(y-4) <= 2 {
				size = wild.near // the twelve nearest of the middle
			}
			level := 436 * math.Exp2(size*float64(1-2*(i%2)))
			if i == 40 {
				level = 346
			}
			s.X, s.Y, s.Level = append(s.X, x), append(s.Y, y), append(s.Level, level)
		}
		places := spatial.NewPlaces(s.X, s.Y)
		suspects, _ := s.Suspects(places, s.Level, places.Constant(s.Level), 0.001)
		if len(suspects) != wild.want {
			t.Errorf("%s: %+v", name, suspects)
		}
	}
}

// again is an even row of five places whose first was read several times, with or
// without times.
func again(level float64, timed bool, readings ...float64) *Survey {
	s := &Survey{Reference: 0, Quantity: photometry.Illuminance, X: []float64{0, 1, 2, 3, 4}, Y: make([]float64, 5), Level: slices.Repeat([]float64{level}, 5), Repeats: []int32{int32(len(readings)), 1, 1, 1, 1}}
	s.Level[0] = 0
	for i, v := range readings {
		minutes := math.NaN()
		if timed {
			minutes = float64(i)
		}
		s.Replicates = append(s.Replicates, Replicate{Point: 0, Level: v, Minutes: minutes})
		s.Level[0] += v / float64(len(readings))
	}
	if timed {
		s.Minutes = make([]float64, 5)
	}
	return s
}

// A repeat is a data-entry error where it is 0.3 stop off the others and undone comes to
// within 0.15; of two, a stop off its twin, against its neighbors, to within 0.35.
func TestRepeatsThatSlipped(t *testing.T) {
	fc := photometry.Footcandles(500)
	for _, c := range []struct {
		name     string
		s        *Survey
		want     string
		disagree bool
	}{
		{"0.3335 stop off", again(436, true, 436, 436, 346), entry.DigitsTransposed, false},
		{"0.26 stop off", again(546, true, 546, 546, 456), "", false},
		{"undone, 0.14 stop off", again(500, true, 500, 500, 500, fc*math.Exp2(-0.14)), entry.LuxFootcandleSwap, false},
		{"undone, 0.16 stop off", again(500, true, 500, 500, 500, fc*math.Exp2(-0.16)), "", true},
		{"of two, 0.94 stop apart", again(940, true, 940, 490), "", false},
		{"of two, 1.13 stops apart", again(830, true, 830, 380), entry.DigitsTransposed, false},
		{"of two, undone, 0.34 stop off", again(500, true, 500, fc*math.Exp2(-0.34)), entry.LuxFootcandleSwap, false},
		{"of two, undone, 0.36 stop off", again(500, true, 500, fc*math.Exp2(-0.36)), "", true},
		{"a shadow on the last of five", again(500, true, 500, 500, 500, 500, 200), "", true},
		{"a shadow on the last of six", again(500, true, 500, 500, 500, 500, 500, 200), entry.OwnShadow, false},
		{"a shadow on the last of four without times", again(500, false, 500, 500, 500, 200), entry.OwnShadow, false},
	} {
		bad, suspects, warnings := c.s.suspectRepeats(spatial.NewPlaces(c.s.X, c.s.Y))
		got := ""
		for _, x := range suspects {
			got += strings.Join(x.Reasons, " ")
		}
		if got != c.want || (len(warnings) > 0) != c.disagree || slices.Contains(bad, true) != (c.want != "") {
			t.Errorf("%s: %q, bad %v, %v; want %q, %v", c.name, got, bad, warnings, c.want, c.disagree)
		}
	}
	// A data-entry error is left out of the mean of its place.
	s := again(500, true, 500, 510, 505, fc)
	bad, _, _ := s.suspectRepeats(spatial.NewPlaces(s.X, s.Y))
	if got := s.withoutSuspects(s.Level, bad); !near(got[0], 505) {
		t.Errorf("without the slip %v, want the mean of the others", got[0])
	}
}

// Each kind of surface by what is usually asked of it: common practice, no source.
func TestKindsOfSurface(t *testing.T) {
	told := ""
	for _, name := range []string{"", "screen", "cyc", "backdrop", "artwork"} {
		kind, err := tolerance.Named(name)
		if err != nil {
			t.Fatal(err)
		}
		l := Settings{Kind: kind}.InForce()
		good := 0.0
		if l.GoodStops != nil {
			good = *l.GoodStops
		}
		told += fmt.Sprintf("%s %g/%g %g mired %g Duv; ", name, good, l.Stops, l.Mired, l.Duv)
	}
	if want := " 0/0.5 10 mired 0.003 Duv; screen 0.3/0.5 15 mired 0.003 Duv; cyc 0.2/0.33 10 mired 0.003 Duv; backdrop 0.5/1 10 mired 0.003 Duv; artwork 0.05/0.1 5 mired 0.003 Duv; "; told != want {
		t.Errorf("%s\nwant\n%s", told, want)
	}
	given := Settings{Limits: tolerance.Limits{Stops: 0.7}, Kind: tolerance.Kinds[0]}
	if given.InForce().Stops != 0.7 {
		t.Error("a tolerance that is given does not come first")
	}
	if uncertainty.FewRepeats != 4 || uncertainty.AssumedRepeatability != 0.02 {
		t.Error("the assumption is another")
	}
}
