package falloff

import (
	"math"

	"evenfall/photometry"
)

// recommend says what to read next and what to do on the set.
func (a *answers) recommend() {
	if a.suspect != nil {
		a.advise("suspect.read_again", "suspect", *a.suspect)
		return
	}
	a.nextReading()
	if a.caused("ambient") {
		a.advise("read_ambient", "ambient", a.o.level(a.law.Ambient))
	}
	if !a.Settled {
		return
	}
	// A tape is laid to a centimeter or so: less is nothing to act on.
	if o := a.law.OffsetM; a.caused("origin_behind", "origin_ahead") && math.Abs(o) > 0.02*a.NearM {
		a.advise("measure_from", "offset", photometry.Length(o))
	}
	if z := a.Depth; z != nil && z.FarM != nil {
		a.advise("depth", "within", photometry.Stop(a.o.WithinStops), "mark", photometry.Length(a.MarkM), "deep", photometry.Length(*z.FarM-z.NearM),
			"near", photometry.Length(z.NearM), "far", photometry.Length(*z.FarM))
	}
}

// nextReading says which reading would tell what the series cannot.
func (a *answers) nextReading() {
	if rivals := a.rivals(); len(rivals) > 0 {
		a.distinguish(rivals[0])
		return
	}
	var at float64
	switch {
	case a.FarM/a.NearM < leastRange:
		at = roundLength(2 * a.FarM)
		a.advise("range.read_again", "far", photometry.Length(at), "near", photometry.Length(roundLength(a.NearM/2)))
	case a.s.distinct < leastDistances || len(a.s.d)-a.best.params() < leastSpare:
		var from, ratio float64
		for i := 1; i < len(a.s.d); i++ {
			if q := a.s.d[i] / a.s.d[i-1]; q > ratio {
				ratio, from = q, a.s.d[i-1]
			}
		}
		at = roundLength(from * math.Sqrt(ratio) * a.s.scaleM)
		a.advise("gap.read_again", "gap", photometry.Length(at), "far", photometry.Length(roundLength(2*a.FarM)))
	default:
		return
	}
	a.Next = &NextReading{DistanceM: at, Readings: 1, Expected: map[string]float64{}}
	for _, f := range a.fits {
		a.Next.Expected[f.name] = f.law().Level(at)
	}
}

// distinguish says which reading tells the best model from a rival.
func (a *answers) distinguish(rival *fit) {
	at, gap := a.widestGap(rival)
	at = roundLength(at)
	s := math.Hypot(a.s.repeat.Percent/100/math.Ln2*a.widen, a.o.ResolutionStops/math.Sqrt(12))
	// Two laws are told apart where they differ by 2 · 1.96 s/√k.
	k := math.Max(1, math.Ceil(math.Pow(2*a.s.quantile*s/gap, 2)))
	if !(k <= 20) {
		a.advise("series.read_again", "best", LawName(a.best.name), "rival", LawName(rival.name),
			"near", photometry.Length(roundLength(a.NearM/2)), "far", photometry.Length(roundLength(2*a.FarM)))
		return
	}
	here, there := a.law.Level(at), rival.law().Level(at)
	a.Next = &NextReading{DistanceM: at, Readings: int(k), Expected: map[string]float64{a.best.name: here, rival.name: there}}
	a.advise("rival.read_again", "readings", int(k), "at", photometry.Length(at),
		"best", LawName(a.best.name), "here", a.o.level(here), "rival", LawName(rival.name), "there", a.o.level(there))
}

// roundLength rounds to two significant digits: a tape is laid no finer.
func roundLength(m float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(m))-1)
	return math.Round(m/p) * p
}

// widestGap returns the distance, from half the nearest to twice the farthest
// reading, at which the best model and f differ most, and by how many stops.
func (a *answers) widestGap(f *fit) (at, stops float64) {
	other := f.law()
	lo, hi := a.NearM/2, 2*a.FarM
	const steps = 60
	for i := range steps + 1 {
		m := lo * math.Pow(hi/lo, float64(i)/steps)
		if m <= -other.OffsetM*1.02 || m <= -a.law.OffsetM*1.02 {
			continue
		}
		if g := math.Abs(math.Log2(a.law.Level(m) / other.Level(m))); g > stops {
			at, stops = m, g
		}
	}
	return at, stops
}
