package document

import (
	"fmt"
	"io"
	"strings"

	"evenfall/photometry"
)

// Markdown writes a document as text for those who keep notes elsewhere: headings,
// lists and tables; pictures and photos in words. The error is the writer's.
func Markdown(w io.Writer, d *Document) error {
	m := &markdown{}
	if d.Title != "" {
		m.line("# %s", escape(d.Title))
	}
	head, sections := d.sections()
	m.blocks(head)
	for _, s := range sections {
		m.line("## %s", escape(s.Title))
		m.blocks(s.Blocks)
		for _, p := range s.Parts {
			m.line("### %s", escape(p.Title))
			m.blocks(p.Blocks)
		}
	}
	m.line("%s", d.Footer)
	_, err := io.WriteString(w, photometry.Visible(strings.TrimRight(m.String(), "\n"))+"\n")
	return err
}

type markdown struct{ strings.Builder }

// line is a paragraph or a heading.
func (m *markdown) line(format string, values ...any) { fmt.Fprintf(m, format+"\n\n", values...) }

func (m *markdown) blocks(all []Block) {
	for i, b := range all {
		if lines := keyed(b); lines != nil {
			m.lines(lines)
			if i+1 == len(all) || keyed(all[i+1]) == nil {
				m.WriteByte('\n')
			}
			continue
		}
		switch b := b.(type) {
		case Headline:
			if b.Word == "" {
				m.line("%s", lead(b.Text))
			} else {
				m.line("**%s** %s", escape(b.Word), escape(b.Text))
			}
		case Paragraph:
			m.line("%s", lead(string(b)))
		case List:
			m.list(b)
		case Table:
			if len(b.Rows) > 1 {
				m.table(b.page())
			}
		case Picture:
			if b.Draw != nil {
				m.picture(b)
			}
		case Photo:
			text := b.Name
			if b.Missing != "" {
				text += " (" + b.Missing + ")"
			}
			m.line("Photo: %s", escape(text))
		}
	}
}

func (m *markdown) lines(all []Line) {
	for _, l := range all {
		fmt.Fprintf(m, "- **%s:** %s\n", escape(l.Key), escapeLines(l.Texts))
	}
}

// escapeLines are lines of one item or cell.
func escapeLines(lines []string) string {
	out := make([]string, len(lines))
	for i, text := range lines {
		out[i] = escape(text)
	}
	return strings.Join(out, "<br>")
}

func (m *markdown) list(l List) {
	for i, text := range l.Items {
		mark := "-"
		if l.Ordered {
			mark = fmt.Sprintf("%d.", i+1)
		}
		fmt.Fprintf(m, "%s %s\n", mark, lead(text))
	}
	m.WriteByte('\n')
}

func (m *markdown) picture(b Picture) {
	p, err := b.Draw()
	if err != nil {
		m.line("%s", escape(missing(err)))
		return
	}
	m.line("*Picture: %s*", escape(p.Alt))
}

func (m *markdown) table(t page) {
	if t.Caption != "" {
		m.line("%s:", escape(t.Caption))
	}
	row := func(cells []string) { m.WriteString("| " + strings.Join(cells, " | ") + " |\n") }
	var head, rule []string
	for i, h := range t.Header {
		head = append(head, escape(h))
		rule = append(rule, map[bool]string{true: "--:", false: "---"}[t.Figures[i]])
	}
	row(head)
	row(rule)
	for _, r := range t.Rows {
		var cells []string
		for _, c := range r {
			cells = append(cells, escapeLines(strings.Split(c, "\n")))
		}
		row(cells)
	}
	m.WriteByte('\n')
}

// marks are the characters that mean something in Markdown anywhere in a line.
var marks = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "|", `\|`, "~", `\~`, "&", "&amp;", "<", "&lt;", ">", "&gt;")

// escape makes text of what people typed: one line without any markup.
func escape(text string) string {
	return marks.Replace(onPage(strings.Join(strings.Fields(text), " ")))
}

// lead is escape for a text that starts a line or an item.
func lead(text string) string {
	text = escape(text)
	if text != "" && strings.ContainsRune("#-+", rune(text[0])) {
		return `\` + text
	}
	return text
}
