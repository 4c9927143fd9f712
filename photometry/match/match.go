package match

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/drift"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Options are what Compare knows besides the two surveys. The zero value is
// useful.
type Options struct {
	// WithinM is how far apart two places may be, in meters, to be one; 0 is a
	// quarter of the spacing of the places, at least 1 cm.
	WithinM float64
	// Lamps is what each lamp gave alone on the day before; nil where that was not
	// read.
	Lamps *survey.LampSet
	// Changes are the differences of the two days' tables.
	Changes []setup.Change
}

// matching is a match as it is put together: the two days, and what is found so
// far. Its stages are methods in the order of Compare.
type matching struct {
	r             *Result
	before, after *matchDay
	pairs         []int     // that decide
	weight        []float64 // of every pair
	low, high     float64   // of the differences that decide, in stops
}

// matchDay is one of the two surveys with its analysis.
type matchDay struct {
	s        *survey.Survey
	r        *evenness.Result
	at       func(Point) int // the day's point of a pair
	level    []float64       // drift and data-entry errors among repeats taken out
	excluded []bool          // suspects; nil for none
	drift    *drift.Drift    // that was taken out; nil for none
	models   []uncertainty.Model
}

// Compare finds how the light of one survey differs from that of another, an
// earlier one of the same surface, and how to restore it: the offset over all,
// the pattern that is left after removing it, the shift of color, and, where
// o.Lamps says what each lamp gave alone, which lamp changed. Neither survey is
// changed.
//
// Levels are those that Analyze judges, with a significant drift taken out.
// Suspects of either day are excluded and named; where they would change the verdict
// it is unsure.
//
// It is an error where the surveys are of different quantities, where either
// cannot be analyzed, or where they have no place in common.
func Compare(before, after *survey.Survey, o Options) (*Result, error) {
	m, err := judgeDays(before, after, o)
	if err != nil {
		return nil, err
	}
	if err := m.pair(o.WithinM); err != nil {
		return nil, err
	}
	m.checkDays()
	m.excludeSuspects()
	m.choose()
	m.levels()
	m.color()
	fit := m.fitLamps(o.Lamps) // nil where no lamp was read alone
	m.lampColors(fit)
	m.judge()
	m.restore()
	return m.r, nil
}

// newResult is a result without any finding; its lists are empty, not absent.
func newResult(title string, changes []setup.Change) *Result {
	return &Result{Schema: Schema, Title: title, Changes: append([]setup.Change{}, changes...),
		UnpairedBefore: []Place{}, UnpairedAfter: []Place{}, Points: []Point{}, Suspects: []Suspect{},
		Steps: []photometry.Finding{}, Inferred: []photometry.Remark{}, Warnings: []photometry.Finding{}, Cautions: []photometry.Finding{}}
}

// judgeDays analyzes both days.
func judgeDays(before, after *survey.Survey, o Options) (*matching, error) {
	if before.Quantity != after.Quantity {
		return nil, fmt.Errorf("the day before was read as %s (%s), today as %s (%s): expected the same on both days; --level-unit lx names the unit of levels without one",
			before.Quantity, before.Quantity.Unit(), after.Quantity, after.Quantity.Unit())
	}
	m := &matching{r: newResult(cmp.Or(before.Title, after.Title), o.Changes)}
	var err error
	if m.before, err = judgedDay(before, "the day before"); err != nil {
		return nil, err
	}
	if m.after, err = judgedDay(after, "today"); err != nil {
		return nil, err
	}
	m.before.at, m.after.at = func(p Point) int { return p.before }, func(p Point) int { return p.after }
	m.r.Survey, m.r.Unit = before, before.Quantity.Unit()
	m.r.Before, m.r.After = m.before.describe(), m.after.describe()
	m.tolerance()
	return m, nil
}

// judgedDay analyzes a survey. One place alone has no evenness, but a level.
func judgedDay(s *survey.Survey, day string) (*matchDay, error) {
	d := &matchDay{s: s}
	if s.Len() == 1 && s.Level[0] > 0 {
		models, noise := s.Noise()
		d.r = &evenness.Result{Survey: s, Places: spatial.NewPlaces(s.X, s.Y), Noise: noise, Warnings: s.Warnings, Inferred: s.Inferred}
		d.level, d.models = s.Level, models
		return d, nil
	}
	r, err := evenness.Judge(s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", day, err)
	}
	if r.Models == nil {
		return nil, fmt.Errorf("%s: %d places get no light, expected light at every place", day, s.Unlit())
	}
	d.r, d.level, d.models = r, r.Clean, r.Models
	if r.Drift != nil && r.Drift.Corrected {
		d.drift = r.Drift
	}
	places := slices.DeleteFunc(slices.Clone(r.Suspects), func(x survey.Suspect) bool { return slices.Contains(x.Reasons, entry.SerpentineAsRows) })
	d.excluded = survey.Marked(s.Len(), places)
	return d, nil
}

// describe is the day for the result.
func (d *matchDay) describe() Day {
	return Day{Title: d.s.Title, Date: d.s.Date, Points: d.s.Len(), ReadingCount: d.s.ReadingCount, Noise: d.r.Noise, Drift: d.r.Drift, ReadAs: d.s.ReadAs}
}

// isExcluded reports whether a point is a suspect.
func (d *matchDay) isExcluded(i int) bool { return d.excluded != nil && d.excluded[i] }

// days are both days.
func (m *matching) days() [2]*matchDay { return [2]*matchDay{m.before, m.after} }

// sameMeter reports whether both days note the same meter.
func (m *matching) sameMeter() bool {
	a, b := m.before.s.Settings.MeterName, m.after.s.Settings.MeterName
	return a != "" && strings.EqualFold(a, b)
}

// driftErrors are by how many stops a point's level errs, each where one source of the
// error of the drift that was taken out is one standard deviation off.
func (d *matchDay) driftErrors(i int) []float64 {
	if d.drift == nil {
		return nil
	}
	return d.drift.Errors(d.s.Minutes[i])
}

// tolerance derives what may differ from what the surface may.
func (m *matching) tolerance() {
	l, other := m.before.s.Settings.InForce(), m.after.s.Settings.InForce()
	t := Tolerance{OffsetStops: l.Stops / 2, PatternStops: l.Total(), Mired: l.Mired, Duv: l.Duv}
	t.Source = photometry.Remarked("match.tolerance", "stops", photometry.Stop(l.Stops))
	if l.EachSide {
		t.OffsetStops = l.Stops
		t.Source = photometry.Remarked("match.tolerance_each_side", "stops", photometry.Stop(l.Stops))
	}
	m.r.Tolerance = t
	if l.Stops != other.Stops || l.EachSide != other.EachSide || l.Mired != other.Mired || l.Duv != other.Duv {
		m.r.warn("match.tolerances_differ")
	}
}

// level is a level of the surface.
func (m *matching) level(v float64) photometry.Level {
	return photometry.Level{Value: v, Quantity: m.before.s.Quantity}
}

// checkDays says what is odd about the two days as a whole, and what they take for
// granted.
func (m *matching) checkDays() {
	a, b := m.before.s, m.after.s
	if a.Title != "" && b.Title != "" && !strings.EqualFold(a.Title, b.Title) {
		m.r.warn("match.other_surface", "before", a.Title, "today", b.Title)
	}
	if a.Settings.Sized && b.Settings.Sized && (!near(a.Extent.Width(), b.Extent.Width()) || !near(a.Extent.Height(), b.Extent.Height())) {
		m.r.warn("match.other_size", "before_width", photometry.Length(a.Extent.Width()), "before_height", photometry.Length(a.Extent.Height()),
			"width", photometry.Length(b.Extent.Width()), "height", photometry.Length(b.Extent.Height()))
	}
	if a.Area != nil && b.Area != nil && *a.Area != *b.Area {
		m.r.warn("match.other_area")
	}
	m.r.checkDates(a.Date, b.Date)
	if m.identical() {
		m.r.warn("match.same_readings")
	}
	if was, is := a.Settings.Meter.Receptor, b.Settings.Meter.Receptor; was != is {
		m.r.warn("match.other_receptor", "before", was.String(), "today", is.String())
	}
	if a.Quantity == photometry.Relative {
		m.r.infer("match.same_hundred")
	}
	if m.before.r.Noise.Source == "assumed" || m.after.r.Noise.Source == "assumed" {
		m.r.infer("assumed_repeatability")
	}
	if !m.sameMeter() {
		m.r.infer("match.same_meter")
	}
	m.takeOver(m.before, DayBefore)
	m.takeOver(m.after, DayAfter)
}

// checkDates warns where the day before is the later one.
func (r *Result) checkDates(before, after string) {
	if days := schema.DaysOf(before, after); days.Sure && before != "" && after != "" && days.Compare(before, after) > 0 {
		r.warn("match.dates_swapped", "before", before, "today", after)
	}
}

// takenOver are the warnings of a day that bear on a match.
var takenOver = []string{"table", "repeats_agree", "repeats_disagree", "far_off", "color_far_off", "untimed", "too_bright", "tiny", "conflict", "ratio.conflict"}

// takeOver says of the match what was assumed and found of one day.
func (m *matching) takeOver(d *matchDay, day string) {
	for _, r := range d.s.Inferred {
		m.r.infer("match.inferred", "day", day, "what", r.Finding)
	}
	m.r.takeWarnings(d.r.Warnings, day)
	if d.drift != nil {
		m.r.infer("match.drift_taken", "day", day, "drift", photometry.Stop(d.drift.TotalStops))
	}
}

// takeWarnings says of the match what bears on it of a day's warnings.
func (r *Result) takeWarnings(warnings []photometry.Finding, day string) {
	for _, w := range warnings {
		if slices.Contains(takenOver, w.Code) {
			f := photometry.Found("match.warned", "day", day, "what", w)
			f.Code = w.Code
			r.Warnings = append(r.Warnings, f)
		}
	}
}

// near reports whether two lengths agree to a hundredth.
func near(a, b float64) bool { return math.Abs(a-b) <= 0.01*math.Max(a, b) }

// identical reports whether every reading of both days is the same.
func (m *matching) identical() bool {
	if m.before.s.Len() < 3 || !slices.Equal(m.before.s.Level, m.after.s.Level) || !slices.Equal(m.before.s.X, m.after.s.X) {
		return false
	}
	return slices.EqualFunc(m.before.s.Replicates, m.after.s.Replicates, func(a, b survey.Replicate) bool { return a.Level == b.Level && a.Point == b.Point })
}

// excludeSuspects names the readings that look like data-entry errors and excludes
// them.
func (m *matching) excludeSuspects() {
	for i, day := range m.days() {
		for _, x := range day.r.Suspects {
			m.r.Suspects = append(m.r.Suspects, Suspect{[]string{DayBefore, DayAfter}[i], x})
		}
	}
	for k := range m.r.Points {
		p := &m.r.Points[k]
		p.Excluded = m.before.isExcluded(p.before) || m.after.isExcluded(p.after)
	}
}

var errNoPair = errors.New("the two days have no place in common")
