package canvas

import (
	"fmt"
	"image"
	"image/color"
	"io"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// pointsPerPixel is the size of a pixel on a PDF page in points: a picture of 1600
// pixels is 28 cm wide and fits a landscape page.
const pointsPerPixel = 0.5

// undated stands for no date, which a PDF has to have.
var undated = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

func (p *Picture) writePDF(w io.Writer) error { return WritePages(w, p) }

// WritePages writes pictures as a document with a page of its own size for each, with the
// parts of the two typefaces that they use. Title and subject are those of the first.
func WritePages(w io.Writer, pages ...*Picture) error {
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: pages[0].pageSize()})
	doc.SetTitle(pages[0].Title, true)
	doc.SetSubject(pages[0].Alt, true)
	doc.SetLang("en")
	// The same picture is the same file, whenever and wherever it is written.
	doc.SetCatalogSort(true)
	doc.SetCreationDate(undated)
	doc.SetModificationDate(undated)
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	doc.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	doc.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	c := &pdf{doc: doc}
	for _, p := range pages {
		doc.AddPageFormat("", p.pageSize())
		c.canvasState = newCanvasState(p, pointsPerPixel)
		if p.draw(draw.New(c)); c.err != nil {
			return c.err
		}
	}
	return doc.Output(w)
}

// pageSize is the size of the picture's page in points.
func (p *Picture) pageSize() fpdf.SizeType {
	return fpdf.SizeType{Wd: pointsPerPixel * float64(p.Width), Ht: pointsPerPixel * float64(p.Height)}
}

// pdf is a canvas of the plot library. The library's own PDF canvas writes fonts
// through files, supports Western letters only, and sets no document title.
type pdf struct {
	canvasState
	doc    *fpdf.Fpdf
	images int
}

// use sets the colors for what is drawn next.
func (c *pdf) use(clr color.Color) {
	n := color.NRGBAModel.Convert(clr).(color.NRGBA)
	r, g, b := int(n.R), int(n.G), int(n.B)
	c.doc.SetFillColor(r, g, b)
	c.doc.SetDrawColor(r, g, b)
	c.doc.SetTextColor(r, g, b)
	c.doc.SetAlpha(float64(n.A)/255, "Normal")
}

func (c *pdf) Fill(path vg.Path) {
	c.use(c.current().color)
	tracePath(path, c.current().m, c.doc)
	c.doc.DrawPath("F")
}

func (c *pdf) Stroke(path vg.Path) {
	s := c.current()
	if s.width <= 0 {
		return
	}
	c.use(s.color)
	c.doc.SetLineWidth(s.m.scale() * float64(s.width))
	c.doc.SetDashPattern(s.dashing())
	tracePath(path, s.m, c.doc)
	c.doc.DrawPath("D")
}

func (c *pdf) FillString(f font.Face, pt vg.Point, str string) {
	c.text(f, pt, str, c.current().color)
}

// fillHalo strokes the text in the color of the outline, then draws it.
func (c *pdf) fillHalo(f font.Face, pt vg.Point, str string, text, outline color.Color, width vg.Length) {
	c.use(outline)
	c.doc.SetDashPattern(nil, 0)
	c.doc.SetLineWidth(2 * c.current().m.scale() * float64(width))
	c.doc.SetLineJoinStyle("round")
	c.doc.RawWriteStr("/Artifact BMC")
	c.doc.SetTextRenderingMode(1)
	c.text(f, pt, str, outline)
	c.doc.SetTextRenderingMode(0)
	c.doc.RawWriteStr("EMC")
	c.doc.SetLineJoinStyle("miter")
	c.text(f, pt, str, text)
}

func (c *pdf) text(f font.Face, pt vg.Point, str string, clr color.Color) {
	str = drawableText(f, str)
	if f.Font.Size == 0 || str == "" {
		return
	}
	weight := ""
	if f.Font.Weight >= xfont.WeightSemiBold {
		weight = "B"
	}
	m := c.current().m
	c.use(clr)
	c.doc.SetFont("sans", weight, m.scale()*float64(f.Font.Size))
	x, y := m.apply(pt)
	angle := m.angle()
	if angle != 0 {
		c.doc.TransformBegin()
		c.doc.TransformRotate(-angle, x, y)
	}
	c.doc.Text(x, y, str)
	if angle != 0 {
		c.doc.TransformEnd()
	}
}

func (c *pdf) DrawImage(rect vg.Rectangle, img image.Image) {
	data, x, y, width, height := c.encoded(rect, img)
	c.images++
	name := fmt.Sprintf("field-%d", c.images)
	options := fpdf.ImageOptions{ImageType: "png"}
	c.doc.RegisterImageOptionsReader(name, options, data)
	c.use(color.Black)
	c.doc.ImageOptions(name, x, y, width, height, false, options, 0, "")
}
