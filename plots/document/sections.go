package document

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// section is what stands under a heading of a page, with its parts.
type section struct {
	ID, Title string
	Blocks    []Block
	Parts     []*section
	Elements  []element // of a page, once they are drawn
}

// sections divides a document at its headings: what stands before the first, and
// the sections. Those with nothing under them are left out.
func (d *Document) sections() (head []Block, all []*section) {
	var at *[]Block = &head
	for _, b := range d.Blocks {
		h, ok := b.(Heading)
		switch {
		case !ok:
			*at = append(*at, b)
			continue
		case h.Level == 2 && len(all) > 0:
			last := all[len(all)-1]
			last.Parts = append(last.Parts, &section{ID: fmt.Sprintf("%s-%d", last.ID, len(last.Parts)+1), Title: h.Title})
			at = &last.Parts[len(last.Parts)-1].Blocks
		default:
			all = append(all, &section{ID: SectionID(h.Title), Title: h.Title})
			at = &all[len(all)-1].Blocks
		}
	}
	for _, s := range all {
		s.Parts = slices.DeleteFunc(s.Parts, func(p *section) bool { return len(p.Blocks) == 0 })
	}
	return head, slices.DeleteFunc(all, func(s *section) bool { return len(s.Blocks)+len(s.Parts) == 0 })
}

// SectionID is the id of a section of a page by its title.
func SectionID(title string) string { return strings.ReplaceAll(strings.ToLower(title), " ", "-") }

// keyed are the lines of a block that is a line or several. Keys begin with a capital, but
// for names.
func keyed(b Block) []Line {
	switch b := b.(type) {
	case Line:
		b.Key = capital(b.Key)
		return []Line{b}
	case Lines:
		return b
	}
	return nil
}

// page is a table as pages show it: without columns that no row fills.
type page struct {
	Caption string
	Header  []string
	Figures []bool // columns of figures
	Rows    [][]string
}

func (t Table) page() page {
	out := page{Caption: t.Caption, Rows: make([][]string, len(t.Rows)-1)}
	for c, header := range t.Rows[0] {
		if !slices.ContainsFunc(t.Rows[1:], func(row []string) bool { return row[c] != "" }) {
			continue
		}
		out.Header = append(out.Header, header)
		out.Figures = append(out.Figures, !slices.Contains(t.Text, c) && !(t.Long && c == 0))
		for i, row := range t.Rows[1:] {
			out.Rows[i] = append(out.Rows[i], row[c])
		}
	}
	return out
}

// capital starts a key with a capital, as pages do. Names of files stay.
func capital(key string) string {
	if key == "" || strings.Contains(key, ".") {
		return key
	}
	letter, size := utf8.DecodeRuneInString(key)
	return string(unicode.ToUpper(letter)) + key[size:]
}
