package match

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// describeLamps puts the fit into the result.
func (m *matching) describeLamps(f *levelFit) {
	r, light := m.r, f.light
	r.Lamps = map[string]LampLevel{}
	r.LampFit = &LampFit{Maps: "full", Places: light.places, ResidualStops: f.residual(), NoiseStops: f.noise(), Explained: f.explained()}
	if light.shares != nil {
		r.LampFit.Maps, r.LampFit.ShareErrorPercent = "shares", light.shares.ErrorPercent()
	}
	if f.ambient {
		level, half := f.x[len(f.units)], f.half(len(f.units))
		r.LampFit.Ambient = &AddedLight{Level: level, Low: math.Max(0, level-half), High: level + half}
		r.infer("match.light_added", "level", m.level(level))
	} else {
		r.infer("match.no_light_added")
	}
	for j, name := range light.names {
		r.Lamps[name], r.LampOrder = m.lampLevel(f, j), append(r.LampOrder, name)
	}
	if !r.LampFit.Explained && f.moved < 0 && !r.warned("lamp_moved_unknown") {
		r.warn("match.not_explained", "residual", photometry.Stop(r.LampFit.ResidualStops), "noise", photometry.Stop(r.LampFit.NoiseStops))
	}
}

// lampLevel is what the fit says of the j-th lamp.
func (m *matching) lampLevel(f *levelFit, j int) LampLevel {
	light, u := f.light, f.unitOf(j)
	l := LampLevel{SharePercent: light.sharePercent(j)}
	half := f.half(u)
	percent, low, high := 100*f.x[u], 100*math.Max(0, f.x[u]-half), 100*(f.x[u]+half)
	switch {
	case len(f.units[u]) > 1:
		for _, k := range f.units[u] {
			if k != j {
				l.With = append(l.With, light.names[k])
			}
		}
		l.Ambiguous = new(photometry.Remarked("match.alike", "lamps", l.With))
		if !math.IsInf(half, 1) {
			l.GroupPercent, l.GroupLow, l.GroupHigh, l.Changed = &percent, &low, &high, f.changed(u)
		}
	case half > reportable && slices.Contains(f.kept, u):
		l.Ambiguous = new(photometry.Remarked("match.too_little"))
	case half > reportable:
		l.Ambiguous = new(photometry.Remarked("match.not_apart"))
	default:
		l.Percent, l.Low, l.High, l.Changed = &percent, &low, &high, f.changed(u)
		if percent > 0.05 {
			l.Stops = new(photometry.Stops(percent, 100))
		}
		l.Check = m.check(f, j)
	}
	if f.moved == j {
		l.Moved = f.move()
	}
	return l
}

// changed reports whether a unit's level is another one than the day before: by 3 %
// at least, and by more than scatter makes of any of all units in 5 of 100 surveys.
func (f *levelFit) changed(u int) bool {
	off := math.Abs(f.x[u] - 1)
	return off >= leastChange && off > f.halfAt(claimAt(0.025, len(f.units)), u)
}

// check is where to meter a lamp alone: where it gave most of the light, at a
// place where it was read alone if there is one that serves as well.
func (m *matching) check(f *levelFit, j int) *LampCheck {
	lamp := f.light.maps[j]
	if lamp == nil || lamp.Ambient() {
		return nil
	}
	level := f.light.level[j]
	read := func(k int) bool { return f.light.at[k] >= 0 && !math.IsNaN(lamp.Level[f.light.at[k]]) }
	best, most := -1, 0.0
	for _, r := range f.rows {
		share := level[r.pair] / m.r.Points[r.pair].Before
		if read(r.pair) {
			share *= 1.25 // worth a little less light
		}
		if share > most {
			best, most = r.pair, share
		}
	}
	if best < 0 {
		return nil
	}
	p := m.r.Points[best]
	c := &LampCheck{Label: p.Label, X: p.X, Y: p.Y, Level: level[best], Read: read(best)}
	if c.Read { // what the meter showed rather than what the fit makes of it
		c.Level = lamp.Level[f.light.at[best]]
	}
	if f.moved != j {
		c.Today = new(f.byLamp()[j] * c.Level)
	}
	return c
}
