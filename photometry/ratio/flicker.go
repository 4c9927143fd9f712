package ratio

import (
	"math"

	"evenfall/photometry"
)

// SafeShutter is a shutter time over which lamps on alternating current give
// every frame the same light, whenever it opens.
type SafeShutter struct {
	ShutterS    float64 `json:"shutter_s"`
	HalfPeriods int     `json:"half_periods"` // of the mains in it
	// AngleDeg is the shutter angle at the frame rate, absent without one.
	AngleDeg *float64 `json:"angle_deg,omitempty"`
}

// flickerTolerance is how far a shutter may be from a whole number of half
// periods: what is left over then changes an exposure by at most that share.
// Cameras that offer 1/48.2 for 172.8° and the like stay well inside.
const flickerTolerance = 0.005

// rateTolerance is how closely a frame rate must fit the mains: 23.976 does not
// stand for 24, since the exposure then pulses slowly.
const rateTolerance = 1e-4

const (
	// freeHalfPeriods is how many half periods are listed without a frame rate,
	// to 1/25 s at 50 Hz.
	freeHalfPeriods = 4
	// listedShutters is how many shutters a list has at most, the shortest ones.
	listedShutters = 24
)

// SafeShutters are the times that hold a whole number of half periods of
// the mains, k/(2·f) in seconds for a mains frequency f in Hz, since light on
// alternating current swings at twice the frequency. They go up to a full frame
// at the frame rate, or to four half periods where it is 0, and are the shortest
// 24 where there are more. Common practice: at 24 frames a second 172.8° under
// 50 Hz (1/50 s) and 144° under 60 Hz (1/60 s).
func SafeShutters(mainsHz, framesPerSecond float64) []SafeShutter {
	out := []SafeShutter{}
	for k := 1; k <= listedShutters && float64(k) <= mostHalfPeriods(mainsHz, framesPerSecond); k++ {
		out = append(out, safeShutter(float64(k), mainsHz, framesPerSecond))
	}
	return out
}

// mostHalfPeriods is how many half periods a frame has room for.
func mostHalfPeriods(mainsHz, framesPerSecond float64) float64 {
	if !(framesPerSecond > 0) {
		return freeHalfPeriods
	}
	return math.Floor(2*mainsHz/framesPerSecond + 1e-9)
}

// safeShutter is the time of k half periods.
func safeShutter(k, mainsHz, framesPerSecond float64) SafeShutter {
	s := SafeShutter{ShutterS: k / (2 * mainsHz), HalfPeriods: int(k)}
	if framesPerSecond > 0 {
		s.AngleDeg = new(360 * framesPerSecond * s.ShutterS)
	}
	return s
}

// InStep reports whether the mains swing a whole number of half periods a frame,
// so that each frame meets the same light at any shutter: 2·f/rate is whole, as
// for 24 or 30 frames a second under 60 Hz and 25 under 50 Hz. It holds only as
// long as both clocks do.
func InStep(mainsHz, framesPerSecond float64) bool {
	if !(framesPerSecond > 0) {
		return false
	}
	swings := 2 * mainsHz / framesPerSecond
	return math.Round(swings) >= 1 && math.Abs(swings/math.Round(swings)-1) <= rateTolerance
}

// Flicker is what a shutter means under lamps on one mains frequency.
type Flicker struct {
	MainsHz float64 `json:"mains_hz"`
	// Safe is absent where no shutter is known. SafeBy is shutter or frame_rate.
	Safe   *bool  `json:"safe,omitempty"`
	SafeBy string `json:"safe_by,omitempty"`
	// Nearest is the safe time nearest to the shutter, and what it changes the
	// exposure by in stops; positive is longer.
	Nearest     *SafeShutter      `json:"nearest,omitempty"`
	ChangeStops *float64          `json:"change_stops,omitempty"`
	Shutters    []SafeShutter     `json:"shutters"`
	Text        photometry.Remark `json:"text"`
}

// Flickers judges a shutter in seconds at a frame rate (either may be 0) for each
// mains frequency.
func Flickers(shutterS, framesPerSecond float64, mainsHz ...float64) []Flicker {
	out := []Flicker{}
	for _, f := range mainsHz {
		one := Flicker{MainsHz: f, Shutters: SafeShutters(f, framesPerSecond)}
		one.judge(shutterS, framesPerSecond)
		one.Text = one.remark(framesPerSecond)
		out = append(out, one)
	}
	return out
}

// judge compares the shutter with the safe ones.
func (f *Flicker) judge(shutterS, rate float64) {
	if !(shutterS > 0) {
		return
	}
	safe := false
	if whole := math.Round(shutterS * 2 * f.MainsHz); whole >= 1 && math.Abs(shutterS*2*f.MainsHz/whole-1) <= flickerTolerance {
		safe, f.SafeBy = true, "shutter"
	} else if InStep(f.MainsHz, rate) {
		safe, f.SafeBy = true, "frame_rate"
	}
	f.Safe = &safe
	most := mostHalfPeriods(f.MainsHz, rate)
	if !(rate > 0) {
		most = 1e9 // as long as it likes
	}
	best := math.Inf(1)
	for _, k := range []float64{math.Floor(shutterS * 2 * f.MainsHz), math.Ceil(shutterS * 2 * f.MainsHz)} {
		if k = math.Min(math.Max(k, 1), most); k < 1 {
			return
		}
		s := safeShutter(k, f.MainsHz, rate)
		if change := photometry.Stops(s.ShutterS, shutterS); math.Abs(change) < math.Abs(best) {
			best, f.Nearest = change, &s
		}
	}
	f.ChangeStops = &best
}

// remark says which shutters are safe.
func (f Flicker) remark(framesPerSecond float64) photometry.Remark {
	judged := f.SafeBy
	switch {
	case f.Safe == nil:
		judged = "no_shutter"
	case !*f.Safe:
		judged = "unsafe"
	}
	change := 0.0
	if f.ChangeStops != nil {
		change = *f.ChangeStops
	}
	return photometry.Remarked("safe_shutters", "mains", f.MainsHz, "rate", framesPerSecond, "judged", judged, "shutters", f.Shutters,
		"nearest", f.Nearest, "change", photometry.Stop(change))
}
