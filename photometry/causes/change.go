package causes

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry/spatial"
)

// Codes of changes.
const (
	LowerSide   = "lower_side"   // take Stops off the lamp of Side
	BlockLight  = "block_light"  // keep light from Side out
	CoverFloor  = "cover_floor"  // black cloth on what reflects
	CenterLamp  = "center_lamp"  // in front of the middle, Factor times as far from it
	MidHeight   = "level_height" // lamps to the middle's height
	MoveBack    = "move_back"    // lamps Factor times as far from the surface
	AimOut      = "spread_beams" // lamps at Aim of the way from the middle to their far edge, negative to their near one
	ShadeSpot   = "shade_spot"   // net or flag what makes the patch at Place
	ClearShadow = "clear_shadow" // take away what shades Place or Side
	LetSettle   = "let_settle"   // read again once the light is steady
	ReadAgain   = "read_there"   // Place
)

// Change is what to do against a cause, with the spread that the surface will then
// have, to the edge of the part in shot.
type Change struct {
	Code   string
	Side   string
	Place  int     // the reading nearest to it, -1 for none
	Stops  float64 // taken off a lamp
	Factor float64 // of a distance
	Aim    float64 // share of half the width
	Before float64 // the spread in stops at the same places as it is, by the model
	Spread float64 // predicted, in stops
	// Interval holds the spread with 95 % confidence where the cause is the true one.
	Interval [2]float64
}

// How a prediction is made.
const (
	predictionDraws = 200  // of the posterior
	modelError      = 0.03 // stops, each way: lamps are not quite as modeled
	edgeParts       = 8    // points a side of the frame
	leastHelp       = 0.05 // stops: a change that brings less is none
	finestTrim      = 0.1  // stops
	mostTrim        = 4.0
)

// view is where a change is judged: the places in shot and the edge around them.
type view struct {
	s    *shape
	u, v []float64
}

func (s *shape) view(frame, extent spatial.Box) view {
	if !(frame.Width() > 0 && frame.Height() > 0) {
		frame = extent
	}
	out := view{s: s}
	add := func(u, v float64) { out.u, out.v = append(out.u, u), append(out.v, v) }
	u0, v0 := s.local(frame.X0, frame.Y0)
	u1, v1 := s.local(frame.X1, frame.Y1)
	for i := range s.u {
		if s.u[i] >= u0-1e-9 && s.u[i] <= u1+1e-9 && s.v[i] >= v0-1e-9 && s.v[i] <= v1+1e-9 {
			add(s.u[i], s.v[i])
		}
	}
	if frame.Width() > 0 && frame.Height() > 0 {
		for x, y := range frame.Around(edgeParts) {
			add(s.local(x, y))
		}
	}
	return out
}

// spread is the range of a light in stops.
func (w view) spread(l *light) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range w.u {
		at := l.log2At(w.u[i], w.v[i])
		low, high = min(low, at), max(high, at)
	}
	return high - low
}

// mend is a change to the light that a model gives.
type mend func(*light)

// option is a change with what it does to a model's light; the gentlest first.
type option struct {
	Change
	mend mend
}

// options are the changes to choose from against a cause.
func (s *shape) options(c Cause) (out []option) {
	plain := func(code string) []option {
		return []option{{Change{Code: code, Side: c.Side, Place: c.Place}, func(l *light) {
			l.remove(c.part.faults)
			if c.part.withSide {
				l.equalize()
			}
		}}}
	}
	each := func(code string, values []float64, set func(*Change, float64), do func(*lamp, float64)) []option {
		for _, v := range values {
			o := option{Change{Code: code, Side: c.Side, Place: -1}, func(l *light) {
				for k := range l.lamps {
					if c.Code != SideBright || (k == 1) == (c.Side == "right") {
						do(&l.lamps[k], v)
					}
				}
			}}
			set(&o.Change, v)
			out = append(out, o)
		}
		return out
	}
	factor := func(c *Change, v float64) { c.Factor = v }
	switch c.Code {
	case SideBright:
		var trims []float64
		for k := 1; float64(k)*finestTrim <= mostTrim; k++ {
			trims = append(trims, float64(k)*finestTrim)
		}
		return each(LowerSide, trims, func(c *Change, v float64) { c.Stops = v }, func(l *lamp, v float64) { l.place[intensity] -= v * math.Ln2 })
	case OneLamp:
		return each(CenterLamp, []float64{1, 1.25, 1.5, 2, 2.5}, factor, func(l *lamp, v float64) {
			l.place[lampZ] = v * math.Sqrt(l.place[lampX]*l.place[lampX]+l.place[lampY]*l.place[lampY]+l.place[lampZ]*l.place[lampZ])
			l.place[lampX], l.place[lampY] = 0, 0
		})
	case TopBright, BottomBright:
		return each(MidHeight, []float64{1}, func(*Change, float64) {}, func(l *lamp, _ float64) { l.place[lampY] = 0 })
	case EdgesBright:
		return each(MoveBack, []float64{1.25, 1.5, 2, 2.5}, factor, func(l *lamp, v float64) { l.place[lampZ] *= v })
	case MiddleBright:
		return each(AimOut, []float64{0.25, -0.25, 0.5, -0.5, 0.75, -0.75}, func(c *Change, v float64) { c.Aim = v },
			func(l *lamp, v float64) { l.aimX = math.Copysign(v*s.halfWidth, -v*l.place[lampX]) })
	case OtherLight:
		return plain(BlockLight)
	case Bounce:
		return plain(CoverFloor)
	case HotSpot:
		return plain(ShadeSpot)
	case DarkSpot, Shadow:
		return plain(ClearShadow)
	case Drift:
		return plain(LetSettle)
	}
	if c.part.faults == nil {
		return nil
	}
	return plain(ReadAgain)
}

// change is the best change against a cause in a fitted model, or the gentlest that
// brings the spread well within the tolerance, with what it will bring: by all models
// in which it is against the same cause, each by its weight.
func (s *shape) change(c Cause, likely []*fit, w view, tolerance float64) (Change, bool) {
	all := s.options(c)
	if len(all) == 0 || len(w.u) == 0 {
		return Change{}, false
	}
	after := func(f *fit, o option, z []float64) float64 {
		l := s.light(f.model, z)
		o.mend(l)
		return w.spread(l)
	}
	best := 0
	spreads := make([]float64, len(all))
	for k, o := range all {
		if spreads[k] = after(c.from, o, c.from.Z); spreads[k] < spreads[best] {
			best = k
		}
		if o.Code != LowerSide && spreads[best]+modelError <= 0.8*tolerance {
			break
		}
	}
	out := all[best].Change
	out.Before = w.spread(s.light(c.from.model, c.from.Z))
	random, draws := rand.New(rand.NewPCG(s.seed, seedOf(out.Code))), make([]float64, 0, predictionDraws)
	wider := math.Sqrt(s.temperature() / leastTemperature)
	misfit := 0.0
	for _, r := range supporters(c, likely) {
		o := s.options(r.cause)[best]
		n := int(math.Ceil(predictionDraws * r.weight))
		out.Spread += r.weight * after(r.fit, o, r.fit.Z)
		misfit = max(misfit, r.fit.Scatter()-s.scatter)
		for range n {
			z := make([]float64, len(r.fit.Z))
			for j := range z {
				z[j] = random.NormFloat64() * wider
			}
			r.fit.Draw(z)
			draws = append(draws, after(r.fit, o, z))
		}
	}
	slices.Sort(draws)
	beside := modelError + 2*misfit
	out.Interval = [2]float64{max(0, stat.Quantile(0.025, stat.LinInterp, draws, nil)-beside), stat.Quantile(0.975, stat.LinInterp, draws, nil) + beside}
	return out, !floats.HasNaN(out.Interval[:]) && (out.Spread <= out.Before-leastHelp || c.Code == OneReading || c.Code == Drift)
}

// supporter is a model in which a cause is the first, or as important as before, and its
// weight among these.
type supporter struct {
	fit    *fit
	cause  Cause
	weight float64
}

// supporters are the models that speak for a cause.
func supporters(c Cause, likely []*fit) (out []supporter) {
	sum := 0.0
	for _, f := range likely {
		if f != c.from && f.weight < 0.03*c.from.weight {
			continue
		}
		if k := slices.IndexFunc(f.ranked, func(p part) bool { return p.same(c.Name) }); k >= 0 && (k == 0 || !c.first) {
			own := c
			own.part = f.ranked[k]
			out = append(out, supporter{f, own, f.weight})
			sum += f.weight
		}
	}
	for k := range out {
		out[k].weight /= sum
	}
	return out
}
