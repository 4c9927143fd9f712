package page

import (
	"fmt"
	"math"

	"evenfall/photometry/evenness"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
)

// judgment is a verdict in the page's words.
type judgment struct {
	Of   string `json:"of"`   // level or color
	Word string `json:"word"` // FAIL, PASS, SO FAR EVEN, NOT YET or UNSURE
	Text string `json:"text"`
}

// The words of a verdict.
const (
	saysFail   = "FAIL"
	saysPass   = "PASS"
	saysSoFar  = "SO FAR EVEN" // the quick places are even, others are not read yet
	saysNotYet = "NOT YET"
	saysUnsure = "UNSURE"
)

// fewestRead is how many places say something of a surface.
const fewestRead = 9

// word is the verdict in one word. What is planned and not read, and what is open, held
// a pass back already.
func (st *State) word(verdict string, even bool) string {
	read, of := st.Progress[""].Read, st.Progress[""].Of
	first := min(fewestRead, of)
	if st.Quick > 0 {
		first = st.Quick
	}
	switch {
	case verdict == uncertainty.Fail:
		return saysFail
	case verdict == uncertainty.Pass:
		return saysPass
	case read < first:
		return saysNotYet
	case read < of && even && st.Result.Questions == 0:
		return saysSoFar
	}
	return saysUnsure
}

// judgments are the verdicts on level and color.
func (st *State) judgments(r *evenness.Result) (out []judgment) {
	e := r.Decisive()
	each, spread, interval := "", e.SpreadStops, e.SpreadInterval
	if r.Limits.EachSide && e.DeviationInterval != nil {
		each, interval = "±", e.DeviationInterval
		spread = math.Max(*e.AboveRefStops, *e.BelowRefStops)
	}
	even := interval != nil && interval[1] <= r.Limits.Stops
	level := judgment{"level", st.word(r.Verdict.Evenness, even), fmt.Sprintf("%.2f stop apart, %s%.2f allowed", spread, each, r.Limits.Stops)}
	if each != "" {
		level.Text = fmt.Sprintf("%.2f stop off the reference, ±%.2f allowed", spread, r.Limits.Stops)
	}
	if p := st.Progress[""]; p.Read < p.Of {
		level.Text += fmt.Sprintf("; %d of %d read", p.Read, p.Of)
	}
	out = append(out, level)
	c := r.Color
	if c == nil || r.Verdict.Color == "" || c.MaxMiredShift == nil {
		return out
	}
	color := judgment{"color", st.word(r.Verdict.Color, true), fmt.Sprintf("%.0f mired off, %g allowed", *c.MaxMiredShift, r.Limits.Mired)}
	switch {
	case c.MaxDuvShift == nil:
		color.Text += "; kelvins only: green–magenta is not read"
		if color.Word == saysSoFar || color.Word == saysPass {
			color.Word = saysUnsure
		}
	case c.VerdictMired != uncertainty.Fail:
		color.Text = fmt.Sprintf("%.4f Duv off, %g allowed", *c.MaxDuvShift, r.Limits.Duv)
	}
	return append(out, color)
}

// ruler is the readings on a line in stops, with what the tolerance allows.
type ruler struct {
	Low     float64 `json:"low"` // of what is allowed
	High    float64 `json:"high"`
	Allowed string  `json:"allowed"`
	Ticks   []tick  `json:"ticks"`
}

// tick is a place on it.
type tick struct {
	Label  string  `json:"label"`
	Stops  float64 `json:"stops"` // from the reference of the result
	Stands string  `json:"stands"`
	InShot bool    `json:"in_shot"`
}

// rulerOf is the ruler of a result, nil for fewer than two places.
func rulerOf(r *evenness.Result, words string) *ruler {
	low, high, ok := plots.ToleranceWindow(r)
	if !ok || r.Points < 2 || r.Points > mostRows {
		return nil
	}
	out := &ruler{Low: low, High: high, Allowed: words}
	s := r.Survey
	for i, v := range r.Levels {
		stops := math.Log2(v / r.Reference.Level)
		out.add(s.Name(i), stops, s.InShot(s.X[i], s.Y[i]), math.Max(stops-high, low-stops) > r.Noise.Stops)
	}
	return out
}

// add adds a place; beyond says that it is surely not within what is allowed.
func (r *ruler) add(label string, stops float64, inShot, beyond bool) {
	t := tick{label, stops, "within", inShot}
	switch {
	case beyond && stops > r.High:
		t.Stands = "over"
	case beyond:
		t.Stands = "under"
	case stops > r.High+1e-6 || stops < r.Low-1e-6:
		t.Stands = "edge" // within the repeatability of a reading
	}
	r.Ticks = append(r.Ticks, t)
}
