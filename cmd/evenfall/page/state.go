package page

import (
	"cmp"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"

	"evenfall/cmd/evenfall/screen"
	"evenfall/photometry/survey"
)

// State is all that the page shows of a survey.
type State struct {
	Name        string             `json:"name"`
	Title       string             `json:"title"`
	Revision    int64              `json:"revision"`
	Now         int64              `json:"now"` // of this program's clock, ms since 1970
	Editable    bool               `json:"editable"`
	WhyNot      string             `json:"why_not,omitempty"`
	Unit        string             `json:"unit"` // of the level column: lx, fc, f, …
	Quantity    string             `json:"quantity"`
	Kind        string             `json:"kind"`
	WidthM      float64            `json:"width_m,omitempty"`
	HeightM     float64            `json:"height_m,omitempty"`
	Columns     int                `json:"columns,omitempty"`
	Rows        int                `json:"rows,omitempty"`
	Area        *[4]float64        `json:"area"` // x0, y0, x1, y1 in meters
	Tolerance   string             `json:"tolerance_words"`
	Color       bool               `json:"color"`
	Lamps       []string           `json:"lamps"` // "" is all lamps on
	Places      []statePlace       `json:"places"`
	Quick       int                `json:"quick"` // how many of them come first
	Reference   *stateReference    `json:"reference,omitempty"`
	Cells       map[string]cells   `json:"cells"`
	Progress    map[string]counted `json:"progress"`
	Next        map[string]*next   `json:"next"`
	Due         map[string]bool    `json:"reference_due"`
	Again       []doubt            `json:"again"`
	Result      *survey.Result     `json:"result,omitempty"`
	ResultWords []screen.Line      `json:"result_words,omitempty"`
	WhyNoResult string             `json:"why_no_result,omitempty"`
	// Pending says that the result is not in this state, to answer at once; the
	// state that is asked for by GET has it.
	Pending  bool       `json:"result_pending,omitempty"`
	Maps     []stateMap `json:"maps"`
	Notices  []notice   `json:"notices"`
	Watchers int        `json:"watchers"`
}

type statePlace struct {
	Label  string   `json:"label"`
	X      *float64 `json:"x_m,omitempty"`
	Y      *float64 `json:"y_m,omitempty"`
	Column int      `json:"column,omitempty"` // from 1, from camera left
	Row    int      `json:"row,omitempty"`    // from 1, from the top
	Words  string   `json:"words"`
}

type stateReference struct {
	Label string `json:"label"`
	Every int    `json:"every"`
}

// cells are what stands at each place, by label.
type cells map[string]*stateCell

type stateCell struct {
	stateReading
	Repeats []stateReading `json:"repeats,omitempty"`
}

type stateReading struct {
	At      int64    `json:"at,omitempty"`
	Text    string   `json:"text"`
	Level   *float64 `json:"level,omitempty"` // SI unit
	Shown   string   `json:"shown,omitempty"`
	CCT     string   `json:"cct_k,omitempty"`
	Duv     string   `json:"duv,omitempty"`
	CC      string   `json:"cc,omitempty"`
	Note    string   `json:"note,omitempty"`
	Cleared bool     `json:"cleared,omitempty"`
}

type counted struct {
	Read int `json:"read"`
	Of   int `json:"of"`
}

// next is the place to read next, and why.
type next struct {
	Label string `json:"label"`
	Words string `json:"words"`
	Why   string `json:"why"`
	Code  string `json:"code"` // quick, walk, steep or reference
}

// doubt is a reading that might be a slip.
type doubt struct {
	Label string `json:"label"`
	Lamp  string `json:"lamp"`
	Found string `json:"found"`
	Text  string `json:"text"`
}

type stateMap struct {
	Kind  string `json:"kind"`
	URL   string `json:"url"`
	Title string `json:"title"`
	Alt   string `json:"alt"`
}

// written is what the file says now, with the analysis of it and what the result
// needs to know beside.
func (l *live) written() (st *State, a *analysis, open []openPlace, all int, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := l.look(); err != nil {
		return nil, nil, nil, 0, err
	}
	st = &State{Name: l.name, Revision: l.revision, Now: l.store.now().UnixMilli(), Notices: append([]notice{}, l.notices...), Watchers: len(l.watchers),
		Lamps: []string{""}, Places: []statePlace{}, Cells: map[string]cells{}, Progress: map[string]counted{}, Next: map[string]*next{},
		Due: map[string]bool{}, Again: []doubt{}, Maps: []stateMap{}}
	if b := l.book; b != nil {
		st.Editable = true
		b.describe(st)
		open, all = b.unread(), b.readings("")
	} else {
		st.WhyNot = sentence(l.name, l.why)
	}
	return st, l.analysis, open, all, nil
}

// state is a survey as it stands now. With judge it has the result, however long
// that takes; without, only where it is soon made.
func (l *live) state(judge bool) (*State, error) {
	st, a, open, all, err := l.written()
	if err != nil {
		return nil, err
	}
	switch {
	case st.Editable && all == 0 && len(st.Lamps) != 2:
		st.WhyNoResult = "Nothing is read with all lamps on yet."
		if len(st.Lamps) == 1 {
			st.WhyNoResult = "Nothing is read yet."
		}
	case !judge && !a.quick():
		st.Pending = true
	default:
		st.judged(a, open)
	}
	if st.Title == "" {
		st.Title = strings.TrimSuffix(l.name, path.Ext(l.name))
	}
	return st, nil
}

// judged adds the result and what follows from it.
func (st *State) judged(a *analysis, open []openPlace) {
	s, r, err := a.judge()
	if err != nil {
		st.WhyNoResult = sentence(st.Name, err)
		return
	}
	st.Result, st.ResultWords = r, a.lines()
	if !st.Editable {
		st.look(s, r)
	}
	for _, x := range r.Suspects {
		text := x.Found
		if x.Expected > 0 {
			text += " where about " + s.Shown(x.Expected) + " was to be expected"
		}
		st.Again = append(st.Again, doubt{Label: x.Label, Found: x.Found, Text: text + ": " + screen.Reasons(x)})
	}
	for _, kind := range a.kinds() {
		if p, err := a.picture(kind, false); err == nil {
			st.Maps = append(st.Maps, stateMap{kind, fmt.Sprintf("/api/surveys/%s/map.svg?kind=%s&r=%d", escape(st.Name), kind, st.Revision), p.title, p.alt})
		}
	}
	st.steep(s, r, open)
}

// steep sends the walk where a reading would help most, once the quick places are
// read.
func (st *State) steep(s *survey.Survey, r *survey.Result, open []openPlace) {
	if n := st.Next[""]; n == nil || n.Code != "walk" {
		return
	}
	var x, y []float64
	var at []openPlace
	for _, o := range open {
		if !math.IsNaN(o.x) && !math.IsNaN(o.y) {
			x, y, at = append(x, o.x), append(y, o.y), append(at, o)
		}
	}
	if h, ok := s.MostHelpful(r, x, y); ok {
		st.Next[""] = &next{at[h.Index].label, at[h.Index].words, "steep here: " + h.Words(), "steep"}
	}
}

// look fills in what a survey that cannot be edited shows.
func (st *State) look(s *survey.Survey, r *survey.Result) {
	st.Title, st.Kind, st.Quantity, st.Unit = s.Title, s.Settings.Kind.Name, s.Quantity.String(), s.Settings.Meter.Unit.String()
	st.WidthM, st.HeightM, st.Color = s.Extent.Width(), s.Extent.Height(), s.HasColor()
	st.Tolerance = toleranceWords(r.Limits)
	if l := s.Lattice; l != nil {
		st.Columns, st.Rows = len(l.Xs), len(l.Ys)
	}
	if s.Area != nil {
		st.Area = &[4]float64{s.Area.X0, s.Area.Y0, s.Area.X1, s.Area.Y1}
	}
	all := cells{}
	for i := range min(s.Len(), mostRows) {
		p := statePlace{Label: s.Name(i), X: &s.X[i], Y: &s.Y[i]}
		if c, row, ok := survey.ParseGridLabel(p.Label); ok && c < st.Columns && row < st.Rows {
			p.Column, p.Row, p.Words = c+1, row+1, survey.PlaceWords(c, row, st.Columns, st.Rows)
		}
		st.Places = append(st.Places, p)
		all[p.Label] = &stateCell{stateReading: stateReading{Text: s.Shown(s.Level[i]), Shown: s.Shown(s.Level[i]), Level: &s.Level[i]}}
	}
	st.Cells[""] = all
	st.Progress[""] = counted{s.Len(), s.Len() + s.Missing}
	if s.Reference >= 0 {
		st.Reference = &stateReference{s.Name(s.Reference), survey.ReferenceEvery}
	}
}

func toleranceWords(l survey.Limits) string {
	if l.EachSide {
		return fmt.Sprintf("±%.3g stop", l.Stops)
	}
	return fmt.Sprintf("%.3g stop in all", l.Stops)
}

// describe fills in what the file says.
func (b *book) describe(st *State) {
	f := b.form
	st.Title, st.Kind, st.Unit, st.Quantity = f.Title, f.Settings.Kind.Name, f.Unit.String(), f.Quantity.String()
	st.WidthM, st.HeightM, st.Columns, st.Rows = f.WidthM, f.HeightM, f.GridColumns, f.GridRows
	if f.Area != nil {
		st.Area = &[4]float64{f.Area.X0, f.Area.Y0, f.Area.X1, f.Area.Y1}
	}
	st.Tolerance, st.Lamps, st.Quick = toleranceWords(f.Settings.Limits), append([]string{}, b.lamps...), b.quick
	for _, name := range []string{"CCT", "mired", "Duv", "CC", "cie x", "u'"} {
		st.Color = st.Color || b.at(name) >= 0
	}
	if b.ref >= 0 {
		st.Reference = &stateReference{b.reference(), survey.ReferenceEvery}
	}
	for _, p := range b.places {
		out := statePlace{Label: p.label, Column: p.column, Row: p.row, Words: p.words}
		if !math.IsNaN(p.x) && !math.IsNaN(p.y) {
			x, y := p.x, p.y
			out.X, out.Y = &x, &y
		}
		st.Places = append(st.Places, out)
	}
	for _, lamp := range b.lamps {
		all, asked := cells{}, 0
		for _, p := range b.places {
			rows := b.cells[keyOf(p.label, lamp)]
			if len(rows) > 0 {
				asked++
			}
			if c := b.cell(rows); c != nil {
				all[p.label] = c
			}
		}
		st.Cells[lamp] = all
		read := 0
		for _, c := range all {
			if c.Level != nil {
				read++
			}
		}
		of := len(b.places)
		if lamp != "" {
			of = max(asked, min(b.quick, len(b.places)))
		}
		st.Progress[lamp] = counted{read, of}
		st.Due[lamp] = b.referenceDue(lamp)
		st.Next[lamp] = b.next(lamp, st.Due[lamp])
	}
}

// cell is what stands at a place: the first of its readings that is not taken
// back, and the others beside it.
func (b *book) cell(rows []*row) *stateCell {
	var filled []*row
	for _, r := range rows {
		if !r.blank() {
			filled = append(filled, r)
		}
	}
	if len(filled) == 0 {
		return nil
	}
	// A reading before a gap, in the order of time.
	slices.SortStableFunc(filled, func(x, y *row) int {
		if x.empty() != y.empty() {
			if x.empty() {
				return 1
			}
			return -1
		}
		return cmp.Compare(x.at, y.at)
	})
	c := &stateCell{stateReading: b.reading(filled[0])}
	for _, r := range filled[1:] {
		if !r.empty() {
			c.Repeats = append(c.Repeats, b.reading(r))
		}
	}
	return c
}

func (b *book) reading(r *row) stateReading {
	s, rec := b.sheet, r.record
	out := stateReading{At: r.at, Text: s.get(rec, b.at("level")), CCT: s.get(rec, b.at("CCT")), Duv: s.get(rec, b.at("Duv")),
		CC: s.get(rec, b.at("CC")), Note: s.get(rec, b.at("note")), Cleared: r.empty()}
	if !r.empty() {
		level := r.level
		out.Level, out.Shown = &level, b.form.Shown(level)
	}
	return out
}
