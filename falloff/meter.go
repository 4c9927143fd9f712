package falloff

import (
	"fmt"
	"math"
	"sort"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"
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

// MeterOptions say what is known of the meter. The zero value is a flat
// receptor of which nothing is known.
type MeterOptions struct {
	// Receptor is ReceptorFlat (also where empty) or ReceptorDome.
	Receptor string
	// Repeatability is the relative standard deviation of one reading where it
	// is known; readings in Repeats go before it.
	Repeatability float64
	// ResolutionStops and ResolutionLevel are the step of the display, in stops
	// or in the unit of the levels; zero means fine.
	ResolutionStops, ResolutionLevel float64
	// Unit is the unit of the levels, as in Options; empty is UnitLux.
	Unit string
	// Words write the lengths of sentences.
	Words Words
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

	Points   []MeterPoint `json:"points"`
	Causes   []Finding    `json:"causes,omitempty"`
	Advice   []Finding    `json:"advice,omitempty"`
	Warnings []Finding    `json:"warnings,omitempty"`

	// Inferred and ReadAs are as in Distance.
	Inferred []string `json:"inferred,omitempty"`
	ReadAs   []string `json:"-"`
}

// MeterPoint is one reading beside what a perfect meter would have shown.
type MeterPoint struct {
	// Part is "repeat", "angle", "distance" or "filter"; Reading counts from 1
	// within it (Group and Reading within the group, for repeats).
	Part    string `json:"part"`
	Group   int    `json:"group,omitempty"`
	Reading int    `json:"reading"`
	// AngleDeg, DistanceM or FilterStops is where the reading stands.
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

// PartError says in which part of MeterReadings an error stands.
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
func CheckMeter(in MeterReadings, o MeterOptions) (*Meter, error) {
	if o.Receptor != "" && o.Receptor != ReceptorFlat && o.Receptor != ReceptorDome {
		return nil, &InputError{Index: -1, Found: "the receptor " + o.Receptor, Expected: "flat or dome"}
	}
	if !(o.Repeatability >= 0 && o.Repeatability < 1) || !(o.ResolutionStops >= 0) || !(o.ResolutionLevel >= 0) {
		return nil, &InputError{Index: -1, Found: fmt.Sprintf("a repeatability of %g and a resolution of %g stops", o.Repeatability, o.ResolutionStops), Expected: "a share between 0 and 1, and 0 or more"}
	}
	if len(in.Repeats)+len(in.Angles)+len(in.Ladder)+len(in.Filters) == 0 {
		return nil, &InputError{Index: -1, Found: "no readings", Expected: "repeats, angles, a ladder of distances or of filters"}
	}
	if o.Unit == "" {
		o.Unit = UnitLux
	}
	m := &meterCheck{Meter: Meter{Schema: MeterSchema, Receptor: o.Receptor, Unit: o.Unit, Points: []MeterPoint{}}, o: o}
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
	m.Settled = true
	for _, w := range m.Warnings {
		m.Settled = m.Settled && !unsettles[w.Code]
	}
	return &m.Meter, nil
}

// unsettles are the warnings after which a part is not settled.
var unsettles = map[string]bool{"few_repeats": true, "resolution_hides": true, "one_sided": true, "dome": true, "not_the_meter": true, "offset_or_meter": true}

type meterCheck struct {
	Meter
	o MeterOptions
}

func (m *meterCheck) warn(code, format string, args ...any) {
	m.Warnings = append(m.Warnings, Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

// spread is the repeatability that stands for the other parts, as a share.
func (m *meterCheck) spread() float64 {
	switch {
	case m.RepeatabilityPercent != nil && *m.RepeatabilityPercent > 0 && m.RepeatabilityDegrees >= 4:
		return *m.RepeatabilityPercent / 100
	case m.RepeatabilityPercent != nil:
		return math.Max(*m.RepeatabilityPercent/100, AssumedRepeatability)
	case m.o.Repeatability > 0:
		return m.o.Repeatability
	}
	return AssumedRepeatability
}

// repeats pools the groups. The interval is that of a variance with ν degrees
// of freedom, r·√(ν/χ²) at the 97.5 and 2.5 % points.
func (m *meterCheck) repeats(in MeterReadings) error {
	for g, group := range in.Repeats {
		var errs InputErrors
		for i, v := range group {
			if e := levelFault(i, v); e != nil {
				errs = append(errs, e)
			}
		}
		if err := errs.err(); err != nil {
			return &PartError{"repeat", g, err}
		}
	}
	r, dof := pooledRepeatability(in.Repeats)
	if len(in.Repeats) > 0 && dof == 0 {
		return &PartError{"repeat", 0, &InputError{Index: -1, Found: "no light read more than once", Expected: "two readings or more of the same light"}}
	}
	if dof == 0 {
		return nil
	}
	for g, group := range in.Repeats {
		var mean float64
		for _, v := range group {
			mean += math.Log(v) / float64(len(group))
		}
		for i, v := range group {
			p := MeterPoint{Part: "repeat", Group: g + 1, Reading: i + 1, Level: v}
			if len(group) > 1 {
				p.compare(math.Exp(mean))
			}
			m.Points = append(m.Points, p)
		}
	}
	m.RepeatabilityPercent = ptr(100 * r)
	m.RepeatabilityDegrees = dof
	chi := distuv.ChiSquared{K: float64(dof)}
	nu := float64(dof)
	m.RepeatabilityIntervalPercent = &Interval{
		Lo: 100 * r * math.Sqrt(nu/chi.Quantile(0.975)),
		Hi: 100 * r * math.Sqrt(nu/chi.Quantile(0.025)),
	}
	if r == 0 {
		m.RepeatabilityIntervalPercent = nil
		m.warn("resolution_hides", "All repeats agree to the last digit shown: the display is coarser than the meter. Note the step as a resolution instead.")
		return nil
	}
	m.RepeatabilityNote = "# repeatability: " + twoDigits(100*r) + " %"
	if dof < 4 {
		m.warn("few_repeats", "Too few repeats to go by (anything from %s to %s %% would do): until there are five or more readings of one light, the larger of this and 2 %% stands.",
			digits(m.RepeatabilityIntervalPercent.Lo), digits(m.RepeatabilityIntervalPercent.Hi))
	}
	m.Advice = append(m.Advice, Finding{Code: "note", Text: "Paste this line at the head of a survey: " + m.RepeatabilityNote})
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

// angles fits the tilt and works out f2.
func (m *meterCheck) angles(in MeterReadings) error {
	if len(in.Angles) == 0 {
		return nil
	}
	if m.o.Receptor == ReceptorDome {
		first, largest := 0, 0.0
		for i, r := range in.Angles {
			if r.AngleDeg != 0 && in.Angles[first].AngleDeg == 0 {
				first = i
			}
			if v := math.Abs(r.AngleDeg); v < 90 {
				largest = math.Max(largest, v)
			}
		}
		return &PartError{"angle", 0, &InputError{Index: first, Of: AngleFigure, Found: "a dome receptor", Expected: "a flat receptor: " + domeReason(largest)}}
	}
	d, err := newDirectional(in.Angles)
	if err != nil {
		return &PartError{"angle", 0, err}
	}
	e0 := math.Exp(d.lnE0)
	var worst, at float64
	for i, r := range in.Angles {
		p := MeterPoint{Part: "angle", Reading: i + 1, AngleDeg: ptr(r.AngleDeg), Level: r.Level}
		if e := r.AngleDeg*math.Pi/180 - d.tilt; math.Abs(e) < math.Pi/2 {
			p.compare(e0 * math.Cos(e))
			if v := *p.DeviationPercent; math.Abs(v) > math.Abs(worst) && math.Abs(e) <= d.to+1e-9 {
				worst, at = v, r.AngleDeg
			}
		}
		m.Points = append(m.Points, p)
	}
	if d.fitted {
		tilt := d.tilt * 180 / math.Pi
		m.TiltDeg = ptr(tilt)
		if d.tiltErr > 0 {
			z := 1.96 * d.tiltErr * 180 / math.Pi
			m.TiltIntervalDeg = &Interval{tilt - z, tilt + z}
		}
	} else {
		m.warn("one_sided", "Angles on one side alone cannot tell a tilted receptor from a directional error: read the other side too.")
	}
	if d.domeLike() {
		to := d.to * 180 / math.Pi
		m.warn("dome", "These readings follow a dome, not a flat receptor, and no f2 is given: %s.", domeReason(to))
		return nil
	}
	m.F2Percent, m.F2ToDeg = ptr(100*d.f2), ptr(math.Round(d.to*180/math.Pi*1e6)/1e6)
	// The mean of |x| of a normal x is √(2/π) of its s; the reading on the axis
	// scatters as well.
	s := m.spread()
	span := math.Sin(d.to) * math.Sin(d.to) // ∫ sin 2ε dε
	m.F2NoisePercent = ptr(100 * s * math.Sqrt(2) * math.Sqrt(2/math.Pi) * span)
	if d.to < 80*math.Pi/180 {
		far := "the largest angle read"
		if len(d.sides) > 1 {
			far += " on both sides of the axis"
		}
		m.warn("f2_short", "f2 stops at %s°, %s; the index proper runs to 85° and is larger.", digits(d.to*180/math.Pi), far)
	}
	m.trust()
	side := "low"
	if worst > 0 {
		side = "high"
	}
	if math.Abs(worst) > 300*s {
		m.Causes = append(m.Causes, Finding{Code: "directional",
			Text: fmt.Sprintf("At %s° the meter reads %.1f %% %s of the cosine law: light from the side counts wrong by that much.", digits(at), math.Abs(worst), side)})
	} else {
		m.Causes = append(m.Causes, Finding{Code: "cosine", Text: fmt.Sprintf("The cosine law is kept within the scatter of the readings, to %s°.", digits(d.to*180/math.Pi))})
	}
	return nil
}

// trust says how far to the side the meter may be trusted.
func (m *meterCheck) trust() {
	angles, deviations := m.AngleTable()
	for i, a := range angles {
		if stops := math.Log2(1 + deviations[i]/100); !(math.Abs(stops) <= 0.1) {
			to := "anywhere off its axis"
			if m.TenthStopToDeg != nil {
				to = "beyond " + digits(*m.TenthStopToDeg) + "°"
			}
			m.Advice = append(m.Advice, Finding{Code: "turn_to_light", Text: fmt.Sprintf(
				"Light that comes from %s reads wrong by more than a tenth of a stop: turn the receptor to such a light and read it alone.", to)})
			return
		}
		m.TenthStopToDeg = ptr(a)
	}
}

// AngleTable returns the angle readings' deviations from the cosine law,
// averaged over both sides and repeats, at the angles read, smallest first: the
// angle off the axis as read, and the deviation in percent.
func (m *Meter) AngleTable() (angleDeg, deviationPercent []float64) {
	sum, count := map[float64]float64{}, map[float64]float64{}
	for _, p := range m.Points {
		if p.Part == "angle" && p.DeviationPercent != nil {
			a := math.Abs(*p.AngleDeg)
			sum[a] += *p.DeviationPercent
			count[a]++
		}
	}
	for a := range sum {
		angleDeg = append(angleDeg, a)
	}
	sort.Float64s(angleDeg)
	for _, a := range angleDeg {
		deviationPercent = append(deviationPercent, sum[a]/count[a])
	}
	return angleDeg, deviationPercent
}
