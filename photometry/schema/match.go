package schema

import (
	"slices"
	"strings"
	"sync"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// fieldsOf keeps the fields of each sort of file, made once.
func fieldsOf(list func(in File) []table.Field) func(in File) []table.Field {
	var kept sync.Map
	return func(in File) []table.Field {
		if fields, ok := kept.Load(in); ok {
			return fields.([]table.Field)
		}
		fields, _ := kept.LoadOrStore(in, list(in))
		return fields.([]table.Field)
	}
}

// in are the notes of a sort of file, in order.
func notesIn(in File) (notes []Declared) {
	for _, n := range Notes {
		if n.Declaration().In&in != 0 {
			notes = append(notes, n)
		}
	}
	return notes
}

// NoteFields are the names of the notes that a sort of file may have.
var NoteFields = fieldsOf(func(in File) (fields []table.Field) {
	for _, n := range notesIn(in) {
		fields = append(fields, n.Declaration().field(in, nil))
	}
	return fields
})

// named is the note of this name in a file, nil for none, and the unit that its key
// carries: width (cm).
func named(in File, key string) (n Declared, unit string) {
	at, unit, _ := table.Match(NoteFields(in), key)
	if at >= 0 {
		return notesIn(in)[at], unit
	}
	if bare := strings.TrimRight(key, " 0123456789"); bare != key {
		if n, _ = named(in, bare); n != nil && n.Declaration().Many {
			return n, ""
		}
	}
	return nil, ""
}

// Knows reports whether a sort of file has a note of this name.
func Knows(in File, key string) bool {
	n, _ := named(in, key)
	return n != nil
}

// Fields are the names and units of the columns that a sort of file may have.
var Fields = fieldsOf(func(in File) (fields []table.Field) {
	for _, c := range columnsIn(in) {
		fields = append(fields, c.field(in, c.Units))
	}
	return fields
})

// suggested are their names in English, which a misspelled word is compared with.
var suggested = fieldsOf(func(in File) (fields []table.Field) {
	for _, c := range columnsIn(in) {
		w := c.Word
		w.Abroad = ""
		if c == CCT { // too vague to be read as one, but what is meant
			w.Also += ", temperature"
		}
		fields = append(fields, w.field(in, nil))
	}
	return fields
})

func columnsIn(in File) (columns []*Column) {
	for _, c := range Columns {
		if c.In&in != 0 {
			columns = append(columns, c)
		}
	}
	return columns
}

// IsColor reports whether a header cell names a column of colors.
func IsColor(header string) bool {
	c, _ := Find(SurveyFile, header)
	return c.IsColor()
}

// Match finds the column of a file that a header cell names and the unit that it
// carries, "" for none; nil and the nearest name where it is none.
func Match(in File, header string) (column *Column, unit, nearest string) {
	if column, unit = Find(in, header); column == nil {
		nearest, _ = table.Nearest(suggested(in), header)
		return nil, "", nearest
	}
	return column, unit, column.Name
}

// Find is Match without the nearest name.
func Find(in File, header string) (column *Column, unit string) {
	at, unit := table.Find(Fields(in), header)
	if at < 0 {
		if _, length := table.LengthFactor(header); length && in == SeriesFile { // feet, of the way to the light
			return Distance, table.Fold(header)
		}
		return nil, ""
	}
	column = columnsIn(in)[at]
	if column == Time && table.Fold(unit) == "k" && CCT.In&in != 0 { // T [K] is no time
		return CCT, "K"
	}
	if u, ok := photometry.ParseUnit(unit); ok && slices.Contains(column.Units, u.String()) {
		unit = u.String() // lux is lx
	}
	return column, unit
}

// Vocabulary finds the columns of a sort of file for a typed table. Since a table may
// have several columns of levels, these are distinguished by their units: E (lx).
func Vocabulary(in File) table.Vocabulary {
	return func(header string) (name, unit, nearest string) {
		c, unit, nearest := Match(in, header)
		switch {
		case c == nil:
			return "", "", nearest
		case !c.level:
			return c.Name, unit, nearest
		}
		u, times, ok := c.LevelIn(unit)
		switch {
		case ok:
			return levelName(u, times), "", nearest
		case c.Unit == photometry.NoUnit:
			return c.Name, unit, nearest // each cell has to say
		}
		return levelName(c.Unit, 1), unit, nearest
	}
}

// Assumed says what a header leaves open and how it is taken.
func Assumed(in File, header []table.Cell) (assumed []photometry.Remark) {
	for _, cell := range header {
		if c, unit := Find(in, cell.Text); c == Illuminance && unit == "" {
			assumed = append(assumed, photometry.Remarked("assumed_lux", "column", cell.Text))
		}
	}
	return assumed
}

// levelName is how a column of levels in a unit is called.
func levelName(u photometry.Unit, times float64) string {
	symbol := map[photometry.Unit]string{photometry.LX: "E", photometry.FC: "E", photometry.CDM2: "L", photometry.LXS: "H", photometry.FCS: "H", photometry.Percent: "relative"}[u]
	switch {
	case symbol == "":
		return u.String()
	case times == 1000:
		return symbol + " (k" + u.String() + ")"
	}
	return symbol + " (" + u.String() + ")"
}

// ColumnNamed is the column of this name in a sort of file, nil for none.
func ColumnNamed(in File, name string) *Column {
	i := slices.IndexFunc(Columns, func(c *Column) bool { return c.Name == name && c.In&in != 0 })
	if i < 0 {
		return nil
	}
	return Columns[i]
}

// KnowsHere reports whether a key that stands in a cell of its own beside its value is
// that of a note of a survey.
func KnowsHere(key string) bool {
	return Knows(SurveyFile, key) && ClassOf(table.Fold(key))&(SummaryWord|LabelColumnWord) == 0
}

// Holds reports whether a sort of file has a note of this name that may have this
// value.
func Holds(in File, key, value string) bool {
	n, _ := named(in, key)
	return n != nil && Check(n, value) == nil
}
