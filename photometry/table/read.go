package table

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"io/fs"
)

// ReadColumns reads a table from r. file is the name for messages; the kind of file is
// found from its content. A CSV file gives one sheet, a workbook one sheet per
// worksheet with content, in the workbook's order.
//
// Where the error is Errors, the sheets are returned with it, as far as they could be
// read, so that a caller can check the other cells too and report everything at once.
// Sheets are nil where nothing could be read.
//
// A file is read once, a quarter of a megabyte at a time. It needs little memory
// besides its columns, least where the size of r is known (a bytes.Reader, an open
// file). Plain decimal numbers are identical to those of strconv.ParseFloat.
func ReadColumns(r io.Reader, file string, choose Choose) ([]*Sheet, error) {
	return readColumns(r, file, func(s *Sheet) ([]Want, error) { return choose(s.Notes, s.Header) })
}

// chooser is a Choose function that gets the sheet with everything but its columns.
type chooser func(*Sheet) ([]Want, error)

func readColumns(r io.Reader, file string, choose chooser) ([]*Sheet, error) {
	size := remainingBytes(r)
	in := bufio.NewReaderSize(r, bufferSize)
	head, _ := in.Peek(peekSize) // an error occurs again when the rest is read
	if bytes.HasPrefix(head, []byte(zipStart)) {
		return readWorkbook(in, file, choose)
	}
	return readCSV(in, head, size, file, choose)
}

// remainingBytes returns how many bytes a reader has left, 0 if not known.
func remainingBytes(r io.Reader) int64 {
	switch r := r.(type) {
	case interface{ Len() int }:
		return int64(r.Len())
	case fs.File: // an *os.File is one
		info, err := r.Stat()
		if err != nil || !info.Mode().IsRegular() {
			return 0
		}
		size := info.Size()
		if s, ok := r.(io.Seeker); ok {
			if at, err := s.Seek(0, io.SeekCurrent); err == nil {
				size -= at
			}
		}
		return max(size, 0)
	}
	return 0
}

// withErrors puts the errors found so far before those of a Choose function,
// where these are of the same kind.
func withErrors(found Errors, err error) error {
	var many Errors
	var one *Error
	switch {
	case errors.As(err, &many):
		return append(found, many...).ErrOrNil()
	case errors.As(err, &one):
		return append(found, one).ErrOrNil()
	}
	return err
}
