package page

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// begins answers with the name of a table that is begun by what is asked for.
func begins[T any](create func(T) (string, error)) handle {
	return func(w http.ResponseWriter, r *http.Request) error {
		var asked T
		if err := body(w, r, &asked); err != nil {
			return err
		}
		name, err := create(asked)
		if err != nil {
			return err
		}
		w.Header().Set("Location", "/api/surveys/"+url.PathEscape(name))
		return answer(w, 201, map[string]string{"name": name})
	}
}

// askedNote is a note as it was typed, "" for none.
type askedNote struct {
	of   schema.Declared
	text string
}

// askedNotes puts what is asked for into the notes of a file, in which each has to be
// understood.
func askedNotes(asked ...askedNote) (notes []table.Note, err error) {
	for _, note := range asked {
		text := strings.TrimSpace(note.text)
		if text == "" {
			continue
		}
		name := note.of.Declaration().Name
		if err := schema.Check(note.of, text); err != nil {
			return nil, bad("The %s: %s.", name, err)
		}
		notes = append(notes, table.Note{Key: name, Value: text})
	}
	return notes, nil
}

// begunTable is a table to be filled in: its notes, its columns, and its rows as far as
// they are known.
func begunTable(notes []table.Note, columns []string, rows [][]string) []byte {
	var b bytes.Buffer
	for _, n := range notes {
		fmt.Fprintf(&b, "# %s: %s\n", n.Key, n.Value)
	}
	out := csv.NewWriter(&b)
	out.Write(columns)
	for _, row := range rows {
		out.Write(append(row, make([]string, len(columns)-len(row))...))
	}
	out.Flush()
	return b.Bytes()
}

// lightColumns are the columns of such a table of lights, with those of color where it is
// read.
func lightColumns(color bool, columns ...string) []string {
	if color {
		columns = append(columns, "CCT (K)", "Duv")
	}
	return append(columns, "note")
}
