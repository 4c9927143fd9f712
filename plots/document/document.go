// Package document holds a result as blocks: a headline, lines under short keys,
// tables, pictures. It has no words of its own: package answers makes a document
// of each result, and the renderers here lay it out as terminal text, as a page of
// HTML or as Markdown.
//
// A caller may rely on a terminal's lines being no wider than it is where they can be
// broken between words, and on text never being markup of a page.
package document

import (
	"slices"
	"strings"

	"evenfall/plots"
)

// Document is a result in words, tables and pictures, in the order in which it is
// read. Its text is plain, in the units of its Words.
type Document struct {
	Words
	// Title and Footer begin and end a page; a terminal does without.
	Title, Footer string
	// Front is what stands on the first printed page, with its style: markup, which has
	// the id front. Empty is none.
	Front, FrontStyle string
	Blocks            []Block
}

// Block is one thing of a document: Headline, Line, Lines, Paragraph, List, Table,
// Picture, Photo, Heading or Gap.
type Block interface{ block() }

// Headline is the answer in one sentence, after a word that says how it is.
type Headline struct {
	Word string
	Tone Tone
	Text string
}

// Tone is what a headline's word means. The word says it too: colors only help.
type Tone int

// The tones of a headline.
const (
	Strong Tone = iota // neither good nor bad
	Good
	Bad
	Open // not settled
)

// Line is one or more sentences under a short key such as brightest.
type Line struct {
	Key   string
	Texts []string
	Kind  Kind
}

// Kind is how a line may be laid out.
type Kind int

// The kinds of lines.
const (
	Folded   Kind = iota // broken between words where it is too long
	Verbatim             // to be copied as it is
)

// Lines are lines whose keys are names as somebody typed them: they get the room
// that they need.
type Lines []Line

// Paragraph is text without a key.
type Paragraph string

// List is items, or steps in their order.
type List struct {
	Items   []string
	Ordered bool
}

// Table is rows under a row of headers. Columns hold figures but for those that
// Text names, which may be broken between words. A line feed in a cell starts a new
// line. The first column names the row.
type Table struct {
	Caption string
	Rows    [][]string
	Text    []int
	// A terminal with less than MinWidth columns has the blocks of Narrow instead.
	MinWidth int
	Narrow   []Block
	// Long tables keep each column whole on a terminal: those without room follow
	// beneath, the first column again beside them.
	Long bool
}

// Rows are those of a table: its heads, with | between, and a row for each thing.
func Rows[T any](heads string, all []T, row func(T) []string) [][]string {
	rows := [][]string{strings.Split(heads, "|")}
	for _, one := range all {
		rows = append(rows, row(one))
	}
	return rows
}

// Picture is a map or diagram: as text for a terminal, drawn for a page. Where one
// of the two is nil, it is only for the other.
type Picture struct {
	Name       string // short, for files
	Characters func(plots.TerminalOptions) string
	Draw       func() (*plots.Picture, error)
	// Small draws the same with fewer words, for a phone and a column of print; nil has
	// Draw there too. What OnFront is on the first page is not printed again.
	Small   func() (*plots.Picture, error)
	OnFront bool
}

// Drawn is a picture for a page alone that can be narrow.
func Drawn(name string, draw func(narrow bool) (*plots.Picture, error)) Picture {
	of := func(narrow bool) func() (*plots.Picture, error) {
		return func() (*plots.Picture, error) { return draw(narrow) }
	}
	return Picture{Name: name, Draw: of(false), Small: of(true)}
}

// Photo is a photo for a page. Missing says why it is not shown; empty where it is.
type Photo struct {
	Name    string
	Media   string // type
	Content []byte
	Missing string
}

// Heading stands over what belongs together. Level 1 begins a section of a page and
// level 2 a part of one.
type Heading struct {
	Title string
	Level int
}

// Gap is some room between blocks.
type Gap struct{}

func (Headline) block()  {}
func (Line) block()      {}
func (Lines) block()     {}
func (Paragraph) block() {}
func (List) block()      {}
func (Table) block()     {}
func (Picture) block()   {}
func (Photo) block()     {}
func (Heading) block()   {}
func (Gap) block()       {}

// New is a document without blocks.
func New(w Words) *Document { return &Document{Words: w} }

// Add adds blocks at the end.
func (d *Document) Add(blocks ...Block) { d.Blocks = append(d.Blocks, blocks...) }

// Line adds a line. Empty texts are left out, and so is a line without any.
func (d *Document) Line(key string, texts ...string) {
	if kept := slices.DeleteFunc(slices.Clone(texts), func(text string) bool { return text == "" }); len(kept) > 0 {
		d.Add(Line{Key: key, Texts: kept})
	}
}

// Without takes out the lines of a key.
func (d *Document) Without(key string) {
	d.Blocks = slices.DeleteFunc(d.Blocks, func(b Block) bool {
		l, ok := b.(Line)
		return ok && l.Key == key
	})
}

// Gap adds some room.
func (d *Document) Gap() { d.Add(Gap{}) }

// KeyText is one line of an answer: a short key such as brightest, empty where the
// line goes on with the one before, and its text.
type KeyText struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

// Lines is the headlines and the lines without tables and pictures, for pages that
// lay them out in their own way. A headline's key is its word.
func (d *Document) Lines() []KeyText {
	var out []KeyText
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case Headline:
			out = append(out, KeyText{b.Word, onPage(b.Text)})
		case Line:
			key := b.Key
			for _, text := range b.Texts {
				out = append(out, KeyText{key, onPage(text)})
				key = ""
			}
		}
	}
	return out
}
