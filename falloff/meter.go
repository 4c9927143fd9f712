package falloff

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// MeterSchema names the form of Meter in JSON.
const MeterSchema = "evenfall/meter/1"

// MeterReadings are the readings to check a meter by; each part may be empty.
type MeterReadings struct {
	// Repeats holds groups of readings of one and the same light, the meter put
	// away and back between them.
	Repeats [][]float64
	// Angles holds readings of a fixed light with the meter turned.
	Angles []AngleReading
	// Ladder holds readings of one small light at several distances.
	Ladder []Reading
	// Filters holds readings of a fixed light through neutral density filters.
	Filters []FilterReading
}

// FilterReading is one reading through a neutral density filter.
type FilterReading struct {
	// Density is the filter's density, 0.3 a stop; zero is no filter.
	Density float64
	// Level is what the meter showed, more than 0.
	Level float64
}

// Meter is how far a meter may be trusted.
type Meter struct {
	Schema string `json:"schema"`
	// Title is what the notes of a file call the check.
	Title    string `json:"title,omitempty"`
	Receptor string `json:"receptor,omitempty"`
	// Unit is the unit of the levels: lx, lx.s or relative.
	Unit string `json:"unit"`
	// Readings counts the readings of all parts.
	Readings int `json:"readings"`
	// Settled is false where a part was read that its readings do not settle:
	// too few repeats, angles on one side only, a dome where a flat receptor is
	// needed, a ladder that something other than the meter bends or may bend.
	Settled bool `json:"settled"`

	// RepeatabilityPercent is the relative standard deviation of one reading in
	// percent, pooled over the groups of repeats.
	RepeatabilityPercent         *float64  `json:"repeatability_percent,omitempty"`
	RepeatabilityIntervalPercent *Interval `json:"repeatability_interval_percent,omitempty"`
	RepeatabilityDegrees         int       `json:"repeatability_degrees_of_freedom,omitempty"`
	// RepeatabilityNote is the line to paste at the head of a survey.
	RepeatabilityNote string `json:"repeatability_note,omitempty"`

	// SpreadPercent is the relative standard deviation that single readings of
	// the other parts were given: from the repeats, as known, or assumed.
	SpreadPercent float64 `json:"spread_percent"`

	// F2Percent is the directional response index in percent, to F2ToDeg.
	F2Percent *float64 `json:"f2_percent,omitempty"`
	F2ToDeg   *float64 `json:"f2_to_deg,omitempty"`
	// F2NoisePercent is about what the scatter of single readings alone would
	// show as f2.
	F2NoisePercent *float64 `json:"f2_noise_percent,omitempty"`
	// F2AtMostPercent is what f2 may be where the scatter could be all of what was
	// read; absent where f2 is more than that.
	F2AtMostPercent *float64 `json:"f2_at_most_percent,omitempty"`
	// TenthStopToDeg is the largest angle read out to which the meter, both sides
	// and repeats averaged, stays within a tenth of a stop of the cosine law.
	TenthStopToDeg *float64 `json:"tenth_stop_to_deg,omitempty"`
	// TiltDeg is by how much the receptor's axis was off the angles as noted,
	// in their sense; absent where readings stand on one side only.
	TiltDeg         *float64  `json:"tilt_deg,omitempty"`
	TiltIntervalDeg *Interval `json:"tilt_interval_deg,omitempty"`

	// LinearityStops is the largest deviation in stops from the best law of the
	// ladder of distances or filters.
	LinearityStops *float64 `json:"linearity_stops,omitempty"`
	// LinearityNoiseStops is the largest deviation that the repeatability alone
	// would show, in half of all tries.
	LinearityNoiseStops *float64 `json:"linearity_noise_stops,omitempty"`
	// LinearityFrom and LinearityTo are the levels between which it holds.
	LinearityFrom *float64 `json:"linearity_from,omitempty"`
	LinearityTo   *float64 `json:"linearity_to,omitempty"`

	// Ladder is absent where the distances as they stand keep the law.
	Ladder *MeterLadder `json:"ladder,omitempty"`

	Points []MeterPoint `json:"points"`

	Conclusions
}

// MeterPoint is one reading beside what a perfect meter would have shown.
type MeterPoint struct {
	// Part is "repeat", "angle", "distance" or "filter"; Reading counts from 1
	// within it (Group and Reading within the group, for repeats).
	Part    string `json:"part"`
	Group   int    `json:"group,omitempty"`
	Reading int    `json:"reading"`
	// AngleDeg, DistanceM or FilterStops is where the reading was taken.
	AngleDeg    *float64 `json:"angle_deg,omitempty"`
	DistanceM   *float64 `json:"distance_m,omitempty"`
	FilterStops *float64 `json:"filter_stops,omitempty"`
	Level       float64  `json:"level"`
	// Expected is what a perfect meter would have shown; absent where there is
	// nothing to compare with.
	Expected         *float64 `json:"expected,omitempty"`
	DeviationPercent *float64 `json:"deviation_percent,omitempty"`
	DeviationStops   *float64 `json:"deviation_stops,omitempty"`
}

func (p *MeterPoint) compare(expected float64) {
	p.Expected = ptr(expected)
	p.DeviationPercent = ptr(100 * (p.Level/expected - 1))
	p.DeviationStops = ptr(math.Log2(p.Level / expected))
}

// PartError says in which part of MeterReadings an error is.
type PartError struct {
	// Part is "repeat", "angle", "distance" or "filter"; Group counts the groups
	// of repeats from 0.
	Part  string
	Group int
	Err   error
}

func (e *PartError) Error() string { return e.Part + " readings: " + e.Err.Error() }
func (e *PartError) Unwrap() error { return e.Err }

// CheckMeter says how far a meter may be trusted from whatever parts are given.
//
// A dome receptor is refused where a flat one is needed: its angle readings come
// back as an error with the reason and the amount. Readings that were not said
// to be from a dome but follow one get no f2 and a warning.
//
// Faults of readings come back as a PartError around InputErrors.
func CheckMeter(in MeterReadings, o Options) (*Meter, error) {
	if err := checkOptions(&o); err != nil {
		return nil, err
	}
	if len(in.Repeats)+len(in.Angles)+len(in.Ladder)+len(in.Filters) == 0 {
		return nil, seriesFault("no readings", "repeats, angles, a ladder of distances or of filters")
	}
	m := &meterCheck{Meter: &Meter{Schema: MeterSchema, Receptor: o.Receptor, Unit: o.Unit, Points: []MeterPoint{}, Settled: true}, o: o}
	for _, step := range []func(MeterReadings) error{m.repeats, m.angles, m.ladder, m.filters} {
		if err := step(in); err != nil {
			return nil, err
		}
	}
	m.SpreadPercent = 100 * m.spread()
	m.Readings = len(in.Angles) + len(in.Ladder) + len(in.Filters)
	for _, group := range in.Repeats {
		m.Readings += len(group)
	}
	// A tenth of a stop has to be more than two readings differ by from scatter alone.
	if two := math.Sqrt2 * uncertainty.Factor(0) * m.spread() / math.Ln2; two > 0.1 && m.F2Percent != nil || two > 0.1 && m.LinearityStops != nil {
		m.TenthStopToDeg = nil
		m.warn("scatter_hides", "percent", photometry.Percentage(m.SpreadPercent))
	}
	for _, w := range m.Warnings {
		m.Settled = m.Settled && !Unsettling[w.Code]
	}
	return m.Meter, nil
}

// Unsettling are the warnings after which a part is not settled.
var Unsettling = map[string]bool{"few_repeats": true, "resolution_hides": true, "scatter_hides": true, "one_sided": true, "dome": true, "not_the_meter": true, "offset_or_meter": true}

type meterCheck struct {
	*Meter
	o Options
}

// spread is the repeatability that counts for the other parts, as a share.
func (m *meterCheck) spread() float64 {
	switch r := m.RepeatabilityPercent; {
	case r != nil && *r > 0 && m.RepeatabilityDegrees >= uncertainty.FewRepeats:
		return *r / 100
	case r != nil:
		return math.Max(*r/100, uncertainty.AssumedRepeatability)
	case m.o.Repeatability > 0:
		return m.o.Repeatability
	}
	return uncertainty.AssumedRepeatability
}

// readingSpread is the standard deviation of ln level of one reading, with the step
// of the display.
func (m *meterCheck) readingSpread(level float64) float64 {
	step := math.Hypot(m.o.ResolutionLevel/level, m.o.ResolutionStops*math.Ln2) / math.Sqrt(12)
	return math.Hypot(m.spread(), step)
}

// repeats pools the groups. The interval is that of a variance with ν degrees
// of freedom, r·√(ν/χ²) at the 97.5 and 2.5 % points.
func (m *meterCheck) repeats(in MeterReadings) error {
	for g, group := range in.Repeats {
		var errs faults
		for i, v := range group {
			errs.check(i, v, levelLimits)
		}
		if err := errs.OrNil(); err != nil {
			return &PartError{"repeat", g, err}
		}
	}
	r, dof := pooledRepeatability(in.Repeats)
	switch {
	case len(in.Repeats) == 0:
		return nil
	case dof == 0:
		return &PartError{"repeat", 0, seriesFault("no light read more than once", "two readings or more of the same light")}
	}
	for g, group := range in.Repeats {
		mean := stat.GeometricMean(group, nil)
		for i, v := range group {
			p := MeterPoint{Part: "repeat", Group: g + 1, Reading: i + 1, Level: v}
			if len(group) > 1 {
				p.compare(mean)
			}
			m.Points = append(m.Points, p)
		}
	}
	m.RepeatabilityDegrees = dof
	if r == 0 {
		m.warn("resolution_hides")
		return nil
	}
	m.RepeatabilityPercent = ptr(100 * r)
	nu := float64(dof)
	end := func(p float64) float64 { return 100 * r * math.Sqrt(nu/distuv.ChiSquared{K: nu}.Quantile(p)) }
	iv := Interval{Lo: end(0.975), Hi: end(0.025)}
	m.RepeatabilityIntervalPercent = &iv
	if dof < uncertainty.FewRepeats {
		m.warn("few_repeats", "least", iv.Lo, "most", iv.Hi)
		return nil
	}
	m.RepeatabilityNote = "# repeatability: " + twoDigits(100*r) + " %"
	m.advise("note", "line", m.RepeatabilityNote)
	return nil
}

// twoDigits writes a percentage with the two digits that a standard deviation
// from a handful of repeats can support.
func twoDigits(v float64) string {
	if v >= 10 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', int(math.Max(1, 1-math.Floor(math.Log10(v)))), 64)
}
