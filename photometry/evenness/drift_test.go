package evenness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// A place that is read again hours after the walk keeps its level: the reference
// says nothing of how the light went on. The light here faded by 0.03 stop a
// minute over 20 minutes; at the end the surface is even at 1000·2^-0.6 = 660 lx.
func TestAReadingLongAfterTheReference(t *testing.T) {
	sheet := func(late string) string {
		var b strings.Builder
		b.WriteString("# width: 4.8\n# height: 2.4\n# reference: B2\nlabel,time (min),E (lx)\n")
		for i := range 21 {
			level := 1000 * math.Exp2(-0.03*float64(i)) * (1 + 0.004*math.Sin(float64(7*i)))
			label := "B2"
			if i%4 != 0 {
				label = []string{"A1", "A2", "A3", "B1", "B3", "C1", "C2", "C3"}[(i-1-i/4)%8]
			}
			if label == "C3" {
				continue
			}
			fmt.Fprintf(&b, "%s,%d,%.0f\n", label, i, level)
		}
		return b.String() + late
	}
	r := judged(t, strings.NewReader(sheet("C3,300,660\n")))
	if !r.Drift.Corrected || math.Abs(r.Drift.StopsPerMinute+0.03) > 0.001 {
		t.Fatalf("drift %+v", r.Drift)
	}
	if r.Evenness.SpreadStops > 0.05 {
		t.Errorf("spread %.3f stop, want that of an even surface", r.Evenness.SpreadStops)
	}
	if math.Abs(r.Drift.TotalStops+0.6) > 0.02 {
		t.Errorf("the light changed by %.2f stop, want -0.6 over the walk", r.Drift.TotalStops)
	}
	if !slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool { return f.Code == "outside_drift" }) {
		t.Errorf("warnings %v do not tell of the late reading", r.Warnings)
	}
	// Two minutes after the last reading of the reference the line still holds.
	soon := judged(t, strings.NewReader(sheet("C3,22,633\n")))
	if soon.Evenness.SpreadStops > 0.05 || slices.ContainsFunc(soon.Warnings, func(f photometry.Finding) bool { return f.Code == "outside_drift" }) {
		t.Errorf("soon after: spread %.3f, warnings %v", soon.Evenness.SpreadStops, soon.Warnings)
	}
}

// The light falls by a tenth of a stop a minute from the first reading to the last, 12
// minutes later, which is one of a place read before. It does so in whatever order the
// rows stand.
func TestDriftOverAllReadings(t *testing.T) {
	rows := []string{"B,1,0,1,933.0329915368"}
	for _, minutes := range []float64{0, 2.5, 5, 7.5, 10} {
		rows = append(rows, fmt.Sprintf("A,0,0,%g,%.10f", minutes, 1000*math.Exp2(-minutes/10)))
	}
	rows = append(rows, fmt.Sprintf("B,1,0,12,%.10f", 1000*math.Exp2(-1.2)))
	for range 2 {
		r := judged(t, strings.NewReader("# repeatability: 1 %\n# reference: A\nlabel,x (m),y (m),time (min),lux\n"+strings.Join(rows, "\n")+"\n"))
		if r.Drift == nil || !near(r.Drift.TotalStops, -1.2) {
			t.Errorf("%+v, want -1.2 stops", r.Drift)
		}
		slices.Reverse(rows)
	}
}

// Nine places 0.4 stop apart pass half a stop in a light known to be steady, and with two
// readings of the reference they do not: 0.4 + 1.96·√2·s is below 0.5, 0.4 + 1.96·2·s,
// with √2·s for the difference of the two, above. More readings of it settle that.
func TestFewReadingsOfTheReference(t *testing.T) {
	s := 0.02 / math.Ln2
	if !(0.4+z*math.Sqrt2*s < 0.5 && 0.4+z*2*s > 0.5) {
		t.Fatal("not between the two")
	}
	sheet := fine + "# repeatability: 2 %\n# tolerance: 0.5 stop\n# width: 3\n# height: 3\n# reference: A1\nlabel,time (min),lux\n"
	for i := range 9 {
		sheet += fmt.Sprintf("%c%d,%d,%.8f\n", 'A'+i/3, 1+i%3, i, 800*math.Exp2(0.05*float64(i)))
	}
	once := judged(t, strings.NewReader(sheet))
	twice := judged(t, strings.NewReader(sheet+"A1,9,800\n"))
	if once.Verdict.Evenness != uncertainty.Pass || twice.Verdict.Evenness != uncertainty.Unsure || !advises(twice, "few_references") || advises(twice, "repeat_all") {
		t.Errorf("once %s, twice %s: %+v", once.Verdict.Evenness, twice.Verdict.Evenness, twice.Advice)
	}
	// Three in line with time: the slope of their line is known to s/√40.5 a minute, 8 min of it
	// to 1.26 s. Four are enough to fit one.
	sheet = strings.Replace(sheet, "0.5 stop", "0.485 stop", 1)
	slope := s / math.Sqrt(40.5)
	if low, high := 0.4+z*math.Sqrt(4.0/3)*s, 0.4+z*math.Hypot(math.Sqrt(4.0/3)*s, 8*slope); !(low < 0.485 && high > 0.485) {
		t.Fatalf("%.3f to %.3f: not between the two", low, high)
	}
	thrice := judged(t, strings.NewReader(sheet+"A1,4.5,800\nA1,9,800\n"))
	four := judged(t, strings.NewReader(sheet+"A1,3,800\nA1,6,800\nA1,9,800\n"))
	if thrice.Verdict.Evenness != uncertainty.Unsure || !advises(thrice, "few_references") || advises(four, "few_references") {
		t.Errorf("three %s: %+v, four: %+v", thrice.Verdict.Evenness, thrice.Advice, four.Advice)
	}
}
