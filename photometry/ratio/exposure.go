package ratio

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry"
)

// wholeLight is the light that a mark is exposed for.
type wholeLight struct {
	light
	of Role
}

// whole settles what the mark's flash and continuous light are together: shares
// of the exposure at the shutter, and what a stop of shutter changes. read is whether key
// plus fill was read, which then counts.
func (m *mark) whole(read bool) {
	if !m.flash {
		return
	}
	roles := []Role{KeyRole, FillRole}
	if read {
		roles = []Role{keyPlusFill}
	}
	flash, steady := 0.0, 0.0
	for _, raw := range m.lights {
		if !slices.Contains(roles, raw.role) || raw.lamp != "" && m.named(raw.role, "") != nil {
			continue
		}
		if c, ok := m.convert(raw); ok && raw.quantity == photometry.Illuminance {
			steady += c.level
		} else if ok {
			flash += c.level
		}
	}
	if ambient := m.light(AmbientRole); ambient != nil {
		steady += ambient.level
	}
	if steady <= 0 || flash <= 0 || !(m.in.Camera.ShutterS > 0) {
		return
	}
	t := m.in.Camera.ShutterS
	now, longer, shorter := FlashShares(flash, steady, 1, t), FlashShares(flash, steady, 2, t), FlashShares(flash, steady, 0.5, t)
	m.out.FlashPercent, m.out.AmbientPercent = &now.FlashPercent, &now.AmbientPercent
	m.out.ShutterLonger, m.out.ShutterShorter = &longer, &shorter
}

// FlashShares is how a flash and continuous light, luminous exposures in lx·s at
// a shutter in seconds, share an exposure at factor times that shutter: the flash
// does not change with it, continuous light does in proportion.
func FlashShares(flash, continuous, factor, shutterS float64) FlashShare {
	total := flash + continuous*factor
	return FlashShare{ShutterS: shutterS * factor, FlashPercent: 100 * flash / total, AmbientPercent: 100 * continuous * factor / total,
		ExposureStops: photometry.Stops(total, flash+continuous)}
}

// basis is what the exposure is for: what was asked, else key plus fill, else the
// key. Beside flash, ambient light belongs to it.
func (m *mark) basis(key, both *light) *wholeLight {
	var l *light
	switch m.in.ExposeFor {
	case keyPlusFill:
		l = both
	case KeyRole:
		l = key
	default:
		l = m.light(m.in.ExposeFor)
	}
	if l == nil && m.in.ExposeFor != keyPlusFill {
		m.warn("expose_for_missing", "role", string(m.in.ExposeFor))
	}
	if l = cmp.Or(l, both, key); l == nil {
		if i := slices.IndexFunc(m.lights, func(l light) bool { return l.role.Has(KeyRole) }); i >= 0 {
			l = m.light(m.lights[i].role)
		}
	}
	if l == nil || !(l.level > 0) {
		return nil
	}
	w := wholeLight{*l, l.role}
	if ambient := m.light(AmbientRole); m.flash && ambient != nil && ambient.level > 0 && w.of != AmbientRole && !w.of.Has(AmbientRole) {
		w.level += ambient.level
		w.of += "+" + AmbientRole
	}
	return &w
}

// exposure is what to expose at, and every light in stops from it.
func (m *mark) exposure(key, both *light) {
	w := m.basis(key, both)
	if w != nil && w.quantity != photometry.Relative {
		m.out.Exposure = m.exposeFor(*w)
	}
	for _, l := range m.lights {
		area := Area{Role: l.role, Lamp: l.lamp, Level: l.level, Unit: l.quantity.Unit(), Readings: l.readings, OpenStops: l.slack}
		if l.quantity == photometry.Illuminance || l.quantity == photometry.LuminousExposure {
			area.Receptor = l.receptor.String()
		}
		asked, ok := m.asked(l, m.in.Camera.ShutterS)
		if ok && asked > 0 && m.in.Camera.ISO > 0 {
			area.FNumber = new(math.Sqrt(asked*m.in.Camera.ISO) * math.Exp2(-m.in.Camera.Exposure().LossStops/2))
		}
		if w != nil && l.level > 0 {
			t, like := m.seconds(l, w.light), l
			if area.Receptor != "" {
				like.receptor = w.receptor // levels compare, not what each receptor would set
			}
			asked, ok := m.asked(like, t)
			whole, okWhole := m.asked(w.light, t)
			switch {
			case ok && okWhole:
				area.Stops = new(photometry.Stops(asked, whole))
			case l.quantity == photometry.Relative && w.quantity == photometry.Relative:
				area.Stops = new(photometry.Stops(l.level, w.level))
			}
		}
		m.out.Areas = append(m.out.Areas, area)
	}
}

// flashFNumber is the incident f-number of a flash at the camera's speed, nil for
// other light or without a speed.
func (m *mark) flashFNumber(l light) *float64 {
	if l.quantity != photometry.LuminousExposure || !(m.in.Camera.ISO > 0 && l.level > 0) {
		return nil
	}
	return new(photometry.FlashFNumber(l.level, m.in.Camera.ISO, m.constant(l)))
}

// exposeFor is the exposure for a light with the camera as it is set.
func (m *mark) exposeFor(w wholeLight) *Exposure {
	camera := m.in.Camera
	settings := camera.Exposure()
	constant := m.constant(w.light)
	e := &Exposure{Of: w.of, Level: w.level, Constant: constant, LossStops: settings.LossStops}
	set := func(v float64) *float64 {
		if v > 0 {
			return &v
		}
		return nil
	}
	e.ISO, e.ShutterS, e.FramesPerSecond = set(camera.ISO), set(camera.ShutterS), set(camera.FramesPerSecond)
	if camera.ShutterS > 0 && camera.FramesPerSecond > 0 {
		e.ShutterAngleDeg = set(360 * camera.FramesPerSecond * camera.ShutterS)
	}
	n := 0.0
	switch {
	case w.quantity == photometry.LuminousExposure:
		if camera.ISO > 0 {
			n = photometry.FlashFNumber(w.level, camera.ISO, constant) * math.Exp2(-settings.LossStops/2)
		}
	default:
		e.EV100 = new(photometry.EV100(w.level, constant))
		if camera.ISO > 0 && camera.ShutterS > 0 {
			n = settings.FNumber(w.level, constant)
		}
	}
	if n > 0 {
		marked, _ := photometry.Thirds.MarkedFNumber(n)
		e.FNumber, e.FNumberMarked = &n, &marked
		if camera.Transmittance > 0 {
			onLens := n * math.Sqrt(camera.Transmittance)
			e.TStop, e.LensFNumber = new(settings.TStop(onLens)), &onLens
		}
		if camera.SetStop > 0 {
			e.SetStop, e.SetInT, e.OverStops = &camera.SetStop, camera.SetInT, new(2*math.Log2(n/camera.SetStop))
		}
	}
	return e
}
