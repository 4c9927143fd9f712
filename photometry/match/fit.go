package match

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

const (
	// reportable is the widest half interval, as a part of the lamp's level, that is
	// still worth a number.
	reportable = 0.5
	// littleLight is the part of all light, in percent, below which a lamp whose level
	// cannot be found is held near that of the day before.
	littleLight = 10.0
	// keptWithin is the standard deviation of that, as a part of the lamp's level.
	keptWithin = 0.5
	// leastChange is the least change of a lamp's level that is called one, as a part
	// of it: less is no more than mains and warm-up make.
	leastChange = 0.03
)

// levelFit finds what of each lamp's light of the day before makes today's levels:
// E_i = Σ a_j·E_ij, no a below zero, a row for each place with all lamps on and one
// for each reading of a lamp alone today. Readings scatter in proportion; a row's
// deviation is of today's reading and of the day before's, which every map carries.
type levelFit struct {
	m      *matching
	light  *lampLight
	rows   []levelRow
	nu     int         // degrees of freedom of the scatter, 0 where it is known
	smooth [][]float64 // errors that run over the surface, one deviation each

	units     [][]int // lamps that are fitted as one; each lamp is in one
	kept      []int   // units too weak to be measured, kept near their level of the day before
	ambient   bool    // light that was not there, even over the surface
	moved     int     // lamp whose map may tilt, −1 for none
	*solution         // a of each unit, then the ambient level, the two tilts and the smooth errors
}

// levelRow is one reading of today: of all lamps, or of one alone.
type levelRow struct {
	pair, lamp       int // lamp −1 for all
	level, deviation float64
	today, before    colorimetry.UVPrime // color of today, and of the day before; NaN where there is none
}

// newLevelFit collects the rows.
func (m *matching) newLevelFit(light *lampLight) *levelFit {
	f := &levelFit{m: m, light: light, moved: -1}
	widest := m.noises()[0]
	f.nu = freedom(widest.before, widest.after)
	a, b := m.before.s, m.after.s
	for k, p := range m.r.Points {
		if !p.Excluded && !math.IsNaN(light.first(len(light.names), k)) {
			f.rows = append(f.rows, levelRow{k, -1, p.After, p.After * relative(m.variance(p, widest)), colorAt(b.U, b.V, p.after), colorAt(a.U, a.V, p.before)})
		}
	}
	for j := range light.names {
		f.units = append(f.units, []int{j})
	}
	f.addAlone(widest)
	return f
}

// relative is a variance in stops² as a part of a level. Readings that agree to the
// digit still have a last digit.
func relative(variance float64) float64 { return math.Ln2 * math.Max(1e-4, math.Sqrt(variance)) }

// colorAt is the i-th color of two columns, NaN where there is none.
func colorAt(u, v []float64, i int) colorimetry.UVPrime {
	if u == nil {
		return colorimetry.UVPrime{U: math.NaN(), V: math.NaN()}
	}
	return colorimetry.UVPrime{U: u[i], V: v[i]}
}

// addAlone takes in what lamps were read alone to give today.
func (f *levelFit) addAlone(noise pairNoise) {
	pairOf := map[int32]int{}
	for k, p := range f.m.r.Points {
		pairOf[int32(p.after)] = k
	}
	one := relative(noise.before.variance + noise.after.variance)
	for _, alone := range f.m.after.s.Lamps {
		j := f.light.named(alone.Name)
		if j < 0 {
			f.m.r.infer("match.lamp_new", "lamp", alone.Name)
			continue
		}
		for i, at := range alone.Point {
			// A lamp that is off reads zero, to a percent of what it gave.
			if k, ok := pairOf[at]; ok {
				if size := math.Max(alone.Level[i], 0.01*f.light.level[j][k]); size > 0 {
					f.rows = append(f.rows, levelRow{k, j, alone.Level[i], size * one, colorAt(alone.U, alone.V, i), colorAt(nil, nil, 0)})
				}
			}
		}
	}
}

// column is a level at every row in units of its deviation.
func (f *levelFit) column(level func(r levelRow) float64) []float64 {
	out := make([]float64, len(f.rows))
	for i, r := range f.rows {
		out[i] = level(r) / r.deviation
	}
	return out
}

// column of a unit is what its lamps gave the day before.
func (f *levelFit) unitColumn(unit []int) []float64 {
	return f.column(func(r levelRow) float64 { return f.light.sum(r, unit) })
}

// solve fits; ok is false where there are fewer rows than unknowns.
func (f *levelFit) solve() bool {
	e := equations{y: f.column(func(r levelRow) float64 { return r.level })}
	for _, unit := range f.units {
		e.columns = append(e.columns, f.unitColumn(unit))
	}
	if f.ambient {
		e.columns = append(e.columns, f.column(func(levelRow) float64 { return 1 }))
	}
	if f.moved >= 0 {
		e.add(f.tilts(f.moved)...)
	}
	e.share(f.smooth)
	for _, u := range f.kept {
		e.expect(u, 1, keptWithin)
	}
	s := e.solve()
	if s == nil || len(f.rows) == 0 {
		return false
	}
	f.solution = s
	return true
}

// tilts are a lamp's light times the coordinates in the box of all places, −1 to 1 on
// each side.
func (f *levelFit) tilts(lamp int) [][]float64 {
	var x, y []float64
	for _, r := range f.rows {
		x, y = append(x, f.m.r.Points[r.pair].X), append(y, f.m.r.Points[r.pair].Y)
	}
	box, _ := spatial.BoxOf(x, y)
	across := func(pick func(u, v float64) float64) []float64 {
		return f.column(func(r levelRow) float64 {
			p := f.m.r.Points[r.pair]
			return pick(box.Local(p.X, p.Y)) * f.light.sum(r, []int{lamp})
		})
	}
	return [][]float64{across(func(u, _ float64) float64 { return u }), across(func(_, v float64) float64 { return v })}
}

// addSmoothErrors takes in the errors that run smoothly over the surface, with each
// lamp at the level that the fit has now: of the drifts that were taken out, of other
// changes of the light that the reference allows, each as one standard deviation, and of
// the fitted shares.
func (f *levelFit) addSmoothErrors() {
	for _, d := range f.m.days() {
		add := func(stops func(point int) float64) {
			f.smooth = append(f.smooth, f.column(func(r levelRow) float64 { return math.Ln2 * stops(d.at(f.m.r.Points[r.pair])) * r.level }))
		}
		for k := range d.driftErrors(0) {
			add(func(i int) float64 { return d.driftErrors(i)[k] })
		}
		for _, m := range d.models {
			if m.Shift != nil && m.Nu == d.models[0].Nu {
				add(m.ShiftAt)
			}
		}
	}
	s := f.light.shares
	if s == nil {
		return
	}
	var x, y []float64
	for _, p := range f.m.r.Points {
		x, y = append(x, p.X), append(y, p.Y)
	}
	errors := func(trims []float64) [][]float64 { return append(s.Errors(x, y, trims), s.Omitted(x, y, trims)...) }
	together, alone := errors(f.byLamp()[:s.Lamps]), make([][][]float64, s.Lamps)
	for j := range alone {
		one := make([]float64, s.Lamps)
		one[j] = f.byLamp()[j]
		alone[j] = errors(one)
	}
	for c := range together {
		f.smooth = append(f.smooth, f.column(func(r levelRow) float64 {
			by := together
			if r.lamp >= 0 && r.lamp < s.Lamps {
				by = alone[r.lamp]
			}
			return by[c][r.pair] * f.light.first(s.Lamps, r.pair)
		}))
	}
}

// fitLamps finds each lamp's level today; nil where that cannot be done.
func (m *matching) fitLamps(set *survey.LampSet) *levelFit {
	if set == nil {
		return nil
	}
	if set.Surface.Quantity != m.before.s.Quantity {
		m.r.warn("match.quantity.lamps_untold", "lamps", set.Surface.Quantity.String(), "surface", m.before.s.Quantity.String())
		return nil
	}
	for i := range set.Maps {
		for _, x := range set.Maps[i].Suspects {
			m.r.warn("match.lamp_doubtful", "lamp", set.Maps[i].Name, "place", x.Label, "found", x.Found)
		}
	}
	light := m.lampLight(set)
	if light == nil {
		return nil
	}
	f := m.newLevelFit(light)
	if !f.solve() {
		m.r.warn("match.places.lamps_untold", "places", len(f.rows), "lamps", len(light.names))
		return nil
	}
	if f.addSmoothErrors(); !f.solve() {
		return nil
	}
	f.merge()
	f.keepWeak()
	f.extend()
	m.describeLamps(f)
	return f
}

// merge fits lamps as one that the places do not separate: those whose intervals
// are all too wide, though each by itself would not be.
func (f *levelFit) merge() {
	for len(f.units) > 1 {
		columns := make([][]float64, len(f.units))
		var wide []int
		for u, unit := range f.units {
			columns[u] = f.unitColumn(unit)
			if f.half(u) > reportable && f.halfAlone(columns[u]) <= reportable {
				wide = append(wide, u)
			}
		}
		at, with, most := -1, -1, 0.0
		for _, u := range wide {
			for _, w := range wide {
				like := floats.Dot(columns[u], columns[w]) / floats.Norm(columns[u], 2) / floats.Norm(columns[w], 2)
				if u < w && like > most {
					at, with, most = u, w, like
				}
			}
		}
		if at < 0 {
			return
		}
		f.units[at] = append(f.units[at], f.units[with]...)
		f.units = slices.Delete(f.units, with, with+1)
		if !f.solve() {
			return
		}
	}
}

// keepWeak keeps lamps that give too little light here to be measured near their level
// of the day before, off to twice as much at two standard deviations: without that
// the others would have to allow for ten times as much of them.
func (f *levelFit) keepWeak() {
	var names []string
	for u, unit := range f.units {
		if f.half(u) <= reportable || len(unit) > 1 {
			continue
		}
		if f.light.sharePercent(unit[0]) < littleLight || f.halfAlone(f.unitColumn(unit)) > reportable {
			f.kept, names = append(f.kept, u), append(names, f.light.names[unit[0]])
		}
	}
	if len(names) > 0 && f.solve() {
		f.m.r.infer("match.held", "lamps", names)
	}
}

// extend looks for what levels alone do not explain: light that was not there the
// day before, or one lamp whose light lies otherwise. One of these is taken where
// it is beyond chance and clearly better than every other.
func (f *levelFit) extend() {
	if f.free < 3 {
		return
	}
	plain := *f
	options, scores := []levelFit{}, []float64{}
	try := func(g levelFit, unknowns float64) {
		if g.solve() && g.cov != nil {
			options, scores = append(options, g), append(scores, g.chi2+2*unknowns)
		}
	}
	g := plain
	g.ambient = true
	try(g, 1)
	for j, lamp := range f.light.maps {
		if lamp != nil && !lamp.Ambient() {
			g := plain
			g.moved = j
			try(g, 2)
		}
	}
	best, margin := leastOf(scores)
	if best < 0 {
		return
	}
	found, scale := &options[best], options[best].misfit()
	extra := plain.free - found.free
	if (plain.chi2-found.chi2)/float64(extra)/scale < fisherAt(claimAt(falseClaims, len(f.units)+1), extra, f.nu) || !found.beyondShares() {
		return
	}
	if margin/scale < rivalMargin {
		f.m.r.warn("match.lamp_moved_unknown", "residual", photometry.Stop(f.residual()), "noise", photometry.Stop(f.noise()))
		return
	}
	*f = *found
}

// beyondShares reports whether a tilt is more than the error of fitted shares could
// make.
func (f *levelFit) beyondShares() bool {
	s := f.light.shares
	if s == nil || f.moved < 0 {
		return true
	}
	largest := 0.0
	for _, r := range f.rows {
		largest = max(largest, s.Deviation(f.m.r.Points[r.pair].X, f.m.r.Points[r.pair].Y, f.byLamp()[:s.Lamps]))
	}
	move := f.move()
	return math.Hypot(move.RightStops, move.UpStops)*f.light.sharePercent(f.moved)/100 > 3*largest
}

// move is the tilt of the moved lamp's light in stops from side to side.
func (f *levelFit) move() *LampMove {
	tilts := len(f.units)
	if f.ambient {
		tilts++
	}
	a := f.x[f.unitOf(f.moved)]
	across := func(slope float64) float64 {
		// From −1 to 1; bounded, since a tilt may carry one side below zero.
		return photometry.Stops(math.Max(a+slope, 0.05*a), math.Max(a-slope, 0.05*a))
	}
	return &LampMove{RightStops: across(f.x[tilts]), UpStops: across(f.x[tilts+1])}
}

// unitOf is the unit that a lamp is in.
func (f *levelFit) unitOf(lamp int) int {
	return slices.IndexFunc(f.units, func(unit []int) bool { return slices.Contains(unit, lamp) })
}

// byLamp is the factor of each lamp.
func (f *levelFit) byLamp() []float64 {
	out := make([]float64, len(f.light.names))
	for j := range out {
		out[j] = f.x[f.unitOf(j)]
	}
	return out
}

// residual is the rms of today's levels about the fit in stops, noise what scatter
// alone would leave of that.
func (f *levelFit) residual() float64 {
	return f.rms(func(i int, r levelRow) float64 {
		return photometry.Stops(r.level, math.Max(r.level-f.rest[i]*r.deviation, 1e-9*r.level))
	})
}

func (f *levelFit) noise() float64 {
	left := math.Sqrt(math.Max(0, float64(f.free)) / float64(len(f.rows)))
	return left * f.rms(func(_ int, r levelRow) float64 { return r.deviation / r.level / math.Ln2 })
}

// rms is that of a value of each reading with all lamps on.
func (f *levelFit) rms(of func(i int, r levelRow) float64) float64 {
	squares, n := 0.0, 0.0
	for i, r := range f.rows {
		if r.lamp < 0 {
			v := of(i, r)
			squares, n = squares+v*v, n+1
		}
	}
	return math.Sqrt(squares / math.Max(1, n))
}

// explained reports whether the rest is no more than scatter leaves in 97.5 of 100
// cases.
func (f *levelFit) explained() bool {
	return f.free <= 0 || f.chi2/float64(f.free) <= fisherAt(uncertainty.OneSided, f.free, f.nu)
}

// half is half of the 95 % interval of the c-th unknown, by the scatter of the
// readings or about the fit, whichever says more; +Inf where it is not determined.
func (f *levelFit) half(c int) float64 { return f.halfAt(uncertainty.OneSided, c) }

// halfAt is half of the interval that an unknown stays under with a probability.
func (f *levelFit) halfAt(p float64, c int) float64 {
	if f.cov == nil {
		return math.Inf(1)
	}
	return f.widen(p, f.cov.At(c, c))
}

// halfAlone is half for a unit whose column alone makes all light.
func (f *levelFit) halfAlone(column []float64) float64 {
	return f.widen(uncertainty.OneSided, 1/floats.Dot(column, column))
}

func (f *levelFit) widen(p, variance float64) float64 {
	half := uncertainty.Quantile(p, f.nu)
	if f.free > 0 {
		half = max(half, uncertainty.Quantile(p, f.free)*math.Sqrt(f.chi2/float64(f.free)))
	}
	return half * math.Sqrt(variance)
}
