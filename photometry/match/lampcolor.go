package match

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

const (
	// leastColorScatter is the least standard deviation of a color in CIE 1976 u′, v′
	// that is reckoned with: a tenth of a step of 0.0011 (CIE TN 001:2014), about the
	// last digit of a meter.
	leastColorScatter = 1.1e-4
	// leastColorShift in u′, v′ is half a step: less is not worth a gel. Errors of the
	// lamps' shares pass a part of one lamp's shift on to others, so that less than a
	// fifth of the largest is not one of its own.
	leastColorShift = 5.5e-4
)

// colorFit finds which lamps' colors changed. Where lights mix, u′ and v′ are means
// of theirs by the weights E·(X + 15Y + 3Z)/Y, which is E/v′ (Grassmann's law). So at
// each place the color today less the color that today's levels would mix of the
// lamps as they were is a sum of the lamps' changes by those weights. Where the day
// before was read in color too, its color counts in place of the mix that the lamps'
// colors would have made then, so that a difference of the lamps' readings, or of the
// meter's place, does not enter.
type colorFit struct {
	names   []string
	was     []lampColor   // the day before
	weight  [][]float64   // by lamp, the last for a change of all light; a row for each color
	off     []float64     // u′ of all rows, then v′, in units of their scatter
	errors  [][]float64   // of off by the lamps' levels, one deviation each
	root    [2][2]float64 // lower Cholesky factor of the scatter's covariance
	freedom int           // its degrees of freedom
}

// lampColor is the color of a lamp by its readings alone.
type lampColor struct {
	uv    colorimetry.UVPrime
	light colorimetry.CCT
	known bool
}

func colorAlone(m *survey.LampMap) (c lampColor) {
	if m == nil {
		return c
	}
	if mixed := m.Mixed(); mixed.Y > 0 {
		c.uv = mixed.XY().UVPrime()
		light, err := c.uv.CCT()
		c.light, c.known = light, err == nil
	}
	return c
}

// mix are the weights of the lamps in a reading and the color that they mix, each at a
// part of its level of the day before.
func (c *colorFit) mix(f *levelFit, r levelRow, levels []float64) (weights []float64, uv colorimetry.UVPrime) {
	weights = make([]float64, len(levels))
	for j, lamp := range c.was {
		if v := f.light.level[j][r.pair]; (r.lamp < 0 || r.lamp == j) && v > 0 && lamp.known {
			weights[j] = levels[j] * v / lamp.uv.V
		}
	}
	sum := floats.Sum(weights)
	if !(sum > 0) {
		return nil, uv
	}
	floats.Scale(1/sum, weights)
	for j, w := range weights {
		uv.U, uv.V = uv.U+w*c.was[j].uv.U, uv.V+w*c.was[j].uv.V
	}
	return weights, uv
}

// offs is by how much the colors of today are off those that the lamps as they were
// would mix at some levels; the weights of rows that no light falls on are nil.
func (c *colorFit) offs(f *levelFit, rows []levelRow, levels []float64) (weights [][]float64, u, v []float64) {
	ones := slices.Repeat([]float64{1}, len(levels))
	for _, r := range rows {
		w, from := c.mix(f, r, levels)
		if _, then := c.mix(f, r, ones); !math.IsNaN(r.before.U) {
			from.U, from.V = from.U+r.before.U-then.U, from.V+r.before.V-then.V
		}
		weights, u, v = append(weights, w), append(u, r.today.U-from.U), append(v, r.today.V-from.V)
	}
	return weights, u, v
}

// lampColors names the lamps whose color changed, where the readings support that
// over any other lamp's, and over one shift of all light.
func (m *matching) lampColors(f *levelFit) {
	if f == nil || m.r.Color == nil && !m.after.s.HasColor() {
		return
	}
	c := &colorFit{names: f.light.names}
	for j, lamp := range f.light.maps {
		c.was = append(c.was, colorAlone(lamp))
		if !c.was[j].known && f.light.sharePercent(j) >= 1 {
			m.r.infer("match.lamp_colorless", "lamp", c.names[j])
			return
		}
	}
	if !c.prepare(f) {
		m.r.infer("match.few_colors")
		return
	}
	m.describeColors(f, c, c.choose())
}

// prepare sets the rows up and finds their scatter: the covariance of u′ and v′ that
// is left with a change of every lamp, RᵀR/(n − lamps). ok is false where it leaves
// less than two degrees of freedom.
func (c *colorFit) prepare(f *levelFit) (ok bool) {
	levels := f.byLamp()
	rows := slices.DeleteFunc(slices.Clone(f.rows), func(r levelRow) bool {
		w, _ := c.mix(f, r, levels)
		return w == nil || math.IsNaN(r.today.U)
	})
	weights, u, v := c.offs(f, rows, levels)
	c.weight = make([][]float64, len(c.was)+1)
	for _, w := range weights {
		for j, part := range w {
			c.weight[j] = append(c.weight[j], part)
		}
		c.weight[len(w)] = append(c.weight[len(w)], 1)
	}
	inU, inV := c.leftBy(u), c.leftBy(v)
	if inU == nil || inV == nil || inU.free < 2 {
		return false
	}
	c.freedom = inU.free
	c.factorize(inU.rest, inV.rest)
	c.off = c.whiten(u, v)
	for _, by := range f.levelErrors() {
		perturbed := slices.Clone(levels)
		for j := range perturbed {
			perturbed[j] = math.Max(0, levels[j]+by[j])
		}
		if _, pu, pv := c.offs(f, rows, perturbed); !slices.ContainsFunc(pu, math.IsNaN) {
			floats.Sub(pu, u)
			floats.Sub(pv, v)
			c.errors = append(c.errors, c.whiten(pu, pv))
		}
	}
	return true
}

// leftBy fits one coordinate with a change of every lamp that has some light.
func (c *colorFit) leftBy(off []float64) *solution {
	e := equations{y: off}
	for _, w := range c.weight[:len(c.was)] {
		if floats.Norm(w, 2) > 0 {
			e.add(w)
		}
	}
	return e.solve()
}

// factorize makes the root of the covariance of the rest in u′ and v′.
func (c *colorFit) factorize(u, v []float64) {
	per := 1 / float64(c.freedom)
	floor := leastColorScatter * leastColorScatter
	uu, vv, uv := math.Max(floor, per*floats.Dot(u, u)), math.Max(floor, per*floats.Dot(v, v)), per*floats.Dot(u, v)
	a := math.Sqrt(uu)
	b := uv / a
	c.root = [2][2]float64{{a, 0}, {b, math.Sqrt(math.Max(vv-b*b, 1e-3*vv))}}
}

// whiten stacks the two coordinates in units of their scatter, independent.
func (c *colorFit) whiten(u, v []float64) []float64 {
	n := len(u)
	out := make([]float64, 2*n)
	for i := range n {
		out[i] = u[i] / c.root[0][0]
		out[n+i] = (v[i] - c.root[1][0]*out[i]) / c.root[1][1]
	}
	return out
}

// levelErrors are the errors of the lamps' levels, one deviation each in independent
// directions.
func (f *levelFit) levelErrors() (out [][]float64) {
	var chol mat.Cholesky
	if f.cov == nil || !chol.Factorize(f.cov) {
		return nil
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	scale := math.Sqrt(f.misfit())
	for part := range f.units {
		by := make([]float64, len(f.light.names))
		for j := range by {
			by[j] = scale * lower.At(f.unitOf(j), part)
		}
		out = append(out, by)
	}
	return out
}

// fit is that of changes of a set of lamps: u′ and v′ of each in turn, in units of
// the scatter; nil where the places do not separate them.
func (c *colorFit) fit(set []int) *solution {
	e := equations{y: slices.Clone(c.off)}
	none := make([]float64, len(c.off)/2)
	for _, j := range set {
		e.add(c.weight[j], slices.Concat(none, c.weight[j]))
	}
	e.share(c.errors)
	if len(e.columns) == 0 {
		return &solution{chi2: floats.Dot(c.off, c.off)}
	}
	if s := e.solve(); s != nil && s.cov != nil {
		return s
	}
	return nil
}

// chi2 is that of a set, +Inf where it cannot be fitted.
func (c *colorFit) chi2(set []int) float64 {
	if s := c.fit(set); s != nil {
		return s.chi2
	}
	return math.Inf(1)
}

// common is the index of a change of all light alike.
func (c *colorFit) common() int { return len(c.was) }

// enough is by how much χ² has to fall for one lamp more: Hotelling's T² of two
// coordinates whose scatter is estimated.
func (c *colorFit) enough() float64 {
	nu := float64(c.freedom)
	return 2 * nu / (nu - 1) * fisherAt(claimAt(falseClaims, len(c.was)+1), 2, c.freedom-1)
}

// with are the χ² of a set with each further lamp, or with the common shift, which
// goes with no lamp; +Inf for those in the set.
func (c *colorFit) with(set []int, except ...int) []float64 {
	out := make([]float64, len(c.was)+1)
	for j := range out {
		out[j] = math.Inf(1)
		if !slices.Contains(set, j) && !slices.Contains(except, j) && (j != c.common() || len(set) == 0) {
			out[j] = c.chi2(append(slices.Clone(set), j))
		}
	}
	return out
}

// choose takes in the lamps, or the common shift, that explain most, one by one.
func (c *colorFit) choose() (set []int) {
	for now := c.chi2(nil); !slices.Contains(set, c.common()); {
		scores := c.with(set)
		best, _ := leastOf(scores)
		if best < 0 || now-scores[best] < c.enough() {
			break
		}
		set, now = append(set, best), scores[best]
	}
	return set
}

// describeColors puts what was chosen into the result.
func (m *matching) describeColors(f *levelFit, c *colorFit, set []int) {
	if len(set) == 0 {
		return
	}
	fit := c.fit(set)
	sizes := make([]float64, len(set))
	for k := range set {
		shift := c.shift(fit, k)
		sizes[k] = math.Hypot(shift.U, shift.V)
	}
	for k, j := range set {
		without := slices.Delete(slices.Clone(set), k, k+1)
		if sizes[k] < math.Max(leastColorShift, slices.Max(sizes)/5) || c.chi2(without)-fit.chi2 < c.enough() {
			continue
		}
		scores := c.with(without, j)
		rival, _ := leastOf(scores)
		switch {
		case rival >= 0 && scores[rival]-fit.chi2 >= rivalMargin, rival < 0:
			if j == c.common() {
				m.r.warn("match.color_of_all")
			} else {
				m.describeColor(f, c, fit, k, j)
			}
		case j == c.common() || rival == c.common():
			m.r.warn("match.color_lamp_unknown")
		default:
			m.r.warn("match.either.color_lamp_unknown", "lamp", c.names[j], "other", c.names[rival])
		}
	}
}

// shift is by how much the k-th lamp of a fit changed in u′ and v′.
func (c *colorFit) shift(fit *solution, k int) colorimetry.UVPrime {
	u, v := fit.x[2*k], fit.x[2*k+1]
	return colorimetry.UVPrime{U: c.root[0][0] * u, V: c.root[1][0]*u + c.root[1][1]*v}
}

// describeColor puts the change of lamp j, the k-th of a fit, into the result.
func (m *matching) describeColor(f *levelFit, c *colorFit, fit *solution, k, j int) {
	l, was := m.r.Lamps[c.names[j]], c.was[j]
	if !was.known || l.Percent == nil {
		return // what is not known to shine has no color
	}
	by := c.shift(fit, k)
	now, err := colorimetry.UVPrime{U: was.uv.U + by.U, V: was.uv.V + by.V}.CCT()
	if err != nil {
		m.r.warn("match.color_off_white", "lamp", c.names[j])
		return
	}
	shift := &LampShift{MiredShift: now.Mired() - was.light.Mired(), DuvShift: now.Duv - was.light.Duv,
		CCTBefore: was.light.Kelvin, DuvBefore: was.light.Duv, CCT: now.Kelvin, Duv: now.Duv}
	weightError := f.weightError(j)
	within := func(shift float64, of func(colorimetry.CCT) float64) *[2]float64 {
		half := uncertainty.Factor(c.freedom) * math.Sqrt(c.variance(fit, k, was.uv, by, of)+shift*shift*weightError)
		return &[2]float64{shift - half, shift + half}
	}
	shift.MiredInterval = within(shift.MiredShift, colorimetry.CCT.Mired)
	shift.DuvInterval = within(shift.DuvShift, func(t colorimetry.CCT) float64 { return t.Duv })
	if holdsZero(shift.MiredInterval) && holdsZero(shift.DuvInterval) {
		return
	}
	if need, err := colorimetry.Needs(now, was.light); err == nil {
		shift.NeedsMired, shift.NeedsCC, shift.NeedsCCColor = &need.Mired, &need.CC, need.CCColor
		shift.Gel = colorimetry.InGelWords(need.Mired, need.Filter())
	}
	l.Color = shift
	m.r.Lamps[c.names[j]] = l
}

// variance of a coordinate of the k-th lamp's color, by its slopes in units of the
// scatter.
func (c *colorFit) variance(fit *solution, k int, was, by colorimetry.UVPrime, of func(colorimetry.CCT) float64) float64 {
	const step = 1e-5
	at := func(du, dv float64) float64 {
		t, err := colorimetry.UVPrime{U: was.U + by.U + du, V: was.V + by.V + dv}.CCT()
		if err != nil {
			return math.NaN()
		}
		return of(t)
	}
	u, v := (at(step, 0)-at(-step, 0))/(2*step), (at(0, step)-at(0, -step))/(2*step)
	u, v = u*c.root[0][0]+v*c.root[1][0], v*c.root[1][1]
	a := 2 * k
	return u*u*fit.cov.At(a, a) + 2*u*v*fit.cov.At(a, a+1) + v*v*fit.cov.At(a+1, a+1)
}

// weightError is the variance of a lamp's weight in the mix, relative: that of its
// level, and of its share where that is fitted.
func (f *levelFit) weightError(lamp int) float64 {
	u := f.unitOf(lamp)
	out := f.misfit() * f.cov.At(u, u) / (f.x[u] * f.x[u])
	if s := f.light.shares; s != nil && lamp < len(s.Missed) {
		missed := 100 * s.Missed[lamp] / f.light.sharePercent(lamp)
		out += missed * missed
	}
	return out
}
