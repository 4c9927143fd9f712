package report

import (
	"fmt"
	"io"
	"strings"
)

// Markdown writes the report as text for those who keep notes elsewhere: headings,
// lists and tables; pictures and photos in words. The error is the writer's.
func (r *Report) Markdown(w io.Writer) error {
	m := &markdown{}
	d := r.document()
	m.line("# %s", escape(d.Title))
	m.line("**%s.** %s", d.Word, escape(d.Verdict.Text))
	if len(d.Verdict.Parts) > 1 {
		for _, p := range d.Verdict.Parts {
			m.item("%s: %s: %s", verdictWords[p.Verdict], escape(p.What), escape(p.Text))
		}
		m.gap()
	}
	m.facts(d.Facts)
	if len(d.Problems)+len(d.Warnings) > 0 {
		m.line("## Problems with files")
		for _, p := range d.Problems {
			m.item("**%s** %s", escape(p.File), escape(p.Text))
		}
		for _, text := range d.Warnings {
			m.item("%s", lead(text))
		}
		m.gap()
	}
	for _, s := range d.Sections {
		m.line("## %s", s.Title)
		m.blocks(s.Blocks)
		for _, p := range s.Parts {
			m.line("### %s", escape(p.Title))
			m.blocks(p.Blocks)
		}
	}
	m.line("%s", footer)
	_, err := io.WriteString(w, strings.TrimRight(m.String(), "\n")+"\n")
	return err
}

type markdown struct{ strings.Builder }

// line is a paragraph or a heading.
func (m *markdown) line(format string, values ...any) { fmt.Fprintf(m, format+"\n\n", values...) }
func (m *markdown) item(format string, values ...any) { fmt.Fprintf(m, "- "+format+"\n", values...) }
func (m *markdown) gap()                              { m.WriteByte('\n') }

func (m *markdown) facts(all []fact) {
	for _, f := range all {
		m.item("**%s:** %s", escape(f.Key), escape(f.Text))
	}
	if len(all) > 0 {
		m.gap()
	}
}

func (m *markdown) blocks(all []block) {
	for _, b := range all {
		switch {
		case b.Text != "":
			m.line("%s", lead(b.Text))
		case b.Items != nil:
			for i, text := range b.Items {
				if b.Ordered {
					fmt.Fprintf(m, "%d. %s\n", i+1, lead(text))
				} else {
					m.item("%s", lead(text))
				}
			}
			m.gap()
		case b.Facts != nil:
			m.facts(b.Facts)
		case b.Table != nil:
			m.table(b.Table)
		case b.Figure != nil:
			m.line("*Picture: %s*", escape(b.Figure.Picture.Alt))
		case b.Photo != nil:
			text := b.Photo.File
			if b.Photo.NotShown != "" {
				text += " (" + b.Photo.NotShown + ")"
			}
			m.item("Photo: %s", escape(text))
			m.gap()
		}
	}
}

func (m *markdown) table(t *grid) {
	m.line("%s:", escape(t.Caption))
	row := func(cells []string) { m.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	var head, rule []string
	for i, h := range t.Header {
		head = append(head, escape(h))
		rule = append(rule, map[bool]string{true: "--:", false: "---"}[t.Right[i]])
	}
	row(head)
	row(rule)
	for _, r := range t.Rows {
		var cells []string
		for _, c := range r {
			var lines []string
			for _, text := range c {
				lines = append(lines, escape(text))
			}
			cells = append(cells, strings.Join(lines, "<br>"))
		}
		row(cells)
	}
	m.gap()
}

// marks are the characters that mean something in Markdown anywhere in a line.
var marks = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "|", `\|`, "~", `\~`, "&", "&amp;", "<", "&lt;", ">", "&gt;")

// escape makes text of what people typed: one line without any markup.
func escape(text string) string { return marks.Replace(strings.Join(strings.Fields(text), " ")) }

// lead is escape for a text that starts a line or an item.
func lead(text string) string {
	text = escape(text)
	if text != "" && strings.ContainsRune("#-+", rune(text[0])) {
		return `\` + text
	}
	return text
}
