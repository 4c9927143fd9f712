package balance

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/lamps"
	"evenfall/photometry/survey"
)

// balancing is a question of balance as it is put together.
type balancing struct {
	set  *survey.LampSet
	o    Options
	r    *Result
	n    int // points
	lamp []*survey.LampMap
	fix  []bool // by lamp

	together []float64 // all lamps, drift taken out; nil where not read
	ambient  []float64 // by point; nil for none
	unread   bool      // lamps together give light that no lamp alone explains
	other    []float64 // that light, by point; nil for none
	maps     [][]float64
	fit      *lamps.Shares // nil with full maps; its last lamp is the other light, if any
	excluded []bool        // suspect points
	suspects []LampSuspect
}

// level writes a level for an error as it was read, or illuminance in the unit asked
// for.
func (b *balancing) level(v float64) string {
	s := b.set.Surface
	if b.o.Unit != photometry.NoUnit {
		return photometry.FormatLevel(photometry.Level{Value: v, Quantity: s.Quantity}, b.o.Unit)
	}
	return s.FormatLevel(v)
}

// lampNames lists lamps.
func lampNames(lamps []*survey.LampMap) string {
	out := make([]string, len(lamps))
	for i, l := range lamps {
		out[i] = l.Name
	}
	return strings.Join(out, ", ")
}

// readTogether takes the levels of all lamps together and their suspects.
func (b *balancing) readTogether() error {
	s := b.set.Surface
	b.excluded = make([]bool, b.n)
	if b.set.Together {
		r, err := evenness.Analyze(s)
		if err != nil {
			return err
		}
		b.together = r.Levels
		for _, x := range r.Suspects {
			b.suspects = append(b.suspects, LampSuspect{"", x})
			if !slices.Contains(x.Reasons, survey.SerpentineAsRows) {
				b.excluded[x.Point] = true
			}
		}
	}
	return nil
}

// readAmbient finds the level that no lamp makes at every point.
func (b *balancing) readAmbient() error {
	m := b.set.Find(survey.AmbientName)
	switch {
	case b.o.Ambient > 0 && m != nil:
		return fmt.Errorf("ambient light is given twice: %s, and readings named %s", b.level(b.o.Ambient), survey.AmbientName)
	case b.o.Ambient > 0:
		b.ambient = slices.Repeat([]float64{b.o.Ambient}, b.n)
		return nil
	case m == nil:
		return nil
	}
	b.suspects = append(b.suspects, suspectsOf(m)...)
	var mean float64
	if b.ambient, mean = m.Filled(); m.Read == b.n {
		return nil
	}
	b.infer("ambient_filled", "read", m.Read, "places", b.n, "mean", b.value(mean))
	return nil
}

func suspectsOf(m *survey.LampMap) []LampSuspect {
	var out []LampSuspect
	for _, x := range m.Suspects {
		out = append(out, LampSuspect{m.Name, x})
	}
	return out
}

func (b *balancing) ambientAt(i int) float64 {
	if b.ambient == nil {
		return 0
	}
	return b.ambient[i]
}

// alone is what a lamp gives by itself at a point, NaN where it was not read.
// Where the readings hold the ambient light it is taken off them; scatter may
// leave a little less than nothing, which is nothing.
func (b *balancing) alone(m *survey.LampMap, i int) float64 {
	v := m.Level[i]
	if b.o.AmbientInReadings && b.ambient != nil {
		return max(0, v-b.ambient[i])
	}
	return v
}

// checkLamps refuses lamps that give nothing, or less than the ambient light
// that their readings are said to hold.
func (b *balancing) checkLamps() error {
	for _, m := range b.lamp {
		most, deepest, where := 0.0, 0.0, 0
		for i, v := range m.Level {
			if math.IsNaN(v) {
				continue
			}
			most = max(most, b.alone(m, i))
			if a := b.ambientAt(i); b.o.AmbientInReadings && a-v > deepest {
				deepest, where = a-v, i
			}
		}
		switch {
		case deepest > 0 && deepest > 0.1*b.ambientAt(where):
			return fmt.Errorf("the lamp %q reads %s at %s, less than the ambient light of %s that its readings are said to hold",
				m.Name, b.level(m.Level[where]), b.set.Surface.Name(where), b.level(b.ambientAt(where)))
		case most == 0:
			return fmt.Errorf("the lamp %q reads zero at every place, expected light at one place at least: read it again or leave it out", m.Name)
		}
	}
	return nil
}

// complete reports whether every lamp was read alone at a point.
func (b *balancing) complete(i int) (sum float64, ok bool) {
	for _, m := range b.lamp {
		v := b.alone(m, i)
		if math.IsNaN(v) {
			return 0, false
		}
		sum += v
	}
	return sum, true
}

// findMaps settles what each lamp gives at every point.
func (b *balancing) findMaps() error {
	full := true
	for _, m := range b.lamp {
		full = full && m.Read == b.n
	}
	if full || b.together == nil {
		b.r.Maps = "full"
		for _, m := range b.lamp {
			column := make([]float64, b.n)
			for i := range column {
				column[i] = b.alone(m, i)
			}
			b.maps = append(b.maps, column)
			b.suspects = append(b.suspects, suspectsOf(m)...)
			for _, x := range m.Suspects {
				b.excluded[x.Point] = true
			}
		}
		if b.unread {
			b.other = make([]float64, b.n)
			for i := range b.other {
				sum, _ := b.complete(i)
				b.other[i] = max(0, b.together[i]-sum-b.ambientAt(i))
			}
		}
		return nil
	}
	b.r.Maps = "shares"
	return b.shareMaps()
}

// shareMaps fits each lamp's share of the light and lays it over the map of all
// lamps together.
func (b *balancing) shareMaps() error {
	s := b.set.Surface
	for i, v := range b.together {
		if a := b.ambientAt(i); a >= v && !b.excluded[i] {
			return fmt.Errorf("the ambient light, %s, is no less than all lamps together at %s, %s", b.level(a), s.Name(i), b.level(v))
		}
	}
	together := slices.Clone(b.together)
	for i := range together {
		if together[i] -= b.ambientAt(i); b.excluded[i] {
			together[i] = math.NaN()
		}
	}
	alone := make([][]float64, len(b.lamp))
	for j, m := range b.lamp {
		b.suspects = append(b.suspects, suspectsOf(m)...)
		alone[j] = make([]float64, b.n)
		for i := range alone[j] {
			alone[j][i] = b.alone(m, i)
		}
		for _, x := range m.Suspects {
			alone[j][x.Point] = math.NaN()
		}
	}
	lights := len(b.lamp)
	if b.unread {
		lights++
	}
	fit, ok := lamps.FitShares(lights, s.X, s.Y, lamps.ShareReadings(alone, together, b.unread))
	if !ok {
		fewest := slices.MinFunc(b.lamp, func(a, c *survey.LampMap) int { return a.Read - c.Read })
		return fmt.Errorf("the lamp %q was read alone at %d place%s, expected every lamp alone at three places or more that are set apart, better six, or everywhere", fewest.Name, fewest.Read, plural(fewest.Read))
	}
	b.fit = fit
	maps := make([][]float64, lights)
	for j := range maps {
		maps[j] = make([]float64, b.n)
	}
	for i, v := range b.together {
		for j, share := range fit.At(s.X[i], s.Y[i]) {
			maps[j][i] = share * max(0, v-b.ambientAt(i))
		}
	}
	if b.maps = maps[:len(b.lamp)]; b.unread {
		b.other = maps[len(b.lamp)]
	}
	e := &ShareError{Places: fit.Places, Terms: fit.Terms}
	if fit.Missed != nil {
		percent := 100 * floats.Norm(fit.Missed, 2) / math.Sqrt(float64(len(fit.Missed)))
		e.ErrorPercent = &percent
	}
	b.r.Shares = e
	return nil
}

// still is the light at a point that no trim of any lamp changes.
func (b *balancing) still(i int) float64 {
	level := b.ambientAt(i)
	if b.other != nil {
		level += b.other[i]
	}
	return level
}

// levels are those of all points with each lamp at a trim.
func (b *balancing) levels(trims []float64) []float64 {
	out := make([]float64, b.n)
	for i := range out {
		out[i] = b.still(i)
		for j, m := range b.maps {
			out[i] += trims[j] * m[i]
		}
	}
	return out
}

// scatter is what of the readings' scatter each level with trims carries, and
// what the fitted shares add in stops.
func (b *balancing) scatter(trims, levels []float64) (of, smooth []float64) {
	of = make([]float64, b.n)
	s := b.set.Surface
	variance := func(level float64, repeats []int32, i int) float64 {
		if repeats != nil && repeats[i] > 1 {
			return level * level / float64(repeats[i])
		}
		return level * level
	}
	if b.fit != nil {
		if b.other != nil {
			trims = append(slices.Clone(trims), 1)
		}
		smooth = make([]float64, b.n)
		for i := range of {
			of[i] = math.Sqrt(variance(1, s.Repeats, i))
			if levels[i] > 0 {
				lit := (levels[i] - b.ambientAt(i)) / levels[i]
				smooth[i] = lit * b.fit.Deviation(s.X[i], s.Y[i], trims)
			}
		}
		return of, smooth
	}
	for i := range of {
		if !(levels[i] > 0) {
			continue
		}
		// A sum of the lamps and the ambient light; or, where other light is what
		// they leave over of all together, that less what the trims take.
		sum := variance(b.ambientAt(i), nil, i)
		if b.other != nil {
			sum = variance(b.together[i], s.Repeats, i)
		}
		for j, m := range b.maps {
			part := trims[j]
			if b.other != nil {
				part = 1 - trims[j]
			}
			sum += variance(part*m[i], b.lamp[j].Repeats, i)
		}
		of[i] = math.Sqrt(sum) / levels[i]
	}
	return of, nil
}

// plural is the ending of a noun that n is counted in.
func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}
