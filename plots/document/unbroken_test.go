package document

import (
	"strings"
	"testing"
)

// Every renderer has minus signs, a terminal without Unicode hyphens; pages and Markdown
// leave options of the command line out.
func TestSignsOfRenderers(t *testing.T) {
	d := New(Words{})
	d.Add(Headline{Word: "FAIL", Text: "spread -0.5"}, Line{Key: "key", Texts: []string{"-0.5 stop (--mark sets another)"}},
		Table{Rows: [][]string{{"a", "b"}, {"x", "-0.5"}}}, Paragraph("is -0.5"), List{Items: []string{"off -0.5"}})
	var page, text strings.Builder
	if err := HTML(&page, d); err != nil {
		t.Fatal(err)
	}
	if err := Markdown(&text, d); err != nil {
		t.Fatal(err)
	}
	lines := ""
	for _, l := range d.Lines() {
		lines += l.Text + "\n"
	}
	for face, c := range map[string]struct {
		text    string
		figures int
	}{"terminal": {Terminal{Width: 80, Unicode: true}.Text(d), 5}, "page": {page.String(), 5}, "Markdown": {text.String(), 5}, "lines": {lines, 2}} {
		if n := strings.Count(c.text, "−0.5"); n != c.figures || strings.Contains(c.text, "-0.5") {
			t.Errorf("%s has %d minus signs instead of %d: %s", face, n, c.figures, c.text)
		}
		if option := strings.Contains(c.text, "(--mark"); option != (face == "terminal") {
			t.Errorf("%s: an option %v: %s", face, option, c.text)
		}
	}
	if out := (Terminal{Width: 80}).Text(d); strings.Contains(out, "−") {
		t.Error(out)
	}
}

// No line breaks inside a range, a date, a short cell or a pair of coordinates.
func TestUnbrokenOnPages(t *testing.T) {
	for _, test := range []struct{ got, want string }{
		{joined("level, 2026-03-05, 0.80–1.33 of 10 lx"), "level, 2026-\u206003-\u206005, 0.80–\u20601.33 of 10\u00a0lx"},
		{joined("key-frame 12-34"), "key-frame 12-34"},
		{inCell("in shot"), "in\u00a0shot"},
		{inCell("1.17, 1.30"), "1.17,\u00a01.30"},
		{inCell("cloth right"), "cloth right"},
		{inCell("2026-03-05\nnoon"), "2026-\u206003-\u206005\nnoon"},
	} {
		if test.got != test.want {
			t.Errorf("%q, want %q", test.got, test.want)
		}
	}
}
