package plots

import (
	"image/color"
	"math"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"gonum.org/v1/plot/palette"
)

var _ palette.Palette = (*Palette)(nil)

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

// Full loss of the long- or medium-wave cones in linear sRGB: G. M. Machado,
// M. M. Oliveira, L. A. F. Fernandes, A physiologically-based model for
// simulation of color vision deficiency, IEEE TVCG 15 (2009) 1291–1298,
// doi:10.1109/TVCG.2009.113, severity 1.0.
var deficiencies = map[string][3][3]float64{
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
}

func seen(c color.Color, m [3][3]float64) [3]float64 {
	rgb := linear(c)
	var out [3]float64
	for i, row := range m {
		out[i] = max(0, min(row[0]*rgb[0]+row[1]*rgb[1]+row[2]*rgb[2], 1))
	}
	return out
}

func difference(a, b [3]float64) float64 {
	l1, a1, b1 := lab(a)
	l2, a2, b2 := lab(b)
	return math.Sqrt((l1-l2)*(l1-l2) + (a1-a2)*(a1-a2) + (b1-b2)*(b1-b2))
}

// A level map rises evenly in lightness from dark to light.
func TestLevelLightness(t *testing.T) {
	p := PaletteOf(Level)
	first, last := lightness(p.At(0)), lightness(p.At(1))
	if first > 20 || last < 90 {
		t.Errorf("L* from %.1f to %.1f", first, last)
	}
	previous := -1.0
	for i := range paletteSize {
		f := float64(i) / (paletteSize - 1)
		l := lightness(p.At(f))
		if l < previous-0.25 { // half of a step of 8 bits in the dark
			t.Errorf("L* falls from %.2f to %.2f at %.3f", previous, l, f)
		}
		if want := first + f*(last-first); math.Abs(l-want) > 1 {
			t.Errorf("L* %.2f at %.3f, want %.2f", l, f, want)
		}
		previous = l
	}
}

// A color map falls evenly in lightness from its middle to both ends.
func TestColorLightness(t *testing.T) {
	for _, kind := range []Kind{Mired, Duv} {
		p := PaletteOf(kind)
		middle := p.At(0.5)
		if middle.R != middle.G || middle.G != middle.B {
			t.Errorf("%v: the middle %v is not neutral", kind, middle)
		}
		top, end := lightness(middle), lightness(p.At(0))
		for i := range paletteSize {
			f := float64(i) / (paletteSize - 1)
			want := top - math.Abs(2*f-1)*(top-end)
			if l := lightness(p.At(f)); math.Abs(l-want) > 1 {
				t.Errorf("%v: L* %.2f at %.3f, want %.2f", kind, l, f, want)
			}
			if l, m := lightness(p.At(f)), lightness(p.At(1-f)); math.Abs(l-m) > 1 {
				t.Errorf("%v: L* %.2f and %.2f at the same distance from zero", kind, l, m)
			}
		}
	}
}

// Warm is red of blue, cool blue of red, green green and magenta not.
func TestColorSides(t *testing.T) {
	warm, cool := PaletteOf(Mired).At(1), PaletteOf(Mired).At(0)
	if warm.R <= warm.B || cool.B <= cool.R {
		t.Errorf("warm %v, cool %v", warm, cool)
	}
	green, magenta := PaletteOf(Duv).At(1), PaletteOf(Duv).At(0)
	if green.G <= green.R || green.G <= green.B || magenta.G >= magenta.R || magenta.G >= magenta.B {
		t.Errorf("green %v, magenta %v", green, magenta)
	}
}

// With either kind of red–green blindness a level map keeps its order, and the
// two sides of a color map stay apart: ten units of CIELAB are plain at a
// glance, and sides are compared at the same distance from zero.
func TestColorBlindReaders(t *testing.T) {
	for name, m := range deficiencies {
		previous := -1.0
		for i := range paletteSize {
			l, _, _ := lab(seen(PaletteOf(Level).entries[i], m))
			if l < previous-0.5 {
				t.Errorf("%s: level L* falls from %.2f to %.2f at %d", name, previous, l, i)
			}
			previous = l
		}
		for _, kind := range []Kind{Mired, Duv} {
			p := PaletteOf(kind)
			for _, f := range []float64{0, 0.125, 0.25, 0.375} {
				d := difference(seen(p.At(f), m), seen(p.At(1-f), m))
				if want := 10 * (1 - 2*f) * 2; d < min(want, 20) {
					t.Errorf("%s: %v sides differ by %.1f at %.3f, want %.1f", name, kind, d, f, min(want, 20))
				}
			}
		}
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

// The contrast of numbers on every color is at least 4.5:1 (WCAG 2, level AA).
func TestTextContrast(t *testing.T) {
	for _, kind := range []Kind{Level, Mired, Duv} {
		for i := range paletteSize {
			f := float64(i) / (paletteSize - 1)
			back := PaletteOf(kind).At(f)
			if got := contrast(back, textColorOn(back)); got < 4.5 {
				t.Errorf("%v: contrast %.2f at %.3f", kind, got, f)
			}
			fixed := indexedColor(kind, f)
			if got := contrast(fixed, terminalTextColor(fixed)); got < 4.5 {
				t.Errorf("%v: contrast %.2f on terminal color %d", kind, got, fixed)
			}
		}
	}
}

// The fixed colors of terminals keep the order of lightness.
func TestTerminalRamps(t *testing.T) {
	rises := func(ramp []ansi.IndexedColor) bool {
		for i := 1; i < len(ramp); i++ {
			if lightness(ramp[i]) < lightness(ramp[i-1])+3 {
				return false
			}
		}
		return true
	}
	if !rises(ramps[Level]) {
		t.Error("the level ramp does not rise")
	}
	for _, kind := range []Kind{Mired, Duv} {
		ramp := ramps[kind]
		middle := len(ramp) / 2
		if len(ramp)%2 != 1 || !rises(ramp[:middle+1]) {
			t.Errorf("%v: the low side does not rise", kind)
		}
		var high []ansi.IndexedColor
		for i := len(ramp) - 1; i >= middle; i-- {
			high = append(high, ramp[i])
		}
		if !rises(high) {
			t.Errorf("%v: the high side does not fall", kind)
		}
		if indexedColor(kind, 0.5) != ramp[middle] {
			t.Errorf("%v: zero is not in the middle", kind)
		}
	}
}
