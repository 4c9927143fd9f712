package lm63

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"
)

// What tests ask of a distribution besides what the program does.

const LampVertical = 1

// LampLumens is the rated flux in lm of all lamps as the file states it, and false for
// absolute photometry and where the file leaves it at zero.
func (d *Distribution) LampLumens() (float64, bool) {
	lm := float64(d.Lamps) * d.LumensPerLamp
	return lm, !d.Absolute && lm > 0
}

// Efficiency is the share of the lamps' flux that leaves the luminaire.
func (d *Distribution) Efficiency() (float64, bool) {
	lm, ok := d.LampLumens()
	if !ok {
		return 0, false
	}
	return d.flux / (lm * d.BallastFactor), true
}

// IntensityAt is the intensity in cd at angles of the file's own type; angles beyond a
// full turn or past a pole are brought back.
func (d *Distribution) IntensityAt(a Angles) float64 {
	h, v := a.HorizontalDeg, a.VerticalDeg
	switch {
	case d.Type == TypeC && h >= 0 && h <= 360 && v >= 0 && v <= 180,
		d.Type == TypeA && math.Abs(h) <= 180 && math.Abs(v) <= 90,
		d.Type == TypeB && math.Abs(h) <= 90 && math.Abs(v) <= 180:
		return d.grid.at(a)
	}
	// Covers angles that are not finite: their direction is not finite either.
	return d.Intensity(d.Type.Direction(a))
}

// Peak is the largest intensity and where it is, of several the first in the file.
type Peak struct {
	IntensityCD float64
	Angles      Angles
	Direction   r3.Vec
}

// Peak is the program's largest intensity, at the angles where the file has it.
func (d *Distribution) Peak() Peak {
	best := floats.MaxIdx(d.grid.cd)
	a := Angles{HorizontalDeg: d.HorizontalDeg[best/d.grid.rows], VerticalDeg: d.VerticalDeg[best%d.grid.rows]}
	return Peak{IntensityCD: d.peak, Angles: a, Direction: d.Type.Direction(a)}
}

// Field is the width at a tenth of the peak intensity.
func (d *Distribution) Field() Width { return d.Width(0.1) }

// At is the factor at a tilt in degrees to either side, linear between the angles of the
// file; 1 without a table.
func (t *Tilt) At(tiltDeg float64) float64 {
	if t == nil {
		return 1
	}
	a := math.Abs(tiltDeg)
	i := sort.SearchFloat64s(t.AngleDeg, a)
	switch last := len(t.AngleDeg) - 1; {
	case math.IsNaN(a) || i == 0:
		return t.Factor[0]
	case i > last:
		return t.Factor[last]
	}
	f := (a - t.AngleDeg[i-1]) / (t.AngleDeg[i] - t.AngleDeg[i-1])
	return t.Factor[i-1] + f*(t.Factor[i]-t.Factor[i-1])
}
