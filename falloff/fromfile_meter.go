package falloff

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenfall/photometry/survey"
)

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
func CheckSeries(s *survey.Series, o MeterOptions) (*Meter, error) {
	b := bridge{series: s}
	p := partsOf(s)
	if len(p.ladder) > 0 {
		var lamps []string
		for _, i := range p.ladder {
			if l := s.Readings[i].Lamp; l != "" && (len(lamps) == 0 || !strings.EqualFold(lamps[0], l)) {
				lamps = append(lamps, l)
			}
		}
		if len(lamps) > 1 {
			return nil, s.Fault("a ladder of the lamps "+strings.Join(lamps, ", "), "a ladder of one lamp")
		}
	}
	in := MeterReadings{}
	for _, group := range p.repeats {
		var levels []float64
		for _, i := range group {
			levels = append(levels, s.Readings[i].Level)
		}
		in.Repeats = append(in.Repeats, levels)
	}
	for _, i := range p.angles {
		in.Angles = append(in.Angles, AngleReading{AngleDeg: s.Readings[i].AngleDeg, Level: s.Readings[i].Level})
	}
	for _, i := range p.ladder {
		r := Reading{DistanceM: s.Readings[i].DistanceM, Level: s.Readings[i].Level}
		if a := s.Readings[i].AngleDeg; !math.IsNaN(a) {
			r.IncidenceDeg = a
		}
		in.Ladder = append(in.Ladder, r)
	}
	for _, i := range p.filters {
		in.Filters = append(in.Filters, FilterReading{Density: s.Readings[i].Density, Level: s.Readings[i].Level})
	}
	o.Unit, o.Receptor = b.unit(), s.Settings.Meter.Receptor.String()
	if r := s.Settings.Repeatability; r != nil && o.Repeatability == 0 {
		o.Repeatability = math.Max(*r, leastRepeatability)
	}
	if o.ResolutionStops == 0 && o.ResolutionLevel == 0 {
		o.ResolutionStops, o.ResolutionLevel = b.steps()
	}
	m, err := CheckMeter(in, o)
	if err != nil {
		var part *PartError
		if !errors.As(err, &part) {
			return nil, b.place(err, nil)
		}
		rows := map[string][]int{"angle": p.angles, "distance": p.ladder, "filter": p.filters}[part.Part]
		if part.Part == "repeat" && part.Group < len(p.repeats) {
			rows = p.repeats[part.Group]
		}
		return nil, b.place(part.Err, rows)
	}
	m.Readings = len(s.Readings)
	m.Title = s.Title
	m.Inferred = append(append([]string{}, s.Inferred...), b.inferred...)
	m.ReadAs = append(append([]string{}, s.ReadAs...), p.words(s))
	m.Warnings = append(append([]Finding{}, s.Warnings...), m.Warnings...)
	return m, nil
}

// parts are the rows of a file by what they are for.
type parts struct {
	repeats                 [][]int
	angles, ladder, filters []int
}

// standing is where a reading of a file stands; NaN is written as a number that no
// reading has, so that two compare.
type standing struct{ distance, angle, density float64 }

func standingOf(r survey.SeriesReading) standing {
	known := func(v float64) float64 {
		if math.IsNaN(v) {
			return -1e300
		}
		return v
	}
	return standing{known(r.DistanceM), known(r.AngleDeg), known(r.Density)}
}

func partsOf(s *survey.Series) parts {
	var p parts
	isFilter := make([]bool, len(s.Readings))
	filtered := map[standing]bool{}
	for i, r := range s.Readings {
		if r.Density > 0 || r.Density < 0 {
			at := standingOf(r)
			at.density = 0
			filtered[at], isFilter[i] = true, true
		}
	}
	for i, r := range s.Readings {
		isFilter[i] = isFilter[i] || r.Density == 0 && filtered[standingOf(r)]
	}
	// Distances and angles of the rows without a filter.
	distances, angles, ofAngled := map[float64]bool{}, map[float64]bool{}, map[float64]bool{}
	for i, r := range s.Readings {
		if isFilter[i] {
			continue
		}
		if !math.IsNaN(r.DistanceM) {
			distances[r.DistanceM] = true
		}
		if !math.IsNaN(r.AngleDeg) {
			angles[r.AngleDeg] = true
			ofAngled[standingOf(r).distance] = true
		}
	}
	turned := len(angles) > 1 && len(ofAngled) == 1
	groups := map[string]int{}
	for i, r := range s.Readings {
		at := standingOf(r)
		placed := true
		switch {
		case isFilter[i]:
			p.filters = append(p.filters, i)
		case turned && !math.IsNaN(r.AngleDeg):
			p.angles = append(p.angles, i)
		case len(distances) > 1 && !math.IsNaN(r.DistanceM):
			p.ladder = append(p.ladder, i)
		default:
			placed = false
		}
		key := fmt.Sprint(strings.ToLower(r.Lamp), at)
		if !placed {
			key = fmt.Sprint(key, strings.ToLower(r.Label), r.X, r.Y)
		}
		g, ok := groups[key]
		if !ok {
			g = len(p.repeats)
			groups[key] = g
			p.repeats = append(p.repeats, nil)
		}
		p.repeats[g] = append(p.repeats[g], i)
	}
	// A reading of its own is no repeat, unless there is nothing else to check.
	kept := p.repeats[:0:0]
	for _, g := range p.repeats {
		if len(g) > 1 {
			kept = append(kept, g)
		}
	}
	if len(kept)+len(p.angles)+len(p.ladder)+len(p.filters) > 0 {
		p.repeats = kept
	}
	return p
}

// words say how the rows were taken.
func (p parts) words(s *survey.Series) string {
	var all []string
	add := func(n int, what string) {
		if n > 0 {
			all = append(all, fmt.Sprintf("%d %s", n, what))
		}
	}
	repeats := 0
	for _, g := range p.repeats {
		repeats += len(g)
	}
	lights := fmt.Sprintf("%d lights", len(p.repeats))
	if len(p.repeats) == 1 {
		lights = "one light"
	}
	add(repeats, "as repeats of "+lights)
	add(len(p.angles), "by angle")
	add(len(p.ladder), "by distance")
	add(len(p.filters), "by filter")
	return fmt.Sprintf("%d readings, %s", len(s.Readings), strings.Join(all, ", "))
}
