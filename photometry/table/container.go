package table

import (
	"archive/zip"
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
)

// Limits on a workbook, so that a small hostile file cannot take much memory or
// time: bytes of the file, unpacked, of one part, of the texts that cells share, of
// a part that is decoded as a whole (list of the sheets, styles), of the XML between
// two tags, and the number of parts and sheets.
const (
	maxPacked   = 256 << 20
	maxUnpacked = 256 << 20
	maxPart     = 64 << 20
	maxTexts    = 16 << 20
	maxListing  = 2 << 20
	maxToken    = 1 << 20
	maxParts    = 2048
	maxSheets   = 256

	// A part unpacks to at most maxRatio times the file, and any may to plainUnpacked:
	// worksheets of readings unpack to some ten times their size.
	maxRatio      = 24
	plainUnpacked = 16 << 20
)

// container is the zip archive of a workbook, each part of which was read to its
// end and matches its checksum.
type container map[string]*zip.File

// openContainer checks an archive before anything in it is used. Errors have no
// file.
func openContainer(packed []byte) (container, *Error) {
	// Count the parts before the list is read: a long list takes more memory than
	// its file.
	if bytes.Count(packed, []byte("PK\x01\x02")) > maxParts {
		return nil, &Error{Found: fmt.Sprintf("a zip archive of more than %d parts", maxParts), InWords: true, Expected: "fewer, or the sheet as CSV"}
	}
	archive, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, unreadableWorkbook("a damaged zip archive", err)
	}
	parts := make(container)
	for _, f := range archive.File {
		name := partName(f.Name)
		if parts[name] != nil {
			return nil, damagedWorkbook(errors.New("two parts " + f.Name))
		}
		parts[name] = f
	}
	if other := parts.describeKind(); other != "" {
		return nil, unreadableWorkbook(other, nil)
	}
	most := min(maxUnpacked, max(plainUnpacked, maxRatio*uint64(len(packed))))
	total := uint64(0)
	for _, f := range parts {
		total += f.UncompressedSize64
		if total > most || f.UncompressedSize64 > maxPart {
			return nil, unreadableWorkbook("a workbook that unpacks to more than can be read", nil)
		}
	}
	if overlap(archive.File) {
		return nil, damagedWorkbook(errors.New("parts that overlap"))
	}
	for _, f := range archive.File {
		if err := readToEnd(f); err != nil {
			return nil, damagedWorkbook(fmt.Errorf("%s: %w", f.Name, err))
		}
	}
	return parts, nil
}

// unreadableWorkbook makes the error for a file that is not a readable workbook.
func unreadableWorkbook(found string, err error) *Error {
	return &Error{Found: found, InWords: true, Expected: tableExpected, Err: err}
}

func damagedWorkbook(err error) *Error {
	return unreadableWorkbook("a damaged workbook ("+err.Error()+")", err)
}

// partName normalizes the name of a part for comparison.
func partName(name string) string { return strings.ToLower(strings.ReplaceAll(name, `\`, "/")) }

// overlap reports whether two parts share bytes of the archive, as many large parts
// in a small file do.
func overlap(files []*zip.File) bool {
	spans := make([][2]uint64, 0, len(files))
	for _, f := range files {
		if start, err := f.DataOffset(); err == nil && f.CompressedSize64 > 0 {
			spans = append(spans, [2]uint64{uint64(start), uint64(start) + f.CompressedSize64})
		}
	}
	slices.SortFunc(spans, func(a, b [2]uint64) int { return cmp.Compare(a[0], b[0]) })
	for i := range max(1, len(spans)) - 1 {
		if spans[i][1] > spans[i+1][0] {
			return true
		}
	}
	return false
}

// readToEnd reads a part, which checks its checksum at the end. A part longer than
// its stated size is refused before it takes more memory.
func readToEnd(f *zip.File) error {
	r, err := f.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	n, err := io.Copy(io.Discard, io.LimitReader(r, int64(f.UncompressedSize64)+1))
	if err == nil && uint64(n) != f.UncompressedSize64 {
		err = zip.ErrFormat
	}
	return err
}

// describeKind describes a zip archive that is not a workbook, "" for a workbook.
func (c container) describeKind() string {
	for _, other := range []struct{ part, what string }{
		{workbookPart, ""},
		{"xl/workbook.bin", "a binary workbook (.xlsb)"},
		{"word/document.xml", "a text document (.docx)"},
		{"ppt/presentation.xml", "a presentation (.pptx)"},
	} {
		if c[other.part] != nil {
			return other.what
		}
	}
	switch kind := c.mimeType(); {
	case strings.Contains(kind, "opendocument.spreadsheet"):
		return "an OpenDocument spreadsheet (.ods)"
	case strings.Contains(kind, "opendocument"):
		return "an OpenDocument file that is not a spreadsheet"
	}
	return "a zip archive that is not an .xlsx workbook"
}

// mimeType returns the type that an OpenDocument file declares.
func (c container) mimeType() string {
	r, err := c.open("mimetype", maxListing)
	if err != nil {
		return ""
	}
	defer r.Close()
	head, _ := io.ReadAll(io.LimitReader(r, 100))
	return string(head)
}

const (
	workbookPart  = "xl/workbook.xml"
	relationsPart = "xl/_rels/workbook.xml.rels"
)

// sheetPart is a worksheet: its name and where it is in the archive.
type sheetPart struct {
	name, path string
	hidden     bool
}

// listing is what the parts of a workbook are and whether its dates count from 1904.
type listing struct {
	sheets        []sheetPart // chart sheets are not among them
	texts, styles string      // paths, "" where there is none
	date1904      bool
}

// list lists the parts of a workbook.
// Source: ECMA-376 part 1, 18.2 workbook; part 2, relationships.
func (c container) list() (l listing, fault *Error) {
	var book struct {
		Properties struct {
			Date1904 bool `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string `xml:"name,attr"`
			State string `xml:"state,attr"`
			ID    string `xml:"id,attr"`
		} `xml:"sheets>sheet"`
	}
	var relations struct {
		List []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	if err := errors.Join(c.decode(workbookPart, &book), c.decode(relationsPart, &relations)); err != nil {
		return l, damagedWorkbook(err)
	}
	if n := len(book.Sheets); n > maxSheets {
		return l, &Error{Found: fmt.Sprintf("a workbook of %d sheets", n), InWords: true, Expected: fmt.Sprintf("at most %d", maxSheets)}
	}
	targets := make(map[string]string)
	for _, r := range relations.List {
		target := strings.ReplaceAll(r.Target, `\`, "/")
		if !strings.HasPrefix(target, "/") {
			target = path.Join("xl", target)
		}
		target = strings.TrimPrefix(target, "/")
		switch path.Base(r.Type) {
		case "worksheet":
			targets[r.ID] = target
		case "sharedStrings":
			l.texts = target
		case "styles":
			l.styles = target
		}
	}
	read := map[string]bool{}
	for _, s := range book.Sheets {
		path, ok := targets[s.ID]
		if !ok {
			continue
		}
		if read[partName(path)] {
			return l, damagedWorkbook(errors.New("two sheets in one part"))
		}
		read[partName(path)] = true
		l.sheets = append(l.sheets, sheetPart{s.Name, path, s.State != "" && s.State != "visible"})
	}
	if len(l.sheets) == 0 {
		return l, unreadableWorkbook("a workbook without a worksheet", nil)
	}
	l.date1904 = book.Properties.Date1904
	return l, nil
}

// decode decodes a part of XML as a whole.
func (c container) decode(name string, into any) error {
	r, err := c.open(name, maxListing)
	if err != nil {
		return err
	}
	defer r.Close()
	return xml.NewDecoder(r).Decode(into)
}

// open opens a part of XML of at most so many bytes.
func (c container) open(name string, most uint64) (io.ReadCloser, error) {
	f := c[partName(name)]
	switch {
	case f == nil:
		return nil, errors.New("no part " + name)
	case f.UncompressedSize64 > most:
		return nil, fmt.Errorf("%s unpacks to more than can be read", name)
	}
	r, err := f.Open()
	return &xmlReader{r, 0}, err
}

// xmlReader is a part of XML, whose reader keeps all between two tags in memory.
type xmlReader struct {
	io.ReadCloser
	since int // bytes since the last tag began
}

func (x *xmlReader) Read(p []byte) (int, error) {
	n, err := x.ReadCloser.Read(p[:min(len(p), maxToken/2)])
	if first := bytes.IndexByte(p[:n], '<'); first >= 0 {
		x.since += first
		if x.since <= maxToken {
			x.since = n - bytes.LastIndexByte(p[:n], '<')
		}
	} else {
		x.since += n
	}
	if x.since > maxToken {
		return 0, errors.New("a text of more than a megabyte")
	}
	return n, err
}
