package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
)

const againstHeader = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,CCT"

var againstRows = []string{"left,point,-1.5,1.5,3,3,1,0,20000,70,5600", "right,point,5.5,1.5,2.4,1.5,1,0,22000,70,5600"}

// readings are those of lamps over a surface of 4 × 2 m by a meter that scatters,
// as a file; factors are what each lamp gives of its row.
func readings(t *testing.T, rows []string, factors []float64, ambient, scatter float64, notes string, entryError func(i int, v float64) float64) (*survey.Survey, *evenness.Result) {
	t.Helper()
	r := rand.New(rand.NewPCG(17, 3))
	var lamps []element
	for k, text := range rows {
		var at, aim vec
		var flux, deg float64
		cells := strings.Split(text, ",")
		for i := range 3 {
			fmt.Sscan(cells[2+i], &at[i])
			fmt.Sscan(cells[5+i], &aim[i])
		}
		fmt.Sscan(cells[8], &flux)
		fmt.Sscan(cells[9], &deg)
		lamps = append(lamps, beam(at, aim, factors[k]*flux, deg))
	}
	var b strings.Builder
	b.WriteString("# width: 4\n# height: 2\n" + notes + "x (m),y (m),E (lx)\n")
	i := 0
	for y := 0.2; y < 2; y += 0.4 {
		for x := 0.25; x < 4; x += 0.5 {
			v := (lux(lamps, vec{x, y, 0}, vec{0, 0, 1}) + ambient) * (1 + scatter*r.NormFloat64())
			if entryError != nil {
				v = entryError(i, v)
			}
			fmt.Fprintf(&b, "%.2f,%.2f,%.2f\n", x, y, v)
			i++
		}
	}
	s, err := survey.Read([]survey.Input{{Name: "read.csv", Reader: strings.NewReader(b.String())}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	judged, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, judged
}

func against(t *testing.T, planned []string, s *survey.Survey, r *evenness.Result) *Score {
	t.Helper()
	c, err := newScene(t, row(againstHeader, planned...), Options{Surface: box(4, 2)}).Against(r)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func warned(c *Score) string {
	var codes []string
	for _, w := range c.Warnings {
		codes = append(codes, w.Code)
	}
	return strings.Join(codes, " ")
}

// What the readings were made with is found again, within its own interval, and
// the error is the meter's scatter.
func TestAgainstFindsLevels(t *testing.T) {
	const scatter = 0.01
	s, r := readings(t, againstRows, []float64{0.5, 1.1}, 60, scatter, "# repeatability: 1 %\n", nil)
	c := against(t, againstRows, s, r)
	for k, want := range []float64{50, 110} {
		if l := c.Lamps[k]; math.Abs(l.Percent-want) > 4 || want < *l.Low || want > *l.High {
			t.Errorf("%s: %.1f (%.1f to %.1f), want %.0f", l.Name, l.Percent, *l.Low, *l.High, want)
		}
	}
	if a := c.Ambient; 60 < *a.Low || 60 > *a.High {
		t.Errorf("ambient %.1f (%.1f to %.1f), want 60", a.Value, *a.Low, *a.High)
	}
	// rms of 40 readings less 3 figures fitted.
	near(t, "rms", c.RMSStops, scatter/math.Ln2*math.Sqrt(37./40), 0.3)
	if !c.Explained || c.Readings != 40 {
		t.Errorf("%d readings, explained %v, limit %v", c.Readings, c.Explained, c.ScatterStops)
	}
	if !strings.Contains(warned(c), "lamp_level") || !strings.Contains(warned(c), "ambient") {
		t.Errorf("warned of %q", warned(c))
	}
}

// As planned there is nothing to warn of.
func TestAgainstAsPlanned(t *testing.T) {
	s, r := readings(t, againstRows, []float64{1, 1}, 0, 0.01, "# repeatability: 1 %\n", nil)
	c := against(t, againstRows, s, r)
	if len(c.Warnings) > 0 || !c.Explained || math.Abs(c.AsPlanned.OffsetStops) > 0.01 {
		t.Errorf("%+v explained %v, %+v", c.Warnings, c.Explained, c.AsPlanned)
	}
	if c.Ambient.Value < 0 || *c.Ambient.Low != 0 {
		t.Errorf("ambient %+v", c.Ambient)
	}
}

// A lamp that gives the surface nothing takes no part: nobody is asked to read it.
func TestAgainstLampThatGivesNothing(t *testing.T) {
	s, r := readings(t, againstRows, []float64{1, 1}, 0, 0.01, "# repeatability: 1 %\n", nil)
	c := against(t, append(slices.Clone(againstRows), "behind,point,2,1,4,2,1,9,20000,40,5600"), s, r)
	if len(c.Lamps) != 2 || warned(c) != "gives_nothing" || c.Warnings[0].Values["lamp"] != "behind" || c.Warnings[0].Values["read"] != false || !c.Explained {
		t.Errorf("%q, %+v", warned(c), c.Lamps)
	}
}

// A reading typed in footcandles does not move what is fitted, and is named.
func TestAgainstEntryError(t *testing.T) {
	s, r := readings(t, againstRows, []float64{1, 1}, 0, 0.01, "# repeatability: 1 %\n", func(i int, v float64) float64 {
		if i == 19 {
			return v * 0.3048 * 0.3048
		}
		return v
	})
	c := against(t, againstRows, s, r)
	if len(c.Excluded) != 1 || math.Abs(c.Excluded[0].Stops+3.43) > 0.1 || !c.Explained {
		t.Errorf("left out %+v, explained %v", c.Excluded, c.Explained)
	}
	for _, l := range c.Lamps {
		if math.Abs(l.Percent-100) > 3 {
			t.Errorf("%+v", l)
		}
	}
}

// A lamp that is off is found to be dark.
func TestAgainstDarkLamp(t *testing.T) {
	s, r := readings(t, againstRows, []float64{1, 0}, 0, 0.01, "# repeatability: 1 %\n", nil)
	c := against(t, againstRows, s, r)
	if !strings.Contains(warned(c), "lamp_dark") || c.Lamps[1].Percent > 5 {
		t.Errorf("%+v %+v", c.Warnings, c.Lamps)
	}
	if c.Lamps[1].Percent < 0 {
		t.Error("negative light")
	}
}

// A lamp that aims elsewhere than planned cannot explain the readings, and it is
// the one that is named, with the direction.
func TestAgainstMovedLamp(t *testing.T) {
	for _, c := range []struct {
		row, name, by string // "" for any
		lamp          int
	}{
		{"left,point,-1.5,1.5,3,4.2,1,0,20000,70,5600", "left", "", 0},
		{"left,point,-1.5,1.5,3,3,1.9,0,20000,70,5600", "left", "tilt", 0},
		{"right,point,5.5,1.5,2.4,1.5,0.2,0,22000,70,5600", "right", "tilt", 1},
		{"right,point,5.5,1.5,2,1.5,1,0,22000,70,5600", "right", "", 1},
	} {
		real := append([]string(nil), againstRows...)
		real[c.lamp] = c.row
		s, r := readings(t, real, []float64{1, 1}, 0, 0.005, "# repeatability: 0.5 %\n", nil)
		score := against(t, againstRows, s, r)
		if score.Explained || !strings.Contains(warned(score), "lamp_elsewhere") {
			t.Errorf("%s: rms %.3f, explained %v, %+v", c.row, score.RMSStops, score.Explained, score.Warnings)
			continue
		}
		for _, w := range score.Warnings {
			if w.Code == "lamp_elsewhere" && (w.Values["lamp"] != c.name || c.by != "" && w.Values["by"] != c.by) {
				t.Errorf("%s: %v", c.row, w.Values)
			}
		}
	}
}

// Two lamps at one place cannot be told apart, and are not.
func TestAgainstCannotTell(t *testing.T) {
	planned := append([]string{"twin,point,-1.5,1.5,3,3,1,0,20000,70,5600"}, againstRows...)
	s, r := readings(t, againstRows, []float64{1, 1}, 0, 0.01, "# repeatability: 1 %\n", nil)
	c := against(t, planned, s, r)
	if !strings.Contains(warned(c), "cannot_tell") {
		t.Errorf("%+v %+v", c.Warnings, c.Lamps)
	}
	if c.Lamps[0].High != nil && *c.Lamps[0].High-*c.Lamps[0].Low < 100 {
		t.Errorf("%+v", c.Lamps[0])
	}
}

func TestAgainstRefuses(t *testing.T) {
	scene := newScene(t, row(againstHeader, againstRows...), Options{Surface: box(4, 2)})
	few, err := survey.Read([]survey.Input{{Name: "few.csv", Reader: strings.NewReader("x (m),y (m),E (lx)\n1,1,500\n2,1,600\n3,1,700\n")}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := evenness.Analyze(few)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := scene.Against(r); err == nil || !strings.Contains(err.Error(), "3 readings cannot tell 2 lamps") {
		t.Errorf("few readings: %v", err)
	}
	flash, err := survey.Read([]survey.Input{{Name: "flash.csv", Reader: strings.NewReader("x (m),y (m),f\n1,1,8\n2,1,8\n3,1,11\n1,2,8\n2,2,8\n3,2,11\n")}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if r, err = evenness.Analyze(flash); err != nil {
		t.Fatal(err)
	}
	if _, err := scene.Against(r); err == nil || !strings.Contains(err.Error(), "luminous exposure") {
		t.Errorf("flash: %v", err)
	}
}

// What a fit would take too long for is refused before anything is made for it.
func TestAgainstTooMany(t *testing.T) {
	const lamps = 200
	var rows []string
	for i := range lamps {
		rows = append(rows, strings.Replace(againstRows[0], strings.SplitN(againstRows[0], ",", 2)[0], fmt.Sprint("lamp ", i), 1))
	}
	scene := newScene(t, row(againstHeader, rows...), Options{Surface: box(4, 2)})
	for _, readings := range []int{schema.MostFitted / lamps / lamps, schema.MostFitted/lamps/lamps + 1} {
		text := "x (m),y (m),E (lx)\n"
		for i := range readings {
			text += fmt.Sprintf("%g,%g,500\n", float64(i%20)/5, float64(i/20)/10)
		}
		s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(text)}}, survey.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		err = scene.tooManyReadings(s)
		if want := "found 251 readings against 200 lamps, expected at most 250"; (readings > 250) != (err != nil) || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("%d readings: %v", readings, err)
		}
	}
}

// The errors of a plan are a survey that can be drawn: about 1, with its rows and
// columns.
func TestErrorSurvey(t *testing.T) {
	s, r := readings(t, againstRows, []float64{1, 1}, 0, 0.01, "# repeatability: 1 %\n", func(i int, v float64) float64 {
		if i == 19 {
			return v / 10
		}
		return v
	})
	c := against(t, againstRows, s, r)
	e := c.ErrorSurvey()
	if e.Len() != 39 || e.Lattice == nil || e.Missing != 1 {
		t.Fatalf("%d points, lattice %v, %d missing", e.Len(), e.Lattice != nil, e.Missing)
	}
	for i := range e.Level {
		near(t, e.Name(i), e.Level[i], 1, 0.05)
	}
	if _, err := evenness.Analyze(e); err != nil {
		t.Error(err)
	}
}

// fileWith is a file of readings of all lamps together and of each alone over a
// surface of 4 × 2 m, by the laws alone; room is the ambient light at x, in lx.
func fileWith(rows []string, factors []float64, room func(x float64) float64, inAlone, ambientRows bool) string {
	var lamps []element
	for k, text := range rows {
		var n [9]float64
		cells := strings.Split(text, ",")
		for i := range n {
			if i+2 < len(cells) {
				fmt.Sscan(cells[2+i], &n[i])
			}
		}
		lamps = append(lamps, beam(vec{n[0], n[1], n[2]}, vec{n[3], n[4], n[5]}, factors[k]*n[6], n[7]))
	}
	var b strings.Builder
	b.WriteString("# width: 4\n# height: 2\n# repeatability: 0.5 %\nlamp,x (m),y (m),E (lx)\n")
	for y := 0.25; y < 2; y += 0.5 {
		for x := 0.5; x < 4; x++ {
			write := func(lamp string, v float64) { fmt.Fprintf(&b, "%s,%.2f,%.2f,%.3f\n", lamp, x, y, v) }
			write("all", lux(lamps, vec{x, y, 0}, vec{0, 0, 1})+room(x))
			for k := range lamps {
				v := lux(lamps[k:k+1], vec{x, y, 0}, vec{0, 0, 1})
				if inAlone {
					v += room(x)
				}
				write(strings.Split(rows[k], ",")[0], v)
			}
			if ambientRows {
				write("ambient", room(x))
			}
		}
	}
	return b.String()
}

// Readings of single lamps may hold the ambient light or not, and the ambient
// light may have been read or not: what the readings were made with is found in
// each case, and which of them it is. The ambient light that was read may run
// unevenly.
func TestAgainstAmbientInSingleLamps(t *testing.T) {
	even := func(float64) float64 { return 60 }
	sloping := func(x float64) float64 { return 30 + 20*x }
	for _, c := range []struct {
		name            string
		room            func(x float64) float64
		inAlone, byRows bool
	}{
		{"without", even, false, false}, {"with", even, true, false},
		{"without, read", even, false, true}, {"with, read", even, true, true},
		{"without, read, uneven", sloping, false, true}, {"with, read, uneven", sloping, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, r := judgedFile(t, fileWith(againstRows, []float64{0.8, 0.5}, c.room, c.inAlone, c.byRows))
			score := against(t, againstRows, s, r)
			near(t, "left", score.Lamps[0].Percent, 80, 0.002)
			near(t, "right", score.Lamps[1].Percent, 50, 0.002)
			mean := 60.0 // of both
			if c.byRows && c.room(0) == 30 {
				mean = 70
			}
			near(t, "ambient", score.Ambient.Value, mean, 0.01)
			if math.Abs(*score.AloneStops) > 0.003 || !score.Explained {
				t.Errorf("alone %+.4f stop, explained %v, rms %.4f", *score.AloneStops, score.Explained, score.RMSStops)
			}
			if score.AmbientInAlone == nil || *score.AmbientInAlone != c.inAlone {
				t.Errorf("ambient in single lamps: %v, want %v", score.AmbientInAlone, c.inAlone)
			}
		})
	}
	// Without any ambient light there is nothing to tell, and nothing is said.
	s, r := judgedFile(t, fileWith(againstRows, []float64{0.8, 0.5}, func(float64) float64 { return 0 }, false, false))
	score := against(t, againstRows, s, r)
	near(t, "left", score.Lamps[0].Percent, 80, 0.002)
	if score.AmbientInAlone != nil || strings.Contains(warned(score), "ambient") {
		t.Errorf("%v, %v", score.AmbientInAlone, score.Warnings)
	}
}

// Where readings scatter too much to tell, the figures stand as for balance, and
// a word says so.
func TestAgainstCannotTellAmbient(t *testing.T) {
	text := fileWith(againstRows, []float64{0.8, 0.5}, func(float64) float64 { return 60 }, false, false)
	s, r := judgedFile(t, strings.Replace(text, "0.5 %", "3 %", 1))
	score := against(t, againstRows, s, r)
	near(t, "left", score.Lamps[0].Percent, 80, 0.002)
	if score.AmbientInAlone != nil || !strings.Contains(warned(score), "ambient_alone") {
		t.Errorf("%v, %v", score.AmbientInAlone, score.Warnings)
	}
}

// Lamps that were brighter when they were read alone are told from ambient light.
func TestAgainstTimeAndAmbient(t *testing.T) {
	for _, inAlone := range []bool{false, true} {
		var out strings.Builder
		for line := range strings.Lines(fileWith(againstRows, []float64{0.8, 0.5}, func(float64) float64 { return 60 }, inAlone, false)) {
			var v float64
			cells := strings.Split(strings.TrimSpace(line), ",")
			if _, err := fmt.Sscan(cells[len(cells)-1], &v); err == nil && cells[0] != "all" {
				room := map[bool]float64{true: 60}[inAlone]
				cells[3] = fmt.Sprintf("%.3f", 1.1*(v-room)+room)
			}
			out.WriteString(strings.Join(cells, ",") + "\n")
		}
		s, r := judgedFile(t, out.String())
		score := against(t, againstRows, s, r)
		near(t, "left", score.Lamps[0].Percent, 80, 0.005)
		near(t, "ambient", score.Ambient.Value, 60, 0.03)
		near(t, "time", math.Exp2(*score.AloneStops), 1.1, 0.005)
	}
}

func judgedFile(t *testing.T, text string) (*survey.Survey, *evenness.Result) {
	t.Helper()
	s, err := survey.Read([]survey.Input{{Name: "read.csv", Reader: strings.NewReader(text)}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}
