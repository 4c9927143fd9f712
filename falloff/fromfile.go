package falloff

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

// FitSeries fits a distance series as a file holds it. It is FitDistance with
// what the file's notes say of the meter put into the options: unit, receptor,
// and, where o leaves them open, repeatability and resolution. Angles are the
// incidence of each reading. Faults come back as table.Errors with file, line
// and column.
func FitSeries(s *survey.Series, o Options) (*Distance, error) {
	b := bridge{series: s}
	if !s.Has(survey.SeriesDistance) {
		return nil, s.Fault("no column of distances", "columns such as distance (m) and E (lx)")
	}
	if lamps := s.Lamps(); len(lamps) > 1 {
		return nil, s.Fault("readings of the lamps "+strings.Join(lamps, ", "), "readings of one lamp")
	}
	var readings []Reading
	for i, r := range s.Readings {
		switch {
		case math.IsNaN(r.DistanceM):
			b.add(i, survey.SeriesDistance, "", "a distance")
		case r.Density > 0:
			b.add(i, survey.SeriesDensity, "", "readings without a filter in a distance series")
		}
		reading := Reading{DistanceM: r.DistanceM, Level: r.Level, Name: fmt.Sprint("line ", r.Line)}
		if r.Label != "" {
			reading.Name = r.Label
		}
		if !math.IsNaN(r.AngleDeg) {
			reading.IncidenceDeg = r.AngleDeg
		}
		readings = append(readings, reading)
	}
	if err := b.errors.ErrOrNil(); err != nil {
		return nil, err
	}
	o.Unit, o.Receptor = b.unit(), s.Settings.Meter.Receptor.String()
	if r := s.Settings.Repeatability; r != nil && o.Repeatability == 0 {
		o.Repeatability = math.Max(*r, leastRepeatability)
	}
	if o.ResolutionStops == 0 && o.ResolutionLevel == 0 {
		o.ResolutionStops, o.ResolutionLevel = b.steps()
	}
	d, err := FitDistance(readings, o)
	if err != nil {
		return nil, b.place(err, nil)
	}
	for i := range d.Points {
		d.Points[i].Name = s.Readings[d.Points[i].Reading-1].Label
	}
	d.Title = s.Title
	d.Inferred = append(append([]string{}, s.Inferred...), b.inferred...)
	d.ReadAs = s.ReadAs
	d.Warnings = append(append([]Finding{}, s.Warnings...), d.Warnings...)
	return d, nil
}

// leastRepeatability stands in for a noted repeatability of 0 %, which no meter
// has.
const leastRepeatability = 1e-4

// bridge carries a file's series into the package and its faults back.
type bridge struct {
	series   *survey.Series
	errors   table.Errors
	inferred []string
}

func (b *bridge) add(i int, f survey.SeriesFigure, found, expected string) {
	b.errors = append(b.errors, b.series.Error(i, f, found, expected))
}

// unit is the unit of the series' levels.
func (b *bridge) unit() string {
	switch b.series.Quantity {
	case photometry.Illuminance:
		return UnitLux
	case photometry.LuminousExposure:
		return UnitLuxSecond
	case photometry.Luminance:
		b.inferred = append(b.inferred, "luminance is taken as that of a card that the light falls on; that of the light itself does not change with distance")
	}
	return UnitRelative
}

// steps are the step of the display in stops and in levels.
func (b *bridge) steps() (stops, level float64) {
	s := b.series
	switch {
	case s.Settings.Resolution > 0:
		return s.Settings.Resolution, 0
	case s.StepStops > 0:
		return s.StepStops, 0
	}
	return 0, s.StepLevel
}

// figures are the columns of a file that the figures of a reading stand in.
var figures = map[Figure]survey.SeriesFigure{
	DistanceFigure: survey.SeriesDistance, LevelFigure: survey.SeriesLevel,
	AngleFigure: survey.SeriesAngle, DensityFigure: survey.SeriesDensity,
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
		if e.quotes() {
			found = "" // the cell says it better
		}
		return b.series.Error(i, figures[e.Of], found, e.Expected)
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

// quotes tells whether the fault is the figure alone, so that the cell of a
// file can stand for its description.
func (e *InputError) quotes() bool {
	return e.Of != "" && !strings.Contains(e.Found, "dome")
}
