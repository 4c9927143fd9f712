package plots

import (
	"image/color"
	"math"
	"testing"

	"github.com/charmbracelet/x/ansi"
	colorful "github.com/lucasb-eyer/go-colorful"
)

// linear is the linear red, green and blue of an sRGB color (IEC 61966-2-1).
func linear(c color.Color) [3]float64 {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	var out [3]float64
	for i, v := range [3]uint8{n.R, n.G, n.B} {
		f := float64(v) / 255
		if f <= 0.04045 {
			out[i] = f / 12.92
		} else {
			out[i] = math.Pow((f+0.055)/1.055, 2.4)
		}
	}
	return out
}

// lab is CIELAB of linear sRGB (CIE 15; matrix and D65 white of IEC
// 61966-2-1), written apart from the library that the palettes are built with.
func lab(rgb [3]float64) (l, a, b float64) {
	r, g, bl := rgb[0], rgb[1], rgb[2]
	x := (0.4124*r + 0.3576*g + 0.1805*bl) / 0.9505
	y := 0.2126*r + 0.7152*g + 0.0722*bl
	z := (0.0193*r + 0.1192*g + 0.9505*bl) / 1.0890
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	return 116*f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))
}

func lightness(c color.Color) float64 {
	l, _, _ := lab(linear(c))
	return l
}

// Full loss of the long-, medium- or short-wave cones in linear sRGB: G. M. Machado,
// M. M. Oliveira, L. A. F. Fernandes, A physiologically-based model for
// simulation of color vision deficiency, IEEE TVCG 15 (2009) 1291–1298,
// doi:10.1109/TVCG.2009.113, severity 1.0.
var deficiencies = map[string][3][3]float64{
	"none": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia": {
		{0.152286, 1.052583, -0.204868},
		{0.114503, 0.786281, 0.099216},
		{-0.003882, -0.048116, 1.051998},
	},
	"deuteranopia": {
		{0.367322, 0.860646, -0.227968},
		{0.280085, 0.672501, 0.047413},
		{-0.011820, 0.042940, 0.968881},
	},
	"tritanopia": {
		{1.255528, -0.076749, -0.178779},
		{-0.078411, 0.930809, 0.147602},
		{0.004733, 0.691367, 0.303900},
	},
}

func seen(c color.Color, m [3][3]float64) [3]float64 {
	rgb := linear(c)
	var out [3]float64
	for i, row := range m {
		out[i] = max(0, min(row[0]*rgb[0]+row[1]*rgb[1]+row[2]*rgb[2], 1))
	}
	return out
}

// difference is CIEDE2000 (CIE 142) of what a reader with a deficiency sees.
func difference(a, b color.Color, m [3][3]float64) float64 {
	made := func(c color.Color) colorful.Color {
		rgb := seen(c, m)
		return colorful.LinearRgb(rgb[0], rgb[1], rgb[2])
	}
	return 100 * made(a).DistanceCIEDE2000(made(b))
}

// Neighboring classes differ by at least 9 and any class over from any class under by
// at least 25 of CIEDE2000, for full vision and with the loss of one kind of cone, on
// a light ground and on a dark one. Both sides have the same steps of lightness, away
// from that of the ground.
func TestClassColors(t *testing.T) {
	for kind := range ramps {
		for ground, of := range map[string]struct {
			zero  color.RGBA
			side  func(ramp) [shades]uint32
			steps [shades]float64 // L*, as the palette says
		}{
			"light": {paper, func(r ramp) [shades]uint32 { return r.light }, [shades]float64{82, 69, 56, 43}},
			"dark":  {onDark(paper), func(r ramp) [shades]uint32 { return r.dark }, [shades]float64{30, 42.5, 55, 67.5}},
		} {
			under, over := of.side(ramps[kind].under), of.side(ramps[kind].over)
			for name, m := range deficiencies {
				beforeUnder, beforeOver := of.zero, of.zero
				for i := range shades {
					u, o := rgb(under[i]), rgb(over[i])
					if d := min(difference(u, beforeUnder, m), difference(o, beforeOver, m)); d < 9 {
						t.Errorf("%v, %s, %s: class %d differs from its neighbor by %.1f", Kind(kind), ground, name, i+1, d)
					}
					for k := range shades {
						if d := difference(u, rgb(over[k]), m); d < 25 {
							t.Errorf("%v, %s, %s: class −%d differs from +%d by %.1f", Kind(kind), ground, name, i+1, k+1, d)
						}
					}
					beforeUnder, beforeOver = u, o
				}
			}
			for i := range shades {
				u, o := lightness(rgb(under[i])), lightness(rgb(over[i]))
				if want := of.steps[i]; math.Abs(u-want) > 1 || math.Abs(o-want) > 1 {
					t.Errorf("%v, %s: L* %.1f and %.1f on both sides of class %d, want %v", Kind(kind), ground, u, o, i+1, want)
				}
			}
		}
	}
}

// Warm is red of blue, cool blue of red, green green and magenta not.
func TestColorSides(t *testing.T) {
	warm, cool := classColor(Mired, 2), classColor(Mired, -2)
	if warm.R <= warm.B || cool.B <= cool.R {
		t.Errorf("warm %v, cool %v", warm, cool)
	}
	green, magenta := classColor(Duv, 2), classColor(Duv, -2)
	if green.G <= green.R || green.G <= green.B || magenta.G >= magenta.R || magenta.G >= magenta.B {
		t.Errorf("green %v, magenta %v", green, magenta)
	}
}

// contrast is the ratio of WCAG 2.
func contrast(a, b color.Color) float64 {
	y := func(c color.Color) float64 {
		rgb := linear(c)
		return 0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2]
	}
	high, low := max(y(a), y(b)), min(y(a), y(b))
	return (high + 0.05) / (low + 0.05)
}

// Text on the ground has a contrast of at least 4.5:1 (WCAG 2, level AA), in the light
// and in the dark, and so has text on the colors of a terminal.
func TestTextContrast(t *testing.T) {
	for _, text := range []color.RGBA{ink, gray} {
		for _, ground := range []color.RGBA{paper, unread} {
			if light, dark := contrast(text, ground), contrast(onDark(text), onDark(ground)); light < 4.5 || dark < 4.5 {
				t.Errorf("%v on %v: contrast %.2f in the light, %.2f in the dark", text, ground, light, dark)
			}
		}
	}
	for _, kind := range []Kind{Level, Mired, Duv} {
		for class := -shades; class <= shades; class++ {
			for _, back := range []color.Color{classColor(kind, class), ansi.Convert256(classColor(kind, class))} {
				if got := contrast(back, terminalTextColor(back)); got < 4.5 {
					t.Errorf("%v: contrast %.2f in class %d", kind, got, class)
				}
			}
		}
	}
}

// The fixed colors of terminals keep the sides apart, and the first two classes of each.
func TestTerminalClasses(t *testing.T) {
	for _, kind := range []Kind{Level, Mired, Duv} {
		seen := map[ansi.IndexedColor]int{}
		for class := -shades; class <= shades; class++ {
			c := ansi.Convert256(classColor(kind, class))
			if other, ok := seen[c]; ok && (other*class <= 0 || max(other, -other)+max(class, -class) < 5) {
				t.Errorf("%v: classes %d and %d have the color %d", kind, other, class, c)
			}
			seen[c] = class
		}
	}
}
