package table

import (
	"errors"
	"io"
	"strconv"
	"strings"
)

// readWorkbook reads the sheets of an .xlsx file.
func readWorkbook(in io.Reader, file string, choose chooser) ([]*Sheet, error) {
	book, fault := openWorkbook(in)
	if fault != nil {
		fault.File = file
		return nil, Errors{fault}
	}
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
	if len(sheets) == 0 && len(errs.all) == 0 && !skipped {
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
	parts     []sheetPart
	date1904  bool
	texts     []string       // that cells share
	textBytes int            // of the cells read so far
	formats   []numberFormat // of the cell styles
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
	c, fault := openContainer(packed)
	if fault != nil {
		return nil, fault
	}
	l, fault := c.list()
	if fault != nil {
		return nil, fault
	}
	book := &workbook{container: c, parts: l.sheets, date1904: l.date1904}
	if l.texts != "" {
		book.texts, err = c.readTexts(l.texts)
	}
	if l.styles != "" && err == nil {
		book.formats, err = c.readFormats(l.styles)
	}
	if err != nil {
		return nil, damagedWorkbook(err)
	}
	return book, nil
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
		if c.Want != Skip && r.hiddenColumn(i+1) {
			s.warn(0, 0, "hidden column was read: "+quoteShort(s.Header[i].Text))
		}
	}
	if merged := r.mergedBelow(s.Header[0].Line); merged != "" {
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
