package page

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"path"
	"strings"

	"evenfall/cmd/evenfall/outfile"
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
		return answerBegun(w, name, err)
	}
}

// beginsOf is begins for what is begun of a survey of the folder.
func beginsOf[T any](s *server, create func(*live, T) (string, error)) handle {
	return s.ofSurvey(func(l *live, w http.ResponseWriter, r *http.Request) error {
		if l.store != s.store {
			return errTrial
		}
		return begins(func(asked T) (string, error) { return create(l, asked) })(w, r)
	})
}

func answerBegun(w http.ResponseWriter, name string, err error) error {
	if err != nil {
		return err
	}
	w.Header().Set("Location", "/api/surveys/"+url.PathEscape(name))
	return answer(w, 201, map[string]string{"name": name})
}

// begin writes a new file by the first of some names that is free, and is that name. Where
// none is, exists says so; without it the file that is there is meant.
func (st *store) begin(content func(io.Writer) error, exists string, names ...string) (name string, err error) {
	for _, name = range names {
		if err = st.root.MkdirAll(path.Dir(name), 0o777); err == nil {
			err = outfile.CreateIn(st.root, name, content)
		}
		switch {
		case err == nil:
			return name, nil
		case !errors.Is(err, fs.ErrExist):
			return "", fileProblem(name, err)
		}
	}
	if exists == "" {
		return name, nil
	}
	return "", problem{409, "exists", exists}
}

// numberedNames are names of files with a number behind them, from one on.
func numberedNames(stem, ending string, from int) (names []string) {
	for n := from; n < 1000; n++ {
		names = append(names, fmt.Sprintf("%s-%d%s", stem, n, ending))
	}
	return names
}

const tooManyNames = "There are too many files of that name."

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

// blankTable writes a table to be filled in: its notes, its columns, and its rows as far as
// they are known.
func blankTable(notes []table.Note, columns []string, rows [][]string) func(io.Writer) error {
	return func(w io.Writer) error {
		for _, n := range notes {
			fmt.Fprintf(w, "# %s: %s\n", n.Key, n.Value)
		}
		out := csv.NewWriter(w)
		out.Write(columns)
		for _, row := range rows {
			out.Write(append(row, make([]string, len(columns)-len(row))...))
		}
		out.Flush()
		return out.Error()
	}
}

// lightColumns are the columns of such a table of lights, with those of color where it is
// read.
func lightColumns(color bool, columns ...string) []string {
	if color {
		columns = append(columns, "CCT (K)", "Duv")
	}
	return append(columns, "note")
}
