package match

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

const (
	// tellable is the widest half interval, as a part of the lamp's level, that is
	// still worth a number.
	reportable = 0.5
	// littleLight is the part of all light, in percent, below which a lamp that is
	// not told is so because it hardly counts.
	littleLight = 10.0
	// heldWithin is the standard deviation that a lamp that is not told is held to,
	// as a part of its level.
	heldWithin = 0.5
	// lookAlike is by how much χ² must favor one explanation over the next best,
	// the 99 % point of two degrees of freedom.
	rivalMargin = 9.21
)

// fitLamps finds each lamp's level today; nil where it cannot be told.
func (m *matching) fitLamps(set *survey.LampSet) *levelFit {
	if set == nil {
		return nil
	}
	if set.Surface.Quantity != m.before.s.Quantity {
		m.warn("match.quantity.lamps_untold", "lamps", set.Surface.Quantity.String(), "surface", m.before.s.Quantity.String())
		return nil
	}
	for i := range set.Maps {
		for _, x := range set.Maps[i].Suspects {
			m.warn("match.lamp_doubtful", "lamp", set.Maps[i].Name, "place", x.Label, "found", x.Found)
		}
	}
	light := m.lampLight(set)
	if light == nil {
		return nil
	}
	f := m.newLevelFit(light)
	if !f.solve() {
		m.warn("match.places.lamps_untold", "places", len(f.rows), "lamps", len(light.names))
		return nil
	}
	f.merge()
	f.hold()
	f.extend()
	m.describeLamps(f)
	return f
}

// merge fits lamps as one that the places cannot tell apart: those whose
// intervals are all too wide, though each alone would be told.
func (f *levelFit) merge() {
	for len(f.units) > 1 {
		columns := f.columns()
		at, with, most := -1, -1, 0.0
		for u := range f.units {
			if f.half(u) <= reportable || f.halfOf(1/floats.Dot(columns[u], columns[u])) > reportable {
				continue // told, or too little light to be told in any case
			}
			for w := range f.units {
				if w == u {
					continue
				}
				// How much alike the two columns are.
				like := floats.Dot(columns[u], columns[w]) / floats.Norm(columns[u], 2) / floats.Norm(columns[w], 2)
				if like > most && f.half(w) > reportable && f.halfOf(1/floats.Dot(columns[w], columns[w])) <= reportable {
					at, with, most = u, w, like
				}
			}
		}
		if at < 0 {
			return
		}
		f.units[min(at, with)] = append(f.units[min(at, with)], f.units[max(at, with)]...)
		f.units = append(f.units[:max(at, with)], f.units[max(at, with)+1:]...)
		if !f.solve() {
			return
		}
	}
}

// hold keeps lamps that give too little light here to be told near their level
// of the day before, off to twice as much at two standard deviations: without that
// the others would have to allow for ten times as much of them.
func (f *levelFit) hold() {
	columns := f.columns()
	var names []string
	for u, unit := range f.units {
		if f.half(u) <= reportable || len(unit) > 1 {
			continue
		}
		if f.light.sharePercent(unit[0]) < littleLight || f.halfOf(1/floats.Dot(columns[u], columns[u])) > reportable {
			f.held, names = append(f.held, u), append(names, f.light.names[unit[0]])
		}
	}
	if len(names) > 0 && f.solve() {
		f.m.infer("match.held", "lamps", names)
	}
}

// extend looks for what levels alone do not explain: light that was not there the
// day before, or one lamp whose light lies otherwise. One of these is taken where
// it is beyond chance and clearly better than every other.
func (f *levelFit) extend() {
	plain := *f
	if f.free < 3 {
		return
	}
	type option struct {
		fit   levelFit
		extra int
		score float64 // χ², with two for each unknown
	}
	var options []option
	try := func(g levelFit, extra int) {
		if g.solve() && g.cov != nil {
			options = append(options, option{g, extra, g.chi2 + 2*float64(extra)})
		}
	}
	g := plain
	g.ambient = true
	try(g, 1)
	for j := range f.light.names {
		if f.light.maps[j] == nil || f.light.maps[j].Ambient() {
			continue
		}
		g := plain
		g.moved = j
		try(g, 2)
	}
	best := -1
	for k, o := range options {
		if best < 0 || o.score < options[best].score {
			best = k
		}
	}
	if best < 0 {
		return
	}
	o := options[best]
	scale := o.fit.misfit()
	if (plain.chi2-o.fit.chi2)/float64(o.extra)/scale < f.beats(o.extra) || !f.beyondShares(&o.fit) {
		return
	}
	for k, other := range options {
		if k != best && (other.score-o.score)/scale < rivalMargin {
			f.m.warn("match.lamp_moved_unknown", "residual", photometry.Stop(f.residual()), "noise", photometry.Stop(f.noise()))
			return
		}
	}
	*f = o.fit
}

// beyondShares reports whether a tilt is more than the error of fitted shares could
// make.
func (f *levelFit) beyondShares(g *levelFit) bool {
	s := f.light.shares
	if s == nil || g.moved < 0 {
		return true
	}
	move := g.move()
	largest := 0.0
	trims := g.byLamp()[:s.Lamps]
	for _, k := range f.rows {
		largest = max(largest, s.Deviation(f.m.r.Points[k].X, f.m.r.Points[k].Y, trims))
	}
	percent := f.light.sharePercent(g.moved) / 100
	return math.Hypot(move.RightStops, move.UpStops)*percent > 3*largest
}

// move is the tilt of the moved lamp's light in stops from side to side.
func (f *levelFit) move() *LampMove {
	n := len(f.x)
	a := f.x[f.unitOf(f.moved)]
	across := func(slope float64) float64 {
		// From −1 to 1; bounded, since a tilt may carry one side below zero.
		return photometry.Stops(math.Max(a+slope, 0.05*a), math.Max(a-slope, 0.05*a))
	}
	return &LampMove{RightStops: across(f.x[n-2]), UpStops: across(f.x[n-1])}
}

// unitOf is the unit that a lamp is in.
func (f *levelFit) unitOf(lamp int) int {
	for u, unit := range f.units {
		for _, j := range unit {
			if j == lamp {
				return u
			}
		}
	}
	return -1
}

// residual is the rms of today's levels about the fit in stops.
func (f *levelFit) residual() float64 {
	squares := 0.0
	model := f.model()
	for i, k := range f.rows {
		e := photometry.Stops(f.m.r.Points[k].After, math.Max(model[i], 1e-9*f.m.r.Points[k].After))
		squares += e * e
	}
	return math.Sqrt(squares / float64(len(f.rows)))
}

// noise is the rms that scatter would leave, in stops.
func (f *levelFit) noise() float64 {
	squares := 0.0
	for i, k := range f.rows {
		v := f.sd[i] / f.m.r.Points[k].After / math.Ln2
		squares += v * v
	}
	n := float64(len(f.rows))
	return math.Sqrt(squares / n * math.Max(0, float64(f.free)) / n)
}

// model are the fitted levels of the rows.
func (f *levelFit) model() []float64 {
	out := make([]float64, len(f.rows))
	for c, column := range f.columns() {
		for i := range out {
			out[i] += f.x[c] * column[i] * f.sd[i]
		}
	}
	return out
}

// describeLamps puts the fit into the result.
func (m *matching) describeLamps(f *levelFit) {
	r, light := m.r, f.light
	r.Lamps = map[string]LampLevel{}
	maps := "full"
	if light.shares != nil {
		maps = "shares"
	}
	r.LampFit = &LampFit{Maps: maps, Places: light.places, ShareErrorPercent: light.shareError(),
		ResidualStops: f.residual(), NoiseStops: f.noise(), Explained: f.explained()}
	if f.ambient {
		c := len(f.units)
		half := f.half(c)
		r.LampFit.Ambient = &AddedLight{Level: f.x[c], Low: math.Max(0, f.x[c]-half), High: f.x[c] + half}
		m.infer("match.light_added", "level", m.level(f.x[c]))
	} else {
		m.infer("match.no_light_added")
	}
	for j, name := range light.names {
		r.Lamps[name], r.LampOrder = m.lampLevel(f, j), append(r.LampOrder, name)
	}
	if !r.LampFit.Explained && f.moved < 0 && !m.warned("lamp_moved_unknown") {
		m.warn("match.not_explained", "residual", photometry.Stop(r.LampFit.ResidualStops), "noise", photometry.Stop(r.LampFit.NoiseStops))
	}
}

// lampLevel is what the fit says of the j-th lamp.
func (m *matching) lampLevel(f *levelFit, j int) LampLevel {
	light, u := f.light, f.unitOf(j)
	l := LampLevel{SharePercent: light.sharePercent(j)}
	percent, half := 100*f.x[u], 100*f.half(u)
	low, high := math.Max(0, percent-half), percent+half
	changed := low > 100 || high < 100
	switch {
	case len(f.units[u]) > 1:
		for _, k := range f.units[u] {
			if k != j {
				l.With = append(l.With, light.names[k])
			}
		}
		l.Ambiguous = new(photometry.Remarked("match.alike", "lamps", l.With))
		if !math.IsInf(half, 1) {
			l.GroupPercent, l.GroupLow, l.GroupHigh, l.Changed = &percent, &low, &high, changed
		}
	case slices.Contains(f.held, u) && half > 100*reportable:
		l.Ambiguous = new(photometry.Remarked("match.too_little"))
	case half > 100*reportable:
		l.Ambiguous = new(photometry.Remarked("match.not_apart"))
	default:
		l.Percent, l.Low, l.High, l.Changed = &percent, &low, &high, changed
		if percent > 0.05 {
			stops := photometry.Stops(percent, 100)
			l.Stops = &stops
		}
		l.Check = m.check(f, j)
	}
	if f.moved == j {
		l.Moved = f.move()
	}
	return l
}

func (m *matching) warned(code string) bool {
	return slices.ContainsFunc(m.r.Warnings, func(w photometry.Finding) bool { return w.Code == code })
}

// check is where to meter a lamp alone: where it gave most of the light, at a
// place where it was read alone if there is one that serves as well.
func (m *matching) check(f *levelFit, j int) *LampCheck {
	if l := f.light.maps[j]; l == nil || l.Ambient() {
		return nil
	}
	best, bestScore := -1, 0.0
	read := func(k int) bool {
		q := f.light.at[k]
		return q >= 0 && !math.IsNaN(f.light.maps[j].Level[q])
	}
	for _, k := range f.rows {
		share := f.light.level[j][k] / m.r.Points[k].Before
		if read(k) {
			share *= 1.25 // worth a little less light
		}
		if best < 0 || share > bestScore {
			best, bestScore = k, share
		}
	}
	if best < 0 || !(f.light.level[j][best] > 0) {
		return nil
	}
	p := m.r.Points[best]
	today := f.byLamp()[j] * f.light.level[j][best]
	c := &LampCheck{Label: p.Label, X: p.X, Y: p.Y, Level: f.light.level[j][best], Read: read(best)}
	if f.moved != j {
		c.Today = &today
	}
	return c
}
