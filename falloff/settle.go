package falloff

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// inverseSquareTolerance is the 1 % of the five-times rule.
const inverseSquareTolerance = 0.01

// What no lamp is quite a disc of: by how much its own figures differ from those
// of the disc that fits it, as shares. Held to rectangles in a simulation.
const (
	shapeOfSource = 0.10 // of the distance from which on the inverse square holds
	shapeOfZone   = 0.01 // of the distances of the ends of a zone
)

// How well each conclusion has to be known to be settled: half widths of its
// interval.
const (
	intensityStops     = 0.25
	inverseSquareShare = 0.3  // of the distance itself
	zoneShare          = 0.05 // of the mark
	ambientShare       = 0.1  // of the lowest reading
)

// Least that must be behind a settled answer.
const (
	leastDistances = 4
	leastRange     = 2.0
)

// The conclusions that settle each for itself.
const (
	intensity = iota
	inverseSquare
	depth
	ambient
	conclusionCount
)

// conclusions are what a region allows, each as an interval.
type conclusions struct {
	intensity, radius, offset, ambient, inverseSquare Interval
	// The ends of the zone about the mark.
	near, far Interval
	// excess is by what factor each conclusion misses what it needs; 1 or less is
	// settled.
	excess [conclusionCount]float64
	// startExcess is that of the start of the inverse square itself, wherever the
	// mark is.
	startExcess float64
}

// conclude draws the conclusions.
func (r *region) conclude(markM, withinStops float64) conclusions {
	s, best, allowed := r.s, r.law(), r.extremes()
	c := conclusions{
		intensity: levels(allowed, func(l Law) float64 { return l.Intensity }),
		radius:    r.radius(),
		offset:    r.interval(func(l Law) float64 { return l.OffsetM }),
		ambient:   levels(allowed, func(l Law) float64 { return l.Ambient }),
		near:      r.interval(zoneEnd(markM, withinStops, 0)).widened(shapeOfZone),
		far:       r.interval(zoneEnd(markM, -withinStops, math.Inf(1))).widened(shapeOfZone),
	}
	from := func(radiusM float64) float64 {
		return Law{SourceRadiusM: radiusM}.InverseSquareFrom(inverseSquareTolerance)
	}
	c.inverseSquare = Interval{from(c.radius.Lo), from(c.radius.Hi)}.widened(shapeOfSource)
	c.startExcess = math.Inf(1)
	if best.SourceRadiusM > 0 {
		c.startExcess = c.inverseSquare.width() / (2 * inverseSquareShare * from(best.SourceRadiusM))
	}
	lowest := math.Inf(1)
	for _, v := range s.lny {
		lowest = math.Min(lowest, math.Exp(v)*s.scaleE)
	}
	c.excess = [conclusionCount]float64{
		intensity:     math.Log2(c.intensity.Hi/c.intensity.Lo) / (2 * intensityStops),
		inverseSquare: math.Min(c.startExcess, c.inverseSquare.Hi/markM),
		depth:         math.Max(c.near.width(), c.far.width()) / (2 * zoneShare * markM),
		ambient:       c.ambient.width() / (2 * ambientShare * lowest),
	}
	return c
}

// settles says which conclusions are settled.
func (c conclusions) settles() Settles {
	is := func(k int) bool { return c.excess[k] <= 1 }
	return Settles{Intensity: is(intensity), InverseSquare: is(inverseSquare), Depth: is(depth), Ambient: is(ambient)}
}

// all says whether all of them are.
func (s Settles) all() bool { return s == Settles{true, true, true, true} }

// settle decides which answers are settled and says each reason against it.
func (a *answers) settle(readings []Reading) {
	d := a.Distance
	before := len(d.Warnings)
	if a.s.distinct < leastDistances {
		a.warn("few_readings", "distances", a.s.distinct, "least", leastDistances)
	}
	if d.FarM/d.NearM < leastRange {
		a.warn("short_range", "near", photometry.Length(d.NearM), "far", photometry.Length(d.FarM), "factor", d.FarM/d.NearM)
	}
	if a.Scatter != nil {
		a.warn("no_model_fits", "times", *a.Scatter, "percent", a.s.repeat.Percent)
		a.suspects(readings)
	}
	open := slices.ContainsFunc(readings, func(r Reading) bool { return r.OpenStops > 0 })
	if len(d.Warnings) > before || a.rises || open {
		return
	}
	d.Settles = a.known.settles()
	if d.Settled = d.Settles.all(); !d.Settled {
		a.warn("unsettled", "what", d.Settles.open(), "percent", photometry.Percentage(a.Repeatability.Percent))
	}
}

// open names what is not settled.
func (s Settles) open() []Finding {
	var open []Finding
	add := func(settled bool, what Finding) {
		if !settled {
			open = append(open, what)
		}
	}
	add(s.Intensity, photometry.Found("what_intensity"))
	add(s.InverseSquare, photometry.Found("what_inverse_square"))
	add(s.Depth, photometry.Found("what_depth"))
	add(s.Ambient, photometry.Found("what_ambient"))
	return open
}
