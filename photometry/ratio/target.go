package ratio

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// judge holds the mark to its targets and says what reaches each that it misses.
func (m *mark) judge(key, fill, both *light) {
	if t := m.in.Target; t != nil {
		found, interval := m.out.KeyToFillStops, m.out.KeyToFillIntervalStops
		if t.Convention == LightingConvention {
			found, interval = m.out.LightingRatioStops, m.out.LightingRatioIntervalStops
		}
		j := m.hold(Judged{Of: t.Convention, TargetStops: t.Stops, FoundStops: found, IntervalStops: interval})
		if t.Convention == LightingConvention && key != nil && fill != nil && key.level > 0 && fill.level > 0 && m.sumOff() {
			m.doubt(j, *key, *fill)
		}
		if j.Verdict != uncertainty.Pass {
			m.reach(*t, key, fill)
		}
	}
	for _, t := range m.in.AreaTargets {
		l := m.light(t.Role)
		if l == nil {
			continue
		}
		found, interval := m.against(l, key)
		j := m.hold(Judged{Of: string(t.Role), TargetStops: t.Stops, AtMost: t.Role == SpillRole, FoundStops: found, IntervalStops: interval})
		if found == nil || j.Verdict == uncertainty.Pass || j.AtMost {
			continue
		}
		if change := t.Stops - *found; math.Abs(change) > Negligible {
			var withKey any
			if m.keyChange != 0 {
				// The area is told against the key: it has to follow where the key moves.
				withKey = photometry.Stop(change + m.keyChange)
			}
			m.out.ToTarget = append(m.out.ToTarget, m.change(string(t.Role), *l, change, nil, nil, withKey))
		}
	}
	for _, j := range m.out.Judged {
		m.out.Verdict = uncertainty.WorstJudged(m.out.Verdict, j.Verdict)
	}
}

// Negligible is a change in stops that nobody makes: half a hundredth.
const Negligible = 0.005

// hold compares a figure with its target.
func (m *mark) hold(j Judged) *Judged {
	if j.Verdict = m.verdict(j); m.open && j.Verdict == uncertainty.Pass {
		j.Verdict = uncertainty.Unsure
	}
	m.out.Judged = append(m.out.Judged, j)
	return &m.out.Judged[len(m.out.Judged)-1]
}

// verdict is pass where all of an interval is within the tolerance of a target,
// fail where none of it is, else unsure. A limit has one side and no tolerance.
func (m *mark) verdict(j Judged) string {
	switch i := j.IntervalStops; {
	case i == nil:
		return uncertainty.Unsure
	case j.AtMost:
		return uncertainty.Judge(i[0], i[1], j.TargetStops)
	default:
		below, above := j.TargetStops-i[0], i[1]-j.TargetStops
		return uncertainty.Judge(-min(below, above), max(below, above), m.in.ToleranceStops)
	}
}

// doubt makes a verdict unsure where it rests on a reading of key plus fill that does
// not add up, and key and fill alone would give another one.
func (m *mark) doubt(j *Judged, key, fill light) {
	alone := *j
	alone.IntervalStops = m.lighting(addLights(keyPlusFill, key, fill), &key, fill)
	if m.verdict(alone) != j.Verdict {
		j.Verdict, j.Suspect = uncertainty.Unsure, true
	}
}

// reach is what reaches the target by the fill alone and by the key alone. For a
// lighting ratio R the lights have to stand in R − 1 to 1.
func (m *mark) reach(t Target, key, fill *light) {
	if m.out.KeyToFillStops == nil {
		return
	}
	change := math.Log2(t.keyToFill()) - *m.out.KeyToFillStops
	if math.Abs(change) <= Negligible {
		return
	}
	m.keyChange = change
	m.out.ToTarget = append(m.out.ToTarget, m.change(t.Convention, *fill, -change, key, fill, nil), m.change(t.Convention, *key, change, key, fill, nil))
}

// change is one change of one light by stops. Key and fill are there where the
// change moves the exposure; withKey is the change in all where the key is changed
// and not the fill, nil where it does not matter.
func (m *mark) change(of string, l light, stops float64, key, fill *light, withKey any) Change {
	c := Change{Of: of, Change: l.role, Stops: stops, From: l.level, To: l.level * photometry.Factor(stops),
		DistanceFactor: photometry.DistanceFactor(stops), DimmerPercent: photometry.DimmerPercent(stops)}
	if l.quantity != photometry.LuminousExposure {
		c.Scrims, c.ScrimsStops = photometry.Scrims(-stops)
		if c.Scrims == "" {
			c.ScrimsStops = 0
		}
	}
	var distance any
	if l.distance > 0 {
		to := l.distance * c.DistanceFactor
		c.ToDistanceM, distance = &to, photometry.Length(to)
	}
	if key != nil && fill != nil {
		before := key.level + fill.level
		c.ExposureStops = new(photometry.Stops(before-c.From+c.To, before))
	}
	c.Text = photometry.Remarked("change", "light", string(c.Change), "flash", l.quantity == photometry.LuminousExposure, "change", photometry.Stop(stops),
		"percent", photometry.Percentage(c.DimmerPercent), "factor", c.DistanceFactor, "distance", distance, "scrims", c.Scrims, "scrims_stops", photometry.Stop(c.ScrimsStops),
		"with_key", withKey)
	return c
}

// sumOff reports whether key plus fill was read and does not add up.
func (m *mark) sumOff() bool {
	return slices.ContainsFunc(m.out.Sums, func(s Sum) bool { return s.Role == keyPlusFill && s.OK != nil && !*s.OK })
}
