package setup

import (
	"fmt"
	"io"

	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// Settings is what a set-up's table of keys and values says of the camera, the
// day and the set. A number that is zero was not given.
type Settings struct {
	Title        string   `json:"title,omitempty"`
	Scene        string   `json:"scene,omitempty"`
	Mark         string   `json:"mark,omitempty"`
	Date         string   `json:"date,omitempty"`
	Camera       string   `json:"camera,omitempty"`
	ISO          float64  `json:"iso,omitempty"`
	FrameRate    float64  `json:"frames_per_second,omitempty"`
	Shutter      string   `json:"shutter,omitempty"` // as it was written: 180°, 1/50
	ShutterS     float64  `json:"shutter_s,omitempty"`
	TStop        string   `json:"t_stop,omitempty"` // as it was written
	SetStop      float64  `json:"-"`                // the same as an exact f-number
	TargetKelvin float64  `json:"target_k,omitempty"`
	NDStops      float64  `json:"nd_stops,omitempty"`      // lost to neutral density
	FilterFactor float64  `json:"filter_factor,omitempty"` // of other filters, 2 is a stop
	MainsHz      float64  `json:"mains_hz,omitempty"`      // for flicker
	FloorY       *float64 `json:"floor_y_m,omitempty"`     // of the floor below the surface's corner; nil where not given
	Before       string   `json:"before,omitempty"`        // the folder or survey of the day to match
	Approved     string   `json:"approved,omitempty"`      // the day whose light is to be had again, or yes for this one
	Intent       string   `json:"intent,omitempty"`        // match or improve
	Notes        string   `json:"notes,omitempty"`
	Photos       []string `json:"-"` // file names
	// More are the keys that have no meaning here, in order, for people to read.
	More     []Value         `json:"more,omitempty"`
	Warnings []table.Warning `json:"-"`

	source *schema.Source // of what could be read
}

// Value is a row of a table of keys and values.
type Value struct {
	Key   string `csv:"key" json:"key"`
	Value string `csv:"value" json:"value"`
	Note  string `csv:"note" json:"note,omitempty"`
}

// ReadSettings reads a table of keys and values. A key may be there again with the same
// value. Keys without a meaning are kept; where one is within a letter or two of a
// known key it is a warning as well, since it may be that key misspelled. The error
// is table.Errors, and what could be read is returned beside it; or one *table.Error
// where the table has no rows at all, with nil settings.
func ReadSettings(r io.Reader, file string) (*Settings, error) {
	r, err := sheet.Rewindable(r, file)
	if err != nil {
		return nil, err
	}
	plain, err := table.ReadTyped[Value](r, file, schema.Vocabulary(schema.SetupFile))
	var left []table.Warning
	if err != nil || !plain.Has("key") {
		sheet.Rewind(r)
		if below, titles := belowTitles(r, file); below != nil {
			plain, err = table.TypedOf[Value](below, schema.Vocabulary(schema.SetupFile))
			left = titles
		}
	}
	t, err := newRows(plain, err, file, kindOf{schema.SetupFile, "value", []string{"key", "value"}})
	if err != nil {
		return nil, err
	}
	s := &Settings{source: &schema.Source{File: file, Sheet: t.Name, Dialect: t.Dialect, In: schema.SetupFile}}
	for i, row := range t.Rows {
		cell := t.Cell(i, "value")
		switch {
		case row.Value.Key == "":
			t.fail(i, "key", "the name of what the value is")
			continue
		case !schema.Knows(schema.SetupFile, row.Value.Key):
			s.More = append(s.More, row.Value)
		case cell.Text == "":
			continue
		}
		s.source.Notes = append(s.source.Notes, table.Note{Key: row.Value.Key, Value: cell.Text, Line: cell.Line, Column: cell.Column})
	}
	v := schema.Read(schema.SetupFile, []*schema.Source{s.source})
	s.Warnings = append(left, t.Warnings...)
	for _, w := range v.Warnings {
		w.Column = t.Cell(0, "key").Column // not where the value is
		s.Warnings = append(s.Warnings, w)
	}
	t.errs = append(t.errs, v.Errors...)
	s.fill(v)
	s.source.Leave(v.Errors)
	return s, t.errs.ErrOrNil()
}

// mostTitles are the rows above a table that may be titles.
const mostTitles = 10

// belowTitles finds the table of keys and values below titles, and says which are left
// out; nil where there is none.
func belowTitles(r io.Reader, file string) (below *table.Sheet, left []table.Warning) {
	sheets, err := table.ReadCells(r, file)
	if err != nil {
		return nil, nil
	}
	for _, s := range sheets {
		left = nil
		for i, row := range s.Rows[:min(mostTitles, len(s.Rows))] {
			header := plainCells(row, len(row))
			if columns := columnsOf(header); columns.own["key"] && columns.own["value"] && len(left) > 0 {
				var records [][]table.Cell
				for _, r := range s.Rows[i+1:] {
					if len(r) > 0 {
						records = append(records, plainCells(r, len(header)))
					}
				}
				return s.Sheet(header, records, s.Dialect), left
			}
			for _, c := range row {
				if c.Text != "" {
					left = append(left, table.Warning{File: file, Sheet: s.Name, Line: c.Line, Column: c.Column, Text: fmt.Sprintf("%q above the table is left out", c.Text)})
				}
			}
		}
	}
	return nil, nil
}

// plainCells are the cells of a row, empty ones added up to n.
func plainCells(row []table.RawCell, n int) (cells []table.Cell) {
	for _, c := range row {
		cells = append(cells, c.Cell)
	}
	for len(cells) < n {
		cells = append(cells, table.Cell{})
	}
	return cells
}

// fill takes what could be read.
func (s *Settings) fill(v *schema.Values) {
	schema.Put(v, schema.Title, &s.Title)
	schema.Put(v, schema.Scene, &s.Scene)
	schema.Put(v, schema.Mark, &s.Mark)
	schema.Put(v, schema.Date, &s.Date)
	schema.Put(v, schema.Camera, &s.Camera)
	schema.Put(v, schema.Remark, &s.Notes)
	schema.Put(v, schema.Before, &s.Before)
	schema.Put(v, schema.Approved, &s.Approved)
	schema.Put(v, schema.Intent, &s.Intent)
	schema.Put(v, schema.ISO, &s.ISO)
	schema.Put(v, schema.FrameRate, &s.FrameRate)
	schema.Put(v, schema.Shutter, &s.ShutterS)
	schema.Put(v, schema.TStop, &s.SetStop)
	schema.Put(v, schema.TargetKelvin, &s.TargetKelvin)
	schema.Put(v, schema.ND, &s.NDStops)
	schema.Put(v, schema.FilterFactor, &s.FilterFactor)
	schema.Put(v, schema.Mains, &s.MainsHz)
	_, s.Shutter = v.From(schema.Shutter)
	_, s.TStop = v.From(schema.TStop)
	if y, ok := schema.Get(v, schema.FloorY); ok {
		s.FloorY = &y
	}
	for _, names := range schema.All(v, schema.Photos) {
		s.Photos = append(s.Photos, names...)
	}
}
