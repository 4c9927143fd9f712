package falloff

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// MeterLadder is what a ladder of distances says where the inverse square does
// not hold with the distances as they stand: a source that stands elsewhere and
// a meter that shows too little of every stop bend it nearly alike.
type MeterLadder struct {
	// OffsetM is how far the source is behind where the distances count from (in
	// front of it where negative), if the meter is linear.
	OffsetM float64 `json:"offset_m"`
	// ZeroOffsetStops is the largest deviation with no offset.
	ZeroOffsetStops float64 `json:"zero_offset_stops"`
	// Exponent is, if there is no offset, the power of the level that the meter
	// shows: 0.9 is nine tenths of every stop.
	Exponent         float64  `json:"exponent"`
	ExponentInterval Interval `json:"exponent_interval"`
}

const (
	// enoughOfLadder is the share of a ladder's stops that filters have to cover
	// to stand for it.
	enoughOfLadder = 2.0 / 3
	// plainer is by how much χ² has to be less for one of two laws with as many
	// parameters to be taken: twice the logarithm of a likelihood ratio of e².
	plainer = 4.0
)

// power fits the level that a meter shows as a power of the inverse-square law:
// ln shown = a + γ·ln(cos/d²), weighted least squares in closed form. se is the
// standard deviation of γ.
func (s *series) power() (gamma, se, chi2 float64) {
	var w, wu, wy, wuu, wuy float64
	u := make([]float64, len(s.d))
	for i, d := range s.d {
		k := s.weight[i] * s.weight[i]
		u[i] = math.Log(s.cos[i] / (d * d))
		w, wu, wy = w+k, wu+k*u[i], wy+k*s.lny[i]
	}
	for i := range u {
		k := s.weight[i] * s.weight[i]
		du := u[i] - wu/w
		wuu, wuy = wuu+k*du*du, wuy+k*du*s.lny[i]
	}
	gamma, se = wuy/wuu, 1/math.Sqrt(wuu)
	for i := range u {
		r := s.weight[i] * (s.lny[i] - wy/w - gamma*(u[i]-wu/w))
		chi2 += r * r
	}
	return gamma, se, chi2
}

// ladder takes the deviation from the inverse-square law. Where that does not
// hold with the distances as they stand, an offset of theirs may explain it, and
// so may the meter: see MeterLadder.
func (m *meterCheck) ladder(in MeterReadings) error {
	if len(in.Ladder) == 0 {
		return nil
	}
	o := Options{Unit: UnitRelative, Receptor: m.o.Receptor, Repeatability: m.spread(),
		ResolutionStops: m.o.ResolutionStops, ResolutionLevel: m.o.ResolutionLevel}
	if err := checkOptions(&o); err != nil {
		return &PartError{"distance", 0, err}
	}
	if err := checkReadings(in.Ladder, o); err != nil {
		return &PartError{"distance", 0, err}
	}
	s := newSeries(in.Ladder, o)
	if s.distinct < 3 {
		return &PartError{"distance", 0, &InputError{Index: -1, Found: fmt.Sprintf("readings at %d distances", s.distinct), Expected: "readings at three distances or more"}}
	}
	var plain, moved, other *fit
	for _, f := range fitModels(s) {
		switch {
		case f.shape == point && !f.ambient:
			plain = f
		case f.shape == offset && !f.ambient:
			moved = f
		case other == nil:
			other = f
		}
	}
	var levels []float64
	for _, r := range in.Ladder {
		levels = append(levels, r.Level)
	}
	largest := func(f *fit) (most float64) {
		law := f.law()
		for _, r := range in.Ladder {
			most = math.Max(most, math.Abs(math.Log2(r.Level/law.LevelTilted(r.DistanceM, r.IncidenceDeg))))
		}
		return most
	}
	gamma, se, chi2 := s.power()
	z := distuv.UnitNormal.Quantile(0.995)
	holds := func(f *fit) bool { return largest(f) <= m.largestOf(levels, f.params(), 0.975) }
	best, bent := plain, false
	if !holds(plain) || math.Abs(gamma-1) > z*se {
		m.Ladder = &MeterLadder{OffsetM: moved.law().OffsetM, ZeroOffsetStops: largest(plain), Exponent: gamma,
			ExponentInterval: Interval{gamma - z*se, gamma + z*se}}
		// The meter it is where its power explains the ladder better than an
		// offset, and no other light does.
		if bent = chi2 < moved.chi2-plainer && (other == nil || chi2 < other.chi2-plainer); !bent {
			best = moved
		}
	}
	law := best.law()
	for i, r := range in.Ladder {
		p := MeterPoint{Part: "distance", Reading: i + 1, DistanceM: ptr(r.DistanceM), Level: r.Level}
		p.compare(law.LevelTilted(r.DistanceM, r.IncidenceDeg))
		m.Points = append(m.Points, p)
	}
	m.linearity(largest(best), levels, best.params())
	switch {
	case bent:
		m.warn("bent", "With the distances as they stand the meter shows %.2f of every stop, and no other place of the source explains the ladder as well.", gamma)
	case other != nil && other.score() < best.score()-2 && best.misfit() > 1:
		m.warn("not_the_meter", "%s explains the ladder better than a fault of the meter: take ambient light away, keep five source diameters off, or use filters.",
			upperFirst(other.words))
	case best == moved && holds(moved):
		where := "behind"
		if m.Ladder.OffsetM < 0 {
			where = "in front of"
		}
		m.warn("offset_or_meter", "The ladder is linear only if the source is %s %s where the distances count from. With the distances as they stand the meter shows %.2f of every stop and strays by up to %.2g stop. Measure from the source itself and keep five of its diameters off, or read filters of known density before one fixed light: that tells the two apart.",
			m.o.Words.length(math.Abs(m.Ladder.OffsetM)), where, gamma, m.Ladder.ZeroOffsetStops)
	}
	return nil
}
