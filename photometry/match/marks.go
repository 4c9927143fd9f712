package match

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

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
	// OffsetStops is the mean over all pairs with its 95 % interval, PatternStops by
	// how much the light farthest from that stands off, either way: each light is
	// one lamp's or few, so that none may hide behind the others.
	OffsetStops     float64     `json:"offset_stops"`
	OffsetInterval  *[2]float64 `json:"offset_interval_stops,omitempty"`
	OffsetMired     *float64    `json:"offset_mired,omitempty"`
	PatternStops    float64     `json:"pattern_stops"`
	PatternInterval *[2]float64 `json:"pattern_interval_stops,omitempty"`
	Worst           MarkPair    `json:"worst"`
	// ToleranceStops is allowed either way for the offset and for each light off
	// it, ToleranceMired for the color of each light.
	ToleranceStops float64 `json:"tolerance_stops"`
	ToleranceMired float64 `json:"tolerance_mired"`
	Verdict        Verdict `json:"verdict"`
}

// MarkPair is one light at one mark on both days, levels in Unit.
type MarkPair struct {
	Mark       string   `json:"mark"`
	Role       string   `json:"role"`
	Lamp       string   `json:"lamp,omitempty"`
	Unit       string   `json:"unit"`
	Before     float64  `json:"before_level"`
	After      float64  `json:"after_level"`
	Stops      float64  `json:"stops"`         // log2(after/before)
	Pattern    float64  `json:"pattern_stops"` // the same less the offset
	MiredShift *float64 `json:"mired_shift,omitempty"`
}

// Name is the pair in words: mark, role, lamp.
func (p MarkPair) Name() string { return markName(p.Mark, p.Role, p.Lamp) }

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

// CompareRatios holds the lights at the marks of two days against each other. Lights
// that are zero on either day, or read in other quantities, are no pairs. The
// tolerance is that of the day before. It is an error where no light is common to
// both.
func CompareRatios(before, after *ratio.Result) (*Marks, error) {
	m := &Marks{Pairs: []MarkPair{}, UnpairedBefore: []string{}, UnpairedAfter: []string{}, ToleranceStops: before.ToleranceStops, ToleranceMired: survey.Settings{}.InForce().Mired}
	today := map[string]markLight{}
	for _, l := range markLights(after) {
		today[l.key()] = l
	}
	var variances, mired []float64
	paired := map[string]bool{}
	for _, a := range markLights(before) {
		b, ok := today[a.key()]
		if !ok || b.Unit != a.Unit || !(a.Level > 0) || !(b.Level > 0) {
			m.UnpairedBefore = append(m.UnpairedBefore, a.name())
			continue
		}
		paired[a.key()] = true
		p := MarkPair{Mark: a.mark.Label, Role: string(a.Role), Lamp: a.Lamp, Unit: a.Unit, Before: a.Level, After: b.Level, Stops: photometry.Stops(b.Level, a.Level)}
		if x, y := colorAt(a.mark, a.Area), colorAt(b.mark, b.Area); x > 0 && y > 0 {
			v := 1e6/y - 1e6/x
			p.MiredShift, mired = &v, append(mired, v)
		}
		m.Pairs = append(m.Pairs, p)
		variances = append(variances, before.Noise.Stops*before.Noise.Stops/float64(max(1, a.Readings))+after.Noise.Stops*after.Noise.Stops/float64(max(1, b.Readings)))
	}
	for _, b := range markLights(after) {
		if !paired[b.key()] {
			m.UnpairedAfter = append(m.UnpairedAfter, b.name())
		}
	}
	if len(m.Pairs) == 0 {
		return nil, fmt.Errorf("the two days have no light at any mark in common: %s, and %s; expected the same marks and roles", listed(m.UnpairedBefore), listed(m.UnpairedAfter))
	}
	if len(mired) > 0 {
		v := stat.Mean(mired, nil)
		m.OffsetMired = &v
	}
	m.judge(variances, freedom(estimate{before.Noise.Stops * before.Noise.Stops, before.Noise.DegreesOfFreedom}, estimate{after.Noise.Stops * after.Noise.Stops, after.Noise.DegreesOfFreedom}))
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

// listed are names for a message, at most four of them.
func listed(names []string) string {
	switch n := len(names); {
	case n == 0:
		return "none"
	case n > 4:
		return strings.Join(names[:3], ", ") + fmt.Sprintf(" and %d more", n-3)
	case n > 1:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return names[0]
}

// colorAt is the color temperature of a light in K, 0 where it was not read.
func colorAt(mark ratio.Mark, a ratio.Area) float64 {
	for _, c := range mark.Colors {
		if c.Role == a.Role && strings.EqualFold(c.Lamp, a.Lamp) {
			return c.Kelvin
		}
	}
	return 0
}

// judge finds offset and pattern with their intervals, as levels and bounds do for
// a surface.
func (m *Marks) judge(variances []float64, nu int) {
	n := len(m.Pairs)
	variance := 0.0
	var classes uncertainty.Classes
	for i, p := range m.Pairs {
		m.OffsetStops += p.Stops / float64(n)
		variance += variances[i] / float64(n*n)
		classes.Add(p.Stops, inverse(variances[i]))
		if i == 0 || math.Abs(p.Stops) > math.Abs(m.Worst.Stops) {
			m.Worst = p
		}
	}
	for i := range m.Pairs {
		m.Pairs[i].Pattern = m.Pairs[i].Stops - m.OffsetStops
		m.PatternStops = max(m.PatternStops, math.Abs(m.Pairs[i].Pattern))
	}
	m.Worst.Pattern = m.Worst.Stops - m.OffsetStops
	half := uncertainty.Factor(nu) * math.Sqrt(variance)
	m.OffsetInterval = &[2]float64{m.OffsetStops - half, m.OffsetStops + half}
	size := math.Abs(m.OffsetStops)
	m.Verdict = Verdict{Offset: uncertainty.Judge(max(0, size-half), size+half, m.ToleranceStops), Pattern: uncertainty.Unsure}
	if n >= 2 {
		lo, hi := uncertainty.DeviationInterval(classes, m.OffsetStops, inverse(variance), uncertainty.Model{Stops: 1, Nu: nu}, uncertainty.FactorsFor(n, nu))
		m.PatternInterval = &[2]float64{lo, hi}
		m.Verdict.Pattern = uncertainty.Judge(lo, hi, m.ToleranceStops)
	}
	m.Verdict.Overall = uncertainty.WorstVerdict(m.Verdict.Offset, m.Verdict.Pattern)
	if m.OffsetMired != nil {
		far := 0.0
		for _, p := range m.Pairs {
			if p.MiredShift != nil {
				far = max(far, math.Abs(*p.MiredShift))
			}
		}
		m.Verdict.Color = uncertainty.Judge(far, far, m.ToleranceMired)
		m.Verdict.Overall = uncertainty.WorstVerdict(m.Verdict.Overall, m.Verdict.Color)
	}
}

// readRatios reads and compares the lights at the marks of one day.
func readRatios(in survey.Input, flags []*schema.Source) (*ratio.Result, error) {
	read, err := setup.RatioOptions{Flags: flags}.Read(in.Reader, in.Name)
	if err != nil {
		return nil, err
	}
	r, err := ratio.Analyze(read.Input)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", in.Name, err)
	}
	return r, nil
}

// readMarks matches two tables of lights at marks alone: the result's own figures
// are those of the marks.
func readMarks(before, after survey.Input, flags []*schema.Source, o Options) (*Result, error) {
	first, err := readRatios(before, flags)
	if err != nil {
		return nil, err
	}
	second, err := readRatios(after, flags)
	if err != nil {
		return nil, err
	}
	marks, err := CompareRatios(first, second)
	if err != nil {
		return nil, fmt.Errorf("%s and %s: %w", before.Name, after.Name, err)
	}
	r := newResult(cmp.Or(first.Title, second.Title), o.Changes)
	r.Unit, r.Marks, r.Verdict = marks.Worst.Unit, marks, marks.Verdict
	r.Before, r.After = ratioDay(first, before.Name), ratioDay(second, after.Name)
	r.Tolerance = Tolerance{OffsetStops: marks.ToleranceStops, PatternStops: marks.ToleranceStops, Mired: marks.ToleranceMired,
		Duv: survey.Settings{}.InForce().Duv, Source: photometry.Remarked("match.tolerance_ratios")}
	r.Pairs, r.PairsInAll = len(marks.Pairs), len(marks.Pairs)
	r.OffsetStops, r.OffsetInterval, r.OffsetMired = marks.OffsetStops, marks.OffsetInterval, marks.OffsetMired
	r.PatternStops, r.PatternInterval = marks.PatternStops, marks.PatternInterval
	r.OffsetSignificant = r.OffsetInterval[0] > 0 || r.OffsetInterval[1] < 0
	r.PatternSignificant = r.PatternInterval != nil && r.PatternInterval[0] > 0
	w := marks.Worst
	r.Worst = Point{Label: w.Name(), Before: w.Before, After: w.After, Stops: w.Stops, Pattern: w.Pattern}
	m := &matching{r: r}
	m.checkDates(first.Date, second.Date)
	m.stepMarks(marks)
	m.cautions()
	return r, nil
}

// ratioDay is a day of lights at marks.
func ratioDay(r *ratio.Result, name string) Day {
	return Day{Title: r.Title, Date: r.Date, Files: []string{name}, Points: len(r.Marks), ReadingCount: r.Readings,
		Noise: uncertainty.Noise{RepeatabilityPercent: r.Noise.RepeatabilityPercent, DegreesOfFreedom: r.Noise.DegreesOfFreedom, Source: r.Noise.Source, Stops: r.Noise.Stops}}
}

// stepMarks says which lights at the marks to bring back, the one that changed most
// first, each to a number on the meter.
func (m *matching) stepMarks(marks *Marks) {
	if marks.Verdict.Overall == uncertainty.Pass {
		m.step("match.marks.keep")
		return
	}
	var changed, recolored []MarkPair
	for _, p := range marks.Pairs {
		if strings.Contains(p.Role, "+") {
			continue // a sum follows its lights
		}
		if math.Abs(p.Stops) >= max(0.1, marks.ToleranceStops/2) {
			changed = append(changed, p)
		}
		if p.MiredShift != nil && math.Abs(*p.MiredShift) > marks.ToleranceMired {
			recolored = append(recolored, p)
		}
	}
	slices.SortStableFunc(changed, func(a, b MarkPair) int { return cmp.Compare(math.Abs(b.Stops), math.Abs(a.Stops)) })
	for _, p := range changed[:min(mostMarks, len(changed))] {
		m.step("match.mark.one_lamp", "light", p.Name(), "change", photometry.Stop(p.Stops), "today", p.level(p.After), "before", p.level(p.Before))
	}
	if more := len(changed) - mostMarks; more > 0 {
		m.step("match.marks.one_lamp", "more", more, "change", photometry.Stop(math.Abs(changed[len(changed)-1].Stops)))
	}
	for _, p := range recolored {
		m.step("match.mark.gel", "light", p.Name(), "mired", photometry.Mired(*p.MiredShift))
	}
	m.step("match.marks.meter_again")
}

// mostMarks is how many lights at marks have a step of their own.
const mostMarks = 4
