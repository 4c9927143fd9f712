package balance

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/lamps"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
)

// findMaps settles what each lamp gives at every point, and what no trim changes:
// maps are full where each lamp was read everywhere, else shares of all lamps
// together.
func (b *balancing) findMaps() error {
	b.rest = make([]float64, b.n)
	copy(b.rest, b.ambient)
	b.other = b.unread
	for _, m := range b.lamp {
		b.suspect(m)
	}
	if b.together != nil && slices.ContainsFunc(b.lamp, func(m *survey.LampMap) bool { return m.Read < b.n }) {
		b.r.Maps = "shares"
		return b.shareMaps()
	}
	b.r.Maps, b.maps = "full", b.alone
	for _, m := range b.lamp {
		for _, x := range m.Suspects {
			b.excluded[x.Point] = true
		}
	}
	if b.other {
		for i := range b.rest {
			b.rest[i] += max(0, b.together[i]-b.sumAlone(i)-b.ambientAt(i))
		}
	}
	return nil
}

// shareMaps fits each lamp's share of the light and lays it over the map of all
// lamps together.
func (b *balancing) shareMaps() error {
	s := b.set.Surface
	lit := slices.Clone(b.together) // of the lamps and other light
	for i, v := range b.together {
		a := b.ambientAt(i)
		if a >= v && !b.excluded[i] {
			return fmt.Errorf("the ambient light, %s, is no less than all lamps together at %s, %s", b.level(a), s.Name(i), b.level(v))
		}
		lit[i] -= a
	}
	fit, err := b.fitShares(lit)
	if err != nil {
		return err
	}
	b.fit = fit
	for range b.lamp {
		b.maps = append(b.maps, make([]float64, b.n))
	}
	for i := range b.n {
		for j, share := range fit.At(s.X[i], s.Y[i]) {
			level := share * max(0, lit[i])
			if j == len(b.lamp) { // the other light
				b.rest[i] += level
			} else {
				b.maps[j][i] = level
			}
		}
	}
	b.r.Shares = &ShareError{Places: fit.Places, Terms: fit.Terms, ErrorPercent: fit.ErrorPercent()}
	return nil
}

// fitShares fits each lamp's share of the light of all, without suspects.
func (b *balancing) fitShares(lit []float64) (*lamps.Shares, error) {
	lit = slices.Clone(lit)
	for i, excluded := range b.excluded {
		if excluded {
			lit[i] = math.NaN()
		}
	}
	alone := make([][]float64, len(b.lamp))
	for j, m := range b.lamp {
		alone[j] = slices.Clone(b.alone[j])
		for _, x := range m.Suspects {
			alone[j][x.Point] = math.NaN()
		}
	}
	lights := len(b.lamp)
	if b.other {
		lights++
	}
	if wrong := schema.TooManyShares(b.n, len(b.lamp)); wrong != "" {
		return nil, errors.New(wrong)
	}
	fit, ok := lamps.FitShares(lights, b.set.Surface.X, b.set.Surface.Y, lamps.ShareReadings(alone, lit, b.other))
	if !ok {
		fewest := slices.MinFunc(b.lamp, func(a, c *survey.LampMap) int { return a.Read - c.Read })
		return nil, fmt.Errorf("the lamp %q was read alone at %d place%s, expected three places or more, set apart, better six", fewest.Name, fewest.Read, plural(fewest.Read))
	}
	return fit, nil
}

// levels are those of all points with each lamp at a trim.
func (b *balancing) levels(trims []float64) []float64 {
	out := slices.Clone(b.rest)
	for j, m := range b.maps {
		floats.AddScaled(out, trims[j], m)
	}
	return out
}

// scatter is how much of the scatter of one reading each level with trims has, as a
// factor.
func (b *balancing) scatter(trims, levels []float64) []float64 {
	of := make([]float64, b.n)
	s := b.set.Surface
	for i := range of {
		switch {
		case b.fit != nil:
			of[i] = math.Sqrt(variance(1, s.Repeats, i))
			continue
		case !(levels[i] > 0):
			continue
		}
		// A sum of the lamps and the ambient light; or, where other light is what
		// they leave over of all together, that less what the trims take.
		sum := variance(b.ambientAt(i), nil, i)
		if b.other {
			sum = variance(b.together[i], s.Repeats, i)
		}
		for j, m := range b.maps {
			part := trims[j]
			if b.other {
				part = 1 - trims[j]
			}
			sum += variance(part*m[i], b.lamp[j].Repeats, i)
		}
		of[i] = math.Sqrt(sum) / levels[i]
	}
	return of
}

// variance is that of the mean of a point's readings, for readings that scatter in
// proportion to their level; repeats may be nil.
func variance(level float64, repeats []int32, i int) float64 {
	if repeats != nil && repeats[i] > 1 {
		return level * level / float64(repeats[i])
	}
	return level * level
}
