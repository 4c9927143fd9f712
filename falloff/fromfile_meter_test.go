package falloff

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"evenfall/photometry"
)

func partsIn(t *testing.T, sheet string) string {
	t.Helper()
	p := partsOf(readSeries(t, sheet))
	return fmt.Sprint(p.repeats, p.angles, p.ladder, p.filters)
}

// Rows are taken for what their columns say.
func TestParts(t *testing.T) {
	for name, c := range map[string]struct{ sheet, want string }{
		"levels alone":    {"lux\n820\n811\n826\n", "[[0 1 2]] [] [] []"},
		"by label":        {"label,lux\nA,820\nB,80\nA,811\na,826\nB,81\n", "[[0 2 3] [1 4]] [] [] []"},
		"by place":        {"x (m),y (m),lux\n0,0,820\n1,0,80\n0,0,811\n", "[[0 2]] [] [] []"},
		"by lamp":         {"lamp,lux\nkey,820\nfill,80\nkey,811\nFILL,81\n", "[[0 2] [1 3]] [] [] []"},
		"nothing again":   {"label,lux\nA,820\nB,80\n", "[[0] [1]] [] [] []"},
		"angles":          {"angle (deg),lux\n0,9\n30,8\n60,4\n", "[] [0 1 2] [] []"},
		"angles again":    {"angle (deg),lux\n0,9\n30,8\n0,9\n60,4\n", "[[0 2]] [0 1 2 3] [] []"},
		"at one distance": {"distance (m),angle (deg),lux\n2,0,9\n2,30,8\n2,60,4\n", "[] [0 1 2] [] []"},
		"ladder":          {"distance (m),lux\n1,9\n2,3\n3,1\n2,3\n", "[[1 3]] [] [0 1 2 3] []"},
		"facing ladder":   {"distance (m),angle (deg),lux\n1,0,9\n2,0,3\n3,0,1\n", "[] [] [0 1 2] []"},
		"tilted ladder":   {"distance (m),angle (deg),lux\n1,0,9\n2,10,3\n3,20,1\n", "[] [] [0 1 2] []"},
		"filters":         {"ND,lux\n0,9\n0.3,4\n0.6,2\n", "[] [] [] [0 1 2]"},
		"filters in place": {"distance (m),angle (deg),ND,lux\n2,0,0,9\n2,0,0.3,4\n2,0,0.6,2\n",
			"[] [] [] [0 1 2]"},
		"all": {"label,distance (m),angle (deg),ND,lux\nr,,,,9\nr,,,,9\na,,0,,9\na,,40,,6\na,,-40,,6\nf,,,0,9\nf,,,0.6,2\nd,1,,,9\nd,2,,,2\n",
			"[[0 1]] [2 3 4] [7 8] [5 6]"},
		"zero without a filter": {"angle (deg),ND,lux\n0,0,9\n30,0,8\n60,0,4\n", "[] [0 1 2] [] []"},
	} {
		if got := partsIn(t, c.sheet); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// A file says what its readings do, part by part.
func TestCheckSeries(t *testing.T) {
	angles := "angle (deg),ND,lux\n,,820\n,,811\n,,826\n,,815\n,,822\n,,808\n"
	in := MeterReadings{Repeats: [][]float64{{820, 811, 826, 815, 822, 808}}}
	for a := -75.0; a <= 75; a += 15 {
		e := math.Round(1000 * math.Pow(math.Cos((a-2)*math.Pi/180), 1.1))
		angles += fmt.Sprintf("%g,,%g\n", a, e)
		in.Angles = append(in.Angles, AngleReading{AngleDeg: a, Level: e})
	}
	for _, d := range []float64{0, 0.3, 0.6, 0.9} {
		e := math.Round(1000 * math.Exp2(-d/0.3))
		angles += fmt.Sprintf(",%g,%g\n", d, e)
		in.Filters = append(in.Filters, FilterReading{Density: d, Level: e})
	}
	got, err := CheckSeries(readSeries(t, "# title: a meter\n# resolution: 0.01 stop\n"+angles), Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := check(t, in, Options{ResolutionStops: 0.01, Receptor: ReceptorFlat})
	want.Title, want.ParseLog, got.ParseLog = "a meter", nil, got.ParseLog[len(got.ParseLog)-1:]
	if !got.ParseLog[0].Same(photometry.Found("meter_parts", "readings", 21, "repeats", 6, "lights", 1, "angles", 11, "distances", 0, "filters", 4)) {
		t.Errorf("read as %v", got.ParseLog)
	}
	got.ParseLog = nil
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Error(diff)
	}
	if !got.Settled || got.Readings != 21 || got.RepeatabilityNote == "" || got.F2Percent == nil || got.LinearityStops == nil {
		t.Errorf("%+v", got)
	}
}

func TestCheckSeriesFaults(t *testing.T) {
	for name, c := range map[string]struct{ sheet, want string }{
		"dome":       {"# receptor: dome\nangle (deg),lux\n0,9\n60,7\n-60,7\n", "lamp.csv:4:1: found a dome receptor, expected a flat receptor: a dome reads about (1 + cos)/2; at 60° 0.75 of the light head-on, a flat receptor 0.50, 0.58 stop less"},
		"angle":      {"angle (deg),lux\n0,9\n60,7\n120,7\n", `lamp.csv:4:1: found "120", expected less than 90°`},
		"dark":       {"angle (deg),lux\n0,9\n60,0\n-60,7\n", `lamp.csv:3:2: found "0", expected a level above zero`},
		"dark again": {"lux\n9\n0\n", `lamp.csv:3:1: found "0", expected a level above zero`},
		"one each":   {"label,lux\nA,9\nB,8\n", "lamp.csv:1: found no light read more than once, expected two readings or more of the same light"},
		"density":    {"ND,lux\n0,9\n-0.3,5\n0.6,2\n", `lamp.csv:3:1: found "-0.3", expected 0 to 10, 0.3 a stop`},
		"two rungs":  {"distance (m),lux\n1,9\n2,2\n", "lamp.csv:1: found readings at 2 distances, expected readings at three distances or more"},
		"rung":       {"distance (m),lux\n0,9\n2,2\n3,1\n", `lamp.csv:2:1: found "0", expected more than 0 m`},
		"two lamps":  {"distance (m),lamp,lux\n1,a,9\n2,b,2\n3,a,1\n", "lamp.csv:1: found a ladder of the lamps a, b, expected a ladder of one lamp"},
	} {
		_, err := CheckSeries(readSeries(t, c.sheet), Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v\nwant %s", name, err, c.want)
		}
	}
}

// A display in whole lux is no fault of the meter: 1000 lx through filters down
// to 5 lx, rounded, is linear; the same strays by a tenth of a stop where the
// step is said to be finer.
func TestLinearityKnowsTheStep(t *testing.T) {
	sheet := "# repeatability: 0.2 %\nND,lux\n"
	for i := range 9 {
		sheet += fmt.Sprintf("%g,%g\n", 0.3*float64(i), math.Round(1000*math.Exp2(-float64(i))))
	}
	m, err := CheckSeries(readSeries(t, sheet), Options{})
	if err != nil || !code(m.Causes, "linear") {
		t.Errorf("%v, %v", err, m.Causes)
	}
	if m, err := CheckSeries(readSeries(t, "# resolution: 0.001 stop\n"+sheet), Options{}); err != nil || !code(m.Causes, "not_linear") {
		t.Errorf("%v, %v", err, m.Causes)
	}
}

// Every part that its readings do not settle unsettles the check.
func TestMeterSettled(t *testing.T) {
	for name, c := range map[string]struct {
		sheet   string
		settled bool
	}{
		"repeats":     {"lux\n820\n811\n826\n815\n822\n", true},
		"too few":     {"lux\n820\n811\n826\n", false},
		"one digit":   {"lux\n82\n82\n82\n82\n82\n82\n", false},
		"one side":    {"angle (deg),lux\n0,1000\n30,866\n60,500\n80,174\n", false},
		"both":        {"angle (deg),lux\n-80,174\n-60,500\n-30,866\n0,1000\n30,866\n60,500\n80,174\n", true},
		"like a dome": {"angle (deg),lux\n-80,587\n-60,750\n-30,933\n0,1000\n30,933\n60,750\n80,587\n", false},
	} {
		m, err := CheckSeries(readSeries(t, c.sheet), Options{})
		if err != nil || m.Settled != c.settled {
			t.Errorf("%s: %v, settled %v: %v", name, err, m.Settled, m.Warnings)
		}
	}
}

// The trusted range ends where the mean of both sides leaves a tenth of a stop:
// cos^1.2 is 0.2·log2 cos off, a tenth of a stop at cos = 2^−0.5, 45°.
func TestTenthStop(t *testing.T) {
	flat := func(e float64) float64 { return math.Pow(math.Cos(e), 1.2) }
	m := check(t, MeterReadings{Angles: angles(flat, -80, 80, 5, 0, 0, nil)}, Options{})
	if m.TenthStopToDeg == nil || *m.TenthStopToDeg != 45 && *m.TenthStopToDeg != 40 {
		t.Errorf("trusted to %v", m.TenthStopToDeg)
	}
	if !code(m.Advice, "turn_to_light") {
		t.Errorf("%v", m.Advice)
	}
	m = check(t, MeterReadings{Angles: angles(math.Cos, -80, 80, 5, 0, 0, nil)}, Options{})
	if *m.TenthStopToDeg != 80 || code(m.Advice, "turn_to_light") {
		t.Errorf("trusted to %v, %v", *m.TenthStopToDeg, m.Advice)
	}
}
