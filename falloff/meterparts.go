package falloff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// parts are the rows of a file by what they are for.
type parts struct {
	repeats                 [][]int
	angles, ladder, filters []int
}

// position is where a reading of a file was taken; NaN is written as a number that no
// reading has, so that two compare.
type position struct{ distance, angle, density float64 }

func positionOf(r survey.SeriesReading) position {
	known := func(v float64) float64 {
		if math.IsNaN(v) {
			return -1e300
		}
		return v
	}
	return position{known(r.DistanceM), known(r.AngleDeg), known(r.Density)}
}

// partsOf tells the rows apart by what their columns say, see CheckSeries.
func partsOf(s *survey.Series) parts {
	var p parts
	isFilter := filterRows(s)
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
			ofAngled[positionOf(r).distance] = true
		}
	}
	turned := len(angles) > 1 && len(ofAngled) == 1
	placed := make([]bool, len(s.Readings))
	for i, r := range s.Readings {
		placed[i] = true
		switch {
		case isFilter[i]:
			p.filters = append(p.filters, i)
		case turned && !math.IsNaN(r.AngleDeg):
			p.angles = append(p.angles, i)
		case len(distances) > 1 && !math.IsNaN(r.DistanceM):
			p.ladder = append(p.ladder, i)
		default:
			placed[i] = false
		}
	}
	p.repeats = grouped(len(s.Readings), func(i int) string {
		r := s.Readings[i]
		key := fmt.Sprint(strings.ToLower(r.Lamp), positionOf(r))
		if !placed[i] {
			key = fmt.Sprint(key, strings.ToLower(r.Label), r.X, r.Y)
		}
		return key
	})
	// A reading of its own is no repeat, unless there is nothing else to check.
	kept := slices.DeleteFunc(slices.Clone(p.repeats), func(g []int) bool { return len(g) < 2 })
	if len(kept)+len(p.angles)+len(p.ladder)+len(p.filters) > 0 {
		p.repeats = kept
	}
	return p
}

// filterRows says which rows were read through a filter, or without one where
// others were read through one.
func filterRows(s *survey.Series) []bool {
	filtered := map[position]bool{}
	bare := func(r survey.SeriesReading) position {
		at := positionOf(r)
		at.density = 0
		return at
	}
	for _, r := range s.Readings {
		if r.Density > 0 || r.Density < 0 {
			filtered[bare(r)] = true
		}
	}
	rows := make([]bool, len(s.Readings))
	for i, r := range s.Readings {
		rows[i] = r.Density > 0 || r.Density < 0 || r.Density == 0 && filtered[bare(r)]
	}
	return rows
}

// ladderLamps are the lamps named in the ladder, each once.
func (p parts) ladderLamps(s *survey.Series) []string {
	var lamps []string
	for _, i := range p.ladder {
		lamp := s.Readings[i].Lamp
		if lamp != "" && !slices.ContainsFunc(lamps, func(l string) bool { return strings.EqualFold(l, lamp) }) {
			lamps = append(lamps, lamp)
		}
	}
	return lamps
}

// describe says how the rows were taken.
func (p parts) describe(s *survey.Series) photometry.Remark {
	repeats := 0
	for _, g := range p.repeats {
		repeats += len(g)
	}
	return photometry.Remarked("meter_parts", "readings", len(s.Readings), "repeats", repeats, "lights", len(p.repeats),
		"angles", len(p.angles), "distances", len(p.ladder), "filters", len(p.filters))
}
