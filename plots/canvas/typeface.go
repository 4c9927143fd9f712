package canvas

import (
	"image/color"
	"strings"
	"unicode"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// outliner is a canvas that can draw a text with an outline of another color
// behind it, so that it reads on any background. pt is the left end of the
// baseline.
type outliner interface {
	fillHalo(f font.Face, pt vg.Point, str string, text, outline color.Color, width vg.Length)
}

// FillOutlined draws a text from the left end of its baseline with an outline of a
// width in pixels. Canvases of the plot library that cannot outline draw the text
// alone.
func FillOutlined(c vg.Canvas, f font.Face, pt vg.Point, str string, text, outline color.Color, width vg.Length) {
	if h, ok := innermost(c).(outliner); ok {
		h.fillHalo(f, pt, str, text, outline, width)
		return
	}
	c.SetColor(text)
	c.FillString(f, pt, str)
}

// innermost is the canvas inside the layers that cropping adds.
func innermost(c vg.Canvas) vg.Canvas {
	for {
		layer, ok := c.(draw.Canvas)
		if !ok {
			return c
		}
		c = layer.Canvas
	}
}

// standIns are characters of the typeface for signs of the program's own that it lacks.
var standIns = strings.NewReplacer("◆", "♦")

// drawableText is a text with only the characters that the typeface has. Missing
// letters and digits become a square, so that their absence is visible; missing
// symbols are dropped.
func drawableText(f font.Face, str string) string {
	if !strings.ContainsFunc(str, func(r rune) bool { return r < ' ' || r > '~' }) {
		return str
	}
	return strings.Join(strings.FieldsFunc(strings.Map(func(r rune) rune {
		if index, err := f.Face.GlyphIndex(nil, r); err == nil && index != 0 && r <= 0xffff {
			return r
		}
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return '□'
		}
		return -1
	}, standIns.Replace(str)), func(r rune) bool { return r == ' ' }), " ")
}
