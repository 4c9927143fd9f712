package plots

import (
	"image/color"
	"math"

	colorful "github.com/lucasb-eyer/go-colorful"
)

// shades is the number of classes on each side of the window of a map.
const shades = 4

// ramp is the colors of the classes on one side, from the limit outward, on a light
// ground and on a dark one.
type ramp struct{ light, dark [shades]uint32 }

// ramps are the colors under and over the window of each kind of map. In CIELAB both
// sides have the same lightness, L* 82, 69, 56, 43 on a light ground and 30, 42.5, 55,
// 67.5 on a dark one, where ink is light. Levels are gold over violet, mired orange
// (warm) over blue (cool), Duv green over magenta. Neighbors differ by at least 9 of
// CIEDE2000, and any color over from any color under by at least 25, for full vision
// and with the loss of any one kind of cone.
var ramps = [...]struct{ under, over ramp }{
	Level: {
		under: ramp{[shades]uint32{0xcbc6fe, 0xa5a0ed, 0x7d7dd6, 0x535bc0}, [shades]uint32{0x2a3d9c, 0x515abe, 0x7679e2, 0x9c9afe}},
		over:  ramp{[shades]uint32{0xf7c464, 0xd69f17, 0xad7f02, 0x836000}, [shades]uint32{0x5c4202, 0x825e02, 0xa97c02, 0xd39b02}},
	},
	Mired: {
		under: ramp{[shades]uint32{0x9cd2fd, 0x62b0e5, 0x058fca, 0x066c9a}, [shades]uint32{0x004c6d, 0x016b99, 0x038cc6, 0x49ade9}},
		over:  ramp{[shades]uint32{0xffbe9a, 0xe3976b, 0xc5703e, 0xa64b0e}, [shades]uint32{0x783101, 0x9c4f20, 0xc16e3d, 0xe78f5c}},
	},
	Duv: {
		under: ramp{[shades]uint32{0xfcb4fe, 0xe585eb, 0xca56d4, 0xae14bd}, [shades]uint32{0x7e0189, 0xa529b1, 0xca4fd4, 0xef73f8}},
		over:  ramp{[shades]uint32{0xa7da83, 0x77ba4b, 0x429902, 0x307401}, [shades]uint32{0x2a5012, 0x486e2f, 0x688e4d, 0x88b06c}},
	},
}

// classColor is the color of a class of a scale on a light ground; within the window
// it is that of the paper.
func classColor(kind Kind, class int) color.RGBA {
	switch {
	case class > 0:
		return rgb(ramps[kind].over.light[class-1])
	case class < 0:
		return rgb(ramps[kind].under.light[-class-1])
	}
	return paper
}

func rgb(c uint32) color.RGBA { return color.RGBA{uint8(c >> 16), uint8(c >> 8), uint8(c), 255} }

// darkColors are the colors on a dark ground by those on a light one.
var darkColors = func() map[color.RGBA]color.RGBA {
	colors := map[color.RGBA]color.RGBA{paper: rgb(0x0c0e10), ink: rgb(0xc6cacf), gray: rgb(0x9aa1a8), unread: rgb(0x2a2e33)}
	for _, pair := range ramps {
		for _, side := range []ramp{pair.under, pair.over} {
			for i, c := range side.light {
				colors[rgb(c)] = rgb(side.dark[i])
			}
		}
	}
	return colors
}()

// onDark is a color of a picture on a dark ground. Colors that are not those of a map
// or of text keep their hue and turn their lightness around.
func onDark(c color.RGBA) color.RGBA {
	if known, ok := darkColors[c]; ok {
		return known
	}
	made, _ := colorful.MakeColor(c)
	hue, chroma, lightness := made.Hcl()
	r, g, b := colorful.Hcl(hue, math.Min(chroma, 0.6), 1-0.9*lightness).Clamped().RGB255()
	return color.RGBA{r, g, b, 255}
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
