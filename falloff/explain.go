package falloff

import "math"

// explain says why the light falls as it does.
func (a *answers) explain() {
	if a.upward {
		return // no law fits, so none explains
	}
	if a.best.shape == point {
		if hi := a.InverseSquareFromIntervalM.Hi; !math.IsInf(hi, 1) && hi > 0 {
			a.cause("inverse_square/size", a.o.length(hi))
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
		a.cause("source_size", a.o.length(2*l.SourceRadiusM), a.o.length(a.InverseSquareFromM))
	case ParamOffset:
		a.cause(choose(l.OffsetM > 0, "origin_behind", "origin_ahead"), a.o.length(math.Abs(l.OffsetM)))
	case ParamAmbient:
		share := func(m float64) float64 { return 100 * l.Ambient / l.Level(m) }
		a.cause("ambient", a.o.level(l.Ambient), digits(share(a.NearM)), a.o.length(a.NearM), digits(share(a.FarM)), a.o.length(a.FarM))
		if share(a.MarkM) > 50 {
			a.warn("ambient_dominates", a.o.length(a.MarkM))
		}
	}
}

// explainUnclear says what a parameter could be that may as well be absent.
func (a *answers) explainUnclear(parameter string, iv Interval) {
	l := a.law
	switch parameter {
	case ParamRadius:
		a.cause("source_size_unclear", a.o.length(2*l.SourceRadiusM), a.o.length(2*iv.Hi))
	case ParamOffset:
		a.cause("origin_unclear", a.o.length(l.OffsetM), a.o.length(iv.Lo), a.o.length(iv.Hi))
	case ParamAmbient:
		a.cause("ambient_unclear", a.o.level(l.Ambient), a.o.level(iv.Hi))
	}
}

// trust says what the figures rest on.
func (a *answers) trust() {
	d := a.Distance
	if d.Repeatability.From == "assumed" {
		a.warn("repeatability_assumed", digits(d.Repeatability.Percent))
	}
	if a.o.Receptor == ReceptorDome {
		a.warn("dome")
	}
}
