package plan

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/testdata"
)

// Published configuration factors (testdata, falloff_viewfactors.csv): the mean
// over a patch of E/(π·L), here by a table's panel or disc.
func TestViewFactors(t *testing.T) {
	for _, f := range testdata.ViewFactors() {
		area := f.WidthM * f.HeightM
		text := fmt.Sprintf("a,panel,0,0,0,0,0,5,%.12g,%.12g,%.12g", area/math.Pi, f.WidthM, f.HeightM)
		if f.Shape == "disc" {
			area = math.Pi * f.RadiusM * f.RadiusM
			text = fmt.Sprintf("a,disc,0,0,0,0,0,5,%.12g,%.12g,", area/math.Pi, 2*f.RadiusM)
		}
		s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,intensity,width,height", text), Options{})
		mean := 0.0
		const n = 200
		for i := range n {
			share := (float64(i) + 0.5) / n
			switch f.Patch {
			case "disc": // rings of equal area about the axis
				mean += s.At(r3.Vec{X: f.PatchRadiusM * math.Sqrt(share), Z: f.DistanceM}, r3.Vec{Z: -1}).Level / n
			case "strip":
				mean += s.At(r3.Vec{X: (share - 0.5) * f.PatchWidthM, Y: -f.HeightM / 2, Z: f.DistanceM}, r3.Vec{Z: -1}).Level / n
			case "perpendicular strip":
				mean += s.At(r3.Vec{X: (share - 0.5) * f.PatchWidthM, Y: -f.HeightM / 2, Z: f.DistanceM}, r3.Vec{Y: 1}).Level / n
			default:
				t.Fatalf("patch %q", f.Patch)
			}
		}
		// Exitance 1 lm/m²: E is the factor.
		if math.Abs(mean-f.Expected) > f.Tolerance+5e-5 {
			t.Errorf("%s: %.5f, published %.4f", f.Name, mean, f.Expected)
		}
	}
}
