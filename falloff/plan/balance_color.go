package plan

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
)

// Exponents of a tungsten lamp's supply voltage: common practice, no source.
const (
	tungstenFlux = 3.4  // light goes with the voltage to this power
	tungstenCCT  = 0.42 // color temperature
)

// TungstenCCT is the color temperature in K of a tungsten lamp that is dimmed
// to a share of its light, 0 < share ≤ 1: CCT·share^(0.42/3.4), since light
// goes about with the 3.4th power of the voltage and color temperature with the
// 0.42nd. Half the light is about 8 % of the kelvins. Common practice, no
// source; near full voltage, within some tens of kelvins down to a tenth of the
// light.
func TungstenCCT(cctK, share float64) float64 {
	return cctK * math.Pow(share, tungstenCCT/tungstenFlux)
}

// warmest and coolest CCT of lamps that may well be tungsten, in K.
const tungstenLow, tungstenHigh = 2500.0, 3450.0

// tungsten tells whether a lamp was said to be tungsten.
func (b *balancing) tungsten(m *survey.LampMap) bool {
	return slices.ContainsFunc(b.o.Tungsten, func(name string) bool { return strings.EqualFold(strings.TrimSpace(name), m.Name) })
}

// dimmedShift is how the chromaticity of a tungsten lamp moves in CIE 1976 u′,
// v′ when it is dimmed to a share.
func dimmedShift(light colorimetry.CCT, share float64) (du, dv float64, ok bool) {
	if share <= 0 {
		return 0, 0, false
	}
	from, err := light.UV()
	if err != nil {
		return 0, 0, false
	}
	to, err := colorimetry.CCT{Kelvin: TungstenCCT(light.Kelvin, share), Duv: light.Duv}.UV()
	if err != nil {
		return 0, 0, false
	}
	a, c := from.UVPrime(), to.UVPrime()
	return c.U - a.U, c.V - a.V, true
}

// color mixes the colors of the lamps at every point, where all that shine
// there have one.
func (b *balancing) color(c *survey.Computed, trims []float64) {
	type source struct {
		m      *survey.LampMap
		level  []float64
		trim   float64
		u, v   float64 // of all of its light
		du, dv float64
	}
	var sources []source
	known := true
	add := func(m *survey.LampMap, level []float64, trim float64) {
		light, ok := m.Color()
		known = known && m.DuvRead
		if !ok {
			sources = nil
			known = false
			return
		}
		uv, _ := light.UV()
		p := uv.UVPrime()
		s := source{m: m, level: level, trim: trim, u: p.U, v: p.V}
		if b.tungsten(m) && trim < 1 {
			s.du, s.dv, _ = dimmedShift(light, trim)
		}
		sources = append(sources, s)
	}
	for j, m := range b.lamp {
		if _, ok := m.Color(); !ok {
			return
		}
		add(m, b.maps[j], trims[j])
	}
	if b.ambient != nil && slices.Max(b.ambient) > 0 {
		m := b.set.Find(survey.AmbientName)
		if m == nil {
			return
		}
		if _, ok := m.Color(); !ok {
			return
		}
		add(m, b.ambient, 1)
	}
	c.DuvKnown = known
	c.U, c.V = make([]float64, b.n), make([]float64, b.n)
	for i := range b.n {
		var sum colorimetry.XYZ
		for _, s := range sources {
			level := s.trim * s.level[i]
			if level == 0 {
				continue
			}
			u, v := s.u, s.v
			if s.m.U != nil && !math.IsNaN(s.m.U[i]) && s.m.Read == b.n {
				u, v = s.m.U[i], s.m.V[i]
			}
			sum = sum.Add(colorimetry.UVPrime{U: u + s.du, V: v + s.dv}.XY().XYZ(level))
		}
		p := colorimetry.UVPrime{U: math.NaN(), V: math.NaN()}
		if sum.Y > 0 {
			p = sum.XY().UVPrime()
		}
		c.U[i], c.V[i] = p.U, p.V
	}
}

// tellColor adds a lamp's color to its trim, and what dimming does to it.
func (b *balancing) tellColor(t *Trim, m *survey.LampMap, share float64) {
	light, ok := m.Color()
	if !ok {
		return
	}
	t.CCT = &light.Kelvin
	if !b.tungsten(m) || share <= 0 || share >= 1 {
		return
	}
	after := TungstenCCT(light.Kelvin, share)
	shift := colorimetry.Mired(after) - light.Mired()
	t.CCTAfter, t.MiredShift = &after, &shift
}

// tellDimming says what dimming does to the color of lamps that are trimmed:
// to those that are tungsten, and to those that may be.
func (b *balancing) tellDimming() {
	var may []string
	for _, name := range b.r.Lamps {
		t := b.r.Trims[name]
		if t.CCT == nil || t.Stops == nil || *t.Stops > -0.1 {
			continue
		}
		if t.MiredShift != nil {
			code, tail := "tungsten_warms", "."
			if *t.MiredShift > b.r.Limits.Mired {
				code = "tungsten_too_warm"
				tail = ", more than the " + trimmedNumber(b.r.Limits.Mired) + " mired allowed: use scrims, nets or ND, which keep the color."
			}
			b.warn(code, "%s is tungsten: dimmed to %.0f %% it warms from %.0f to about %.0f K, %+.0f mired%s",
				name, t.Percent, *t.CCT, roundKelvin(*t.CCTAfter), *t.MiredShift, tail)
			continue
		}
		if *t.CCT >= tungstenLow && *t.CCT <= tungstenHigh {
			shift := colorimetry.Mired(TungstenCCT(*t.CCT, t.Percent/100)) - colorimetry.Mired(*t.CCT)
			if shift > b.r.Limits.Mired/2 {
				may = append(may, name)
			}
		}
	}
	if len(may) > 0 {
		t := b.r.Trims[may[0]]
		b.warn("may_be_tungsten", "If %s is tungsten, a dimmer warms it: %s to about %.0f K. Use scrims, nets or ND where color matters, or say --tungsten to see what it does.",
			joined(may), may[0], roundKelvin(TungstenCCT(*t.CCT, t.Percent/100)))
	}
}

func roundKelvin(k float64) float64 { return 10 * math.Round(k/10) }

func trimmedNumber(v float64) string { return photometry.FormatFigure(v) }
