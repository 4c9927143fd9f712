package match

import (
	"math"

	"evenfall/photometry"
)

// LampLight is what one lamp alone gives at a place. CCTK and Duv are nil where the meter
// does not say.
type LampLight struct {
	Level     photometry.Level
	CCTK, Duv *float64
}

// How far a lamp may be off what it gave, in stops; common practice, no source.
const (
	lampNear = 0.1 // and is as it was
	lampFar  = 0.5 // and is likely dimmed or aged; farther off, a scrim, its place or its aim is
)

// CheckLamp holds what a lamp alone gives today to what it gave before: as it was
// ("lamp.good"), to be trimmed to a reading ("lamp.trim"), or off by so much, or in color,
// that its place, aim, scrims and gel come first ("lamp.place"). scatter is the standard
// deviation of one reading in stops, mired and duv what is allowed either way. A lamp that
// gives nothing is off.
func CheckLamp(was, is LampLight, scatter, mired, duv float64) photometry.Finding {
	near := math.Max(lampNear, 1.959964*math.Sqrt2*scatter)
	low := photometry.Level{Value: was.Level.Value * math.Exp2(-near), Quantity: was.Level.Quantity}
	high := photometry.Level{Value: was.Level.Value * math.Exp2(near), Quantity: was.Level.Quantity}
	if is.Level.Value == 0 {
		return photometry.Found("lamp.off", "from", low, "to", high)
	}
	off := photometry.Stops(is.Level.Value, was.Level.Value)
	shift, tint := 0.0, 0.0
	if was.CCTK != nil && is.CCTK != nil {
		shift = 1e6 / *is.CCTK - 1e6 / *was.CCTK
		if was.Duv != nil && is.Duv != nil {
			tint = *is.Duv - *was.Duv
		}
	}
	switch {
	case math.Abs(shift) > mired || math.Abs(tint) > duv:
		return photometry.Found("lamp.color", "off", photometry.Stop(off), "mired", shift, "duv", tint)
	case math.Abs(off) <= near:
		return photometry.Found("lamp.good", "from", low, "to", high)
	case math.Abs(off) <= lampFar:
		return photometry.Found("lamp.trim", "off", photometry.Stop(off), "from", low, "to", high)
	}
	return photometry.Found("lamp.place", "off", photometry.Stop(off), "from", low, "to", high)
}
