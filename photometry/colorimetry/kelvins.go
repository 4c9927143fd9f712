package colorimetry

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"

	"evenfall/photometry"
)

// kelvinsAlone reports whether only kelvins of a color in a result are known.
func (t CCT) kelvinsAlone() bool { return math.IsNaN(t.Duv) }

// withDuv is the color with a Duv in place of one that is not known.
func (t CCT) withDuv(duv float64) CCT {
	if t.kelvinsAlone() {
		t.Duv = duv
	}
	return t
}

// read is the lamp's color as it was read: Duv is NaN where only kelvins were.
func (l Lamp) read() CCT {
	if l.KelvinsAlone {
		l.Light.Duv = math.NaN()
	}
	return l.Light
}

// comparable are two colors in which a Duv that is not known is that of the other, so
// that they differ by kelvins alone; zero where neither is known.
func comparable(a, b CCT) (CCT, CCT, bool) {
	alone := a.kelvinsAlone() || b.kelvinsAlone()
	a = a.withDuv(b.withDuv(0).Duv)
	return a, b.withDuv(a.Duv), alone
}

// forgetDuv takes out of a ranking what a Duv that is not known would have to say.
func (r *ranking) forgetDuv(source CCT) {
	forget := func(s *Stack) {
		s.MissDuv = math.NaN()
		if source.kelvinsAlone() {
			s.Duv = math.NaN()
		}
	}
	forget(&r.bare)
	for i := range r.stacks {
		forget(&r.stacks[i])
	}
	if r.nearest != nil {
		forget(r.nearest)
	}
}

// holdBack leaves open what kelvins alone pass: they do not show green and magenta.
func (c *Correction) holdBack() {
	if !c.KelvinsAlone {
		return
	}
	c.KelvinsWithin, c.Within = c.Within, false
	for i := range c.Stacks {
		c.Stacks[i].Within = false
	}
}

// met reports whether the target is met as far as what was read shows.
func (c *Correction) met() bool { return c.Within || c.KelvinsWithin }

// duvTolerance is the tolerance in Duv for a sentence, nil where none was judged.
func (o Options) duvTolerance(alone bool) any {
	if alone {
		return nil
	}
	return o.ToleranceDuv
}

// setting is SettingFor a color whose Duv, and so the tint, may not be known.
func setting(light CCT, offset *CameraOffset) (CameraSetting, error) {
	s, err := SettingFor(light.withDuv(0), offset)
	if light.kelvinsAlone() {
		s.TintUnknown, s.Tint, s.TintSpread = true, 0, 0
	}
	return s, err
}

// adviseDuv asks for Duv of the lamps of which only kelvins are known.
func (out *LampsCorrection) adviseDuv(lamps []Lamp) {
	var alone []Lamp
	for _, l := range lamps {
		if l.KelvinsAlone {
			alone = append(alone, l)
		}
	}
	if len(alone) > 0 {
		out.Advice = append(out.Advice, photometry.Found("correct.read_duv", "lamps", strings.Join(names(alone), ", ")))
	}
}

// MarshalJSON leaves out a Duv that is not known.
func (t CCT) MarshalJSON() ([]byte, error) {
	if t.kelvinsAlone() {
		return json.Marshal(struct {
			Kelvin float64 `json:"cct_k"`
		}{t.Kelvin})
	}
	type plain CCT
	return json.Marshal(plain(t))
}

// MarshalJSON leaves out a Duv, and a miss in Duv, that is not known.
func (s Stack) MarshalJSON() ([]byte, error) {
	type plain Stack
	var v any = plain(s)
	if math.IsNaN(s.MissDuv) {
		open := struct {
			plain
			Duv     *float64 `json:"duv,omitempty"`
			MissDuv *float64 `json:"miss_duv,omitempty"`
		}{plain: plain(s)}
		if !math.IsNaN(s.Duv) {
			open.Duv = &s.Duv
		}
		v = open
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false) // whoever encodes the whole decides
	err := e.Encode(v)
	return out.Bytes(), err
}
