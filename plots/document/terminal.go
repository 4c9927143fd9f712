package document

import (
	"fmt"
	"image/color"
	"strings"

	"charm.land/lipgloss/v2"
	"github.com/charmbracelet/colorprofile"

	"evenfall/photometry"
	"evenfall/plots"
)

// Terminal lays documents out as text. With colors it uses them for emphasis
// only; without them nothing is lost.
type Terminal struct {
	Width   int // columns
	Profile colorprofile.Profile
	Unicode bool // more than ASCII can be shown
	// Called is a text with the program's command lines as they can be typed; nil is the text.
	Called func(text string) string
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

// Text is a document as lines that end in a line feed.
func (t Terminal) Text(d *Document) string {
	out := &screen{Terminal: t}
	out.blocks(d.Blocks)
	return out.text.String()
}

// screen collects the lines of one document.
type screen struct {
	Terminal
	text strings.Builder
	gap  bool // before the next line, if there is one over it
}

// keyWidth is the room for the keys of lines.
const keyWidth = 11

func (s *screen) blocks(all []Block) {
	for _, b := range all {
		switch b := b.(type) {
		case Headline:
			s.headline(b)
		case Line:
			s.line(b, keyWidth)
		case Lines:
			s.lines(b)
		case Table:
			s.table(b)
		case Picture:
			if b.Characters != nil {
				drawn := b.Characters(plots.TerminalOptions{Width: s.Width, Color: colorModes[s.Profile], Unicode: s.Unicode})
				s.raw(strings.TrimRight(drawn, "\n"))
			}
		case Heading:
			s.raw(s.plain(b.Title))
		case Paragraph:
			s.hanging("", s.faint, string(b), 0)
		case List:
			s.list(b)
		case Gap:
			s.gap = true
		}
	}
}

// raw adds a line as it is.
func (s *screen) raw(text string) {
	if s.gap && s.text.Len() > 0 {
		s.text.WriteByte('\n')
	}
	s.gap = false
	s.text.WriteString(strings.TrimRight(text, " "))
	s.text.WriteByte('\n')
}

// toneColors help a headline's word.
var toneColors = map[Tone]color.Color{
	Good: lipgloss.Color("#3a8f5f"), Bad: lipgloss.Color("#b5533c"), Open: lipgloss.Color("#8a7a2f"),
}

// headline sets the word off, the text beside it.
func (s *screen) headline(h Headline) {
	if h.Word == "" {
		s.raw(s.plain(h.Text))
		return
	}
	style := lipgloss.NewStyle().Bold(true)
	if c := toneColors[h.Tone]; c != nil {
		style = style.Foreground(c)
	}
	s.hanging(h.Word, func(word string) string { return s.style(style, word) }, h.Text, keyWidth)
}

// line adds a line, its key on the first of its texts.
func (s *screen) line(l Line, room int) {
	key := s.visible(l.Key)
	for _, text := range l.Texts {
		if l.Kind == Verbatim {
			s.raw(s.faint(key) + strings.Repeat(" ", room-lipgloss.Width(key)) + s.visible(text))
		} else {
			s.hanging(key, s.faint, text, room)
		}
		key = ""
	}
}

// lines gives keys the room that they need, up to a third of the page.
func (s *screen) lines(all Lines) {
	room := keyWidth
	for _, l := range all {
		room = max(room, min(lipgloss.Width(l.Key)+2, s.Width/3))
	}
	for _, l := range all {
		s.line(l, room)
	}
}

// list adds items, each after a dash or its number.
func (s *screen) list(l List) {
	for i, text := range l.Items {
		mark := "-"
		if l.Ordered {
			mark = fmt.Sprintf("%d.", i+1)
		}
		s.hanging(mark, s.faint, text, 3)
	}
}

// hanging adds a text folded to the width, hanging under itself beside a key that
// has some room.
func (s *screen) hanging(key string, style func(string) string, text string, room int) {
	for i, part := range fold(s.plain(text), s.Width-room) {
		head, gap := "", room
		if i == 0 {
			head, gap = style(key), max(min(1, room), room-lipgloss.Width(key))
		}
		s.raw(head + strings.Repeat(" ", gap) + part)
	}
}

// fold breaks a text between words so that no line is wider than width, unless
// a word is. A sign stays with its number.
func fold(text string, width int) []string {
	var lines []string
	line, used := "", 0
	for word := range strings.FieldsSeq(text) {
		wide := lipgloss.Width(word)
		switch {
		case line == "":
			line, used = word, wide
		case used+1+wide <= width:
			line, used = line+" "+word, used+1+wide
		default:
			lines, line, used = append(lines, line), word, wide
		}
	}
	return append(lines, line)
}

// colorModes are the map's ways of coloring for a terminal's profile; others have none.
var colorModes = map[colorprofile.Profile]plots.ColorMode{colorprofile.TrueColor: plots.TrueColor, colorprofile.ANSI256: plots.Colors256, colorprofile.ANSI: plots.Colors16}

// style renders a text with a style, or leaves it plain without colors.
func (t Terminal) style(s lipgloss.Style, text string) string {
	if t.Profile < colorprofile.ANSI || text == "" {
		return text
	}
	return s.Render(text)
}

func (t Terminal) faint(text string) string { return t.style(lipgloss.NewStyle().Faint(true), text) }

// plain turns text into what the terminal can show.
func (t Terminal) plain(text string) string {
	if text = photometry.Signed(t.visible(text)); t.Unicode {
		return text
	}
	return ascii.Replace(text)
}

// visible is a text as it may be shown.
func (t Terminal) visible(text string) string {
	if t.Called != nil {
		text = t.Called(text)
	}
	return photometry.Visible(text)
}

var ascii = strings.NewReplacer("\u2212", "-", "×", "x", "±", "+/-", "°", " deg", "²", "2", "·", ".", "–", "-", "—", "-", "“", "\"", "”", "\"", "Δ", "d",
	"′", "'", "…", "...", "→", "->", "≤", "<=", "\u202f", " ", "\u00a0", " ", "½", "1/2", "¼", "1/4", "¾", "3/4")
