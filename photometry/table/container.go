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

// What a workbook may hold, so that a small hostile file fills neither the
// memory nor the time: as a file, unpacked, in one part, in the texts that
// cells share, in a part that is kept whole (the list of the sheets, the
// styles), and how many parts and sheets.
const (
	mostPacked   = 256 << 20
	mostUnpacked = 256 << 20
	mostPart     = 64 << 20
	mostTexts    = 16 << 20
	mostListing  = 2 << 20
	mostParts    = 2048
	mostSheets   = 256
)

// container is the zip archive of a workbook, each part of which was read to
// its end and agrees with its checksum.
type container map[string]*zip.File

// openContainer checks an archive before anything in it is believed. Errors
// are without a file.
func openContainer(packed []byte) (container, *Error) {
	// The list of the parts is counted before it is read, since a long one
	// takes more memory than its file.
	if bytes.Count(packed, []byte("PK\x01\x02")) > mostParts {
		return nil, &Error{Found: fmt.Sprintf("a zip archive of more than %d parts", mostParts), InWords: true, Expected: "fewer, or the sheet as CSV"}
	}
	archive, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, unreadable("a damaged zip archive", err)
	}
	parts := make(container)
	for _, f := range archive.File {
		name := partName(f.Name)
		if parts[name] != nil {
			return nil, damaged(errors.New("two parts " + f.Name))
		}
		parts[name] = f
	}
	if other := parts.kind(); other != "" {
		return nil, unreadable(other, nil)
	}
	total := uint64(0)
	for name, f := range parts {
		total += f.UncompressedSize64
		if total > mostUnpacked || f.UncompressedSize64 > mostBytes(name) {
			return nil, unreadable("a workbook that unpacks to more than can be read", nil)
		}
	}
	for _, f := range archive.File {
		if err := readToEnd(f); err != nil {
			return nil, damaged(fmt.Errorf("%s: %w", f.Name, err))
		}
	}
	return parts, nil
}

// unreadable makes the error of a file that is not a workbook that can be
// read.
func unreadable(found string, err error) *Error {
	return &Error{Found: found, InWords: true, Expected: tableExpected, Err: err}
}

func damaged(err error) *Error { return unreadable("a damaged workbook ("+err.Error()+")", err) }

// partName brings the name of a part into the form in which names are
// compared.
func partName(name string) string { return strings.ToLower(strings.ReplaceAll(name, `\`, "/")) }

// mostBytes returns how long a part may be.
func mostBytes(name string) uint64 {
	switch name {
	case workbookPart, relationsPart, "xl/styles.xml", "xl/theme/theme1.xml", "[content_types].xml":
		return mostListing
	case "xl/sharedstrings.xml":
		return mostTexts
	}
	return mostPart
}

// readToEnd reads a part, which compares its checksum at the end. A part that
// is longer than it says is refused by the size, not by the memory it takes.
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

// kind says what a zip archive is that is not a workbook, "" for a workbook.
func (c container) kind() string {
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

// mimeType returns what an OpenDocument file says of itself.
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

// sheets lists the worksheets, and says whether dates count from 1904. Sheets
// of charts are left out.
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
		return nil, false, damaged(err)
	}
	if n := len(book.Sheets); n > mostSheets {
		return nil, false, &Error{Found: fmt.Sprintf("a workbook of %d sheets", n), InWords: true, Expected: fmt.Sprintf("at most %d", mostSheets)}
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
