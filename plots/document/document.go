// Package document holds a result as blocks: a headline, lines under short keys,
// tables, pictures. It has no words of its own: package answers makes a document
// of each result, and the renderers here lay it out.
package document

import "evenfall/plots"

// Document is a result in words, tables and pictures, in the order in which it is
// read. Its text is plain, in the units of its Words.
type Document struct {
	Words
	Blocks []Block
}

// Block is one thing of a document: Headline, Line, Lines, Table, Picture, Heading
// or Gap.
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

// Table is rows under a row of headers. Columns hold figures but for those that
// Text names, which may be broken between words.
type Table struct {
	Rows [][]string
	Text []int
	// A page with less than MinWidth columns has the blocks of Narrow instead.
	MinWidth int
	Narrow   []Block
	// Long tables keep each column whole: those without room follow beneath, the
	// first column again beside them.
	Long bool
}

// Picture is a map or diagram.
type Picture struct {
	Characters func(plots.TerminalOptions) string // as text for a terminal
}

// Heading stands over what belongs to one of several things.
type Heading string

// Gap is some room between blocks.
type Gap struct{}

func (Headline) block() {}
func (Line) block()     {}
func (Lines) block()    {}
func (Table) block()    {}
func (Picture) block()  {}
func (Heading) block()  {}
func (Gap) block()      {}

// New is a document without blocks.
func New(w Words) *Document { return &Document{Words: w} }

// Add adds blocks at the end.
func (d *Document) Add(blocks ...Block) { d.Blocks = append(d.Blocks, blocks...) }

// Line adds a line. Empty texts are left out, and so is a line without any.
func (d *Document) Line(key string, texts ...string) {
	var kept []string
	for _, text := range texts {
		if text != "" {
			kept = append(kept, text)
		}
	}
	if len(kept) > 0 {
		d.Add(Line{Key: key, Texts: kept})
	}
}

// Gap adds some room.
func (d *Document) Gap() { d.Add(Gap{}) }

// KeyText is one line of an answer: a short key such as brightest, empty where the
// line goes on with the one before, and its text.
type KeyText struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

// Lines is the headline and the lines without tables and pictures, for pages that
// lay them out in their own way. The first key is the headline's word.
func (d *Document) Lines() []KeyText {
	var out []KeyText
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case Headline:
			out = append(out, KeyText{b.Word, b.Text})
		case Line:
			key := b.Key
			for _, text := range b.Texts {
				out = append(out, KeyText{key, text})
				key = ""
			}
		}
	}
	return out
}
