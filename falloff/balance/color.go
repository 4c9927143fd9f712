package balance

import (
	"math"
	"slices"

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

// tungsten reports whether a lamp was said to be tungsten.
func (b *balancing) tungsten(m *survey.LampMap) bool {
	return slices.ContainsFunc(b.o.Tungsten, func(name string) bool { return photometry.SameName(name, m.Name) })
}

// dims reports whether a trim of a tungsten lamp is made by a dimmer, which warms
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
	if b.other {
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

// addColor adds a lamp's color to its trim, and what dimming does to it.
func (b *balancing) addColor(t *Trim, m *survey.LampMap, share float64) {
	light, ok := m.Color()
	if !ok {
		return
	}
	t.CCT = &light.Kelvin
	if !b.dims(m, share) {
		return
	}
	t.CCTAfter, t.MiredShift = new(TungstenCCT(light.Kelvin, share)), new(warming(light.Kelvin, share))
}

// warming is by how much a tungsten lamp warms when it is dimmed to a share of its
// light, in mired.
func warming(cctK, share float64) float64 {
	return colorimetry.Mired(TungstenCCT(cctK, share)) - colorimetry.Mired(cctK)
}

func roundKelvin(k float64) photometry.Kelvin { return photometry.Kelvin(10 * math.Round(k/10)) }
