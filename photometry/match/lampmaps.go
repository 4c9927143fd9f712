package match

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/lamps"
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

// lampLight lays the lamps' readings over the pairs. The error says why it
// cannot be done.
func (m *matching) lampLight(set *survey.LampSet) (*lampLight, error) {
	l := &lampLight{}
	var read []*survey.LampMap
	var ambient *survey.LampMap
	full := true
	for k := range set.Maps {
		if set.Maps[k].Ambient() {
			ambient = &set.Maps[k]
			continue
		}
		read = append(read, &set.Maps[k])
		full = full && set.Maps[k].Read == set.Surface.Len()
		l.places = max(l.places, set.Maps[k].Read)
	}
	if len(read) == 0 {
		return nil, fmt.Errorf("no lamp was read alone")
	}
	s := set.Surface
	known := spatial.NewPlaces(s.X, s.Y)
	whole := make([]float64, s.Len()) // all light the day before at the set's places, NaN where not known
	for i := range whole {
		whole[i] = math.NaN()
	}
	for i := range m.before.s.Len() {
		if q := known.Closest(m.before.s.X[i], m.before.s.Y[i], leastWithin); q >= 0 && !m.before.isLeft(i) {
			whole[q] = m.before.level[i]
		}
	}
	for _, p := range m.r.Points {
		l.at = append(l.at, known.Closest(p.X, p.Y, leastWithin))
	}
	var ambientAt []float64
	if ambient != nil {
		ambientAt, _ = ambient.Filled()
	}
	factor, other := m.addUp(read, ambientAt, whole)
	for _, lamp := range read {
		l.names, l.maps = append(l.names, lamp.Name), append(l.maps, lamp)
	}
	if other {
		l.names, l.maps = append(l.names, otherLight), append(l.maps, nil)
	}
	l.level = make([][]float64, len(l.names))
	if full {
		for k, q := range l.at {
			sum := 0.0
			for j, lamp := range read {
				v := math.NaN()
				if q >= 0 && !slices.ContainsFunc(lamp.Suspects, func(x survey.Suspect) bool { return x.Point == int(q) }) {
					v = factor * lamp.Level[q]
				}
				l.level[j], sum = append(l.level[j], v), sum+v
			}
			if other {
				l.level[len(read)] = append(l.level[len(read)], math.Max(0, m.r.Points[k].Before-sum-atOr(ambientAt, q)))
			}
		}
	} else {
		alone, together := lightAlone(read, ambientAt, whole)
		shares, ok := lamps.FitShares(len(l.names), s.X, s.Y, lamps.ShareReadings(alone, together, other))
		if !ok {
			fewest := slices.MinFunc(read, func(a, b *survey.LampMap) int { return a.Read - b.Read })
			return nil, fmt.Errorf("the lamp “%s” was read alone at %d places, expected three or more that are set apart, better six, or every place", fewest.Name, fewest.Read)
		}
		l.shares = shares
		for k, p := range m.r.Points {
			for j, share := range shares.At(p.X, p.Y) {
				l.level[j] = append(l.level[j], share*math.Max(0, p.Before-atOr(ambientAt, l.at[k])))
			}
		}
	}
	if ambient != nil {
		l.names, l.maps = append(l.names, ambient.Name), append(l.maps, ambient)
		var column []float64
		for _, q := range l.at {
			column = append(column, atOr(ambientAt, q))
		}
		l.level = append(l.level, column)
	}
	return l, nil
}

// atOr is the ambient level at a point of the set, the mean beside them.
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
	addsUpSlip    = 0.3  // stops of one place from the rest: a slip
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
		keptOff, keptRest = off, rest // light that comes unevenly, and no slips
	}
	mean, deviation := stat.MeanStdDev(keptOff, nil)
	if math.Abs(mean) <= max(addsUpStops, 3*deviation/math.Sqrt(float64(len(keptOff)))) {
		return 1, false
	}
	level, uneven := stat.MeanStdDev(keptRest, nil)
	noise := m.before.r.Noise.Stops
	same := deviation <= max(addsUpScatter*noise, 0.01) && deviation/math.Abs(mean) < uneven/math.Abs(level)
	if mean < 0 || same && mean < 1 {
		word := "more"
		if mean < 0 {
			word = "less"
		}
		m.infer("all lamps together read %s %s than the lamps alone add up to the day before: the light changed in between, and each lamp's share of it counts", photometry.FormatStops(math.Abs(mean)), word)
		return photometry.Factor(mean), false
	}
	m.warn("other_light", "All lamps together read %s more than the lamps alone add up to the day before: the rest is taken as other light.", photometry.FormatStops(mean))
	return 1, true
}

// lightAlone is what each lamp was read to give, without suspects, and all light
// less the ambient.
func lightAlone(read []*survey.LampMap, ambient, whole []float64) (alone [][]float64, together []float64) {
	for _, lamp := range read {
		column := slices.Clone(lamp.Level)
		for _, x := range lamp.Suspects {
			column[x.Point] = math.NaN()
		}
		alone = append(alone, column)
	}
	together = slices.Clone(whole)
	if ambient != nil {
		floats.Sub(together, ambient)
	}
	return alone, together
}

// sharePercent is a lamp's part of all light the day before, on the mean.
func (l *lampLight) sharePercent(j int) float64 {
	part, all := 0.0, 0.0
	for k := range l.at {
		sum := 0.0
		for i := range l.level {
			sum += l.level[i][k]
		}
		if !math.IsNaN(sum) {
			part, all = part+l.level[j][k], all+sum
		}
	}
	if all == 0 {
		return 0
	}
	return 100 * part / all
}

// shareError is the rms error of the shares in percent of the light; nil where
// there is none to tell.
func (l *lampLight) shareError() *float64 {
	if l.shares == nil || l.shares.Missed == nil {
		return nil
	}
	v := 100 * floats.Norm(l.shares.Missed, 2) / math.Sqrt(float64(len(l.shares.Missed)))
	return &v
}
