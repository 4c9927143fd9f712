package demo

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff/plan"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/plots/report"
	"evenfall/plots/steps"
)

// listOf is what the demo's folder says is to be done, without some of its files.
func listOf(t *testing.T, intent string, without ...string) *steps.List {
	t.Helper()
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for _, f := range files {
		if !slices.Contains(without, f.Name) {
			if err := os.WriteFile(filepath.Join(folder, f.Name), f.Content, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	r, err := report.Read(os.DirFS(folder), report.Options{Intent: intent})
	if err != nil {
		t.Fatal(err)
	}
	if r.ToDo == nil {
		t.Fatal("the demo has nothing to do")
	}
	return r.ToDo
}

// inShot are the places of the cloth within the part in shot.
func inShot(t *testing.T) (places []r3.Vec) {
	_, rows := fileNamed(t, "cloth.csv")
	for _, r := range rows {
		at := r3.Vec{X: r.number(t, "x (m)"), Y: r.number(t, "y (m)")}
		if at.X >= 0.6 && at.X <= 4.2 && at.Y >= 0.3 && at.Y <= 2.2 && !slices.Contains(places, at) {
			places = append(places, at)
		}
	}
	return places
}

// levelsAt are those of places with each lamp at a factor of what a scene gives, 1 for
// one that is not named.
func levelsAt(s *plan.Scene, places []r3.Vec, factors map[string]float64) []float64 {
	out := make([]float64, len(places))
	for i, at := range places {
		out[i] = from(s, at, camera)
		for lamp, factor := range factors {
			out[i] += (factor - 1) * from(s, at, camera, lamp)
		}
	}
	return out
}

func spread(levels []float64) float64 { return math.Log2(floats.Max(levels) / floats.Min(levels)) }

// carryOut sets the lamps of a scene as the steps say, each by the reading of it alone,
// and holds what that brings to what each step said.
func carryOut(t *testing.T, list *steps.List, s *plan.Scene) map[string]float64 {
	t.Helper()
	factors, carried := map[string]float64{}, 0
	for _, step := range list.Steps {
		c := step.Check
		if c == nil || c.Lamp == "" || step.ChangeStops == nil {
			continue
		}
		carried++
		alone := from(s, r3.Vec{X: c.X, Y: c.Y}, camera, c.Lamp)
		factors[c.Lamp] = c.Level / alone
		if off := math.Log2(*c.Today / alone); math.Abs(off) > 0.15 {
			t.Errorf("%s at %s: about %.0f lx today, it gives %.0f", c.Lamp, c.Place, *c.Today, alone)
		}
		holdDial(t, step, factors[c.Lamp])
		got, a := spread(levelsAt(s, inShot(t), factors)), step.After
		if a.IntervalStops == nil || got < a.IntervalStops[0] || got > a.IntervalStops[1] || math.Abs(got-a.SpreadStops) > 0.1 {
			t.Errorf("%s set to %.0f lx: spread %.2f stops, said to be about %.2f %v", c.Lamp, c.Level, got, a.SpreadStops, *a.IntervalStops)
		}
	}
	if carried == 0 {
		t.Errorf("no lamp is set: %+v", list.Steps)
	}
	return factors
}

// holdDial holds the setting of a step to the law of the lamp's dimmer: the change that
// it makes, and what that does to the color.
func holdDial(t *testing.T, step steps.Step, factor float64) {
	t.Helper()
	for _, d := range dials {
		i := step.DimmerInterval
		if d.Lamp != step.Lamp || step.DimmerPercent == nil || *step.DimmerPercent > 99.9 {
			continue
		}
		if i == nil {
			t.Errorf("%s: the dimmer is not set by what was read of it", d.Lamp)
			continue
		}
		truth := 100 * math.Pow(math.Exp2(*step.ChangeStops), 1/d.Power)
		if truth < i[0] || truth > i[1] {
			t.Errorf("%s: %.1f %% gives %.2f of its light, said to be %.1f to %.1f %%", d.Lamp, truth, factor, i[0], i[1])
		}
		if off := *step.ShiftMired - d.mired(truth); math.Abs(off) > 3 {
			t.Errorf("%s: %.1f mired at %.1f %%, the law has %.1f", d.Lamp, *step.ShiftMired, truth, d.mired(truth))
		}
	}
}

// What the list asks for is carried out on the physics of the demo and brings what it
// said: each day made more even.
func TestStepsBringWhatTheySay(t *testing.T) {
	for _, day := range []struct {
		lamps   string
		without []string
	}{{"lamps.csv", []string{"cloth-day2.csv"}}, {"lamps-day2.csv", nil}} {
		s, list := predicted(t, day.lamps), listOf(t, schema.IntentImprove, day.without...)
		factors := carryOut(t, list, s)
		// On the second day the light of the lamp that stays is computed: it is read as well.
		related := slices.ContainsFunc(list.Steps, func(s steps.Step) bool { return s.Key == "steps.relate" && s.Lamp == "cloth left" })
		if wanted := day.without == nil; related != wanted {
			t.Errorf("%s: cloth left is read alone: %t, want %t", day.lamps, related, wanted)
		}
		if got := spread(levelsAt(s, inShot(t), factors)); got > 0.5 {
			t.Errorf("%s: spread %.2f stops once all is done, 0.5 wanted", day.lamps, got)
		}
	}
}

// The second day brought back to the first is the first's light again.
func TestStepsRestoreTheFirstDay(t *testing.T) {
	list := listOf(t, schema.IntentMatch)
	after := levelsAt(predicted(t, "lamps-day2.csv"), inShot(t), carryOut(t, list, predicted(t, "lamps-day2.csv")))
	stops := make([]float64, len(after))
	for i, before := range levelsAt(predicted(t, "lamps.csv"), inShot(t), nil) {
		stops[i] = math.Log2(after[i] / before)
	}
	if offset := floats.Sum(stops) / float64(len(stops)); math.Abs(offset) > 0.1 || floats.Max(stops)-floats.Min(stops) > 0.1 {
		t.Errorf("%.2f stops and %.2f from place to place off the first day", offset, floats.Max(stops)-floats.Min(stops))
	}
	first := list.Steps[0]
	if first.Lamp != "cloth right" || !strings.Contains(first.Key, "hang") || !slices.Equal(gelsOf(first), []string{"1/4 plus green"}) {
		t.Errorf("first %+v, want the plus green back on cloth right", first)
	}
	if len(list.NotNow) == 0 {
		t.Error("nothing is kept for later, though the first day was uneven")
	}
	for _, later := range list.NotNow {
		if later.Check != nil && slices.ContainsFunc(list.Steps, func(s steps.Step) bool { return s.Check != nil && *s.Check == *later.Check }) {
			t.Errorf("now and not now: %+v", later)
		}
	}
}

// gelsOf are the gels that a step hangs.
func gelsOf(s steps.Step) []string {
	stack, _ := s.Values["gels"].(colorimetry.Stack)
	return stack.Gels
}
