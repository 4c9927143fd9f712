package evenness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/causes"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// scene is a cloth of 9 × 5 with a shape in stops and a scatter that is fixed,
// not random.
func scene(shape func(x, y float64) float64, change func(label string, level float64) string) string {
	var b strings.Builder
	b.WriteString("# width: 4.8\n# height: 2.4\nlabel,E (lx)\n")
	for r := range 5 {
		for c := range 9 {
			x, y := spatial.GridPosition(c, r, 9, 5, 4.8, 2.4, false)
			level := 1000 * math.Exp2(shape(x, y)) * (1 + 0.008*math.Sin(float64(17*r+29*c)))
			text := ""
			if change != nil {
				text = change(spatial.GridLabel(c, r), level)
			}
			if text == "" {
				text = fmt.Sprintf("%.0f", level)
			}
			fmt.Fprintf(&b, "%s,%s\n", spatial.GridLabel(c, r), text)
		}
	}
	return b.String()
}

func smooth(x, y float64) float64 { return 0.1*(x-2.4) - 0.03*(x-2.4)*(x-2.4) }

func hotPatch(x, y float64) float64 {
	return smooth(x, y) + 0.9*math.Exp(-((x-3.7)*(x-3.7)+(y-1.2)*(y-1.2))/0.4)
}

func suspectsIn(r *Result) string {
	var out []string
	for _, s := range r.Suspects {
		out = append(out, s.Label+" "+strings.Join(s.Reasons, "+"))
	}
	return strings.Join(out, "; ")
}

// Each data-entry error is told from what it looks like.
func TestSuspects(t *testing.T) {
	at := func(label, format string, f func(level float64) float64) func(string, float64) string {
		return func(l string, level float64) string {
			if l != label {
				return ""
			}
			return fmt.Sprintf(format, f(level))
		}
	}
	for _, c := range []struct {
		name   string
		shape  func(x, y float64) float64
		change func(string, float64) string
		want   string
	}{
		{"nothing wrong", smooth, nil, ""},
		{"a true hot patch", hotPatch, nil, ""},
		{"footcandles in a lux table", smooth, at("D3", "%.0f", func(e float64) float64 { return e / 10.764 }), "D3 lux_fc_swap"},
		{"the same beside a true hot patch", hotPatch, at("D3", "%.0f", func(e float64) float64 { return e / 10.764 }), "D3 lux_fc_swap"},
		{"the same in a corner", smooth, at("A1", "%.0f", func(e float64) float64 { return e / 10.764 }), "A1 lux_fc_swap"},
		{"a decimal slip down", smooth, at("B7", "%.0f", func(e float64) float64 { return e / 10 }), "B7 decimal_slip"},
		{"a decimal slip of two places", smooth, at("B7", "%.2f", func(e float64) float64 { return e / 100 }), "B7 decimal_slip"},
		{"a k left out", smooth, at("B7", "%.3f", func(e float64) float64 { return e / 1000 }), "B7 decimal_slip"},
		{"a decimal slip up", smooth, at("B7", "%.0f", func(e float64) float64 { return e * 10 }), "B7 decimal_slip"},
		{"own shadow", smooth, at("C4", "%.0f", func(e float64) float64 { return e * 0.5 }), "C4 own_shadow"},
		{"digits transposed", func(x, y float64) float64 { return 0 }, func(l string, _ float64) string {
			if l == "C4" {
				return "1320" // for 1230
			}
			return "1230"
		}, ""}, // 0.1 stop: too little to call
		{"digits transposed far", func(x, y float64) float64 { return 0 }, func(l string, level float64) string {
			if l == "C4" {
				return "9130" // for 1930
			}
			return fmt.Sprintf("%.0f", level*1.93)
		}, "C4 digits_transposed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := judged(t, strings.NewReader(scene(c.shape, c.change)))
			got := suspectsIn(r)
			if c.want == "" && got != "" || !strings.Contains(got, c.want) || strings.Count(got, ";") > 0 {
				t.Errorf("suspects %q, want %q", got, c.want)
			}
		})
	}
}

// A data-entry error near the factor of both swaps lists both reasons.
func TestSuspectListsEveryReason(t *testing.T) {
	r := judged(t, strings.NewReader(scene(smooth, func(l string, level float64) string {
		if l == "D3" {
			return fmt.Sprintf("%.0f", level/10.38)
		}
		return ""
	})))
	if got := suspectsIn(r); !strings.Contains(got, entry.LuxFootcandleSwap) || !strings.Contains(got, entry.MisplacedDecimal) {
		t.Errorf("suspects %q, want both reasons", got)
	}
}

// Where leaving the suspect out would pass, the verdict waits.
func TestSuspectMakesUnsure(t *testing.T) {
	r := judged(t, strings.NewReader(scene(func(x, y float64) float64 { return 0.02 * x }, func(l string, level float64) string {
		if l == "D3" {
			return fmt.Sprintf("%.0f", level/10.764)
		}
		return ""
	})))
	if r.Verdict.Evenness != uncertainty.Unsure || r.Without == nil || r.Without.Verdict != uncertainty.Pass {
		t.Errorf("verdict %s, without %+v", r.Verdict.Evenness, r.Without)
	}
	if again, _ := r.Advice[0].Values["places"].([]string); r.Advice[0].Code != "read_again" || !slices.Equal(again, []string{"D3"}) {
		t.Errorf("the first advice is %+v, not to read D3 again", r.Advice[0])
	}
}

// A walk in serpentine order typed as rows is named; the same surface typed right
// is not, and one that is alike from both sides cannot be.
func TestSnakeAsRows(t *testing.T) {
	grid := func(snake bool, shape func(x, y float64) float64) string {
		var b strings.Builder
		b.WriteString("lx")
		for c := range 9 {
			fmt.Fprintf(&b, ",%g", 0.25+0.5*float64(c))
		}
		for r := range 5 {
			fmt.Fprintf(&b, "\n%g", 2.25-0.5*float64(r))
			for c := range 9 {
				if snake && r%2 == 1 {
					c = 8 - c
				}
				x, y := 0.25+0.5*float64(c), 2.25-0.5*float64(r)
				fmt.Fprintf(&b, ",%.0f", 1000*math.Exp2(shape(x, y))*(1+0.005*math.Sin(float64(13*r+7*c))))
			}
		}
		return b.String() + "\n"
	}
	tilted := func(x, y float64) float64 { return 0.25 * x }
	even := func(x, y float64) float64 { return -0.1 * (x - 2.25) * (x - 2.25) }
	if r := judged(t, strings.NewReader(grid(true, tilted))); !strings.Contains(suspectsIn(r), entry.SerpentineAsRows) {
		t.Errorf("snake: suspects %q", suspectsIn(r))
	}
	for name, sheet := range map[string]string{"rows": grid(false, tilted), "alike from both sides": grid(true, even)} {
		if r := judged(t, strings.NewReader(sheet)); strings.Contains(suspectsIn(r), entry.SerpentineAsRows) {
			t.Errorf("%s: called a snake", name)
		}
	}
}

// Each cause is claimed where it is, and not where only its rival explanation is.
func TestCauses(t *testing.T) {
	flat := func(x, y float64) float64 { return 0 }
	for _, c := range []struct {
		name    string
		shape   func(x, y float64) float64
		want    string
		without []string
	}{
		{"flat", flat, CauseNoise, []string{causes.SideBright, causes.TopBright, causes.MiddleBright, causes.HotSpot}},
		{"bright right side", func(x, y float64) float64 { return 0.15 * x }, causes.SideBright, []string{causes.HotSpot, causes.MiddleBright}},
		{"patch on the right", func(x, y float64) float64 {
			return 0.8 * math.Exp(-((x-3.7)*(x-3.7)+(y-1.2)*(y-1.2))/0.25)
		}, causes.HotSpot, []string{causes.SideBright, causes.TopBright}},
		{"bright top", func(x, y float64) float64 { return 0.3 * y }, causes.TopBright, []string{causes.BottomBright, causes.SideBright, causes.HotSpot}},
		{"bright bottom", func(x, y float64) float64 { return -0.3 * y }, causes.BottomBright, []string{causes.TopBright}},
		{"bright middle", func(x, y float64) float64 { return -0.15 * (x - 2.4) * (x - 2.4) }, causes.MiddleBright, []string{causes.SideBright, causes.HotSpot}},
		{"bright edges", func(x, y float64) float64 { return 0.15 * (x - 2.4) * (x - 2.4) }, causes.EdgesBright, []string{causes.SideBright, causes.DarkSpot}},
		{"patch in the middle", func(x, y float64) float64 {
			return 0.8 * math.Exp(-((x-2.4)*(x-2.4)+(y-1.2)*(y-1.2))/0.25)
		}, causes.HotSpot, []string{causes.MiddleBright}},
		{"shadow", func(x, y float64) float64 {
			return -0.8 * math.Exp(-((x-1.3)*(x-1.3)+(y-0.9)*(y-0.9))/0.25)
		}, causes.DarkSpot, []string{causes.SideBright, causes.HotSpot}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := explainedSheet(t, scene(c.shape, nil))
			var codes []string
			for _, cause := range r.Causes {
				codes = append(codes, cause.Code)
			}
			if len(codes) == 0 || codes[0] != c.want && !r.Causes[0].may(c.want) {
				t.Fatalf("causes %v, want %s first or as a rival", codes, c.want)
			}
			for _, other := range c.without {
				if codes[0] == other && !r.Causes[0].may(c.want) {
					t.Errorf("causes %v claim the look-alike %s", codes, other)
				}
			}
		})
	}
}

// walk is a walk in serpentine order over an even cloth with a light that changes or
// a slope that does not; withReference reads C5 again after every nine.
func walk(slope, perMinute float64, withReference bool) string {
	var b strings.Builder
	b.WriteString("# width: 4.8\n# height: 2.4\n# reference: C5\nlabel,time,lux\n")
	minute := 0.0
	row := func(label string) {
		c, r, _ := spatial.ParseGridLabel(label)
		_, y := spatial.GridPosition(c, r, 9, 5, 4.8, 2.4, false)
		level := 1000 * math.Exp2(slope*y+perMinute*minute) * (1 + 0.006*math.Sin(19*minute))
		fmt.Fprintf(&b, "%s,10:%02d:%02d,%.0f\n", label, int(minute), int(60*minute)%60, level)
		minute += 0.25
	}
	for i, label := range spatial.Walk(9, 5) {
		if withReference && i%9 == 0 {
			row("C5")
		}
		row(label)
	}
	if withReference {
		row("C5")
	}
	return b.String()
}

// may reports whether a cause has a rival.
func (c Cause) may(code string) bool {
	return slices.ContainsFunc(c.Rivals, func(r Rival) bool { return r.Code == code })
}

// A light that fades during the walk looks like a slope from top to bottom;
// only readings of the reference tell them apart.
func TestDriftAgainstSlope(t *testing.T) {
	has := func(r *Result, code string) bool {
		return slices.ContainsFunc(r.Causes, func(c Cause) bool { return c.Code == code })
	}
	fading := explainedSheet(t, walk(0, -0.03, true))
	if !has(fading, causes.Drift) || has(fading, causes.TopBright) || !fading.Drift.Corrected || math.Abs(fading.Drift.StopsPerMinute+0.03) > 0.002 {
		t.Errorf("a fading light: causes %v, drift %+v", fading.Causes, fading.Drift)
	}
	sloping := explainedSheet(t, walk(0.2, 0, true))
	if has(sloping, causes.Drift) || !has(sloping, causes.TopBright) && !sloping.Causes[0].may(causes.TopBright) || sloping.Drift.Significant {
		t.Errorf("a slope: causes %v, drift %+v", sloping.Causes, sloping.Drift)
	}
	unknown := explainedSheet(t, walk(0.2, 0, false))
	// Without reference readings either may be.
	if c := unknown.Causes; len(c) == 0 || !(c[0].Code == causes.TopBright && c[0].may(causes.Drift) || c[0].Code == causes.Drift && c[0].may(causes.TopBright)) {
		t.Errorf("without a reference: causes %+v", c)
	}
	// The correction brings the surface back.
	if fading.Evenness.SpreadStops > 0.08 {
		t.Errorf("corrected spread %.3f stop", fading.Evenness.SpreadStops)
	}
}

// Nine readings are enough to name a data-entry error, wherever it is, and too few
// to call a fall-off one.
func TestSuspectAmongNine(t *testing.T) {
	places := []string{"A1", "A2", "A3", "B1", "B2", "B3", "C1", "C2", "C3"}
	levels := []float64{742, 765, 1105, 810, 842, 1180, 655, 701, 1030}
	sheet := func(slip int) string {
		var b strings.Builder
		b.WriteString("# width: 4.8\n# height: 2.4\nlabel,lux\n")
		for i, place := range places {
			level := levels[i]
			if i == slip {
				level /= photometry.LuxPerFootcandle
			}
			fmt.Fprintf(&b, "%s,%.0f\n", place, level)
		}
		return b.String()
	}
	if got := suspectsIn(judged(t, strings.NewReader(sheet(-1)))); got != "" {
		t.Errorf("nothing wrong: suspects %q", got)
	}
	for i, place := range places {
		got := suspectsIn(judged(t, strings.NewReader(sheet(i))))
		if !strings.HasPrefix(got, place+" "+entry.LuxFootcandleSwap) || strings.Contains(got, ";") {
			t.Errorf("slip at %s: suspects %q", place, got)
		}
	}
}
