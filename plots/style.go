package plots

import (
	"image/color"
	"sort"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/plots/canvas"
)

// Picture is a drawing that can be written in several formats.
type Picture = canvas.Picture

// Formats are the formats that a Picture can be written in.
var Formats = canvas.Formats

// NewPicture is a picture of a size in pixels that paint draws, from its lower
// left corner and with one point of the drawing library to a pixel. paint may
// be called several times and must draw the same each time. It can draw any plot of
// gonum.org/v1/plot.
func NewPicture(title, alt string, width, height int, paint func(draw.Canvas)) *Picture {
	p := canvas.New(title, alt, width, height, paint)
	p.Dark = onDark
	return p
}

// The colors of everything that is not data.
var (
	ink    = color.RGBA{0x1a, 0x1a, 0x1a, 255}
	gray   = color.RGBA{0x55, 0x55, 0x55, 255}
	paper  = color.RGBA{255, 255, 255, 255}
	unread = color.RGBA{0xee, 0xee, 0xee, 255} // the part of a surface without readings

	targetColor = color.RGBA{0xd6, 0xd9, 0xdd, 255} // of a target
)

// style is a text style of the pictures: one sans-serif typeface in two weights.
// Sizes are in pixels.
func style(size float64, bold bool, c color.Color, x text.XAlignment, y text.YAlignment) text.Style {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Length(size)}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return text.Style{Color: c, Font: f, XAlign: x, YAlign: y, Handler: plot.DefaultTextHandler}
}

// face is the font face of a style.
func face(s text.Style) font.Face { return s.Handler.Cache().Lookup(s.Font, s.Font.Size) }

// textWidth is the width of a text in a style.
func textWidth(s text.Style, str string) vg.Length {
	f := face(s)
	return f.Width(str)
}

// drawWithHalo draws a text with an outline. Canvases of the plot library that
// cannot outline draw the text alone.
func drawWithHalo(c draw.Canvas, s text.Style, pt vg.Point, str string, outline color.Color, width vg.Length) {
	f := face(s)
	ext := f.Extents()
	pt.X += vg.Length(s.XAlign) * f.Width(str)
	// The middle of a line of digits is half their height above the baseline.
	switch s.YAlign {
	case draw.YCenter:
		pt.Y -= 0.36 * s.Font.Size
	case draw.YTop:
		pt.Y -= ext.Ascent
	case draw.YBottom:
		pt.Y += ext.Descent
	}
	canvas.FillOutlined(c, f, pt, str, s.Color, outline, width)
}

// placeText draws a text with a halo about the first center where there is space for half its
// size, if there is, and takes that.
func placeText(c draw.Canvas, space *canvas.FreeSpace, s text.Style, str string, half vg.Point, halo vg.Length, centers ...vg.Point) {
	if at, free := space.Find(half, centers...); free {
		space.Take(canvas.Around(at, half.X, half.Y))
		drawWithHalo(c, s, at, str, paper, halo)
	}
}

// cleanText makes one line of a text, of valid and visible characters.
func cleanText(text string) string { return canvas.OneLine(text) }

// shorten cuts a text to a number of characters, the last one an ellipsis.
func shorten(str string, characters int) string {
	runes := []rune(cleanText(str))
	if len(runes) <= characters {
		return string(runes)
	}
	return strings.TrimRight(string(runes[:characters-1]), " ") + "…"
}

// fit cuts a text to a width, the last character an ellipsis.
func fit(s text.Style, str string, width vg.Length) string {
	f := face(s)
	if f.Width(str) <= width {
		return str
	}
	runes := []rune(str)
	cut := func(characters int) string { return strings.TrimRight(string(runes[:characters]), " ") + "…" }
	return cut(max(0, sort.Search(len(runes), func(n int) bool { return f.Width(cut(n)) > width })-1))
}

// wrap breaks a text into lines of at most a width, at spaces but not behind a number,
// which stays with its unit.
func wrap(s text.Style, str string, width vg.Length) []string {
	f := face(s)
	var lines, words []string
	for _, word := range strings.FieldsFunc(str, func(r rune) bool { return r == ' ' }) { // others do not break
		if last := len(words) - 1; last >= 0 && len(words[last]) < 24 && strings.ContainsAny(words[last][len(words[last])-1:], "0123456789") {
			words[last] += " " + word
			continue
		}
		words = append(words, word)
	}
	line := ""
	for _, word := range words {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if line != "" && f.Width(longer) > width {
			lines = append(lines, line)
			longer = word
		}
		line = longer
	}
	if line != "" {
		lines = append(lines, fit(s, line, width))
	}
	return lines
}

// cutOff is at most so many lines of a text, the last of them … where there are more.
func cutOff(lines []string, most int) []string {
	if len(lines) > most {
		return append(lines[:most-1], "…")
	}
	return lines
}
