package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// balancing is a question of balance as it is put together.
type balancing struct {
	set  *survey.LampSet
	o    BalanceOptions
	r    *BalanceResult
	n    int // points
	lamp []*survey.LampMap
	fix  []bool // by lamp

	together []float64 // all lamps, drift taken out; nil where not read
	ambient  []float64 // by point; nil for none
	maps     [][]float64
	fit      *shareFit // nil with full maps
	left     []bool    // doubtful points
	suspects []LampSuspect
}

// limits of what counts as lamps adding up to all of them together.
const (
	additive     = 0.05 // stops, on the mean
	slipStops    = 0.3  // of one place from the rest
	slipScatters = 6.0
)

func (b *balancing) warn(code, format string, args ...any) {
	b.r.Warnings = append(b.r.Warnings, photometry.Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

func (b *balancing) infer(format string, args ...any) {
	b.r.Inferred = append(b.r.Inferred, fmt.Sprintf(format, args...))
}

// level prints a level of the survey in its SI unit.
func (b *balancing) level(v float64) string {
	return photometry.FormatLevel(photometry.Level{Value: v, Quantity: b.set.Surface.Quantity}, photometry.LX)
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
	b.left = make([]bool, b.n)
	if b.set.Together {
		r, err := survey.Analyze(s)
		if err != nil {
			return err
		}
		b.together = r.Levels
		for _, x := range r.Suspects {
			b.suspects = append(b.suspects, LampSuspect{"", x})
			if !slices.Contains(x.Reasons, survey.SnakeAsRows) {
				b.left[x.Point] = true
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
	b.ambient = slices.Clone(m.Level)
	if m.Read == b.n {
		return nil
	}
	// Ambient light comes from far and runs smoothly: the mean of what was read
	// stands where it was not.
	var read []float64
	for _, v := range m.Level {
		if !math.IsNaN(v) {
			read = append(read, v)
		}
	}
	mean := stat.Mean(read, nil)
	for i, v := range b.ambient {
		if math.IsNaN(v) {
			b.ambient[i] = mean
		}
	}
	b.infer("ambient light was read at %d of %d places; the others are taken as their mean, %s", m.Read, b.n, b.level(mean))
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

// complete tells whether every lamp was read alone at a point.
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

// additivity compares all lamps together with the sum of the lamps alone, where
// all were read. Light that the lamps do not explain is ambient; single places
// that do not add up hold a slip.
func (b *balancing) additivity() error {
	if b.together == nil {
		return nil
	}
	var at []int
	var off, rest []float64
	for i := range b.n {
		if sum, ok := b.complete(i); ok && !b.left[i] && sum+b.ambientAt(i) > 0 {
			at = append(at, i)
			off = append(off, photometry.Stops(b.together[i], sum+b.ambientAt(i)))
			rest = append(rest, b.together[i]-sum-b.ambientAt(i))
		}
	}
	if len(at) < 3 {
		return nil
	}
	sorted := slices.Clone(off)
	slices.Sort(sorted)
	median := sorted[len(sorted)/2]
	if median < -0.5 {
		hint := "what names no lamp counts as all lamps together, so name the lamp of every file or row (a lamp note or column)"
		if b.ambient != nil && !b.o.AmbientInReadings {
			hint = "where the lamps were read with the ambient light on, say so (--with-ambient)"
		}
		return fmt.Errorf("all lamps together read %s less than the lamps alone (%s) add up to, expected at least as much: %s",
			photometry.FormatStops(-median), lampNames(b.lamp), hint)
	}
	scatter := b.set.Noise().Stops
	kept := at[:0]
	var keptOff, keptRest []float64
	for k, i := range at {
		if d := math.Abs(off[k] - median); d > slipStops && d > slipScatters*math.Sqrt2*scatter {
			b.left[i] = true
			b.warn("does_not_add_up", "At %s all lamps together read %s, the lamps alone add up to %s: one of these readings is a slip, and the place is left out.",
				b.set.Surface.Name(i), b.level(b.together[i]), b.level(b.together[i]-rest[k]))
			continue
		}
		kept, keptOff, keptRest = append(kept, i), append(keptOff, off[k]), append(keptRest, rest[k])
	}
	if len(kept) < 3 {
		return nil
	}
	mean, deviation := stat.MeanStdDev(keptOff, nil)
	b.r.AdditivityStops = &mean
	if math.Abs(mean) <= max(additive, 3*deviation/math.Sqrt(float64(len(kept)))) {
		return nil
	}
	if mean < 0 {
		more := ""
		if b.ambient != nil && !b.o.AmbientInReadings {
			more = ", or the readings of lamps alone hold the ambient light"
		}
		b.warn("less_than_the_sum", "All lamps together read %s less than the lamps alone add up to: a lamp changed in between%s.", photometry.FormatStops(-mean), more)
		return nil
	}
	level, uneven := stat.MeanStdDev(keptRest, nil)
	// Light that stays where it is adds the same level everywhere; lamps that all
	// changed in between add the same stops. What varies less is the likelier.
	if deviation/mean < uneven/level {
		b.warn("more_than_the_sum", "All lamps together read %s more than the lamps alone add up to, by the same factor everywhere: the light changed in between; the shares hold all the same.", photometry.FormatStops(mean))
		return nil
	}
	if b.ambient == nil {
		b.ambient = make([]float64, b.n)
	}
	for i := range b.ambient {
		b.ambient[i] += level
	}
	b.warn("unexplained_light", "All lamps together read %s more than the lamps alone add up to: %s is taken as ambient light everywhere, which no trim changes.",
		photometry.FormatStops(mean), b.level(level))
	return nil
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
				b.left[x.Point] = true
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
		if a := b.ambientAt(i); a >= v && !b.left[i] {
			return fmt.Errorf("the ambient light, %s, is no less than all lamps together at %s, %s", b.level(a), s.Name(i), b.level(v))
		}
	}
	slip := map[[2]int]bool{}
	for j, m := range b.lamp {
		b.suspects = append(b.suspects, suspectsOf(m)...)
		for _, x := range m.Suspects {
			slip[[2]int{j, x.Point}] = true
		}
	}
	var readings []shareReading
	for i := range b.n {
		total, ok := b.complete(i)
		for j := range b.lamp {
			ok = ok && !slip[[2]int{j, i}]
		}
		switch {
		case b.left[i] && !ok:
			continue
		case !ok:
			total = b.together[i] - b.ambientAt(i)
		case total == 0:
			continue
		}
		for j, m := range b.lamp {
			if v := b.alone(m, i); !math.IsNaN(v) && !slip[[2]int{j, i}] {
				readings = append(readings, shareReading{j, i, min(v/total, 1)})
			}
		}
	}
	fit, ok := fitShares(len(b.lamp), s.X, s.Y, readings)
	if !ok {
		fewest := slices.MinFunc(b.lamp, func(a, c *survey.LampMap) int { return a.Read - c.Read })
		return fmt.Errorf("the lamp %q was read alone at %d place%s, expected every lamp alone at three places or more that are set apart, better six, or everywhere", fewest.Name, fewest.Read, plural(fewest.Read))
	}
	b.fit = fit
	b.maps = make([][]float64, len(b.lamp))
	for j := range b.maps {
		b.maps[j] = make([]float64, b.n)
	}
	for i, v := range b.together {
		shares, _ := fit.at(s.X[i], s.Y[i])
		for j, share := range shares {
			b.maps[j][i] = share * max(0, v-b.ambientAt(i))
		}
	}
	e := &ShareError{Places: fit.places, Terms: len(fit.terms)}
	if fit.missed != nil {
		percent := 100 * floats.Norm(fit.missed, 2) / math.Sqrt(float64(len(fit.missed)))
		e.ErrorPercent = &percent
	}
	b.r.Shares = e
	return nil
}

// levels are those of all points with each lamp at a trim.
func (b *balancing) levels(trims []float64) []float64 {
	out := make([]float64, b.n)
	for i := range out {
		out[i] = b.ambientAt(i)
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
	if b.fit != nil {
		smooth = make([]float64, b.n)
		s := b.set.Surface
		for i := range of {
			of[i] = 1
			if s.Repeats != nil && s.Repeats[i] > 1 {
				of[i] = 1 / math.Sqrt(float64(s.Repeats[i]))
			}
			if levels[i] > 0 {
				lit := (levels[i] - b.ambientAt(i)) / levels[i]
				smooth[i] = lit * b.fit.deviation(s.X[i], s.Y[i], trims)
			}
		}
		return of, smooth
	}
	for i := range of {
		if !(levels[i] > 0) {
			continue
		}
		sum := b.ambientAt(i) * b.ambientAt(i)
		for j, m := range b.maps {
			part := trims[j] * m[i]
			k := 1.0
			if r := b.lamp[j].Repeats; r != nil && r[i] > 1 {
				k = float64(r[i])
			}
			sum += part * part / k
		}
		of[i] = math.Sqrt(sum) / levels[i]
	}
	return of, nil
}
