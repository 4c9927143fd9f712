package table

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
)

// Limits on a workbook, so that a small hostile file cannot take much memory or
// time: bytes of the file, unpacked, of one part, of the texts that cells share, of
// a part that is decoded as a whole (list of the sheets, styles), and the number
// of parts and sheets.
const (
	maxPacked   = 256 << 20
	maxUnpacked = 256 << 20
	maxPart     = 64 << 20
	maxTexts    = 16 << 20
	maxListing  = 2 << 20
	maxParts    = 2048
	maxSheets   = 256
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
	total := uint64(0)
	for name, f := range parts {
		total += f.UncompressedSize64
		if total > maxUnpacked || f.UncompressedSize64 > maxPartBytes(name) {
			return nil, unreadableWorkbook("a workbook that unpacks to more than can be read", nil)
		}
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

// maxPartBytes returns the largest size of a part.
func maxPartBytes(name string) uint64 {
	switch name {
	case workbookPart, relationsPart, "xl/styles.xml", "xl/theme/theme1.xml", "[content_types].xml":
		return maxListing
	case "xl/sharedstrings.xml":
		return maxTexts
	}
	return maxPart
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
	r, err := c.open("mimetype")
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

// sheets lists the worksheets, and returns whether dates count from 1904. Chart
// sheets are not listed.
// Source: ECMA-376 part 1, 18.2 workbook; part 2, relationships.
func (c container) sheets() (list []sheetPart, date1904 bool, fault *Error) {
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
		return nil, false, damagedWorkbook(err)
	}
	if n := len(book.Sheets); n > maxSheets {
		return nil, false, &Error{Found: fmt.Sprintf("a workbook of %d sheets", n), InWords: true, Expected: fmt.Sprintf("at most %d", maxSheets)}
	}
	targets := make(map[string]string)
	for _, r := range relations.List {
		if !strings.HasSuffix(r.Type, "/worksheet") {
			continue
		}
		target := strings.ReplaceAll(r.Target, `\`, "/")
		if !strings.HasPrefix(target, "/") {
			target = path.Join("xl", target)
		}
		targets[r.ID] = strings.TrimPrefix(target, "/")
	}
	for _, s := range book.Sheets {
		if path, ok := targets[s.ID]; ok {
			list = append(list, sheetPart{s.Name, path, s.State != "" && s.State != "visible"})
		}
	}
	return list, book.Properties.Date1904, nil
}

// decode decodes a part of XML.
func (c container) decode(name string, into any) error {
	r, err := c.open(name)
	if err != nil {
		return err
	}
	defer r.Close()
	return xml.NewDecoder(r).Decode(into)
}

func (c container) open(name string) (io.ReadCloser, error) {
	if f := c[partName(name)]; f != nil {
		return f.Open()
	}
	return nil, errors.New("no part " + name)
}
