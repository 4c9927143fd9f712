package match

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/lamps"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// otherLight is what the light is called that no lamp was read for.
const otherLight = "other light"

// lampLight is what each lamp gave at the pairs on the day before: as it was
// read, or by its smooth share of the light.
type lampLight struct {
	names  []string
	maps   []*survey.LampMap // nil for other light
	level  [][]float64       // by lamp, then by pair; NaN where it is not known
	shares *lamps.Shares     // nil with full maps; its lamps are the same, less ambient light
	places int               // read alone
	at     []int32           // of each pair: point of the set, −1 for none
}

// lampLight lays the lamps' readings over the pairs; nil, with a warning, where that
// cannot be done.
func (m *matching) lampLight(set *survey.LampSet) *lampLight {
	read, ambient := set.Lamps(), set.Find(survey.AmbientName)
	full := !slices.ContainsFunc(read, func(lamp *survey.LampMap) bool { return lamp.Read < set.Surface.Len() })
	if len(read) == 0 {
		m.r.warn("match.none.lamps_untold")
		return nil
	}
	known := spatial.NewPlaces(set.Surface.X, set.Surface.Y)
	l := &lampLight{}
	for _, p := range m.r.Points {
		l.at = append(l.at, known.Closest(p.X, p.Y, leastWithin))
	}
	var ambientAt []float64
	if ambient != nil {
		ambientAt, _ = ambient.Filled()
	}
	whole := m.allLight(known)
	factor, other := m.addUp(read, ambientAt, whole)
	for _, lamp := range read {
		l.add(lamp.Name, lamp)
		l.places = max(l.places, lamp.Read)
	}
	if other {
		l.add(otherLight, nil)
	}
	if full {
		m.readLevels(l, read, ambientAt, factor, other)
	} else if !m.shareLevels(l, known, read, ambientAt, whole, other) {
		return nil
	}
	if ambient != nil {
		l.add(ambient.Name, ambient)
		for _, q := range l.at {
			l.level[len(l.level)-1] = append(l.level[len(l.level)-1], atOr(ambientAt, q))
		}
	}
	return l
}

// named is a lamp by its name in any case, -1 for none.
func (l *lampLight) named(name string) int {
	return slices.IndexFunc(l.names, func(n string) bool { return strings.EqualFold(n, name) })
}

// sum is what some lamps gave the day before where a reading of today was taken, as
// far as they are on in it.
func (l *lampLight) sum(r levelRow, lamps []int) float64 {
	sum := 0.0
	for _, j := range lamps {
		if r.lamp < 0 || r.lamp == j {
			sum += l.level[j][r.pair]
		}
	}
	return sum
}

// first is what the first n lamps gave together at a pair.
func (l *lampLight) first(n, pair int) float64 {
	sum := 0.0
	for _, level := range l.level[:n] {
		sum += level[pair]
	}
	return sum
}

// add takes in a lamp whose levels are still to come.
func (l *lampLight) add(name string, lamp *survey.LampMap) {
	l.names, l.maps, l.level = append(l.names, name), append(l.maps, lamp), append(l.level, nil)
}

// allLight is all light the day before at places of the lamps, NaN where it is not
// known.
func (m *matching) allLight(at *spatial.Places) []float64 {
	whole := slices.Repeat([]float64{math.NaN()}, at.Len())
	for i := range m.before.s.Len() {
		if q := at.Closest(m.before.s.X[i], m.before.s.Y[i], leastWithin); q >= 0 && !m.before.isExcluded(i) {
			whole[q] = m.before.level[i]
		}
	}
	return whole
}

// readLevels takes each lamp's levels from full maps, times the factor by which all
// of them changed before the day was read.
func (m *matching) readLevels(l *lampLight, read []*survey.LampMap, ambient []float64, factor float64, other bool) {
	for j, lamp := range read {
		level := lamp.WithoutSuspects()
		for _, q := range l.at {
			v := math.NaN()
			if q >= 0 {
				v = factor * level[q]
			}
			l.level[j] = append(l.level[j], v)
		}
	}
	if !other {
		return
	}
	for k, q := range l.at {
		rest := m.r.Points[k].Before - atOr(ambient, q) - l.first(len(read), k)
		l.level[len(read)] = append(l.level[len(read)], math.Max(0, rest))
	}
}

// shareLevels takes each lamp's levels from its smooth share of the light; false,
// with a warning, where the readings are too few.
func (m *matching) shareLevels(l *lampLight, known *spatial.Places, read []*survey.LampMap, ambient, whole []float64, other bool) bool {
	var alone [][]float64
	for _, lamp := range read {
		alone = append(alone, lamp.WithoutSuspects())
	}
	together := slices.Clone(whole)
	if ambient != nil {
		floats.Sub(together, ambient)
	}
	if wrong := schema.TooManyShares(max(known.Len(), len(m.r.Points)), len(l.names)); wrong != "" {
		m.r.warn("match.many.lamps_untold", "wrong", wrong)
		return false
	}
	var ok bool
	if l.shares, ok = lamps.FitShares(len(l.names), known.X, known.Y, lamps.ShareReadings(alone, together, other)); !ok {
		fewest := slices.MinFunc(read, func(a, b *survey.LampMap) int { return a.Read - b.Read })
		m.r.warn("match.few.lamps_untold", "lamp", fewest.Name, "places", fewest.Read)
		return false
	}
	for k, p := range m.r.Points {
		for j, share := range l.shares.At(p.X, p.Y) {
			l.level[j] = append(l.level[j], share*math.Max(0, p.Before-atOr(ambient, l.at[k])))
		}
	}
	return true
}

// atOr is the ambient level at a point of the set, the mean where there is none.
func atOr(levels []float64, q int32) float64 {
	switch {
	case levels == nil:
		return 0
	case q < 0:
		return stat.Mean(levels, nil)
	}
	return levels[q]
}

// Limits of what counts as lamps adding up to all of them together.
const (
	addsUpStops   = 0.05 // on the mean
	addsUpSlip    = 0.3  // stops of one place from the rest: a data-entry error
	addsUpScatter = 2 * math.Sqrt2
)

// addUp compares all light of the day before with the sum of the lamps, where all
// were read. Lamps that all changed in between differ by the same factor, which
// is given back; light that no lamp explains is other light.
func (m *matching) addUp(read []*survey.LampMap, ambient, whole []float64) (factor float64, other bool) {
	var off, rest []float64
	for i, together := range whole {
		sum := 0.0
		for _, lamp := range read {
			sum += lamp.Level[i]
		}
		if math.IsNaN(sum) || math.IsNaN(together) || !(sum > 0) {
			continue
		}
		if ambient != nil {
			sum += ambient[i]
		}
		off, rest = append(off, photometry.Stops(together, sum)), append(rest, together-sum)
	}
	if len(off) < 3 {
		return 1, false
	}
	middle := spatial.MedianInPlace(slices.Clone(off))
	var keptOff, keptRest []float64
	for k, v := range off {
		if math.Abs(v-middle) <= addsUpSlip {
			keptOff, keptRest = append(keptOff, v), append(keptRest, rest[k])
		}
	}
	if 5*len(keptOff) < 4*len(off) {
		keptOff, keptRest = off, rest // light that comes unevenly, and no data-entry errors
	}
	mean, deviation := stat.MeanStdDev(keptOff, nil)
	if math.Abs(mean) <= max(addsUpStops, 3*deviation/math.Sqrt(float64(len(keptOff)))) {
		return 1, false
	}
	level, uneven := stat.MeanStdDev(keptRest, nil)
	noise := m.before.r.Noise.Stops
	same := deviation <= max(addsUpScatter*noise, 0.01) && deviation/math.Abs(mean) < uneven/math.Abs(level)
	if mean < 0 || same && mean < 1 {
		m.r.infer("match.lamps_add_up", "off", photometry.Stop(mean))
		return photometry.Factor(mean), false
	}
	m.r.warn("match.other_light", "off", photometry.Stop(mean))
	return 1, true
}

// sharePercent is a lamp's part of all light the day before, on the mean.
func (l *lampLight) sharePercent(j int) float64 {
	part, sum := 0.0, 0.0
	for k := range l.at {
		if all := l.first(len(l.names), k); !math.IsNaN(all) {
			part, sum = part+l.level[j][k], sum+all
		}
	}
	if sum == 0 {
		return 0
	}
	return 100 * part / sum
}
