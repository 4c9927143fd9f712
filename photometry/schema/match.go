package schema

import (
	"strings"
	"sync"

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
		if n, _ = named(in, bare); n != nil {
			if _, many := n.rules(); many {
				return n, ""
			}
		}
	}
	return nil, ""
}

// Knows tells whether a sort of file has a note of this name.
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

func columnsIn(in File) (columns []*Column) {
	for _, c := range Columns {
		if c.In&in != 0 {
			columns = append(columns, c)
		}
	}
	return columns
}

// Match finds the column of a file that a header cell names and the unit that it
// carries, "" for none; nil and the nearest name where it is none.
func Match(in File, header string) (column *Column, unit, nearest string) {
	at, unit, nearest := table.Match(Fields(in), header)
	if at < 0 {
		return nil, "", nearest
	}
	return columnsIn(in)[at], unit, nearest
}
