package table

import (
	"math"
	"strconv"
)

// powersOfTen are the powers that a float64 holds exactly.
var powersOfTen = [23]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// undecided stands for a decimal sign that is not known: a byte that never
// comes behind the digits of a number.
const undecided = '0'

// lineEnds notes which line ends were seen.
type lineEnds struct{ lf, crlf, cr bool }

// fast reads plain lines from the start of buf, which must end at a line end,
// straight into the columns, and returns how many bytes and lines it took. It
// stops, without a trace of the line, before any line that is not plain:
// quotes inside cells, remarks, blank lines, characters outside ASCII, cells
// that are not plain decimal numbers where numbers are wanted, more cells than
// the header. These are for the parser of records, and both must agree on
// every line.
//
// bare and quoted are the decimal signs in cells without and with quotes
// around them, once that is settled, and undecided before: then only whole
// numbers are plain.
//
// A number with mantissa m < 2^53 and k ≤ 22 decimals is m/10^k, both exact,
// so that the one rounding of the division gives the nearest float64, as
// strconv.ParseFloat does (W. D. Clinger, How to read floating point numbers
// accurately, PLDI 1990).
func (b *builder) fast(buf []byte, delimiter, bare, quoted byte, seen *lineEnds) (taken, lines int) {
	var (
		cols = b.sheet.Columns
		num  = b.now.num
		text = b.now.text
		nan  = math.NaN()
		row  = b.row
		lf   = seen.lf
		crlf = seen.crlf
		cr   = seen.cr
		p    = 0
	)
rows:
	for row < b.size && p < len(buf) {
		switch c := buf[p]; c {
		case '#', ' ', '\n', '\r':
			break rows
		case '\t':
			if delimiter != '\t' {
				break rows
			}
		}
		filled := false
		var c byte
		for j := range cols {
			switch cols[j].Want {
			case Number:
				decimal := bare
				c = buf[p]
				quotes := c == '"'
				if quotes {
					decimal = quoted
					p++
					c = buf[p]
				}
				from := p
				minus := c == '-'
				if minus || c == '+' {
					p++
					c = buf[p]
				}
				start := p
				m := uint64(0)
				for c-'0' <= 9 {
					m = m*10 + uint64(c-'0')
					p++
					c = buf[p]
				}
				digits := p - start
				decimals := 0
				if c == decimal {
					p++
					c = buf[p]
					start = p
					for c-'0' <= 9 {
						m = m*10 + uint64(c-'0')
						p++
						c = buf[p]
					}
					decimals = p - start
					digits += decimals
				}
				to := p
				if quotes {
					if c != '"' {
						break rows
					}
					p++
					c = buf[p]
				}
				if c != delimiter && c != '\n' && c != '\r' || digits > 19 {
					break rows
				}
				if digits == 0 {
					if to != from {
						break rows
					}
					num[j][row] = nan
					break
				}
				var v float64
				switch {
				case m < 1<<53:
					v = float64(m)
					if decimals > 0 {
						v /= powersOfTen[decimals]
					}
					if minus {
						v = -v
					}
				case decimal == '.':
					var err error
					if v, err = strconv.ParseFloat(string(buf[from:to]), 64); err != nil {
						break rows
					}
				default:
					break rows
				}
				num[j][row] = v
				filled = true
			default: // Text and Skip
				c = buf[p]
				from, to := p, p
				if c == '"' {
					p++
					c = buf[p]
					from = p
					for c != '"' {
						if c < ' ' || c >= 0x80 {
							break rows
						}
						p++
						c = buf[p]
					}
					to = p
					p++
					c = buf[p]
					if c != delimiter && c != '\n' && c != '\r' {
						break rows
					}
				} else {
					for c != delimiter && c != '\n' && c != '\r' {
						if c < ' ' || c >= 0x80 || c == '"' {
							break rows
						}
						p++
						c = buf[p]
					}
					to = p
				}
				for from < to && buf[from] == ' ' {
					from++
				}
				for from < to && buf[to-1] == ' ' {
					to--
				}
				if j == 0 && from < to && buf[from] == '#' {
					break rows // a remark in quotes
				}
				filled = filled || from < to
				if cols[j].Want == Text {
					text[j][row] = b.words[j].intern(buf[from:to])
				}
			}
			if c != delimiter { // the line ends before the header does
				for j++; j < len(cols); j++ {
					switch cols[j].Want {
					case Number:
						num[j][row] = nan
					case Text:
						text[j][row] = ""
					}
				}
				break
			}
			p++
		}
		if c == delimiter { // more cells than the header, which may be empty
			for p < len(buf) && buf[p] == delimiter {
				p++
			}
			if c = buf[p]; c != '\n' && c != '\r' {
				break rows
			}
		}
		if !filled {
			break rows
		}
		if c == '\n' {
			lf = true
			p++
		} else if p+1 < len(buf) && buf[p+1] == '\n' {
			crlf = true
			p += 2
		} else {
			cr = true
			p++
		}
		taken = p
		lines++
		row++
	}
	seen.lf, seen.crlf, seen.cr = lf, crlf, cr
	b.sheet.Rows += row - b.row
	b.row = row
	return taken, lines
}
