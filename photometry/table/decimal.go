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

// decimals finds whether a file has decimal points or decimal commas, from the cells
// of its number columns as they are read. Ambiguous cells before the first decisive
// one are remembered and corrected at the end, so that no file is read twice.
type decimals struct {
	sign  rune // '.' or ','; 0 while undecided
	by    evidence
	group rune

	conflicts int      // decisive cells with the other sign
	conflict  evidence // the first of them

	open []ambiguousRun
	last map[ambiguousKey]int // the last run of each
}

// evidence is a cell that decides the decimal sign.
type evidence struct {
	Cell
	sheet *Sheet
}

// ambiguousRun is a run of consecutive cells of a column that can be read in two
// ways.
type ambiguousRun struct {
	ambiguousKey
	first, rows int
}

type ambiguousKey struct {
	sheet  *Sheet
	column int
	sign   rune // '.' or ',', the decimal one or between groups
}

// observe records a number cell and returns the decimal sign to read it with. row is
// the data row, or -1 for a cell that is not corrected later.
func (d *decimals) observe(n numeral, s *Sheet, row int, c place) rune {
	switch {
	case n.decimal != 0 && !n.ambiguous:
		d.observeDecisive(n.decimal, s, c)
	case n.ambiguous && d.sign == 0:
		if row >= 0 {
			d.addAmbiguous(ambiguousKey{s, c.column - 1, n.decimal}, row)
		}
		return n.decimal
	}
	sign := n.decimal
	if n.ambiguous {
		sign = d.sign
	}
	if n.ambiguous && sign != n.decimal {
		n.group = n.decimal
	}
	d.group = cmp.Or(d.group, n.group)
	return sign
}

// place is the position and text of a cell, before a Cell is allocated.
type place struct {
	text         []byte
	line, column int
}

func (p place) cell() Cell { return Cell{Text: string(p.text), Line: p.line, Column: p.column} }

// observeDecisive records a cell that can be read in only one way.
func (d *decimals) observeDecisive(sign rune, s *Sheet, c place) {
	switch {
	case d.sign == 0:
		d.sign, d.by = sign, evidence{c.cell(), s}
	case d.sign != sign:
		if d.conflicts == 0 {
			d.conflict = evidence{c.cell(), s}
		}
		d.conflicts++
	}
}

// addAmbiguous records a cell, in the run of the one above it where that is
// ambiguous too.
func (d *decimals) addAmbiguous(key ambiguousKey, row int) {
	if i, ok := d.last[key]; ok && d.open[i].first+d.open[i].rows == row {
		d.open[i].rows++
		return
	}
	if d.last == nil {
		d.last = make(map[ambiguousKey]int)
	}
	d.last[key] = len(d.open)
	d.open = append(d.open, ambiguousRun{ambiguousKey: key, first: row, rows: 1})
}

// observeOdd looks for numbers in a cell that is not a plain number, such as
// “116,5 fc”, and records decisive ones.
func (d *decimals) observeOdd(s *Sheet, c place) {
	for token := range numberTokens(c.text) {
		if n := scanNumeral(c.text[token[0]:token[1]]); n.decimal != 0 && !n.ambiguous {
			d.observeDecisive(n.decimal, s, c)
		}
	}
}

// numberTokens yields the ranges of a text that look like unsigned numbers: digits
// with points and commas. Those in a time or a word are excluded, and “..” separates
// two numbers.
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

// resolve corrects the ambiguous cells after the reading, or reports them, and fills
// in the dialects.
func (d *decimals) resolve(sheets []*Sheet, errs *errorList) {
	if d.sign == 0 && len(d.open) > 0 {
		d.decideFromNotes(sheets)
	}
	for _, o := range d.open {
		d.resolveRun(o, errs)
	}
	if d.conflicts > 0 {
		where := "on line " + strconv.Itoa(d.by.Line)
		if d.by.sheet != d.conflict.sheet {
			where += " of sheet " + d.by.sheet.Name
		}
		e := d.conflict.sheet.Error(d.conflict.Cell, "a "+describeSign(d.sign)+" as in "+quoteShort(d.by.Text)+" "+where)
		if d.conflicts > 1 {
			e.Expected += " (the first of " + strconv.Itoa(d.conflicts) + " such cells)"
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

// resolveRun corrects a run of ambiguous cells, or reports them.
func (d *decimals) resolveRun(o ambiguousRun, errs *errorList) {
	col := &o.sheet.Columns[o.column]
	// Files with semicolons often have decimal commas, so that a point may separate
	// thousands.
	open := d.sign == 0 && (o.sign == ',' || o.sheet.Dialect.Delimiter == ';')
	decimal := cmp.Or(d.sign, '.') == o.sign
	if !open && decimal {
		return // read as what it is
	}
	if !open && d.group == 0 {
		d.group = o.sign
	}
	for row := o.first; row < o.first+o.rows; row++ {
		whole := asThousands(col.Num[row])
		if !open {
			col.Num[row] = whole
			continue
		}
		c := o.sheet.Cell(row, o.column)
		if col.Want == Number {
			c.Text = groupedText(whole, string(o.sign))
		}
		errs.add(o.sheet.Error(c, ambiguityAdvice(c.Text, string(o.sign))))
		col.Num[row] = math.NaN()
	}
}

func describeSign(sign rune) string {
	if sign == ',' {
		return "decimal comma"
	}
	return "decimal point"
}

// decideFromNotes takes the decimal sign of the numbers in the notes where no cell of
// the table decides and they agree.
func (d *decimals) decideFromNotes(sheets []*Sheet) {
	var asked decimals
	for _, s := range sheets {
		for _, note := range s.Notes {
			for token := range numberTokens([]byte(note.Value)) {
				text := []byte(note.Value)[token[0]:token[1]]
				if n := scanNumeral(text); n.decimal != 0 && !n.ambiguous {
					asked.observeDecisive(n.decimal, s, place{text, note.Line, note.Column})
				}
			}
		}
	}
	if asked.conflicts == 0 {
		d.sign, d.by = asked.sign, asked.by
	}
}

// ambiguityAdvice says how to write 1,234 or 1.234 unambiguously.
func ambiguityAdvice(text, sign string) string {
	plain := strings.ReplaceAll(text, sign, "")
	word := map[string]string{",": "comma", ".": "point"}[sign]
	return plain + " or " + text + "0, to settle whether the " + word + " marks thousands or decimals (one cell that shows it settles the whole file)"
}

// groupedText writes a whole number of four to six digits as 1,234.
func groupedText(v float64, sign string) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	return s[:len(s)-3] + sign + s[len(s)-3:]
}
