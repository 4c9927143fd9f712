package plots

import (
	"image/color"

	"github.com/charmbracelet/x/ansi"
)

// ColorMode is what a terminal can show.
type ColorMode uint8

// The color modes.
const (
	NoColor   ColorMode = iota
	Colors16            // the sixteen colors whose shades are the terminal's own
	Colors256           // xterm's cube and grays
	TrueColor           // 24 bits
)

// paint sets a text on the color of a value, in black or white.
func (m ColorMode) paint(text string, scale Scale, value float64) string {
	fraction := scale.Fraction(value)
	var back, front ansi.Color
	switch m {
	case TrueColor:
		c := PaletteOf(scale.Kind).At(fraction)
		back, front = ansi.RGBColor{R: c.R, G: c.G, B: c.B}, onTerminal(c)
	case Colors256:
		c := indexed(scale.Kind, fraction)
		back, front = c, onTerminal(c)
	case Colors16:
		back, front = basic(scale.Kind, fraction)
	default:
		return text
	}
	return ansi.NewStyle().BackgroundColor(back).ForegroundColor(front).Styled(text)
}

// onTerminal is textOn in the fixed black and white of the 256 colors, which
// themes leave alone.
func onTerminal(back color.Color) ansi.Color {
	if textOn(back).R == 255 {
		return ansi.IndexedColor(231)
	}
	return ansi.IndexedColor(16)
}

// basic chooses among the sixteen colors. Levels take the four grays, which
// keep their order in every theme; color maps take the nearest names.
func basic(kind Kind, fraction float64) (back, front ansi.Color) {
	pairs := [][2]ansi.BasicColor{{ansi.Black, ansi.BrightWhite}, {ansi.BrightBlack, ansi.BrightWhite}, {ansi.White, ansi.Black}, {ansi.BrightWhite, ansi.Black}}
	switch kind {
	case Mired:
		pairs = [][2]ansi.BasicColor{{ansi.Blue, ansi.BrightWhite}, {ansi.Cyan, ansi.Black}, {ansi.White, ansi.Black}, {ansi.Yellow, ansi.Black}, {ansi.Red, ansi.BrightWhite}}
	case Duv:
		pairs = [][2]ansi.BasicColor{{ansi.Magenta, ansi.BrightWhite}, {ansi.White, ansi.Black}, {ansi.Green, ansi.Black}}
	}
	p := pairs[min(int(fraction*float64(len(pairs))), len(pairs)-1)]
	return p[0], p[1]
}

// ramps are the palettes in xterm's fixed colors, picked by hand in order of
// lightness: a level map from black through teal to pale yellow (L* 11 to 98),
// color maps from either side to near white. Nearest colors, each by itself,
// would go back and forth in hue and lightness.
var ramps = [...][]ansi.IndexedColor{
	Level: {234, 237, 23, 30, 72, 114, 187, 229},
	Mired: {26, 68, 110, 153, 255, 223, 180, 173, 130},
	Duv:   {133, 176, 182, 255, 151, 71, 28},
}

// indexed is the color of a fraction of the scale.
func indexed(kind Kind, fraction float64) ansi.IndexedColor {
	ramp := ramps[kind]
	return ramp[min(int(fraction*float64(len(ramp))), len(ramp)-1)]
}
