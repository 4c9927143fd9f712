package balance

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// At is the surface with lamps at other levels than the trims of the result: each in
// its share of its level as read, 1 for a lamp that is not named. Shares over 1 are
// more light than was read. The edge is that of the part in shot, nil where it makes
// little difference or the places are not known in meters.
func (r *Result) At(shares map[string]float64) (State, *evenness.ToEdge) {
	surface, state := r.from.judged(r.from.shares(shares), true)
	if r.from.set.Surface.Placing != survey.InMeters {
		return state, nil
	}
	return state, surface.EdgeOfComputed(r.from.excluded)
}

// SpreadAt is the spread alone of At, in stops.
func (r *Result) SpreadAt(shares map[string]float64) float64 {
	return r.from.spread(r.from.shares(shares))
}

// DifferenceAt is how the surface with lamps at some shares differs from the one that
// was read, over the places that decide: the mean of the stops, and their spread.
func (r *Result) DifferenceAt(shares map[string]float64) (offset, pattern float64) {
	b := r.from
	then, now := b.decisive(b.levels(ones(len(b.lamp)))), b.decisive(b.levels(b.shares(shares)))
	stops := make([]float64, len(now))
	for k := range now {
		stops[k] = math.Log2(now[k] / then[k])
	}
	return floats.Sum(stops) / float64(len(stops)), floats.Max(stops) - floats.Min(stops)
}

// Alone is where a lamp reads most by itself within the part that decides, and what it
// reads there; ok is false where it was read nowhere there.
func (r *Result) Alone(lamp string) (at evenness.Place, ok bool) {
	j, i := r.from.most(lamp)
	if i < 0 {
		return at, false
	}
	s := r.from.set.Surface
	return evenness.Place{Label: s.LabelOf(i), X: s.X[i], Y: s.Y[i], Level: r.from.alone[j][i]}, true
}

// Share is a lamp's share of the light where it reads most by itself, with the lamps at
// shares of what was read; 0 where it was read nowhere.
func (r *Result) Share(lamp string, of map[string]float64) float64 {
	j, i := r.from.most(lamp)
	if i < 0 {
		return 0
	}
	shares := r.from.shares(of)
	return shares[j] * r.from.alone[j][i] / r.from.levels(shares)[i]
}

// most is a lamp by its name, and the point that decides where it reads most by itself; −1
// for none.
func (b *balancing) most(lamp string) (j, at int) {
	at, most := -1, 0.0
	if j = slices.IndexFunc(b.lamp, func(m *survey.LampMap) bool { return photometry.SameName(lamp, m.Name) }); j < 0 {
		return j, at
	}
	for _, i := range b.decide {
		if level := b.alone[j][i]; level > most { // not NaN
			at, most = i, level
		}
	}
	return j, at
}

// shares are those of all lamps by their names, 1 for one that is not named.
func (b *balancing) shares(of map[string]float64) []float64 {
	out := ones(len(b.lamp))
	for j, m := range b.lamp {
		if share, named := of[m.Name]; named {
			out[j] = share
		}
	}
	return out
}
