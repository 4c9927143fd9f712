package colorimetry

import (
	"math"
	"testing"

	"evenfall/testdata"
)

// The CIE scales the three functions so that the equal-energy spectrum has equal
// tristimulus values (CIE 15): at 1 nm the sums agree to 0.04 %.
func TestObserverSumsAreEqual(t *testing.T) {
	var s XYZ
	for nm := FirstNM; nm <= LastNM; nm++ {
		s = s.Add(ColorMatching(nm))
	}
	for _, v := range []float64{s.X, s.Y, s.Z} {
		if math.Abs(v/106.8569-1) > 4e-4 {
			t.Errorf("sums %v, want all near 106.8569", s)
		}
	}
	if c := s.XY(); math.Abs(c.X-1.0/3) > 5e-5 || math.Abs(c.Y-1.0/3) > 5e-5 {
		t.Errorf("equal energy at %v", c)
	}
}

// Every figure of the 5 nm table is in the 1 nm table to the last digit
// (testdata/SOURCES.md, color).
func TestObserverHasThe5nmTable(t *testing.T) {
	rows := testdata.ColorMatching5nm()
	if len(rows) != 95 {
		t.Fatalf("%d rows, want 95", len(rows))
	}
	for _, r := range rows {
		if got := ColorMatching(r.WavelengthNM); got != (XYZ{r.X, r.Y, r.Z}) {
			t.Errorf("%d nm: %v, want %v %v %v", r.WavelengthNM, got, r.X, r.Y, r.Z)
		}
	}
}

func TestObserverBetween5nm(t *testing.T) {
	for _, r := range testdata.ColorMatchingSpots() {
		got := ColorMatching(r.WavelengthNM)
		for k, pair := range [3][2]float64{{got.X, r.X}, {got.Y, r.Y}, {got.Z, r.Z}} {
			if math.Abs(pair[0]-pair[1]) > r.Tolerance*pair[1] {
				t.Errorf("%d nm, function %d: %v, want %v", r.WavelengthNM, k, pair[0], pair[1])
			}
		}
	}
}

// Another library's Planckian points, to fifteen digits, weigh every row of the
// table up to 780 nm in three different ways: a wrong digit anywhere shows.
func TestObserverAgainstPlanckianPoints(t *testing.T) {
	const c2 = 1.4388e-2 // that library's
	for _, p := range testdata.PlanckianPoints() {
		var sum XYZ
		for nm := FirstNM; nm <= 780; nm++ {
			m := float64(nm) * 1e-9
			sum = sum.Add(ColorMatching(nm).Scale(math.Pow(m/560e-9, -5) / math.Expm1(c2/(m*p.Kelvin))))
		}
		c := sum.UV()
		if math.Abs(c.U-p.U) > p.Tolerance || math.Abs(c.V-p.V) > p.Tolerance {
			t.Errorf("%g K: %.16f %.16f, want %.16f %.16f", p.Kelvin, c.U, c.V, p.U, p.V)
		}
	}
}

func TestObserverOutsideItsRange(t *testing.T) {
	for _, nm := range []int{-1, 0, 359, 831, 5000} {
		if got := ColorMatching(nm); got != (XYZ{}) {
			t.Errorf("%d nm: %v", nm, got)
		}
	}
}
