package falloff

import (
	"math"
	"sort"

	"evenfall/photometry"
)

// angles fits the tilt and works out f2.
func (m *meterCheck) angles(in MeterReadings) error {
	if len(in.Angles) == 0 {
		return nil
	}
	if m.o.Receptor == ReceptorDome {
		return &PartError{"angle", 0, domeTurned(in.Angles)}
	}
	d, err := newDirectional(in.Angles)
	if err != nil {
		return &PartError{"angle", 0, err}
	}
	worst, at := m.compareAngles(in.Angles, d)
	toDeg := d.to * 180 / math.Pi
	if d.fitted {
		tilt := d.tilt * 180 / math.Pi
		m.TiltDeg = ptr(tilt)
		if d.tiltErr > 0 {
			z := 1.96 * d.tiltErr * 180 / math.Pi
			m.TiltIntervalDeg = &Interval{tilt - z, tilt + z}
		}
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
	s := m.spread()
	span := math.Sin(d.to) * math.Sin(d.to) // ∫ sin 2ε dε
	m.F2NoisePercent = ptr(100 * s * math.Sqrt(2) * math.Sqrt(2/math.Pi) * span)
	if toDeg < 80 {
		m.warn("f2_short", "angle", toDeg, "sides", len(d.sides))
	}
	m.trust()
	if math.Abs(worst) > 300*s {
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
	return &InputError{Index: first, Of: AngleFigure, Found: "a dome receptor", Expected: "a flat receptor: " + domeReason(largest)}
}

// compareAngles lays the readings beside the cosine law and returns the largest
// deviation in percent as far as f2 goes, and its angle.
func (m *meterCheck) compareAngles(readings []AngleReading, d *directional) (worst, at float64) {
	e0 := math.Exp(d.lnE0)
	for i, r := range readings {
		p := MeterPoint{Part: "angle", Reading: i + 1, AngleDeg: ptr(r.AngleDeg), Level: r.Level}
		if e := r.AngleDeg*math.Pi/180 - d.tilt; math.Abs(e) < math.Pi/2 {
			p.compare(e0 * math.Cos(e))
			if v := *p.DeviationPercent; math.Abs(v) > math.Abs(worst) && math.Abs(e) <= d.to+1e-9 {
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
