package ratio

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// KeyOverMarks is how the key runs from mark to mark, where several have one of the
// same quantity and receptor.
type KeyOverMarks struct {
	SpreadStops   float64  `json:"spread_stops"` // brightest over darkest
	IntervalStops Interval `json:"spread_interval_stops"`
	Brightest     string   `json:"brightest"`
	Darkest       string   `json:"darkest"`
}

// keyOverMarks finds how the key runs over the marks, with the interval of the
// spread of a surface.
func (a *analysis) keyOverMarks() *KeyOverMarks {
	var keys []light
	var labels []string
	for _, m := range a.marks {
		if l := m.light(KeyRole); l != nil && l.level > 0 {
			keys, labels = append(keys, *l), append(labels, m.label)
		}
	}
	if len(keys) < 2 || slices.ContainsFunc(keys, func(l light) bool { return l.quantity != keys[0].quantity || l.receptor != keys[0].receptor }) {
		return nil
	}
	var classes uncertainty.Classes
	low, high := 0, 0
	for i, l := range keys {
		classes.Add(math.Log2(l.level), 1/l.variance, 0)
		if l.level < keys[low].level {
			low = i
		}
		if l.level > keys[high].level {
			high = i
		}
	}
	out := &KeyOverMarks{SpreadStops: photometry.Stops(keys[high].level, keys[low].level), Brightest: labels[high], Darkest: labels[low]}
	out.IntervalStops[0], out.IntervalStops[1] = uncertainty.Widest(a.models, len(keys), func(m uncertainty.Model, f uncertainty.Factors) (lo, hi float64) {
		return uncertainty.SpreadInterval(classes, m, f)
	})
	return out
}

// lampsOf are the lamps of a role at a mark, "" for one without a name.
func (m *mark) lampsOf(role Role) (names []string) {
	for _, l := range m.lights {
		if l.role == role {
			names = append(names, l.lamp)
		}
	}
	slices.Sort(names)
	return names
}

// sharedBy reports whether all marks have the same lamps of a role. Lamps without a
// name are taken for the same ones.
func sharedBy(marks []*mark, role Role) bool {
	return !slices.ContainsFunc(marks, func(m *mark) bool {
		return !slices.EqualFunc(m.lampsOf(role), marks[0].lampsOf(role), photometry.SameName)
	})
}

// room is by how much a light may change at a mark, in stops, and leave a figure
// within tolerance of its target with all of its interval.
func (m *mark) room(j Judged) (least, most float64) {
	least, most = j.TargetStops-m.in.ToleranceStops, j.TargetStops+m.in.ToleranceStops
	now := *j.IntervalStops
	if j.Of == LightingConvention { // the key alone changes
		ends := Interval{least, most}.plus(-1)
		least, most = ends[0], ends[1]
		now = *m.out.KeyToFillIntervalStops
	}
	return least - now[0], most - now[1]
}

// adviseShared says what brings a figure within tolerance at all marks by one change
// of a light that they share, or that no change does. It returns the roles that are
// dealt with so: a change of them at one mark would move the others.
func (a *analysis) adviseShared(of string) (shared []Role) {
	var marks []*mark
	least, most := math.Inf(-1), math.Inf(1)
	low, high := math.Inf(1), math.Inf(-1)
	missed := false
	for _, m := range a.marks {
		for _, j := range m.out.Judged {
			if j.Of != of || j.AtMost || j.FoundStops == nil || m.out.KeyToFillStops == nil && isRatio(of) {
				continue
			}
			from, to := m.room(j)
			marks, least, most = append(marks, m), math.Max(least, from), math.Min(most, to)
			low, high = math.Min(low, *j.FoundStops), math.Max(high, *j.FoundStops)
			missed = missed || j.Verdict == uncertainty.Fail
		}
	}
	if len(marks) < 2 || !missed {
		return nil
	}
	roles := []Role{Role(of)}
	if isRatio(of) {
		roles = []Role{FillRole, KeyRole}
	}
	for _, role := range roles {
		if sharedBy(marks, role) {
			shared = append(shared, role)
		}
	}
	if len(shared) == 0 {
		return nil
	}
	unnamed := slices.ContainsFunc(shared, func(role Role) bool { return slices.Contains(marks[0].lampsOf(role), "") })
	a.sameLamps = a.sameLamps || unnamed
	if !(least <= most) {
		a.do("none_serves", "of", of, "lights", roleNames(shared), "runs", photometry.Stop(high-low), "tolerance", photometry.Stop(a.in.ToleranceStops), "unnamed", unnamed)
		return shared
	}
	var ways []photometry.Finding
	brightest := slices.MaxFunc(marks, func(x, y *mark) int { return cmp.Compare(x.light(roles[0]).level, y.light(roles[0]).level) })
	for _, role := range shared {
		stops := (least + most) / 2
		if role == FillRole {
			stops = -stops
		}
		if l := brightest.light(role); l != nil { // not a difference
			l.distance = 0 // another one at each mark
			ways = append(ways, brightest.change(of, *l, stops, nil, nil, nil).Text.Finding)
		}
	}
	a.do("reach_all", "of", of, "marks", len(marks), "ways", ways)
	return shared
}

func roleNames(roles []Role) (names []string) {
	for _, r := range roles {
		names = append(names, string(r))
	}
	return names
}
