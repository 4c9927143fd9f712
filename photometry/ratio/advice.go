package ratio

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// warn adds what looks wrong or is missing for all marks.
func (a *analysis) warn(key string, namesAndValues ...any) {
	a.out.Warnings = append(a.out.Warnings, photometry.Found(key, namesAndValues...))
}

// advise collects what to do, of all marks first and then mark by mark. Sentences
// name the mark where there are several.
func (a *analysis) advise() {
	shared := map[string][]Role{}
	for _, m := range a.marks {
		for _, j := range m.out.Judged {
			if _, done := shared[j.Of]; !done {
				shared[j.Of] = a.adviseShared(j.Of)
			}
		}
	}
	if a.sameLamps {
		a.infer("same_lamps")
	}
	for i, m := range a.out.Marks {
		label := m.Label
		if len(a.out.Marks) == 1 {
			label = ""
		}
		for _, j := range m.Judged {
			if j.Verdict == uncertainty.Pass {
				continue
			}
			a.adviseOf(a.marks[i], j, label)
			if ways := m.waysTo(j.Of, shared[j.Of]); len(ways) > 0 && j.Verdict == uncertainty.Fail {
				a.do("reach", "mark", label, "ways", ways)
			}
		}
	}
}

// do adds a piece of advice.
func (a *analysis) do(key string, namesAndValues ...any) {
	a.out.Advice = append(a.out.Advice, photometry.Found(key, namesAndValues...))
}

// waysTo are the changes that reach a target, each alone, but for those of some
// roles.
func (m Mark) waysTo(of string, but []Role) (ways []photometry.Finding) {
	for _, c := range m.ToTarget {
		if c.Of == of && !slices.Contains(but, c.Change) {
			ways = append(ways, c.Text.Finding)
		}
	}
	return ways
}

// adviseOf says what to read first, or again, for a figure that is not settled, and
// what to do about one that no change in stops reaches.
func (a *analysis) adviseOf(m *mark, j Judged, label string) {
	switch {
	case j.AtMost && j.Verdict == uncertainty.Fail:
		found := j.IntervalStops[0] // at least, where a key may be none
		if j.FoundStops != nil {
			found = *j.FoundStops
		}
		a.do("spill_over", "mark", label, "over", photometry.Stop(found-j.TargetStops))
	case j.FoundStops == nil && j.Verdict == uncertainty.Fail:
		if l := m.needs(j); l != nil {
			a.do("needs", "mark", label, "light", string(l.role), "of", j.Of, "level", m.shown(*l))
		} else {
			a.do("read_key_alone", "mark", label)
		}
	case j.Of != LightingConvention && m.out.KeyFrom == "difference" && j.Verdict == uncertainty.Unsure:
		a.do("read_key_alone", "mark", label)
	case j.FoundStops == nil && m.dark(j) != nil:
		a.do("zero.read_again", "mark", label, "light", string(m.dark(j).role))
	case j.FoundStops == nil:
		a.do("read_first", "mark", label, "of", j.Of)
	case j.Suspect:
		a.do("sum.read_again", "mark", label)
	case j.Verdict == uncertainty.Unsure:
		if k := a.settling(m, j); k > 0 {
			a.do("lights.read_again", "mark", label, "of", j.Of, "times", k)
		} else if off := math.Abs(*j.FoundStops - j.TargetStops); math.Abs(off-a.in.ToleranceStops) > a.in.ToleranceStops/4 {
			a.do("hidden.read_again", "mark", label, "scatter", photometry.Stop(a.out.Noise.Stops))
		} else {
			a.do("limit.read_again", "mark", label, "of", j.Of)
		}
	}
}

// dark is the light that a figure rests on, where it reads 0.
func (m *mark) dark(j Judged) *light {
	role := Role(j.Of)
	if isRatio(j.Of) {
		role = FillRole
	}
	if l := m.light(role); l != nil && l.level == 0 {
		return l
	}
	return nil
}

// needs is a light that gives nothing, at the level that would reach a target; nil
// where none is known.
func (m *mark) needs(j Judged) *light {
	key, fill := m.light(KeyRole), m.light(FillRole)
	if both := m.light(keyPlusFill); key == nil && fill != nil && both != nil {
		key = m.keyByDifference(*both, *fill)
	}
	if key == nil {
		return nil
	}
	dark := m.light(Role(j.Of))
	level := key.level * photometry.Factor(j.TargetStops)
	if fill != nil && isRatio(j.Of) {
		want := m.in.Target.keyToFill()
		if dark, level = fill, key.level/want; fill.level > 0 {
			dark, level = key, fill.level*want
		}
	}
	if key.unproved && dark != key || dark == nil || dark.level > 0 && !dark.unproved || dark.quantity != key.quantity || !(level > 0) {
		return nil
	}
	out := *dark
	out.level = level
	return &out
}

// manyRepeats is how many readings of a light nobody takes.
const manyRepeats = 12

// settling is how often in all to read the two lights that a figure rests on so
// that its interval no longer reaches over the tolerance; 0 where more readings
// hardly help.
func (a *analysis) settling(m *mark, j Judged) int {
	margin := math.Abs(math.Abs(*j.FoundStops-j.TargetStops) - a.in.ToleranceStops)
	if j.AtMost {
		margin = math.Abs(*j.FoundStops - j.TargetStops)
	}
	read := m.fewestReadings(j.Of)
	// With one reading each, in units of one reading's half width, which repeats
	// change as well.
	once := (j.IntervalStops[1] - j.IntervalStops[0]) / 2 / a.factor * math.Sqrt(float64(read))
	for k := read + 1; k <= manyRepeats; k++ {
		if a.halfWidth(2*(k-read))*once/math.Sqrt(float64(k)) < margin {
			return k
		}
	}
	return 0
}

// fewestReadings is how often the light was read that a figure rests on and that
// was read least.
func (m *mark) fewestReadings(of string) int {
	roles := []Role{Role(of), KeyRole}
	switch of {
	case KeyToFillConvention:
		roles = []Role{KeyRole, FillRole}
	case LightingConvention:
		roles = []Role{keyPlusFill, FillRole}
	}
	fewest := 0
	for _, l := range m.lights {
		if slices.Contains(roles, l.role) && (fewest == 0 || l.readings < fewest) {
			fewest = l.readings
		}
	}
	return max(1, fewest)
}

// cautions are what may hurt someone.
func (a *analysis) cautions() {
	add := func(f photometry.Finding) { a.out.Cautions = append(a.out.Cautions, f) }
	if a.anyFlash {
		add(photometry.Found("flash"))
	} else if slices.ContainsFunc(a.out.Flicker, func(f Flicker) bool { return f.Safe != nil && !*f.Safe }) {
		add(photometry.Found("flicker"))
	}
	if !slices.ContainsFunc(a.out.Marks, func(m Mark) bool { return len(m.ToTarget) > 0 && m.Verdict == uncertainty.Fail }) {
		return
	}
	if a.steady {
		add(photometry.Found("ratio.heat"))
	}
	add(photometry.Found("ratio.stands"))
	add(photometry.Found("ratio.estimate"))
}
