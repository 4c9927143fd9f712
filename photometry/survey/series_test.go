package survey

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/schema"
)

func series(sheet string, options ReadOptions) (*Series, error) {
	return ReadSeries(Input{"lamp.csv", strings.NewReader(sheet)}, options)
}

func mustSeries(t *testing.T, sheet string) *Series {
	t.Helper()
	s, err := series(sheet, ReadOptions{})
	if err != nil {
		t.Fatalf("%v\n%s", err, sheet)
	}
	return s
}

var figuresOnly = cmp.Options{cmpopts.IgnoreFields(SeriesReading{}, "Line"), cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-12, 0)}

// The same readings are the same figures whatever they are written as.
func TestSeriesFormsAgree(t *testing.T) {
	want := mustSeries(t, "distance (m),angle (deg),E (lx)\n0.6096,0,1076.3910416709722\n1.2192,-30,215.27820833419444\n").Readings
	forms := map[string]string{
		"feet and footcandles":     "distance (ft),angle (deg),E (fc)\n2,0,100\n4,-30,20\n",
		"order, case, underscores": "FC,Angle [deg],Dist_ft\n100,0,2\n20,-30,4\n",
		"semicolons and commas":    "distance (cm);angle;E (klx)\n60,96;0;1,0763910416709722\n121,92;-30;0,21527820833419444\n",
		"note of the unit":         "# length unit: ft\ndistance,angle,lux\n2,0,1076.3910416709722\n4,-30,215.27820833419444\n",
		"cells with their unit":    "distance,incidence,lux\n2 ft,0°,100 fc\n121.92 cm,-30 deg,20 fc\n",
		"feet and inches":          "distance,angle,fc\n2',0,100\n\"48\"\"\",-30,20\n",
		"what a series leaves":     "time,CCT (K),distance (ft),angle (deg),z (m),E (fc)\n10:00,5600,2,0,1,100\n10:01,5590,4,-30,1,20\n",
		"UTF-16":                   string(utf16WithMark("distance (ft)\tangle (deg)\tE (fc)\r\n2\t0\t100\r\n4\t-30\t20\r\n")),
	}
	for name, sheet := range forms {
		if diff := cmp.Diff(want, mustSeries(t, sheet).Readings, figuresOnly); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
	f := excelize.NewFile()
	for i, row := range [][]any{{"# title: a lamp"}, {"distance (ft)", "angle (deg)", "E (fc)"}, {2, 0, 100}, {4, -30, 20}} {
		cell, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := f.SetSheetRow("Sheet1", cell, &row); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	s, err := ReadSeries(Input{"lamp.xlsx", &b}, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, s.Readings, figuresOnly); diff != "" || s.Title != "a lamp" {
		t.Errorf("workbook %q:\n%s", s.Title, diff)
	}
}

// Notes, labels, lamps and remarks come with the readings, lines stay those of
// the file, and rows without a level are counted.
func TestSeriesRows(t *testing.T) {
	s := mustSeries(t, "# lamp: key\n# receptor: dome\n# repeatability: 1.5 %\n# iso: 400\n\nlabel,distance (m),lamp,note,f\nA,1,key,near,8\nB,2,key,,\nC,4,key,far,2 3/10\n")
	want := []SeriesReading{
		{Line: 7, Label: "A", Lamp: "key", Note: "near", X: math.NaN(), Y: math.NaN(), DistanceM: 1, AngleDeg: math.NaN(), Density: math.NaN(),
			Level: photometry.FlashExposure(8, 400, photometry.DomeConstant)},
		{Line: 9, Label: "C", Lamp: "key", Note: "far", X: math.NaN(), Y: math.NaN(), DistanceM: 4, AngleDeg: math.NaN(), Density: math.NaN(),
			Level: photometry.FlashExposure(math.Exp2(1.15), 400, photometry.DomeConstant)},
	}
	if diff := cmp.Diff(want, s.Readings, cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-12, 0)); diff != "" {
		t.Error(diff)
	}
	if s.Title != "key" || s.Missing != 1 || s.Quantity != photometry.LuminousExposure || *s.Settings.Repeatability != 0.015 || s.Settings.Meter.Receptor != photometry.DomeReceptor {
		t.Errorf("%+v", s)
	}
	if !s.Has(schema.Distance) || s.Has(schema.Angle) || s.Has(schema.Density) || !s.Has(schema.AnyLevel) {
		t.Error("columns are not told")
	}
	if !strings.Contains(fmt.Sprint(s.Inferred), "f_flash map[constant:340 iso:400]") {
		t.Errorf("assumed %v", s.Inferred)
	}
	if e := s.Error(1, schema.Distance, "", "less"); e.Error() != `lamp.csv:9:2: found "4", expected less` {
		t.Error(e)
	}
	if e := s.Error(1, schema.Angle, "", "an angle"); e.Error() != "lamp.csv:9: found , expected an angle" && e.Line != 9 {
		t.Error(e)
	}
	if e := s.Fault("two of a kind", "one"); e.Error() != "lamp.csv:6: found two of a kind, expected one" {
		t.Error(e)
	}
	several := "distance (m),lamp,lux\n1,key,10\n1,Fill,20\n2,key,3\n"
	one, err := series(several, ReadOptions{Lamp: "fill"})
	if err != nil || len(one.Readings) != 1 || one.Readings[0].Level != 20 {
		t.Errorf("%v, %+v", err, one)
	}
	if lamps := mustSeries(t, several).Lamps(); !cmp.Equal(lamps, []string{"key", "Fill"}) {
		t.Errorf("lamps %q", lamps)
	}
}

// Densities are numbers, or stops and factors with their unit. 0.3 a stop.
func TestSeriesDensities(t *testing.T) {
	s := mustSeries(t, "ND,lux\n0,64\nnone,64\n0.3,32\nND 0.6,16\nND1.2,4\n2 stops,16\n1/2 stop,45\n4x,16\n8×,8\n")
	for i, want := range []float64{0, 0, 0.3, 0.6, 1.2, 0.6, 0.15, 0.6, 0.9} {
		if got := s.Readings[i].Density; math.Abs(got-want) > 1e-12 {
			t.Errorf("line %d: density %g, want %g", s.Readings[i].Line, got, want)
		}
	}
	if got := mustSeries(t, "ND (stops),lux\n0,64\n6,1\n").Readings[1].Density; math.Abs(got-1.8) > 1e-12 {
		t.Errorf("6 stops are %g", got)
	}
}

// The step that levels were written in: what a display of that step shows.
func TestSeriesStep(t *testing.T) {
	for name, c := range map[string]struct {
		sheet        string
		stops, level float64
	}{
		"thirds":             {"distance (m),f\n1,8\n2,4.5\n3,2.8\n", 1.0 / 3, 0},
		"full stops":         {"distance (m),f\n1,8\n2,4\n4,2\n", 1.0 / 3, 0},
		"tenths":             {"distance (m),f\n1,8\n2,4 1/10\n3,2.8\n", 0.1, 0},
		"half marks":         {"# marks: half\ndistance (m),f\n1,8\n2,4.8\n4,2\n", 0.5, 0},
		"decimals":           {"distance (m),f\n1,8.13\n2,4.07\n3,2.71\n", 0, 0},
		"noted":              {"# resolution: 0.05 stop\ndistance (m),f\n1,8\n2,4\n4,2\n", 0, 0},
		"EV":                 {"distance (m),EV\n1,10.3\n2,8.2\n4,6.4\n", 0.1, 0},
		"EV, whole":          {"distance (m),EV\n1,10\n2,8\n4,6\n", 1.0 / 3, 0},
		"EV, thirds":         {"distance (m),EV\n1,10 1/3\n2,8\n4,6 2/3\n", 1.0 / 3, 0},
		"EV, thirds rounded": {"distance (m),EV\n1,10.3\n2,8\n4,6.67\n", 1.0 / 3, 0},
		"whole lux":          {"distance (m),lux\n1,400\n2,100\n8,6\n", 0, 1},
		"fine enough":        {"distance (m),lux\n1,4000\n2,1000\n3,444\n", 0, 0},
		"tenths of fc":       {"distance (m),fc\n1,40\n2,10.2\n4,2.5\n", 0, 0.1 * photometry.LuxPerFootcandle},
		"hundredths of klx":  {"distance (m),E (klx)\n1,4\n2,1.02\n4,0.25\n", 0, 10},
		"own unit":           {"distance (m),lux\n1,400\n2,9.29 fc\n8,6\n", 0, 1},
		"continuous": {"# light: continuous\n# iso: 800\n# shutter: 1/50\ndistance (m),f\n1,8\n2,4.5\n3,2.8\n",
			1.0 / 3, 0},
	} {
		s := mustSeries(t, c.sheet)
		if math.Abs(s.StepStops-c.stops) > 1e-12 || math.Abs(s.StepLevel-c.level) > 1e-9 {
			t.Errorf("%s: steps of %g stop and %g, want %g and %g", name, s.StepStops, s.StepLevel, c.stops, c.level)
		}
		if told := strings.Contains(fmt.Sprint(s.Inferred), "step_"); told != (c.stops+c.level > 0) {
			t.Errorf("%s: told %v", name, s.Inferred)
		}
	}
}

// A step found is never finer than the one that made the levels, and levels
// with more digits have none.
func TestSeriesStepProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		decimals := rapid.IntRange(0, 3).Draw(t, "decimals")
		step := math.Pow(10, -float64(decimals))
		sheet := "distance (m),E (lx)\n"
		for i := range 6 {
			v := float64(rapid.IntRange(1, 200).Draw(t, "level")) * step
			sheet += strconv.Itoa(i+1) + "," + strconv.FormatFloat(v, 'f', decimals, 64) + "\n"
		}
		s, err := series(sheet, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if s.StepLevel != 0 && s.StepLevel < step*(1-1e-9) {
			t.Fatalf("a step of %g in\n%s", s.StepLevel, sheet)
		}
	})
}

// Faults are told with their place; those of a file all together.
func TestSeriesBadInput(t *testing.T) {
	for name, c := range map[string]struct{ sheet, want string }{
		"empty":          {"", "found an empty file"},
		"no header":      {"a,b\n1,2\n", `lamp.csv:1:1: found "a", expected a header such as distance (m), E (lx)`},
		"grid":           {"lx,1,2\n1,3,4\n", "lamp.csv:1:1: found a grid, expected a header such as distance (m), E (lx)"},
		"header only":    {"distance (m),lux\n", "lamp.csv:1: found a header and no rows"},
		"no level":       {"distance (m),note\n1,x\n", "lamp.csv:1: found no column of levels"},
		"no levels":      {"distance (m),lux\n1,\n2,\n", "lamp.csv:1: found no row with a level"},
		"no unit":        {"distance (m),E\n1,3\n", `lamp.csv:1:2: found "E", expected a level column with its unit`},
		"wrong unit":     {"distance (kg),lux\n1,3\n", `lamp.csv:1:1: found "distance (kg)", expected a unit of distance`},
		"text":           {"distance (m),lux\nfar,3\n2,dim\n", "lamp.csv:2:1: found \"far\", expected a distance such as 1.5, 1.5 m, 5 ft or 4' 6\"\nlamp.csv:3:2: found \"dim\", expected a level such as"},
		"mixed lengths":  {"distance,lux\n1 m,3\n4,2\n3 ft,1\n", `lamp.csv:3:1: found "4", expected a distance with its unit, since line 4 has one (3 ft)`},
		"angle":          {"angle (deg),lux\nsteep,3\n", `lamp.csv:2:1: found "steep", expected an angle in degrees`},
		"density factor": {"ND,lux\n0,3\n16,2\n", `lamp.csv:3:1: found "16", expected a density such as 0.6 (0.3 a stop), or with its unit 2 stops or 4x`},
		"density text":   {"ND,lux\n0,3\ngray,2\n", `lamp.csv:3:1: found "gray", expected a density`},
		"stops text":     {"ND (stops),lux\n0,3\ngray,2\n", `lamp.csv:3:1: found "gray", expected a number of stops`},
		"quantities":     {"distance (m),lux\n1,3\n2,f/8\n", `lamp.csv:3:2: found "f/8", expected`},
		"note":           {"# repeatability: good\ndistance (m),lux\n1,3\n", `lamp.csv:1:1: found "good", expected a repeatability over 0 in percent`},
		"ambiguous":      {"distance (m);lux\n1;1,250\n", `lamp.csv:2:2: found "1,250", expected`},
	} {
		_, err := series(c.sheet, ReadOptions{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v\nwant %s", name, err, c.want)
		}
	}
	if _, err := series("distance (m),lamp,lux\n1,key,3\n", ReadOptions{Lamp: "fill"}); err == nil || !strings.Contains(err.Error(), "found readings of the lamps key, expected the lamp “fill”") {
		t.Errorf("%v", err)
	}
}

// Units that stand apart are understood, each as its cell says, where no bare
// number leaves a doubt.
func TestSeriesMixedUnits(t *testing.T) {
	for name, sheet := range map[string]string{
		"all cells":  "distance,lux\n1 m,9\n200 cm,3\n10 ft,1\n",
		"header":     "distance (m),lux\n1,9\n200 cm,3\n10 ft,1\n",
		"note":       "# length unit: m\ndistance,lux\n1,9\n200 cm,3\n10 ft,1\n",
		"other name": "d,lux\n1 meter,9\n2 meters,3\n10 feet,1\n",
	} {
		s := mustSeries(t, sheet)
		for i, want := range []float64{1, 2, 3.048} {
			if got := s.Readings[i].DistanceM; math.Abs(got-want) > 1e-12 {
				t.Errorf("%s: distance %d is %g m, want %g", name, i+1, got, want)
			}
		}
		if !strings.Contains(fmt.Sprint(s.ParseLog), "distances_in_units") {
			t.Errorf("%s: read as %v", name, s.ParseLog)
		}
	}
	// The usual unit written out is no other unit.
	if s := mustSeries(t, "distance,lux\n1 m,9\n2,3\n3 m,1\n"); s.Readings[1].DistanceM != 2 {
		t.Errorf("%+v", s.Readings)
	}
}

// f-numbers from levels and back, and what a person may want.
func TestSeriesLevels(t *testing.T) {
	flash := mustSeries(t, "# iso: 200\ndistance (m),f\n1,8\n2,4\n")
	if n, ok := flash.FNumber(flash.Readings[0].Level); !ok || math.Abs(n-8) > 1e-12 {
		t.Errorf("f/%g", n)
	}
	lit := mustSeries(t, "# iso: 800\n# shutter: 1/48\ndistance (m),lux\n1,1000\n2,250\n")
	// 1000 lx at ISO 800 and 1/48 s with C = 250 is f/8.16 (ISO 2720).
	if n, ok := lit.FNumber(1000); !ok || math.Abs(n-8.164966) > 1e-6 {
		t.Errorf("f/%g", n)
	}
	plain := mustSeries(t, "distance (m),lux\n1,1000\n2,250\n")
	if _, ok := plain.FNumber(1000); ok {
		t.Error("an f-number without a shutter")
	}
	for _, c := range []struct {
		s    *Series
		text string
		want float64
	}{
		{flash, "f/8", 80}, {flash, "8", 80}, {flash, "5.6 5/10", photometry.FlashExposure(math.Exp2(2.75), 200, 250)}, {flash, "160 lx·s", 160},
		{lit, "800", 800}, {lit, "800lx", 800}, {lit, "75 fc", 75 * photometry.LuxPerFootcandle}, {lit, "f/8", 64 * 250 * 48 / 800.0},
		{mustSeries(t, "distance (m),fc\n1,100\n2,25\n"), "75", 75 * photometry.LuxPerFootcandle},
		{mustSeries(t, "distance (m),relative\n1,1\n2,0.25\n"), "0.5", 0.5},
	} {
		if got, err := c.s.ParseLevel(c.text); err != nil || math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("%q: %g, %v, want %g", c.text, got, err, c.want)
		}
	}
	for _, c := range []struct {
		s          *Series
		text, want string
	}{
		{flash, "800 lx", "a level such as f/8 or 160 lx·s"}, {lit, "160 lx·s", "a level such as 800 lx or 75 fc"},
		{plain, "f/8", "the ISO speed and the shutter"}, {lit, "0", "a level above zero"}, {lit, "bright", "a level such as"},
	} {
		if _, err := c.s.ParseLevel(c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	for _, c := range []struct {
		s     *Series
		level float64
		unit  photometry.Unit
		want  string
	}{
		{flash, 80, photometry.LX, "f/8"}, {flash, 80, photometry.FC, "f/8"}, {plain, 1234, photometry.LX, "1230 lx"},
		{plain, 12.345, photometry.LX, "12.3 lx"}, {plain, 1076.391, photometry.FC, "100 fc"},
		{mustSeries(t, "distance (m),relative\n1,1\n2,0.25\n"), 0.25, photometry.FC, "0.250"},
	} {
		if got := c.s.FormatLevel(c.level, c.unit); got != c.want {
			t.Errorf("%g: %q, want %q", c.level, got, c.want)
		}
	}
	if got := plain.FormatReading(1234, photometry.LX); got != "1234 lx" {
		t.Errorf("a reading of %q", got)
	}
}

// Command-line notes go before those of the file, and worksheets beyond the
// first are left out and told.
func TestSeriesOptions(t *testing.T) {
	s, err := series("# iso: 100\ndistance (m),f\n1,8\n2,4\n", ReadOptions{Flags: []*schema.Source{schema.Flag("--iso", schema.ISO, "400", "m"), schema.Flag("--resolution", schema.Resolution, "0.2 stop", "m")}})
	if err != nil || s.Settings.Meter.ISO != 400 || s.Settings.Resolution != 0.2 || s.StepStops != 0 {
		t.Errorf("%v, %+v", err, s)
	}
	if got := s.Readings[0].Level; math.Abs(got-40) > 1e-9 {
		t.Errorf("f/8 at ISO 400 is %g lx·s, want 40", got)
	}
	s = mustSeries(t, "distance (m),lux,bulb\n1,8,a\n2,4,a\n")
	if len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0].Text, "unknown column") {
		t.Errorf("%v", s.Warnings)
	}
}

// A plain mark is in the unit of the distances, which is said where that is not the meter;
// 0.3048 m is a foot exactly (NIST SP 811).
func TestSeriesParseMark(t *testing.T) {
	for _, c := range []struct {
		header, mark, asked string
		want                float64
		warns               bool
	}{
		{"distance (ft)", "6", "", 6 * 0.3048, true}, {"distance (ft)", "6m", "", 6, false}, {"distance (ft)", "6", "m", 6, false}, {"distance (in)", "60", "", 60 * 0.0254, true},
		{"distance (m)", "2", "", 2, false}, {"distance (m)", "2", "ft", 2 * 0.3048, false}, {"distance (cm)", "2", "", 2, false},
	} {
		s := mustSeries(t, c.header+",lux\n1,900\n2,225\n3,100\n")
		if m, err := s.ParseMark(c.mark, c.asked); err != nil || math.Abs(m-c.want) > 1e-12 || (len(s.Warnings) == 1 && s.Warnings[0].Code == "mark_unit") != c.warns {
			t.Errorf("%s, --mark %q, --length %s: %v m, %v, %v; want %v m", c.header, c.mark, c.asked, m, err, s.Warnings, c.want)
		}
	}
}

// Whatever the file, reading it ends with readings or with an error, and its
// figures are numbers or absent.
func FuzzReadSeries(f *testing.F) {
	f.Add([]byte("# iso: 100\ndistance (m),f\n1,8\n2,5.6 7/10\n"))
	f.Add([]byte("label;angle;ND;E (lx)\na;-30°;;1,5\nb;;2 stops;900\n"))
	f.Add([]byte("distance,lux,lamp\n1 m,400,key\n10 ft,43,key\n4,1,\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ReadSeries(Input{"lamp.csv", bytes.NewReader(data)}, ReadOptions{})
		if err != nil {
			return
		}
		if len(s.Readings) == 0 {
			t.Fatal("no error and no readings")
		}
		last := 1 + bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r"))
		for i, r := range s.Readings {
			for _, v := range []float64{r.DistanceM, r.AngleDeg, r.Density, r.Level} {
				if math.IsInf(v, 0) {
					t.Fatalf("%+v", r)
				}
			}
			if math.IsNaN(r.Level) {
				t.Fatalf("a reading without a level: %+v", r)
			}
			first := r.Line // a record may go over several lines
			if s.ReadAs != nil {
				first = 1 // a table with its rows and columns swapped has a line a figure
			}
			for _, of := range []*schema.Column{nil, schema.Distance, schema.Angle, schema.Density, schema.AnyLevel} {
				if e := s.Error(i, of, "", "something"); e.Line < first || e.Line > last {
					t.Fatalf("a fault on line %d is placed at %v", r.Line, e)
				}
			}
		}
	})
}

func utf16WithMark(text string) []byte {
	out := []byte{0xff, 0xfe}
	for _, unit := range utf16.Encode([]rune(text)) {
		out = binary.LittleEndian.AppendUint16(out, unit)
	}
	return out
}

// A series whose distances are all typed in feet is told in feet.
func TestDistancesInFeetStayInFeet(t *testing.T) {
	s, err := ReadSeries(Input{Name: "d.csv", Reader: strings.NewReader("distance,E (fc)\n3',118\n\"4' 6\"\"\",53.5\n6 ft,30.2\n")}, ReadOptions{})
	if err != nil || s.LengthUnit != "ft" || math.Abs(s.Readings[1].DistanceM-1.3716) > 1e-9 {
		t.Errorf("%v, %+v, want feet and 4.5 ft, 1.3716 m (0.3048 m exactly: NIST SP 811)", err, s)
	}
}
