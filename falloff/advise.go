package falloff

import "math"

// explain says why the light falls as it does.
func (a *answers) explain() {
	d, l := a.d, a.law
	defer a.trust()
	if a.upward {
		return // no law fits, so none explains
	}
	has := func(name string) bool { _, ok := d.Models[0].Parameters[name]; return ok }
	clear := func(name string) bool {
		for k, n := range a.best.names() {
			if n == name {
				return !a.best.addsNothing(k)
			}
		}
		return false
	}
	if a.best.shape == point {
		to := ""
		if hi := d.InverseSquareFromIntervalM.Hi; !math.IsInf(hi, 1) && hi > 0 {
			to = " A source too small to show could still bend it nearer than " + a.length(hi) + "."
		}
		a.cause("inverse_square", "The source's own light follows the inverse square at every distance read.%s", to)
	}
	if has(ParamRadius) && clear(ParamRadius) {
		a.cause("source_size", "The source looks %s across: nearer than %s its light falls more gently than the inverse square.",
			a.length(2*l.SourceRadiusM), a.length(d.InverseSquareFromM))
	}
	if has(ParamOffset) && clear(ParamOffset) {
		if l.OffsetM > 0 {
			a.cause("origin_behind", "The light falls as if it started %s behind the point that distances are measured from, as behind a lens or a reflector.", a.length(l.OffsetM))
		} else {
			a.cause("origin_ahead", "The light falls as if it started %s ahead of the point that distances are measured from: a lens that crosses its rays there, or a tape laid from farther back.", a.length(-l.OffsetM))
		}
	}
	if has(ParamAmbient) && clear(ParamAmbient) {
		share := func(m float64) float64 { return 100 * l.Ambient / l.Level(m) }
		a.cause("ambient", "About %s of every reading does not fall with distance: ambient or bounce, %s %% of the level at %s and %s %% at %s.",
			a.level(l.Ambient), digits(share(d.NearM)), a.length(d.NearM), digits(share(d.FarM)), a.length(d.FarM))
		if share(d.MarkM) > 50 {
			a.warn("ambient_dominates", "At %s ambient light is more than the source's own: the reading there says little about the source.", a.length(d.MarkM))
		}
	}
	for k, name := range a.best.names() {
		if k == 0 || clear(name) {
			continue
		}
		iv := a.best.reader(k)
		switch name {
		case ParamRadius:
			a.cause("source_size_unclear", "A source %s across fits a little better than a point, but anything from none to %s would do.", a.length(2*l.SourceRadiusM), a.length(2*iv.Hi))
		case ParamOffset:
			a.cause("origin_unclear", "An origin %s off fits a little better than none, but anything from %s to %s would do.", a.length(l.OffsetM), a.length(iv.Lo), a.length(iv.Hi))
		case ParamAmbient:
			a.cause("ambient_unclear", "Ambient light of %s fits a little better than none, but anything from none to %s would do.", a.level(l.Ambient), a.level(iv.Hi))
		}
	}
}

// trust says what the figures rest on.
func (a *answers) trust() {
	d := a.d
	if d.Repeatability.From == "assumed" {
		a.warn("repeatability_assumed", "A repeatability of %s %% is assumed. Repeat a few readings, or note your meter's own.", digits(d.Repeatability.Percent))
	}
	if a.o.Receptor == ReceptorDome {
		a.warn("dome", "A dome takes in light from the sides and behind: it counts more ambient light than a flat receptor would.")
	}
}

// advise says what to read next and what to do on the set.
func (a *answers) advise() {
	d, l := a.d, a.law
	if a.suspect != "" {
		a.counsel("read_again", "Read %s again first: all of this may change with it.", a.suspect)
		return
	}
	a.nextReading()
	has := func(code string) bool {
		for _, c := range d.Causes {
			if c.Code == code {
				return true
			}
		}
		return false
	}
	if has("ambient") {
		a.counsel("read_ambient", "To be sure of the ambient light, read once with the light off: about %s is expected. What stays above that with the light on is bounce, and a flag or a black drape takes it away.",
			a.level(l.Ambient))
	}
	// A tape is laid to a centimeter or so: less is nothing to act on.
	if d.Settled && (has("origin_behind") || has("origin_ahead")) && math.Abs(l.OffsetM) > 0.02*d.NearM {
		side := "behind"
		if l.OffsetM < 0 {
			side = "ahead of"
		}
		a.counsel("measure_from", "Measured from %s %s the present zero, distances obey the inverse square.", a.length(math.Abs(l.OffsetM)), side)
	}
	if d.Depth != nil && d.Depth.FarM != nil && d.Settled {
		a.counsel("depth", "Within ±%s stop of the level at %s there are %s of depth, from %s to %s. Twice the distance gives about twice the depth.",
			a.within(), a.length(d.MarkM), a.length(*d.Depth.FarM-d.Depth.NearM), a.length(d.Depth.NearM), a.length(*d.Depth.FarM))
	}
}

// nextReading says which reading would tell what the series cannot.
func (a *answers) nextReading() {
	d := a.d
	if rivals := a.rivals(); len(rivals) > 0 {
		rival := rivals[0]
		at, gap := a.widestGap(rival)
		at = roundLength(at)
		s := a.s.repeat.Percent / 100 / math.Ln2 * a.widen
		s = math.Hypot(s, a.o.ResolutionStops/math.Sqrt(12))
		// Two laws are told apart where they differ by 2 · 1.96 s/√k.
		k := math.Max(1, math.Ceil(math.Pow(2*a.s.quantile*s/gap, 2)))
		if !(k <= 20) {
			a.counsel("read_again", "No single reading tells %s from %s: read the whole series again from %s to %s, several times at each place.",
				a.best.words, rival.words, a.length(roundLength(d.NearM/2)), a.length(roundLength(2*d.FarM)))
			return
		}
		d.Next = &NextReading{DistanceM: at, Readings: int(k), Expected: map[string]float64{
			a.best.name: a.law.Level(at), rival.name: rival.law().Level(at),
		}}
		times := "A reading"
		if k > 1 {
			times = digits(k) + " readings"
		}
		a.counsel("read_again", "%s at %s would tell %s (%s expected) from %s (%s).",
			times, a.length(at), a.best.words, a.level(a.law.Level(at)), rival.words, a.level(rival.law().Level(at)))
		return
	}
	var at float64
	switch {
	case d.FarM/d.NearM < leastRange:
		at = roundLength(2 * d.FarM)
		a.counsel("read_again", "Read at %s as well, and at %s: twice as far and half as near.", a.length(at), a.length(roundLength(d.NearM/2)))
	case a.s.distinct < leastDistances || len(a.s.d)-a.best.params() < leastSpare:
		var from, ratio float64
		for i := 1; i < len(a.s.d); i++ {
			if q := a.s.d[i] / a.s.d[i-1]; q > ratio {
				ratio, from = q, a.s.d[i-1]
			}
		}
		at = roundLength(from * math.Sqrt(ratio) * a.s.scaleM)
		a.counsel("read_again", "Read at %s as well, in the widest gap, and at %s.", a.length(at), a.length(roundLength(2*d.FarM)))
	default:
		return
	}
	d.Next = &NextReading{DistanceM: at, Readings: 1, Expected: map[string]float64{}}
	for _, f := range a.fits {
		d.Next.Expected[f.name] = f.law().Level(at)
	}
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
	lo, hi := a.d.NearM/2, 2*a.d.FarM
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
