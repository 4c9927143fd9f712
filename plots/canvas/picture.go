// Package canvas writes drawings as PNG, SVG and PDF with a title and a text that says
// what they show.
package canvas

import (
	"fmt"
	"hash/fnv"
	"image/color"
	"io"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
)

// Picture is a drawing that can be written in several formats.
type Picture struct {
	// Title is one line; Alt describes the picture in a few sentences, for those
	// who cannot see it. Both are written in every format.
	Title, Alt string
	// Aside is what stands beside the title: how much is within the tolerance. It may be
	// empty.
	Aside string
	// Width and Height are in pixels. They are the size of a PNG and the
	// coordinates of an SVG; a PDF page takes half as many points.
	Width, Height int
	// ID is the prefix of the ids in an SVG, so that one page can contain several.
	// Empty is one made from Title and Alt.
	ID string
	// Dark is a color on a dark ground by that on a light one, for SVG; nil keeps all.
	Dark func(color.RGBA) color.RGBA

	// Legend explains the symbols of a picture that has no legend in it.
	Legend []string

	draw func(draw.Canvas)
}

// New is a picture of a size in pixels that paint draws, from its lower
// left corner and with one point of the drawing library to a pixel. paint may
// be called several times and must draw the same each time. It can draw any plot of
// gonum.org/v1/plot.
func New(title, alt string, width, height int, paint func(draw.Canvas)) *Picture {
	if width <= 0 || height <= 0 {
		panic("plots: a picture needs a width and a height")
	}
	return &Picture{Title: OneLine(title), Alt: OneLine(alt), Width: width, Height: height, draw: paint}
}

// With is the picture drawn otherwise, such as another page of what the same text describes.
func (p *Picture) With(paint func(draw.Canvas)) *Picture {
	other := *p
	other.draw = paint
	return &other
}

// Formats are the formats that a Picture can be written in.
var Formats = []string{"png", "svg", "pdf"}

// Write writes the picture as png, svg or pdf. A PNG carries the title and the
// text as Title and Description, an SVG as title and desc elements, a PDF as
// the document's title and subject. The error is the writer's, or says that
// the format is unknown.
func (p *Picture) Write(w io.Writer, format string) error {
	write := map[string]func(io.Writer) error{"png": p.writePNG, "svg": p.writeSVG, "pdf": p.writePDF}[strings.ToLower(format)]
	if write != nil {
		return write(w)
	}
	return fmt.Errorf("plots: unknown picture format %q, expected %s", format, strings.Join(Formats, ", "))
}

// Embed draws the picture into another, its lower left corner at a place and so many
// times as large.
func (p *Picture) Embed(c draw.Canvas, at vg.Point, scale float64) {
	c.Push()
	c.Translate(at)
	c.Scale(scale, scale)
	p.draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{Max: vg.Point{X: vg.Length(p.Width), Y: vg.Length(p.Height)}}})
	c.Pop()
}

// prefix is the picture's ID, or one made from its title and text.
func (p *Picture) prefix() string {
	if p.ID != "" {
		return p.ID
	}
	h := fnv.New32a()
	io.WriteString(h, p.Title+"\x00"+p.Alt)
	return fmt.Sprintf("map-%08x", h.Sum32())
}

// OneLine makes one line of a text: valid UTF-8 without control characters,
// including those that change the writing direction.
func OneLine(text string) string {
	text = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, text)
	return strings.Join(strings.Fields(photometry.Visible(text)), " ")
}
