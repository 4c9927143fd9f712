package match

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Marks is how the lights at marks differ between two days: pairs by mark,
// role and lamp.
type Marks struct {
	Pairs          []MarkPair `json:"pairs"`
	UnpairedBefore []string   `json:"unpaired_before"` // mark, role and lamp
	UnpairedAfter  []string   `json:"unpaired_after"`
	// OffsetStops is the mean over all pairs with its 95 % interval, PatternStops how
	// far the light farthest from that is off it, either way: each light is one lamp's
	// or few, so that none may hide behind the others. Lights that are off on a day
	// have no stops.
	OffsetStops     float64     `json:"offset_stops"`
	OffsetInterval  *[2]float64 `json:"offset_interval_stops,omitempty"`
	OffsetMired     *float64    `json:"offset_mired,omitempty"`
	PatternStops    *float64    `json:"pattern_stops,omitempty"` // absent for one light
	PatternInterval *[2]float64 `json:"pattern_interval_stops,omitempty"`
	Worst           MarkPair    `json:"worst"`
	// ToleranceStops is allowed either way for the offset and for each light off
	// it, ToleranceMired and ToleranceDuv for the color of each light.
	ToleranceStops float64 `json:"tolerance_stops"`
	ToleranceMired float64 `json:"tolerance_mired"`
	ToleranceDuv   float64 `json:"tolerance_duv"`
	Verdict        Verdict `json:"verdict"`

	// Format prints a level as the table of the day before is written; nil where that
	// is not known.
	Format func(photometry.Level) string `json:"-"`
}

// MarkPair is one light at one mark on both days, levels in Unit.
type MarkPair struct {
	Mark   string  `json:"mark"`
	Role   string  `json:"role"`
	Lamp   string  `json:"lamp,omitempty"`
	Unit   string  `json:"unit"`
	Before float64 `json:"before_level"`
	After  float64 `json:"after_level"`
	// Stops is log2(after/before), Pattern the same less the offset; absent where the
	// light is off on a day.
	Stops      *float64 `json:"stops,omitempty"`
	Pattern    *float64 `json:"pattern_stops,omitempty"`
	MiredShift *float64 `json:"mired_shift,omitempty"`
	DuvShift   *float64 `json:"duv_shift,omitempty"` // absent where a day has color temperatures alone
}

// Name is the pair in words: mark, role, lamp.
func (p MarkPair) Name() string { return markName(p.Mark, p.Role, p.Lamp) }

// Switched reports whether the light is off on one of the two days only.
func (p MarkPair) Switched() bool { return (p.Before == 0) != (p.After == 0) }

// level is a level of the light.
func (p MarkPair) level(v float64) photometry.Level {
	quantity, _ := photometry.QuantityOf(p.Unit)
	return photometry.Level{Value: v, Quantity: quantity}
}

func markName(mark, role, lamp string) string {
	text := strings.TrimSpace(mark + " " + role)
	if lamp != "" && !strings.EqualFold(lamp, role) {
		text += " (" + lamp + ")"
	}
	return text
}

// CompareRatios compares the lights at the marks of two days. Lights read in other
// quantities are no pairs; one of zero is off, which is a level. The tolerance is that
// of the day before. It is an error where no light that is on is common to both.
func CompareRatios(before, after *ratio.Result) (*Marks, error) {
	limits := survey.Settings{}.InForce()
	m := &Marks{Pairs: []MarkPair{}, UnpairedBefore: []string{}, UnpairedAfter: []string{}, ToleranceStops: before.ToleranceStops, ToleranceMired: limits.Mired, ToleranceDuv: limits.Duv}
	today := map[string]markLight{}
	for _, l := range markLights(after) {
		today[l.key()] = l
	}
	noise := func(n ratio.Noise) estimate { return estimate{n.Stops * n.Stops, n.DegreesOfFreedom} }
	d := differences{a: noise(before.Noise), b: noise(after.Noise)}
	paired := map[string]bool{}
	for _, a := range markLights(before) {
		b, ok := today[a.key()]
		if !ok || b.Unit != a.Unit {
			m.UnpairedBefore = append(m.UnpairedBefore, a.name())
			continue
		}
		paired[a.key()] = true
		p := MarkPair{Mark: a.mark.Label, Role: string(a.Role), Lamp: a.Lamp, Unit: a.Unit, Before: a.Level, After: b.Level}
		if a.Level > 0 && b.Level > 0 {
			p.Stops = new(photometry.Stops(b.Level, a.Level))
			d.add(*p.Stops, 1, float64(max(1, a.Readings)), float64(max(1, b.Readings)))
			d.slack = append(d.slack, a.OpenStops+b.OpenStops)
		}
		p.MiredShift, p.DuvShift = colorShifts(a.color(), b.color())
		m.Pairs = append(m.Pairs, p)
	}
	for _, b := range markLights(after) {
		if !paired[b.key()] {
			m.UnpairedAfter = append(m.UnpairedAfter, b.name())
		}
	}
	if len(d.values) == 0 {
		return nil, fmt.Errorf("the two days have no light at any mark in common: %s, and %s; expected the same marks and roles", listed(m.UnpairedBefore), listed(m.UnpairedAfter))
	}
	d.scale()
	m.judge(d)
	m.judgeColor()
	return m, nil
}

// markLight is one light at one mark on one day.
type markLight struct {
	mark ratio.Mark
	ratio.Area
}

func markLights(r *ratio.Result) (all []markLight) {
	for _, mark := range r.Marks {
		for _, a := range mark.Areas {
			all = append(all, markLight{mark, a})
		}
	}
	return all
}

func (l markLight) name() string { return markName(l.mark.Label, string(l.Role), l.Lamp) }

// key is what makes it the same light on both days.
func (l markLight) key() string {
	return strings.ToLower(l.mark.Label + "\x00" + string(l.Role) + "\x00" + l.Lamp)
}

// color is the color of a light, nil where it was not read.
func (l markLight) color() *ratio.Color {
	for _, c := range l.mark.Colors {
		if c.Role == l.Role && strings.EqualFold(c.Lamp, l.Lamp) {
			return &c
		}
	}
	return nil
}

// colorShifts are those of two days' colors, nil where a day has none.
func colorShifts(before, after *ratio.Color) (mired, duv *float64) {
	if before == nil || after == nil || !(before.Kelvin > 0) || !(after.Kelvin > 0) {
		return nil, nil
	}
	mired = new(1e6/after.Kelvin - 1e6/before.Kelvin)
	if before.Duv != nil && after.Duv != nil {
		duv = new(*after.Duv - *before.Duv)
	}
	return mired, duv
}

// listed are names for a message, at most four of them.
func listed(names []string) string {
	switch n := len(names); {
	case n == 0:
		return "none"
	case n > 4:
		return strings.Join(names[:3], ", ") + fmt.Sprintf(" and %d more", n-3)
	}
	return photometry.FormatList(names)
}

// judge finds offset and pattern with their intervals.
func (m *Marks) judge(d differences) {
	half := d.half()
	m.OffsetStops, m.OffsetInterval = d.mean(), about(d.mean(), half)
	m.Verdict = Verdict{Offset: judgeMean(m.OffsetStops, half, m.ToleranceStops), Pattern: uncertainty.Unsure}
	most := 0.0
	for i := range m.Pairs {
		p := &m.Pairs[i]
		if p.Stops == nil {
			continue
		}
		p.Pattern = new(*p.Stops - m.OffsetStops)
		most = max(most, math.Abs(*p.Pattern))
		if m.Worst.Stops == nil || math.Abs(*p.Stops) > math.Abs(*m.Worst.Stops) {
			m.Worst = *p
		}
	}
	if len(d.values) >= 2 {
		lo, hi := d.largest(m.OffsetStops, d.meanVariance().variance)
		m.PatternStops, m.PatternInterval, m.Verdict.Pattern = &most, &[2]float64{lo, hi}, uncertainty.Judge(lo, hi, m.ToleranceStops)
	}
	if slices.ContainsFunc(m.Pairs, MarkPair.Switched) {
		m.Verdict.Pattern = uncertainty.Fail
	}
	m.Verdict.Overall = uncertainty.WorstVerdict(m.Verdict.Offset, m.Verdict.Pattern)
	if floats.Max(d.slack) > 0 {
		m.Verdict.unsettle()
	}
}

// judgeColor judges the shifts of color. Color temperatures alone may fail; they say
// nothing of green and magenta, and so never pass.
func (m *Marks) judgeColor() {
	n, mired, duv, sum := 0, 0.0, 0.0, 0.0
	withDuv := true
	for _, p := range m.Pairs {
		if p.MiredShift == nil {
			continue
		}
		n, sum, mired = n+1, sum+*p.MiredShift, max(mired, math.Abs(*p.MiredShift))
		if withDuv = withDuv && p.DuvShift != nil; withDuv {
			duv = max(duv, math.Abs(*p.DuvShift))
		}
	}
	if n == 0 {
		return
	}
	m.OffsetMired = new(sum / float64(n))
	second := uncertainty.Unsure
	if withDuv {
		second = judgeColor(duv, duv, m.ToleranceDuv)
	}
	m.Verdict.Color = uncertainty.WorstVerdict(judgeColor(mired, mired, m.ToleranceMired), second)
	m.Verdict.Overall = uncertainty.WorstVerdict(m.Verdict.Overall, m.Verdict.Color)
}

// ratioTable is a table of lights at marks as it was read, and compared.
type ratioTable struct {
	*setup.Ratios
	*ratio.Result
}

// readRatios reads and compares the lights at the marks of one day.
func readRatios(in survey.Input, flags []*schema.Source) (out ratioTable, err error) {
	if out.Ratios, err = (setup.RatioOptions{Flags: flags}).Read(in.Reader, in.Name); err != nil {
		return out, err
	}
	if out.Result, err = ratio.Analyze(out.Input); err != nil {
		return out, fmt.Errorf("%s: %w", in.Name, err)
	}
	return out, nil
}

// readMarks matches two tables of lights at marks alone: the result's own figures
// are those of the marks.
func readMarks(before, after survey.Input, flags []*schema.Source, o Options) (*Result, error) {
	first, err1 := readRatios(before, flags)
	second, err2 := readRatios(after, flags)
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	marks, err := CompareRatios(first.Result, second.Result)
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", before.Name, after.Name, err)
	}
	marks.Format = first.FormatLevel
	r := newResult(cmp.Or(first.Result.Title, second.Result.Title), o.Changes)
	r.Unit, r.Marks, r.Verdict = marks.Worst.Unit, marks, marks.Verdict
	r.Before, r.After = ratioDay(first.Result, before.Name), ratioDay(second.Result, after.Name)
	r.Tolerance = Tolerance{OffsetStops: marks.ToleranceStops, PatternStops: marks.ToleranceStops, Mired: marks.ToleranceMired,
		Duv: survey.Settings{}.InForce().Duv, Source: photometry.Remarked("match.tolerance_ratios")}
	r.Pairs, r.PairsInAll = len(marks.Pairs), len(marks.Pairs)
	r.OffsetStops, r.OffsetInterval, r.OffsetMired = marks.OffsetStops, marks.OffsetInterval, marks.OffsetMired
	r.PatternStops, r.PatternInterval = marks.PatternStops, marks.PatternInterval
	r.OffsetSignificant = !holdsZero(r.OffsetInterval)
	r.PatternSignificant = r.PatternInterval != nil && r.PatternInterval[0] > 0
	w := marks.Worst
	r.Worst = Point{Label: w.Name(), Before: w.Before, After: w.After, Stops: *w.Stops, Pattern: *w.Pattern}
	r.checkDates(first.Date, second.Date)
	r.takeWarnings(first.Result.Warnings, DayBefore)
	r.takeWarnings(second.Result.Warnings, DayAfter)
	r.stepMarks(marks)
	r.cautions()
	return r, nil
}

// ratioDay is a day of lights at marks.
func ratioDay(r *ratio.Result, name string) Day {
	return Day{Title: r.Title, Date: r.Date, Files: []string{name}, Points: len(r.Marks), ReadingCount: r.Readings, ReadAs: r.ReadAs,
		Noise: uncertainty.Noise{RepeatabilityPercent: r.Noise.RepeatabilityPercent, DegreesOfFreedom: r.Noise.DegreesOfFreedom, Source: r.Noise.Source, Stops: r.Noise.Stops}}
}

// stepMarks says which lights at the marks to bring back, the one that changed most
// first, each to a number on the meter.
func (r *Result) stepMarks(marks *Marks) {
	if marks.Verdict.Overall == uncertainty.Pass {
		r.step("match.marks.keep")
		return
	}
	var changed, recolored []MarkPair
	for _, p := range marks.Pairs {
		if strings.Contains(p.Role, "+") {
			continue // a sum follows its lights
		}
		switch {
		case p.Switched():
			r.step("match.switched.one_lamp", "light", p.Name(), "today", p.level(p.After), "before", p.level(p.Before))
		case p.Stops != nil && math.Abs(*p.Stops) >= max(0.1, marks.ToleranceStops/2):
			changed = append(changed, p)
		}
		if p.MiredShift != nil && math.Abs(*p.MiredShift) > marks.ToleranceMired || p.DuvShift != nil && math.Abs(*p.DuvShift) > marks.ToleranceDuv {
			recolored = append(recolored, p)
		}
	}
	slices.SortStableFunc(changed, func(a, b MarkPair) int { return cmp.Compare(math.Abs(*b.Stops), math.Abs(*a.Stops)) })
	for _, p := range changed[:min(mostMarks, len(changed))] {
		r.step("match.mark.one_lamp", "light", p.Name(), "change", photometry.Stop(*p.Stops), "today", p.level(p.After), "before", p.level(p.Before))
	}
	if more := len(changed) - mostMarks; more > 0 {
		r.step("match.marks.one_lamp", "more", more, "change", photometry.Stop(math.Abs(*changed[len(changed)-1].Stops)))
	}
	for _, p := range recolored {
		duv := 0.0
		if p.DuvShift != nil {
			duv = *p.DuvShift
		}
		r.step("match.mark.gel", "lamp", p.Name(), "mired", photometry.Mired(*p.MiredShift), "duv", photometry.Duv(duv))
	}
	r.step("match.marks.meter_again")
}

// mostMarks is how many lights at marks have a step of their own.
const mostMarks = 4
