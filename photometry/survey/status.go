package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/uncertainty"
)

// writtenLevel is a reading by its line and its level.
type writtenLevel struct {
	line  int
	level float64
}

// readStatus reads what was answered about each reading, while its level still is as it
// was written.
func (r *rows) readStatus() {
	at, any := r.columns[schema.StatusOf]
	level, ok := r.columns[schema.AnyLevel]
	if !any || !ok {
		return
	}
	for i, text := range r.sheet.Columns[at].Text {
		switch status := schema.ParseStatus(text, r.sheet.Cell(i, level).Text, r.sheet.Dialect.Number); status {
		case schema.Counts:
		case schema.OwnWords:
			if !slices.Contains(r.ownWords, text) {
				r.ownWords = append(r.ownWords, text)
			}
		default:
			if r.status == nil {
				r.status = map[int32]schema.Status{}
			}
			r.status[int32(i)] = status
		}
	}
}

// obeyStatus takes out the readings that do not count, and says what a person should know
// of the others, by the names of their places, and how many are out.
func (r *rows) obeyStatus(placeName func(i int) string) (told []photometry.Finding, log []photometry.Remark) {
	if n := len(r.ownWords); n > 0 {
		told = append(told, photometry.Found("status_own", "words", strings.Join(r.ownWords[:min(3, n)], ", ")))
	}
	left := 0
	var places []string
	conflicting := map[string][]string{} // by place, as they were written
	for i := range r.n {
		switch r.status[int32(i)] {
		case schema.LeftOut:
			left++
			for _, column := range r.numberColumns() {
				if column != &r.x && column != &r.y && *column != nil {
					(*column)[i] = math.NaN()
				}
			}
			if r.colors.cc != nil {
				r.colors.cc[i] = ""
			}
			delete(r.text, int32(i))
			delete(r.bounds, int32(i))
		case schema.Conflicting:
			place := placeName(i)
			if conflicting[place] == nil {
				places = append(places, place)
			}
			conflicting[place] = append(conflicting[place], r.writtenLevel(i))
		}
	}
	for _, place := range places {
		if readings := conflicting[place]; len(readings) > 1 {
			told = append(told, photometry.Found("conflict", "place", place, "readings", strings.Join(readings, ", ")))
		}
	}
	if left > 0 {
		log = append(log, photometry.Remarked("status_left_out", "rows", left))
	}
	return told, log
}

// placeName names the place of a row, with its lamp.
func (r *rows) placeName(i int) string {
	name := textAt(r.label, i)
	switch x := valueAt(r.x, i); {
	case name == "" && math.IsNaN(x):
		name = fmt.Sprintf("line %d", r.line(i))
	case name == "":
		name = fmt.Sprintf("(%s, %s)", photometry.FormatFigure(x), photometry.FormatFigure(valueAt(r.y, i)))
	}
	if lamp := textAt(r.lamp, i); !together(lamp) {
		name += ", " + lamp
	}
	return name
}

// notes are what people wrote beside readings; a copy of another row says nothing new.
func (r *rows) notes() (written []photometry.PlaceNote) {
	seen := map[photometry.PlaceNote]bool{}
	for i, text := range r.note {
		if note := (photometry.PlaceNote{Place: r.placeName(i), Text: text}); text != "" && !seen[note] {
			seen[note], written = true, append(written, note)
		}
	}
	return written
}

// writtenLevel is the level of a row for people.
func (r *rows) writtenLevel(i int) string {
	if text, odd := r.text[int32(i)]; odd {
		return text
	}
	scale, ok := r.unit.Scale()
	if !ok {
		scale = 1
	}
	return photometry.FormatFigure(r.level[i]/scale) + " " + r.unit.String()
}

// leaveOpen takes out the first readings of places where several claim to be it and
// returns how many there are.
func (r *rows) leaveOpen(places []int32) (open int) {
	conflicting := map[int32][]int{}
	r.eachLevel(places, func(i int, at int32, _ float64) {
		if r.status[int32(i)] == schema.Conflicting {
			conflicting[at] = append(conflicting[at], i)
		}
	})
	for _, rows := range conflicting {
		if len(rows) < 2 {
			continue
		}
		open += len(rows)
		for _, i := range rows {
			r.level[i] = math.NaN()
		}
	}
	return open
}

// confirm keeps which readings somebody confirmed.
func (s *Survey) confirm(r *rows) {
	for i, status := range r.status {
		if status != schema.Confirmed {
			continue
		}
		if s.confirmed == nil {
			s.confirmed = map[writtenLevel]bool{}
		}
		s.confirmed[writtenLevel{r.line(int(i)), r.level[i]}] = true
	}
}

// isConfirmed reports whether somebody confirmed the reading of a line.
func (s *Survey) isConfirmed(line int, level float64) bool {
	return s.confirmed[writtenLevel{line, level}]
}

// settleConflicts lets one reading stand for the first ones of each place where several
// claim to be it: amid the least and the greatest, and off by as much as these are. The
// readings beside them count as ever; none of them says how readings scatter.
func (p *pile) settleConflicts(s *Survey) {
	for at, levels := range p.conflicting {
		if len(levels) < 2 {
			continue
		}
		others := p.level[at]
		for _, v := range levels {
			others -= v
		}
		n := float64(p.count[at]) - float64(len(levels))
		low, high := (others+slices.Min(levels))/(n+1), (others+slices.Max(levels))/(n+1)
		if s.conflict == nil {
			s.conflict = make([]float64, len(p.level))
		}
		s.conflict[at] = math.Max(photometry.Stops(high, low)/2, 1e-9) // equal ones are open too
		s.ReadingCount += int(p.count[at]) - 1
		p.level[at], p.count[at] = math.Sqrt(low*high), 1
	}
}

// InConflict reports whether several readings claim to be the first one at point i.
func (s *Survey) InConflict(i int) bool { return s.conflict != nil && s.conflict[i] > 0 }

// withConflicts lets models know by how much points may be off whose first reading is in
// conflict.
func (s *Survey) withConflicts(models []uncertainty.Model) []uncertainty.Model {
	if s.conflict == nil {
		return models
	}
	out := slices.Clone(models)
	for k := range out {
		slack := slices.Clone(s.conflict)
		for i := range slack {
			slack[i] += out[k].SlackAt(i)
		}
		out[k].Slack = slack
	}
	return out
}
