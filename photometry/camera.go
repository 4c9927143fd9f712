package photometry

// CameraExposure is what a camera would be set to for a level.
type CameraExposure struct {
	FNumber  *float64 `json:"f_number,omitempty"`
	EV100    *float64 `json:"ev100,omitempty"`
	ISO      float64  `json:"iso,omitempty"`
	ShutterS float64  `json:"shutter_s,omitempty"`
	Constant float64  `json:"constant"` // C, or K for a luminance
}

// Expose is what a level that the meter read exposes for: an f-number where the camera's
// ISO speed and shutter (seconds) are known (of flash at the meter's speed without), EV
// 100 of continuous light; nil for relative levels. Zero is not known.
func (m Meter) Expose(level Level, iso, shutterS float64) *CameraExposure {
	e := &CameraExposure{Constant: m.IncidentConstant(), ISO: iso, ShutterS: shutterS}
	switch level.Quantity {
	case Luminance:
		e.Constant = ReflectedConstant
		if m.Constant > 0 {
			e.Constant = m.Constant
		}
		fallthrough
	case Illuminance:
		e.EV100 = new(EV100(level.Value, e.Constant))
		if iso > 0 && shutterS > 0 {
			e.FNumber = new(Exposure{ISO: iso, ShutterS: shutterS}.FNumber(level.Value, e.Constant))
		}
	case LuminousExposure:
		if e.ShutterS = 0; iso == 0 {
			e.ISO = m.Speed()
		}
		e.FNumber = new(FlashFNumber(level.Value, e.ISO, e.Constant))
	default:
		return nil
	}
	return e
}
