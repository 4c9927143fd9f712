package sheet

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"evenfall/photometry/table"
)

var (
	leadingDigits = regexp.MustCompile(`^[1-9]\d{0,2}$`)
	threeDigits   = regexp.MustCompile(`^\d{3}$`)
)

// ErrSplit is behind the error of a file whose delimiter splits numbers.
var ErrSplit = errors.New("sheet: a number split by the delimiter")

// splitNumber is the error of a sheet whose delimiter, a comma, splits numbers such as
// 1,234: a row has more cells than heads, and as many as there are heads once the digits
// below a head of figures are joined. It is nil where there is no such row.
func splitNumber(s *table.Cells) *table.Error {
	if s.Dialect.Delimiter != ',' {
		return nil
	}
	var heads []heading
	for _, row := range s.Rows {
		figures, words := rowOfHeads(row)
		switch {
		case words:
			heads = figures
		case len(row) > len(heads) && len(heads) > 1:
			if at := joinedAt(row, heads); at >= 0 {
				number := row[at].Text + "," + row[at+1].Text
				return &table.Error{File: s.File, Sheet: s.Name, Line: row[at].Line, Column: row[at].Column, InWords: true, Err: ErrSplit,
					Found:    fmt.Sprintf("%d cells under %d heads", len(row), len(heads)),
					Expected: fmt.Sprintf("a cell for each head; is %s one number? Then put it in quotes, leave its comma out, or put ; between the cells", number)}
			}
		}
	}
	return nil
}

// rowOfHeads understands a row of two words or more, without figures, as heads.
func rowOfHeads(row []table.RawCell) (heads []heading, ok bool) {
	known := false
	for _, c := range row {
		if v := parse(c, '.'); strings.TrimSpace(c.Text) == "" || v.isReading() {
			return nil, false
		}
		h := readHeading(c.Text)
		known = known || h.role == levelRole
		heads = append(heads, h)
	}
	return heads, known && len(heads) > 1
}

// joinedAt is the first cell of a number that was split, -1 where joining does not give the
// row as many cells as there are heads.
func joinedAt(row []table.RawCell, heads []heading) int {
	first, at := -1, 0
	for _, h := range heads {
		if at >= len(row) {
			return -1
		}
		split := at+1 < len(row) && leadingDigits.MatchString(row[at].Text) && threeDigits.MatchString(row[at+1].Text)
		if split && (h.role == levelRole || h.role == otherRole) {
			if first < 0 {
				first = at
			}
			at++
		}
		at++
	}
	if at != len(row) {
		return -1
	}
	return first
}
