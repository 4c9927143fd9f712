package plots

import (
	"image/color"

	"github.com/charmbracelet/x/ansi"
)

// ColorMode is the range of colors of a terminal.
type ColorMode uint8

// The color modes.
const (
	NoColor   ColorMode = iota
	Colors16            // the sixteen colors whose shades are the terminal's own
	Colors256           // xterm's cube and grays
	TrueColor           // 24 bits
)

// paint gives a text the color of a value as background, in black or white.
func (m ColorMode) paint(text string, scale Scale, value float64) string {
	fraction := scale.Fraction(value)
	var back, front ansi.Color
	switch m {
	case TrueColor:
		c := PaletteOf(scale.Kind).At(fraction)
		back, front = ansi.RGBColor{R: c.R, G: c.G, B: c.B}, terminalTextColor(c)
	case Colors256:
		c := indexedColor(scale.Kind, fraction)
		back, front = c, terminalTextColor(c)
	case Colors16:
		back, front = sixteenColors(scale.Kind, fraction)
	default:
		return text
	}
	return ansi.NewStyle().BackgroundColor(back).ForegroundColor(front).Styled(text)
}

// terminalTextColor is textColorOn in the black and white of the 256 colors, which
// themes do not change.
func terminalTextColor(back color.Color) ansi.Color {
	if textColorOn(back).R == 255 {
		return ansi.IndexedColor(231)
	}
	return ansi.IndexedColor(16)
}

// sixteenColors chooses among the sixteen colors. Levels use the four grays, which
// have the same order in every theme; color maps use the nearest named colors.
func sixteenColors(kind Kind, fraction float64) (back, front ansi.Color) {
	pairs := sixteen[kind]
	p := pairs[min(int(fraction*float64(len(pairs))), len(pairs)-1)]
	return p[0], p[1]
}

var sixteen = [...][][2]ansi.BasicColor{
	Level: {{ansi.Black, ansi.BrightWhite}, {ansi.BrightBlack, ansi.BrightWhite}, {ansi.White, ansi.Black}, {ansi.BrightWhite, ansi.Black}},
	Mired: {{ansi.Blue, ansi.BrightWhite}, {ansi.Cyan, ansi.Black}, {ansi.White, ansi.Black}, {ansi.Yellow, ansi.Black}, {ansi.Red, ansi.BrightWhite}},
	Duv:   {{ansi.Magenta, ansi.BrightWhite}, {ansi.White, ansi.Black}, {ansi.Green, ansi.Black}},
}

// ramps are the palettes in xterm's fixed colors, picked by hand in order of
// lightness: a level map from black through teal to pale yellow (L* 11 to 98), color
// maps from either side to near white. The nearest color to each step would not be
// monotonic in hue and lightness.
var ramps = [...][]ansi.IndexedColor{
	Level: {234, 237, 23, 30, 72, 114, 187, 229},
	Mired: {26, 68, 110, 153, 255, 223, 180, 173, 130},
	Duv:   {133, 176, 182, 255, 151, 71, 28},
}

// indexedColor is the color at a fraction of the scale.
func indexedColor(kind Kind, fraction float64) ansi.IndexedColor {
	ramp := ramps[kind]
	return ramp[min(int(fraction*float64(len(ramp))), len(ramp)-1)]
}
