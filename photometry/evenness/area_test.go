package evenness

import (
	"math"
	"strings"
	"testing"

	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

func read(sheet string) (*survey.Survey, error) {
	return survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(sheet)}}, survey.ReadOptions{})
}

func TestAreaDecides(t *testing.T) {
	sheet := "# grid: 4x1\n# area: 0,0,2.2,2\nx (m),y (m),lux\n0,0,100\n1,0,101\n2,0,102\n4,0,300\n"
	r := judged(t, strings.NewReader(sheet))
	if r.Verdict.Evenness != uncertainty.Pass || r.Area == nil || r.Area.Points != 3 || r.Evenness.Points != 4 {
		t.Errorf("verdict %s, area %+v", r.Verdict.Evenness, r.Area)
	}
}

func TestEachSideTolerance(t *testing.T) {
	r := judged(t, strings.NewReader(fine+"# grid: 3x1\n# tolerance: ±1/2 stop\n# reference: B\n# repeatability: 0.1 %\nlabel,x (m),y (m),lux\nA,0,0,130\nB,1,0,100\nC,2,0,90\n"))
	e := r.Evenness
	if math.Abs(*e.AboveRefStops-math.Log2(1.3)) > 1e-12 || math.Abs(*e.BelowRefStops-math.Log2(100.0/90)) > 1e-12 || r.Verdict.Evenness != uncertainty.Pass {
		t.Errorf("%v above, %v below, %s", *e.AboveRefStops, *e.BelowRefStops, r.Verdict.Evenness)
	}
	if r.Reference.Label != "B" || r.Reference.Level != 100 {
		t.Errorf("reference %+v", r.Reference)
	}
}

// A share inside the tolerance is 100 % where the spread is inside it.
func TestWithin(t *testing.T) {
	r := judged(t, strings.NewReader("# tolerance: 0.5 stop\nx (m),y (m),lux\n0,0,100\n1,0,110\n2,0,120\n3,0,139\n"))
	if r.Evenness.WithinPercent != 100 {
		t.Errorf("%v %% within", r.Evenness.WithinPercent)
	}
	r = judged(t, strings.NewReader("# tolerance: 0.5 stop\nx (m),y (m),lux\n0,0,100\n1,0,110\n2,0,120\n3,0,200\n"))
	if r.Evenness.WithinPercent != 75 {
		t.Errorf("%v %% within, want 75", r.Evenness.WithinPercent)
	}
}

// Places in even rows and columns that were not read are missing.
func TestMissing(t *testing.T) {
	for name, sheet := range map[string]string{
		"empty cell of a grid": "lx,0.5,1.5,2.5\n0.5,100,,102\n1.5,100,101,102\n",
		"label left out":       "# width: 3\n# height: 2\nlabel,lux\nA1,100\nA2,101\nA3,102\nB1,100\nB3,102\n",
		"empty level":          "x (m),y (m),lux\n0.5,0.5,100\n1.5,0.5,\n2.5,0.5,102\n0.5,1.5,100\n1.5,1.5,101\n2.5,1.5,102\n",
		"row left out":         "x (m),y (m),lux\n0.5,0.5,100\n2.5,0.5,102\n0.5,1.5,100\n1.5,1.5,101\n2.5,1.5,102\n",
	} {
		r := judged(t, strings.NewReader(sheet))
		if r.Missing != 1 || r.ReadingCount != 5 || r.Points != 5 {
			t.Errorf("%s: %d missing, %d readings, %d points", name, r.Missing, r.ReadingCount, r.Points)
		}
	}
}

func TestRepeatsEstimateScatter(t *testing.T) {
	s, err := read("label,x (m),y (m),lux\nA,0,0,100\nA,0,0,104\nB,1,0,100\nB,1,0,102\nC,2,0,99\nC,2,0,101\nD,3,0,100\nD,3,0,103\n")
	if err != nil {
		t.Fatal(err)
	}
	r, err := Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: half the squared log differences over four degrees of freedom.
	sum := 0.0
	for _, p := range [][2]float64{{100, 104}, {100, 102}, {99, 101}, {100, 103}} {
		d := math.Log(p[1] / p[0])
		sum += d * d / 2
	}
	if want := 100 * math.Sqrt(sum/4); math.Abs(r.Noise.RepeatabilityPercent-want) > 1e-9 || r.Noise.DegreesOfFreedom != 4 || r.Noise.Source != "repeats" {
		t.Errorf("noise %+v, want %.4f %% from 4 degrees of freedom", r.Noise, want)
	}
	if r.ReadingCount != 8 || r.Points != 4 || r.Evenness.Max != 102 {
		t.Errorf("%d readings, %d points, max %v", r.ReadingCount, r.Points, r.Evenness.Max)
	}
}

func TestUnlitPrediction(t *testing.T) {
	s := &survey.Survey{Predicted: true, Reference: -1, X: []float64{0, 1, 2}, Y: []float64{0, 0, 0}, Level: []float64{0, 10, 20}, ReadingCount: 3}
	r, err := Analyze(s)
	if err != nil || r.Evenness.Min != 0 || len(r.Warnings) == 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	text, err := r.Evenness.MarshalJSON()
	if err != nil || strings.Contains(string(text), "spread_stops") || !strings.Contains(string(text), `"max":20`) {
		t.Errorf("JSON %s, %v", text, err)
	}
	s.Predicted = false
	if _, err := Analyze(s); err == nil {
		t.Error("a measured surface with a level of zero was judged")
	}
}
