package plots

import (
	"cmp"
	"image/color"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
)

// Paper is pages on which text and pictures are set at places counted from the upper
// left corner, in pixels of which a PDF has two to a point: type of 16 is printed at 8 pt.
type Paper struct {
	Width, Height float64
	pages         [][]func(draw.Canvas)
	at            int      // the page that is set
	said          []string // all texts, and what the pictures show
}

// NewPaper is one empty page of A4 (ISO 216), or of Letter (ANSI/ASME Y14.1, size A).
func NewPaper(letter bool) *Paper {
	p := &Paper{Width: 1191, Height: 1684} // 210 × 297 mm
	if letter {
		p.Width, p.Height = 1224, 1584 // 8.5 × 11 in
	}
	p.Turn()
	return p
}

// Turn begins a further page.
func (p *Paper) Turn() { p.pages, p.at = append(p.pages, nil), len(p.pages) }

// Go goes on with a page.
func (p *Paper) Go(page int) { p.at = page }

// Keep sets what belongs together from y on, and on a further page from its top where it
// would not end above bottom. It returns where the next begins.
func (p *Paper) Keep(y, top, bottom float64, set func(y float64) (below float64)) float64 {
	drawn, said := len(p.pages[p.at]), len(p.said)
	below := set(y)
	if below <= bottom || y == top {
		return below
	}
	p.pages[p.at], p.said = p.pages[p.at][:drawn], p.said[:said]
	p.Turn()
	return set(top)
}

// Pages is how many pages there are.
func (p *Paper) Pages() int { return len(p.pages) }

// Type is how a text is set.
type Type struct {
	Size       float64
	Bold, Soft bool // soft is gray
	Color      color.Color
	Lines      int // at most, 0 for as many as it takes
}

// add adds what is drawn on the page.
func (p *Paper) add(paint func(draw.Canvas)) { p.pages[p.at] = append(p.pages[p.at], paint) }

// Text sets a text in lines no wider than a width, and returns where the next begins.
func (p *Paper) Text(x, y, width float64, str string, t Type) (below float64) {
	s := style(t.Size, t.Bold, ink, draw.XLeft, draw.YTop)
	switch {
	case t.Color != nil:
		s.Color = t.Color
	case t.Soft:
		s.Color = gray
	}
	p.said = append(p.said, str)
	lines := wrap(s, photometry.Visible(str), vg.Length(width))
	for _, line := range cutOff(lines, cmp.Or(t.Lines, len(lines))) {
		top := vg.Length(p.Height - y)
		p.add(func(c draw.Canvas) { drawWithHalo(c, s, vg.Point{X: vg.Length(x), Y: top}, line, paper, 0) })
		y += 1.12 * t.Size
	}
	return y
}

// TextHeight is how high a text is in lines no wider than a width, at least one line.
func (p *Paper) TextHeight(width float64, str string, t Type) float64 {
	lines := wrap(style(t.Size, t.Bold, ink, 0, 0), photometry.Visible(str), vg.Length(width))
	return 1.12 * t.Size * float64(max(1, len(lines)))
}

// TextWidth is how wide a text is on one line.
func (p *Paper) TextWidth(str string, t Type) float64 {
	return float64(textWidth(style(t.Size, t.Bold, ink, 0, 0), photometry.Visible(str)))
}

// Line draws a line through points.
func (p *Paper) Line(width float64, points ...[2]float64) {
	var at []vg.Point
	for _, q := range points {
		at = append(at, vg.Point{X: vg.Length(q[0]), Y: vg.Length(p.Height - q[1])})
	}
	p.add(func(c draw.Canvas) { c.StrokeLines(draw.LineStyle{Color: ink, Width: vg.Length(width)}, at) })
}

// Box draws the outline of a rectangle, filled where it is solid.
func (p *Paper) Box(x, y, width, height, line float64, solid bool) {
	r := vg.Rectangle{Min: vg.Point{X: vg.Length(x), Y: vg.Length(p.Height - y - height)}, Max: vg.Point{X: vg.Length(x + width), Y: vg.Length(p.Height - y)}}
	p.add(func(c draw.Canvas) {
		if solid {
			fill(c, r.Path(), ink)
		}
		c.StrokeLines(draw.LineStyle{Color: ink, Width: vg.Length(line)}, closedOutline(r))
	})
}

// Picture draws a picture to a width, and returns where the next begins.
func (p *Paper) Picture(x, y, width float64, picture *Picture) (below float64) {
	k := width / float64(picture.Width)
	below = y + k*float64(picture.Height)
	at := vg.Point{X: vg.Length(x), Y: vg.Length(p.Height - below)}
	p.add(func(c draw.Canvas) { picture.Embed(c, at, k) })
	p.said = append(p.said, picture.Alt)
	return below
}

// Finish makes a picture of each page, or with joined one of all pages, one below the
// other, as formats without pages have it. Its text alternative is all that is on them.
func (p *Paper) Finish(title string, joined bool) (out []*Picture) {
	alt := strings.Join(p.said, " ")
	paint := func(c draw.Canvas, page int) {
		for _, paint := range p.pages[page] {
			paint(c)
		}
	}
	n := len(p.pages)
	if joined {
		return []*Picture{NewPicture(title, alt, int(p.Width), n*int(p.Height), func(c draw.Canvas) {
			for page := range n {
				c.Push()
				c.Translate(vg.Point{Y: vg.Length(float64(n-1-page) * p.Height)})
				paint(c, page)
				c.Pop()
			}
		})}
	}
	whole := NewPicture(title, alt, int(p.Width), int(p.Height), nil)
	for page := range n {
		out = append(out, whole.With(func(c draw.Canvas) { paint(c, page) }))
	}
	return out
}
