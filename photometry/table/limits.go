package table

import "fmt"

// Limits on what a table may hold, far beyond what people write, so that no file of a
// megabyte takes long. Package schema states those on lamps, gels and cameras.
const (
	// MostNotes is how many notes may be above a table.
	MostNotes = 500
	// MostCellCharacters is the longest text of a cell or note, as in spreadsheets.
	MostCellCharacters = 32_767
	// MostTypedCells is how many cells a sheet without a plain header may have, and four
	// times its rows: each is kept and looked at in several ways.
	MostTypedCells = 100_000
)

// mostCellBytes is as many characters of up to four bytes.
const mostCellBytes = 4 * MostCellCharacters

// unfit is what a cell or note may be instead of a text, "" where it is fit.
func unfit[T string | []byte](text T) string {
	switch {
	case hasControl(text):
		return "text without control characters"
	case len(text) > mostCellBytes, len(text) > MostCellCharacters && len([]rune(string(text))) > MostCellCharacters:
		return fmt.Sprintf("a text of at most %d characters", MostCellCharacters)
	}
	return ""
}

// addNote keeps a note. The error is that of one which does not fit, or is one too many.
func addNote(notes *[]Note, n Note, file, sheet string) *Error {
	e := &Error{File: file, Sheet: sheet, Line: n.Line, Column: n.Column, Found: n.Value, Expected: unfit(n.Value)}
	switch {
	case e.Expected != "":
		return e
	case len(n.Key) > mostCellBytes:
		e.Found, e.Expected = n.Key, unfit(n.Key)
		return e
	}
	if *notes = append(*notes, n); len(*notes) > MostNotes {
		e.Found, e.InWords, e.Expected = fmt.Sprintf("more than %d notes", MostNotes), true, "fewer above one table"
		return e
	}
	return nil
}
