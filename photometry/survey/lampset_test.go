package survey_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

func lampInput(name, text string) survey.LampInput {
	return survey.LampInput{Input: survey.Input{Name: name, Reader: strings.NewReader(text)}}
}

func readLamps(t *testing.T, inputs ...survey.LampInput) *survey.LampSet {
	t.Helper()
	set, err := survey.ReadLampSet(inputs, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func lampNames(set *survey.LampSet) string {
	var names []string
	for _, m := range set.Maps {
		names = append(names, m.Name)
	}
	return strings.Join(names, " ")
}

const (
	mapA   = "x (m),y (m),E (lx)\n0,0,100\n1,0,80\n2,0,60\n3,0,40\n"
	mapB   = "x (m),y (m),E (lx)\n0,0,20\n1,0,40\n2,0,60\n3,0,90\n"
	mapSum = "x (m),y (m),E (lx)\n0,0,121\n1,0,119\n2,0,121\n3,0,131\n"
)

// Who a file's readings are of: the column, the note, the file's name; and all
// lamps together where that is what fits.
func TestWhoseReadings(t *testing.T) {
	note := func(name, text string) string { return "# lamp: " + name + "\n" + text }
	for _, c := range []struct {
		name     string
		inputs   []survey.LampInput
		lamps    string
		together bool
		inferred string
	}{
		{"files by their names", []survey.LampInput{lampInput("left.csv", mapA), lampInput("dir/right.csv", mapB)}, "left right", false, ""},
		{"notes", []survey.LampInput{lampInput("1.csv", note("key", mapA)), lampInput("2.csv", note("fill", mapB))}, "key fill", false, ""},
		{"a column", []survey.LampInput{lampInput("all.csv", "lamp,x (m),y (m),E (lx)\nkey,0,0,100\nkey,1,0,80\nFILL,0,0,20\nfill,1,0,40\n")}, "key FILL", false, ""},
		{"a column and all", []survey.LampInput{lampInput("a.csv", "lamp,x (m),y (m),E (lx)\n,0,0,120\nall,1,0,120\nkey,0,0,100\nfill,1,0,40\n")}, "key fill", true, ""},
		{"a file called all", []survey.LampInput{lampInput("All.csv", mapSum), lampInput("a.csv", mapA), lampInput("b.csv", mapB)}, "a b", true, ""},
		{"one says nothing and is another lamp", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", note("fill", mapB))}, "a fill", false, "taken as the lamp “a”"},
		{"one says nothing and is the sum", []survey.LampInput{lampInput("cloth.csv", mapSum), lampInput("a.csv", note("key", mapA)), lampInput("b.csv", note("fill", mapB))}, "key fill", true, "sum.names_no_lamp"},
		{"two say nothing", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", mapB), lampInput("c.csv", note("top", mapA))}, "a b top", false, "taken as the lamp"},
		{"one says nothing, lamps at a few places", []survey.LampInput{lampInput("cloth.csv", mapSum), lampInput("l.csv", "lamp,x (m),y (m),E (lx)\nkey,0,0,100\nkey,3,0,40\nfill,0,0,20\n")}, "key fill", true, "all lamps together"},
		{"ambient is no name", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", mapB), lampInput("h.csv", note("Ambient", mapB))}, "a b Ambient", false, ""},
		{"the same file twice is the same lamp", []survey.LampInput{lampInput("a.csv", mapA), lampInput("2/a.csv", mapA), lampInput("b.csv", mapB)}, "a b", false, ""},
	} {
		set, err := survey.ReadLampSet(c.inputs, survey.ReadOptions{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		told := ""
		for _, r := range set.Surface.Inferred {
			if r.Code == "names_no_lamp" {
				told += "names no lamp: all lamps together"
			}
		}
		for _, f := range set.Surface.Warnings {
			if f.Code == "names_no_lamp" {
				told += "; names no lamp: " + f.Key
				if lamp, ok := f.Values["lamp"].(string); ok {
					told += " taken as the lamp " + lamp
				}
			}
		}
		if got := lampNames(set); got != c.lamps || set.Together != c.together || !strings.Contains(told, c.inferred) || c.inferred == "" && strings.Contains(told, "names no lamp") {
			t.Errorf("%s: lamps %q, together %v, inferred %q", c.name, got, set.Together, told)
		}
	}
}

// Levels stand at their places whatever the order of rows, with zero legal,
// repeats as means and a place that one lamp lacks left out.
func TestLampMaps(t *testing.T) {
	set := readLamps(t, lampInput("a.csv", "label,x (m),y (m),E (lx)\nP,0,0,100\nQ,1,0,50\nR,2,0,0\nP,0,0,104\nS,3,0,7\n"),
		lampInput("b.csv", "label,E (lx)\nR,90\nq,40\nP,10\n"))
	s := set.Surface
	if s.Len() != 3 || s.Level[0] != 112 || s.Level[1] != 90 || s.Level[2] != 90 {
		t.Errorf("sums %v", s.Level)
	}
	a := set.Find("A")
	if a == nil || !slices.Equal(a.Level, []float64{102, 50, 0}) || a.Repeats[0] != 2 || a.Read != 3 {
		t.Errorf("a: %+v", a)
	}
	if !slices.ContainsFunc(s.Warnings, func(f photometry.Finding) bool { return f.Code == "places_left_out" }) {
		t.Errorf("warnings %v", s.Warnings)
	}
	// Two readings of one place: one degree of freedom, s² the half of the square
	// of their distance.
	if n := set.Noise(); n.Source != "repeats" || n.DegreesOfFreedom != 1 || math.Abs(n.RepeatabilityPercent-100*math.Log(1.04)/math.Sqrt2) > 1e-9 {
		t.Errorf("noise %+v", n)
	}
}

// Units, decimal commas and grids mix: each file says what it is.
func TestLampMapsOfManyForms(t *testing.T) {
	set := readLamps(t, lampInput("a.csv", "lx,0,1,2\n0,100,80,60\n1,90,70,50\n"), lampInput("b.csv", "\ufefffc;0;1;2\r\n0;1,5;2,5;3,5\r\n1;2,0;3,0;4,0\r\n"))
	b := set.Find("b")
	fc := 1 / (0.3048 * 0.3048)
	for i, want := range map[int]float64{0: 1.5, 1: 2.5, 2: 3.5, 3: 2, 4: 3, 5: 4} {
		if math.Abs(b.Level[i]-want*fc) > 1e-9 {
			t.Errorf("place %d: %v, want %v fc", i, b.Level[i], want)
		}
	}
	// A smaller grid beside a map of all is a few places of it.
	set = readLamps(t, lampInput("all.csv", "lx,0,1,2\n0,100,80,60\n1,90,70,50\n"), lampInput("b.csv", "lx,0,2\n0,40,30\n"))
	if b := set.Find("b"); b.Read != 2 || b.Level[2] != 30 || !math.IsNaN(b.Level[1]) {
		t.Errorf("smaller grid: %+v", b)
	}
}

func TestLampSetErrors(t *testing.T) {
	for _, c := range []struct {
		name   string
		inputs []survey.LampInput
		want   string
	}{
		{"nothing", nil, "no file"},
		{"all together only", []survey.LampInput{lampInput("all.csv", mapSum)}, "all lamps together only"},
		{"a negative level", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", "x (m),y (m),E (lx)\n0,0,20\n1,0,-4\n2,0,60\n3,0,90\n")}, `b.csv:3:3: found "-4", expected a level of 0 or more`},
		{"other places", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", "x (m),y (m),E (lx)\n10,0,20\n11,0,40\n12,0,60\n13,0,90\n")}, "4 of 4 places that a.csv does not have"},
		{"one other place", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", "x (m),y (m),E (lx)\n0,0,20\n1,0,40\n2,0,60\n7,0,90\n")}, "b.csv:5:1: found"},
		{"another quantity", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", "x (m),y (m),f\n0,0,8\n1,0,8\n2,0,8\n3,0,8\n")}, "levels of luminous exposure of the lamp “b”"},
		{"too few places", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", "x (m),y (m),E (lx)\n0,0,20\n")}, "the lamp “b” alone at 1 of the 4 places"},
		{"color only", []survey.LampInput{lampInput("a.csv", mapA), lampInput("b.csv", "x (m),y (m),CCT (K)\n0,0,3200\n1,0,3200\n")}, "no levels of the lamp “b”"},
	} {
		_, err := survey.ReadLampSet(c.inputs, survey.ReadOptions{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// A data-entry error in one lamp's map is found there, in a small map and in a large one,
// where its own light is the larger part of the sum or the smaller.
func TestSlipsInLampMaps(t *testing.T) {
	for _, columns := range []int{9, 40} {
		var a, b strings.Builder
		for _, w := range []*strings.Builder{&a, &b} {
			w.WriteString("x (m),y (m),E (lx)\n")
		}
		rows := columns * 5 / 9
		slip := columns*(rows/2) + columns/2
		for i := range columns * rows {
			x, y := 4*float64(i%columns)/float64(columns), 2*float64(i/columns)/float64(rows)
			level := 900 / (1 + 0.1*x*x + 0.1*y*y)
			other := 9000 / (1 + 0.1*(4-x)*(4-x) + 0.1*y*y)
			if i == slip {
				level /= 10
			}
			fmt.Fprintf(&a, "%.4f,%.4f,%.2f\n", x, y, level)
			fmt.Fprintf(&b, "%.4f,%.4f,%.2f\n", x, y, other)
		}
		set := readLamps(t, lampInput("a.csv", a.String()), lampInput("b.csv", b.String()))
		got := set.Find("a").Suspects
		if len(got) != 1 || got[0].Point != slip || !slices.Contains(got[0].Reasons, entry.MisplacedDecimal) || got[0].Line != slip+2 {
			t.Errorf("%d columns: suspects %+v", columns, got)
		}
		if more := set.Find("b").Suspects; len(more) > 0 {
			t.Errorf("%d columns: suspects of the other lamp %+v", columns, more)
		}
	}
}

// Drift that repeat readings of one place show is taken out of a lamp's map.
func TestDriftOfALamp(t *testing.T) {
	var a strings.Builder
	a.WriteString("# repeatability: 0.5 %\nlabel,x (m),y (m),time (min),E (lx)\n")
	for i := range 20 {
		level := 500 * math.Exp2(0.02*float64(i))
		label, x := fmt.Sprintf("P%d", i), float64(i)
		if i%4 == 0 {
			label, x = "R", 100
		}
		fmt.Fprintf(&a, "%s,%v,0,%d,%.4f\n", label, x, i, level)
	}
	set := readLamps(t, lampInput("a.csv", a.String()), lampInput("all.csv", a.String()))
	m := set.Find("a")
	if m.Drift == nil || !m.Drift.Corrected || math.Abs(m.Drift.StopsPerMinute-0.02) > 1e-6 {
		t.Fatalf("drift %+v", m.Drift)
	}
	for i, v := range m.Level {
		if math.Abs(v/m.Level[0]-1) > 1e-5 {
			t.Errorf("place %d: %v lx, the first %v", i, v, m.Level[0])
		}
	}
}

func FuzzReadLampSet(f *testing.F) {
	f.Add(mapA, mapB)
	f.Add("lamp,label,E (lx)\nkey,A1,100\n,A1,120\n", "# width: 2\n# height: 1\nlabel,lux\nA1,5\nA2,6\n")
	f.Add("lx,0,1\n0,1,2\n1,3,4\n", "lx,0\n0,1\n")
	f.Fuzz(func(t *testing.T, a, b string) {
		set, err := survey.ReadLampSet([]survey.LampInput{lampInput("a.csv", a), lampInput("b.csv", b)}, survey.ReadOptions{})
		if err != nil {
			return
		}
		n := set.Surface.Len()
		for _, m := range set.Maps {
			if len(m.Level) != n || m.Repeats != nil && len(m.Repeats) != n || m.U != nil && len(m.U) != n || m.Read > n {
				t.Fatalf("%d points, %+v", n, m)
			}
			for _, v := range m.Level {
				if v < 0 || math.IsInf(v, 0) {
					t.Fatalf("a level of %v", v)
				}
			}
		}
	})
}

// Computed levels that are readings as they stand are judged as Analyze judges
// them: the same figures, the same interval.
func TestJudgeAgreesWithAnalyze(t *testing.T) {
	s, err := survey.Read([]survey.Input{{Name: "a.csv", Reader: strings.NewReader("# repeatability: 1.5 %\n# resolution: 0.0001 stop\n# area: 0.5,-1,3.5,1\n" + mapA + "4,0,55\n")}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	set := &survey.LampSet{Surface: s, Together: true}
	got := evenness.JudgeComputed(set, evenness.Computed{Level: s.Level})
	for _, e := range [][2]evenness.Statistics{{got.Evenness, want.Evenness}, {*got.Area, *want.Area}} {
		a, b := e[0], e[1]
		if a.SpreadStops != b.SpreadStops || a.Mean != b.Mean || a.WithinPercent != b.WithinPercent || a.Brightest != b.Brightest || math.Abs(a.NoiseFloorStops-b.NoiseFloorStops) > 1e-9 ||
			math.Abs(a.SpreadInterval[0]-b.SpreadInterval[0]) > 1e-9 || math.Abs(a.SpreadInterval[1]-b.SpreadInterval[1]) > 1e-9 {
			t.Errorf("judged %+v %v, analyzed %+v %v", a, *a.SpreadInterval, b, *b.SpreadInterval)
		}
	}
	if got.Verdict.Evenness != want.Verdict.Evenness || got.Reference != want.Reference {
		t.Errorf("judged %+v about %+v, analyzed %+v about %+v", got.Verdict, got.Reference, want.Verdict, want.Reference)
	}
}

// A drift that was taken out of a lamp's readings counts in how the set scatters:
// what it may err by is never zero. Without one there is none.
func TestLampDriftCountsInTheScatter(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("# repeatability: 1 %\ntime,x (m),y (m),E (lx)\n")
	for i := range 30 {
		x := float64(i % 5)
		if i%6 == 0 {
			x = 0 // the reference, again and again
		}
		fmt.Fprintf(&rows, "10:%02d,%g,0,%.2f\n", i, x, 100*math.Exp2(-0.02*float64(i)))
	}
	steady := "# repeatability: 1 %\nx (m),y (m),E (lx)\n0,0,50\n1,0,50\n2,0,50\n3,0,50\n4,0,50\n"
	set := readLamps(t, lampInput("a.csv", rows.String()), lampInput("b.csv", steady))
	if models, _ := set.Scatter(); set.Maps[0].Drift == nil || !set.Maps[0].Drift.Corrected || !(models[0].Drift > 0) {
		t.Errorf("drift %+v, scatter %+v", set.Maps[0].Drift, models)
	}
	set = readLamps(t, lampInput("a.csv", steady), lampInput("b.csv", steady))
	if models, _ := set.Scatter(); models[0].Drift != 0 {
		t.Errorf("no drift, scatter %+v", models)
	}
}

// What people wrote beside readings of lamps alone is kept, with the lamp's name whether a
// row, a note or the name of the file has it.
func TestRemarksOfLamps(t *testing.T) {
	const places = "label,x (m),y (m),E (lx),note\nA1,0,0,500,\nA2,1,0,510,gel sags\nB1,0,1,505,\nB2,1,1,495,\n"
	set, err := survey.ReadLampSet([]survey.LampInput{
		lampInput("left.csv", places),
		lampInput("b.csv", "label,x (m),y (m),E (lx),lamp,note\nA1,0,0,300,right,\nA2,1,0,310,right,hums\nB1,0,1,305,right,\nB2,1,1,295,right,\n"),
	}, survey.ReadOptions{})
	want := []photometry.PlaceNote{{Place: "A2, left", Text: "gel sags"}, {Place: "A2, right", Text: "hums"}}
	if err != nil || !slices.Equal(set.Surface.Notes, want) {
		t.Errorf("%v, %v, want %v", err, set.Surface.Notes, want)
	}
}
