package page

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"

	"evenfall/photometry/blank"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/tolerance"
	"evenfall/plots/answers"
	"evenfall/plots/document"
	"evenfall/plots/steps"
)

// State is all that the page shows of a survey.
type State struct {
	Name      string      `json:"name"`
	Title     string      `json:"title"`
	Revision  int64       `json:"revision"`
	Now       int64       `json:"now"` // of this program's clock, ms since 1970
	Editable  bool        `json:"editable"`
	WhyNot    string      `json:"why_not,omitempty"`
	Unit      string      `json:"unit"` // of the level column: lx, fc, f, …
	Quantity  string      `json:"quantity"`
	Kind      string      `json:"kind"`
	WidthM    float64     `json:"width_m,omitempty"`
	HeightM   float64     `json:"height_m,omitempty"`
	Columns   int         `json:"columns,omitempty"`
	Rows      int         `json:"rows,omitempty"`
	Area      *[4]float64 `json:"area"` // x0, y0, x1, y1 in meters
	Tolerance string      `json:"tolerance_words"`
	Color     bool        `json:"color"`
	Lamps     []string    `json:"lamps"` // "" is all lamps on
	// Lights are those at marks, which are the lamps and places of such a table.
	Lights      map[string]stateLight `json:"lights,omitempty"`
	Dials       bool                  `json:"dials,omitempty"` // they are lamps, at settings of their dimmers
	Places      []statePlace          `json:"places"`
	Quick       int                   `json:"quick"` // how many of them come first
	Reference   *stateReference       `json:"reference,omitempty"`
	Cells       map[string]cells      `json:"cells"`
	Progress    map[string]counted    `json:"progress"`
	Helpful     string                `json:"helpful,omitempty"` // the unread place that would tell most
	Questions   []question            `json:"questions"`
	Judgments   []judgment            `json:"judgments"`
	Ruler       *ruler                `json:"ruler,omitempty"`
	Result      *evenness.Result      `json:"result,omitempty"`
	ResultWords []document.KeyText    `json:"result_words,omitempty"`
	Tables      []document.Table      `json:"tables,omitempty"`
	// Do is the one thing to do and a sentence beside it, of lights at marks.
	Do   *[2]string `json:"do,omitempty"`
	Trim *trim      `json:"trim,omitempty"` // of readings while a lamp is trimmed
	Then *then      `json:"then,omitempty"` // what comes after the trims
	// ToDo is what to do by all that the folder has, once all places are read.
	ToDo        *steps.List `json:"to_do,omitempty"`
	WhyNoResult string      `json:"why_no_result,omitempty"`
	// Pending says that the result is not in this state, to answer at once; the
	// state that is asked for by GET has it.
	Pending  bool       `json:"result_pending,omitempty"`
	Maps     []stateMap `json:"maps"`
	Notices  []notice   `json:"notices"`
	Watchers int        `json:"watchers"`
	Held     []held     `json:"held"` // by other devices

	read   bool // with all lamps on
	byLine map[int]asked
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

// cells are the readings of each place, by label.
type cells map[string]*stateCell

type stateCell struct {
	stateReading
	Repeats []stateReading `json:"repeats,omitempty"`
	// Seen is the time of the last reading there, which a change replaces; Again says that
	// what was read does not count.
	Seen  int64 `json:"seen,omitempty"`
	Again bool  `json:"again,omitempty"`
}

type stateReading struct {
	At int64 `json:"at,omitempty"`
	Reading
	Shown  string `json:"shown,omitempty"`
	Status string `json:"status,omitempty"`
}

type counted struct {
	Read int `json:"read"`
	Of   int `json:"of"`
}

type stateMap struct {
	Kind  string `json:"kind"`
	URL   string `json:"url"`
	Title string `json:"title"`
	Alt   string `json:"alt"`
}

// written is what the file says now, with the analysis of it and the places of which one
// may be helpful.
func (l *live) written() (st *State, a *analysis, unread []place, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err := l.look(); err != nil {
		return nil, nil, nil, err
	}
	st = &State{Name: l.name, Revision: l.revision, Now: l.store.now().UnixMilli(), Notices: append([]notice{}, l.notices...), Watchers: l.watchers,
		Lamps: []string{""}, Places: []statePlace{}, Cells: map[string]cells{}, Progress: map[string]counted{},
		Questions: []question{}, Judgments: []judgment{}, Maps: []stateMap{}}
	if b := l.editor; b != nil {
		b.describe(st)
		unread = b.unread()
		st.byLine = b.byLine()
		st.Questions = append(st.Questions, b.conflicts()...)
	} else {
		st.WhyNot = sentence(l.name, l.why)
	}
	return st, l.analysis, unread, nil
}

// state is a survey as it is now. With judge it has the result, however long
// that takes; without, only where it is soon made.
func (l *live) state(judge bool) (*State, error) {
	st, a, unread, err := l.written()
	if err != nil {
		return nil, err
	}
	switch {
	case st.Editable && isMorning(l.name):
		st.morning(l.store, l)
	case st.Editable && trimOfSurvey(l.name) != "":
		st.watch(l.store, l)
	case st.Editable && !st.read && (len(st.Lamps) == 1 || st.Lights != nil):
		st.WhyNoResult = "Nothing is read yet."
	case st.Dials:
		st.atDials(a)
	case st.Lights != nil:
		st.atMarks(l.store, a)
	case st.Editable && !st.read && len(st.Lamps) > 2:
		st.WhyNoResult = "Nothing is read with all lamps on yet."
	case !judge && !a.quick():
		st.Pending = true
	default:
		st.judged(a, unread)
		if judge && st.Result != nil && st.Progress[""].Read == st.Progress[""].Of {
			st.toDo(l.store)
		}
	}
	st.Title = cmp.Or(st.Title, stem(l.name))
	return st, nil
}

// toDo puts the folder's one list of what to do in the place of what the survey alone
// advises.
func (st *State) toDo(s *store) {
	s.reports.mu.Lock()
	defer s.reports.mu.Unlock()
	whole, err := s.reports.read(s)
	if err == nil && whole.Screen != nil && whole.ScreenFile() == st.Name {
		st.Judgments = append(st.Judgments, judgment{Of: "screen", Text: "As the camera sees it: " + answers.ScreenSummary(whole.Screen) + "."})
	}
	if err != nil || whole.ToDoOf != st.Result.Title {
		return // the survey's own advice stays
	}
	d := answers.Surface(st.Result, document.Words{}, false)
	answers.WithSteps(d, whole.ToDo)
	answers.WithNext(d, st.Result)
	st.ResultWords, st.ToDo = d.Lines(), whole.ToDo
}

// judged adds the result and what follows from it.
func (st *State) judged(a *analysis, unread []place) {
	r, err := a.judge()
	if err != nil {
		st.WhyNoResult = sentence(st.Name, err)
		return
	}
	st.Result, st.ResultWords = r, answers.Surface(r, document.Words{}, false).Lines()
	if !st.Editable {
		st.show(r)
	}
	for _, x := range r.Suspects {
		if of, known := st.byLine[x.Line]; known && x.Line > 0 {
			st.Questions = append(st.Questions, of.suspect(x, r))
		}
	}
	for _, kind := range mapKinds(r) {
		if p, err := a.picture(kind, false); err == nil {
			st.Maps = append(st.Maps, stateMap{kind, fmt.Sprintf("/api/surveys/%s/map.svg?kind=%s&r=%d", url.PathEscape(st.Name), kind, st.Revision), p.Title, p.Alt})
		}
	}
	st.Helpful, st.Judgments, st.Ruler = helpful(r, unread), st.judgments(r), rulerOf(r, st.Tolerance)
}

// helpful is where a reading would tell most, once the quick places are read; "" for nowhere.
func helpful(r *evenness.Result, unread []place) string {
	var x, y []float64
	for _, p := range unread {
		x, y = append(x, p.x), append(y, p.y)
	}
	if h, ok := r.MostHelpful(x, y); ok {
		return unread[h.Index].label
	}
	return ""
}

// show fills in what a survey that cannot be edited shows.
func (st *State) show(r *evenness.Result) {
	s := r.Survey
	st.Title, st.Kind, st.Quantity, st.Unit = s.Title, s.Settings.Kind.Name, s.Quantity.String(), s.Settings.Meter.Unit.String()
	st.WidthM, st.HeightM, st.Color = s.Extent.Width(), s.Extent.Height(), s.HasColor()
	st.Tolerance, st.Area = toleranceWords(r.Limits), corners(s.Area)
	if l := s.Lattice; l != nil {
		st.Columns, st.Rows = len(l.Xs), len(l.Ys)
	}
	all := cells{}
	for i := range min(s.Len(), mostRows) {
		p := statePlace{Label: s.Name(i), X: &s.X[i], Y: &s.Y[i]}
		if c, row, ok := spatial.ParseGridLabel(p.Label); ok && c < st.Columns && row < st.Rows {
			p.Column, p.Row, p.Words = c+1, row+1, answers.PlaceInGrid(c, row, st.Columns, st.Rows)
		}
		st.Places = append(st.Places, p)
		all[p.Label] = &stateCell{stateReading: stateReading{Reading: Reading{Text: s.FormatLevel(s.Level[i])}, Shown: s.FormatLevel(s.Level[i])}}
	}
	st.Cells[""] = all
	st.Progress[""] = counted{s.Len(), s.Len() + s.Missing}
	if s.Reference >= 0 {
		st.Reference = &stateReference{s.Name(s.Reference), blank.ReferenceEvery}
	}
}

// corners are a part of a surface as the page has it, nil for none.
func corners(b *spatial.Box) *[4]float64 {
	if b == nil {
		return nil
	}
	return &[4]float64{b.X0, b.Y0, b.X1, b.Y1}
}

func toleranceWords(l tolerance.Limits) string {
	if l.EachSide {
		return fmt.Sprintf("±%.3g stop", l.Stops)
	}
	return fmt.Sprintf("%.3g stop in all", l.Stops)
}

// describe fills in what the file says.
func (b *editor) describe(st *State) {
	f := b.form
	st.Editable = true
	for _, lamp := range b.lamps {
		st.read = st.read || (lamp == "" || b.lights != nil) && b.readings(lamp) > 0
	}
	st.Title, st.Kind, st.Unit, st.Quantity = f.Title, f.Settings.Kind.Name, f.Unit.String(), f.Quantity.String()
	st.WidthM, st.HeightM, st.Columns, st.Rows, st.Area = f.WidthM, f.HeightM, f.GridColumns, f.GridRows, corners(f.Area)
	st.Tolerance, st.Lamps, st.Quick = toleranceWords(f.Settings.Limits), slices.Clone(b.lamps), b.quick
	st.Color = slices.ContainsFunc([]string{"CCT", "mired", "Duv", "CC", "cie x", "u'"}, func(name string) bool {
		_, has := f.Columns[name]
		return has
	})
	if b.ref >= 0 {
		st.Reference = &stateReference{b.places[b.ref].label, b.referenceEvery()}
	}
	for _, p := range b.places {
		out := statePlace{Label: p.label, Column: p.column, Row: p.row, Words: p.words}
		if p.placed() {
			out.X, out.Y = new(p.x), new(p.y)
		}
		st.Places = append(st.Places, out)
	}
	for _, lamp := range b.lamps {
		b.describeLamp(st, lamp)
	}
	if st.Dials = b.dials; b.lights != nil {
		b.describeLights(st)
	}
}

// describeLamp fills in what the file says of one light.
func (b *editor) describeLamp(st *State, lamp string) {
	all, asked, read := cells{}, 0, 0
	for _, p := range b.places {
		rows := b.cells[keyOf(p.label, lamp)]
		if len(rows) > 0 {
			asked++
		}
		if c := b.cell(rows); c != nil {
			all[p.label] = c
			if !c.Again {
				read++
			}
		}
	}
	of := len(b.places)
	if lamp != "" {
		of = max(asked, min(b.quick, len(b.places)))
	}
	st.Cells[lamp], st.Progress[lamp] = all, counted{read, of}
}

// cell is what is at a place: the first of its readings that counts, and the others beside
// it; what is to be read again where none does; nil where nothing is.
func (b *editor) cell(rows []*row) (c *stateCell) {
	for _, r := range inTime(rows) {
		if c == nil {
			c = &stateCell{stateReading: b.reading(r)}
		} else {
			c.Repeats = append(c.Repeats, b.reading(r))
		}
		c.Seen = r.UnixMilli
	}
	if c != nil {
		return c
	}
	for _, r := range rows {
		if !r.empty() && (c == nil || r.UnixMilli >= c.Seen) {
			c = &stateCell{stateReading: b.reading(r), Seen: r.UnixMilli, Again: true}
		}
	}
	return c
}

func (b *editor) reading(r *row) stateReading {
	return stateReading{At: r.UnixMilli, Reading: b.read(r), Shown: b.formOf(r.Lamp).FormatLevel(r.Level), Status: b.get(r, "status")}
}
