package dimmer

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/interp"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/uncertainty"
)

// Reading is a lamp at one setting of its dimmer. Color and flicker are nil where they
// were not read.
type Reading struct {
	Lamp     string
	Line     int              // of the table, 0 for none
	Percent  float64          // of the dial, 0 to 100
	Level    photometry.Level // above 0, or 0 where the lamp is dark
	Kelvin   *float64
	Duv      *float64
	Flickers *bool
}

// FewestRows is the number of different settings from which on the gaps between the rows
// can be judged by how the curve bends. With fewer, all that is known of a setting
// between two rows is that it lies between them.
const FewestRows = 4

// Curve is the monotone curve of one dimmer: log2 of the level over log2 of the dial,
// where linear, square-law and any other power-law dimmers are straight lines.
type Curve struct {
	knots []knot
	level interp.FritschButland
	mired *colorCurve // nil where no two rows have a color
	duv   *colorCurve
	// scatter is the standard deviation of one reading in stops, and factor the
	// two-sided 95 % point that goes with it.
	scatter, factor float64
}

// colorCurve is mired or Duv over log2 of the dial.
type colorCurve struct {
	knots   []knot
	curve   interp.FritschButland
	scatter float64 // standard deviation of one reading
}

// knot is the mean of the readings at one setting, or at several whose levels fall
// within their scatter.
type knot struct {
	percent, x float64 // x is log2 of the dial
	y          float64 // log2 of the level
	weight     float64 // readings
}

// Linear is the dimmer that gives as much as its dial says: level over setting is a
// constant. It is what is assumed of a lamp without readings.
func Linear(percent, stops float64) float64 { return percent * photometry.Factor(stops) }

// newCurve puts a curve through readings of more than nothing. It is nil for fewer than
// two settings.
func newCurve(readings []Reading, scatter, factor float64) *Curve {
	c := &Curve{scatter: scatter, factor: factor, knots: means(readings, logLevel)}
	if len(c.knots) < 2 {
		return nil
	}
	monotone(c.knots)
	fit(&c.level, c.knots)
	c.colors(readings)
	return c
}

// fit puts the monotone piecewise cubic through knots: F. N. Fritsch and J. Butland,
// SIAM J. Sci. Stat. Comput. 5 (1984) 300, after F. N. Fritsch and R. E. Carlson, SIAM J.
// Numer. Anal. 17 (1980) 238.
func fit(to *interp.FritschButland, knots []knot) {
	var xs, ys []float64
	for _, k := range knots {
		xs, ys = append(xs, k.x), append(ys, k.y)
	}
	if err := to.Fit(xs, ys); err != nil {
		panic("dimmer: " + err.Error()) // knots rise and are two at least
	}
}

// logLevel is log2 of a reading's level, nil of none.
func logLevel(r Reading) *float64 {
	if !(r.Level.Value > 0) {
		return nil
	}
	return new(math.Log2(r.Level.Value))
}

// means are the mean values of readings at each setting above 0, in rising order.
func means(readings []Reading, value func(Reading) *float64) (knots []knot) {
	for _, r := range readings {
		y := value(r)
		if !(r.Percent > 0) || y == nil {
			continue
		}
		i := slices.IndexFunc(knots, func(k knot) bool { return k.percent == r.Percent })
		if i < 0 {
			knots = append(knots, knot{percent: r.Percent, x: math.Log2(r.Percent), y: *y, weight: 1})
			continue
		}
		k := &knots[i]
		k.y, k.weight = (k.y*k.weight+*y)/(k.weight+1), k.weight+1
	}
	slices.SortFunc(knots, func(a, b knot) int { return cmp.Compare(a.percent, b.percent) })
	return knots
}

// monotone puts neighbors that fall at their common mean: the least squares fit of a
// curve that does not fall (pool adjacent violators; M. Ayer and others, Ann. Math.
// Statist. 26 (1955) 641).
func monotone(knots []knot) {
	type block struct {
		y, weight float64
		n         int
	}
	var blocks []block
	for _, k := range knots {
		b := block{k.y, k.weight, 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].y > b.y {
			last := blocks[len(blocks)-1]
			blocks = blocks[:len(blocks)-1]
			w := last.weight + b.weight
			b = block{(last.y*last.weight + b.y*b.weight) / w, w, last.n + b.n}
		}
		blocks = append(blocks, b)
	}
	i := 0
	for _, b := range blocks {
		for range b.n {
			knots[i].y = b.y
			i++
		}
	}
}

// colors puts curves through mired and Duv over the dial.
func (c *Curve) colors(readings []Reading) {
	of := func(scatter float64, value func(Reading) *float64) *colorCurve {
		to := &colorCurve{knots: means(readings, value), scatter: scatter}
		if len(to.knots) < 2 {
			return nil
		}
		fit(&to.curve, to.knots)
		return to
	}
	c.mired = of(uncertainty.AssumedMired, func(r Reading) *float64 {
		if r.Kelvin == nil {
			return nil
		}
		return new(1e6 / *r.Kelvin)
	})
	c.duv = of(uncertainty.AssumedDuv, func(r Reading) *float64 { return r.Duv })
}

// Range is the dial from the lowest to the highest setting that was read, in percent.
func (c *Curve) Range() (low, high float64) {
	return c.knots[0].percent, c.knots[len(c.knots)-1].percent
}

// Level is the level at a setting in percent within the range, in the unit of the
// readings.
func (c *Curve) Level(percent float64) float64 { return math.Exp2(c.stops(percent)) }

func (c *Curve) stops(percent float64) float64 { return c.level.Predict(math.Log2(percent)) }

// Color is the color temperature in kelvins and Duv at a setting in percent, each nil
// where it was not read at two settings with this one between them. An interval in kelvins
// ends at colorimetry.MaxKelvin.
func (c *Curve) Color(percent float64) (kelvin, duv *Estimate) {
	x := math.Log2(percent)
	if m := c.mired.at(x); m != nil {
		least := max(m.Interval[0], colorimetry.Mired(colorimetry.MaxKelvin)) // not 0 or less, which are no kelvins
		kelvin = &Estimate{1e6 / m.Value, [2]float64{1e6 / m.Interval[1], 1e6 / least}}
	}
	return kelvin, c.duv.at(x)
}

// Estimate is a value with its 95 % interval.
type Estimate struct {
	Value    float64
	Interval [2]float64
}

// at is the color at log2 of a setting, nil outside the settings that have one. Unlike the
// level a color may turn between two rows, so that nothing holds it between them.
func (c *colorCurve) at(x float64) *Estimate {
	if c == nil || x < c.knots[0].x-1e-9 || x > c.knots[len(c.knots)-1].x+1e-9 {
		return nil
	}
	y, g := c.curve.Predict(x), gapAt(c.knots, x)
	if len(c.knots) < FewestRows && g.inside() {
		off := func(k knot) float64 { return uncertainty.Factor(0) * c.scatter / math.Sqrt(k.weight) }
		return &Estimate{y, [2]float64{min(g.a.y-off(g.a), g.b.y-off(g.b)), max(g.a.y+off(g.a), g.b.y+off(g.b))}}
	}
	off := uncertainty.Factor(0) * math.Sqrt(g.variance(c.scatter)+g.off*g.off)
	return &Estimate{y, [2]float64{y - off, y + off}}
}

// bend is how much of the change of slope at the two ends of a gap the curve may be off
// in its middle, as a standard deviation: found by simulation over dimmers of several
// laws (linear, square, S, logarithmic, with a threshold), see package calibration.
const bend = 0.13

// Band is the 95 % interval of log2 of the level at a setting within the range: the
// scatter of the rows beside it, and what a monotone curve may do between them, which
// grows with how the neighboring slopes differ and never passes the rows themselves.
func (c *Curve) Band(percent float64) (low, high float64) {
	x := math.Log2(percent)
	g, y := gapAt(c.knots, x), c.level.Predict(x)
	if len(c.knots) < FewestRows && g.inside() {
		return g.a.y - c.factor*c.scatter/math.Sqrt(g.a.weight), g.b.y + c.factor*c.scatter/math.Sqrt(g.b.weight)
	}
	reading := g.variance(c.scatter)
	// A monotone curve lies between the two rows.
	down, up := min(g.off, (y-g.a.y)/c.factor), min(g.off, (g.b.y-y)/c.factor)
	return y - c.factor*math.Sqrt(reading+down*down), y + c.factor*math.Sqrt(reading+up*up)
}

// gap is where a setting lies between two rows: its share t of the way from a to b, and by
// how much the curve may be off there, as a standard deviation.
type gap struct {
	a, b   knot
	t, off float64
}

// gapAt is the gap at log2 of a setting; beyond the rows it is the first or the last.
func gapAt(knots []knot, x float64) gap {
	i := sort.Search(len(knots), func(i int) bool { return knots[i].x > x }) - 1
	i = max(0, min(i, len(knots)-2))
	g := gap{a: knots[i], b: knots[i+1]}
	g.t = (x - g.a.x) / (g.b.x - g.a.x)
	g.off = bend * bent(knots, i) * (g.b.x - g.a.x) * 4 * g.t * (1 - g.t)
	return g
}

// inside reports whether a setting is on neither of the two rows.
func (g gap) inside() bool { return g.t > 0 && g.t < 1 }

// variance is that of the curve there by the scatter of readings, the standard deviation
// of one. The cubic leans on the rows beyond as well: in the middle of a gap their slopes
// weigh 1/16 each, which adds a quarter to the variance of the mean of two.
func (g gap) variance(scatter float64) float64 {
	return scatter * scatter * ((1-g.t)*(1-g.t)/g.a.weight + g.t*g.t/g.b.weight) * (1 + 1.1*g.t*(1-g.t))
}

// bent is the larger change of slope at the two ends of a gap, twice that in the first
// and the last, which have one end alone to tell it by.
func bent(knots []knot, i int) float64 {
	slope := func(i int) float64 {
		return (knots[i+1].y - knots[i].y) / (knots[i+1].x - knots[i].x)
	}
	below, above := i > 0, i+2 < len(knots)
	switch {
	case below && above:
		return max(math.Abs(slope(i)-slope(i-1)), math.Abs(slope(i+1)-slope(i)))
	case below:
		return 2 * math.Abs(slope(i)-slope(i-1))
	case above:
		return 2 * math.Abs(slope(i+1)-slope(i))
	}
	return 0
}

// At is the setting that gives a level, and its 95 % interval; false where no setting
// that was read gives it. An interval ends where the readings do.
func (c *Curve) At(level float64) (percent float64, interval [2]float64, ok bool) {
	return c.at(math.Log2(level), 0)
}

// steps is in how many steps of the logarithm the dial is searched.
const steps = 200

// at is At for log2 of a level that is itself known to so many stops, its 95 % half
// width. The setting may be any whose band has the level.
func (c *Curve) at(y, off float64) (percent float64, interval [2]float64, ok bool) {
	low, high := c.Range()
	if y < c.stops(low)-1e-9 || y > c.stops(high)+1e-9 {
		return 0, interval, false
	}
	at := func(i int) float64 { return low * math.Pow(high/low, float64(i)/steps) }
	edges := func(p float64) (from, to float64) {
		from, to = c.Band(p)
		middle := c.stops(p)
		return middle - math.Hypot(middle-from, off), middle + math.Hypot(to-middle, off)
	}
	reached := func(p float64) bool { return c.stops(p) >= y }
	mayReach := func(p float64) bool { _, to := edges(p); return to >= y }
	mustExceed := func(p float64) bool { from, _ := edges(p); return from > y }
	percent = crossing(low, high, reached)
	// The edges of the band may fall within a gap: the first and the last setting count.
	interval = [2]float64{percent, percent}
	for i := range steps {
		if a, b := at(i), at(i+1); mayReach(b) {
			interval[0] = crossing(a, b, mayReach)
			break
		}
	}
	for i := steps; i > 0; i-- {
		if a, b := at(i-1), at(i); !mustExceed(a) {
			interval[1] = crossing(a, b, mustExceed)
			break
		}
	}
	return percent, [2]float64{min(interval[0], percent), max(interval[1], percent)}, true
}

// crossing is where between two settings something begins to be true: the lower one where
// it is true there, the upper one where it is not below.
func crossing(a, b float64, is func(percent float64) bool) float64 {
	if is(a) {
		return a
	}
	for b-a > 1e-7*b {
		if middle := (a + b) / 2; is(middle) {
			b = middle
		} else {
			a = middle
		}
	}
	return b
}
