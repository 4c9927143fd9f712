package match

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Options are what Match knows beside the two surveys. The zero value is
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

// matching is a match as it is put together.
type matching struct {
	o             Options
	r             *Result
	before, after *matchDay
	weight        []float64 // of each pair, by area, 1 on the mean
	chosen        []int     // pairs that decide
	fit           *levelFit // nil where no lamp was read alone
}

// matchDay is one of the two surveys with its analysis.
type matchDay struct {
	s      *survey.Survey
	r      *evenness.Result
	level  []float64 // drift and slips among repeats taken out
	left   []bool    // suspects; nil for none
	models []uncertainty.Model
}

// Compare tells how the light of one survey differs from that of another, an
// earlier one of the same surface, and how to restore it: the offset over all,
// the pattern that is left after removing it, the shift of color, and, where
// o.Lamps says what each lamp gave alone, which lamp changed. Neither survey is
// changed.
//
// Levels are those that Analyze judges, with a significant drift taken out.
// Suspects of either day are left out and named. Where today's would change the
// verdict it is unsure; those of the day before can no longer be read again.
//
// It is an error where the surveys are of different quantities, where either
// cannot be analyzed, or where they have no place in common.
func Compare(before, after *survey.Survey, o Options) (*Result, error) {
	if before.Quantity != after.Quantity {
		return nil, fmt.Errorf("the day before was read as %s (%s), today as %s (%s): expected the same on both days",
			before.Quantity, before.Quantity.Unit(), after.Quantity, after.Quantity.Unit())
	}
	m := &matching{o: o, r: &Result{
		Schema: Schema, Title: before.Title, Unit: before.Quantity.Unit(), surface: before,
		UnpairedBefore: []Place{}, UnpairedAfter: []Place{}, Changes: append([]setup.Change{}, o.Changes...),
		Suspects: []Suspect{}, Steps: []photometry.Finding{}, Inferred: []string{}, Warnings: []photometry.Finding{}, Cautions: []photometry.Finding{},
	}}
	if m.r.Title == "" {
		m.r.Title = after.Title
	}
	var err error
	if m.before, err = judgedDay(before, "the day before"); err != nil {
		return nil, err
	}
	if m.after, err = judgedDay(after, "today"); err != nil {
		return nil, err
	}
	m.r.Before, m.r.After = m.before.told(), m.after.told()
	m.tolerance()
	if err := m.pair(); err != nil {
		return nil, err
	}
	m.checkDays()
	m.suspects()
	m.levels()
	m.color()
	m.lamps()
	m.lampColors()
	m.verdict()
	m.steps()
	return m.r, nil
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
	r, err := evenness.Analyze(s)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", day, err)
	}
	if r.Models == nil {
		return nil, fmt.Errorf("%s: %d places get no light, expected light at every place", day, s.Unlit())
	}
	d.r, d.level, d.models = r, r.Clean, r.Models
	places := slices.DeleteFunc(slices.Clone(r.Suspects), func(x survey.Suspect) bool { return slices.Contains(x.Reasons, survey.SnakeAsRows) })
	d.left = survey.Marked(s.Len(), places)
	return d, nil
}

// told is the day for the result.
func (d *matchDay) told() Day {
	return Day{Title: d.s.Title, Date: d.s.Date, Points: d.s.Len(), Readings: d.s.Readings, Noise: d.r.Noise, Drift: d.r.Drift}
}

// isLeft tells whether a point is a suspect.
func (d *matchDay) isLeft(i int) bool { return d.left != nil && d.left[i] }

// repeats is how many readings stand behind a point.
func (d *matchDay) repeats(i int) float64 {
	if d.s.Repeats == nil {
		return 1
	}
	return float64(d.s.Repeats[i])
}

// taken is the drift that was taken out, nil for none.
func (d *matchDay) taken() *survey.Drift {
	if d.r.Drift == nil || !d.r.Drift.Corrected {
		return nil
	}
	return d.r.Drift
}

// lever is by how many stops a point's level errs where the slope of the drift
// errs by one standard deviation: the time to the end that it was carried over.
func (d *matchDay) lever(i int) float64 {
	drift := d.taken()
	if drift == nil || math.IsNaN(d.s.Minutes[i]) {
		return 0
	}
	return drift.Lever(d.s.Minutes[i])
}

// driftFreedom is the number of degrees of freedom behind the error of the drift, 0
// where it is known beforehand.
func (d *matchDay) driftFreedom() int {
	if drift := d.taken(); drift != nil && drift.Readings >= 5 {
		return drift.Readings - 2
	}
	return 0
}

// driftStops is what taking out the drift adds to a difference of two points.
func (d *matchDay) driftStops() float64 {
	if drift := d.taken(); drift != nil {
		return drift.ErrorStops
	}
	return 0
}

// tolerance derives what may differ from what the surface may.
func (m *matching) tolerance() {
	l, other := m.before.s.Settings.InForce(), m.after.s.Settings.InForce()
	total := l.Stops
	source := fmt.Sprintf("the surface's tolerance of %s: all of it for the pattern, half of it either way for the offset", photometry.FormatStops(l.Stops))
	if l.EachSide {
		total = 2 * l.Stops
		source = fmt.Sprintf("the surface's tolerance of ±%s: that much either way for the offset, twice that for the pattern", photometry.FormatStops(l.Stops))
	}
	m.r.Tolerance = Tolerance{OffsetStops: total / 2, PatternStops: total, Mired: l.Mired, Duv: l.Duv, Source: source}
	if l.Stops != other.Stops || l.EachSide != other.EachSide || l.Mired != other.Mired || l.Duv != other.Duv {
		m.warn("tolerances_differ", "The two days state different tolerances: that of the day before counts.")
	}
}

func (m *matching) warn(code, format string, args ...any) {
	m.r.Warnings = append(m.r.Warnings, photometry.Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

func (m *matching) infer(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(m.r.Inferred, text) {
		m.r.Inferred = append(m.r.Inferred, text)
	}
}

// checkDays tells what is odd about the two days as a whole.
func (m *matching) checkDays() {
	a, b := m.before.s, m.after.s
	if a.Title != "" && b.Title != "" && !strings.EqualFold(a.Title, b.Title) {
		m.warn("other_surface", "The surfaces have different names: “%s” and “%s”.", a.Title, b.Title)
	}
	if a.Settings.Sized && b.Settings.Sized && (!near(a.Extent.Width(), b.Extent.Width()) || !near(a.Extent.Height(), b.Extent.Height())) {
		m.warn("other_size", "The surfaces have different sizes: %s × %s m the day before, %s × %s m today.", photometry.FormatFigure(a.Extent.Width()),
			photometry.FormatFigure(a.Extent.Height()), photometry.FormatFigure(b.Extent.Width()), photometry.FormatFigure(b.Extent.Height()))
	}
	if a.Area != nil && b.Area != nil && *a.Area != *b.Area {
		m.warn("other_area", "The areas in shot differ: that of the day before counts.")
	}
	first, ok1 := dayOf(a.Date)
	second, ok2 := dayOf(b.Date)
	if ok1 && ok2 && first.After(second) {
		m.warn("dates_swapped", "The day before (%s) is later than today (%s): are the two swapped?", a.Date, b.Date)
	}
	if m.identical() {
		m.warn("same_readings", "Both days have the very same readings: is it one file twice?")
	}
	if a.Settings.Meter.Receptor != b.Settings.Meter.Receptor {
		m.warn("other_receptor", "The receptor was %s the day before and is %s today: they read light from the side differently.", a.Settings.Meter.Receptor, b.Settings.Meter.Receptor)
	}
	if a.Quantity == photometry.Relative {
		m.infer("the relative levels of both days count from the same 100 %%")
	}
	if m.before.r.Noise.Source == "assumed" || m.after.r.Noise.Source == "assumed" {
		m.infer("repeatability 2 %% of one reading to the next, an assumption: repeat a few readings or give a note to replace it")
	}
	m.infer("the same meter on both days, or two that agree: repeatability does not cover a difference of meters")
	for _, d := range []struct {
		name string
		of   *matchDay
	}{{"The day before", m.before}, {"Today", m.after}} {
		for _, text := range d.of.s.Inferred {
			m.infer("%s: %s", strings.ToLower(d.name[:1])+d.name[1:], text)
		}
		for _, w := range d.of.r.Warnings {
			if slices.Contains([]string{"table", "repeats_disagree", "far_off", "color_far_off", "untimed", "too_bright", "tiny"}, w.Code) {
				f := photometry.Found("of_day", "day", d.name, "finding", w)
				f.Code = w.Code
				m.r.Warnings = append(m.r.Warnings, f)
			}
		}
		if drift := d.of.taken(); drift != nil {
			m.infer("%s: a drift of %+.2f stop is taken out, to the level at which the light was left", strings.ToLower(d.name[:1])+d.name[1:], drift.TotalStops)
		}
	}
}

// near tells whether two lengths agree to a hundredth.
func near(a, b float64) bool { return math.Abs(a-b) <= 0.01*math.Max(a, b) }

// dayOf reads a date as year-month-day, the one order that is not read in two
// ways.
func dayOf(text string) (time.Time, bool) {
	for _, layout := range []string{"2006-01-02", "2006/01/02", "20060102", "2 January 2006", "January 2, 2006", "2 Jan 2006"} {
		if t, err := time.Parse(layout, strings.TrimSpace(text)); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// identical tells whether every reading of both days is the same.
func (m *matching) identical() bool {
	if m.before.s.Len() < 3 || !slices.Equal(m.before.s.Level, m.after.s.Level) || !slices.Equal(m.before.s.X, m.after.s.X) {
		return false
	}
	return slices.EqualFunc(m.before.s.Again, m.after.s.Again, func(a, b survey.Reading) bool { return a.Level == b.Level && a.Point == b.Point })
}

// suspects names the readings that look like slips and leaves them out.
func (m *matching) suspects() {
	add := func(day string, d *matchDay) {
		for _, x := range d.r.Suspects {
			m.r.Suspects = append(m.r.Suspects, Suspect{day, x})
		}
	}
	add(DayBefore, m.before)
	add(DayAfter, m.after)
	for k := range m.r.Points {
		p := &m.r.Points[k]
		p.LeftOut = m.before.isLeft(p.before) || m.after.isLeft(p.after)
	}
}

var errNoPair = errors.New("the two days have no place in common")
