package falloff

import (
	"math"

	"evenfall/photometry"
)

// explain says why the light falls as it does: by each parameter that no law
// which the readings allow is without.
func (a *answers) explain() {
	if a.upward {
		return // no law fits, so none explains
	}
	l, iv := a.law, a.Intervals
	switch hi := iv.InverseSquareFromM.Hi; {
	case iv.SourceRadiusM.Lo > 0:
		a.cause("source_size", "across", photometry.Length(2*l.SourceRadiusM), "nearer", photometry.Length(a.InverseSquareFromM))
	case math.IsInf(hi, 1):
		a.cause("inverse_square")
	default:
		a.cause("size.inverse_square", "nearer", photometry.Length(hi))
	}
	switch {
	case iv.OffsetM.Lo > 0:
		a.cause("origin_behind", "offset", photometry.Length(l.OffsetM))
	case iv.OffsetM.Hi < 0:
		a.cause("origin_ahead", "offset", photometry.Length(-l.OffsetM))
	}
	if iv.Ambient.Lo > 0 {
		share := func(m float64) float64 { return 100 * l.Ambient / l.Level(m) }
		a.cause("ambient", "ambient", a.o.level(l.Ambient), "share_near", share(a.NearM), "near", photometry.Length(a.NearM),
			"share_far", share(a.FarM), "far", photometry.Length(a.FarM))
		if share(a.MarkM) > 50 {
			a.warn("ambient_dominates", "mark", photometry.Length(a.MarkM))
		}
	}
}

// trust says what the figures rest on.
func (a *answers) trust() {
	if a.Repeatability.From == "assumed" {
		a.warn("repeatability_assumed", "percent", a.Repeatability.Percent)
	}
	if a.o.Receptor == ReceptorDome {
		a.warn("dome")
	}
}
