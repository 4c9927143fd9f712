package match

import (
	"cmp"
	"iter"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// The steps to restore a light, in the order that works: what was moved
// changes every level, so position comes first; then gel, which takes light too;
// then each lamp to a number on the meter at one place, where there is one; then
// the trims of the others; then the meter again.
const (
	StepReadAgain  = "read_again"
	StepPosition   = "position"
	StepOneLamp    = "one_lamp"
	StepTrim       = "trim"
	StepGel        = "gel"
	StepExpose     = "expose"
	StepFindLamp   = "find_lamp"
	StepMeterAgain = "meter_again"
	StepKeep       = "keep"
	StepSettle     = "settle"
)

// positional are the changes that are undone before any level is set.
var positional = []string{setup.ChangeMissing, setup.ChangeAdded, setup.ChangeKind, setup.ChangeMoved, setup.ChangeAim,
	setup.ChangeSpotFlood, setup.ChangeBeam, setup.ChangeSize, setup.ChangeBehind, setup.ChangeDiffusion, setup.ChangeTransmission}

// restore says what to do: what was moved, color, level, and where no lamp is
// known, what the readings of all lamps show.
func (m *matching) restore() {
	r := m.r
	m.stepReadAgain()
	if m.unitsMixed() {
		day := DayAfter
		if r.OffsetStops > 0 {
			day = DayBefore
		}
		r.step("match.units.settle", "off", photometry.Stop(r.OffsetStops), "day", day)
		return
	}
	done := len(r.Steps)
	changed := m.changedLamps()
	m.stepPosition()
	m.stepGel()
	m.stepOneLamp(changed)
	m.stepTrim(changed)
	if len(r.Steps) == done && r.Verdict.Overall != uncertainty.Pass {
		m.stepWithoutLamps()
	}
	switch passes := r.Verdict.Overall == uncertainty.Pass; {
	case len(r.Steps) > done:
		m.r.step("match.meter_again")
	case passes && done == 0 && (r.OffsetSignificant || r.PatternSignificant):
		m.r.step("match.changed.keep")
	case passes && done == 0:
		m.r.step("match.keep")
	case r.Verdict.Overall == uncertainty.Unsure && done == 0:
		m.stepSettle()
	}
	r.cautions()
}

// stepReadAgain names the suspects of both days: today's can be read again, an entry of
// the day before can be looked up.
func (m *matching) stepReadAgain() {
	places := map[string][]string{}
	for _, x := range m.r.Suspects {
		if !slices.Contains(places[x.Day], x.Label) {
			places[x.Day] = append(places[x.Day], x.Label)
		}
	}
	if again := places[DayAfter]; len(again) > 0 {
		m.r.step("match.read_again", "places", again)
	}
	if entries := places[DayBefore]; len(entries) > 0 {
		m.r.step("match.before.read_again", "places", entries)
	}
}

// ofTable yields the changes of the table of lamps with one of some codes.
func (m *matching) ofTable(codes ...string) iter.Seq[setup.Change] {
	return func(yield func(setup.Change) bool) {
		for _, c := range m.r.Changes {
			if c.Table == "lamps" && slices.Contains(codes, c.Code) && !yield(c) {
				return
			}
		}
	}
}

// stepPosition puts back what was moved or aimed elsewhere: by the tables, else by a
// lamp's changed pattern.
func (m *matching) stepPosition() {
	said := map[string]bool{}
	for c := range m.ofTable(positional...) {
		said[strings.ToLower(c.Name)] = true
		switch c.Code {
		case setup.ChangeAdded:
			m.r.step("match.added.position", "change", c.Text.Finding)
		case setup.ChangeMissing:
			m.r.step("match.missing.position", "change", c.Text.Finding)
		default:
			m.r.step("match.changed.position", "change", c.Text.Finding)
		}
	}
	for _, name := range m.r.LampOrder {
		if move := m.r.Lamps[name].Moved; move != nil && !said[strings.ToLower(name)] {
			m.r.step("match.position", "lamp", name, "right", photometry.Stop(move.RightStops), "up", photometry.Stop(move.UpStops))
		}
	}
}

// changedLamps are the lamps whose level changed by more than the readings can
// miss, the one that changed most of the light first.
func (m *matching) changedLamps() []string {
	var out []string
	for _, name := range m.r.LampOrder {
		l := m.r.Lamps[name]
		if l.Changed && l.Percent != nil && !strings.EqualFold(name, survey.AmbientName) && name != otherLight {
			out = append(out, name)
		}
	}
	slices.SortStableFunc(out, func(a, b string) int {
		weight := func(n string) float64 {
			return math.Abs(*m.r.Lamps[n].Percent-100) * m.r.Lamps[n].SharePercent
		}
		return cmp.Compare(weight(b), weight(a))
	})
	return out
}

// stepOneLamp sets each lamp by one number on the meter, and says by how much that
// is.
func (m *matching) stepOneLamp(changed []string) {
	for _, name := range changed {
		c := m.r.Lamps[name].Check
		if c == nil {
			continue
		}
		var today, trim any
		if c.Today != nil {
			today = m.level(*c.Today)
		}
		if !m.hasGelStep(name) {
			trim = m.trim(name)
		}
		m.r.step("match.one_lamp", "lamp", name, "place", photometry.Point{Label: c.Label, X: c.X, Y: c.Y}, "level", m.level(c.Level), "today", today, "trim", trim)
	}
}

// stepTrim says by how much where there is no number to set.
func (m *matching) stepTrim(changed []string) {
	for _, name := range changed {
		if m.r.Lamps[name].Check == nil {
			m.r.step("match.trim", "lamp", name, "trim", m.trim(name))
		}
	}
	said := map[string]bool{}
	for _, name := range m.r.LampOrder {
		l := m.r.Lamps[name]
		if l.GroupPercent == nil || !l.Changed || said[name] {
			continue
		}
		for _, other := range l.With {
			said[other] = true
		}
		m.r.step("match.group.trim", "lamps", append([]string{name}, l.With...),
			"percent", photometry.Percentage(*l.GroupPercent), "low", photometry.Percentage(*l.GroupLow), "high", photometry.Percentage(*l.GroupHigh))
	}
	// Changes of the tables that are of levels, of lamps that nothing is known of.
	for c := range m.ofTable(setup.ChangeDimmer, setup.ChangeScrims, setup.ChangeTrim) {
		if !slices.ContainsFunc(changed, func(n string) bool { return strings.EqualFold(n, c.Name) }) {
			m.r.step("match.table.trim", "change", c.Text.Finding)
		}
	}
}

// hasGelStep reports whether a lamp's gel is to be put right before its level.
func (m *matching) hasGelStep(lamp string) bool {
	return m.r.Lamps[lamp].Color != nil && m.r.Lamps[lamp].Color.Gel != "" && !m.dimmedWarm(lamp) ||
		slices.ContainsFunc(m.r.Changes, func(c setup.Change) bool {
			return c.Table == "lamps" && c.Code == setup.ChangeGel && strings.EqualFold(c.Name, lamp)
		})
}

// dimmedWarm reports whether a lamp's color is what a dimmed filament does.
func (m *matching) dimmedWarm(lamp string) bool {
	l := m.r.Lamps[lamp]
	return l.Color != nil && l.Changed && l.Percent != nil && *l.Percent < 95 && l.Color.MiredShift > 5 && math.Abs(l.Color.DuvShift) < 0.002
}

// trim is by how much a lamp is to be taken back; without stops where it is off.
func (m *matching) trim(name string) photometry.Finding {
	l := m.r.Lamps[name]
	var stops any
	if l.Stops != nil && *l.Percent >= 3 {
		stops = photometry.Stop(*l.Stops)
	}
	return photometry.Found("match.by_how_much", "lamp", name, "stops", stops,
		"percent", photometry.Percentage(*l.Percent), "low", photometry.Percentage(*l.Low), "high", photometry.Percentage(*l.High),
		"because", m.inTable(name, setup.ChangeDimmer, setup.ChangeScrims, setup.ChangeTrim, setup.ChangePower, setup.ChangeLevel))
}

// inTable is what the tables say of a lamp, nil for nothing.
func (m *matching) inTable(lamp string, codes ...string) any {
	for c := range m.ofTable(codes...) {
		if strings.EqualFold(c.Name, lamp) {
			return photometry.Found("match.in_table", "what", c.Code, "from", c.From, "to", c.To)
		}
	}
	return nil
}

// stepGel says which lamp's color to take back.
func (m *matching) stepGel() {
	said := map[string]bool{}
	for _, name := range m.r.LampOrder {
		l := m.r.Lamps[name]
		if l.Color == nil {
			continue
		}
		said[strings.ToLower(name)] = true
		mired, duv := photometry.Mired(l.Color.MiredShift), photometry.Duv(l.Color.DuvShift)
		because := m.inTable(name, setup.ChangeGel, setup.ChangeColor)
		switch {
		case m.dimmedWarm(name):
			m.r.step("match.dimmed.gel", "lamp", name, "mired", mired, "duv", duv)
		case l.Color.Gel == "":
			m.r.step("match.little.gel", "lamp", name, "mired", mired, "duv", duv, "because", because)
		default:
			m.r.step("match.gel", "lamp", name, "mired", mired, "duv", duv, "gel", l.Color.Gel, "because", because)
		}
	}
	for c := range m.ofTable(setup.ChangeGel) {
		if !said[strings.ToLower(c.Name)] {
			m.r.step("match.table.gel", "change", c.Text.Finding)
		}
	}
}

// stepWithoutLamps says what the readings of all lamps together show.
func (m *matching) stepWithoutLamps() {
	r := m.r
	even := r.Verdict.Pattern == uncertainty.Pass || !r.PatternSignificant
	if r.OffsetSignificant && r.Verdict.Offset != uncertainty.Pass && even {
		m.r.step("match.all.find_lamp", "offset", photometry.Stop(r.OffsetStops))
		m.r.step("match.expose", "offset", photometry.Stop(r.OffsetStops))
		return
	}
	if r.Verdict.Pattern != uncertainty.Pass && r.PatternSignificant {
		m.stepWhereChanged()
	}
	if c := r.Color; c != nil && r.Verdict.Color == uncertainty.Fail {
		if c.VerdictDuv == uncertainty.Fail {
			m.r.step("match.duv.find_lamp", "place", c.WorstDuv.place(), "shift", photometry.Duv(*c.WorstDuv.DuvShift))
		} else {
			m.r.step("match.mired.find_lamp", "place", c.WorstMired.place(), "shift", photometry.Mired(*c.WorstMired.MiredShift))
		}
	}
	if len(r.LampOrder) == 0 && len(r.Steps) > 0 {
		m.r.step("match.alone.find_lamp")
	}
}

// stepWhereChanged says which part of the surface changed most, by a plane through
// the pattern, or the place that did.
func (m *matching) stepWhereChanged() {
	r := m.r
	worst := r.Worst
	var x, y, v []float64
	for _, k := range m.pairs {
		p := r.Points[k]
		if math.Abs(p.Pattern) > math.Abs(worst.Pattern) {
			worst = p
		}
		x, y, v = append(x, p.X), append(y, p.Y), append(v, p.Pattern)
	}
	right, up := spatial.NewPlaces(x, y).Run(v, 0.05)
	switch {
	case right != nil && (up == nil || math.Abs(*right) >= math.Abs(*up)):
		m.r.step("match.side.find_lamp", "right", photometry.Stop(*right))
	case up != nil:
		m.r.step("match.end.find_lamp", "up", photometry.Stop(*up))
	default:
		m.r.step("match.place.find_lamp", "place", worst.place(), "change", photometry.Stop(worst.Stops))
	}
}

// stepSettle says what would settle a verdict that is unsure: more readings a place, other
// places, or what was not read.
func (m *matching) stepSettle() {
	r := m.r
	repeats := 0
	// k readings of today leave √((1 + 1/k)/2) of a width that both days make alike.
	need := func(width, off float64) {
		k := math.Ceil(1/math.Max(1e-3, 2*off*off/(width*width)-1) - 1e-9)
		repeats = max(repeats, max(2, int(k)))
	}
	if r.Verdict.Offset == uncertainty.Unsure {
		need(r.OffsetInterval[1]-r.OffsetStops, r.Tolerance.OffsetStops-math.Abs(r.OffsetStops))
	}
	i := r.PatternInterval
	if i != nil && uncertainty.Judge(i[0], i[1], r.Tolerance.PatternStops) == uncertainty.Unsure {
		need(i[1]-*r.PatternStops, r.Tolerance.PatternStops-*r.PatternStops)
	}
	switch {
	case m.inConflict():
		r.step("match.conflict.settle")
	case repeats > uncertainty.MostRepeats:
		r.step("match.scatter.settle")
	case repeats > 0:
		r.step("match.settle", "times", photometry.Times(repeats))
	}
	if i == nil || m.partly() {
		r.step("match.places.settle")
	}
	switch c := r.Color; {
	case c == nil:
	case r.warned("green_not_read"):
		r.step("match.duv.settle")
	case r.warned("meters_disagree"):
		r.step("match.meter.settle")
	case r.Verdict.Color == uncertainty.Unsure:
		r.step("match.color.settle")
	}
}

// cautions that go with what is to be done.
func (r *Result) cautions() {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(r.Steps, func(f photometry.Finding) bool { return slices.Contains(codes, f.Code) })
	}
	if has(StepPosition) {
		r.Cautions = append(r.Cautions, photometry.Found("match.stands"))
	}
	if has(StepOneLamp, StepTrim, StepGel, StepFindLamp) {
		r.Cautions = append(r.Cautions, photometry.Found("match.heat"))
	}
}
