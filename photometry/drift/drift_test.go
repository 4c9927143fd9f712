package drift

import (
	"math"
	"math/rand/v2"
	"testing"
)

const scatter = 0.02

// at are readings a minute apart.
func at(stops ...float64) []Reading {
	var all []Reading
	for i, v := range stops {
		all = append(all, Reading{float64(i), v})
	}
	return all
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// With four readings a line has two spare ones, and is accepted while Σe²/s² stays below
// the 90 % point of χ², 4.60517 (tables). Its slope is good to s/√Σ(t−t̄)².
func TestALineIsAccepted(t *testing.T) {
	e := scatter * math.Sqrt(4.60517/4) // errors at right angles to a constant and to time
	for factor, want := range map[float64]Shape{0.999: Line, 1.001: Between} {
		d := Find(at(factor*e, 1-factor*e, 2-factor*e, 3+factor*e), nil, scatter)
		if d.Changes[0].Shape != want || !near(d.TotalStops, 3) && want == Line {
			t.Errorf("%v times the limit: %+v", factor, d)
		}
		if want := scatter / math.Sqrt(5) * 3; d.Changes[0].Shape == Line && !near(d.ErrorStops, want) {
			t.Errorf("error %v, want %v", d.ErrorStops, want)
		}
	}
	d := Find(at(0, 1, 2, 3), nil, scatter)
	if stops, slack := d.Off(d.Changes[0], 1.5); !near(stops, 1.5) || slack != 0 || len(d.Changes) > 1 {
		t.Errorf("%v, %v of %+v", stops, slack, d)
	}
	// Three readings leave one spare for a line: they are taken as they are.
	if d := Find(at(0, 1, 2), nil, scatter); d.Changes[0].Shape != Between || !near(d.GapStops, 1) {
		t.Errorf("three readings: %+v", d)
	}
}

// Between two readings that differ by more than 1.96·√2·s the light is anywhere between
// the two; otherwise it is interpolated.
func TestBetweenReadings(t *testing.T) {
	limit := 1.959964 * math.Sqrt2 * scatter
	d := Find(at(0, limit*1.001), nil, scatter)
	stops, slack := d.Off(d.Changes[0], 0.2)
	if !near(stops, limit*1.001/2) || !near(slack, limit*1.001/2) || !d.Significant {
		t.Errorf("%v ± %v, %+v", stops, slack, d)
	}
	if d = Find(at(0, limit*0.999), nil, scatter); d.Significant || d.GapStops > 0 {
		t.Errorf("two that agree: %+v", d)
	}
	// Two steps up and one down are no shape; the middle ones agree.
	d = Find(at(0, 1, 1.01, 0.4), nil, scatter)
	stops, slack = d.Off(d.Changes[0], 1.5)
	if !near(stops, 0.4-1.005) || slack != 0 || !near(d.GapStops, 1) {
		t.Errorf("%v ± %v, %+v", stops, slack, d)
	}
	for minutes, want := range map[float64][2]float64{0: {0.4, 0}, 0.5: {-0.1, 0.5}, 3: {0, 0}, 9: {0, 0}} {
		if stops, slack := d.Off(d.Changes[0], minutes); !near(stops, want[0]) || !near(slack, want[1]) {
			t.Errorf("at %v: %v ± %v, want %v", minutes, stops, slack, want)
		}
	}
}

// Exact warm-ups and steps are found as such, and what is read meanwhile comes out even.
func TestShapesAreFound(t *testing.T) {
	var warm, step []float64
	for i := range 9 {
		warm = append(warm, -math.Exp(-float64(i)/2))
		step = append(step, 0.5*math.Floor(float64(i)/4.5))
	}
	d := Find(at(warm...), nil, scatter)
	if stops, slack := d.Off(d.Changes[0], 3.5); d.Changes[0].Shape != WarmUp || math.Abs(stops-(math.Exp(-1.75)-math.Exp(-4))) > 1e-3 || slack != 0 {
		t.Errorf("warm-up: %v ± %v by %s", stops, slack, d.Changes[0].Shape)
	}
	d = Find(at(step...), nil, scatter)
	if stops, slack := d.Off(d.Changes[0], 4.5); d.Changes[0].Shape != Step || !near(stops, 0.25) || !near(slack, 0.25) || !near(d.GapStops, 0.5) {
		t.Errorf("step: %v ± %v by %s", stops, slack, d.Changes[0].Shape)
	}
	if stops, slack := d.Off(d.Changes[0], 3.9); !near(stops, 0.5) || slack != 0 {
		t.Errorf("before the step: %v ± %v", stops, slack)
	}
}

// A steady light is called so in 97.5 % of cases where no shape has readings to spare, and a shape is carried beyond the
// readings for their longest gap. Two readings at one time, or one, are no drift.
func TestReach(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	steady := 0
	for range 1000 {
		d := Find(at(scatter*random.NormFloat64(), scatter*random.NormFloat64(), scatter*random.NormFloat64()), nil, scatter)
		if d.Changes[0].Shape == Steady {
			steady++
		}
	}
	if steady < 960 || steady > 990 {
		t.Errorf("%d of 1000 steady lights are called so", steady)
	}
	d := Find([]Reading{{3, 1.5}, {0, 0}, {1, 0.5}, {2, 1}, {5, 2.5}}, nil, scatter)
	for minutes, want := range map[float64]float64{7: -1, 7.01: 0, -2: 3.5, -2.01: 2.5} {
		if stops, _ := d.Off(d.Changes[0], minutes); !near(stops, want) || d.IsOutside(minutes) != (math.Abs(minutes-2.5) > 4.505) {
			t.Errorf("at %v: %v, want %v", minutes, stops, want)
		}
	}
	if d := Find([]Reading{{3, 0}, {3, 1}}, nil, scatter); d != nil {
		t.Errorf("two at once: %+v", d)
	}
	if d := Find(at(1), nil, scatter); d != nil {
		t.Errorf("one: %+v", d)
	}
}
