package canvas

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
)

// typefaces are the typeface of the layout and others with the same widths, then any
// sans-serif.
const typefaces = "Liberation Sans, Arimo, Arial, Helvetica, sans-serif"

// writeSVG writes the picture as one svg element (SVG 1.1, with paint-order of
// SVG 2) that is valid alone and inside a page: no prolog, ids with the picture's
// prefix. Text stays text. Colors are those on a light ground; where a screen asks for
// dark ones a style sheet exchanges them, which renderers without style sheets pass over.
func (p *Picture) writeSVG(w io.Writer) error {
	c := p.svgCanvas()
	id := attribute(p.prefix())
	fmt.Fprintf(&c.buf, `<svg id="%s" xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%d" height="%d" viewBox="0 0 %d %d" font-family="%s" role="img" aria-labelledby="%s-title %s-desc">`+"\n",
		id, p.Width, p.Height, p.Width, p.Height, typefaces, id, id)
	fmt.Fprintf(&c.buf, "<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n", id, attribute(p.Title), id, attribute(p.Alt))
	fmt.Fprintf(&c.buf, "<rect width=\"100%%\" height=\"100%%\"%s/>\n", c.paint("fill", color.White))
	p.draw(draw.New(c))
	c.writeDark(id)
	c.buf.WriteString("</svg>\n")
	if c.err != nil {
		return c.err
	}
	_, err := w.Write(c.buf.Bytes())
	return err
}

func (p *Picture) svgCanvas() *svg {
	return &svg{
		canvasState: newCanvasState(p, 1), dark: p.Dark, colors: map[string]bool{}, undrawable: map[string]bool{},
	}
}

// Undrawable lists the words of the picture with letters that a PNG and a PDF draw as
// empty squares, since their typeface lacks them; an SVG keeps them.
func (p *Picture) Undrawable() []string {
	c := p.svgCanvas()
	p.draw(draw.New(c))
	return slices.Sorted(maps.Keys(c.undrawable))
}

// attribute escapes a text for content and attributes.
func attribute(text string) string {
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(photometry.Visible(text))) // a buffer does not fail
	return b.String()
}

// svg is a canvas of the plot library. The library's own SVG canvas has no outlined
// text and no title, and neither can be added.
type svg struct {
	canvasState
	buf    bytes.Buffer
	dark   func(color.RGBA) color.RGBA
	colors map[string]bool // rules of the dark style sheet
	// undrawable are the words with letters that the typeface lacks.
	undrawable map[string]bool
}

// formatCoordinate prints a coordinate to a hundredth of a pixel.
func formatCoordinate(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64)
}

// paint is the color of a fill or stroke as attributes.
func (c *svg) paint(name string, clr color.Color) string {
	n := color.NRGBAModel.Convert(clr).(color.NRGBA)
	if c.dark != nil {
		dark := c.dark(color.RGBA{n.R, n.G, n.B, 255})
		c.colors[fmt.Sprintf(`[%s="#%02x%02x%02x"]{%s:#%02x%02x%02x}`, name, n.R, n.G, n.B, name, dark.R, dark.G, dark.B)] = true
	}
	text := fmt.Sprintf(` %s="#%02x%02x%02x"`, name, n.R, n.G, n.B)
	if n.A != 255 {
		text += fmt.Sprintf(` %s-opacity="%s"`, name, formatCoordinate(float64(n.A)/255))
	}
	return text
}

// writeDark writes the style sheet of the colors on a dark ground.
func (c *svg) writeDark(id string) {
	c.buf.WriteString("<style>@media screen and (prefers-color-scheme:dark){")
	for _, rule := range slices.Sorted(maps.Keys(c.colors)) {
		fmt.Fprintf(&c.buf, "#%s %s", id, rule)
	}
	c.buf.WriteString("}</style>\n")
}

// pathData gathers the d attribute of a path.
type pathData struct{ bytes.Buffer }

func (d *pathData) put(letter string, values ...float64) {
	d.WriteString(letter)
	for i, v := range values {
		if i > 0 {
			d.WriteByte(' ')
		}
		d.WriteString(formatCoordinate(v))
	}
}

func (d *pathData) MoveTo(x, y float64) { d.put("M", x, y) }
func (d *pathData) LineTo(x, y float64) { d.put("L", x, y) }
func (d *pathData) ClosePath()          { d.put("Z") }
func (d *pathData) CurveBezierCubicTo(x1, y1, x2, y2, x, y float64) {
	d.put("C", x1, y1, x2, y2, x, y)
}

func (c *svg) data(path vg.Path) string {
	var d pathData
	tracePath(path, c.current().m, &d)
	return d.String()
}

func (c *svg) Fill(path vg.Path) {
	fmt.Fprintf(&c.buf, "<path d=\"%s\"%s/>\n", c.data(path), c.paint("fill", c.current().color))
}

func (c *svg) Stroke(path vg.Path) {
	s := c.current()
	if s.width <= 0 {
		return
	}
	fmt.Fprintf(&c.buf, `<path d="%s" fill="none"%s stroke-width="%s"`, c.data(path), c.paint("stroke", s.color), formatCoordinate(s.m.scale()*float64(s.width)))
	if dashes, offset := s.dashing(); len(dashes) > 0 {
		var d pathData
		d.put("", dashes...)
		fmt.Fprintf(&c.buf, ` stroke-dasharray="%s"`, &d)
		if offset != 0 {
			fmt.Fprintf(&c.buf, ` stroke-dashoffset="%s"`, formatCoordinate(offset))
		}
	}
	c.buf.WriteString("/>\n")
}

func (c *svg) FillString(f font.Face, pt vg.Point, str string) {
	c.text(f, pt, str, c.paint("fill", c.current().color))
}

func (c *svg) fillHalo(f font.Face, pt vg.Point, str string, text, outline color.Color, width vg.Length) {
	c.text(f, pt, str, c.paint("fill", text)+c.paint("stroke", outline)+
		fmt.Sprintf(` stroke-width="%s" stroke-linejoin="round" paint-order="stroke"`, formatCoordinate(2*float64(width))))
}

func (c *svg) text(f font.Face, pt vg.Point, str, attributes string) {
	if f.Font.Size == 0 || str == "" {
		return
	}
	for _, word := range strings.Fields(str) {
		word = strings.TrimFunc(word, unicode.IsPunct)
		if strings.ContainsRune(drawableText(f, word), '□') {
			c.undrawable[word] = true
		}
	}
	m := c.current().m
	x, y := m.apply(pt)
	fmt.Fprintf(&c.buf, `<text x="%s" y="%s" font-size="%s"`, formatCoordinate(x), formatCoordinate(y), formatCoordinate(m.scale()*float64(f.Font.Size)))
	if f.Font.Weight >= xfont.WeightSemiBold {
		c.buf.WriteString(` font-weight="bold"`)
	}
	if angle := m.angle(); math.Abs(angle) > 1e-6 {
		fmt.Fprintf(&c.buf, ` transform="rotate(%s %s %s)"`, formatCoordinate(angle), formatCoordinate(x), formatCoordinate(y))
	}
	// The width in the layout, for viewers with another typeface.
	fmt.Fprintf(&c.buf, " textLength=\"%s\" lengthAdjust=\"spacingAndGlyphs\"%s>%s</text>\n",
		formatCoordinate(m.scale()*float64(f.Width(str))), attributes, attribute(str))
}

func (c *svg) DrawImage(rect vg.Rectangle, img image.Image) {
	data, x, y, width, height := c.encoded(rect, img)
	fmt.Fprintf(&c.buf, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" xlink:href="data:image/png;base64,%s"/>`+"\n",
		formatCoordinate(x), formatCoordinate(y), formatCoordinate(width), formatCoordinate(height), base64.StdEncoding.EncodeToString(data.Bytes()))
}
