package falloff

import (
	"fmt"
	"math"

	"evenfall/photometry"

	"gonum.org/v1/gonum/stat"
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
	u := make([]float64, len(s.d))
	for i, d := range s.d {
		u[i] = math.Log(photometry.PointIlluminance(1, d, s.cos[i]))
	}
	level, gamma := stat.LinearRegression(u, s.lny, s.precision, false)
	mean := stat.Mean(u, s.precision)
	var squares float64
	for i := range u {
		squares += s.precision[i] * (u[i] - mean) * (u[i] - mean)
		r := s.weight[i] * (s.lny[i] - level - gamma*u[i])
		chi2 += r * r
	}
	return gamma, 1 / math.Sqrt(squares), chi2
}

// ladderLaws are the laws that a ladder of distances is held against.
type ladderLaws struct {
	plain, moved *fit // the inverse square from the distances as they stand, and from elsewhere
	other        *fit // the best of the others; nil where there are too few distances
	gamma, se    float64
	bentChi2     float64 // of the inverse square shown as a power gamma
}

func (s *series) ladderLaws() ladderLaws {
	var l ladderLaws
	for _, f := range fitModels(s) {
		switch {
		case f.shape == point && !f.ambient:
			l.plain = f
		case f.shape == offset && !f.ambient:
			l.moved = f
		case l.other == nil:
			l.other = f
		}
	}
	l.gamma, l.se, l.bentChi2 = s.power()
	return l
}

// ladder takes the deviation from the inverse-square law. Where that does not
// hold with the distances as they stand, an offset of theirs may explain it, and
// so may the meter: see MeterLadder.
func (m *meterCheck) ladder(in MeterReadings) error {
	if len(in.Ladder) == 0 {
		return nil
	}
	o := m.o
	o.Repeatability = m.spread()
	if err := checkReadings(in.Ladder, o); err != nil {
		return &PartError{"distance", 0, err}
	}
	s := newSeries(in.Ladder, o)
	if s.distinct < 3 {
		return &PartError{"distance", 0, seriesFault(fmt.Sprintf("readings at %d distances", s.distinct), "readings at three distances or more")}
	}
	var levels []float64
	for _, r := range in.Ladder {
		levels = append(levels, r.Level)
	}
	l := s.ladderLaws()
	within := func(f *fit) bool { return f.largestOff(in.Ladder) <= m.largestOf(levels, f.params(), 0.975) }
	z := distuv.UnitNormal.Quantile(0.995)
	best, bent := l.plain, false
	if !within(l.plain) || math.Abs(l.gamma-1) > z*l.se {
		m.Ladder = &MeterLadder{OffsetM: l.moved.law().OffsetM, ZeroOffsetStops: l.plain.largestOff(in.Ladder), Exponent: l.gamma,
			ExponentInterval: Interval{l.gamma - z*l.se, l.gamma + z*l.se}}
		// The meter it is where its power explains the ladder better than an
		// offset, and no other light does.
		if bent = l.bentChi2 < l.moved.chi2-plainer && (l.other == nil || l.bentChi2 < l.other.chi2-plainer); !bent {
			best = l.moved
		}
	}
	law := best.law()
	for i, r := range in.Ladder {
		p := MeterPoint{Part: "distance", Reading: i + 1, DistanceM: ptr(r.DistanceM), Level: r.Level}
		p.compare(law.LevelTilted(r.DistanceM, r.IncidenceDeg))
		m.Points = append(m.Points, p)
	}
	m.linearity(best.largestOff(in.Ladder), levels, best.params())
	switch {
	case bent:
		m.warn("bent", "shown", l.gamma)
	case l.other != nil && l.other.score() < best.score()-2 && best.misfit() > 1:
		m.warn("not_the_meter", "law", LawName(l.other.name))
	case best == l.moved && within(l.moved):
		m.warn("offset_or_meter", "offset", photometry.Length(m.Ladder.OffsetM), "shown", l.gamma, "off", m.Ladder.ZeroOffsetStops)
	}
	return nil
}

// largestOff returns the largest deviation of the readings from the fit's law,
// in stops.
func (f *fit) largestOff(readings []Reading) (most float64) {
	law := f.law()
	for _, r := range readings {
		most = math.Max(most, math.Abs(photometry.Stops(r.Level, law.LevelTilted(r.DistanceM, r.IncidenceDeg))))
	}
	return most
}
