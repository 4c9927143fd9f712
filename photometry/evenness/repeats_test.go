package evenness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// walkTwice is a nine-place surface whose middle is read again and again, with
// one reading typed wrong.
func repeated(readings []string) string {
	var b strings.Builder
	b.WriteString("# reference: B2\nlabel,x (m),y (m),time,lux\n")
	for i, place := range []string{"A1", "A2", "A3", "B1", "B3", "C1", "C2", "C3"} {
		c, r, _ := spatial.ParseGridLabel(place)
		fmt.Fprintf(&b, "%s,%d,%d,10:%02d,%d\n", place, c, 2-r, 5*i, 500+2*i%7)
	}
	for i, text := range readings {
		fmt.Fprintf(&b, "B2,1,1,10:%02d,%s\n", 5*i+2, text)
	}
	return b.String()
}

// A data-entry error in one of several readings is named by its own line and found text,
// spoils neither the drift nor the scatter, and is not averaged away in silence.
func TestSlipAmongRepeats(t *testing.T) {
	for name, readings := range map[string][]string{
		"last of three": {"502", "499", "46.7"},
		"first of four": {"46.7", "502", "499", "500"},
		"one of two":    {"501", "46.5"},
	} {
		r := judged(t, strings.NewReader(repeated(readings)))
		slip := readings[slices.IndexFunc(readings, func(s string) bool { return len(s) == 4 })]
		if len(r.Suspects) != 1 || r.Suspects[0].Label != "B2" || r.Suspects[0].Found != slip+" lx" || !slices.Contains(r.Suspects[0].Reasons, entry.LuxFootcandleSwap) || r.Suspects[0].Line == 0 {
			t.Errorf("%s: suspects %+v", name, r.Suspects)
		}
		if r.Drift != nil && r.Drift.Significant {
			t.Errorf("%s: called a drift of %.2f stop", name, r.Drift.TotalStops)
		}
		if r.Noise.RepeatabilityPercent > 5 {
			t.Errorf("%s: scatter of %.1f %%", name, r.Noise.RepeatabilityPercent)
		}
		if r.Without == nil || r.Without.SpreadStops > 0.1 {
			t.Errorf("%s: without it %+v", name, r.Without)
		}
	}
	// Repeats that disagree without a data-entry error that explains it are told.
	r := judged(t, strings.NewReader(repeated([]string{"500", "700", "501"})))
	if len(r.Suspects) != 0 || !slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool { return f.Code == "repeats_disagree" }) {
		t.Errorf("disagreeing repeats: suspects %+v, warnings %+v", r.Suspects, r.Warnings)
	}
}

// Two days are not one survey, and the same file twice is a mistake.
func TestTwins(t *testing.T) {
	day := func(date string) string { return "# date: " + date + "\nx (m),y (m),lux\n0,0,100\n1,0,101\n2,0,102\n" }
	both := func(a, b survey.Input) error {
		_, err := survey.Read([]survey.Input{a, b}, survey.ReadOptions{})
		return err
	}
	in := func(name, text string) survey.Input { return survey.Input{Name: name, Reader: strings.NewReader(text)} }
	if err := both(in("a.csv", day("2026-03-04")), in("b.csv", day("2026-03-05"))); err == nil || !strings.Contains(err.Error(), "levels of another date") {
		t.Errorf("two days: %v", err)
	}
	if err := both(in("a.csv", day("2026-03-04")), in("a.csv", day("2026-03-04"))); err == nil || !strings.Contains(err.Error(), "the same file twice") {
		t.Errorf("one file twice: %v", err)
	}
	again := strings.Replace(day("2026-03-04"), "101", "102", 1)
	s, err := survey.Read([]survey.Input{in("a.csv", day("2026-03-04")), in("b.csv", again)}, survey.ReadOptions{})
	if err != nil || s.ReadingCount != 6 || !slices.ContainsFunc(s.Warnings, func(f photometry.Finding) bool { return strings.Contains(f.Text, "count as repeat readings") }) {
		t.Errorf("repeats in two files: %v, %+v", err, s)
	}
}

// Gaps in rows and columns weigh as the area around them: by hand, three places
// of a 2 × 2 grid share the fourth's quarter.
func TestGapsAreWeighed(t *testing.T) {
	// Voronoi cells of (0.5,0.5), (1.5,0.5), (0.5,1.5) in a 2 × 2 square: the
	// free corner's unit square is halved between the two next to it.
	s, err := read("# width: 2\n# height: 2\n# grid: 2x2\nlabel,lux\nB1,100\nB2,200\nA1,300\n")
	if err != nil {
		t.Fatal(err)
	}
	r, err := Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	if want := (1*100 + 1.5*200 + 1.5*300) / 4.0; math.Abs(r.Evenness.Mean-want) > 1e-9 {
		t.Errorf("mean %v, by hand %v", r.Evenness.Mean, want)
	}
}

// One reading in the area is an error, not an endless search.
func TestOneReadingInArea(t *testing.T) {
	s, err := read("# width: 4\n# height: 2\n# area: 0.5,0.2,1.5,0.8\nlabel,lux\nA1,500\nA2,520\nB1,510\nB2,500\n")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Analyze(s); err == nil || !strings.Contains(err.Error(), "expected at least two") {
		t.Errorf("error %v", err)
	}
}

// An empty Duv is no Duv of zero, and a place with kelvins alone passes nothing.
func TestEmptyDuv(t *testing.T) {
	r := judged(t, strings.NewReader("x (m),y (m),lux,CCT (K),Duv\n0,0,100,5600,0.01\n1,0,100,5600,0.01\n2,0,100,5500,\n"))
	if r.Color.Points != 2 || r.Verdict.Color != uncertainty.Unsure || !slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool { return f.Code == "no_duv" }) {
		t.Errorf("%d colors, %s, %+v", r.Color.Points, r.Verdict.Color, r.Warnings)
	}
}

// Marks of the scale are no odd f-numbers, 8.5 is one.
func TestOddFNumbers(t *testing.T) {
	warned := func(cells ...string) bool {
		sheet := "x (m),y (m),f\n"
		for i, c := range cells {
			sheet += fmt.Sprintf("%d,0,%s\n", i, c)
		}
		return slices.ContainsFunc(judged(t, strings.NewReader(sheet)).Warnings, func(f photometry.Finding) bool { return f.Code == "no_mark" })
	}
	if warned("2", "2.8", "4", "5.6", "8", "11", "16", "8 5/10", "6.3") {
		t.Error("marks are called none")
	}
	if !warned("8", "8.5", "8") {
		t.Error("8.5 passes for a mark")
	}
}

// A further file with half of its places is an error.
func TestFurtherFileWithoutY(t *testing.T) {
	_, err := survey.Read([]survey.Input{{Name: "a.csv", Reader: strings.NewReader("x (m),y (m),lux\n0,0,100\n1,0,101\n")}, {Name: "b.csv", Reader: strings.NewReader("x (m),K\n0,3200\n1,3200\n")}}, survey.ReadOptions{})
	if err == nil || !strings.Contains(err.Error(), "b.csv:1: found no column y, expected both x and y") {
		t.Errorf("error %v", err)
	}
}
