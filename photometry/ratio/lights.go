package ratio

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// light is a light at a mark as it is reckoned with.
type light struct {
	role     Role
	lamp     string
	level    float64
	quantity photometry.Quantity
	receptor photometry.Receptor
	// variance is that of log2 level in units of that of one reading: 1/k for
	// the mean of k readings, Σ(share²·variance) for a sum.
	variance float64
	from     string    // read, lamps, sum or difference
	of       *[2]light // of a difference: together, and what is taken off
	unproved bool      // a difference that may as well be nothing
	below    float64   // what a reading of 0 is less than
	readings int
	// conflicting are the levels that claim to be its first reading; slack is by how many
	// stops it may be off either way for that.
	conflicting []float64
	slack       float64
	squares     float64 // of its readings about their mean
	distance    float64 // m, 0 for not said or several
	dome        bool    // any part of it by dome
	flat        bool    // any part of it by flat receptor
	aims        []string
	// mired and duv are the colors that were read.
	mired, duv []float64
}

// mark is the readings of one mark and what was made of them.
type mark struct {
	*analysis
	label  string
	lights []light // one a role and lamp, repeats averaged
	out    Mark
	// flash is set where any light on the subject is a flash: levels are then
	// luminous exposures, continuous ones over the shutter.
	flash bool
	// unconverted are continuous lights that lack a shutter to stand beside
	// flash.
	unconverted bool
	open        bool    // it is open which reading of a light counts
	keyChange   float64 // stops, what the key would have to change by to reach the target alone
}

// gather averages the repeats of each light at each mark. Marks come in the
// order of the table, lights in the order of their first reading.
func (a *analysis) gather() []*mark {
	var marks []*mark
	named, least := map[string]*mark{}, map[photometry.Quantity]float64{}
	for _, r := range a.in.Readings {
		if _, known := least[r.Level.Quantity]; !known {
			least[r.Level.Quantity] = a.leastShown(r.Level.Quantity)
		}
		m := named[photometry.NameKey(r.Mark)]
		if m == nil {
			m = &mark{analysis: a, label: r.Mark}
			marks, named[photometry.NameKey(r.Mark)] = append(marks, m), m
		}
		l := m.named(r.Role, r.Lamp)
		if l == nil {
			m.lights = append(m.lights, light{role: r.Role, lamp: r.Lamp, quantity: r.Level.Quantity, receptor: r.Receptor, from: "read", distance: r.DistanceM,
				below: least[r.Level.Quantity], dome: r.Receptor == photometry.DomeReceptor, flat: r.Receptor == photometry.FlatReceptor, aims: []string{r.Aim}})
			l = &m.lights[len(m.lights)-1]
		}
		if l.distance == 0 {
			l.distance = r.DistanceM
		}
		if r.Conflicting {
			l.conflicting = append(l.conflicting, r.Level.Value)
		}
		l.readings++
		off := r.Level.Value - l.level
		l.level += off / float64(l.readings)
		l.squares += off * (r.Level.Value - l.level)
		l.variance = 1 / float64(l.readings)
		if r.CCTK != nil {
			l.mired = append(l.mired, 1e6 / *r.CCTK)
			if r.Duv != nil {
				l.duv = append(l.duv, *r.Duv)
			}
		}
		onSubject := r.Role.Has(KeyRole) || r.Role.Has(FillRole)
		m.flash = m.flash || onSubject && r.Level.Quantity == photometry.LuminousExposure
	}
	for _, m := range marks {
		for i := range m.lights {
			m.lights[i].settleConflict()
		}
	}
	return marks
}

// settleConflict puts a light whose first reading is open amid the least and the greatest
// that it can be.
func (l *light) settleConflict() {
	if len(l.conflicting) < 2 || !(slices.Min(l.conflicting) > 0) {
		return
	}
	others := l.level * float64(l.readings)
	for _, v := range l.conflicting {
		others -= v
	}
	n := float64(l.readings - len(l.conflicting) + 1)
	low, high := (others+slices.Min(l.conflicting))/n, (others+slices.Max(l.conflicting))/n
	l.slack = math.Max(photometry.Stops(high, low)/2, 1e-9) // equal ones are open too
	l.level, l.readings, l.squares, l.variance = math.Sqrt(low*high), 1, 0, 1
}

// named is the light of a role and lamp, nil where it was not read.
func (m *mark) named(role Role, lamp string) *light {
	for i := range m.lights {
		if l := &m.lights[i]; l.role == role && photometry.SameName(l.lamp, lamp) {
			return l
		}
	}
	return nil
}

// convert brings a light into the quantity of the mark: over the shutter beside
// flash. It is false where no shutter is known.
func (m *mark) convert(l light) (light, bool) {
	if !m.flash || l.quantity != photometry.Illuminance {
		return l, true
	}
	if !(m.in.Camera.ShutterS > 0) {
		return l, false
	}
	l = l.times(m.in.Camera.ShutterS)
	l.quantity = photometry.LuminousExposure
	return l, true
}

// times is a light of k times the level, in another unit.
func (l light) times(k float64) light {
	l.level, l.below = k*l.level, k*l.below
	if l.of != nil {
		l.of = &[2]light{l.of[0].times(k), l.of[1].times(k)}
	}
	return l
}

// light is all light of a role: as it was read with all its lamps on, or the
// lamps added. It is nil where there is none, or where it cannot be brought into
// the mark's quantity.
func (m *mark) light(role Role) *light {
	if whole := m.named(role, ""); whole != nil {
		out, ok := m.convert(*whole)
		if !ok {
			m.unconverted = true
			return nil
		}
		return &out
	}
	var lamps []light
	for _, l := range m.lights {
		if l.role != role {
			continue
		}
		converted, ok := m.convert(l)
		if !ok {
			m.unconverted = true
			return nil
		}
		lamps = append(lamps, converted)
	}
	switch len(lamps) {
	case 0:
		return nil
	case 1:
		return &lamps[0]
	}
	out := addLights(role, lamps...)
	out.from = "lamps"
	return &out
}

// addLights is lights together.
func addLights(role Role, lights ...light) light {
	out := light{role: role, quantity: lights[0].quantity, receptor: lights[0].receptor, from: "sum"}
	for _, l := range lights {
		out.level += l.level
		out.below += l.below
		out.readings += l.readings
		out.dome, out.flat = out.dome || l.dome, out.flat || l.flat
		out.aims = append(out.aims, l.aims...)
	}
	for _, l := range lights {
		if out.level > 0 {
			out.variance += l.level * l.level * l.variance / (out.level * out.level)
		}
	}
	return out
}

// subtract is what a light leaves of lights together, no less than nothing.
func subtract(role Role, together, off light) *light {
	out := together
	out.role, out.lamp, out.from, out.distance, out.of = role, "", "difference", 0, &[2]light{together, off}
	out.level = math.Max(0, together.level-off.level)
	out.readings += off.readings
	return &out
}

// constant is the calibration constant that belongs to a light.
func (a *analysis) constant(l light) float64 {
	switch {
	case l.quantity == photometry.Luminance:
		return photometry.ReflectedConstant
	case a.in.Constant > 0:
		return a.in.Constant
	}
	return photometry.Meter{Receptor: l.receptor}.IncidentConstant()
}

// against compares two lights in stops: by their levels where they are of one
// quantity, by the exposures that they ask for where one was read by reflection.
// The difference is nil where either may be nothing, and the interval too where they
// cannot be compared.
func (a *analysis) against(l, reference *light) (stops *float64, interval *Interval) {
	if l == nil || reference == nil {
		return nil, nil
	}
	x, y := *l, *reference
	if x.quantity != y.quantity {
		t := a.seconds(x, y)
		k, okX := a.exposes(x, t)
		n, okY := a.exposes(y, t)
		if !okX || !okY {
			return nil, nil
		}
		x, y = x.times(k), y.times(n)
	}
	if x.level > 0 && y.level > 0 && !y.unproved {
		stops = new(photometry.Stops(x.level, y.level))
	}
	return stops, a.between(x, y)
}

// seconds is the shutter to compare lights over: any one does where all of them
// are continuous and none is known. 0 is none.
func (a *analysis) seconds(lights ...light) float64 {
	if a.in.Camera.ShutterS > 0 {
		return a.in.Camera.ShutterS
	}
	if slices.ContainsFunc(lights, func(l light) bool { return l.quantity == photometry.LuminousExposure }) {
		return 0
	}
	return 1
}

// asked is the exposure that a light asks for over a shutter, N²/S of ISO 2720's
// equation: E·t/C, L·t/K or H/C. It is false for a relative level and for a
// continuous one without a shutter.
func (a *analysis) asked(l light, shutterS float64) (float64, bool) {
	k, ok := a.exposes(l, shutterS)
	return k * l.level, ok
}

// exposes is asked for a level of 1.
func (a *analysis) exposes(l light, shutterS float64) (float64, bool) {
	switch l.quantity {
	case photometry.LuminousExposure:
		return 1 / a.constant(l), true
	case photometry.Illuminance, photometry.Luminance:
		return shutterS / a.constant(l), shutterS > 0
	}
	return 0, false
}
