package falloff

import (
	"math"

	"evenfall/photometry"
)

// explain says why the light falls as it does.
func (a *answers) explain() {
	if a.upward {
		return // no law fits, so none explains
	}
	if a.best.shape == point {
		if hi := a.InverseSquareFromIntervalM.Hi; !math.IsInf(hi, 1) && hi > 0 {
			a.cause("size.inverse_square", "nearer", photometry.Length(hi))
		} else {
			a.cause("inverse_square")
		}
	}
	for k, name := range a.best.names() {
		if !a.best.addsNothing(k) {
			a.explainBy(name)
		}
	}
	for k, name := range a.best.names() {
		if a.best.addsNothing(k) {
			a.explainUnclear(name, a.best.reader(k))
		}
	}
}

// explainBy says what a parameter does that is clearly there.
func (a *answers) explainBy(parameter string) {
	l := a.law
	switch parameter {
	case ParamRadius:
		a.cause("source_size", "across", photometry.Length(2*l.SourceRadiusM), "nearer", photometry.Length(a.InverseSquareFromM))
	case ParamOffset:
		if l.OffsetM > 0 {
			a.cause("origin_behind", "offset", photometry.Length(l.OffsetM))
		} else {
			a.cause("origin_ahead", "offset", photometry.Length(-l.OffsetM))
		}
	case ParamAmbient:
		share := func(m float64) float64 { return 100 * l.Ambient / l.Level(m) }
		a.cause("ambient", "ambient", a.o.level(l.Ambient), "share_near", share(a.NearM), "near", photometry.Length(a.NearM),
			"share_far", share(a.FarM), "far", photometry.Length(a.FarM))
		if share(a.MarkM) > 50 {
			a.warn("ambient_dominates", "mark", photometry.Length(a.MarkM))
		}
	}
}

// explainUnclear says what a parameter could be that may as well be absent.
func (a *answers) explainUnclear(parameter string, iv Interval) {
	l := a.law
	switch parameter {
	case ParamRadius:
		a.cause("source_size_unclear", "across", photometry.Length(2*l.SourceRadiusM), "most", photometry.Length(2*iv.Hi))
	case ParamOffset:
		a.cause("origin_unclear", "offset", photometry.Length(l.OffsetM), "least", photometry.Length(iv.Lo), "most", photometry.Length(iv.Hi))
	case ParamAmbient:
		a.cause("ambient_unclear", "ambient", a.o.level(l.Ambient), "most", a.o.level(iv.Hi))
	}
}

// trust says what the figures rest on.
func (a *answers) trust() {
	d := a.Distance
	if d.Repeatability.From == "assumed" {
		a.warn("repeatability_assumed", "percent", d.Repeatability.Percent)
	}
	if a.o.Receptor == ReceptorDome {
		a.warn("dome")
	}
}
