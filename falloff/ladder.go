package falloff

import (
	"fmt"
	"math"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"

	"gonum.org/v1/gonum/stat"
)

// MeterLadder is what a ladder of distances says where the inverse square does
// not hold with the distances as written: a source that is elsewhere and
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

// LawName names a law that a ladder of distances is held against, as a value of a
// finding.
type LawName string

// Names of the laws that are no fault of a meter.
const (
	LawDisc          LawName = "disc"
	LawAmbient       LawName = "point_ambient"
	LawOffsetAmbient LawName = "point_offset_ambient"
	LawDiscAmbient   LawName = "disc_ambient"
)

// otherLaws are what else than a fault of the meter may bend a ladder.
var otherLaws = []struct {
	name LawName
	free freedom
}{
	{LawDisc, freedom{radius: true}}, {LawAmbient, freedom{ambient: true}},
	{LawOffsetAmbient, freedom{offset: true, ambient: true}}, {LawDiscAmbient, freedom{radius: true, ambient: true}},
}

// ladderLaw is a law fitted to a ladder, with nothing known of its offset.
type ladderLaw struct {
	Law
	name   LawName
	chi2   float64
	params int
	misfit float64
}

// score is χ² + 2p (H. Akaike, IEEE Trans. Automat. Contr. 19 (1974) 716).
func (l ladderLaw) score() float64 { return l.chi2 + 2*float64(l.params) }

func (s *series) ladderLaw(name LawName, free freedom) ladderLaw {
	l := ladderLaw{name: name, params: 1}
	for _, may := range []bool{free.offset, free.radius, free.ambient} {
		if may {
			l.params++
		}
	}
	best := s.minima(free, prior{width: math.Inf(1)})[0]
	l.Law, l.chi2, l.misfit = s.law(best), best.chi2, misfit(best.chi2, len(s.d)-l.params)
	return l
}

// ladderLaws are the laws that a ladder of distances is held against.
type ladderLaws struct {
	plain, moved ladderLaw  // the inverse square from the distances as they are, and from elsewhere
	other        *ladderLaw // the best of the others; nil where there are too few distances
	gamma, se    float64
	bentChi2     float64 // of the inverse square shown as a power gamma
}

func (s *series) ladderLaws() ladderLaws {
	l := ladderLaws{plain: s.ladderLaw("", freedom{}), moved: s.ladderLaw("", freedom{offset: true})}
	for _, o := range otherLaws {
		if law := s.ladderLaw(o.name, o.free); law.params < s.distinct && (l.other == nil || law.score() < l.other.score()) {
			l.other = &law
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
	within := func(l ladderLaw) bool { return l.largestOff(in.Ladder) <= m.largestOf(levels, l.params, 0.975) }
	z := uncertainty.Quantile(0.995, 0)
	best, bent, moved := l.plain, false, false
	if !within(l.plain) || math.Abs(l.gamma-1) > z*l.se {
		m.Ladder = &MeterLadder{OffsetM: l.moved.OffsetM, ZeroOffsetStops: l.plain.largestOff(in.Ladder), Exponent: l.gamma,
			ExponentInterval: Interval{l.gamma - z*l.se, l.gamma + z*l.se}}
		// The meter it is where its power explains the ladder better than an
		// offset, and no other light does.
		if bent = l.bentChi2 < l.moved.chi2-plainer && (l.other == nil || l.bentChi2 < l.other.chi2-plainer); !bent {
			best, moved = l.moved, true
		}
	}
	for i, r := range in.Ladder {
		p := MeterPoint{Part: "distance", Reading: i + 1, DistanceM: ptr(r.DistanceM), Level: r.Level}
		p.compare(best.LevelTilted(r.DistanceM, r.IncidenceDeg))
		m.Points = append(m.Points, p)
	}
	m.linearity(best.largestOff(in.Ladder), levels, best.params)
	switch {
	case bent:
		m.warn("bent", "shown", l.gamma)
	case l.other != nil && l.other.score() < best.score()-2 && best.misfit > 1:
		m.warn("not_the_meter", "law", l.other.name)
	case moved && within(l.moved):
		m.warn("offset_or_meter", "offset", photometry.Length(m.Ladder.OffsetM), "shown", l.gamma, "off", m.Ladder.ZeroOffsetStops)
	}
	return nil
}

// largestOff returns the largest deviation of the readings from the law, in stops.
func (l Law) largestOff(readings []Reading) (most float64) {
	for _, r := range readings {
		most = math.Max(most, math.Abs(photometry.Stops(r.Level, l.LevelTilted(r.DistanceM, r.IncidenceDeg))))
	}
	return most
}
