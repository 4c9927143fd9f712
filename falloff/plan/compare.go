package plan

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
)

// Against compares a plan with readings of its surface: r is the analysis of
// read, whose levels (with a drift taken out) and suspects it uses. Readings of
// single lamps, where the survey has some of lamps that the plan knows, take part.
//
// It fits one factor a lamp, the ambient light and, for readings of single lamps,
// one factor for their time, none of them negative, by least squares of the
// errors in stops, with readings far off weighing less (Tukey's biweight).
// Readings of a lamp named ambient give the ambient light and its shape.
// Readings of single lamps may hold the ambient light or not: both are fitted,
// and the better fit is taken.
func (s *Scene) Against(r *evenness.Result) (*Score, error) {
	read := r.Survey
	if read.Quantity != s.Quantity && read.Quantity != photometry.Relative {
		return nil, fmt.Errorf("plan: readings of %s against a plan in %s", read.Quantity, s.Quantity)
	}
	if err := s.tooManyReadings(read); err != nil {
		return nil, err
	}
	f := newLevelFit(s, read, r)
	if err := s.TooMuch(); err != nil {
		return nil, err
	}
	if used := f.used(); used <= f.unknowns()+f.shaped() {
		return nil, fmt.Errorf("plan: %d readings cannot tell %d lamps and ambient light apart, expected more readings", used, len(f.lamps))
	}
	evidence, err := f.settleAmbient(r.Noise.Stops)
	if err != nil {
		return nil, err
	}
	out := &Score{read: f.read, ScatterStops: r.Noise.Stops, Lamps: f.lampScores(), Excluded: []Error{}, Points: []Error{}, Warnings: []photometry.Finding{}}
	f.scoreReadings(out)
	f.scoreAmbient(out, evidence)
	f.scoreColor(out)
	limit := f.judge(out)
	f.warnOfLamps(out)
	f.warnOfAmbient(out)
	if !out.Explained {
		f.warnOfErrors(out, limit)
	}
	return out, nil
}

// tooManyReadings is an error where the fit of the lamps' levels would take too long.
func (s *Scene) tooManyReadings(read *survey.Survey) error {
	lamps, readings := s.startingLamps(), read.Len()
	for _, lamp := range read.Lamps {
		readings += len(lamp.Point)
	}
	if most := schema.MostFitted / max(1, len(lamps)*len(lamps)); readings > most {
		return fmt.Errorf("plan: found %d readings against %d lamps, expected at most %d to fit so many", readings, len(lamps), most)
	}
	return nil
}

// scoreReadings gives the error of each reading and their figures, fitted and as
// planned.
func (f *levelFit) scoreReadings(out *Score) {
	planned := f.asPlanned()
	squares, plannedSquares, offsets := 0.0, 0.0, 0.0
	unlit := 0
	for i := range f.equations {
		q := &f.equations[i]
		e := f.errorOf(q)
		switch {
		case math.IsInf(e.Stops, 0) || math.IsNaN(e.Stops):
			if q.level > 0 {
				unlit++
			}
			continue
		case q.excluded:
			out.Excluded = append(out.Excluded, e)
			continue
		}
		out.Points = append(out.Points, e)
		squares += e.Stops * e.Stops
		if math.Abs(e.Stops) > math.Abs(out.WorstStops) {
			out.WorstStops, out.Worst = e.Stops, e
		}
		if p := f.model(q, planned); p > 0 {
			off := photometry.Stops(q.level, p)
			offsets, plannedSquares = offsets+off, plannedSquares+off*off
			if math.Abs(off) > math.Abs(out.AsPlanned.WorstStops) {
				out.AsPlanned.WorstStops = off
			}
		}
	}
	if unlit > 0 {
		out.warn("plan.unlit", "places", unlit)
	}
	out.Readings = len(out.Points)
	n := float64(out.Readings)
	out.RMSStops = math.Sqrt(squares / n)
	out.AsPlanned.RMSStops, out.AsPlanned.OffsetStops = math.Sqrt(plannedSquares/n), offsets/n
}

// errorOf is a reading beside the fitted plan.
func (f *levelFit) errorOf(q *equation) Error {
	e := Error{Label: f.read.LabelOf(q.place), X: f.read.X[q.place], Y: f.read.Y[q.place], Measured: q.level, Predicted: f.model(q, f.scale),
		point: q.place, alone: q.of != everyLamp}
	switch {
	case q.of == noLamp:
		e.Label = strings.TrimSpace(e.Label + " (ambient light alone)")
	case e.alone:
		e.Label = strings.TrimSpace(e.Label + " (" + f.scene.Fixtures[f.lamps[q.of]].Name + " alone)")
	}
	e.Stops = photometry.Stops(e.Measured, e.Predicted)
	return e
}

// lampScores are what each lamp gives of its plan.
func (f *levelFit) lampScores() []LampScore {
	out := []LampScore{}
	for k, lamp := range f.lamps {
		l := LampScore{Name: f.scene.Fixtures[lamp].Name, Through: f.scene.through(lamp), Percent: 100 * f.scale[k]}
		l.Low, l.High = f.interval(k, 100)
		if l.Percent > 0.01 {
			stops := photometry.Stops(f.scale[k], 1)
			l.Stops = &stops
		}
		out = append(out, l)
	}
	return out
}

// scoreAmbient gives the ambient light, the time of the single lamps and which
// kind of readings of single lamps the figures rest on, or that it is not known
// and matters.
func (f *levelFit) scoreAmbient(out *Score, evidence ambientEvidence) {
	out.Ambient.Value = f.scale[f.ambientAt()]
	out.Ambient.Low, out.Ambient.High = f.interval(f.ambientAt(), 1)
	if f.hasAlone() {
		stops := photometry.Stops(f.scale[f.timeAt()], 1)
		out.AloneStops = &stops
	}
	switch {
	case !evidence.asked:
	case evidence.better > plainer:
		on := f.ambientInAlone
		out.AmbientInAlone = &on
		out.inferred = append(out.inferred, photometry.Remarked("alone_with_ambient", "on", on))
	case evidence.differ:
		out.warn("ambient_alone")
	}
}

// judge reports whether the errors are no more than scatter, and gives the rms
// error in stops up to which they are: χ² stays under its 97.5 % point.
func (f *levelFit) judge(out *Score) (limit float64) {
	n := float64(out.Readings)
	freedoms := math.Max(1, n-float64(len(f.scale)+f.shaped()))
	limit = out.ScatterStops * math.Sqrt(chiSquareQuantile(freedoms)/freedoms)
	out.Explained = out.RMSStops*math.Sqrt(n/freedoms) <= limit
	return limit
}
