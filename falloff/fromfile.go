package falloff

import (
	"errors"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

// FitSeries fits a distance series as a file holds it. It is FitDistance with
// what the file's notes say of the meter put into the options: unit, receptor, tape,
// and, where o leaves them open, repeatability and resolution. Angles are the
// incidence of each reading. Faults come back as table.Errors with file, line
// and column.
func FitSeries(s *survey.Series, o Options) (*Distance, error) {
	b := bridge{series: s}
	if !s.Has(schema.Distance) {
		return nil, s.Fault("no column of distances", "columns such as distance (m) and E (lx)")
	}
	if lamps := s.Lamps(); len(lamps) > 1 {
		return nil, s.Fault("readings of the lamps "+strings.Join(lamps, ", "), "readings of one lamp")
	}
	var readings []Reading
	for i, r := range s.Readings {
		switch {
		case math.IsNaN(r.DistanceM):
			b.errors = append(b.errors, s.Error(i, schema.Distance, "", "a distance"))
		case r.Density > 0:
			b.errors = append(b.errors, s.Error(i, schema.Density, "", "readings without a filter in a distance series"))
		}
		reading := b.reading(i)
		reading.Name, reading.Line = r.Label, r.Line
		readings = append(readings, reading)
	}
	if err := b.errors.ErrOrNil(); err != nil {
		return nil, err
	}
	d, err := FitDistance(readings, b.options(o))
	if err != nil {
		return nil, b.place(err, nil)
	}
	d.Title = s.Title
	d.readFrom(b)
	return d, nil
}

// CheckSeries checks a meter by the readings of a file, which may hold any of
// the four parts of MeterReadings, a row a reading:
//
//   - a row with an ND of more than zero is a filter reading, and so is one with
//     an ND of zero at the same distance and angle;
//   - rows with an angle are angle readings, as long as they stand at one
//     distance; where distances differ too, they are a ladder and the angle is
//     each reading's incidence;
//   - rows with a distance are a ladder, where there are two distances or more;
//   - all other rows, by label or place, are repeats, as are rows of any part
//     that repeat another's distance, angle and filter.
//
// It is CheckMeter with what the file's notes say of the meter put into the
// options. Faults come back as table.Errors with file, line and column.
func CheckSeries(s *survey.Series, o Options) (*Meter, error) {
	b := bridge{series: s}
	p := partsOf(s)
	if lamps := p.ladderLamps(s); len(lamps) > 1 {
		return nil, s.Fault("a ladder of the lamps "+strings.Join(lamps, ", "), "a ladder of one lamp")
	}
	in := MeterReadings{}
	open := 0.0
	for _, r := range s.Readings {
		open = math.Max(open, r.OpenStops)
	}
	for _, group := range p.repeats {
		var levels []float64
		for _, i := range group {
			if s.Readings[i].OpenStops == 0 { // else it says nothing of the scatter
				levels = append(levels, s.Readings[i].Level)
			}
		}
		if len(levels) > 0 {
			in.Repeats = append(in.Repeats, levels)
		}
	}
	for _, i := range p.angles {
		in.Angles = append(in.Angles, AngleReading{AngleDeg: s.Readings[i].AngleDeg, Level: s.Readings[i].Level})
	}
	for _, i := range p.ladder {
		in.Ladder = append(in.Ladder, b.reading(i))
	}
	for _, i := range p.filters {
		in.Filters = append(in.Filters, FilterReading{Density: s.Readings[i].Density, Level: s.Readings[i].Level})
	}
	o = b.options(o)
	o.ResolutionStops = math.Hypot(o.ResolutionStops, open*math.Sqrt(12)) // whose s is what is open
	m, err := CheckMeter(in, o)
	var part *PartError
	switch {
	case errors.As(err, &part):
		rows := map[string][]int{"angle": p.angles, "distance": p.ladder, "filter": p.filters}[part.Part]
		if part.Part == "repeat" && part.Group < len(p.repeats) {
			rows = p.repeats[part.Group]
		}
		return nil, b.place(part.Err, rows)
	case err != nil:
		return nil, b.place(err, nil)
	}
	m.Readings = len(s.Readings)
	m.Title = s.Title
	m.readFrom(b)
	if open > 0 {
		m.Settled, m.TenthStopToDeg = false, nil
	}
	m.ParseLog = append(m.ParseLog, p.describe(s))
	return m, nil
}

// readFrom adds what a person should know of how the file was understood.
func (c *Conclusions) readFrom(b bridge) {
	c.Inferred = slices.Concat(b.series.Inferred, b.inferred)
	c.ReadAs, c.ParseLog = b.series.ReadAs, b.series.ParseLog
	c.Warnings = slices.Concat([]Finding{}, b.series.Warnings, c.Warnings)
}

// leastRepeatability stands in for a noted repeatability of 0 %, which no meter
// has.
const leastRepeatability = 1e-4

// bridge carries a file's series into the package and its faults back.
type bridge struct {
	series   *survey.Series
	errors   table.Errors
	inferred []photometry.Remark
}

// reading is row i as a reading at a distance.
func (b *bridge) reading(i int) Reading {
	r := b.series.Readings[i]
	out := Reading{DistanceM: r.DistanceM, Level: r.Level, OpenStops: r.OpenStops}
	if !math.IsNaN(r.AngleDeg) {
		out.IncidenceDeg = r.AngleDeg
	}
	return out
}

// options puts what the file's notes say of the meter into o: unit and receptor,
// and what o leaves open.
func (b *bridge) options(o Options) Options {
	s := b.series
	o.Unit, o.Receptor = b.unit(), s.Settings.Meter.Receptor.String()
	o.TapeChecked = o.TapeChecked || s.Settings.TapeChecked
	if r := s.Settings.Repeatability; r != nil && o.Repeatability == 0 {
		o.Repeatability = math.Max(*r, leastRepeatability)
	}
	switch {
	case o.ResolutionStops != 0 || o.ResolutionLevel != 0:
	case s.Settings.Resolution > 0:
		o.ResolutionStops = s.Settings.Resolution
	case s.StepStops > 0:
		o.ResolutionStops = s.StepStops
	default:
		o.ResolutionLevel = s.StepLevel
	}
	return o
}

// unit is the unit of the series' levels.
func (b *bridge) unit() string {
	if b.series.Quantity == photometry.Luminance {
		b.inferred = append(b.inferred, photometry.Remarked("luminance_of_card"))
		return UnitRelative
	}
	return b.series.Quantity.Unit()
}

// figures are the columns of a file that the figures of a reading stand in.
var figures = map[Figure]*schema.Column{
	DistanceFigure: schema.Distance, LevelFigure: schema.AnyLevel,
	AngleFigure: schema.Angle, DensityFigure: schema.Density,
}

// place turns faults of readings into faults of the file. rows holds the rows
// that the readings came from; nil where they are the series' own.
func (b *bridge) place(err error, rows []int) error {
	one := func(e *InputError) *table.Error {
		if e.Index < 0 {
			return b.series.Fault(e.Found, e.Expected)
		}
		i := e.Index
		if rows != nil {
			i = rows[i]
		}
		found := e.Found
		if quotes(e) {
			found = "" // the cell says it better
		}
		return b.series.Error(i, figures[e.Field], found, e.Expected)
	}
	var several InputErrors
	var single *InputError
	switch {
	case errors.As(err, &several):
		for _, e := range several {
			b.errors = append(b.errors, one(e))
		}
		return b.errors.ErrOrNil()
	case errors.As(err, &single):
		return one(single)
	}
	return err
}
