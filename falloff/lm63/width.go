package lm63

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Width is the angular width of the beam in degrees in the two main planes, at
// most 360. An angle is nil where the intensity in that plane nowhere reaches the
// share of the peak.
type Width struct {
	// XDeg is in the plane of x and the aim (C0 and C180; the horizontal plane of
	// types A and B), YDeg in that of y and the aim.
	XDeg *float64 `json:"x_deg,omitempty"`
	YDeg *float64 `json:"y_deg,omitempty"`
}

// Mean returns the mean of the two angles, the one that is known where the other
// is not, and false where neither is.
func (w Width) Mean() (deg float64, ok bool) {
	switch {
	case w.XDeg != nil && w.YDeg != nil:
		return (*w.XDeg + *w.YDeg) / 2, true
	case w.XDeg != nil:
		return *w.XDeg, true
	case w.YDeg != nil:
		return *w.YDeg, true
	}
	return 0, false
}

// Beam returns the beam angle: the width at half of the peak intensity (IES
// Lighting Handbook).
func (d *Distribution) Beam() Width { return d.Width(0.5) }

// Width returns the angle in each main plane over which the intensity is at
// least share (above 0, up to 1) of the peak of the whole distribution. It is
// 360° less the widest dark gap in the plane: for a spot the angle between the
// two edges, for two lobes with a dip between them the angle over both. Along a
// main plane the interpolant is linear between the angles of the file, so edges
// are exact. It panics for a share outside its range.
func (d *Distribution) Width(share float64) Width {
	if !(share > 0 && share <= 1) {
		panic("lm63: share outside 0 to 1")
	}
	at := d.profileAngles()
	level := share * d.peak
	return Width{
		XDeg: d.widthIn(at, level, func(sin, cos float64) r3.Vec { return r3.Vec{X: sin, Z: cos} }),
		YDeg: d.widthIn(at, level, func(sin, cos float64) r3.Vec { return r3.Vec{Y: sin, Z: cos} }),
	}
}

// profileAngles returns the angles from the aim, −180 to 180, at which a profile in
// a main plane may change its slope: each angle of the file on both sides, in
// front and behind.
func (d *Distribution) profileAngles() []float64 {
	at := []float64{-180, -90, 0, 90, 180}
	angles := d.VerticalDeg
	if d.Type != TypeC { // there the planes run along γ
		angles = slices.Concat(angles, d.HorizontalDeg)
	}
	for _, deg := range angles {
		a := math.Abs(deg)
		at = append(at, a, -a, 180-a, a-180)
	}
	slices.Sort(at)
	return slices.Compact(at)
}

// widthIn measures one plane.
func (d *Distribution) widthIn(at []float64, level float64, toward func(sin, cos float64) r3.Vec) *float64 {
	value := func(deg float64) float64 {
		sin, cos := math.Sincos(deg * degree)
		return d.Intensity(toward(sin, cos))
	}
	// Without this, rounding could open a gap where the level is just met.
	level *= 1 - 1e-12
	first, end, gap := math.NaN(), 0.0, 0.0
	lit := func(from, to float64) {
		if math.IsNaN(first) {
			first = from
		} else {
			gap = math.Max(gap, from-end)
		}
		end = to
	}
	for i := 1; i < len(at); i++ {
		lo, hi := at[i-1], at[i]
		if hi-lo < 1e-9 {
			continue
		}
		// The line through two inner points: the ends themselves may be jumps.
		p, q := value(lo+(hi-lo)/4), value(hi-(hi-lo)/4)
		a, b := p-(q-p)/2, q+(q-p)/2
		switch {
		case a >= level && b >= level:
			lit(lo, hi)
		case a >= level:
			lit(lo, lo+(a-level)/(a-b)*(hi-lo))
		case b >= level:
			lit(hi-(b-level)/(b-a)*(hi-lo), hi)
		}
	}
	if math.IsNaN(first) {
		return nil
	}
	gap = math.Max(gap, 360-(end-first)) // the gap through ±180°
	if gap < 1e-6 {
		gap = 0
	}
	return new(360 - gap)
}
