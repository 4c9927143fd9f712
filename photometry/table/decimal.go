package table

import (
	"bytes"
	"cmp"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// decimals finds out whether a file is written with a decimal point or a
// decimal comma, from the cells of its number columns as they come by. Cells
// that can be read in both ways and come before the first decisive one are
// remembered and put right at the end, so that no file is read twice.
type decimals struct {
	sign  rune // '.' or ','; 0 while nothing has settled it
	by    evidence
	group rune

	clashes int      // decisive cells that say otherwise
	clash   evidence // the first of them

	open []openRun
	last map[openKey]int // the last run of each
}

// evidence is a cell of a sheet that decides between the signs.
type evidence struct {
	Cell
	sheet *Sheet
}

// openRun is a run of cells one below the other that are still open between
// two readings.
type openRun struct {
	openKey
	first, rows int
}

type openKey struct {
	sheet  *Sheet
	column int
	sign   rune // '.' or ',', the decimal one or between groups
}

// see takes note of a number cell and returns the decimal sign to read it
// with. row is the data row, or -1 for a cell that is not put right later.
func (d *decimals) see(n numeral, s *Sheet, row int, c place) rune {
	switch {
	case n.decimal != 0 && !n.either:
		d.decisive(n.decimal, s, c)
	case n.either && d.sign == 0:
		if row >= 0 {
			d.leaveOpen(openKey{s, c.column - 1, n.decimal}, row)
		}
		return n.decimal
	}
	sign := n.decimal
	if n.either {
		sign = d.sign
	}
	if n.either && sign != n.decimal {
		n.group = n.decimal
	}
	d.group = cmp.Or(d.group, n.group)
	return sign
}

// place is where a cell stands and its text, before it is worth a Cell.
type place struct {
	text         []byte
	line, column int
}

func (p place) cell() Cell { return Cell{Text: string(p.text), Line: p.line, Column: p.column} }

// decisive takes note of a cell that has only one reading.
func (d *decimals) decisive(sign rune, s *Sheet, c place) {
	switch {
	case d.sign == 0:
		d.sign, d.by = sign, evidence{c.cell(), s}
	case d.sign != sign:
		if d.clashes == 0 {
			d.clash = evidence{c.cell(), s}
		}
		d.clashes++
	}
}

// leaveOpen remembers a cell, in the run of the one above it where that is
// open too.
func (d *decimals) leaveOpen(key openKey, row int) {
	if i, ok := d.last[key]; ok && d.open[i].first+d.open[i].rows == row {
		d.open[i].rows++
		return
	}
	if d.last == nil {
		d.last = make(map[openKey]int)
	}
	d.last[key] = len(d.open)
	d.open = append(d.open, openRun{openKey: key, first: row, rows: 1})
}

// seeOdd looks for numbers inside a cell that is not a plain one, such as
// “116,5 fc”, and takes note of decisive ones.
func (d *decimals) seeOdd(s *Sheet, c place) {
	for token := range numberTokens(c.text) {
		if n := scanNumeral(c.text[token[0]:token[1]]); n.decimal != 0 && !n.either {
			d.decisive(n.decimal, s, c)
		}
	}
}

// numberTokens yields where in a text something stands that looks like an
// unsigned number: a run of digits with points and commas inside. Runs that
// belong to a time or a word are left out, and “..” divides two numbers.
func numberTokens(text []byte) func(yield func([2]int) bool) {
	return func(yield func([2]int) bool) {
		for i := 0; i < len(text); {
			if !numberByte(text[i]) {
				i++
				continue
			}
			start := i
			for i < len(text) && numberByte(text[i]) && !bytes.HasPrefix(text[i:], []byte("..")) {
				i++
			}
			end := i
			for bytes.HasPrefix(text[i:], []byte(".")) {
				i++ // the dots of a range, or of an ellipsis
			}
			for end > start && text[end-1]-'0' > 9 {
				end-- // punctuation
			}
			before, _ := utf8.DecodeLastRune(text[:start])
			after, _ := utf8.DecodeRune(text[end:])
			if end == start || before == ':' || after == ':' || unicode.IsLetter(before) || before == '_' {
				continue
			}
			if !yield([2]int{start, end}) {
				return
			}
		}
	}
}

func numberByte(c byte) bool { return c-'0' <= 9 || c == '.' || c == ',' }

// settle ends the reading: it puts the open cells right, or reports them, and
// fills in the dialects.
func (d *decimals) settle(sheets []*Sheet, errs *errorList) {
	if d.sign == 0 && len(d.open) > 0 {
		d.askNotes(sheets)
	}
	for _, o := range d.open {
		d.settleRun(o, errs)
	}
	if d.clashes > 0 {
		where := "on line " + strconv.Itoa(d.by.Line)
		if d.by.sheet != d.clash.sheet {
			where += " of sheet " + d.by.sheet.Name
		}
		e := d.clash.sheet.Error(d.clash.Cell, "a "+signWord(d.sign)+" as in "+quoteShort(d.by.Text)+" "+where)
		if d.clashes > 1 {
			e.Expected += " (the first of " + strconv.Itoa(d.clashes) + " such cells)"
		}
		errs.add(e)
	}
	for _, s := range sheets {
		s.Dialect.Decimal, s.Dialect.Group = '.', d.group
		if d.sign != 0 {
			s.Dialect.Decimal, s.Dialect.Settled, s.Dialect.SettledBy = d.sign, true, d.by.Cell
		}
	}
}

// settleRun puts a run of open cells right, or reports them.
func (d *decimals) settleRun(o openRun, errs *errorList) {
	col := &o.sheet.Columns[o.column]
	// Semicolons stand where commas are busy as decimal signs, so that a point
	// may part thousands there as well.
	open := d.sign == 0 && (o.sign == ',' || o.sheet.Dialect.Delimiter == ';')
	decimal := cmp.Or(d.sign, '.') == o.sign
	if !open && decimal {
		return // read as what it is
	}
	if !open && d.group == 0 {
		d.group = o.sign
	}
	for row := o.first; row < o.first+o.rows; row++ {
		whole := thousands(col.Num[row])
		if !open {
			col.Num[row] = whole
			continue
		}
		c := o.sheet.Cell(row, o.column)
		if col.Want == Number {
			c.Text = groupedText(whole, string(o.sign))
		}
		errs.add(o.sheet.Error(c, settleAdvice(c.Text, string(o.sign))))
		col.Num[row] = math.NaN()
	}
}

func signWord(sign rune) string {
	if sign == ',' {
		return "decimal comma"
	}
	return "decimal point"
}

// askNotes lets the numbers in the notes settle the sign where no cell of the
// table does, as long as they agree.
func (d *decimals) askNotes(sheets []*Sheet) {
	var asked decimals
	for _, s := range sheets {
		for _, note := range s.Notes {
			for token := range numberTokens([]byte(note.Value)) {
				text := []byte(note.Value)[token[0]:token[1]]
				if n := scanNumeral(text); n.decimal != 0 && !n.either {
					asked.decisive(n.decimal, s, place{text, note.Line, note.Column})
				}
			}
		}
	}
	if asked.clashes == 0 {
		d.sign, d.by = asked.sign, asked.by
	}
}

// settleAdvice says how to make clear what 1,234 or 1.234 means.
func settleAdvice(text, sign string) string {
	plain := strings.ReplaceAll(text, sign, "")
	word := map[string]string{",": "comma", ".": "point"}[sign]
	return plain + " or " + text + "0, to settle whether the " + word + " marks thousands or decimals (one cell that shows it settles the whole file)"
}

// groupedText writes a whole number of four to six digits as 1,234.
func groupedText(v float64, sign string) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	return s[:len(s)-3] + sign + s[len(s)-3:]
}
