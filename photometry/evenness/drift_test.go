package evenness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
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
