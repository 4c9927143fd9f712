package plots

import (
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

func TestTerminalScreens(t *testing.T) {
	s, r := scene()
	colored(s, r)
	s.Reference = at(s, "C5")
	for _, test := range []struct {
		name string
		opt  TerminalOptions
	}{
		{"terminal_80.txt", TerminalOptions{Width: 80, Unicode: true}},
		{"terminal_40_ascii.txt", TerminalOptions{Width: 40, Unit: photometry.FC}},
		{"terminal_30.txt", TerminalOptions{Width: 30, Unicode: true, Feet: true}},
		{"terminal_mired.txt", TerminalOptions{Kind: Mired, Unicode: true}},
		{"terminal_duv.txt", TerminalOptions{Kind: Duv, Unicode: true}},
		{"terminal_true.txt", TerminalOptions{Unicode: true, Color: TrueColor}},
		{"terminal_256.txt", TerminalOptions{Unicode: true, Color: Colors256, Width: 60}},
		{"terminal_16.txt", TerminalOptions{Color: Colors16, Width: 60}},
	} {
		sameText(t, test.name, Terminal(r, test.opt))
	}
	var x, y, l []float64
	for i := range 900 {
		a, b := 6*math.Mod(0.618034*float64(i), 1), 3*math.Mod(0.754878*float64(i), 1)
		if math.Hypot((a-3)/3, (b-1.5)/1.5) < 1 {
			x, y, l = append(x, a), append(y, b), append(l, 900-30*(a-2)*(a-2))
		}
	}
	many := scattered(x, y, l)
	sameText(t, "terminal_many.txt", Terminal(resultOf(many), TerminalOptions{Unicode: true}))
}

// checkLines tests what every terminal map promises.
func checkLines(t interface {
	Helper()
	Errorf(string, ...any)
}, text string, opt TerminalOptions) {
	t.Helper()
	width := opt.Width
	if width <= 0 {
		width = 80
	}
	if !strings.HasSuffix(text, "\n") || strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
		t.Errorf("map %q", text)
	}
	for _, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		if w := ansi.StringWidth(line); w > width {
			t.Errorf("a line of %d columns in a width of %d: %q", w, width, line)
		}
		if strings.TrimRight(line, " \t") != line {
			t.Errorf("a line ends in a space: %q", line)
		}
		if opt.Color == NoColor && strings.Contains(line, "\x1b") {
			t.Errorf("color without color: %q", line)
		}
		for _, c := range line {
			if !opt.Unicode && c > '~' {
				t.Errorf("%q is beyond ASCII: %q", c, line)
			}
		}
	}
}

func TestTerminalLines(t *testing.T) {
	surveys := degenerate()
	s, _ := scene()
	surveys["scene"] = s
	for name, s := range surveys {
		r := resultOf(s)
		colored(s, r)
		for _, kind := range []Kind{Level, Mired, Duv} {
			for _, mode := range []ColorMode{NoColor, Colors16, Colors256, TrueColor} {
				for _, width := range []int{0, 1, 12, 20, 40, 80, 200} {
					for _, unicode := range []bool{false, true} {
						opt := TerminalOptions{Kind: kind, Width: width, Color: mode, Unicode: unicode}
						text := Terminal(r, opt)
						checkLines(t, text, opt)
						if t.Failed() {
							t.Fatalf("%s: %+v\n%s", name, opt, text)
						}
					}
				}
			}
		}
	}
}

func TestTerminalLinesOfAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(1, 30).Draw(t, "columns"), rapid.IntRange(1, 30).Draw(t, "rows")
		w, h := rapid.Float64Range(0.1, 20).Draw(t, "w"), rapid.Float64Range(0.1, 20).Draw(t, "h")
		span := rapid.Float64Range(0, 6).Draw(t, "span")
		s := lattice(columns, rows, w, h, func(x, y float64) float64 { return 500 * math.Exp2(span*x/w-y/h) })
		if rapid.Bool().Draw(t, "scattered") {
			s.Lattice = nil
		}
		opt := TerminalOptions{
			Width: rapid.IntRange(10, 160).Draw(t, "width"), Unicode: rapid.Bool().Draw(t, "unicode"),
			Color: ColorMode(rapid.IntRange(0, 3).Draw(t, "color")),
		}
		checkLines(t, Terminal(resultOf(s), opt), opt)
	})
}

// Each reading of a lattice is in its row and column.
func TestTerminalPlaces(t *testing.T) {
	s := lattice(4, 3, 4, 3, func(x, y float64) float64 { return 800 })
	r := resultOf(s)
	place := at(s, "B3")
	s.Level[place] = 1600
	lines := strings.Split(Terminal(r, TerminalOptions{}), "\n")
	row := ""
	for _, line := range lines {
		if strings.HasPrefix(line, "B") {
			row = line
		}
	}
	column := strings.Index(row, "+1.0")
	if column < 0 || strings.Count(strings.Join(lines, "\n"), "+1.0") != 1 {
		t.Fatalf("B3 is not in row B once:\n%s", strings.Join(lines, "\n"))
	}
	if header := strings.Index(lines[0], "3"); header < column || header >= column+4 {
		t.Errorf("+1.0 at %d is under column %d:\n%s", column, header, strings.Join(lines, "\n"))
	}
}

// Numbers in whole tenths say so, and are the same readings.
func TestTerminalCompact(t *testing.T) {
	_, r := scene()
	wide, narrow := Terminal(r, TerminalOptions{Width: 80}), Terminal(r, TerminalOptions{Width: 40})
	if strings.Contains(wide, "tenths") || !strings.Contains(narrow, "tenths of a stop") {
		t.Fatalf("wide:\n%s\nnarrow:\n%s", wide, narrow)
	}
	for _, pair := range [][2]string{{"+0.5>^", "+5>^"}, {"-3.6?", "-36?"}} {
		if !strings.Contains(wide, pair[0]) || !strings.Contains(narrow, pair[1]) {
			t.Errorf("%v are missing", pair)
		}
	}
}

func TestTerminalWithoutData(t *testing.T) {
	_, r := scene()
	if text := Terminal(r, TerminalOptions{Kind: Mired}); text != "" {
		t.Errorf("a color map without color: %q", text)
	}
	r.Survey = &survey.Survey{}
	if text := Terminal(r, TerminalOptions{}); text != "" {
		t.Errorf("a map without readings: %q", text)
	}
}

// Many readings are gathered by their mean, which is said.
func TestTerminalGathers(t *testing.T) {
	s := lattice(200, 100, 4, 2, func(x, y float64) float64 { return 800 })
	text := Terminal(resultOf(s), TerminalOptions{Width: 60})
	text = strings.Join(strings.Fields(text), " ")
	if !strings.Contains(text, "20,000 readings in") || !strings.Contains(text, "by their mean") {
		t.Errorf("map:\n%s", text)
	}
	if strings.Count(text, " 0.0") < 100 {
		t.Errorf("equal readings give:\n%s", text)
	}
}
