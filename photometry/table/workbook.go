package table

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// What a workbook may hold, so that a small hostile file cannot fill the
// memory: as a file, unpacked, and unpacked in one part that is not a sheet
// (sheets are read as a stream, the others are not).
const (
	mostPacked   = 256 << 20
	mostUnpacked = 512 << 20
	mostPart     = 64 << 20
)

// readWorkbook reads the sheets of an .xlsx file.
func readWorkbook(in io.Reader, file string, choose chooser) ([]*Sheet, error) {
	fault := func(found, expected string, err error) error {
		return Errors{{File: file, Found: found, InWords: true, Expected: expected, Err: err}}
	}
	packed, err := io.ReadAll(io.LimitReader(in, mostPacked+1))
	switch {
	case err != nil:
		return nil, fault("an error while reading ("+err.Error()+")", "a whole workbook", err)
	case len(packed) > mostPacked:
		return nil, fault("a workbook of more than 256 MiB", "a smaller one, or the sheet as CSV", nil)
	}
	if what, err := inspectZip(packed); what != "" {
		return nil, fault(what, tableExpected, err)
	}
	book, err := openWorkbook(packed)
	if err != nil {
		return nil, fault("a damaged workbook ("+err.Error()+")", tableExpected, err)
	}
	defer book.close()

	var (
		sheets   []*Sheet
		errs     errorList
		decimals decimals
		asides   []Warning // of sheets that are not tables
	)
	for _, part := range book.parts {
		b := &builder{sheet: &Sheet{File: file, Name: part.name}, decimals: &decimals, errs: &errs}
		b.sheet.Dialect.Encoding = encodingXLSX
		kept, err := book.readSheet(part, b, choose)
		var broken *sheetError
		switch {
		case errors.As(err, &broken):
			errs.add(&Error{File: file, Sheet: part.name, Line: broken.line, Found: "a damaged worksheet (" + broken.err.Error() + ")",
				InWords: true, Expected: "one that a spreadsheet program can open", Err: broken.err})
		case errors.Is(err, ErrSkipSheet):
			continue
		case err != nil:
			return nil, withErrors(errs.all, err)
		}
		switch {
		case kept:
			sheets = append(sheets, b.sheet)
		case len(b.sheet.Notes) > 0:
			asides = append(asides, Warning{File: file, Sheet: part.name, Text: "notes and no table; not read"})
		}
	}
	if len(sheets) == 0 && len(errs.all) == 0 && len(book.parts) > 0 && !book.skipped {
		return nil, fault("a workbook without a table", "a sheet with a header row with the names of the columns, and rows below it", nil)
	}
	if len(sheets) > 0 {
		sheets[0].Warnings = append(sheets[0].Warnings, asides...)
	}
	decimals.settle(sheets, &errs)
	return sheets, errs.all.ErrOrNil()
}

// inspectZip says what a zip archive is if it is not an .xlsx workbook that
// can be read, and "" if it is.
func inspectZip(packed []byte) (what string, err error) {
	archive, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return "a damaged zip archive", err
	}
	total := uint64(0)
	names := make(map[string]*zip.File)
	for _, f := range archive.File {
		name := strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/"))
		names[name] = f
		total += f.UncompressedSize64
		part := strings.HasSuffix(name, ".xml") || strings.HasSuffix(name, ".rels")
		if total > mostUnpacked || part && !strings.HasPrefix(name, "xl/worksheets/") && f.UncompressedSize64 > mostPart {
			return "a workbook that unpacks to more than can be read", nil
		}
	}
	has := func(name string) bool { return names[name] != nil }
	switch {
	case has("xl/workbook.xml"):
		return "", nil
	case has("xl/workbook.bin"):
		return "a binary workbook (.xlsb)", nil
	case has("word/document.xml"):
		return "a text document (.docx)", nil
	case has("ppt/presentation.xml"):
		return "a presentation (.pptx)", nil
	case has("mimetype"):
		kind := ""
		if r, err := names["mimetype"].Open(); err == nil {
			head, _ := io.ReadAll(io.LimitReader(r, 100))
			r.Close()
			kind = string(head)
		}
		switch {
		case strings.Contains(kind, "opendocument.spreadsheet"):
			return "an OpenDocument spreadsheet (.ods)", nil
		case strings.Contains(kind, "opendocument"):
			return "an OpenDocument file that is not a spreadsheet", nil
		}
	}
	return "a zip archive that is not an .xlsx workbook", nil
}

// workbook is an open .xlsx file.
type workbook struct {
	file     *excelize.File
	parts    []sheetPart
	date1904 bool
	formats  map[int]numberFormat // by the number of the cell style
	skipped  bool                 // a Choose function left a sheet out
}

// sheetPart is a worksheet: its name and where it stands in the archive.
type sheetPart struct {
	name, path string
	hidden     bool
}

func openWorkbook(packed []byte) (book *workbook, err error) {
	defer guard(&err)
	file, err := excelize.OpenReader(bytes.NewReader(packed), excelize.Options{
		RawCellValue:      true,
		UnzipSizeLimit:    mostUnpacked,
		UnzipXMLSizeLimit: mostUnpacked, // no temporary files
	})
	if err != nil {
		return nil, err
	}
	book = &workbook{file: file, formats: make(map[int]numberFormat)}
	if props, err := file.GetWorkbookProps(); err == nil && props.Date1904 != nil {
		book.date1904 = *props.Date1904
	}
	targets, err := book.targets()
	if err != nil {
		return nil, err
	}
	for _, s := range file.WorkBook.Sheets.Sheet {
		if path, ok := targets[s.ID]; ok {
			book.parts = append(book.parts, sheetPart{s.Name, path, s.State != "" && s.State != "visible"})
		}
	}
	return book, nil
}

func (w *workbook) close() { w.file.Close() }

// targets returns where the worksheets stand in the archive, by the id of
// their relationship to the workbook. Sheets of charts are left out.
// Source: ECMA-376 part 2, relationships.
func (w *workbook) targets() (map[string]string, error) {
	const rels = "xl/_rels/workbook.xml.rels"
	var list struct {
		Relationship []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
		}
	}
	content, err := w.part(rels)
	if err != nil {
		return nil, err
	}
	if err := decodeXML(content, &list); err != nil {
		return nil, err
	}
	out := make(map[string]string)
	for _, r := range list.Relationship {
		if !strings.HasSuffix(r.Type, "/worksheet") {
			continue
		}
		target := strings.ReplaceAll(r.Target, `\`, "/")
		if !strings.HasPrefix(target, "/") {
			target = path.Join("xl", target)
		}
		out[r.ID] = strings.TrimPrefix(target, "/")
	}
	return out, nil
}

// part returns the bytes of a part of the archive.
func (w *workbook) part(name string) ([]byte, error) {
	if content, ok := w.file.Pkg.Load(name); ok {
		return content.([]byte), nil
	}
	var found []byte
	w.file.Pkg.Range(func(key, content any) bool {
		if strings.EqualFold(key.(string), name) {
			found = content.([]byte)
		}
		return found == nil
	})
	if found == nil {
		return nil, errors.New("no part " + name)
	}
	return found, nil
}

// sheetError is a worksheet that cannot be read on.
type sheetError struct {
	line int
	err  error
}

func (e *sheetError) Error() string { return "line " + strconv.Itoa(e.line) + ": " + e.err.Error() }

// readSheet reads one worksheet into a builder; kept is false where it has no
// table.
func (w *workbook) readSheet(part sheetPart, b *builder, choose chooser) (kept bool, err error) {
	s := b.sheet
	rows, err := w.rows(part)
	if err != nil {
		return false, &sheetError{0, err}
	}
	defer rows.close()
	var hidden lineList
	for !b.errs.full() {
		cells, more, err := rows.next()
		if err != nil {
			if kept {
				b.finish()
			}
			return kept, &sheetError{rows.line, err}
		}
		if !more {
			break
		}
		if filledCells(cells) == 0 {
			continue
		}
		if rows.hidden {
			hidden.add(rows.line)
		}
		switch {
		case isRemark(cells, !kept):
			n, ok := parseNote(cells, nil, ',')
			switch {
			case kept:
				b.remark(cells, nil, ',')
			case ok:
				s.Notes = append(s.Notes, n)
			}
		case !kept:
			setHeader(s, cells, b.decimals, b.errs)
			wants, err := choose(s)
			if err != nil {
				w.skipped = true
				return false, err
			}
			b.start(wants, 0)
			kept = true
		default:
			width := len(s.Header)
			b.add(cells[:min(len(cells), width)], rows.line)
			for j := width; j < len(cells); j++ {
				if len(cells[j].text) > 0 || cells[j].kind == noValue {
					b.extra(Cell{string(cells[j].text), cells[j].line, j + 1})
					break
				}
			}
		}
	}
	if !kept {
		return false, nil
	}
	b.finish()
	warn := func(text string) {
		s.Warnings = append(s.Warnings, Warning{File: s.File, Sheet: s.Name, Text: text})
	}
	if part.hidden {
		warn("this sheet is hidden in the workbook; it was read")
	}
	if len(hidden) > 0 {
		warn("hidden rows were read: " + hidden.String())
	}
	for i, c := range s.Columns {
		if c.Want != Skip && rows.marks.hiddenColumn(i+1) {
			warn("hidden column was read: " + quoteShort(s.Header[i].Text))
		}
	}
	if merged := rows.marks.mergedBelow(s.Header[0].Line); merged != "" {
		warn("merged cells have their value in the first cell only: " + merged)
	}
	return true, nil
}

// guard makes an error of a panic in the library on a malformed file.
func guard(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("it cannot be parsed: %v", r)
	}
}

// lineList lists lines in runs: 5–7, 9.
type lineList [][2]int

func (l *lineList) add(line int) {
	if n := len(*l); n > 0 && (*l)[n-1][1] == line-1 {
		(*l)[n-1][1] = line
		return
	}
	*l = append(*l, [2]int{line, line})
}

func (l lineList) String() string {
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
