package falloff

import (
	"math"

	"evenfall/photometry"
)

// mark finds the distance that matters and what is lost beyond it.
func (a *answers) mark() {
	d := a.Distance
	from := d.NearM
	if d.MarkM = a.o.MarkM; d.MarkM == 0 {
		d.MarkAssumed = true
		least := math.Inf(1)
		for _, v := range a.s.d { // the middle is at 1 in scaled distance
			if off := math.Abs(math.Log(v)); off < least-1e-9 {
				least, d.MarkM = off, v*a.s.scaleM
			}
		}
	} else {
		from = d.MarkM
		if d.MarkExtrapolated = a.outside(d.MarkM); d.MarkExtrapolated {
			a.warn("mark.extrapolated", "mark", photometry.Length(d.MarkM), "near", photometry.Length(d.NearM), "far", photometry.Length(d.FarM))
		}
	}
	d.MarkLevel, d.MarkExponent = a.law.Level(d.MarkM), a.law.Exponent(d.MarkM)
	to := d.FarM
	if from > 0.95*to {
		from, to = d.NearM, d.MarkM
	}
	d.Lost = Loss{
		FromM:              from,
		ToM:                to,
		Stops:              math.Log2(a.law.Level(from) / a.law.Level(to)),
		InverseSquareStops: photometry.InverseSquareStops(to, from),
	}
}

// zoneEnd is where the level is so many stops over that at mark, the near end of the zone
// within these, or under it, the far one. It is open where the level stays within up to the
// source itself or never falls so far. In front of the source's own place there is no zone,
// and both ends are open.
func zoneEnd(mark, stops, open float64) func(Law) float64 {
	return func(l Law) float64 {
		if d, ok := l.DistanceAt(l.Level(mark) * math.Exp2(stops)); ok && mark > -l.OffsetM {
			return d
		}
		return open
	}
}

// depth finds the zone about the mark.
func (a *answers) depth() {
	d := a.Distance
	if d.MarkM <= -a.law.OffsetM {
		a.warn("mark_behind_source", "ahead", photometry.Length(-a.law.OffsetM), "mark", photometry.Length(d.MarkM))
		return
	}
	z := &Depth{WithinStops: a.o.WithinStops, NearM: zoneEnd(d.MarkM, a.o.WithinStops, 0)(a.law), NearIntervalM: &a.known.near}
	if far := zoneEnd(d.MarkM, -a.o.WithinStops, math.Inf(1))(a.law); !math.IsInf(far, 1) {
		z.FarM, z.FarIntervalM = ptr(far), &a.known.far
		if z.FarExtrapolated = far > 1.1*d.FarM; z.FarExtrapolated {
			a.warn("far.extrapolated", "end", photometry.Length(far), "farthest", photometry.Length(d.FarM))
		}
	} else {
		a.warn("no_far_end", "within", photometry.Stop(a.o.WithinStops))
	}
	if z.NearExtrapolated = z.NearM < 0.9*d.NearM; z.NearExtrapolated {
		a.warn("near.extrapolated", "end", photometry.Length(z.NearM), "nearest", photometry.Length(d.NearM))
	}
	d.Depth = z
}

// wanted finds where the wanted level is.
func (a *answers) wanted() {
	if a.o.WantedLevel == 0 {
		return
	}
	w := &Wanted{Level: a.o.WantedLevel}
	a.Wanted = w
	v, ok := a.law.DistanceAt(w.Level)
	if !ok {
		if w.Level <= a.law.Ambient {
			a.warn("ambient.level_out_of_reach", "level", a.o.level(w.Level), "ambient", a.o.level(a.law.Ambient))
		} else {
			a.warn("level_out_of_reach", "level", a.o.level(w.Level))
		}
		return
	}
	w.DistanceM = ptr(v)
	w.IntervalM = new(a.region.distanceAt(w.Level))
	if w.Extrapolated = a.outside(v); w.Extrapolated {
		a.warn("wanted.extrapolated", "at", photometry.Length(v), "near", photometry.Length(a.NearM), "far", photometry.Length(a.FarM))
	}
}

// outside says whether a distance lies outside what was read by more than a
// tenth.
func (a *answers) outside(m float64) bool { return m < 0.9*a.NearM || m > 1.1*a.FarM }
