package lm63

import (
	"math"

	"gonum.org/v1/gonum/integrate"
)

// Flux returns the luminous flux in lm that leaves the luminaire, the integral
// of Intensity over all directions, Φ = ∬ I dΩ, exact to rounding. With
// g the angle from the pole of the file's type and a the one about it, dΩ is
// sin g dg da, and over an interval of width 2s about m, where I runs linearly
// from I₀ to I₁,
//
//	∫ I sin g dg = (I₀+I₁)·sin m·sin s + (I₁−I₀)·cos m·(sin s − s·cos s)/s
//
// while along a the mean of the two ends stands. The zonal method of the IES
// Lighting Handbook takes the first term only, (I₀+I₁)/2 times the zonal
// constant 2π(cos g₀ − cos g₁).
func (d *Distribution) Flux() float64 { return d.flux }

// zoneWeights returns the integrals of (1−u)·sin g and u·sin g over the interval
// from lo to hi (degrees), u running from 0 to 1 along it.
func zoneWeights(loDeg, hiDeg float64) (w0, w1 float64) {
	m, s := (loDeg+hiDeg)/2*degree, (hiDeg-loDeg)/2*degree
	q := (math.Sin(s) - s*math.Cos(s)) / s
	if s < 1e-2 {
		q = s * s / 3 * (1 - s*s/10) // the difference has lost its digits there
	}
	sinM, cosM := math.Sincos(m)
	even, odd := sinM*math.Sin(s), cosM*q
	return even - odd, even + odd
}

// totalFlux returns the flux of the whole grid.
func (g *grid) totalFlux() float64 {
	// From the pole: γ as it is, latitudes of types A and B from their pole at 90.
	polar, around, offset := g.v, g.h, 90.0
	value := func(p, a int) float64 { return g.value(p, a) }
	switch g.kind {
	case TypeC:
		offset = 0
	case TypeB:
		polar, around = g.h, g.v
		value = func(p, a int) float64 { return g.value(a, p) }
	}
	weights := make([]float64, len(polar.deg))
	for i := 1; i < len(weights); i++ {
		w0, w1 := zoneWeights(polar.deg[i-1]+offset, polar.deg[i]+offset)
		weights[i-1] += w0
		weights[i] += w1
	}
	planes := make([]float64, len(around.deg))
	for a := range planes {
		for p, w := range weights {
			planes[a] += w * value(p, a)
		}
	}
	return integrate.Trapezoidal(around.deg, planes) * degree
}
