package page

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/plots"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// trimOfSurvey is the survey that readings among the trims are of, "" for those of none.
func trimOfSurvey(name string) string {
	rest, among := strings.CutPrefix(name, trimsFolder+"/")
	found := numbered.FindStringSubmatch(stem(rest))
	if !among || found == nil {
		return ""
	}
	return found[1] + ".csv"
}

// trim is a lamp that is being trimmed, while a few places are read again. It is no verdict.
type trim struct {
	Of     string      `json:"of"` // the survey
	Goal   string      `json:"goal"`
	Half   float64     `json:"half"` // of the goal, in stops from its middle
	Middle string      `json:"middle"`
	Places []trimPlace `json:"places"` // the one that leads first
	Next   string      `json:"next"`
	Say    string      `json:"say"`
	Good   bool        `json:"good"`
	Spread string      `json:"spread"`
	Since  []string    `json:"since"` // read since the light last changed
}

// trimPlace is a place in stops from the middle of the goal.
type trimPlace struct {
	Label  string   `json:"label"`
	Role   string   `json:"role"`
	Was    string   `json:"was"`
	Is     string   `json:"is,omitempty"`
	Before float64  `json:"before"`
	Now    *float64 `json:"now,omitempty"`
	Text   string   `json:"text"`
}

// newTrim begins to watch three places of a survey.
func (s *server) newTrim(l *live, _ struct{}) (string, error) {
	result, err := l.analyzed().judge()
	if err != nil {
		return "", inFiles(err, "bad_survey")
	}
	t, ok := trimOf(result)
	if !ok {
		return "", problem{409, "no_goal", "There is nothing to trim to: fewer than three places are read, or the readings scatter as widely as the tolerance."}
	}
	wanted := func(label string) bool {
		return slices.ContainsFunc(t.Watched, func(i int) bool { return photometry.SameName(result.Survey.Name(i), label) })
	}
	return s.begunAnew(l, wanted, nil, numberedNames(trimsFolder+"/"+stem(l.name), ".csv", 1))
}

func trimOf(r *evenness.Result) (evenness.Trim, bool) {
	low, high, ok := plots.ToleranceWindow(r)
	if !ok {
		return evenness.Trim{}, false
	}
	return r.TrimWithin(low, high)
}

// sinceChange is what was read since the lamp last changed: since a place was read that had
// been read already.
func (b *editor) sinceChange() map[string]reread {
	since := map[string]reread{}
	for _, x := range inTime(b.rows) {
		if _, again := since[photometry.NameKey(x.Label)]; again {
			clear(since)
		}
		since[photometry.NameKey(x.Label)] = reread{b.read(x), x.UnixMilli}
	}
	return since
}

// watch fills in how far the trim is.
func (st *State) watch(store *store, l *live) {
	of, err := store.open(trimOfSurvey(l.name))
	if err != nil {
		return
	}
	r, err := of.analyzed().judge()
	if err != nil {
		return
	}
	goal, ok := trimOf(r)
	if !ok {
		return
	}
	places := 0
	of.filling(func(b *editor) error {
		places = len(b.places)
		for i, p := range st.Places { // a few places say nothing of the grid
			if at, known := b.byKey[photometry.NameKey(p.Label)]; known {
				st.Places[i].Words = b.places[at].words
			}
		}
		return nil
	})
	l.filling(func(b *editor) error { st.trimmed(of.name, places, r, goal, b); return nil })
}

// trimmed fills in how far the trim of a survey of so many places is to its goal.
func (st *State) trimmed(of string, places int, r *evenness.Result, goal evenness.Trim, b *editor) {
	s := r.Survey
	since := b.sinceChange()
	t := &trim{Of: of, Half: goal.Half, Middle: s.FormatLevel(goal.Middle), Goal: s.FormatLevel(goal.From()) + " to " + s.FormatLevel(goal.To()), Since: []string{}}
	var levels, before []float64
	for k, i := range goal.Watched {
		off := goal.Off(r.Levels[i])
		p := trimPlace{Label: s.Name(i), Role: goal.Roles[k], Was: s.FormatLevel(r.Levels[i]), Before: off}
		before = append(before, r.Levels[i])
		if x := last(b.cells[keyOf(p.Label, "")]); x != nil {
			off = goal.Off(x.Level)
			p.Is, p.Now = s.FormatLevel(x.Level), new(off)
			levels = append(levels, x.Level)
		}
		p.Text = answers.Sentence(document.Words{}, evenness.TrimPlace(off, goal.Half))
		if _, ok := since[photometry.NameKey(p.Label)]; ok {
			t.Since = append(t.Since, p.Label)
		} else if t.Next == "" {
			t.Next = p.Label
		}
		t.Places = append(t.Places, p)
	}
	lead := t.Places[0]
	now := lead.Before
	if lead.Now != nil {
		now = *lead.Now
	}
	say, good := goal.Advise(lead.Before, now)
	t.Say, t.Good = answers.Sentence(document.Words{}, say), good && lead.Now != nil
	if !t.Good || t.Next == "" {
		t.Next = lead.Label
	}
	st.Title = "Trim of " + cmp.Or(s.Title, of)
	st.Then = &then{"Read all again", fmt.Sprintf("%s, read since the last change, count: %d to go", strings.Join(t.Since, " and "), places-len(since)), of}
	t.Spread = fmt.Sprintf("Was %.2f stop, %.2f allowed", spreadOf(before), r.Limits.Stops)
	if read := len(levels); read == len(goal.Watched) {
		t.Spread = fmt.Sprintf("Spread of the %d now %.2f; was %.2f; %.2f allowed", read, spreadOf(levels), spreadOf(before), r.Limits.Stops)
	}
	st.Trim = t
}

// spreadOf is the spread of levels in stops.
func spreadOf(levels []float64) float64 {
	return photometry.Stops(slices.Max(levels), math.Max(slices.Min(levels), math.SmallestNonzeroFloat64))
}
