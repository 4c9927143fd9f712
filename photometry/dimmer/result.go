package dimmer

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// Schema names the shape of Result.
const Schema = "evenfall/dimmer/1"

// Input are the readings of some lamps over their dimmers.
type Input struct {
	Title, Date   string
	Readings      []Reading
	Repeatability *float64 // of one reading, as a share; nil where it is not noted
	Resolution    float64  // step of the display in stops
	Warnings      []photometry.Finding
	Inferred      []photometry.Remark
}

// Wanted is what to find the setting for: a level, or a change in stops from a setting.
type Wanted struct {
	Lamp        string            // "" for every lamp
	Level       *photometry.Level // nil with Stops
	Stops       *float64          // positive for more light
	FromPercent float64           // the setting that Stops count from
}

// Result is what the dimmers of some lamps do.
type Result struct {
	Schema   string               `json:"schema"`
	Title    string               `json:"title,omitempty"`
	Date     string               `json:"date,omitempty"`
	Lamps    []*Lamp              `json:"lamps"`
	Noise    Noise                `json:"noise"`
	Settled  bool                 `json:"settled"` // every wanted setting was found
	Warnings []photometry.Finding `json:"warnings"`
	Cautions []photometry.Finding `json:"cautions"`
	Inferred []photometry.Remark  `json:"inferred"`
}

// Noise is how far one reading scatters and where that is known from.
type Noise struct {
	Source string  `json:"source"` // stated, repeats or assumed
	Stops  float64 `json:"stops"`  // standard deviation of one reading
}

// Lamp is one lamp over its dimmer.
type Lamp struct {
	Name   string  `json:"name"`
	Unit   string  `json:"unit"`
	Points []Point `json:"points"`
	// Setting is for what is wanted, absent where nothing is or no setting gives it.
	Setting *Setting `json:"setting,omitempty"`
	// AboveStops and BelowStops are what is left from that setting to the highest and
	// the lowest that was read.
	AboveStops *float64 `json:"above_stops,omitempty"`
	BelowStops *float64 `json:"below_stops,omitempty"`
	// RangeStops is from the lowest setting with light to the highest.
	RangeStops float64 `json:"range_stops"`
	// FlickerFreeFrom is the lowest setting from which on no flicker was seen, FlickerAt
	// the highest at which it was.
	FlickerFreeFrom *float64 `json:"flicker_free_from_percent,omitempty"`
	FlickerAt       *float64 `json:"flicker_at_percent,omitempty"`
	// OffLinear is where the level is furthest from what the dial says, against the
	// highest setting; positive where the lamp gives more.
	OffLinear   *float64             `json:"off_linear_stops,omitempty"`
	OffLinearAt *float64             `json:"off_linear_at_percent,omitempty"`
	Warnings    []photometry.Finding `json:"warnings"`

	Curve    *Curve              `json:"-"` // nil for fewer than two settings
	Quantity photometry.Quantity `json:"-"`
}

// Point is one reading. Its level is in the lamp's unit.
type Point struct {
	Percent  float64  `json:"percent"`
	Level    float64  `json:"level"`
	Kelvin   *float64 `json:"cct_k,omitempty"`
	Duv      *float64 `json:"duv,omitempty"`
	Flickers *bool    `json:"flicker,omitempty"`
}

// Setting is where to set a dimmer.
type Setting struct {
	Percent  float64    `json:"percent"`
	Interval [2]float64 `json:"interval_percent"` // 95 %
	Level    float64    `json:"level"`
	// Kelvin and Duv are the color there with its 95 % intervals, nil where it was not
	// read at two settings with this one between them.
	Kelvin         *float64    `json:"cct_k,omitempty"`
	KelvinInterval *[2]float64 `json:"cct_interval_k,omitempty"`
	Duv            *float64    `json:"duv,omitempty"`
	DuvInterval    *[2]float64 `json:"duv_interval,omitempty"`
	// FromPercent is the setting that a change counts from, Stops the change, and
	// Mired what it does to the color: positive warms.
	FromPercent *float64 `json:"from_percent,omitempty"`
	Stops       *float64 `json:"stops,omitempty"`
	Mired       *float64 `json:"shift_mired,omitempty"`
	// LinearPercent is what a linear dial would be set to, against the highest setting
	// or the one that the change counts from.
	LinearPercent float64 `json:"linear_percent"`
	Flickers      bool    `json:"flickers,omitempty"` // flicker was seen there or above
}

// Change is a lamp, by how many stops its light is to change (positive for more), and how
// its own dimmer is set for that; Setting is nil where nothing was read of it there, so
// that the dial is taken as linear, or where it does not reach so far.
type Change struct {
	Lamp    string   `json:"lamp"`
	Stops   float64  `json:"stops"`
	Setting *Setting `json:"setting,omitempty"`
	Beyond  bool     `json:"beyond_dimmer,omitempty"` // it does not reach so far
}

// Analyze finds the curve of each lamp and the setting for what is wanted. The error is
// photometry.InputErrors.
func Analyze(in Input, want Wanted) (*Result, error) {
	if err := in.Check(); err != nil {
		return nil, err
	}
	scatter, freedoms, source := in.scatter()
	out := &Result{Schema: Schema, Title: in.Title, Date: in.Date, Noise: Noise{source, scatter}, Settled: true,
		Warnings: append([]photometry.Finding{}, in.Warnings...), Inferred: append([]photometry.Remark{}, in.Inferred...),
		Cautions: []photometry.Finding{photometry.Found("dimmer.flicker_caution"), photometry.Found("dimmer.limits_caution")}}
	if source == "assumed" {
		out.Inferred = append(out.Inferred, photometry.Remarked("dimmer.scatter_assumed"))
	}
	if slices.ContainsFunc(in.Readings, func(r Reading) bool { return r.Kelvin != nil || r.Duv != nil }) {
		out.Inferred = append(out.Inferred, photometry.Remarked("dimmer.color_assumed", "mired", uncertainty.AssumedMired, "duv", uncertainty.AssumedDuv))
	}
	for _, rows := range in.lamps() {
		l := newLamp(rows.name, in.of(rows), scatter, uncertainty.Factor(freedoms))
		if want.Lamp == "" || photometry.SameName(want.Lamp, l.Name) {
			l.want(want)
			out.Settled = out.Settled && (want.Level == nil && want.Stops == nil || l.Setting != nil && len(l.Curve.knots) >= FewestRows)
		}
		out.Lamps = append(out.Lamps, l)
	}
	return out, nil
}

// Lamp finds a lamp by its name, nil where its dimmer was not read.
func (r *Result) Lamp(name string) *Lamp {
	if r == nil {
		return nil
	}
	if i := slices.IndexFunc(r.Lamps, func(l *Lamp) bool { return photometry.SameName(l.Name, name) }); i >= 0 {
		return r.Lamps[i]
	}
	return nil
}

// Range is the dial from the lowest to the highest setting that gave light, in percent; 0
// where fewer than two were read.
func (l *Lamp) Range() (low, high float64) {
	if l == nil || l.Curve == nil {
		return 0, 0
	}
	return l.Curve.Range()
}

func newLamp(name string, readings []Reading, scatter, factor float64) *Lamp {
	l := &Lamp{Name: name, Quantity: readings[0].Level.Quantity, Unit: readings[0].Level.Quantity.Unit(), Warnings: []photometry.Finding{}}
	readings = slices.Clone(readings)
	slices.SortStableFunc(readings, func(a, b Reading) int { return cmp.Compare(a.Percent, b.Percent) })
	for _, r := range readings {
		l.Points = append(l.Points, Point{r.Percent, r.Level.Value, r.Kelvin, r.Duv, r.Flickers})
	}
	l.Curve = newCurve(readings, scatter, factor)
	l.flicker()
	if readings[0].Percent == 0 && readings[0].Level.Value > 0 {
		l.warn("dimmer.glows", "level", l.level(readings[0].Level.Value))
	}
	switch n := l.settings(); {
	case l.Curve == nil:
		l.warn("dimmer.one_row")
		return l
	case n < FewestRows:
		l.warn("dimmer.few_rows", "rows", n)
	}
	low, high := l.Curve.Range()
	l.RangeStops = l.Curve.stops(high) - l.Curve.stops(low)
	for _, k := range l.Curve.knots {
		off := k.y - l.Curve.stops(high) - math.Log2(k.percent/high)
		if l.OffLinear == nil || math.Abs(off) > math.Abs(*l.OffLinear) {
			l.OffLinear, l.OffLinearAt = &off, new(k.percent)
		}
	}
	return l
}

// settings is how many different settings gave light.
func (l *Lamp) settings() int {
	if l.Curve == nil {
		return 1
	}
	return len(l.Curve.knots)
}

func (l *Lamp) warn(key string, namesAndValues ...any) {
	l.Warnings = append(l.Warnings, photometry.Found(key, namesAndValues...))
}

func (l *Lamp) level(v float64) photometry.Level {
	return photometry.Level{Value: v, Quantity: l.Quantity}
}

// flicker finds where no flicker was seen, from the highest setting down.
func (l *Lamp) flicker() {
	for _, p := range slices.Backward(l.Points) {
		switch {
		case p.Flickers == nil:
		case *p.Flickers:
			l.FlickerAt = new(p.Percent)
			return
		default:
			l.FlickerFreeFrom = new(p.Percent)
		}
	}
}

// want finds the setting for what is wanted, or says why there is none.
func (l *Lamp) want(w Wanted) {
	if l.Curve == nil || w.Level == nil && w.Stops == nil {
		return
	}
	low, high := l.Curve.Range()
	most, least, from := l.Curve.Level(high), l.Curve.Level(low), w.FromPercent
	outOfReach := func(level photometry.Level, more bool) {
		if more {
			l.warn("dimmer.too_much", "level", level, "most", l.level(most), "at", photometry.Percentage(high))
		} else {
			l.warn("dimmer.too_little", "level", level, "least", l.level(least), "at", photometry.Percentage(low))
		}
	}
	switch {
	case w.Stops != nil && (from < low || from > high):
		l.warn("dimmer.from_outside", "from", photometry.Percentage(from), "low", photometry.Percentage(low), "high", photometry.Percentage(high))
	case w.Stops != nil:
		if l.Setting = l.Change(from, *w.Stops); l.Setting == nil {
			outOfReach(l.level(l.Curve.Level(from)*photometry.Factor(*w.Stops)), *w.Stops > 0)
		}
	case w.Level.Quantity != l.Quantity:
		l.warn("dimmer.other_quantity", "wanted", *w.Level, "read", l.Quantity.String())
	default:
		if l.Setting = l.setting(math.Log2(w.Level.Value), 0); l.Setting == nil {
			outOfReach(*w.Level, w.Level.Value > most)
		} else {
			l.Setting.LinearPercent = Linear(high, photometry.Stops(w.Level.Value, most))
		}
	}
	if s := l.Setting; s != nil {
		l.AboveStops, l.BelowStops = new(l.Curve.stops(high)-math.Log2(s.Level)), new(math.Log2(s.Level)-l.Curve.stops(low))
		if s.Flickers {
			l.warn("dimmer.flickers", "at", photometry.Percentage(*l.FlickerAt))
		}
	}
}

// setting is where the dimmer gives log2 of a level that is known to so many stops; nil
// where no setting that was read does.
func (l *Lamp) setting(y, off float64) *Setting {
	percent, interval, ok := l.Curve.at(y, off)
	if !ok {
		return nil
	}
	s := &Setting{Percent: percent, Interval: interval, Level: math.Exp2(y), Flickers: l.FlickerAt != nil && percent < *l.FlickerAt+0.05}
	kelvin, d := l.Curve.Color(percent)
	if kelvin != nil {
		s.Kelvin, s.KelvinInterval = &kelvin.Value, &kelvin.Interval
	}
	if d != nil {
		s.Duv, s.DuvInterval = &d.Value, &d.Interval
	}
	return s
}

// Change is the setting that is some stops from the level at another one, nil where the
// readings do not reach so far or there are too few of them.
func (l *Lamp) Change(fromPercent, stops float64) *Setting {
	if first, last := l.Range(); fromPercent < first || fromPercent > last || last == 0 {
		return nil
	}
	low, high := l.Curve.Band(fromPercent)
	s := l.setting(l.Curve.stops(fromPercent)+stops, (high-low)/2)
	if s == nil {
		return nil
	}
	s.FromPercent, s.Stops, s.LinearPercent = &fromPercent, &stops, Linear(fromPercent, stops)
	if before, _ := l.Curve.Color(fromPercent); before != nil && s.Kelvin != nil {
		s.Mired = new(1e6 / *s.Kelvin - 1e6/before.Value)
	}
	return s
}
