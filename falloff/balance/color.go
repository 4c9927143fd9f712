package balance

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
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

// dims tells whether a trim of a tungsten lamp is made by a dimmer, which warms
// it. In steps it is made by scrims, as far as they go; they keep its color.
func (b *balancing) dims(m *survey.LampMap, share float64) bool {
	if !b.tungsten(m) || share <= 0 || share >= 1 {
		return false
	}
	_, loss := photometry.Scrims(-math.Log2(share))
	return b.o.StepStops == 0 || math.Abs(loss+math.Log2(share)) > 0.05
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

// coloredLight is one light of the mix with its color.
type coloredLight struct {
	m      *survey.LampMap
	level  []float64 // at every point, as read
	trim   float64
	mean   colorimetry.UVPrime // of all of its light
	du, dv float64             // what dimming does to it
}

// coloredLights are all lights of the mix; ok is false where one of them has no
// color.
func (b *balancing) coloredLights(trims []float64) (out []coloredLight, ok bool) {
	if b.other != nil {
		return nil, false
	}
	add := func(m *survey.LampMap, level []float64, trim float64) bool {
		if m == nil {
			return false
		}
		light, ok := m.Color()
		if !ok {
			return false
		}
		uv, err := light.UV()
		if err != nil {
			return false
		}
		c := coloredLight{m: m, level: level, trim: trim, mean: uv.UVPrime()}
		if b.dims(m, trim) {
			c.du, c.dv, _ = dimmedShift(light, trim)
		}
		out = append(out, c)
		return true
	}
	for j, m := range b.lamp {
		if !add(m, b.maps[j], trims[j]) {
			return nil, false
		}
	}
	if b.ambient != nil && slices.Max(b.ambient) > 0 && !add(b.set.Find(survey.AmbientName), b.ambient, 1) {
		return nil, false
	}
	return out, true
}

// color mixes the colors of the lamps at every point, where all that shine
// there have one: each lamp's own reading at the point where it was read
// everywhere, else the color of all its light.
func (b *balancing) color(c *evenness.Computed, trims []float64) {
	lights, ok := b.coloredLights(trims)
	if !ok {
		return
	}
	c.DuvKnown = true
	for _, l := range lights {
		c.DuvKnown = c.DuvKnown && l.m.DuvRead
	}
	c.U, c.V = make([]float64, b.n), make([]float64, b.n)
	for i := range b.n {
		var sum colorimetry.XYZ
		for _, l := range lights {
			level := l.trim * l.level[i]
			if level == 0 {
				continue
			}
			p := l.mean
			if l.m.Read == b.n && !math.IsNaN(l.m.U[i]) {
				p = colorimetry.UVPrime{U: l.m.U[i], V: l.m.V[i]}
			}
			p.U, p.V = p.U+l.du, p.V+l.dv
			sum = sum.Add(p.XY().XYZ(level))
		}
		c.U[i], c.V[i] = math.NaN(), math.NaN()
		if sum.Y > 0 {
			p := sum.XY().UVPrime()
			c.U[i], c.V[i] = p.U, p.V
		}
	}
}

// tellColor adds a lamp's color to its trim, and what dimming does to it.
func (b *balancing) tellColor(t *Trim, m *survey.LampMap, share float64) {
	light, ok := m.Color()
	if !ok {
		return
	}
	t.CCT = &light.Kelvin
	if !b.dims(m, share) {
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
	trims := b.r.Trims
	if b.r.Kept != nil {
		trims = b.r.Kept.Trims // those are the ones to use
	}
	for _, name := range b.r.Lamps {
		t := trims[name]
		if t.Stops == nil || *t.Stops > -0.1 {
			continue
		}
		if m := b.set.Find(name); b.tungsten(m) && (t.CCT == nil || !b.dims(m, t.Percent/100)) {
			b.tellTungsten(m, t)
			continue
		}
		if t.CCT == nil {
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
		t := trims[may[0]]
		b.warn("may_be_tungsten", "If %s is tungsten, a dimmer warms it: %s to about %.0f K. Use scrims, nets or ND where color matters, or say --tungsten to see what it does.",
			joined(may), may[0], roundKelvin(TungstenCCT(*t.CCT, t.Percent/100)))
	}
}

// usualTungsten is a tungsten lamp's color at full where it was not read, in K.
const usualTungsten = 3200.0

// tellTungsten says what a dimmer would do to a tungsten lamp that scrims trim,
// or usually does to one whose color was not read.
func (b *balancing) tellTungsten(m *survey.LampMap, t Trim) {
	full := usualTungsten
	if t.CCT != nil {
		full = *t.CCT
	}
	after := TungstenCCT(full, t.Percent/100)
	shift := colorimetry.Mired(after) - colorimetry.Mired(full)
	if !b.dims(m, t.Percent/100) {
		b.warn("scrims_keep_color", "%s is tungsten: scrims keep its color. A dimmer at %.0f %% would warm it from %.0f to about %.0f K, %+.0f mired.",
			m.Name, t.Percent, full, roundKelvin(after), shift)
		return
	}
	b.warn("tungsten_unread", "%s is tungsten: dimmed to %.0f %% it usually warms by about %+.0f mired, from %.0f to %.0f K. It was read without color, so what that does to the surface is not judged: read CCT too, or use scrims, which keep the color.",
		m.Name, t.Percent, shift, full, roundKelvin(after))
}

func roundKelvin(k float64) float64 { return 10 * math.Round(k/10) }

func trimmedNumber(v float64) string { return photometry.FormatFigure(v) }
