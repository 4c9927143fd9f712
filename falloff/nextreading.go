package falloff

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// Actions of a NextReading.
const (
	ActionTape    = "tape"    // check where the tape starts
	ActionReading = "reading" // read at one distance more
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
	// A tape is laid to a centimeter or so: less is nothing to act on, and neither is
	// what is not known that well.
	if o := a.law.OffsetM; a.caused("origin_behind", "origin_ahead") && a.known.offset.width() < math.Abs(o)/2 {
		a.advise("measure_from", "offset", photometry.Length(o))
	}
	if z := a.Depth; z != nil && a.Settles.Depth && z.FarM != nil {
		a.advise("depth", "within", photometry.Stop(a.o.WithinStops), "mark", photometry.Length(a.MarkM), "deep", photometry.Length(*z.FarM-z.NearM),
			"near", photometry.Length(z.NearM), "far", photometry.Length(*z.FarM))
	}
}

// nextReading says which one reading, or check of the tape, settles most of what
// is open.
func (a *answers) nextReading() {
	switch {
	case a.Settled || a.rises || a.Scatter != nil:
		return
	case a.FarM/a.NearM < leastRange:
		a.ask(2 * a.FarM)
		a.advise("range.read_again", "far", photometry.Length(*a.Next.DistanceM), "near", photometry.Length(roundLength(a.NearM/2)))
	case a.s.distinct < leastDistances:
		a.ask(a.widestGap())
		a.advise("gap.read_again", "gap", photometry.Length(*a.Next.DistanceM), "far", photometry.Length(roundLength(2*a.FarM)))
	default:
		a.bestNext()
	}
}

// ask asks for a reading at a distance.
func (a *answers) ask(m float64) {
	m = roundLength(m)
	a.Next = &NextReading{Action: ActionReading, DistanceM: &m, Expected: ptr(a.law.Level(m))}
}

// bestNext tries each reading, and a check of the tape, as if it came out as the
// best law has it, and asks for the one after which least is open.
func (a *answers) bestNext() {
	excess := func(r *region) (float64, Settles) {
		c := r.conclude(a.MarkM, a.o.WithinStops)
		var sum float64
		for _, x := range c.excess {
			// An open end is worse than any width, yet not the end of all others.
			sum += math.Min(math.Max(0, math.Log(x)), 5)
		}
		return sum, c.settles()
	}
	least, _ := excess(a.region)
	least *= 0.95 // a smaller gain is not worth a reading
	if !a.o.TapeChecked {
		sum, settles := excess(newRegion(a.s, prior{a.law.OffsetM / a.s.scaleM, checkedTapeWidth / a.s.scaleM}))
		if sum < least {
			least = sum
			a.Next = &NextReading{Action: ActionTape, Settles: settles}
		}
	}
	for _, m := range []float64{a.NearM / 2, a.widestGap(), 2 * a.FarM} {
		m = roundLength(m)
		sum, settles := excess(newRegion(a.s.with(m, a.law.Level(m)), a.region.tape))
		if sum < least-1e-9 {
			least = sum
			a.ask(m)
			a.Next.Settles = settles
		}
	}
	switch next := a.Next; {
	case next == nil:
		a.advise("series.read_again", "near", photometry.Length(roundLength(a.NearM/2)), "far", photometry.Length(roundLength(2*a.FarM)))
	case next.Action == ActionTape:
		a.advise("check_tape", "settles", a.gain(next))
	default:
		a.advise("read_at", "at", photometry.Length(*next.DistanceM), "expected", a.o.level(*next.Expected), "settles", a.gain(next))
	}
}

// gain says what of the open conclusions the next reading would settle.
func (a *answers) gain(next *NextReading) Finding {
	var gained []Finding
	now, then := a.Settles, next.Settles
	won := Settles{now.Intensity || !then.Intensity, now.InverseSquare || !then.InverseSquare, now.Depth || !then.Depth, now.Ambient || !then.Ambient}
	if gained = won.open(); len(gained) == 0 {
		return photometry.Found("helps_most")
	}
	return photometry.Found("would_settle", "what", gained)
}

// with is the series with one reading more, as good as its middle one.
func (s *series) with(m, level float64) *series {
	more := *s
	i, _ := slices.BinarySearch(s.d, m/s.scaleM)
	add := func(list []float64, v float64) []float64 { return slices.Insert(slices.Clone(list), i, v) }
	w := s.weight[len(s.weight)/2]
	more.d, more.cos, more.lny = add(s.d, m/s.scaleM), add(s.cos, 1), add(s.lny, math.Log(level/s.scaleE))
	more.weight, more.precision = add(s.weight, w), add(s.precision, w*w)
	more.totalPrecision += w * w
	more.fitted = more.pooled()
	return &more
}

// widestGap is the middle of the widest gap between two distances.
func (a *answers) widestGap() float64 {
	var from, ratio float64
	for i := 1; i < len(a.s.d); i++ {
		if q := a.s.d[i] / a.s.d[i-1]; q > ratio {
			ratio, from = q, a.s.d[i-1]
		}
	}
	return from * math.Sqrt(ratio) * a.s.scaleM
}

// roundLength rounds to two significant digits: a tape is laid no finer.
func roundLength(m float64) float64 {
	p := math.Pow(10, 1-math.Floor(math.Log10(m)))
	return math.Round(m*p) / p
}
