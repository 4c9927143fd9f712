package table

import (
	"errors"
	"fmt"
	"unicode/utf8"
)

// Limits on what a table may hold, far beyond what people write, so that no file of a
// megabyte takes long. Package schema states those on lamps, gels and cameras.
const (
	// MostNotes is how many notes may be above a table.
	MostNotes = 500
	// MostColumns is how many columns a table may have: each heading is compared with all
	// that are known.
	MostColumns = 1024
	// MostCellCharacters is the longest text of a cell or note, as in spreadsheets.
	MostCellCharacters = 32_767
	// MostTypedCells and MostTypedRows are how many cells and rows a sheet without a plain
	// header may have: each is kept and looked at in several ways.
	MostTypedCells = 60_000
	MostTypedRows  = 25_000
)

// ErrTooLong is behind the error of a sheet without a plain header that has more cells or rows.
var ErrTooLong = errors.New("table: a long sheet without a plain header")

// mostCellBytes is as many characters of up to four bytes.
const mostCellBytes = 4 * MostCellCharacters

// unfit is what a cell or note may be instead of a text, "" where it is fit.
func unfit[T string | []byte](text T) string {
	if hasControl(text) {
		return "text without control characters"
	}
	return tooLong(text)
}

// tooLong is what a text may be that has more than [MostCellCharacters], "" for another.
func tooLong[T string | []byte](text T) string {
	if len(text) > MostCellCharacters && utf8.RuneCountInString(string(text)) > MostCellCharacters {
		return fmt.Sprintf("a text of at most %d characters", MostCellCharacters)
	}
	return ""
}

// tooWide is the error of a first row, or one of a sheet as typed, with more than
// [MostColumns] cells; nil for another.
func tooWide(file, sheet string, line, cells int) *Error {
	if cells <= MostColumns {
		return nil
	}
	return &Error{File: file, Sheet: sheet, Line: line, Found: fmt.Sprintf("more than %d columns", MostColumns), InWords: true, Expected: "fewer in one table"}
}

// addNote keeps a note. The error is that of one which does not fit, or is one too many.
func addNote(notes *[]Note, n Note, file, sheet string) *Error {
	at := Error{File: file, Sheet: sheet, Line: n.Line, Column: n.Column}
	if at.Found, at.Expected = n.Value, unfit(n.Value); at.Expected != "" {
		return &at
	}
	if at.Found, at.Expected = n.Key, tooLong(n.Key); at.Expected != "" { // what else is wrong with a key, whoever looks for it says
		return &at
	}
	if *notes = append(*notes, n); len(*notes) > MostNotes {
		at.Found, at.InWords, at.Expected = fmt.Sprintf("more than %d notes", MostNotes), true, "fewer above one table"
		return &at
	}
	return nil
}
