package falloff

import (
	"math"

	"evenfall/photometry"
)

// answers fills a Distance from its fits.
type answers struct {
	*Distance
	s     *series
	o     Options
	fits  []*fit
	best  *fit
	law   Law
	widen float64
	// rises says that some step away from the source is brighter, upward that
	// the series as a whole is.
	rises, upward bool
	// suspect names a reading without which a law fits.
	suspect *Finding
}

// conclude answers what a person wants of a series from the models fitted to
// it, best first, whose intervals widen has stretched.
func conclude(readings []Reading, s *series, fits []*fit, widen float64, o Options) *Distance {
	best := fits[0]
	a := answers{s: s, o: o, fits: fits, best: best, law: best.law(), widen: widen, Distance: &Distance{
		Schema:        DistanceSchema,
		Unit:          o.Unit,
		Readings:      len(readings),
		NearM:         s.nearM,
		FarM:          s.farM,
		BestModel:     best.name,
		Exponent:      s.exponent(),
		Repeatability: s.repeat,
		best:          best,
	}}
	if widen > 1 {
		a.Scatter = &widen
	}
	for _, f := range fits {
		a.Models = append(a.Models, f.result())
	}
	// What the law is.
	a.parameters()
	a.hidden()
	a.mark()
	a.rising()
	a.inverseSquare()
	if a.upward {
		a.withdraw()
	}
	// What it means for the set.
	a.depth()
	a.wanted()
	a.points(readings)
	// How sure that is, why it is so, and what to do.
	a.settle(readings)
	a.explain()
	a.trust()
	a.recommend()
	a.answer()
	return a.Distance
}

// parameters copies the best model's parameters to where they are looked for.
func (a *answers) parameters() {
	for k, name := range a.best.names() {
		v := ptr(a.best.value(a.s, k, a.best.x[k]))
		iv := a.best.reader(k)
		switch name {
		case ParamIntensity:
			switch a.o.Unit {
			case UnitLux:
				a.IntensityCD = v
			case UnitLuxSecond:
				a.IntensityCDS = v
			}
			a.IntensityInterval = &iv
			if a.o.Unit == UnitRelative {
				a.IntensityInterval = nil
			}
		case ParamOffset:
			a.OffsetM, a.OffsetIntervalM = v, &iv
		case ParamRadius:
			a.SourceRadiusM, a.SourceRadiusIntervalM = v, &iv
		case ParamAmbient:
			a.Ambient, a.AmbientInterval = v, &iv
		}
	}
}

// hidden says what the best model leaves out and the readings would not show.
func (a *answers) hidden() {
	b := a.best
	for _, f := range a.fits {
		k := len(f.x) - 1
		switch {
		case b.shape == point && f.shape == disc && f.ambient == b.ambient:
			a.SourceRadiusIntervalM = new(f.reader(1))
		case !b.ambient && f.ambient && f.shape == b.shape:
			a.AmbientInterval = new(f.reader(k))
		}
	}
	if a.Ambient != nil {
		share := func(m float64) *float64 { return ptr(100 * a.law.Ambient / a.law.Level(m)) }
		a.AmbientNearPercent, a.AmbientFarPercent = share(a.s.nearM), share(a.s.farM)
	}
}

// withdraw takes back what means nothing where the levels rise with distance;
// what is lost is then told by the readings themselves.
func (a *answers) withdraw() {
	d := a.Distance
	d.IntensityCD, d.IntensityCDS, d.IntensityInterval = nil, nil, nil
	d.SourceRadiusM, d.SourceRadiusIntervalM, d.OffsetM, d.OffsetIntervalM = nil, nil, nil, nil
	d.Ambient, d.AmbientInterval, d.AmbientNearPercent, d.AmbientFarPercent, d.AmbientFromM = nil, nil, nil, nil, nil
	mean := func(place int) float64 {
		var sum, n float64
		for i, at := range a.s.place {
			if at == place {
				sum, n = sum+a.s.facing[i], n+1
			}
		}
		return sum / n
	}
	d.Lost = Loss{FromM: d.NearM, ToM: d.FarM, Stops: (mean(0) - mean(a.s.distinct-1)) / math.Ln2, InverseSquareStops: photometry.InverseSquareStops(d.FarM, d.NearM)}
}

// points lays each reading beside the best model.
func (a *answers) points(readings []Reading) {
	mark := a.MarkM
	for k, i := range a.s.order {
		r := readings[i]
		fitted := a.law.LevelTilted(r.DistanceM, r.IncidenceDeg)
		square := photometry.InverseSquare(a.MarkLevel, mark, r.DistanceM) * a.s.cos[k]
		a.Points = append(a.Points, DistancePoint{
			Reading:            i + 1,
			Name:               r.Name,
			DistanceM:          r.DistanceM,
			IncidenceDeg:       r.IncidenceDeg,
			Level:              r.Level,
			Fitted:             fitted,
			ResidualStops:      math.Log2(r.Level / fitted),
			SpreadStops:        1 / a.s.weight[k] / math.Ln2,
			InverseSquareStops: math.Log2(r.Level / square),
			LocalExponent:      a.law.Exponent(r.DistanceM),
		})
	}
}
