package falloff

import (
	"maps"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"

	"gonum.org/v1/gonum/stat"
)

// angles fits the tilt and works out f2.
func (m *meterCheck) angles(in MeterReadings) error {
	if len(in.Angles) == 0 {
		return nil
	}
	if m.o.Receptor == ReceptorDome {
		return &PartError{"angle", 0, domeTurned(in.Angles)}
	}
	d, err := newDirectional(in.Angles, m.readingSpread)
	if err != nil {
		return &PartError{"angle", 0, err}
	}
	worst, at := m.compareAngles(in.Angles, d)
	toDeg := d.to * 180 / math.Pi
	if d.nu > 0 {
		tilt, half := d.tilt*180/math.Pi, m.tiltReach(d)*180/math.Pi
		m.TiltDeg, m.TiltIntervalDeg = ptr(tilt), &Interval{tilt - half, tilt + half}
	} else {
		m.warn("one_sided")
	}
	if d.domeLike() {
		dome, flat := photometry.DomeFactor(toDeg), photometry.CosineFactor(toDeg)
		m.warn("angles.dome", "angle", toDeg, "dome", dome, "flat", flat, "more", photometry.Stops(dome, flat))
		return nil
	}
	m.F2Percent, m.F2ToDeg = ptr(100*d.f2), ptr(math.Round(toDeg*1e6)/1e6)
	// The mean of |x| of a normal x is √(2/π) of its s; the reading on the axis
	// scatters as well.
	s := math.Hypot(stat.Mean(d.sd, nil)/math.Sqrt(float64(len(d.sides))), d.sd0)
	span := math.Sin(d.to) * math.Sin(d.to) // ∫ sin 2ε dε
	m.F2NoisePercent = ptr(100 * s * math.Sqrt(2/math.Pi) * span)
	// Of scatter alone 3 % of series show twice that, in a simulation, or as much more as
	// the scatter is from few repeats; so much can hide as much again.
	hides := 2 * *m.F2NoisePercent
	if m.RepeatabilityDegrees >= uncertainty.FewRepeats {
		hides *= uncertainty.Factor(m.RepeatabilityDegrees) / uncertainty.Factor(0)
	}
	if worst == 0 && *m.F2Percent < hides {
		m.F2AtMostPercent = ptr(*m.F2Percent + hides)
	}
	if toDeg < 80 {
		m.warn("f2_short", "angle", toDeg, "sides", len(d.sides))
	}
	m.trust()
	if worst != 0 {
		m.cause("directional", "angle", at, "size", math.Abs(worst), "high", worst > 0)
	} else {
		m.cause("cosine", "angle", toDeg)
	}
	return nil
}

// domeTurned says why a dome is not read at angles, at the first reading off the
// axis.
func domeTurned(readings []AngleReading) error {
	first, largest := 0, 0.0
	for i, r := range readings {
		if r.AngleDeg != 0 && readings[first].AngleDeg == 0 {
			first = i
		}
		if v := math.Abs(r.AngleDeg); v < 90 {
			largest = math.Max(largest, v)
		}
	}
	return &InputError{Index: first, Field: AngleFigure, Found: "a dome receptor", Expected: "a flat receptor: " + domeReason(largest)}
}

// tiltReach is the half width of the tilt's 95 % interval in radians. Where the
// scatter of one reading is known, that decides, and the residuals where they are
// larger; where it is assumed, the residuals alone by Student's t.
func (m *meterCheck) tiltReach(d *directional) float64 {
	nu := 0
	switch {
	case m.RepeatabilityDegrees >= uncertainty.FewRepeats:
		nu = m.RepeatabilityDegrees
	case m.RepeatabilityDegrees > 0 || m.o.Repeatability == 0:
		return uncertainty.Factor(d.nu) * d.tiltErr * d.misfit
	}
	return uncertainty.Factor(nu) * d.tiltErr * math.Max(1, d.misfit)
}

// compareAngles lays the readings beside the cosine law and returns the largest
// deviation in percent, as far as f2 goes, that scatter does not explain, and its
// angle; zero where there is none. All n readings off the axis are held to it at
// once, each at 1 − 0.025/n: by its own scatter, that of the reading on the axis and
// the error of the tilt, which moves ln E by tan ε.
func (m *meterCheck) compareAngles(readings []AngleReading, d *directional) (worst, at float64) {
	e0 := math.Exp(d.lnE0)
	z := uncertainty.FactorOfPairs(max(1, len(readings)-1), 0) * math.Max(1, d.misfit)
	for i, r := range readings {
		p := MeterPoint{Part: "angle", Reading: i + 1, AngleDeg: ptr(r.AngleDeg), Level: r.Level}
		if e := r.AngleDeg*math.Pi/180 - d.tilt; math.Abs(e) < math.Pi/2 {
			p.compare(e0 * math.Cos(e))
			scatter := math.Hypot(math.Hypot(m.readingSpread(r.Level), d.sd0), math.Tan(e)*d.tiltErr)
			if v := *p.DeviationPercent; math.Abs(math.Log1p(v/100)) > z*scatter && math.Abs(v) > math.Abs(worst) && math.Abs(e) <= d.to+1e-9 {
				worst, at = v, r.AngleDeg
			}
		}
		m.Points = append(m.Points, p)
	}
	return worst, at
}

// trust says how far to the side the meter may be trusted.
func (m *meterCheck) trust() {
	angles, deviations := m.AngleTable()
	for i, a := range angles {
		if stops := photometry.Stops(1+deviations[i]/100, 1); !(math.Abs(stops) <= 0.1) {
			if m.TenthStopToDeg != nil {
				m.advise("turn_to_light", "beyond", *m.TenthStopToDeg)
			} else {
				m.advise("everywhere.turn_to_light")
			}
			return
		}
		m.TenthStopToDeg = ptr(a)
	}
}

// AngleTable returns the angle readings' deviations from the cosine law,
// averaged over both sides and repeats, at the angles read, smallest first: the
// angle off the axis as read, and the deviation in percent.
func (m *Meter) AngleTable() (angleDeg, deviationPercent []float64) {
	at := map[float64][]float64{}
	for _, p := range m.Points {
		if p.Part == "angle" && p.DeviationPercent != nil {
			a := math.Abs(*p.AngleDeg)
			at[a] = append(at[a], *p.DeviationPercent)
		}
	}
	for _, a := range slices.Sorted(maps.Keys(at)) {
		angleDeg, deviationPercent = append(angleDeg, a), append(deviationPercent, stat.Mean(at[a], nil))
	}
	return angleDeg, deviationPercent
}
