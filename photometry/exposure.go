package photometry

import "math"

// Calibration constants of exposure meters, ISO 2720: C for incident light in
// lx·s (per ISO speed), K for reflected light in cd·s/m². The standard allows
// a range for each; these are the usual choices and every function takes its
// own.
const (
	FlatConstant      = 250.0 // C, flat (cosine) receptor
	DomeConstant      = 340.0 // C, hemispherical receptor
	ReflectedConstant = 12.5  // K
)

// Exposure is how a camera is set: ISO speed, shutter time in seconds, and what
// stands between the scene and the sensor.
type Exposure struct {
	ISO      float64
	ShutterS float64
	// LossStops is the light lost on the way in stops, positive: ND, filters,
	// bellows. Opening up by it keeps the exposure.
	LossStops float64
	// Transmittance of the lens, above 0 to 1; 0 means not stated, so that a
	// T-stop and an f-number are one.
	Transmittance float64
}

// FNumber is the f-number that exposes for an illuminance in lx (constant C) or
// a luminance in cd/m² (constant K): N = √(level·t·S/constant), lowered by the
// loss, ISO 2720.
func (e Exposure) FNumber(level, constant float64) float64 {
	return math.Sqrt(level*e.ShutterS*e.ISO/constant) * math.Exp2(-e.LossStops/2)
}

// Level is the illuminance in lx (constant C) or luminance in cd/m² (constant
// K) that an f-number exposes for: the inverse of FNumber.
func (e Exposure) Level(fNumber, constant float64) float64 {
	n := fNumber * math.Exp2(e.LossStops/2)
	return n * n * constant / (e.ISO * e.ShutterS)
}

// TStop is the T-stop to set on a lens for the f-number: N/√τ with the lens's
// transmittance τ; the f-number itself where none is stated.
func (e Exposure) TStop(fNumber float64) float64 {
	if e.Transmittance <= 0 {
		return fNumber
	}
	return fNumber / math.Sqrt(e.Transmittance)
}

// FlashFNumber is the incident f-number of a flash of luminous exposure in
// lx·s: N = √(H·S/C), ISO 2720 with E·t = H. The exposures of flashes add, so
// that two flashes together have the f-number √(N₁² + N₂²).
func FlashFNumber(luxSeconds, iso, constant float64) float64 {
	return math.Sqrt(luxSeconds * iso / constant)
}

// FlashExposure is the luminous exposure in lx·s that an incident flash
// f-number stands for: H = C·N²/S.
func FlashExposure(fNumber, iso, constant float64) float64 {
	return constant * fNumber * fNumber / iso
}

// EV100 is the exposure value at ISO 100 of an illuminance in lx (constant C)
// or a luminance in cd/m² (constant K): log2(level·100/constant), ISO 2720. EV
// 0 with C = 250 is 2.5 lx.
func EV100(level, constant float64) float64 { return math.Log2(level * 100 / constant) }

// LevelFromEV is the level of an exposure value read at an ISO speed:
// constant·2^EV/S, the inverse of EV100 at ISO 100.
func LevelFromEV(ev, iso, constant float64) float64 {
	return constant * math.Exp2(ev) / iso
}

// ShutterFromAngle is a rotary or electronic shutter's time in seconds from its
// opening in degrees (to 360) and the frame rate in frames a second:
// angle/(360·rate).
func ShutterFromAngle(angleDeg, framesPerSecond float64) float64 {
	return angleDeg / (360 * framesPerSecond)
}

// DensityStops is the loss of a neutral density in stops at the trade's 0.3 a
// stop (common practice; exactly, a stop is log10 2 = 0.30103).
func DensityStops(density float64) float64 { return density / 0.3 }

// FilterFactorStops is the loss of a filter factor in stops, log2(factor).
func FilterFactorStops(factor float64) float64 { return math.Log2(factor) }
