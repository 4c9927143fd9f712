package evenness

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// findSerpentine looks for a walk in serpentine order that was typed as rows all in one
// direction: with every second row turned around, a smooth surface then
// explains the readings far better. A surface that is alike from left and
// right looks the same both ways and is never called so.
func (r *Result) findSerpentine() {
	s, places, level, trend, noiseStops := r.Survey, r.Places, r.Clean, r.Trend, r.Noise.Stops
	l := s.Lattice
	if l == nil || trend == nil || len(l.Xs) < 4 || len(l.Ys) < 3 || s.Len() > everyPlace || s.Predicted {
		return
	}
	turned := slices.Clone(level)
	rows := len(l.Ys)
	for row := range rows {
		if (rows-1-row)%2 == 0 {
			continue // counted from the top, as one walks
		}
		for c := range l.Xs {
			from, to := l.At(c, row), l.At(len(l.Xs)-1-c, row)
			if from < 0 || to < 0 {
				return
			}
			turned[to] = level[from]
		}
	}
	other := places.Trend(turned, nil)
	if other == nil {
		return
	}
	as, turn := trend.Scatter(places, level), other.Scatter(places, turned)
	// Half the scatter at least, from a scatter that noise does not explain.
	if as < 3*noiseStops || as < 0.05 || turn > 0.5*as {
		return
	}
	// And neighboring rows must run against each other as typed, and along with
	// each other when turned: a patch or a shadow does neither.
	typed, along := rowsAgree(l, level), rowsAgree(l, turned)
	if typed > -0.3 || along < 0.7 {
		return
	}
	var names []string
	first := -1
	for down := 1; down < rows; down += 2 {
		if first < 0 {
			first = l.At(0, rows-1-down)
		}
		names = append(names, strings.TrimRight(spatial.GridLabel(0, down), "1"))
	}
	r.Suspects = append(r.Suspects, survey.Suspect{
		Label: "rows " + strings.Join(names, ", "), Line: s.LineOf(first), Point: first,
		Found:       "every row from left to right",
		Reasons:     []string{entry.SerpentineAsRows},
		Suggestions: []photometry.Remark{photometry.Remarked("turn_rows", "rows", strings.Join(names, ", "), "typed", as, "turned", turn)},
	})
}

// rowsAgree is the mean correlation of each row with the next, in stops, where both have a
// reading.
func rowsAgree(l *spatial.Lattice, level []float64) float64 {
	sum := 0.0
	for r := 1; r < len(l.Ys); r++ {
		var a, b []float64
		for c := range l.Xs {
			if i, j := l.At(c, r-1), l.At(c, r); i >= 0 && j >= 0 {
				a, b = append(a, math.Log2(level[i])), append(b, math.Log2(level[j]))
			}
		}
		if rho := stat.Correlation(a, b, nil); !math.IsNaN(rho) {
			sum += rho
		}
	}
	return sum / float64(len(l.Ys)-1)
}
