package survey

import "evenfall/photometry"

// Exposure is what a level exposes for by the notes iso and shutter: an f-number
// where they are given (of flash at ISO 100 without), EV 100 of continuous light;
// nil for relative levels.
func (set Settings) Exposure(level photometry.Level) *Exposure {
	m, mean := set.Meter, level.Value
	e := &Exposure{Constant: m.IncidentConstant()}
	value := func(v float64) *float64 { return &v }
	iso, shutter := orElse(set.ISO, set.CameraISO), orElse(set.ShutterS, set.CameraShutterS)
	e.ISO, e.ShutterS = iso, shutter
	camera := photometry.Exposure{ISO: iso, ShutterS: shutter}
	switch level.Quantity {
	case photometry.Luminance:
		e.Constant = photometry.ReflectedConstant
		if m.Constant > 0 {
			e.Constant = m.Constant
		}
		fallthrough
	case photometry.Illuminance:
		e.EV100 = value(photometry.EV100(mean, e.Constant))
		if iso > 0 && camera.ShutterS > 0 {
			e.FNumber = value(camera.FNumber(mean, e.Constant))
		}
	case photometry.LuminousExposure:
		if iso == 0 {
			iso = m.Speed()
		}
		e.ISO, e.ShutterS = iso, 0
		e.FNumber = value(photometry.FlashFNumber(mean, iso, e.Constant))
	default:
		return nil
	}
	return e
}

// Exposure is what a camera would be set to for the mean level.
type Exposure struct {
	FNumber  *float64 `json:"f_number,omitempty"`
	EV100    *float64 `json:"ev100,omitempty"`
	ISO      float64  `json:"iso,omitempty"`
	ShutterS float64  `json:"shutter_s,omitempty"`
	Constant float64  `json:"constant"` // C, or K for a luminance
}
