package plots

import (
	"fmt"
	"hash/fnv"
	"io"
	"strings"

	"gonum.org/v1/plot/vg/draw"
)

// Picture is a drawing that has not yet chosen its format.
type Picture struct {
	// Title is one line; Alt says in a few sentences what the picture shows, for
	// those who cannot see it. Both go into every format.
	Title, Alt string
	// Width and Height are in pixels. They are the size of a PNG and the
	// coordinates of an SVG; a PDF page takes half as many points.
	Width, Height int
	// ID is the prefix of the ids in an SVG, so that several can stand in one
	// page. Empty takes one made from the title and the text.
	ID string

	draw func(draw.Canvas)
}

// NewPicture is a picture of a size in pixels that paint draws, from its lower
// left corner and with one point of the drawing library to a pixel. paint may
// be called several times and draws the same each time. Any plot of
// gonum.org/v1/plot can be drawn so.
func NewPicture(title, alt string, width, height int, paint func(draw.Canvas)) *Picture {
	if width <= 0 || height <= 0 {
		panic("plots: a picture needs a width and a height")
	}
	return &Picture{Title: tidy(title), Alt: tidy(alt), Width: width, Height: height, draw: paint}
}

// Formats are the formats that a Picture can be written in.
var Formats = []string{"png", "svg", "pdf"}

// Write writes the picture as png, svg or pdf. A PNG carries the title and the
// text as Title and Description, an SVG as title and desc elements, a PDF as
// the document's title and subject. The error is the writer's, or says that
// the format is unknown.
func (p *Picture) Write(w io.Writer, format string) error {
	switch strings.ToLower(format) {
	case "png":
		return p.writePNG(w)
	case "svg":
		return p.writeSVG(w)
	case "pdf":
		return p.writePDF(w)
	}
	return fmt.Errorf("plots: unknown picture format %q, expected %s", format, strings.Join(Formats, ", "))
}

// prefix is the picture's ID, or one made from its words.
func (p *Picture) prefix() string {
	if p.ID != "" {
		return p.ID
	}
	h := fnv.New32a()
	io.WriteString(h, p.Title+"\x00"+p.Alt)
	return fmt.Sprintf("map-%08x", h.Sum32())
}

// tidy makes one line of a text: valid UTF-8 without control characters and
// without those that turn the direction of what follows.
func tidy(text string) string {
	text = strings.ToValidUTF8(text, "\uFFFD")
	text = strings.Map(func(r rune) rune {
		switch {
		case r < ' ' || r == 0x7f:
			return ' '
		case turns(r):
			return -1
		}
		return r
	}, text)
	return strings.Join(strings.Fields(text), " ")
}

// turns tells whether a character, itself unseen, changes the direction in which
// all that follows is read (Unicode Standard Annex 9, explicit formatting).
func turns(r rune) bool { return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 }
