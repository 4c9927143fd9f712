package sheet

import (
	"slices"
	"strings"

	"evenfall/photometry/table"
)

// matrix is a rectangle of cells: a part of a sheet, or one with its rows and columns
// swapped.
type matrix struct {
	cells   [][]table.RawCell
	values  [][]value // of the cells, with the decimal sign that is tried
	width   int
	sign    rune // the decimal sign
	swapped bool
	answers *answers
}

// newMatrix makes a rectangle of rows, whose cells it reads with a decimal sign. Lines of
// dashes are blank.
func newMatrix(rows [][]table.RawCell, sign rune, answers *answers) *matrix {
	m := &matrix{sign: sign, answers: answers}
	for _, row := range rows {
		m.width = max(m.width, len(row))
	}
	for _, row := range rows {
		cells, values := make([]table.RawCell, m.width), make([]value, m.width)
		copy(cells, row)
		if isRule(row) {
			clear(cells)
		}
		for j, c := range cells {
			values[j] = parse(c, sign)
		}
		m.cells, m.values = append(m.cells, cells), append(m.values, values)
	}
	return m
}

// withSign is the same rectangle read with another decimal sign; nil where all of it is the
// same.
func (m *matrix) withSign(sign rune) *matrix {
	out, differs := *m, false
	out.sign, out.values = sign, make([][]value, len(m.values))
	for r, row := range m.values {
		out.values[r] = slices.Clone(row)
		for c, cell := range m.cells[r] {
			if strings.ContainsAny(cell.Text, ".,") {
				out.values[r][c], differs = parse(cell, sign), true
			}
		}
	}
	if !differs {
		return nil
	}
	return &out
}

// isRule reports whether a row is a line of dashes.
func isRule(row []table.RawCell) bool {
	long := false
	for _, c := range row {
		if strings.Trim(c.Text, "-–—_=*+| ") != "" {
			return false
		}
		long = long || len(c.Text) > 2
	}
	return long
}

func (m *matrix) height() int { return len(m.cells) }

func (m *matrix) text(r, c int) string { return m.cells[r][c].Text }

// blankRow reports whether a row has no content.
func (m *matrix) blankRow(r int) bool {
	return !slices.ContainsFunc(m.cells[r], func(c table.RawCell) bool { return c.Text != "" || c.NoValue })
}

// blank reports whether there is no text at all.
func (m *matrix) blank() bool {
	return !slices.ContainsFunc(m.cells, func(row []table.RawCell) bool {
		return slices.ContainsFunc(row, func(c table.RawCell) bool { return c.Text != "" })
	})
}

// filled are the columns of a row with content.
func (m *matrix) filled(r int) (columns []int) {
	for c := range m.cells[r] {
		if m.text(r, c) != "" || m.cells[r][c].NoValue {
			columns = append(columns, c)
		}
	}
	return columns
}

// firstWords is the first text of a row that is no reading.
func (m *matrix) firstWords(r int) string {
	for c, v := range m.values[r] {
		if v.kind == words && m.text(r, c) != "" {
			return m.text(r, c)
		}
	}
	return ""
}

// aside are the rows of a part that is not read.
func (m *matrix) aside() []leftOut {
	var d draft
	for r := range m.cells {
		d.takeAside(m, r)
	}
	return d.left
}

// numbers counts the readings of a row.
func (m *matrix) numbers(r int) (n int) {
	for _, v := range m.values[r] {
		if v.kind == number {
			n++
		}
	}
	return n
}

// allNumbers counts those of all rows.
func (m *matrix) allNumbers() (n int) {
	for r := range m.cells {
		n += m.numbers(r)
	}
	return n
}

// rowsOf is a part of the rows, columnsOf of the columns; their cells are shared.
func (m *matrix) rowsOf(from, to int) *matrix {
	return &matrix{m.cells[from:to], m.values[from:to], m.width, m.sign, m.swapped, m.answers}
}

func (m *matrix) columnsOf(from, to int) *matrix {
	out := &matrix{width: to - from, sign: m.sign, swapped: m.swapped, answers: m.answers}
	for r := range m.cells {
		out.cells, out.values = append(out.cells, m.cells[r][from:to]), append(out.values, m.values[r][from:to])
	}
	return out
}

// transposed swaps rows and columns.
func (m *matrix) transposed() *matrix {
	out := &matrix{width: m.height(), sign: m.sign, swapped: !m.swapped, answers: m.answers}
	for c := range m.width {
		cells, values := make([]table.RawCell, m.height()), make([]value, m.height())
		for r := range m.cells {
			cells[r], values[r] = m.cells[r][c], m.values[r][c]
		}
		out.cells, out.values = append(out.cells, cells), append(out.values, values)
	}
	return out
}

// blankColumn reports whether a column has no text.
func (m *matrix) blankColumn(c int) bool { return m.columnsOf(c, c+1).blank() }

// twice are the texts that a row has more than once.
func (m *matrix) twice(r int) (texts []string) {
	seen := map[string]bool{}
	for _, c := range m.filled(r) {
		text := m.text(r, c)
		if seen[text] && m.values[r][c].kind == words {
			texts = append(texts, text)
		}
		seen[text] = true
	}
	return texts
}

// joined has a row and the one above it as one: outer and inner below left and right.
func (m *matrix) joined(r int) *matrix {
	out := &matrix{width: m.width, sign: m.sign, swapped: m.swapped, answers: m.answers}
	for k := range m.cells {
		if k != r-1 {
			out.cells, out.values = append(out.cells, m.cells[k]), append(out.values, m.values[k])
		}
	}
	cells, upper := slices.Clone(m.cells[r]), ""
	for c := range cells {
		if text := m.text(r-1, c); text != "" {
			upper = text
		}
		if cells[c].Text == "" {
			cells[c] = m.cells[r-1][c]
		} else {
			cells[c].Text = strings.TrimSpace(upper + " " + cells[c].Text)
		}
	}
	out.cells[r-1] = cells
	return out
}

// strips cuts at blank columns, and where the names of columns begin anew.
func (m *matrix) strips() (strips []*matrix) {
	again := m.headersAgain()
	from := 0
	for c := 0; c <= m.width; c++ {
		blank := c == m.width || m.blankColumn(c)
		if !blank && !again[c] {
			continue
		}
		if c > from {
			strips = append(strips, m.columnsOf(from, c))
		}
		if from = c; blank {
			from++
		}
	}
	return strips
}

// headersAgain are the columns at which a header has its first name again.
func (m *matrix) headersAgain() map[int]bool {
	again := map[int]bool{}
	for r := range min(mostHeads, m.height()) {
		filled := m.filled(r)
		if !m.headerLike(r) || readHeading(m.text(r, filled[0])).role != labelRole {
			continue
		}
		for _, c := range filled[1:] {
			again[c] = m.text(r, c) == m.text(r, filled[0])
		}
		break
	}
	return again
}

// headerLike reports whether a row has the names of a table's columns: a level and
// another one, and no number.
func (m *matrix) headerLike(r int) bool {
	levels, others := 0, 0
	for _, v := range m.values[r] {
		if v.isReading() {
			return false
		}
	}
	for _, c := range m.filled(r) {
		switch h := readHeading(m.text(r, c)); {
		case h.role == levelRole:
			levels++
		case h.known():
			others++
		}
	}
	return levels > 0 && others > 0
}

// cuts are the rows at which another table begins: a header below data, with a title
// above it after a blank row.
func (m *matrix) cuts() []int {
	cuts := []int{0}
	data, head, first := false, -1, -1
	for r := range m.cells {
		if n := len(m.filled(r)); n > 2 && m.numbers(r) == 0 && !data {
			head = r
		} else if n > 2 && first < 0 {
			first = r
		}
		if data && (m.headerLike(r) || head >= 0 && m.sameHeads(r, head) || first >= 0 && m.sameRow(r, first)) {
			at := r
			for at > 0 && !m.blankRow(at-1) && r-at < 3 && (m.numbers(at-1) == 0 && len(m.filled(at-1)) == 1 || m.notesOf(at-1) != nil) {
				at--
			}
			cuts, data = append(cuts, at), false
			continue
		}
		data = data || m.numbers(r) > 0 && m.notesOf(r) == nil
	}
	return append(cuts, m.height())
}

// sameHeads reports whether a row without numbers has most of the texts of another.
func (m *matrix) sameHeads(r, head int) bool {
	same := 0
	for c := range m.width {
		if text := m.text(r, c); text != "" && text == m.text(head, c) {
			same++
		}
	}
	return same > 1 && same >= len(m.filled(head))-1 && m.numbers(r) == 0
}

// sameRow reports whether a row, after a blank one and below another, has all of its texts,
// a word first: the heads of another grid.
func (m *matrix) sameRow(r, other int) bool {
	if r <= other || m.values[r][0].kind != words || !m.blankRow(r-1) && (r < 2 || !m.blankRow(r-2)) {
		return false
	}
	for c := range m.width {
		if m.text(r, c) != m.text(other, c) {
			return false
		}
	}
	return true
}

// line is that of the file on which a row begins.
func (m *matrix) line(r int) int {
	for _, c := range m.cells[r] {
		if c.Line > 0 {
			return c.Line
		}
	}
	return 0
}

// sheetColumn is the number of a column in the file.
func (m *matrix) sheetColumn(c int) int {
	for r := range m.cells {
		if at := m.cells[r][c].Column; at > 0 {
			return at
		}
	}
	return 0
}
