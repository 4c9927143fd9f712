package survey

import (
	"maps"
	"math"
	"slices"
	"strings"

	"evenfall/photometry/schema"
)

// Bound is a reading that is known only to one side: over the meter's range, or below
// what it can show.
type Bound struct {
	Label string  `json:"label,omitempty"`
	Level float64 `json:"level"` // the limit, SI unit of the survey's quantity
	Over  bool    `json:"over"`  // the light is brighter than the limit, else darker
	Line  int     `json:"line,omitempty"`
	X, Y  float64 `json:"-"` // m, as for the points of the survey
}

// bound is one at a row: its limit, NaN where none was written.
type bound struct {
	level float64
	over  bool
}

// The marks before a level that is known to one side, or in doubt.
const (
	overMark  = ">"
	underMark = "<"
	doubtMark = "~"
)

// splitMark takes the mark off a level: >2000, <1, ~742, 960?. A text such as OL or Lo
// is a mark alone, one such as n/a nothing at all.
func splitMark(text string) (level, mark string) {
	switch class := schema.ClassOfCell(text); {
	case class&schema.OverWord != 0:
		return "", overMark
	case class&schema.UnderWord != 0:
		return "", underMark
	case class&schema.NotReadWord != 0:
		return "", ""
	}
	if cut, ok := strings.CutSuffix(text, "?"); ok {
		return strings.TrimSpace(strings.TrimLeft(cut, "~≈ ")), doubtMark
	}
	for _, m := range []struct{ prefix, mark string }{{">", overMark}, {"≥", overMark}, {"<", underMark}, {"≤", underMark}, {"~", doubtMark}, {"≈", doubtMark}, {"ca.", doubtMark}, {"ca ", doubtMark}} {
		if cut, ok := strings.CutPrefix(text, m.prefix); ok {
			return strings.TrimSpace(cut), m.mark
		}
	}
	return text, ""
}

// takeBound keeps a bound at a row; without a mark nothing was read there.
func (r *rows) takeBound(row int, mark string, limit float64) {
	if mark != "" && mark != doubtMark {
		r.bounds[int32(row)] = bound{limit, mark == overMark}
	}
}

// fillBounds brings the bounds of all sheets to their places. A limit that was not
// written is the greatest or the smallest reading of all, and with a known step of the
// display below it no more than that.
func (b *builder) fillBounds(s *Survey, sheets []*rows) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range s.Level {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	for _, r := range sheets {
		if len(r.bounds) == 0 {
			continue
		}
		places := b.locate(r)
		for _, i := range slices.Sorted(maps.Keys(r.bounds)) {
			p, one := placeAt(places, int(i)), r.bounds[i]
			if p < 0 || math.IsInf(low, 0) {
				continue
			}
			at := Bound{Level: one.level, Over: one.over, Line: r.line(int(i)), X: s.X[p], Y: s.Y[p]}
			if s.Label != nil {
				at.Label = s.Label[p]
			}
			if math.IsNaN(at.Level) {
				at.Level = s.limitBetween(low, high, at.Over)
			}
			s.Bounds = append(s.Bounds, at)
		}
	}
}

// limitBetween is a limit that was not written, by the smallest and the greatest reading.
func (s *Survey) limitBetween(low, high float64, over bool) float64 {
	step := s.Settings.Resolution
	switch {
	case over:
		return high
	case step > 0: // what a display of this resolution shows first above zero
		return min(low, 2*low*math.Tanh(step*math.Ln2/2))
	}
	return low
}

// InDoubt reports whether the level of point i was marked as doubtful where it was
// written: ~742, 960?.
func (s *Survey) InDoubt(i int) bool { return strings.HasPrefix(s.found[int32(i)], doubtMark) }

// inDoubt is the scatter in stops of a level that was marked as doubtful, 5 % (common
// practice, no source).
var inDoubt = math.Log2(1.05)

// ReadingsBehind is how many readings that scatter by so many stops the level of point i
// is worth: those that were taken, and of one in doubt the part of a reading that has
// its scatter.
func (s *Survey) ReadingsBehind(i int, stops float64) float64 {
	k := 1.0
	if s.Repeats != nil {
		k = float64(s.Repeats[i])
	}
	if stops > 0 && s.InDoubt(i) {
		k = min(k, (stops/inDoubt)*(stops/inDoubt))
	}
	return k
}

// Doubt is a reading that was marked as doubtful where it was written.
type Doubt struct {
	Label string  `json:"label,omitempty"`
	Level float64 `json:"level"` // SI unit of the survey's quantity
	Line  int     `json:"line,omitempty"`
	X, Y  float64 `json:"-"` // m, as for the points of the survey
}

// Doubts are the readings that were marked as doubtful, in the order of points.
func (s *Survey) Doubts() (all []Doubt) {
	for i := range s.Level {
		if s.InDoubt(i) {
			all = append(all, Doubt{Label: s.LabelOf(i), Level: s.Level[i], Line: s.LineOf(i), X: s.X[i], Y: s.Y[i]})
		}
	}
	return all
}
