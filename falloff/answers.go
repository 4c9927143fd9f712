package falloff

import (
	"fmt"
	"math"

	"evenfall/photometry"
)

// answers fills a Distance from its fits.
type answers struct {
	d     *Distance
	s     *series
	o     Options
	fits  []*fit
	best  *fit
	law   Law
	widen float64
	// rises says that some step away from the source is brighter, upward that
	// the series as a whole is.
	rises, upward bool
	// suspect is what a reading without which a law fits is called.
	suspect string
}

// inverseSquareTolerance is the 1 % of the five-times rule.
const inverseSquareTolerance = 0.01

func (a *answers) warn(code, format string, args ...any) {
	a.d.Warnings = append(a.d.Warnings, Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

func (a *answers) cause(code, format string, args ...any) {
	a.d.Causes = append(a.d.Causes, Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

func (a *answers) counsel(code, format string, args ...any) {
	a.d.Advice = append(a.d.Advice, Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

// length writes a length with its unit.
func (a *answers) length(m float64) string { return a.o.Words.length(m) }

// level writes a level with its unit.
func (a *answers) level(v float64) string {
	if a.o.Words.Level != nil {
		return a.o.Words.Level(v)
	}
	switch a.o.Unit {
	case UnitLux:
		return digits(v) + " lx"
	case UnitLuxSecond:
		return digits(v) + " lx·s"
	}
	return digits(v)
}

// intensity writes an intensity with its unit.
func (a *answers) intensity(v float64) string {
	switch a.o.Unit {
	case UnitLux:
		return digits(v) + " cd"
	case UnitLuxSecond:
		return digits(v) + " cd·s"
	}
	return digits(v)
}

// within writes the half width of the zone, the usual third as a fraction.
func (a *answers) within() string {
	if math.Abs(a.o.WithinStops-1.0/3) < 1e-3 {
		return "1/3"
	}
	return digits(a.o.WithinStops)
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
				a.d.IntensityCD = v
			case UnitLuxSecond:
				a.d.IntensityCDS = v
			}
			a.d.IntensityInterval = &iv
			if a.o.Unit == UnitRelative {
				a.d.IntensityInterval = nil
			}
		case ParamOffset:
			a.d.OffsetM, a.d.OffsetIntervalM = v, &iv
		case ParamRadius:
			a.d.SourceRadiusM, a.d.SourceRadiusIntervalM = v, &iv
		case ParamAmbient:
			a.d.Ambient, a.d.AmbientInterval = v, &iv
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
			iv := f.reader(1)
			a.d.SourceRadiusIntervalM = &iv
		case !b.ambient && f.ambient && f.shape == b.shape:
			iv := f.reader(k)
			a.d.AmbientInterval = &iv
		}
	}
	if a.d.Ambient != nil {
		share := func(m float64) *float64 { return ptr(100 * a.law.Ambient / a.law.Level(m)) }
		a.d.AmbientNearPercent, a.d.AmbientFarPercent = share(a.s.nearM), share(a.s.farM)
	}
}

// withdraw takes back what means nothing where the levels rise with distance;
// what is lost is then told by the readings themselves.
func (a *answers) withdraw() {
	d := a.d
	d.IntensityCD, d.IntensityCDS, d.IntensityInterval = nil, nil, nil
	d.SourceRadiusM, d.SourceRadiusIntervalM, d.OffsetM, d.OffsetIntervalM = nil, nil, nil, nil
	d.Ambient, d.AmbientInterval, d.AmbientNearPercent, d.AmbientFarPercent, d.AmbientFromM = nil, nil, nil, nil, nil
	mean := func(place int) float64 {
		var sum, n float64
		for i, at := range a.s.place {
			if at == place {
				sum, n = sum+a.s.lny[i]-math.Log(a.s.cos[i]), n+1
			}
		}
		return sum / n
	}
	d.Lost = Loss{FromM: d.NearM, ToM: d.FarM, Stops: (mean(0) - mean(a.s.distinct-1)) / math.Ln2, InverseSquareStops: photometry.InverseSquareStops(d.FarM, d.NearM)}
}

// mark settles the distance that matters and what is lost beyond it.
func (a *answers) mark() {
	d := a.d
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
			a.warn("extrapolated", "The mark at %s is outside what was read, %s to %s: what is said about it is extrapolated.",
				a.length(d.MarkM), a.length(d.NearM), a.length(d.FarM))
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

// inverseSquare says from where on the inverse square holds, with the interval
// that the shape's own interval gives. A point's upper end is that of the disc
// that could still hide in the readings.
func (a *answers) inverseSquare() {
	a.d.InverseSquareFromM = a.law.InverseSquareFrom(inverseSquareTolerance)
	iv := a.best.inverseSquareInterval()
	if a.best.shape == point {
		for _, f := range a.fits {
			if f.shape == disc && f.ambient == a.best.ambient {
				iv = iv.hull(f.inverseSquareInterval().Hi)
			}
		}
	}
	a.d.InverseSquareFromIntervalM = &iv
	if v, ok := a.law.AmbientFrom(inverseSquareTolerance); ok {
		a.d.AmbientFromM = ptr(v)
	}
}

func (f *fit) inverseSquareInterval() Interval {
	if f.shape == point {
		return Interval{}
	}
	at := func(v float64) float64 {
		v = f.value(f.s, 1, v)
		switch {
		case math.IsInf(v, 0):
			return math.Inf(1)
		case f.shape == offset:
			return Law{OffsetM: v}.InverseSquareFrom(inverseSquareTolerance)
		default:
			return Law{SourceRadiusM: v}.InverseSquareFrom(inverseSquareTolerance)
		}
	}
	lo, hi := at(f.intervals[1].Lo), at(f.intervals[1].Hi)
	iv := Interval{Lo: math.Min(lo, hi), Hi: math.Max(lo, hi)}
	iv = iv.hull(f.law().InverseSquareFrom(inverseSquareTolerance))
	if f.addsNothing(1) {
		iv.Lo = 0
	}
	return iv
}

// addsNothing says whether the interval of parameter k contains the value at
// which it does nothing.
func (f *fit) addsNothing(k int) bool {
	zero, ok := f.zero(f.s, k)
	if !ok {
		return false
	}
	iv := f.intervals[k]
	slack := 1e-9 * math.Max(1, math.Abs(zero))
	return iv.Lo <= zero+slack && iv.Hi >= zero-slack
}

// nearEnd and farEnd give the two ends of the zone within w stops of the level
// at mark.
func nearEnd(mark, w float64) func(Law) (float64, bool) {
	return func(l Law) (float64, bool) {
		if mark <= -l.OffsetM {
			return 0, false
		}
		d, ok := l.DistanceAt(l.Level(mark) * math.Exp2(w))
		if !ok {
			return 0, true // within up to the source itself
		}
		return d, true
	}
}

func farEnd(mark, w float64) func(Law) (float64, bool) {
	return func(l Law) (float64, bool) {
		if mark <= -l.OffsetM {
			return 0, false
		}
		return l.DistanceAt(l.Level(mark) * math.Exp2(-w))
	}
}

// depth finds the zone about the mark.
func (a *answers) depth() {
	d := a.d
	if a.upward {
		return
	}
	near, ok := nearEnd(d.MarkM, a.o.WithinStops)(a.law)
	if !ok {
		a.warn("mark_behind_source", "The light seems to start %s ahead of where distances are measured from, beyond the mark at %s: there is no zone to give.",
			a.length(-a.law.OffsetM), a.length(d.MarkM))
		return
	}
	z := &Depth{WithinStops: a.o.WithinStops, NearM: near}
	iv := a.best.interval2(nearEnd(d.MarkM, a.o.WithinStops), a.widen, 0)
	z.NearIntervalM = &iv
	if far, ok := farEnd(d.MarkM, a.o.WithinStops)(a.law); ok {
		z.FarM = ptr(far)
		iv := a.best.interval2(farEnd(d.MarkM, a.o.WithinStops), a.widen, math.Inf(1))
		z.FarIntervalM = &iv
		if z.FarExtrapolated = far > 1.1*d.FarM; z.FarExtrapolated {
			a.warn("extrapolated", "The far end of the zone, %s, is beyond the farthest reading (%s).", a.length(far), a.length(d.FarM))
		}
	} else {
		a.warn("no_far_end", "Ambient light holds the level up: behind the mark it never falls by %s stop.", a.within())
	}
	if z.NearExtrapolated = near < 0.9*d.NearM; z.NearExtrapolated {
		a.warn("extrapolated", "The near end of the zone, %s, is nearer than the nearest reading (%s).", a.length(near), a.length(d.NearM))
	}
	d.Depth = z
}

// outside says whether a distance lies outside what was read by more than a
// tenth.
func (a *answers) outside(m float64) bool { return m < 0.9*a.d.NearM || m > 1.1*a.d.FarM }

// interval2 is derived with an end left open where the quantity has no value
// somewhere in the region.
func (f *fit) interval2(g func(Law) (float64, bool), widen, open float64) Interval {
	iv, ok := f.derived(g, widen)
	if !ok {
		iv = iv.hull(open)
	}
	return iv
}

// wanted finds where the wanted level stands.
func (a *answers) wanted() {
	if a.o.WantedLevel == 0 || a.upward {
		return
	}
	w := &Wanted{Level: a.o.WantedLevel}
	a.d.Wanted = w
	at := func(l Law) (float64, bool) { return l.DistanceAt(a.o.WantedLevel) }
	v, ok := at(a.law)
	if !ok {
		if a.o.WantedLevel <= a.law.Ambient {
			a.warn("level_out_of_reach", "The wanted level %s is below the ambient light of %s: no distance gives it.",
				a.level(w.Level), a.level(a.law.Ambient))
			return
		}
		a.warn("level_out_of_reach", "The wanted level %s is more than this light gives at any distance.", a.level(w.Level))
		return
	}
	w.DistanceM = ptr(v)
	iv := a.best.interval2(at, a.widen, math.Inf(1))
	w.IntervalM = &iv
	if w.Extrapolated = a.outside(v); w.Extrapolated {
		a.warn("extrapolated", "The wanted level stands at %s, outside what was read (%s to %s).",
			a.length(v), a.length(a.d.NearM), a.length(a.d.FarM))
	}
}

// points lays each reading beside the best model.
func (a *answers) points(readings []Reading) {
	mark := a.d.MarkM
	for k, i := range a.s.order {
		r := readings[i]
		fitted := a.law.LevelTilted(r.DistanceM, r.IncidenceDeg)
		square := photometry.InverseSquare(a.d.MarkLevel, mark, r.DistanceM) * a.s.cos[k]
		a.d.Points = append(a.d.Points, DistancePoint{
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
