package photometry

import "math"

// Conversion is one level in every unit that applies to it. What needs a
// shutter time or does not apply is absent.
type Conversion struct {
	LX      *float64 `json:"lx,omitempty"`
	FC      *float64 `json:"fc,omitempty"`
	LXS     *float64 `json:"lx_s,omitempty"` // of a flash
	EV100   *float64 `json:"ev100,omitempty"`
	CDM2    *float64 `json:"cd_per_m2,omitempty"`
	FNumber *float64 `json:"f_number,omitempty"`
	// MarkedF is the nearest third-stop mark of the f-number.
	MarkedF *float64 `json:"f_number_marked,omitempty"`
}

// Convert turns a level, read in a unit with a meter, into the units that apply.
// camera is the exposure asked for; without an ISO speed or a shutter time
// there is no f-number, except that of a flash. An exposure value stands for an
// illuminance (C) and a luminance (K) at once, since it does not say which.
func Convert(level Level, unit Unit, m Meter, camera Exposure) Conversion {
	var c Conversion
	value := func(v float64) *float64 { return &v }
	expose := func(level, constant float64) {
		c.EV100 = value(EV100(level, constant))
		if camera.ISO > 0 && camera.ShutterS > 0 {
			c.FNumber = value(camera.FNumber(level, constant))
		}
	}
	switch level.Quantity {
	case Illuminance:
		c.LX, c.FC = value(level.Value), value(Footcandles(level.Value))
		if level.Value > 0 {
			expose(level.Value, m.IncidentConstant())
		}
		if unit == EV {
			c.CDM2 = value(level.Value / m.IncidentConstant() * ReflectedConstant)
		}
	case Luminance:
		k := ReflectedConstant
		if m.Constant > 0 {
			k = m.Constant
		}
		c.CDM2 = value(level.Value)
		if level.Value > 0 {
			expose(level.Value, k)
		}
	case LuminousExposure:
		c.LXS = value(level.Value)
		if level.Value > 0 {
			c.FNumber = value(FlashFNumber(level.Value, m.Speed(), m.IncidentConstant()) * math.Exp2(-camera.LossStops/2))
		}
	}
	if c.FNumber != nil {
		mark, _ := m.Marks.MarkedFNumber(*c.FNumber)
		c.MarkedF = &mark
	}
	return c
}
