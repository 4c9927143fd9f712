package plots

import (
	"image/color"
	"sync"

	colorful "github.com/lucasb-eyer/go-colorful"
)

// paletteSize is the number of colors of a palette: odd, so that the middle of a
// color map is exactly neutral, and one less than 256, so that a paletted image has
// one more color for what is around the field.
const paletteSize = 255

// Palette is the colors of one kind of map, from its Min to its Max. It
// implements gonum.org/v1/plot/palette.Palette.
//
// All palettes are built in CIELAB (CIE 15, D65 white) so that equal steps of
// value are equal steps of lightness L*. Levels run from dark blue to pale
// yellow, L* 15 to 93: a step that the eye, a gray copy and a color-blind
// reader all see. Mired runs from blue (cool) through a neutral light gray to
// orange (warm), Duv from magenta to green, both L* 52 at the ends and 95 in
// the middle; their sides differ in the blue–yellow direction, which the
// common kinds of color blindness keep.
type Palette struct {
	entries [paletteSize]color.RGBA
}

// Colors are the entries from Min to Max.
func (p *Palette) Colors() []color.Color {
	colors := make([]color.Color, paletteSize)
	for i, c := range p.entries {
		colors[i] = c
	}
	return colors
}

// At is the color at a fraction of the way from Min to Max; fractions outside
// 0 to 1 take the nearer end.
func (p *Palette) At(fraction float64) color.RGBA { return p.entries[paletteIndex(fraction)] }

// paletteIndex is the index of the color at a fraction of the way from Min to Max.
func paletteIndex(fraction float64) int {
	if !(fraction > 0) {
		return 0
	}
	return min(int(fraction*(paletteSize-1)+0.5), paletteSize-1)
}

// PaletteOf is the palette of a kind of map. It is built once, when first
// asked for.
func PaletteOf(kind Kind) *Palette { return palettes[kind]() }

var palettes = [...]func() *Palette{
	Level: sync.OnceValue(func() *Palette {
		return build(func(t float64) (hue, chroma, lightness float64) {
			return 278 - 180*t, 20 + 14*t*t, 15 + 78*t
		})
	}),
	Mired: sync.OnceValue(func() *Palette { return diverging(276, 50, 62, 60) }),
	Duv:   sync.OnceValue(func() *Palette { return diverging(328, 58, 146, 50) }),
}

// diverging runs between two hues (degrees) and chromas through a neutral
// light gray.
func diverging(low, lowChroma, high, highChroma float64) *Palette {
	return build(func(t float64) (hue, chroma, lightness float64) {
		side := 2*t - 1
		if side > 0 {
			return high, highChroma * side, 95 - 43*side
		}
		return low, -lowChroma * side, 95 + 43*side
	})
}

// build evaluates a path through CIELAB in hue (degrees), chroma and L*. The
// paths stay inside sRGB, where clipping would bend their lightness.
func build(path func(t float64) (hue, chroma, lightness float64)) *Palette {
	p := new(Palette)
	for i := range p.entries {
		hue, chroma, lightness := path(float64(i) / (paletteSize - 1))
		r, g, b := colorful.Hcl(hue, chroma/100, lightness/100).Clamped().RGB255()
		p.entries[i] = color.RGBA{r, g, b, 255}
	}
	return p
}

// luminance is the relative luminance of an sRGB color, 0 to 1 (IEC 61966-2-1).
func luminance(c color.Color) float64 {
	made, _ := colorful.MakeColor(c)
	_, y, _ := made.Xyz()
	return y
}

// textColorOn is black or white, whichever has more contrast on a background by the
// contrast ratio (L1 + 0.05)/(L2 + 0.05) of WCAG 2; it is never under 4.5.
func textColorOn(background color.Color) color.RGBA {
	y := luminance(background)
	if (1.05)/(y+0.05) > (y+0.05)/0.05 {
		return color.RGBA{255, 255, 255, 255}
	}
	return color.RGBA{0, 0, 0, 255}
}
