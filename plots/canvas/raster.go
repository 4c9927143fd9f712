package canvas

import (
	"image"
	"image/color"
	stddraw "image/draw"
	"math"
	"slices"

	"git.sr.ht/~sbinet/gg"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// raster is the plot library's image canvas at one pixel per point, with faster
// text (the library resamples each glyph), images that are copied where they
// already have the right number of pixels, and text with a halo.
type raster struct {
	*vgimg.Canvas
	img    *image.RGBA
	height int
	states []rasterState
	faces  map[font.Font]xfont.Face
	mask   *image.Alpha
}

// rasterState is what Push saves beside the library's own.
type rasterState struct {
	color  color.Color
	turned bool // the axes are no more those of the image
}

func newRaster(width, height int) *raster {
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	ctx := gg.NewContextForRGBA(img) // no copy of the image
	ctx.SetLineCapButt()
	ctx.InvertY()
	return &raster{
		Canvas: vgimg.NewWith(vgimg.UseDPI(72), vgimg.UseImageWithContext(img, ctx)),
		img:    img, height: height,
		states: []rasterState{{color: color.Black}},
		faces:  make(map[font.Font]xfont.Face),
		mask:   new(image.Alpha),
	}
}

func (r *raster) current() *rasterState { return &r.states[len(r.states)-1] }

func (r *raster) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	r.current().color = c
	r.Canvas.SetColor(c)
}

func (r *raster) Push() {
	r.states = append(r.states, *r.current())
	r.Canvas.Push()
}

func (r *raster) Pop() {
	r.states = r.states[:len(r.states)-1]
	r.Canvas.Pop()
}

func (r *raster) Rotate(rad float64) {
	r.current().turned = true
	r.Canvas.Rotate(rad)
}

func (r *raster) Translate(pt vg.Point) {
	r.current().turned = true
	r.Canvas.Translate(pt)
}

func (r *raster) Scale(x, y float64) {
	r.current().turned = true
	r.Canvas.Scale(x, y)
}

// face is the rasterizer of a font, made once.
func (r *raster) face(f font.Face) xfont.Face {
	made, ok := r.faces[f.Font]
	if !ok {
		made = f.FontFace(r.DPI())
		r.faces[f.Font] = made
	}
	return made
}

// FillString draws a text from the left end of its baseline.
func (r *raster) FillString(f font.Face, pt vg.Point, str string) {
	str = drawableText(f, str)
	if f.Font.Size == 0 || str == "" {
		return
	}
	if r.current().turned {
		r.Canvas.FillString(f, pt, str)
		return
	}
	d := xfont.Drawer{Dst: r.img, Src: image.NewUniform(r.current().color), Face: r.face(f), Dot: r.dot(pt)}
	d.DrawString(str)
}

// dot is a position on the image in 1/64 pixel, from the top.
func (r *raster) dot(pt vg.Point) fixed.Point26_6 {
	return fixed.Point26_6{
		X: fixed.Int26_6(math.Round(float64(pt.X) * 64)),
		Y: fixed.Int26_6(math.Round((float64(r.height) - float64(pt.Y)) * 64)),
	}
}

// fillHalo draws a text once into a mask, stamps that around a circle in the
// color of the outline, and once in its own color.
func (r *raster) fillHalo(f font.Face, pt vg.Point, str string, text, outline color.Color, width vg.Length) {
	str = drawableText(f, str)
	if f.Font.Size == 0 || str == "" {
		return
	}
	drawn, dot := r.face(f), r.dot(pt)
	box, _ := xfont.BoundString(drawn, str)
	bounds := image.Rect(box.Min.X.Floor()-1, box.Min.Y.Floor()-1, box.Max.X.Ceil()+2, box.Max.Y.Ceil()+2)
	if need := bounds.Dx() * bounds.Dy(); need > cap(r.mask.Pix) {
		r.mask.Pix = make([]uint8, need)
	}
	r.mask.Pix = r.mask.Pix[:bounds.Dx()*bounds.Dy()]
	clear(r.mask.Pix)
	r.mask.Stride, r.mask.Rect = bounds.Dx(), bounds
	part := fixed.Point26_6{X: dot.X & 63, Y: dot.Y & 63}
	d := xfont.Drawer{Dst: r.mask, Src: image.Opaque, Face: drawn, Dot: part}
	d.DrawString(str)

	at := bounds.Add(image.Pt(dot.X.Floor(), dot.Y.Floor()))
	stamp := func(dx, dy int, c color.Color) {
		stddraw.DrawMask(r.img, at.Add(image.Pt(dx, dy)), image.NewUniform(c), image.Point{}, r.mask, bounds.Min, stddraw.Over)
	}
	// Two circles of copies leave no gap: strokes are wider than a pixel.
	for _, circle := range [2]struct {
		radius float64
		stamps int
	}{{float64(width), 12}, {float64(width) / 2, 4}} {
		for i := range circle.stamps {
			if width <= 0 {
				break
			}
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(circle.stamps))
			stamp(int(math.Round(circle.radius*cos)), int(math.Round(circle.radius*sin)), outline)
		}
	}
	stamp(0, 0, text)
}

// Stroke draws the segments of a path one by one: the rasterizer's work in a row of
// pixels grows with the square of the segments that cross it.
func (r *raster) Stroke(path vg.Path) {
	for len(path) > 0 {
		n := 1
		for n < len(path) && path[n].Type != vg.MoveComp {
			n++
		}
		r.Canvas.Stroke(path[:n])
		path = path[n:]
	}
}

// Fill fills a path. Rectangles along the axes, which surfaces and backgrounds
// are, take whole pixels without going through the rasterizer.
func (r *raster) Fill(path vg.Path) {
	rect, ok := rectangle(path)
	c := r.current().color
	if _, _, _, alpha := c.RGBA(); !ok || alpha != 0xffff || r.current().turned {
		r.Canvas.Fill(path)
		return
	}
	stddraw.Draw(r.img, Pixels(rect, r.height), image.NewUniform(c), image.Point{}, stddraw.Src)
}

// rectangle reports whether a path is one axis-aligned rectangle.
func rectangle(path vg.Path) (rect vg.Rectangle, ok bool) {
	if len(path) != 5 || path[0].Type != vg.MoveComp || path[4].Type != vg.CloseComp {
		return rect, false
	}
	if slices.ContainsFunc(path[1:4], func(p vg.PathComp) bool { return p.Type != vg.LineComp }) {
		return rect, false
	}
	a, b, c, d := path[0].Pos, path[1].Pos, path[2].Pos, path[3].Pos
	across := b == vg.Point{X: c.X, Y: a.Y} && d == vg.Point{X: a.X, Y: c.Y}
	upright := b == vg.Point{X: a.X, Y: c.Y} && d == vg.Point{X: c.X, Y: a.Y}
	if !across && !upright || a.X == c.X || a.Y == c.Y {
		return rect, false
	}
	return vg.Rectangle{
		Min: vg.Point{X: min(a.X, c.X), Y: min(a.Y, c.Y)},
		Max: vg.Point{X: max(a.X, c.X), Y: max(a.Y, c.Y)},
	}, true
}

// DrawImage copies an image with one pixel per pixel of the canvas; the library
// draws others.
func (r *raster) DrawImage(rect vg.Rectangle, img image.Image) {
	target := Pixels(rect, r.height)
	if r.current().turned || target.Size() != img.Bounds().Size() {
		r.Canvas.DrawImage(rect, img)
		return
	}
	stddraw.Draw(r.img, target, img, img.Bounds().Min, stddraw.Over)
}

// Pixels is a rectangle of the canvas rounded to whole pixels, from the top.
func Pixels(rect vg.Rectangle, height int) image.Rectangle {
	round := func(l vg.Length) int { return int(math.Round(float64(l))) }
	return image.Rect(round(rect.Min.X), height-round(rect.Max.Y), round(rect.Max.X), height-round(rect.Min.Y))
}
