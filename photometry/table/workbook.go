package table

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// readWorkbook reads the sheets of an .xlsx file.
func readWorkbook(in io.Reader, file string, choose chooser) ([]*Sheet, error) {
	book, fault := openWorkbook(in)
	if fault != nil {
		fault.File = file
		return nil, Errors{fault}
	}
	defer book.file.Close()

	var (
		sheets   []*Sheet
		errs     errorList
		decimals decimals
		asides   []Warning // about sheets that are not tables
		skipped  bool
	)
	for _, part := range book.parts {
		s := &Sheet{File: file, Name: part.name}
		s.Dialect.Encoding = encodingXLSX
		b := &builder{sheet: s, decimals: &decimals, errs: &errs}
		rows := book.rows(part)
		kept, err := b.read(rows, choose, 0)
		rows.close()
		switch {
		case errors.Is(err, ErrSkipSheet):
			skipped = true
		case err != nil:
			return nil, withErrors(errs.all, err)
		case kept:
			rows.warn(s)
			sheets = append(sheets, s)
		case len(s.Notes) > 0:
			asides = append(asides, Warning{File: file, Sheet: part.name, Text: "notes and no table; not read"})
		}
	}
	if len(sheets) == 0 && len(errs.all) == 0 && len(book.parts) > 0 && !skipped {
		return nil, Errors{{File: file, Found: "a workbook without a table", InWords: true,
			Expected: "a sheet with a header row with the names of the columns, and rows below it"}}
	}
	if len(sheets) > 0 {
		sheets[0].Warnings = append(sheets[0].Warnings, asides...)
	}
	decimals.resolve(sheets, &errs)
	return sheets, errs.all.ErrOrNil()
}

// workbook is an open .xlsx file.
type workbook struct {
	container container
	file      *excelize.File
	parts     []sheetPart
	date1904  bool
	formats   map[int]numberFormat // by the number of the cell style
}

// openWorkbook opens a workbook after all of it was checked. Errors have no file.
func openWorkbook(in io.Reader) (*workbook, *Error) {
	packed, err := io.ReadAll(io.LimitReader(in, maxPacked+1))
	switch {
	case err != nil:
		return nil, &Error{Found: "an error while reading (" + err.Error() + ")", InWords: true, Expected: "a whole workbook", Err: err}
	case len(packed) > maxPacked:
		return nil, &Error{Found: "a workbook of more than 256 MiB", InWords: true, Expected: "a smaller one, or the sheet as CSV"}
	}
	book := &workbook{formats: make(map[int]numberFormat)}
	var fault *Error
	if book.container, fault = openContainer(packed); fault != nil {
		return nil, fault
	}
	if book.parts, book.date1904, fault = book.container.sheets(); fault != nil {
		return nil, fault
	}
	if err := book.open(packed); err != nil {
		return nil, damagedWorkbook(err)
	}
	return book, nil
}

// open opens the file with the library, which reads its texts and styles.
func (w *workbook) open(packed []byte) (err error) {
	defer recoverPanic(&err)
	w.file, err = excelize.OpenReader(bytes.NewReader(packed), excelize.Options{
		RawCellValue:      true,
		UnzipSizeLimit:    maxUnpacked,
		UnzipXMLSizeLimit: maxUnpacked, // no temporary files
	})
	return err
}

// recoverPanic turns a panic of the library on a malformed file into an error.
func recoverPanic(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("it cannot be parsed: %v", r)
	}
}

// warn adds warnings of what a person may not notice in a worksheet.
func (r *sheetRows) warn(s *Sheet) {
	if r.part.hidden {
		s.warn(0, 0, "this sheet is hidden in the workbook; it was read")
	}
	if len(r.hidden) > 0 {
		s.warn(0, 0, "hidden rows were read: "+r.hidden.String())
	}
	for i, c := range s.Columns {
		if c.Want != Skip && r.marks.hiddenColumn(i+1) {
			s.warn(0, 0, "hidden column was read: "+quoteShort(s.Header[i].Text))
		}
	}
	if merged := r.marks.mergedBelow(s.Header[0].Line); merged != "" {
		s.warn(0, 0, "merged cells have their value in the first cell only: "+merged)
	}
}

// lineRanges lists lines as ranges: 5–7, 9.
type lineRanges [][2]int

func (l *lineRanges) add(line int) {
	if n := len(*l); n > 0 && (*l)[n-1][1] == line-1 {
		(*l)[n-1][1] = line
		return
	}
	*l = append(*l, [2]int{line, line})
}

func (l lineRanges) String() string {
	var parts []string
	for i, r := range l {
		if i == 5 {
			parts = append(parts, "…")
			break
		}
		part := strconv.Itoa(r[0])
		if r[1] > r[0] {
			part += "–" + strconv.Itoa(r[1])
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, ", ")
}
