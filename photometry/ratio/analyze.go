package ratio

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// analysis is a comparison in the making.
type analysis struct {
	in        Input
	out       *Result
	marks     []*mark
	models    []uncertainty.Model // of the scatter of one reading
	factor    float64             // half width in stops of one reading's 95 % interval
	anyFlash  bool
	steady    bool // any light is continuous
	sameLamps bool // lamps without a name are taken for the same at all marks
}

// Analyze compares the lights at each mark: key to fill and the lighting
// ratio, every other light against the key, readings of lights together against
// their sum, the exposure and all areas from it, the shares of flash and ambient
// light, flicker, and what reaches the targets. Repeats are averaged, lamps of a
// role added. Nothing is swapped or left out: what looks wrong is a warning. The
// error is photometry.InputErrors, from Check.
func Analyze(in Input) (*Result, error) {
	if err := in.Check(); err != nil {
		return nil, err
	}
	if in.ToleranceStops == 0 {
		in.ToleranceStops = DefaultTolerance
	}
	if in.ExposeFor == "" {
		in.ExposeFor = keyPlusFill
	}
	a := &analysis{in: in, out: &Result{Schema: Schema, Title: in.Title, Date: in.Date, Taken: in.Taken, For: in.For, Readings: len(in.Readings), ReadAs: in.ReadAs,
		Target: in.Target, AreaTargets: in.AreaTargets, ToleranceStops: in.ToleranceStops, Marks: []Mark{},
		Flicker: []Flicker{}, Advice: []photometry.Finding{}, Warnings: append([]photometry.Finding{}, in.Warnings...), Cautions: []photometry.Finding{}, Inferred: append([]photometry.Remark{}, in.Inferred...)}}
	for _, r := range in.Readings {
		flash := r.Level.Quantity == photometry.LuminousExposure
		a.anyFlash, a.steady = a.anyFlash || flash, a.steady || !flash
		if r.Note != "" {
			a.out.Notes = append(a.out.Notes, photometry.PlaceNote{Place: strings.TrimPrefix(r.Mark+", "+cmp.Or(r.Lamp, string(r.Role)), ", "), Text: r.Note})
		}
	}
	a.marks = a.gather()
	a.noise()
	a.holdConflicts()
	if t := in.Target; t != nil && t.Assumed {
		a.infer("target_convention")
	}
	for _, m := range a.marks {
		m.analyze()
		a.out.Marks = append(a.out.Marks, m.out)
	}
	a.conclude()
	return a.out, nil
}

// conclude says what holds for all marks: unit, verdict, flicker, advice and
// cautions.
func (a *analysis) conclude() {
	o := a.out
	o.Unit = o.Marks[0].Unit
	for _, m := range o.Marks {
		if m.Unit != o.Unit {
			o.Unit = ""
		}
		o.Verdict = uncertainty.WorstJudged(o.Verdict, m.Verdict)
	}
	a.missingTargets()
	o.KeyOverMarks = a.keyOverMarks()
	camera := a.in.Camera
	if a.steady {
		mains := []float64{50, 60}
		if a.in.MainsHz > 0 {
			mains = []float64{a.in.MainsHz}
		}
		o.Flicker = Flickers(camera.ShutterS, camera.FramesPerSecond, mains...)
	}
	if !photometry.ShutterFits(camera.ShutterS, camera.FramesPerSecond) {
		a.warn("shutter_too_long", "shutter", photometry.FormatShutter(camera.ShutterS), "rate", camera.FramesPerSecond)
	}
	a.advise()
	a.cautions()
}

// holdConflicts lets the intervals of lights whose first reading is open cover all that it
// can be.
func (a *analysis) holdConflicts() {
	for _, m := range a.marks {
		for i := range m.lights {
			l := &m.lights[i]
			if len(l.conflicting) < 2 {
				continue
			}
			if root := math.Sqrt(l.variance) + l.slack/a.factor; a.factor > 0 {
				l.variance = root * root
			}
			m.open = true
			a.warn("ratio.conflict", "role", string(l.role), "mark", m.label, "readings", len(l.conflicting))
		}
	}
}

// missingTargets warns of a target for a light that no mark has.
func (a *analysis) missingTargets() {
	for _, t := range a.in.AreaTargets {
		if !slices.ContainsFunc(a.marks, func(m *mark) bool { return m.light(t.Role) != nil }) {
			a.warn("target_unread", "role", string(t.Role))
			a.out.Verdict = uncertainty.WorstJudged(a.out.Verdict, uncertainty.Unsure)
		}
	}
}

// analyze fills in what one mark has to say, in the order in which later parts
// need earlier ones.
func (m *mark) analyze() {
	m.out = Mark{Label: m.label, Areas: []Area{}, ToTarget: []Change{}, Warnings: []photometry.Finding{}}
	key, fill, both := m.light(KeyRole), m.light(FillRole), m.light(keyPlusFill)
	m.out.Unit = m.unit()
	read := both != nil
	if key == nil && read && fill != nil {
		key = m.keyByDifference(*both, *fill)
	}
	if both == nil && key != nil && fill != nil {
		sum := addLights(keyPlusFill, *key, *fill)
		both = &sum
	}
	m.ratios(key, fill, both)
	m.others(key)
	m.additivity()
	m.whole(read)
	m.exposure(key, both)
	m.colors()
	m.judge(key, fill, both)
	m.warnings(key, fill, both, read)
}

// unit is that of the mark's levels.
func (m *mark) unit() string {
	if m.flash {
		return photometry.LuminousExposure.Unit()
	}
	for _, l := range m.lights {
		if l.role.Has(KeyRole) || l.role.Has(FillRole) {
			return l.quantity.Unit()
		}
	}
	return m.lights[0].quantity.Unit()
}

// keyByDifference is what the fill leaves of key plus fill; nil where that is less
// than nothing beyond the scatter of the readings. It is unproved where the interval
// of their ratio reaches down to 1.
func (m *mark) keyByDifference(both, fill light) *light {
	key := subtract(KeyRole, both, fill)
	i := m.between(both, fill)
	if i == nil || !(i[1] > 0) {
		return nil
	}
	key.unproved = !(i[0] > 0)
	return key
}

// ratios are key, fill and both conventions of their ratio. The lighting ratio
// takes key plus fill as it was read, else as the sum of the two.
func (m *mark) ratios(key, fill, both *light) {
	o := &m.out
	set := func(l *light, level **float64, from *string, fNumber **float64) {
		if l != nil {
			*level, *from = &l.level, l.from
			*fNumber = m.flashFNumber(*l)
		}
	}
	set(key, &o.Key, &o.KeyFrom, &o.KeyFNumber)
	set(fill, &o.Fill, &o.FillFrom, &o.FillFNumber)
	set(both, &o.KeyPlusFill, &o.KeyPlusFillFrom, &o.KeyPlusFillFNumber)
	if key != nil && key.unproved {
		most := *key
		most.level = math.Exp2(m.bounds(*key)[1])
		o.Key, o.KeyAtMost, o.KeyFNumber = nil, &most.level, m.flashFNumber(most)
	}
	if fill == nil {
		return
	}
	if key != nil {
		o.KeyToFillIntervalStops = m.keyToFill(*key, *fill)
		if key.level > 0 && fill.level > 0 && !key.unproved {
			o.KeyToFill, o.KeyToFillStops = new(KeyToFill(key.level, fill.level)), new(photometry.Stops(key.level, fill.level))
		}
	}
	if both != nil {
		o.LightingRatioIntervalStops = m.lighting(*both, key, *fill)
		if fill.level > 0 && both.level > 0 {
			o.LightingRatio, o.LightingRatioStops = new(both.level/fill.level), new(photometry.Stops(both.level, fill.level))
		}
	}
}

// keyToFill is the interval of log2(key/fill). With s the scatter of one reading a
// key by difference has key/fill in r·2^(±f·s·√2) − 1 exactly, r being key plus fill
// over fill, which is lognormal.
func (m *mark) keyToFill(key, fill light) *Interval {
	if key.of == nil {
		return m.between(key, fill)
	}
	i := m.between(key.of[0], fill).plus(-1)
	if math.IsInf(i[0], 0) && math.IsInf(i[1], 0) {
		return nil
	}
	return &i
}

// lighting is the interval of log2((key+fill)/fill): of a sum it is one more than
// key to fill.
func (m *mark) lighting(both light, key *light, fill light) *Interval {
	if both.from != "sum" || key == nil {
		return m.between(both, fill)
	}
	i := m.keyToFill(*key, fill)
	if i != nil {
		*i = i.plus(1)
	}
	return i
}

// others compares every other light with the key.
func (m *mark) others(key *light) {
	for _, l := range m.out.fromKey() {
		*l.stops, _ = m.against(m.light(l.role), key)
	}
}

// additivityFloor is what a sum may be off in stops before anyone is bothered:
// the step of most meters, common practice, no source.
const additivityFloor = 0.1

// additivity compares each reading of lights together with the lights alone, and
// a role's reading with that of its lamps.
func (m *mark) additivity() {
	for _, l := range m.lights {
		parts := m.partsOf(l)
		if l.lamp != "" || !l.role.IsSum() && len(parts) == 0 {
			continue
		}
		if together, ok := m.convert(l); ok {
			m.compareSum(together, parts)
		}
	}
}

// partsOf are the lights alone that a reading of lights together should add up
// to, or the lamps of a role; none where a light of a sum was not read.
func (m *mark) partsOf(l light) (parts []light) {
	if !l.role.IsSum() {
		for _, lamp := range m.lights {
			if c, ok := m.convert(lamp); ok && lamp.role == l.role && lamp.lamp != "" {
				parts = append(parts, c)
			}
		}
		return parts
	}
	for _, role := range l.role.Parts() {
		part := m.light(role)
		if part == nil {
			return nil
		}
		parts = append(parts, *part)
	}
	return parts
}

// compareSum describes how far a reading of lights together is off the sum of its
// parts, where all of them were read.
func (m *mark) compareSum(together light, parts []light) {
	sum := Sum{Role: together.role, Level: together.level}
	if len(parts) > 0 {
		alone := addLights(together.role, parts...)
		sum.Alone = &alone.level
		if alone.level > 0 && together.level > 0 {
			off := photometry.Stops(together.level, alone.level)
			sum.AdditivityStops, sum.IntervalStops = &off, m.between(together, alone)
			sum.OK = new(math.Abs(off) <= math.Max(additivityFloor, sum.IntervalStops[1]-off))
			if !*sum.OK {
				m.warnOffSum(together, alone, parts, off)
			}
		}
	}
	if together.role == keyPlusFill {
		m.out.AdditivityStops, m.out.AdditivityIntervalStops = sum.AdditivityStops, sum.IntervalStops
	}
	m.out.Sums = append(m.out.Sums, sum)
}

// colors lists the color of each light that has one, averaged over repeats in mired,
// 10⁶/K, and how much warmer than the key it is.
func (m *mark) colors() {
	read := slices.DeleteFunc(slices.Clone(m.lights), func(l light) bool { return len(l.mired) == 0 })
	key := slices.IndexFunc(read, func(l light) bool { return l.role == KeyRole })
	for _, l := range read {
		mired := stat.Mean(l.mired, nil)
		color := Color{Role: l.role, Lamp: l.lamp, Kelvin: 1e6 / mired}
		if len(l.duv) > 0 {
			color.Duv = new(stat.Mean(l.duv, nil))
		}
		if key >= 0 && l.role != KeyRole {
			color.FromMired = new(mired - stat.Mean(read[key].mired, nil))
		}
		m.out.Colors = append(m.out.Colors, color)
	}
}
