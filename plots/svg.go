package plots

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strconv"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// typefaces has the face that the pictures are laid out with and faces of the
// same widths before whatever a reader has.
const typefaces = "Liberation Sans, Arimo, Arial, Helvetica, sans-serif"

// writeSVG writes the picture as one svg element (SVG 1.1, with paint-order of
// SVG 2) that stands alone as well as inside a page: no prolog, ids with the
// picture's prefix, no style sheet. Texts are text.
func (p *Picture) writeSVG(w io.Writer) error {
	c := &svg{pens: newPens(affine{1, 0, 0, -1, 0, float64(p.Height)}), size: vg.Point{X: vg.Length(p.Width), Y: vg.Length(p.Height)}}
	id := attribute(p.prefix())
	fmt.Fprintf(&c.buf, `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="%d" height="%d" viewBox="0 0 %d %d" font-family="%s" role="img" aria-labelledby="%s-title %s-desc">`+"\n",
		p.Width, p.Height, p.Width, p.Height, typefaces, id, id)
	fmt.Fprintf(&c.buf, "<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n", id, attribute(p.Title), id, attribute(p.Alt))
	c.buf.WriteString("<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n")
	p.draw(draw.New(c))
	c.buf.WriteString("</svg>\n")
	if c.err != nil {
		return c.err
	}
	_, err := w.Write(c.buf.Bytes())
	return err
}

// attribute escapes a text for content and attributes.
func attribute(text string) string {
	text = strings.Map(func(r rune) rune {
		if turns(r) {
			return -1
		}
		return r
	}, text)
	var b bytes.Buffer
	xml.EscapeText(&b, []byte(text)) // a buffer does not fail
	return b.String()
}

// svg is a canvas of the plot library. The library's own has no outlined
// text, no title and no way to add either.
type svg struct {
	pens
	buf  bytes.Buffer
	size vg.Point
	err  error
}

func (c *svg) Size() (w, h vg.Length) { return c.size.X, c.size.Y }

// number prints a coordinate to a hundredth of a pixel.
func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64)
}

// paint is the color of a fill or stroke as attributes.
func paint(name string, c color.Color) string {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	text := fmt.Sprintf(` %s="#%02x%02x%02x"`, name, n.R, n.G, n.B)
	if n.A != 255 {
		text += fmt.Sprintf(` %s-opacity="%s"`, name, number(float64(n.A)/255))
	}
	return text
}

// pathData gathers the d attribute of a path.
type pathData struct{ bytes.Buffer }

func (d *pathData) put(letter byte, values ...float64) {
	d.WriteByte(letter)
	for i, v := range values {
		if i > 0 {
			d.WriteByte(' ')
		}
		d.WriteString(number(v))
	}
}

func (d *pathData) move(x, y float64) { d.put('M', x, y) }
func (d *pathData) line(x, y float64) { d.put('L', x, y) }
func (d *pathData) shut()             { d.WriteByte('Z') }
func (d *pathData) cube(x1, y1, x2, y2, x, y float64) {
	d.put('C', x1, y1, x2, y2, x, y)
}

func (c *svg) data(path vg.Path) string {
	var d pathData
	trace(path, c.now().m, &d)
	return d.String()
}

func (c *svg) Fill(path vg.Path) {
	fmt.Fprintf(&c.buf, "<path d=\"%s\"%s/>\n", c.data(path), paint("fill", c.now().color))
}

func (c *svg) Stroke(path vg.Path) {
	s := c.now()
	if s.width <= 0 {
		return
	}
	k := s.m.scale()
	fmt.Fprintf(&c.buf, `<path d="%s" fill="none"%s stroke-width="%s"`, c.data(path), paint("stroke", s.color), number(k*float64(s.width)))
	if len(s.dashes) > 0 {
		c.buf.WriteString(` stroke-dasharray="`)
		for i, d := range s.dashes {
			if i > 0 {
				c.buf.WriteByte(' ')
			}
			c.buf.WriteString(number(k * float64(d)))
		}
		c.buf.WriteByte('"')
		if s.dashOff != 0 {
			fmt.Fprintf(&c.buf, ` stroke-dashoffset="%s"`, number(k*float64(s.dashOff)))
		}
	}
	c.buf.WriteString("/>\n")
}

func (c *svg) FillString(f font.Face, pt vg.Point, str string) {
	c.text(f, pt, str, paint("fill", c.now().color))
}

func (c *svg) fillHalo(f font.Face, pt vg.Point, str string, text, outline color.Color, width vg.Length) {
	c.text(f, pt, str, paint("fill", text)+paint("stroke", outline)+
		fmt.Sprintf(` stroke-width="%s" stroke-linejoin="round" paint-order="stroke"`, number(2*float64(width))))
}

func (c *svg) text(f font.Face, pt vg.Point, str, attributes string) {
	if f.Font.Size == 0 || str == "" {
		return
	}
	m := c.now().m
	x, y := m.apply(pt)
	fmt.Fprintf(&c.buf, `<text x="%s" y="%s" font-size="%s"`, number(x), number(y), number(m.scale()*float64(f.Font.Size)))
	if f.Font.Weight >= xfont.WeightSemiBold {
		c.buf.WriteString(` font-weight="bold"`)
	}
	if angle := m.angle(); math.Abs(angle) > 1e-6 {
		fmt.Fprintf(&c.buf, ` transform="rotate(%s %s %s)"`, number(angle), number(x), number(y))
	}
	// The length that the layout counts on, for readers with another typeface.
	fmt.Fprintf(&c.buf, " textLength=\"%s\" lengthAdjust=\"spacingAndGlyphs\"%s>%s</text>\n",
		number(m.scale()*float64(f.Width(str))), attributes, attribute(str))
}

func (c *svg) DrawImage(rect vg.Rectangle, img image.Image) {
	var data bytes.Buffer
	if err := png.Encode(&data, img); err != nil {
		c.err = err
		return
	}
	x0, y0 := c.now().m.apply(vg.Point{X: rect.Min.X, Y: rect.Max.Y})
	x1, y1 := c.now().m.apply(vg.Point{X: rect.Max.X, Y: rect.Min.Y})
	address := "data:image/png;base64," + base64.StdEncoding.EncodeToString(data.Bytes())
	fmt.Fprintf(&c.buf, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" xlink:href="%s"/>`+"\n",
		number(x0), number(y0), number(x1-x0), number(y1-y0), address)
}
