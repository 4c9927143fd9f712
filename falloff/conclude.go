package falloff

import (
	"math"

	"evenfall/photometry"

	"gonum.org/v1/gonum/floats"
)

// answers fills a Distance from the laws that its readings allow.
type answers struct {
	*Distance
	s      *series
	o      Options
	region *region
	law    Law // the best
	known  conclusions
	// rises says that some step away from the source is brighter, upward that
	// the series as a whole is.
	rises, upward bool
	// suspect names a reading without which a law fits.
	suspect *Finding
}

// conclude answers what a person wants of a series.
func conclude(readings []Reading, s *series, o Options) *Distance {
	r := newRegion(s, s.tape(o.TapeChecked))
	a := answers{s: s, o: o, region: r, law: r.law(), Distance: &Distance{
		Schema:        DistanceSchema,
		Unit:          o.Unit,
		Readings:      len(readings),
		NearM:         s.nearM,
		FarM:          s.farM,
		Exponent:      s.exponent(),
		Repeatability: s.repeat,
		TapeChecked:   o.TapeChecked,
		region:        r,
	}}
	if r.misfit > 1 {
		a.Scatter = &r.misfit
	}
	// What the law is, and what it means for the set.
	a.mark()
	a.rising()
	a.known = r.conclude(a.MarkM, o.WithinStops)
	if a.upward {
		a.lostAsRead()
	} else {
		a.figures()
		a.depth()
		a.wanted()
	}
	a.points(readings)
	// How sure that is, why it is so, and what to do.
	a.settle(readings)
	a.explain()
	a.trust()
	a.recommend()
	a.answer()
	return a.Distance
}

// figures has the best law's parameters and how far the readings let them go.
func (a *answers) figures() {
	d := a.Distance
	d.Best = &Parameters{SourceRadiusM: a.law.SourceRadiusM, OffsetM: a.law.OffsetM, Ambient: a.law.Ambient}
	d.Best.setIntensity(a.o.Unit, a.law.Intensity)
	d.Parameters = d.Best
	d.Intervals = &Intervals{Figures[Interval]{SourceRadiusM: a.known.radius, OffsetM: a.known.offset, Ambient: a.known.ambient}, a.known.inverseSquare}
	d.Intervals.setIntensity(a.o.Unit, a.known.intensity)
	d.IntensityIntervalCD = d.Intervals.IntensityCD
	d.InverseSquareFromM = a.law.InverseSquareFrom(inverseSquareTolerance)
	if v, ok := a.law.AmbientFrom(inverseSquareTolerance); ok && a.known.ambient.Lo > 0 {
		d.AmbientFromM = ptr(v)
	}
}

// lostAsRead has what is lost by the readings themselves, for levels that rise.
func (a *answers) lostAsRead() {
	mean := func(place int) float64 {
		var sum, n float64
		for i, at := range a.s.place {
			if at == place {
				sum, n = sum+a.s.facing[i], n+1
			}
		}
		return sum / n
	}
	a.Lost = Loss{FromM: a.NearM, ToM: a.FarM, Stops: (mean(0) - mean(a.s.distinct-1)) / math.Ln2, InverseSquareStops: photometry.InverseSquareStops(a.FarM, a.NearM)}
}

// points lays each reading beside the best law.
func (a *answers) points(readings []Reading) {
	mark := a.MarkM
	var residuals []float64
	for k, i := range a.s.order {
		r := readings[i]
		fitted := a.law.LevelTilted(r.DistanceM, r.IncidenceDeg)
		square := photometry.InverseSquare(a.MarkLevel, mark, r.DistanceM) * a.s.cos[k]
		residuals = append(residuals, math.Log2(r.Level/fitted))
		a.Points = append(a.Points, DistancePoint{
			Reading:            i + 1,
			Name:               r.Name,
			DistanceM:          r.DistanceM,
			IncidenceDeg:       r.IncidenceDeg,
			Level:              r.Level,
			Fitted:             fitted,
			ResidualStops:      residuals[k],
			SpreadStops:        1 / a.s.weight[k] / math.Ln2,
			InverseSquareStops: math.Log2(r.Level / square),
			LocalExponent:      a.law.Exponent(r.DistanceM),
		})
	}
	a.RMSStops = floats.Norm(residuals, 2) / math.Sqrt(float64(len(residuals)))
}
