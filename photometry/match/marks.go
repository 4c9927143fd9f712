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
	type place struct{ mark, role, lamp string }
	key := func(mark string, a ratio.Area) place {
		return place{strings.ToLower(mark), strings.ToLower(string(a.Role)), strings.ToLower(a.Lamp)}
	}
	type light struct {
		mark ratio.Mark
		area ratio.Area
	}
	today := map[place]light{}
	for _, mark := range after.Marks {
		for _, a := range mark.Areas {
			today[key(mark.Label, a)] = light{mark, a}
		}
	}
	var variances []float64
	paired := map[place]bool{}
	var mired []float64
	for _, mark := range before.Marks {
		for _, a := range mark.Areas {
			k := key(mark.Label, a)
			b, ok := today[k]
			if !ok || b.area.Unit != a.Unit || !(a.Level > 0) || !(b.area.Level > 0) {
				m.UnpairedBefore = append(m.UnpairedBefore, markName(mark.Label, string(a.Role), a.Lamp))
				continue
			}
			paired[k] = true
			p := MarkPair{Mark: mark.Label, Role: string(a.Role), Lamp: a.Lamp, Unit: a.Unit, Before: a.Level, After: b.area.Level, Stops: photometry.Stops(b.area.Level, a.Level)}
			if x, y := colorAt(mark, a), colorAt(b.mark, b.area); x > 0 && y > 0 {
				v := 1e6/y - 1e6/x
				p.MiredShift, mired = &v, append(mired, v)
			}
			m.Pairs = append(m.Pairs, p)
			variances = append(variances, before.Noise.Stops*before.Noise.Stops/float64(max(1, a.Readings))+after.Noise.Stops*after.Noise.Stops/float64(max(1, b.area.Readings)))
		}
	}
	for _, mark := range after.Marks {
		for _, a := range mark.Areas {
			if !paired[key(mark.Label, a)] {
				m.UnpairedAfter = append(m.UnpairedAfter, markName(mark.Label, string(a.Role), a.Lamp))
			}
		}
	}
	if len(m.Pairs) == 0 {
		return nil, fmt.Errorf("the two days have no light at any mark in common: %s, and %s; expected the same marks and roles", listedOrNone(m.UnpairedBefore), listedOrNone(m.UnpairedAfter))
	}
	if len(mired) > 0 {
		v := stat.Mean(mired, nil)
		m.OffsetMired = &v
	}
	m.judge(variances, freedom(estimate{before.Noise.Stops * before.Noise.Stops, before.Noise.DegreesOfFreedom}, estimate{after.Noise.Stops * after.Noise.Stops, after.Noise.DegreesOfFreedom}))
	return m, nil
}

func listedOrNone(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return listed(names)
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
	day := func(r *ratio.Result, name string) Day {
		return Day{Title: r.Title, Date: r.Date, Files: []string{name}, Points: len(r.Marks), Readings: r.Readings,
			Noise: uncertainty.Noise{RepeatabilityPercent: r.Noise.RepeatabilityPercent, DegreesOfFreedom: r.Noise.DegreesOfFreedom, Source: r.Noise.Source, Stops: r.Noise.Stops}}
	}
	title := first.Title
	if title == "" {
		title = second.Title
	}
	r := &Result{Schema: Schema, Title: title, Unit: marks.Worst.Unit, Marks: marks,
		Before: day(first, before.Name), After: day(second, after.Name), Verdict: marks.Verdict,
		Tolerance: Tolerance{OffsetStops: marks.ToleranceStops, PatternStops: marks.ToleranceStops, Mired: marks.ToleranceMired, Duv: survey.Settings{}.InForce().Duv, Source: "the tolerance of the ratios: that much either way for the offset, and for each light off it"},
		Pairs:     len(marks.Pairs), PairsInAll: len(marks.Pairs), OffsetStops: marks.OffsetStops, OffsetInterval: marks.OffsetInterval,
		PatternStops: marks.PatternStops, PatternInterval: marks.PatternInterval, OffsetMired: marks.OffsetMired,
		Worst:          Point{Label: marks.Worst.Name(), Before: marks.Worst.Before, After: marks.Worst.After, Stops: marks.Worst.Stops, Pattern: marks.Worst.Pattern},
		UnpairedBefore: []Place{}, UnpairedAfter: []Place{}, Points: []Point{}, Suspects: []Suspect{}, Changes: append([]setup.Change{}, o.Changes...),
		Steps: []photometry.Finding{}, Inferred: []string{}, Warnings: []photometry.Finding{}, Cautions: []photometry.Finding{}}
	i := marks.OffsetInterval
	r.OffsetSignificant = i[0] > 0 || i[1] < 0
	r.PatternSignificant = marks.PatternInterval != nil && marks.PatternInterval[0] > 0
	m := &matching{r: r}
	if a, ok := dayOf(first.Date); ok {
		if b, ok := dayOf(second.Date); ok && a.After(b) {
			m.warn("dates_swapped", "The day before (%s) is later than today (%s): are the two swapped?", first.Date, second.Date)
		}
	}
	m.stepMarks(marks)
	m.cautions()
	return r, nil
}

// stepMarks says which lights at the marks to bring back, the one that changed most
// first, each to a number on the meter.
func (m *matching) stepMarks(marks *Marks) {
	changed := slices.Clone(marks.Pairs)
	changed = slices.DeleteFunc(changed, func(p MarkPair) bool {
		return math.Abs(p.Stops) < max(0.1, marks.ToleranceStops/2) || strings.Contains(p.Role, "+") // a sum follows its lights
	})
	slices.SortStableFunc(changed, func(a, b MarkPair) int { return cmp.Compare(math.Abs(b.Stops), math.Abs(a.Stops)) })
	if marks.Verdict.Overall == uncertainty.Pass {
		m.step(StepKeep, "The lights at the marks are as they were: leave them.")
		return
	}
	for i, p := range changed {
		if i == 4 {
			m.step(StepOneLamp, "%d more lights changed by %s or more.", len(changed)-4, photometry.FormatStops(math.Abs(changed[len(changed)-1].Stops)))
			break
		}
		word := "up"
		if p.Stops > 0 {
			word = "down"
		}
		m.step(StepOneLamp, "%s: bring it %s by %s, from %s to %s %s.", p.Name(), word, photometry.FormatStops(math.Abs(p.Stops)), photometry.FormatFigure(p.After), photometry.FormatFigure(p.Before), p.Unit)
	}
	for _, p := range marks.Pairs {
		if v := p.MiredShift; v != nil && math.Abs(*v) > marks.ToleranceMired && !strings.Contains(p.Role, "+") {
			word := "warmer"
			if *v < 0 {
				word = "cooler"
			}
			m.step(StepGel, "%s is %.0f mired %s than the day before: look at its gel and its dimmer.", p.Name(), math.Abs(*v), word)
		}
	}
	m.step(StepMeterAgain, "Then read the same lights again and match once more.")
}
