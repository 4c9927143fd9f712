package causes

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Codes of tests.
const (
	SwitchOff  = "switch_off"  // the lamp of Side; then read the place
	ClothDown  = "cloth_down"  // on the floor; then read the place
	ShadeEdge  = "shade_edge"  // the edge of Side; then read the place
	OthersOff  = "others_off"  // all lamps but one; then read the place
	FirstAgain = "first_again" // read the first place again
	ReadBeside = "read_beside" // read half a spacing beside
	ReadAt     = "read_at"     // read a place that was not read
	ReadThere  = "read_there"  // read the place again
)

// Test is the one reading or switch that tells a cause from its first rival, with the
// level that it will then show in either case.
type Test struct {
	Code  string
	Side  string
	Place int     // a place that was read, -1 for none
	X, Y  float64 // where to read, in the units of the surface
	// IfCause and IfRival are log2 of the level to expect, NaN where models do not say.
	IfCause, IfRival float64
}

// test is the test for a cause, nil where it needs none or there is none.
func (s *shape) test(in Surface, c Cause, fits []*fit) *Test {
	if c.part.effect == nil {
		return &Test{Code: ReadThere, Place: c.Place, X: in.X[c.Place], Y: in.Y[c.Place], IfCause: math.NaN(), IfRival: math.NaN()}
	}
	var rival Name
	if len(c.Rivals) > 0 {
		rival = c.Rivals[0].Name
	}
	out := &Test{Side: c.Side, IfCause: math.NaN(), IfRival: math.NaN()}
	at := func(code string, place int) *Test {
		out.Code, out.Place = code, place
		out.X, out.Y = in.X[place], in.Y[place]
		return out
	}
	peak, bright := s.of[strongest(c.part.effect)], s.of[floats.MaxIdx(c.part.effect)]
	other := s.best(fits, rival)
	if rival.Code != "" && other != nil && s.told(in, c, other, out) {
		return out
	}
	codes := []string{c.Code, rival.Code}
	has := func(code string) bool { return slices.Contains(codes, code) }
	switch {
	case has(Drift):
		t := at(FirstAgain, s.of[floats.MinIdx(s.t)])
		first, last := floats.MinIdx(s.t), floats.MaxIdx(s.t)
		drift := c.part.effect[last] - c.part.effect[first]
		t.IfRival = in.Stops[t.Place]
		if t.IfCause = t.IfRival + drift; c.Code != Drift {
			t.IfCause, t.IfRival = t.IfRival, t.IfCause
		}
		return t
	case has(Bounce):
		return at(ClothDown, bright)
	case c.Code == OneReading:
		t := at(ReadThere, c.Place)
		t.IfCause, t.IfRival = in.Stops[c.Place]-s.valueAt(c.part.effect, c.Place), in.Stops[c.Place]
		return t
	case has(HotSpot), has(DarkSpot), has(Shadow):
		return at(ReadBeside, peak)
	case has(OneLamp):
		return at(OthersOff, bright)
	case has(SideBright), c.Code == OtherLight && c.Side != "top":
		return at(SwitchOff, bright)
	case has(TopBright), c.Code == OtherLight:
		out.Side = "top"
		return at(ShadeEdge, bright)
	}
	return nil
}

// strongest is where the size of an effect is largest.
func strongest(effect []float64) int {
	high, low := floats.MaxIdx(effect), floats.MinIdx(effect)
	if effect[high] < -effect[low] {
		return low
	}
	return high
}

// valueAt is an effect at a reading.
func (s *shape) valueAt(effect []float64, reading int) float64 {
	if k := slices.Index(s.of, reading); k >= 0 {
		return effect[k]
	}
	return 0
}

// best is the best model that has a cause first, nil where there is none.
func (s *shape) best(fits []*fit, n Name) *fit {
	for _, f := range fits {
		if ranked := s.ranked(f); len(ranked) > 0 && ranked[0].same(n) {
			return f
		}
	}
	return nil
}

// leastTold is by how many standard deviations of a reading two models have to differ at
// a place for a reading there to tell them apart.
const leastTold = 4.0

// told fills in the place that was not read where a reading tells best between a cause
// and another model, if one does.
func (s *shape) told(in Surface, c Cause, other *fit, out *Test) bool {
	first, second := s.light(c.from.model, c.from.Z), s.light(other.model, other.Z)
	offset := func(l *light) float64 {
		return stat.Mean(s.stops, nil) - stat.Mean(l.each(make([]float64, len(s.u))), nil)
	}
	cFirst, cSecond := offset(first), offset(second)
	largest := leastTold * s.scatter
	step := s.spacing / 2
	for u := -s.halfWidth; u <= s.halfWidth+1e-9; u += step {
		for v := -s.halfHeight; v <= s.halfHeight+1e-9; v += step {
			a, b := first.log2At(u, v)+cFirst, second.log2At(u, v)+cSecond
			if near := s.distance(u, v); near < 0.3*s.spacing || near > s.spacing || math.Abs(a-b) <= largest {
				continue
			}
			largest = math.Abs(a - b)
			out.Code, out.Place, out.IfCause, out.IfRival = ReadAt, -1, a, b
			out.X, out.Y = u*s.unit+s.center[0], v*s.unit+s.center[1]
		}
	}
	return out.Code != ""
}

// distance is how far the nearest place is.
func (s *shape) distance(u, v float64) float64 {
	least := math.Inf(1)
	for i := range s.u {
		least = min(least, math.Hypot(s.u[i]-u, s.v[i]-v))
	}
	return least
}
