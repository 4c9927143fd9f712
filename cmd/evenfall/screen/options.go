// Package screen shows results as text on a terminal. It computes nothing: it
// chooses what of a result to say first and how to fit it on the screen. With
// colors it uses them for emphasis only; without them nothing is lost.
package screen

import (
	"image/color"
	"strings"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots"
)

// Options are how a terminal wants its text.
type Options struct {
	Unit    photometry.Unit // LX or FC, for illuminance
	Feet    bool            // lengths in feet
	Full    bool            // all statistics
	Width   int             // columns of the terminal
	Profile colorprofile.Profile
	Unicode bool // more than ASCII can be shown
}

// SpeaksUnicode tells from the environment whether a terminal shows more than
// ASCII; a terminal that says nothing does.
func SpeaksUnicode(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if value := strings.ToUpper(getenv(name)); value != "" {
			return strings.Contains(value, "UTF-8") || strings.Contains(value, "UTF8")
		}
	}
	return getenv("TERM") != "linux" || getenv("TERM") == ""
}

// colorMode is the map's way of coloring for a terminal's profile.
func (o Options) colorMode() plots.ColorMode {
	switch o.Profile {
	case colorprofile.TrueColor:
		return plots.TrueColor
	case colorprofile.ANSI256:
		return plots.Colors256
	case colorprofile.ANSI:
		return plots.Colors16
	}
	return plots.NoColor
}

// The emphasis of a verdict. Words carry the meaning, colors only help.
var verdictColors = map[string]color.Color{
	survey.Pass: lipgloss.Color("#3a8f5f"), survey.Fail: lipgloss.Color("#b5533c"), survey.Unsure: lipgloss.Color("#8a7a2f"),
}

// style renders a text with a style, or leaves it plain without colors.
func (o Options) style(s lipgloss.Style, text string) string {
	if o.Profile < colorprofile.ANSI {
		return text
	}
	return s.Render(text)
}

// verdict sets a verdict's word off.
func (o Options) verdict(word string) string {
	return o.style(lipgloss.NewStyle().Bold(true).Foreground(verdictColors[strings.ToLower(word)]), word)
}

func (o Options) faint(text string) string { return o.style(lipgloss.NewStyle().Faint(true), text) }

// plain turns text into what the terminal can show.
func (o Options) plain(text string) string {
	if o.Unicode {
		return text
	}
	return strings.NewReplacer("×", "x", "±", "+/-", "°", " deg", "²", "2", "·", ".", "–", "-", "—", "-", "“", "\"", "”", "\"", "Δ", "d",
		"′", "'", "…", "...", "→", "->", "≤", "<=", "\u202f", " ", "\u00a0", " ", "½", "1/2", "¼", "1/4", "¾", "3/4").Replace(text)
}
