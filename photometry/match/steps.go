package match

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// The steps to restore a light, in the order that works: what stands elsewhere
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

func (m *matching) step(code, format string, args ...any) {
	m.r.Steps = append(m.r.Steps, photometry.Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

// steps says what to do.
func (m *matching) steps() {
	r := m.r
	m.stepReadAgain()
	done := len(r.Steps)
	m.stepPosition()
	lamps := m.changedLamps()
	m.stepGel()
	m.stepOneLamp(lamps)
	m.stepTrim(lamps)
	if len(r.Steps) == done {
		m.stepWithoutLamps()
	}
	switch {
	case r.Verdict.Overall == uncertainty.Pass && len(r.Steps) == 0 && (r.OffsetSignificant || r.PatternSignificant):
		m.step(StepKeep, "The light changed, within the tolerance: leave it, or bring it back where more must match.")
	case r.Verdict.Overall == uncertainty.Pass && len(r.Steps) == 0:
		m.step(StepKeep, "The light is as it was: leave it.")
	case len(r.Steps) > done:
		m.step(StepMeterAgain, "Then read the same places again and match once more.")
	}
	if r.Verdict.Overall == uncertainty.Unsure && len(r.Steps) == 0 {
		m.step(StepSettle, "Read the places again, today %s, and give all readings: their means should settle it.", photometry.FormatTimes(m.repeatsToSettle()))
	}
	m.cautions()
}

// stepReadAgain names today's doubtful readings.
func (m *matching) stepReadAgain() {
	var places []string
	for _, x := range m.r.Suspects {
		if x.Day == DayAfter && !slices.Contains(places, x.Label) {
			places = append(places, x.Label)
		}
	}
	if len(places) > 0 {
		m.step(StepReadAgain, "Read %s again first: left out here.", listed(places))
	}
}

// listed is a list of names for a sentence, at most four of them.
func listed(names []string) string {
	if len(names) > 4 {
		return strings.Join(names[:3], ", ") + fmt.Sprintf(" and %d more", len(names)-3)
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return names[0]
}

// stepPosition puts back what stands or aims elsewhere: by the tables, else by a
// lamp's changed pattern.
func (m *matching) stepPosition() {
	said := map[string]bool{}
	for _, c := range m.r.Changes {
		if c.Table == "lamps" && slices.Contains(positional, c.Code) {
			said[strings.ToLower(c.Name)] = true
			do := "Put that back first."
			switch c.Code {
			case setup.ChangeAdded:
				do = "Take it away first, or switch it off."
			case setup.ChangeMissing:
				do = "Set it up again first, or write it into the table."
			}
			m.step(StepPosition, "%s %s", c.Text, do)
		}
	}
	for _, name := range m.r.LampOrder {
		move := m.r.Lamps[name].Moved
		if move == nil || said[strings.ToLower(name)] {
			continue
		}
		var where []string
		if v := move.RightStops; math.Abs(v) >= 0.05 {
			side := "right"
			if v < 0 {
				side = "left"
			}
			where = append(where, photometry.FormatStops(math.Abs(v))+" more toward camera "+side)
		}
		if v := move.UpStops; math.Abs(v) >= 0.05 {
			end := "top"
			if v < 0 {
				end = "bottom"
			}
			where = append(where, photometry.FormatStops(math.Abs(v))+" more toward the "+end)
		}
		m.step(StepPosition, "Re-aim %s, or put it back where it stood: its light lies %s, across the places read.", name, strings.Join(where, " and "))
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
		text := fmt.Sprintf("%s alone, the others off, at %s: set it to %s", name, evenness.Place{Label: c.Label, X: c.X, Y: c.Y}.Name(), m.before.s.Shown(c.Level))
		if c.Today != nil {
			text += fmt.Sprintf("; today it gives about %s there", m.before.s.Shown(*c.Today))
		}
		if m.hasGelStep(name) {
			text += " with the gel of today; put the gel right first"
			m.step(StepOneLamp, "%s.", text)
			continue
		}
		m.step(StepOneLamp, "%s. %s", text, m.trimText(name))
	}
}

// stepTrim says by how much.
func (m *matching) stepTrim(changed []string) {
	for _, name := range changed {
		if m.r.Lamps[name].Check == nil {
			m.step(StepTrim, "Bring %s back. %s", name, m.trimText(name))
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
		group := append([]string{name}, l.With...)
		m.step(StepTrim, "%s together give %.0f %% of the day before (%.0f to %.0f): check each, since the places read cannot tell them apart.", listed(group), *l.GroupPercent, math.Floor(*l.GroupLow), math.Ceil(*l.GroupHigh))
	}
	// Changes of the tables that stand for levels, of lamps that nothing is known of.
	for _, c := range m.r.Changes {
		known := slices.ContainsFunc(changed, func(n string) bool { return strings.EqualFold(n, c.Name) })
		if c.Table == "lamps" && !known && slices.Contains([]string{setup.ChangeDimmer, setup.ChangeScrims, setup.ChangeTrim}, c.Code) {
			m.step(StepTrim, "%s", c.Text)
		}
	}
}

// hasGelStep tells whether a lamp's gel is to be put right before its level.
func (m *matching) hasGelStep(lamp string) bool {
	return m.r.Lamps[lamp].Color != nil && m.r.Lamps[lamp].Color.Gel != "" && !m.dimmedWarm(lamp) ||
		slices.ContainsFunc(m.r.Changes, func(c setup.Change) bool {
			return c.Table == "lamps" && c.Code == setup.ChangeGel && strings.EqualFold(c.Name, lamp)
		})
}

// dimmedWarm tells whether a lamp's color is what a dimmed filament does.
func (m *matching) dimmedWarm(lamp string) bool {
	l := m.r.Lamps[lamp]
	return l.Color != nil && l.Changed && l.Percent != nil && *l.Percent < 95 && l.Color.MiredShift > 5 && math.Abs(l.Color.DuvShift) < 0.002
}

// trimText is by how much a lamp is to be taken back.
func (m *matching) trimText(name string) string {
	l := m.r.Lamps[name]
	interval := fmt.Sprintf("%.0f %% of the day before (%.0f to %.0f)", *l.Percent, math.Floor(*l.Low), math.Ceil(*l.High))
	because := m.becauseOf(name, setup.ChangeDimmer, setup.ChangeScrims, setup.ChangeTrim, setup.ChangePower, setup.ChangeLevel)
	switch {
	case l.Stops == nil || *l.Percent < 3:
		return fmt.Sprintf("%s gives %s: it is off. Look at its switch, its dimmer and its supply%s.", name, interval, because)
	case *l.Stops < 0:
		return fmt.Sprintf("That is %s up: it gives %s%s.", photometry.FormatStops(-*l.Stops), interval, because)
	}
	return fmt.Sprintf("That is %s down (%s): it gives %s%s.", photometry.FormatStops(*l.Stops), lossShort(*l.Stops), interval, because)
}

// lossShort is a loss in set units.
func lossShort(stops float64) string {
	text := fmt.Sprintf("dim it to %.0f %%", photometry.DimmerPercent(-stops))
	if name, got := photometry.Scrims(stops); name != "" && math.Abs(got-stops) <= 0.125 {
		return name + ", or " + text
	}
	return text
}

// becauseOf is what the tables say of a lamp, as the end of a sentence.
func (m *matching) becauseOf(lamp string, codes ...string) string {
	for _, c := range m.r.Changes {
		if c.Table == "lamps" && strings.EqualFold(c.Name, lamp) && slices.Contains(codes, c.Code) {
			return fmt.Sprintf(" (in the table: %s %s, then %s)", strings.ReplaceAll(c.Code, "_", " "), orNone(c.From), orNone(c.To))
		}
	}
	return ""
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
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
		shift := shiftWords(l.Color)
		because := m.becauseOf(name, setup.ChangeGel, setup.ChangeColor)
		switch {
		case m.dimmedWarm(name):
			m.step(StepGel, "%s is %s: a dimmed tungsten lamp does that. Bring its level back first, then read its color.", name, shift)
		case l.Color.Gel == "":
			m.step(StepGel, "%s is %s: less than an eighth of any gel takes back%s.", name, shift, because)
		default:
			m.step(StepGel, "%s is %s: give it %s, or look which gel it lost or got%s.", name, shift, l.Color.Gel, because)
		}
	}
	for _, c := range m.r.Changes {
		if c.Table == "lamps" && c.Code == setup.ChangeGel && !said[strings.ToLower(c.Name)] {
			m.step(StepGel, "%s Put it as it was.", c.Text)
		}
	}
}

// shiftWords is a change of color in words.
func shiftWords(s *LampShift) string {
	var parts []string
	if v := s.DuvShift; math.Abs(v) >= 0.0005 {
		word := "greener"
		if v < 0 {
			word = "more magenta"
		}
		parts = append(parts, fmt.Sprintf("%.4f Duv %s", math.Abs(v), word))
	}
	if v := s.MiredShift; math.Abs(v) >= 1 || len(parts) == 0 {
		word := "warmer"
		if v < 0 {
			word = "cooler"
		}
		parts = append(parts, fmt.Sprintf("%.0f mired %s", math.Abs(v), word))
	}
	return strings.Join(parts, " and ") + " than the day before"
}

// stepWithoutLamps says what the readings of all lamps together tell.
func (m *matching) stepWithoutLamps() {
	r := m.r
	if r.Verdict.Overall == uncertainty.Pass {
		return
	}
	even := r.Verdict.Pattern == uncertainty.Pass || !r.PatternSignificant
	if r.OffsetSignificant && r.Verdict.Offset != uncertainty.Pass && even {
		word, verb := "under", "Open up"
		if r.OffsetStops > 0 {
			word, verb = "over", "Stop down"
		}
		size := photometry.FormatStops(math.Abs(r.OffsetStops))
		m.step(StepFindLamp, "All of it is %s %s, evenly: look at what the lamps share (the master dimmer, the supply, diffusion, the meter).", size, word)
		m.step(StepExpose, "%s by %s if it must be shot as it is.", verb, size)
		return
	}
	if r.Verdict.Pattern != uncertainty.Pass && r.PatternSignificant {
		m.step(StepFindLamp, "%s: look at the lamp that lights it (aim, dimmer, scrim, gel).", m.whereChanged())
	}
	if r.Color != nil && r.Verdict.Color == uncertainty.Fail {
		p, what := r.Color.WorstMired, fmt.Sprintf("%+.0f mired", *r.Color.WorstMired.MiredShift)
		if r.Color.VerdictDuv == uncertainty.Fail {
			p, what = *r.Color.WorstDuv, fmt.Sprintf("%+.4f Duv", *r.Color.WorstDuv.DuvShift)
		}
		m.step(StepFindLamp, "Color changed most at %s (%s): look at the gel of the lamp that lights it.", evenness.Place{Label: p.Label, X: p.X, Y: p.Y}.Name(), what)
	}
	if len(r.LampOrder) == 0 && len(r.Steps) > 0 {
		m.step(StepFindLamp, "Readings of each lamp alone at six places (--lamp) would name it.")
	}
}

// whereChanged says which part of the surface changed most, by a plane through the
// pattern, or the worst place.
func (m *matching) whereChanged() string {
	r := m.r
	p := r.Worst
	for _, k := range m.chosen {
		if math.Abs(r.Points[k].Pattern) > math.Abs(p.Pattern) {
			p = r.Points[k]
		}
	}
	var x, y, v []float64
	for _, k := range m.chosen {
		x, y, v = append(x, r.Points[k].X), append(y, r.Points[k].Y), append(v, r.Points[k].Pattern)
	}
	if right, up := spatial.NewPlaces(x, y).Run(v, 0.05); right != nil || up != nil {
		dx, dy := 0.0, 0.0
		if right != nil {
			dx = *right
		}
		if up != nil {
			dy = *up
		}
		switch {
		case math.Abs(dx) >= math.Abs(dy) && dx != 0:
			return fmt.Sprintf("Camera %s lost %s against camera %s", side(dx < 0, "right", "left"), photometry.FormatStops(math.Abs(dx)), side(dx < 0, "left", "right"))
		case dy != 0:
			return fmt.Sprintf("The %s lost %s against the %s", side(dy < 0, "top", "bottom"), photometry.FormatStops(math.Abs(dy)), side(dy < 0, "bottom", "top"))
		}
	}
	return fmt.Sprintf("%s changed most, by %+.2f stop", evenness.Place{Label: p.Label, X: p.X, Y: p.Y}.Name(), p.Stops)
}

func side(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

// repeatsToSettle is how many readings a place narrow the intervals enough.
func (m *matching) repeatsToSettle() int {
	r := m.r
	k := 2
	if r.Verdict.Offset == uncertainty.Unsure {
		half := r.OffsetInterval[1] - r.OffsetStops
		k = max(k, uncertainty.RepeatsFor(half, math.Max(1e-3, math.Abs(r.Tolerance.OffsetStops-math.Abs(r.OffsetStops)))))
	}
	if r.Verdict.Pattern == uncertainty.Unsure && r.PatternInterval != nil {
		k = max(k, uncertainty.RepeatsFor(r.PatternInterval[1]-r.PatternStops, math.Max(1e-3, math.Abs(r.Tolerance.PatternStops-r.PatternStops))))
	}
	return min(k, uncertainty.MostRepeats)
}

// cautions that go with what is to be done.
func (m *matching) cautions() {
	has := func(codes ...string) bool {
		return slices.ContainsFunc(m.r.Steps, func(f photometry.Finding) bool { return slices.Contains(codes, f.Code) })
	}
	add := func(code, text string) {
		m.r.Cautions = append(m.r.Cautions, photometry.Finding{Code: code, Text: text})
	}
	if has(StepPosition) {
		add("stands", "Moving lamps: rated stands, sandbags, safety bonds, trained riggers.")
	}
	if has(StepOneLamp, StepTrim, StepGel, StepFindLamp) {
		add("heat", "Lamps, scrims and gel are hot: wear gloves, keep the lamp maker's distance, and do not look into the beam.")
	}
}
