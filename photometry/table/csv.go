package table

import (
	"bufio"
	"bytes"
	"errors"
)

// readCSV reads the file that begins with head. size is its length in bytes,
// 0 where it is not known.
func readCSV(in *bufio.Reader, head []byte, size int64, file string, choose chooser) ([]*Sheet, error) {
	s := &Sheet{File: file}
	text, encoding, err := openText(in, head, file)
	if err != nil {
		return nil, err
	}
	if encoding == encodingUTF16LE || encoding == encodingUTF16BE {
		size /= 2
	}
	start, err := text.Peek(bufferSize)
	whole := err != nil // an error occurs again when the rest is read
	expected := expectedRows(start, whole, size)
	records := newRecordReader(text, findDelimiter(start, whole))
	s.Dialect = Dialect{Encoding: encoding, Delimiter: rune(records.delimiter)}

	var errs errorList
	var decimals decimals
	b := &builder{sheet: s, decimals: &decimals, errs: &errs}
	kept, err := b.read(records, choose, expected)
	switch {
	case errors.Is(err, ErrSkipSheet):
		return nil, nil
	case err != nil:
		return nil, withErrors(errs.all, err)
	case !kept && len(errs.all) > 0:
		return nil, errs.all.ErrOrNil()
	case !kept:
		found := "an empty file"
		if len(s.Notes) > 0 {
			found = "notes and no table"
		}
		return nil, Errors{{File: file, Found: found, InWords: true, Expected: "a header row with the names of the columns, and rows below it"}}
	}
	s.Dialect.LineEnd = records.lines.ends.String()
	s.resolveEncoding(records.utf8Line, records.windows1252Line)
	decimals.resolve([]*Sheet{s}, &errs)
	return []*Sheet{s}, errs.all.ErrOrNil()
}

// expectedRows estimates the number of rows from the lines at the start of a file
// and, unless that is the whole file, its size; 0 is not known.
func expectedRows(start []byte, whole bool, size int64) int {
	lines := max(bytes.Count(start, []byte{'\n'}), bytes.Count(start, []byte{'\r'}))
	if whole {
		return lines + 1
	}
	return int(float64(lines) / float64(len(start)) * float64(size) * 1.01)
}

// resolveEncoding sets the encoding of a file that is not UTF-8 to Windows-1252, with
// a warning if other lines are UTF-8. utf8 and windows are the first lines with
// characters of each, 0 for none.
func (s *Sheet) resolveEncoding(utf8, windows int) {
	if windows == 0 {
		return
	}
	if s.Dialect.Encoding == encodingMarked || utf8 > 0 {
		s.warn(windows, 0, "not UTF-8, as other lines are; read as Windows-1252")
	}
	s.Dialect.Encoding = encodingWindows
}
