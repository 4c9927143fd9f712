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

// paint gives a text the color of a class as background, in black or white; within the
// window it stays as it is.
func (m ColorMode) paint(text string, kind Kind, class int) string {
	if class == 0 || m == NoColor {
		return text
	}
	clr := classColor(kind, class)
	var back, front ansi.Color
	switch m {
	case TrueColor:
		back, front = ansi.RGBColor{R: clr.R, G: clr.G, B: clr.B}, terminalTextColor(clr)
	case Colors256:
		indexed := ansi.Convert256(clr)
		back, front = indexed, terminalTextColor(indexed)
	default:
		pair := sixteen[kind][max(0, min(class, 1))]
		back, front = pair[0], pair[1]
	}
	return ansi.NewStyle().BackgroundColor(back).ForegroundColor(front).Styled(text)
}

// terminalTextColor is textColorOn in the black and white of the 256 colors, which
// themes do not change.
func terminalTextColor(back color.Color) ansi.Color {
	return either(textColorOn(back).R == 255, ansi.IndexedColor(231), ansi.IndexedColor(16))
}

// sixteen are background and text under and over the window in the sixteen colors, of
// which there are too few for classes.
var sixteen = [...][2][2]ansi.BasicColor{
	Level: {{ansi.Magenta, ansi.BrightWhite}, {ansi.Yellow, ansi.Black}},
	Mired: {{ansi.Blue, ansi.BrightWhite}, {ansi.Red, ansi.BrightWhite}},
	Duv:   {{ansi.Magenta, ansi.BrightWhite}, {ansi.Green, ansi.Black}},
}
