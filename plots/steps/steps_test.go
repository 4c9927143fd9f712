package steps_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"evenfall/photometry/schema"
	"evenfall/plots/report"
	"evenfall/plots/steps"
)

// A cloth of 4 × 2 m read at 5 × 3 places, lit by two point-like lamps 3 m off: the
// inverse-square and cosine laws.
const width, height = 4.0, 2.0

type source struct{ x, cd float64 }

func (s source) at(x, y float64) float64 {
	d := math.Sqrt((x-s.x)*(x-s.x) + (y-1)*(y-1) + 9)
	return s.cd * 3 / (d * d * d)
}

// cloth is a survey of lamps on a day, with more notes.
func cloth(date, notes string, lamps map[string]source, alone bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# surface: cloth\n# width: 4 m\n# height: 2 m\n# repeatability: 1 %%\n# date: %s\n%slabel,lamp,E (lx)\n", date, notes)
	row := func(lamp string, i, j int, level float64) {
		fmt.Fprintf(&b, "%c%d,%s,%.1f\n", 'A'+2-j, i+1, lamp, level)
	}
	names := []string{"left", "right"}
	for j := range 3 {
		for i := range 5 {
			x, y := (float64(i)+0.5)*width/5, (float64(j)+0.5)*height/3
			row("", i, j, lamps["left"].at(x, y)+lamps["right"].at(x, y))
			if alone {
				for _, name := range names {
					row(name, i, j, lamps[name].at(x, y))
				}
			}
		}
	}
	return b.String()
}

// list is what a folder says is to be done.
func list(t *testing.T, files map[string]string, intent string) *steps.List {
	t.Helper()
	folder := fstest.MapFS{}
	for name, content := range files {
		folder[name] = &fstest.MapFile{Data: []byte(content)}
	}
	r, err := report.Read(folder, report.Options{Intent: intent})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range r.Problems {
		t.Errorf("%s: %s", p.File, p.Text)
	}
	return r.ToDo
}

func keys(l *steps.List) (out []string) {
	for _, s := range l.Steps {
		out = append(out, strings.TrimPrefix(s.Key, "steps."))
	}
	return out
}

func lampTable(dimmer, scrims string) string {
	return "name,kind,x (m),y (m),z (m),aim x (m),aim y (m),aim z (m),intensity (cd),dimmer (%),scrims\n" +
		"left,point,-1,1,3,2,1,0,9000," + dimmer + "," + scrims + "\nright,point,5,1,3,2,1,0,9000,50," + scrims + "\n"
}

func TestSteps(t *testing.T) {
	even := map[string]source{"left": {-1, 9000}, "right": {5, 9000}}
	strong := map[string]source{"left": {-1, 9000}, "right": {5, 18000}}
	weak := map[string]source{"left": {-1, 4500}, "right": {5, 9000}}
	for _, c := range []struct {
		name   string
		files  map[string]string
		intent string
		want   []string
	}{
		{"an even cloth has nothing to do", map[string]string{"cloth.csv": cloth("2026-05-02", "# tolerance: 1 stop\n", even, true)}, "", nil},
		{"a lamp too strong is turned down", map[string]string{"cloth.csv": cloth("2026-05-02", "", strong, true)}, "", []string{"down", "prove"}},
		{"a mark that passes is left alone", map[string]string{"cloth.csv": cloth("2026-05-02", "", strong, true),
			"ratio.csv": "# target: 4:1 key to fill\n# repeatability: 1 %\nmark,role,E (lx)\ncenter,key,800\ncenter,fill,200\n"}, "", []string{"down", "prove"}},
		{"a mark that fails comes after the lamps", map[string]string{"cloth.csv": cloth("2026-05-02", "", strong, true),
			"ratio.csv": "# target: 4:1 key to fill\n# repeatability: 1 %\nmark,role,E (lx)\ncenter,key,800\ncenter,fill,400\n"}, "", []string{"down", "marks", "prove"}},
		{"a lamp at its most is looked at first", map[string]string{"cloth.csv": cloth("2026-05-02", "", even, true), "cloth-day2.csv": cloth("2026-05-03", "", weak, false),
			"lamps.csv": lampTable("100", "")}, schema.IntentMatch, []string{"weak", "prove"}},
		{"a lamp with too little room is looked at too", map[string]string{"cloth.csv": cloth("2026-05-02", "", even, true), "cloth-day2.csv": cloth("2026-05-03", "", weak, false),
			"lamps.csv": lampTable("80", "")}, schema.IntentMatch, []string{"weak", "prove"}},
		{"a day that is not approved is not matched", map[string]string{"cloth.csv": cloth("2026-05-02", "# approved: no\n", even, true), "cloth-day2.csv": cloth("2026-05-03", "# tolerance: 2 stops\n", weak, false)},
			"", nil},
		{"a lamp with room goes up", map[string]string{"cloth.csv": cloth("2026-05-02", "", even, true), "cloth-day2.csv": cloth("2026-05-03", "", weak, false),
			"lamps.csv": lampTable("40", "")}, schema.IntentMatch, []string{"up", "prove"}},
		{"an approved day is matched", map[string]string{"cloth.csv": cloth("2026-05-02", "# approved: yes\n", even, true), "cloth-day2.csv": cloth("2026-05-03", "", weak, false)},
			"", []string{"up", "prove"}},
		{"without another day there is none to match", map[string]string{"cloth.csv": cloth("2026-05-02", "", strong, true)}, schema.IntentMatch, []string{"down", "prove"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := list(t, c.files, c.intent)
			if got := keys(l); !slices.Equal(got, c.want) {
				t.Errorf("steps %v, want %v", got, c.want)
			}
			if len(l.Steps) > steps.Limit {
				t.Errorf("%d steps", len(l.Steps))
			}
		})
	}
}

// The trim of one lamp is that which makes the two equal, and what it leaves is what
// the two laws give.
func TestTrimIsRight(t *testing.T) {
	strong := map[string]source{"left": {-1, 9000}, "right": {5, 18000}}
	l := list(t, map[string]string{"cloth.csv": cloth("2026-05-02", "", strong, true), "lamps.csv": lampTable("100", "single")}, "")
	down := l.Steps[0]
	if down.Lamp != "right" || math.Abs(*down.ChangeStops+1) > 0.1 || math.Abs(*down.DimmerPercent-25) > 2 {
		t.Fatalf("%+v, want right down by a stop, from 50 to 25 %%", down)
	}
	high, low, now, then := 0.0, math.Inf(1), 0.0, 0.0
	for j := range 3 {
		for i := range 5 {
			x, y := (float64(i)+0.5)*width/5, (float64(j)+0.5)*height/3
			level := strong["left"].at(x, y) + math.Exp2(*down.ChangeStops)*strong["right"].at(x, y)
			high, low = max(high, level), min(low, level)
			now, then = now+strong["left"].at(x, y)+strong["right"].at(x, y), then+level
		}
	}
	if want := math.Log2(high / low); math.Abs(down.After.SpreadStops-want) > 0.01 {
		t.Errorf("spread after %.3f, the laws give %.3f", down.After.SpreadStops, want)
	}
	if want := math.Log2(then / now); math.Abs(*down.After.MeanChangeStops-want) > 0.01 {
		t.Errorf("mean changed by %.3f, the laws give %.3f", *down.After.MeanChangeStops, want)
	}
	if c := down.Check; c.Place != "B5" || math.Abs(c.Level/(strong["right"].at(3.6, 1)/2)-1) > 0.08 || !(c.From < c.Level && c.Level < c.To) {
		t.Errorf("check %+v", c)
	}
}

// A tolerance on each side allows twice as much from the darkest to the brightest place.
func TestAllowedOnEachSide(t *testing.T) {
	strong := map[string]source{"left": {-1, 9000}, "right": {5, 18000}}
	l := list(t, map[string]string{"cloth.csv": cloth("2026-05-02", "# tolerance: ±0.2 stop\n", strong, true)}, "")
	if got := l.Steps[0].After.AllowedStops; math.Abs(got-0.4) > 1e-9 {
		t.Errorf("%v stops allowed, want 0.4", got)
	}
}

// Scrims are offered for lamps that have them on file and no dimmer.
func TestScrimsOfLampsThatHaveThem(t *testing.T) {
	strong := map[string]source{"left": {-1, 9000}, "right": {5, 18000}}
	for scrims, want := range map[string]any{"single, double": "a double scrim", "none": nil, "": nil} {
		table := strings.ReplaceAll(strings.ReplaceAll(lampTable("", `"`+scrims+`"`), ",50,", ",,"), ",dimmer (%),", ",dimmer (%),")
		l := list(t, map[string]string{"cloth.csv": cloth("2026-05-02", "", strong, true), "lamps.csv": table}, "")
		if got := l.Steps[0].Values["scrims"]; got != want {
			t.Errorf("scrims %q on file: %v offered, want %v", scrims, got, want)
		}
	}
}

// A list that cannot reach the tolerance says so.
func TestShortOfTheTolerance(t *testing.T) {
	l := list(t, map[string]string{"cloth.csv": cloth("2026-05-02", "# tolerance: 0.1 stop\n", map[string]source{"left": {-1, 9000}, "right": {5, 18000}}, true)}, "")
	if l.Short == nil || l.Short.Code != "short" {
		t.Errorf("short %v", l.Short)
	}
}
