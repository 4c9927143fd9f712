package match

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// leastColorScatter is the least standard deviation of a color in CIE 1976 u′, v′
// that is reckoned with: a tenth of a step of 0.0011, about the last digit of a
// meter.
const leastColorScatter = 1.1e-4

// leastColorShift in u′, v′ is half a step of 0.0011: less is not worth a gel. Errors
// of the lamps' shares pass a part of one lamp's shift on to others, so that less
// than a fifth of the largest is not told either.
const leastColorShift = 5.5e-4

// ratios are the tristimulus values X/Y and Z/Y of a color: where lights mix,
// each is the mean by their shares of the level (Grassmann's law).
type ratios struct{ x, z float64 }

func ratiosOf(uv colorimetry.UVPrime) ratios {
	// u′ = 4X/(X + 15Y + 3Z), v′ = 9Y/(X + 15Y + 3Z).
	x := 9 * uv.U / (4 * uv.V)
	return ratios{x, (9/uv.V - 15 - x) / 3}
}

func (r ratios) uv() colorimetry.UVPrime {
	d := r.x + 15 + 3*r.z
	return colorimetry.UVPrime{U: 4 * r.x / d, V: 9 / d}
}

// slopes are the derivatives of u′ and v′ by X/Y and Z/Y.
func (r ratios) slopes() (ux, uz, vx, vz float64) {
	d := r.x + 15 + 3*r.z
	return 4/d - 4*r.x/(d*d), -12 * r.x / (d * d), -9 / (d * d), -27 / (d * d)
}

// lampColor is the color of a lamp the day before, by its readings alone.
type lampColor struct {
	is    ratios
	light colorimetry.CCT
	known bool
}

func colorAlone(m *survey.LampMap) (c lampColor) {
	if m == nil {
		return c
	}
	mixed := m.Mixed()
	if !(mixed.Y > 0) {
		return c
	}
	c.is = ratios{mixed.X / mixed.Y, mixed.Z / mixed.Y}
	var err error
	c.light, err = mixed.XY().CCT()
	c.known = err == nil
	return c
}

// colorFit finds which lamps' colors changed: at each place the color today less
// the color that today's levels would mix of the lamps as they were, in CIE 1976
// u′, v′, is a sum of the lamps' changes by their shares. Where the day before
// was read in color too, its colors count in place of the mix that the lamps'
// colors would have made then, so that a difference of the lamps' readings, or of
// the meter's place, does not enter.
type colorFit struct {
	lamps  []lampColor
	share  [][]float64 // by lamp, today, by row
	from   []ratios    // that the lamps as they were would mix
	off    []float64   // u′ and v′ of each row in turn
	along  *mat.Dense  // how errors of the lamps' levels look in off, one direction a column; nil for none
	shrink []float64   // what of each direction weighing takes away
	common int         // stands for all lamps alike; one after the last lamp
}

// lampColors names the lamps whose color changed, where the readings support that
// over any other lamp's, and over one shift of all light.
func (m *matching) lampColors(f *levelFit) {
	if f == nil || m.r.Color == nil && !m.after.s.HasColor() {
		return
	}
	if j := f.colorless(); j >= 0 {
		m.infer("match.lamp_colorless", "lamp", f.light.names[j])
		return
	}
	c := m.newColorFit(f, f.byLamp())
	var all []int
	for j := range c.lamps {
		all = append(all, j)
	}
	full, freedom := c.chi2(all)
	if freedom < 2 {
		m.infer("match.few_colors")
		return
	}
	t := colorTest{colorFit: c, names: f.light.names, variance: math.Max(full/float64(freedom), leastColorScatter*leastColorScatter), freedom: freedom,
		enough: 2 * distuv.F{D1: 2, D2: float64(freedom)}.Quantile(0.999)}
	t.perturbed = m.perturbedFits(f, len(c.off))
	c.prepareWhitening(t.perturbed, t.variance)
	t.choose()
	m.describeColors(&t)
}

// colorless is a lamp that gives light and whose color alone was not read, −1 for
// none.
func (f *levelFit) colorless() int {
	for j, lamp := range f.light.maps {
		if !colorAlone(lamp).known && f.light.sharePercent(j) >= 1 {
			return j
		}
	}
	return -1
}

// colorTest asks which lamps' colors changed.
type colorTest struct {
	*colorFit
	names     []string
	perturbed []*colorFit
	variance  float64 // of a color in u′ and v′
	freedom   int     // its degrees of freedom
	enough    float64 // by how much χ² has to fall for one lamp more
	set       []int   // those that explain the colors
	now       float64 // χ² with them
}

// scaled is χ² with a set of lamps in units of the scatter.
func (t *colorTest) scaled(set []int) float64 {
	squares, _ := t.chi2(set)
	return squares / t.variance
}

// choose takes in the lamps, or the common shift, that explain most, one by one.
func (t *colorTest) choose() {
	t.now = t.scaled(nil)
	for len(t.set) < len(t.lamps) && !slices.Contains(t.set, t.common) {
		best, least := -1, t.now
		for j := range t.common + 1 {
			if slices.Contains(t.set, j) || j == t.common && len(t.set) > 0 {
				continue
			}
			if v := t.scaled(append(slices.Clone(t.set), j)); v < least {
				best, least = j, v
			}
		}
		if best < 0 || t.now-least < t.enough {
			return
		}
		t.set, t.now = append(t.set, best), least
	}
}

// rival is another lamp, or the common shift, that explains the colors nearly as
// well in place of one of the set; −1 for none.
func (t *colorTest) rival(without []int) int {
	for k := range t.common + 1 {
		if slices.Contains(t.set, k) || k == t.common && len(t.set) > 1 {
			continue
		}
		if t.scaled(append(slices.Clone(without), k))-t.now < rivalMargin {
			return k
		}
	}
	return -1
}

// describeColors puts what the test chose into the result.
func (m *matching) describeColors(t *colorTest) {
	largest := 0.0
	for _, j := range t.set {
		largest = max(largest, t.size(t.set, j))
	}
	for _, j := range t.set {
		without := slices.DeleteFunc(slices.Clone(t.set), func(k int) bool { return k == j })
		if t.size(t.set, j) < max(leastColorShift, largest/5) || t.scaled(without)-t.now < t.enough {
			continue
		}
		switch rival := t.rival(without); {
		case rival >= 0 && j != t.common && rival != t.common:
			m.warn("match.either.color_lamp_unknown", "lamp", t.names[j], "other", t.names[rival])
		case rival >= 0:
			m.warn("match.color_lamp_unknown")
		case j == t.common:
			m.warn("match.color_of_all")
		default:
			m.describeColor(t, j)
		}
	}
}

// newColorFit sets the rows up, with each lamp's level today as a part of the day
// before.
func (m *matching) newColorFit(f *levelFit, trims []float64) *colorFit {
	light := f.light
	c := &colorFit{common: len(light.names), share: make([][]float64, len(light.names))}
	for _, lamp := range light.maps {
		c.lamps = append(c.lamps, colorAlone(lamp))
	}
	for _, k := range f.rows {
		p := m.r.Points[k]
		if today := colorRead(m.after.s, p.after); today != nil {
			c.addRow(light, trims, k, colorRead(m.before.s, p.before), *today)
		}
	}
	return c
}

// colorRead is the color read at a point, nil where there is none.
func colorRead(s *survey.Survey, i int) *colorimetry.UVPrime {
	if s.U == nil || math.IsNaN(s.U[i]) {
		return nil
	}
	return &colorimetry.UVPrime{U: s.U[i], V: s.V[i]}
}

// addRow takes in pair k with its color today, and that of the day before where it
// was read.
func (c *colorFit) addRow(light *lampLight, trims []float64, k int, before *colorimetry.UVPrime, today colorimetry.UVPrime) {
	var allBefore, allToday float64
	for j := range c.lamps {
		allBefore, allToday = allBefore+light.level[j][k], allToday+trims[j]*light.level[j][k]
	}
	if !(allBefore > 0) || !(allToday > 0) {
		return
	}
	var was, from ratios
	for j, lamp := range c.lamps {
		a, b := light.level[j][k]/allBefore, trims[j]*light.level[j][k]/allToday
		was.x, was.z = was.x+a*lamp.is.x, was.z+a*lamp.is.z
		from.x, from.z = from.x+b*lamp.is.x, from.z+b*lamp.is.z
		c.share[j] = append(c.share[j], b)
	}
	if before != nil {
		read := ratiosOf(*before)
		from.x, from.z = from.x+read.x-was.x, from.z+read.z-was.z
	}
	c.from = append(c.from, from)
	mixed := from.uv()
	c.off = append(c.off, today.U-mixed.U, today.V-mixed.V)
}

// design are the columns of a set of lamps: two unknowns each, the changes of X/Y
// and Z/Y.
func (c *colorFit) design(set []int) *mat.Dense {
	out := mat.NewDense(len(c.off), 2*len(set), nil)
	for i, from := range c.from {
		ux, uz, vx, vz := from.slopes()
		for s, j := range set {
			share := 1.0
			if j != c.common {
				share = c.share[j][i]
			}
			out.Set(2*i, 2*s, share*ux)
			out.Set(2*i, 2*s+1, share*uz)
			out.Set(2*i+1, 2*s, share*vx)
			out.Set(2*i+1, 2*s+1, share*vz)
		}
	}
	return out
}

// prepareWhitening makes chi2 reckon with the errors of the lamps' levels: where
// lamps differ in color, a level that is off by a few percent shifts the mix just
// as a change of color does. With the scatter σ² of a color and those errors'
// covariance GGᵀ the residuals are weighed by (σ²I + GGᵀ)^(-1/2)·σ, which takes
// from each direction u of G, of singular value s, the part 1 − 1/√(1 + s²/σ²).
func (c *colorFit) prepareWhitening(perturbed []*colorFit, variance float64) {
	if len(c.off) == 0 || len(perturbed) == 0 {
		return
	}
	g := mat.NewDense(len(c.off), len(perturbed), nil)
	for part, e := range perturbed {
		for i := range c.off {
			g.Set(i, part, e.off[i]-c.off[i])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(g, mat.SVDThin) {
		return
	}
	c.along = &mat.Dense{}
	svd.UTo(c.along)
	for _, s := range svd.Values(nil) {
		c.shrink = append(c.shrink, 1-1/math.Sqrt(1+s*s/variance))
	}
}

// perturbedFits are the fits of color with the lamps' levels off by one standard
// deviation in each independent direction of their errors.
func (m *matching) perturbedFits(f *levelFit, rows int) (out []*colorFit) {
	var chol mat.Cholesky
	if f.cov == nil || !chol.Factorize(f.cov) {
		return nil
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	n, _ := lower.Dims()
	scale := math.Sqrt(f.misfit())
	for part := range n {
		trims := f.byLamp()
		for j := range trims {
			trims[j] = math.Max(0, trims[j]+scale*lower.At(f.unitOf(j), part))
		}
		if c := m.newColorFit(f, trims); len(c.off) == rows {
			out = append(out, c)
		}
	}
	return out
}

// whiten weighs a column in place.
func (c *colorFit) whiten(v []float64) {
	for part, shrink := range c.shrink {
		u := mat.Col(nil, part, c.along)
		floats.AddScaled(v, -shrink*floats.Dot(u, v), u)
	}
}

// chi2 is the sum of squares in u′, v′ that a set of lamps leaves, weighed, and the
// degrees of freedom; +Inf where the places do not tell the set apart.
func (c *colorFit) chi2(set []int) (squares float64, freedom int) {
	off := slices.Clone(c.off)
	c.whiten(off)
	rest, _, ok := c.fit(set, off, true)
	if !ok {
		return math.Inf(1), 0
	}
	return floats.Dot(rest, rest), len(c.off) - 2*len(set)
}

// solve is the plain fit of a set of lamps.
func (c *colorFit) solve(set []int) (rest []float64, x *mat.VecDense, ok bool) {
	return c.fit(set, c.off, false)
}

func (c *colorFit) fit(set []int, off []float64, weighed bool) (rest []float64, x *mat.VecDense, ok bool) {
	if len(set) == 0 {
		return off, nil, true
	}
	if len(off) < 2*len(set) {
		return nil, nil, false
	}
	a := c.design(set)
	if weighed {
		for k := range 2 * len(set) {
			column := mat.Col(nil, k, a)
			c.whiten(column)
			a.SetCol(k, column)
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	x = mat.NewVecDense(2*len(set), nil)
	if qr.Cond() > 1e8 || qr.SolveVecTo(x, false, mat.NewVecDense(len(off), off)) != nil {
		return nil, nil, false
	}
	var model mat.VecDense
	model.MulVec(a, x)
	rest = slices.Clone(off)
	floats.Sub(rest, model.RawVector().Data)
	return rest, x, true
}

// size is by how much one of a set of lamps, or all light, changed in u′, v′.
func (c *colorFit) size(set []int, lamp int) float64 {
	_, x, ok := c.solve(set)
	if !ok {
		return 0
	}
	at, was := 2*slices.Index(set, lamp), c.from[0]
	if lamp != c.common {
		was = c.lamps[lamp].is
	}
	a, b := was.uv(), ratios{was.x + x.AtVec(at), was.z + x.AtVec(at+1)}.uv()
	return math.Hypot(b.U-a.U, b.V-a.V)
}

// lampNow is the color of one of a set of lamps today; ok is false where it cannot
// be told or is no white.
func (c *colorFit) lampNow(set []int, lamp int) (is ratios, now colorimetry.CCT, ok bool) {
	_, x, ok := c.solve(set)
	if !ok {
		return is, now, false
	}
	at, was := 2*slices.Index(set, lamp), c.lamps[lamp]
	is = ratios{was.is.x + x.AtVec(at), was.is.z + x.AtVec(at+1)}
	now, err := is.uv().CCT()
	return is, now, err == nil
}

// describeColor puts one lamp's change into the result.
func (m *matching) describeColor(t *colorTest, lamp int) {
	name, was := t.names[lamp], t.lamps[lamp]
	if !was.known || m.r.Lamps[name].Percent == nil {
		return // what is not known to shine has no color to tell
	}
	is, now, ok := t.lampNow(t.set, lamp)
	if !ok {
		m.warn("match.color_off_white", "lamp", name)
		return
	}
	shift := &LampShift{MiredShift: now.Mired() - was.light.Mired(), DuvShift: now.Duv - was.light.Duv,
		CCTBefore: was.light.Kelvin, DuvBefore: was.light.Duv, CCT: now.Kelvin, Duv: now.Duv}
	if mired, duv, ok := t.deviations(t.set, lamp, is, now, t.variance); ok {
		moreMired, moreDuv := byLevels(t.perturbed, t.set, lamp, now)
		hm, hd := uncertainty.Factor(t.freedom)*math.Sqrt(mired+moreMired), uncertainty.Factor(t.freedom)*math.Sqrt(duv+moreDuv)
		shift.MiredInterval = &[2]float64{shift.MiredShift - hm, shift.MiredShift + hm}
		shift.DuvInterval = &[2]float64{shift.DuvShift - hd, shift.DuvShift + hd}
	}
	if zero := func(i *[2]float64) bool { return i == nil || i[0] <= 0 && i[1] >= 0 }; zero(shift.MiredInterval) && zero(shift.DuvInterval) {
		return
	}
	if need, err := colorimetry.Needs(now, was.light); err == nil {
		shift.NeedsMired, shift.NeedsCC, shift.NeedsCCColor = need.Mired, need.CC, need.CCColor
		shift.Gel = colorimetry.InGelWords(need.Mired, need.Filter())
	}
	l := m.r.Lamps[name]
	l.Color = shift
	m.r.Lamps[name] = l
}

// deviations are the variances of a lamp's mired and Duv by the scatter of colors.
func (c *colorFit) deviations(set []int, lamp int, is ratios, now colorimetry.CCT, variance float64) (mired, duv float64, ok bool) {
	var normal, cov mat.SymDense
	normal.SymOuterK(1, c.design(set).T())
	var chol mat.Cholesky
	if !chol.Factorize(&normal) || chol.InverseTo(&cov) != nil {
		return 0, 0, false
	}
	const step = 1e-5
	dx, err1 := (ratios{is.x + step, is.z}).uv().CCT()
	dz, err2 := (ratios{is.x, is.z + step}).uv().CCT()
	if err1 != nil || err2 != nil {
		return 0, 0, false
	}
	at := 2 * slices.Index(set, lamp)
	of := func(part func(colorimetry.CCT) float64) float64 {
		gx, gz := (part(dx)-part(now))/step, (part(dz)-part(now))/step
		return variance * (gx*gx*cov.At(at, at) + 2*gx*gz*cov.At(at, at+1) + gz*gz*cov.At(at+1, at+1))
	}
	return of(colorimetry.CCT.Mired), of(func(t colorimetry.CCT) float64 { return t.Duv }), true
}

// byLevels are the variances of a lamp's mired and Duv by the errors of the lamps'
// levels, which weigh the colors.
func byLevels(perturbed []*colorFit, set []int, lamp int, now colorimetry.CCT) (mired, duv float64) {
	for _, c := range perturbed {
		if _, other, ok := c.lampNow(set, lamp); ok {
			dm, dd := other.Mired()-now.Mired(), other.Duv-now.Duv
			mired, duv = mired+dm*dm, duv+dd*dd
		}
	}
	return mired, duv
}
