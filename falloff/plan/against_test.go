package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/photometry/survey"
)

const againstHeader = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,CCT"

var againstRows = []string{"left,point,-1.5,1.5,3,3,1,0,20000,70,5600", "right,point,5.5,1.5,2.4,1.5,1,0,22000,70,5600"}

// readings are those of lamps over a surface of 4 × 2 m by a meter that scatters,
// as a file; factors are what each lamp gives of its row.
func readings(t *testing.T, rows []string, factors []float64, ambient, scatter float64, notes string, slip func(i int, v float64) float64) (*survey.Survey, *survey.Result) {
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
			if slip != nil {
				v = slip(i, v)
			}
			fmt.Fprintf(&b, "%.2f,%.2f,%.2f\n", x, y, v)
			i++
		}
	}
	s, err := survey.Read([]survey.Input{{Name: "read.csv", Reader: strings.NewReader(b.String())}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	judged, err := survey.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, judged
}

func against(t *testing.T, planned []string, s *survey.Survey, r *survey.Result) *Score {
	t.Helper()
	c, err := newScene(t, row(againstHeader, planned...), Options{Surface: box(4, 2)}).Against(s, r)
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

// A reading typed in footcandles does not move what is fitted, and is named.
func TestAgainstSlip(t *testing.T) {
	s, r := readings(t, againstRows, []float64{1, 1}, 0, 0.01, "# repeatability: 1 %\n", func(i int, v float64) float64 {
		if i == 19 {
			return v * 0.3048 * 0.3048
		}
		return v
	})
	c := against(t, againstRows, s, r)
	if len(c.LeftOut) != 1 || math.Abs(c.LeftOut[0].Stops+3.43) > 0.1 || !c.Explained {
		t.Errorf("left out %+v, explained %v", c.LeftOut, c.Explained)
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
		row, says string
		lamp      int
	}{
		{"left,point,-1.5,1.5,3,4.2,1,0,20000,70,5600", "Left", 0},
		{"left,point,-1.5,1.5,3,3,1.9,0,20000,70,5600", "Left as planned cannot explain the readings: that it is tilted", 0},
		{"right,point,5.5,1.5,2.4,1.5,0.2,0,22000,70,5600", "Right as planned cannot explain the readings: that it is tilted", 1},
		{"right,point,5.5,1.5,2,1.5,1,0,22000,70,5600", "Right", 1},
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
			if w.Code == "lamp_elsewhere" && !strings.HasPrefix(w.Text, c.says) {
				t.Errorf("%s: %s", c.row, w.Text)
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
	r, err := survey.Analyze(few)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := scene.Against(few, r); err == nil || !strings.Contains(err.Error(), "3 readings cannot tell 2 lamps") {
		t.Errorf("few readings: %v", err)
	}
	flash, err := survey.Read([]survey.Input{{Name: "flash.csv", Reader: strings.NewReader("x (m),y (m),f\n1,1,8\n2,1,8\n3,1,11\n1,2,8\n2,2,8\n3,2,11\n")}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if r, err = survey.Analyze(flash); err != nil {
		t.Fatal(err)
	}
	if _, err := scene.Against(flash, r); err == nil || !strings.Contains(err.Error(), "luminous exposure") {
		t.Errorf("flash: %v", err)
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
	e := c.ErrorSurvey(s)
	if e.Len() != 39 || e.Lattice == nil || e.Missing != 1 {
		t.Fatalf("%d points, lattice %v, %d missing", e.Len(), e.Lattice != nil, e.Missing)
	}
	for i := range e.Level {
		near(t, e.Name(i), e.Level[i], 1, 0.05)
	}
	if _, err := survey.Analyze(e); err != nil {
		t.Error(err)
	}
}
