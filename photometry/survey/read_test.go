package survey_test

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/blank"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/photometry/tolerance"
)

func read(sheet string) (*survey.Survey, error) {
	return survey.Read([]survey.Input{{"cloth.csv", strings.NewReader(sheet)}}, survey.ReadOptions{})
}

func judged(t *testing.T, sheet string) *evenness.Result {
	t.Helper()
	s, err := read(sheet)
	if err != nil {
		t.Fatal(err)
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Whatever is wrong is told with its place, what was found and what was
// expected.
func TestBadInput(t *testing.T) {
	for name, c := range map[string]struct{ sheet, want string }{
		"empty":              {"", "expected"},
		"header only":        {"x (m),y (m),E (lx)\n", "cloth.csv:1: found a header and no rows, expected at least two readings"},
		"no levels":          {"x (m),y (m),CCT (K)\n1,1,5600\n2,1,5600\n", "found no column of levels"},
		"level without unit": {"x (m),y (m),E\n1,1,100\n", "cloth.csv:1:3: found \"E\", expected a level column with its unit"},
		"text in a level":    {"x (m),y (m),E (lx)\n1,1,100\n2,1,bright\n", "cloth.csv:3:3: found \"bright\", expected a level such as 1250"},
		"negative":           {"x (m),y (m),E (lx)\n1,1,100\n2,1,-5\n", "cloth.csv:3:3: found \"-5\", expected a level above zero"},
		"zero":               {"x (m),y (m),E (lx)\n1,1,100\n2,1,0\n", "one place read: expected at least two"},
		"NaN":                {"x (m),y (m),E (lx)\n1,1,100\n2,1,NaN\n", "cloth.csv:3:3: found \"NaN\", expected a level"},
		"inf":                {"x (m),y (m),E (lx)\n1,1,100\n2,1,inf\n", "cloth.csv:3:3: found \"inf\", expected a level"},
		"two levels":         {"x (m),y (m),E (lx),E (fc)\n1,1,100,9\n", "cloth.csv:1:4: found \"E (fc)\", expected one column of levels"},
		"two times":          {"time;pos;E [lux];clock\n19:02;1;1 020;19:02\n19:03;2;1 030;19:03\n", "cloth.csv:1:4: found \"time\", expected one column of times"},
		"split thousands":    {"Lux,Spot\n1,234,A1\n1,198,A2\n1,250,A3\n", "cloth.csv:2:1: found 3 cells under 2 heads"},
		"position empty":     {"x (m),y (m),E (lx)\n1,1,100\n,1,120\n", "cloth.csv:3:1: found an empty cell, expected a position"},
		"label twice":        {"label,x (m),y (m),lux\nA1,1,1,100\nA1,2,1,110\n", "cloth.csv:3:1: found \"A1\", expected one place for each label"},
		"off the grid":       {"# width: 2\n# height: 1\n# grid: 2x1\nlabel,lux\nA1,100\nB1,110\n", "cloth.csv:6:1: found \"B1\", expected a place of the 2 × 1 grid"},
		"unit mixed":         {"x (m),y (m),E (lx)\n1,1,100\n2,1,f/8\n", "cloth.csv:3:3: found \"f/8\", expected levels of illuminance like the rest"},
		"date as shutter":    {"# shutter: Jan-48\nx (m),y (m),E (lx)\n1,1,100\n2,1,110\n", "cloth.csv:1:1: found \"Jan-48\", expected a shutter such as 1/48"},
		"continuous f":       {"# light: continuous\nx (m),y (m),f\n1,1,8\n2,1,8\n", "expected a shutter time"},
		"bad tolerance":      {"# tolerance: tight\nx (m),y (m),E (lx)\n1,1,100\n2,1,110\n", "cloth.csv:1:1: found \"tight\", expected a tolerance in stops"},
		"unknown kind":       {"# for: ceiling\nx (m),y (m),E (lx)\n1,1,100\n2,1,110\n", "expected one of screen, cyc, backdrop"},
		"reference unknown":  {"# reference: Z9\nx (m),y (m),E (lx)\n1,1,100\n2,1,110\n", "cloth.csv:1:1: found \"Z9\", expected the label of a place"},
		"area upside down":   {"# area: 2,0,1,1\nx (m),y (m),E (lx)\n1,1,100\n2,1,110\n", "expected the part in shot as x0,y0,x1,y1"},
		"duv alone":          {"x (m),y (m),E (lx),Duv\n1,1,100,0.001\n2,1,110,0.001\n", "expected a color temperature beside it"},
		"CCT of zero":        {"x (m),y (m),E (lx),CCT (K)\n1,1,100,0\n2,1,110,5600\n", "cloth.csv:2:4: found"},
		"CC without a word":  {"x (m),y (m),E (lx),CCT (K),CC\n1,1,100,5600,1M\n2,1,110,5600,needs 1M\n", "cloth.csv:2:5: found \"1M\""},
		"off the horseshoe":  {"x (m),y (m),E (lx),cie x,cie y\n1,1,100,0.9,0.9\n2,1,110,0.31,0.33\n", "cloth.csv:2:4: found"},
		"bad time":           {"x (m),y (m),time,E (lx)\n1,1,noon,100\n2,1,10:05,110\n", "cloth.csv:2:3: found \"noon\", expected a time such as 10:05"},
		"several lamps":      {"x (m),y (m),lamp,E (lx)\n1,1,left,100\n1,1,right,110\n", "expected rows of all lamps together"},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := read(c.sheet)
			if err == nil {
				_, err = evenness.Analyze(s)
			}
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v\nwant %s", err, c.want)
			}
		})
	}
	s, err := read("x (m),y (m),E (lx)\n1,1,100\n")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := evenness.Analyze(s); err == nil || !strings.Contains(err.Error(), "one place read") {
		t.Errorf("one reading: %v", err)
	}
}

// A color spread over files is one color: what is wrong with it is told at the
// cell that gave the figure.
func TestBadColorInSeveralFiles(t *testing.T) {
	levels := "lx,0.5,1.5,2.5\n2,500,510,520\n1,505,515,525\n0,500,505,515\n"
	kelvins := "K,0.5,1.5,2.5\n2,5600,5600,5600\n1,5600,5600,5600\n0,5600,5600,5600\n"
	duvs := "Duv,0.5,1.5,2.5\n2,0.001,0.001,0.001\n1,0.001,0.001,%s\n0,0.001,0.001,0.001\n"
	for name, c := range map[string]struct {
		files []string
		want  string
	}{
		"no such Duv":   {[]string{levels, kelvins, strings.ReplaceAll(duvs, "%s", "3")}, "2.csv:3:4: found \"3\", expected a color that a light can have"},
		"no such color": {[]string{levels, strings.Replace(kelvins, "5600\n1,", "5\n1,", 1), strings.ReplaceAll(duvs, "%s", "0")}, "1.csv:2:4: found \"5\", expected a color that a light can have"},
		"Duv alone":     {[]string{levels, strings.Replace(kelvins, "\n0,5600", "\n0,", 1), strings.ReplaceAll(duvs, "%s", "0")}, "2.csv:4:2: found \"0.001\", expected a color temperature beside it"},
		"two colors": {[]string{levels, kelvins, strings.ReplaceAll(duvs, "%s", "0"),
			"mired,0.5,1.5,2.5\n2,179,179,179\n1,179,250,179\n0,179,179,179\n"}, "3.csv:3:3: found \"250\", expected the mired of 5600 K beside it"},
		"no CC": {[]string{levels, kelvins, "CC,0.5,1.5,2.5\n2,has 1G,has 1G,has 1G\n1,has 1G,has 1G,1G\n0,has 1G,has 1G,has 1G\n"}, "2.csv:3:4: found \"1G\", expected needs or has with it"},
	} {
		t.Run(name, func(t *testing.T) {
			var inputs []survey.Input
			for i, file := range c.files {
				inputs = append(inputs, survey.Input{strconv.Itoa(i) + ".csv", strings.NewReader(file)})
			}
			if _, err := survey.Read(inputs, survey.ReadOptions{}); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v\nwant %s", err, c.want)
			}
		})
	}
}

// The words that the note for completes are the kinds that it may be.
func TestKinds(t *testing.T) {
	var names []string
	for _, k := range tolerance.Kinds {
		names = append(names, k.Name)
	}
	if words := strings.Join(names, " "); words != schema.For.Values || !strings.HasSuffix(schema.For.Help, strings.Join(names, ", ")) {
		t.Errorf("%q completes %q", words, schema.For.Values)
	}
}

// What the meter was set to and what the camera is set to are different: f/8 read at
// ISO 100 is H = C·N²/S = 250·64/100 = 160 lx·s (ISO 2720), for which ISO 800 takes
// N = √(160·800/250).
func TestMeterIsNotTheCamera(t *testing.T) {
	s, err := read("# iso: 800\n# meter iso: ISO 100\nx,y,f\n0,0,8\n1,0,8\n")
	if err != nil {
		t.Fatal(err)
	}
	e := s.Settings.Exposure(photometry.Level{Value: s.Level[0], Quantity: s.Quantity})
	if math.Abs(s.Level[0]-160) > 1e-9 || e.ISO != 800 || math.Abs(*e.FNumber-math.Sqrt(160*800/250.)) > 1e-9 {
		t.Errorf("%v lx·s, exposed %+v", s.Level[0], e)
	}
}

// Headers by other words, in other languages and with other units are taken, and what
// they leave open is told.
func TestLevelHeaders(t *testing.T) {
	for header, want := range map[string]float64{"illuminance": 100, "illuminance (lx)": 100, "E (lux)": 100, "E lx": 100, "klx": 1e5, "Messwert [lx]": 100, "Beleuchtungsstärke": 100,
		"éclairement (lux)": 100, "percent": 1, "Illuminance (fc)": 100 * photometry.LuxPerFootcandle} {
		s, err := read("x (m),y (m)," + header + "\n0,0,100\n1,0,100\n")
		if err != nil || math.Abs(s.Level[0]/want-1) > 1e-12 {
			t.Errorf("%s: %v %v", header, s, err)
			continue
		}
		if told := strings.Contains(fmt.Sprint(s.ParseLog), "assumed_lux"); told != (header == "illuminance" || header == "Beleuchtungsstärke") {
			t.Errorf("%s: %v", header, s.ParseLog)
		}
	}
}

// All that is wrong comes at once.
func TestErrorsTogether(t *testing.T) {
	_, err := read("# tolerance: tight\nx (m),y (m),E (lx)\n1,1,dim\n2,1,-3\n3,?,120\n")
	var all table.Errors
	if !errors.As(err, &all) || len(all) != 4 {
		t.Fatalf("%d errors in %v, want 4", len(all), err)
	}
}

// Levels in every unit become the same surface.
func TestUnits(t *testing.T) {
	for name, c := range map[string]struct {
		notes, header string
		cells         [2]string
		unit          string
		low, high     float64
	}{
		"lux":           {"", "lux", [2]string{"160", "320"}, "lx", 160, 320},
		"footcandles":   {"", "fc", [2]string{"10", "20"}, "lx", 107.639104167, 215.278208334},
		"kilolux":       {"", "E (klx)", [2]string{"1.6", "3.2"}, "lx", 1600, 3200},
		"thousands":     {"", "lux", [2]string{"1.6k", "3.2k"}, "lx", 1600, 3200},
		"EV":            {"", "EV", [2]string{"6", "7"}, "lx", 160, 320},
		"EV, dome":      {"# receptor: dome\n", "EV", [2]string{"6", "7"}, "lx", 217.6, 435.2},
		"EV, ISO 200":   {"# iso: 200\n", "EV", [2]string{"7", "8"}, "lx", 160, 320},
		"flash":         {"", "f", [2]string{"8", "f/11"}, "lx.s", 160, 320},
		"flash, tenths": {"", "f", [2]string{"5.6 5/10", "8 5/10"}, "lx.s", 113.137085, 226.27417},
		"half marks":    {"# marks: half\n", "f", [2]string{"9.5", "13"}, "lx.s", 226.27417, 452.54834},
		"third marks":   {"", "f", [2]string{"9", "13"}, "lx.s", 201.587367, 403.174737},
		"continuous":    {"# light: continuous\n# iso: 800\n# shutter: 1/50\n", "f", [2]string{"8", "11"}, "lx", 1000, 2000},
		"luminance":     {"", "L (cd/m²)", [2]string{"100", "200"}, "cd/m2", 100, 200},
		"relative":      {"", "relative", [2]string{"0.5", "1"}, "relative", 0.5, 1},
	} {
		t.Run(name, func(t *testing.T) {
			r := judged(t, c.notes+"x (m),y (m),"+c.header+"\n0,0,"+c.cells[0]+"\n1,0,"+c.cells[1]+"\n")
			e := r.Evenness
			if r.Unit != c.unit || math.Abs(e.Min/c.low-1) > 1e-8 || math.Abs(e.Max/c.high-1) > 1e-8 {
				t.Errorf("%s %v to %v, want %s %v to %v", r.Unit, e.Min, e.Max, c.unit, c.low, c.high)
			}
			if math.Abs(e.SpreadStops-1) > 1e-8 {
				t.Errorf("spread %v, want 1", e.SpreadStops)
			}
		})
	}
}

// A blank sheet that is filled in is a survey.
func TestBlankSheet(t *testing.T) {
	var b strings.Builder
	sheet := blank.Sheet{Columns: 4, Rows: 3, WidthM: 4.8, HeightM: 2.4, Unit: photometry.FC, Feet: true}
	if err := sheet.Write(&b); err != nil {
		t.Fatal(err)
	}
	if _, err := read(b.String()); err == nil {
		t.Error("a blank sheet was read as readings")
	}
	lines := strings.Split(b.String(), "\n")
	filled := 0
	for i, line := range lines {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "label") || line == "" {
			continue
		}
		cells := strings.Split(line, ",")
		cells[4] = "100"
		cells[3] = "10:0" + string(rune('0'+filled%10))
		lines[i] = strings.Join(cells, ",")
		filled++
	}
	r := judged(t, strings.Join(lines, "\n"))
	if r.Points != 12 || r.ReadingCount != filled || r.Missing != 0 || math.Abs(r.Surface.Width()-4.8) > 1e-5 || r.Reference.Label != "B3" {
		t.Errorf("%d points of %d readings, %d missing, surface %+v, reference %+v", r.Points, r.ReadingCount, r.Missing, r.Surface, r.Reference)
	}
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{"x (m),y (m),E (lx)\n1,1,100\n2,1,110\n", "# width: 2\n# height: 1\nlabel,lux,CCT (K),CC\nA1,100,5600,needs 1M\nA2,9 fc,,\n",
		"lx;0,5;1,5\n0,5;100;110\n1,5;100;\n", "label,x,y,time,f\nA,0,0,10:05,8 1/3\nA,0,0,10:06,8\nB,1,0,10:07,f/11\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, sheet string) {
		s, err := read(sheet)
		if err != nil {
			return
		}
		if s.Len() != len(s.X) || s.Len() != len(s.Y) {
			t.Fatalf("columns of %d, %d, %d", s.Len(), len(s.X), len(s.Y))
		}
		if s.Len() > 3000 {
			return
		}
		r, err := evenness.Analyze(s)
		if err != nil {
			return
		}
		if r.Evenness.Min > r.Evenness.Mean*(1+1e-9) || r.Evenness.Mean > r.Evenness.Max*(1+1e-9) || r.Evenness.WithinPercent > 100 {
			t.Fatalf("evenness %+v of %q", r.Evenness, sheet)
		}
	})
}

// In a column of kilolux a cell with a unit of its own means that unit.
func TestKiloluxCells(t *testing.T) {
	s, err := survey.Read([]survey.Input{{Name: "x.csv", Reader: strings.NewReader("x,y,E (klx)\n1,1,1.2\n2,1,900 lx\n3,1,1.1 klx\n4,1,116 fc\n5,1,1k\n")}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := []float64{1200, 900, 1100, 116 / (0.3048 * 0.3048), 1e6}
	for i, w := range want {
		if math.Abs(s.Level[i]-w) > 1e-9*w {
			t.Errorf("row %d is %v lx, want %v", i, s.Level[i], w)
		}
	}
}

// A label is one in capitals too, also where a letter has two small forms, as the Greek
// sigma has: by Unicode's case folding they are one.
func TestLabelsInAnyCase(t *testing.T) {
	s, err := survey.Read([]survey.Input{
		{Name: "a.csv", Reader: strings.NewReader("label,x (m),y (m),E (lx)\nτοίχος,0,0,500\nb,1,0,510\nc,2,0,505\n")},
		{Name: "b.csv", Reader: strings.NewReader("label,CCT (K)\nΤΟΊΧΟΣ,5600\nB,5610\nC,5620\n")},
	}, survey.ReadOptions{})
	if err != nil || s.Len() != 3 || !s.HasColor() {
		t.Fatal(s, err)
	}
}
