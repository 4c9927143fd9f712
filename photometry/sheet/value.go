package sheet

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// kind is what a cell is besides its text.
type kind uint8

const (
	blank  kind = iota
	words       // text without a reading
	unread      // says that nothing was read
	number
	over  // more than number, or than the meter can show where that is NaN
	under // less, likewise
)

// value is a cell as a number.
type value struct {
	kind   kind
	number float64 // as typed, times thousand
	part   float64 // of a stop above it, as in 8 1/3
	unit   photometry.Unit
	length float64 // meters, where the cell has a unit of length; else NaN
	doubt  bool
	middle bool // of a range
}

// isReading reports whether the cell says something of a level.
func (v value) isReading() bool { return v.kind >= number }

// level is the value in its unit, or the one of the column, as a number whose ratios are
// those of levels; NaN for a bound.
func (v value) level(unit photometry.Unit) float64 {
	if v.kind != number {
		return math.NaN()
	}
	if v.unit != photometry.NoUnit {
		unit = v.unit
	}
	switch factor, ok := unit.Scale(); {
	case unit == photometry.EV:
		return math.Exp2(v.number + v.part)
	case !ok: // an f-number
		return v.number * v.number * math.Exp2(v.part)
	default:
		return v.number * factor
	}
}

const digits = `[-+−]?(?:\d{1,3}(?:[ \x{a0}\x{202f}\x{2009}'’]\d{3})+|\d+)?(?:[.,]\d+)*[.,]?(?:[eE][-+]?\d+)?`

var (
	// valueShape has mark, number, fraction, rest.
	valueShape = regexp.MustCompile(`^([~≈<>≤≥]|(?i:c(?:a|irca)?\.?|env\.?|approx\.?|about|etwa|circa)\s)?\s*(` + digits + `)\s*([-+]?\s*\d{1,2}/\d{1,2}|[½⅓⅔¼¾])?\s*(\D.*)?$`)
	rangeShape = regexp.MustCompile(`^(` + digits + `)\s*(?:-|–|—|\.\.+|…|to|bis|a|à|tot|/)\s*(` + digits + `)\s*(\D.*)?$`)
	stopPrefix = regexp.MustCompile(`^(?i:(f)\s*/?|(ev))\s*(\d.*)$`)
	grouped    = regexp.MustCompile(`(\d) (\d{3})`)
)

// parse reads a cell with a decimal sign.
func parse(c table.RawCell, decimal rune) value {
	v := value{length: math.NaN()}
	text := strings.TrimSpace(c.Text)
	class := schema.WordClass(0)
	if !isWhole(text) {
		class = schema.ClassOfCell(text)
	}
	switch {
	case c.NoValue:
		v.kind = words
		return v
	case text == "":
		return v
	case c.Number || isWhole(text):
		v.number, _ = strconv.ParseFloat(text, 64)
		v.kind = number
		return v
	case class&schema.NotReadWord != 0 || strings.Trim(text, "-–—_=.") == "":
		v.kind = unread
		return v
	case class&schema.OverWord != 0:
		v.kind, v.number = over, math.NaN()
		return v
	case class&schema.UnderWord != 0:
		v.kind, v.number = under, math.NaN()
		return v
	}
	v.kind = words
	v.read(text, decimal)
	return v
}

// isWhole reports whether a text is digits alone, which every reader reads alike.
func isWhole(text string) bool {
	for i := range len(text) {
		if text[i]-'0' > 9 {
			return false
		}
	}
	return text != ""
}

// read reads a text with a number; the kind stays words where it is none.
func (v *value) read(text string, decimal rune) {
	text, v.doubt = withoutDoubt(text)
	if evAtISO.MatchString(strings.ToLower(text)) && strings.HasSuffix(text, "00") {
		return // the name of a unit
	}
	if m := stopPrefix.FindStringSubmatch(text); m != nil {
		if text, v.unit = m[3], photometry.FStop; m[2] != "" {
			v.unit = photometry.EV
		}
	}
	if m := rangeShape.FindStringSubmatch(text); m != nil {
		lo, okLo := numeral(m[1], decimal)
		hi, okHi := numeral(m[2], decimal)
		if okLo && okHi && lo > 0 && hi > lo && hi < 2*lo {
			if times, ok := v.takeUnit(m[3]); ok {
				v.kind, v.number, v.middle = number, v.scaled((lo+hi)/2, times), true
				return
			}
		}
	}
	m := valueShape.FindStringSubmatch(text)
	if m == nil {
		return
	}
	n, isNumber := numeral(m[2], decimal)
	times, isUnit := v.takeUnit(m[4])
	if !isNumber || !isUnit {
		v.unit = photometry.NoUnit
		return
	}
	v.kind, v.number, v.part = number, v.scaled(n, times), fraction(m[3])
	switch mark := strings.TrimSpace(m[1]); mark {
	case "":
	case ">", "≥":
		v.kind = over
	case "<", "≤":
		v.kind = under
	default:
		v.doubt = true
	}
}

var (
	// plusMinus has a level, how far off it may be and their unit: 1450 ± 20 lux.
	plusMinus = regexp.MustCompile(`^(.*\d.*?)\s*(?:±|\+/-|\+-)\s*[\d.,]+\s*(\D*)$`)
	// remarked has a level and a remark in parentheses: 530 lux (hand shadow?).
	remarked = regexp.MustCompile(`^(.*\d.*?)\s*\(([^()]*[^()\d\s][^()]*)\)$`)
	// enclosed is a level in parentheses.
	enclosed = regexp.MustCompile(`^\(\s*(\d[^()]*)\)(.*)$`)
)

// withoutDoubt takes what says that a level is not sure off a text: a question mark, an
// asterisk, words such as approx, parentheses around it, a remark behind it that asks or
// follows a unit, and ± with how far off it may be.
func withoutDoubt(text string) (level string, doubt bool) {
	if m := plusMinus.FindStringSubmatch(text); m != nil {
		text, doubt = m[1], true
		if unit, _ := unitOf(m[2]); unit != photometry.NoUnit && unit != photometry.Percent {
			text += " " + m[2]
		}
	}
	if m := remarked.FindStringSubmatch(text); m != nil {
		u, _ := unitOf(m[2])
		level := value{length: math.NaN()}
		if u == photometry.NoUnit && !doubt {
			level.read(m[1], '.')
		}
		if u == photometry.NoUnit && (doubt || strings.HasSuffix(m[2], "?") || isDoubt(m[2]) || level.unit != photometry.NoUnit) {
			text, doubt = m[1], true
		}
	}
	if m := enclosed.FindStringSubmatch(text); m != nil {
		text, doubt = m[1]+m[2], true
	}
	text = strings.TrimSpace(text)
	for _, mark := range []string{"(?)", "??", "?", "*", " or so"} {
		if cut, ok := strings.CutSuffix(text, mark); ok {
			doubt, text = true, strings.TrimSpace(cut)
		}
	}
	if at := strings.LastIndexByte(text, ' '); at > 0 && isDoubt(text[at:]) {
		doubt, text = true, strings.TrimRight(text[:at], " ,;")
	}
	if at := strings.IndexAny(text, " 0123456789"); at > 0 && isDoubt(text[:at]) {
		doubt, text = true, strings.TrimSpace(text[at:])
	}
	return text, doubt
}

// isDoubt reports whether all words of a text say that a level is not sure.
func isDoubt(text string) bool {
	tokens := schema.Words(text)
	return len(tokens) > 0 && !slices.ContainsFunc(tokens, func(t string) bool { return schema.ClassOf(t)&schema.DoubtWord == 0 })
}

// numeral reads a number with a decimal sign and the other one, or spaces, between
// groups of three digits.
func numeral(text string, decimal rune) (float64, bool) {
	text = strings.TrimSpace(text)
	for grouped.MatchString(text) {
		text = grouped.ReplaceAllString(text, "$1\u00a0$2")
	}
	n, err := table.Dialect{Decimal: decimal, Settled: true}.Number(text)
	return n, err == nil
}

// fraction reads a fraction with a sign or without, 0 where there is none.
func fraction(text string) float64 {
	f, _ := photometry.ParseFraction(strings.ReplaceAll(strings.TrimLeft(text, "+- "), " ", ""))
	if strings.HasPrefix(text, "-") {
		return -f
	}
	return f
}

// takeUnit reads what follows a number, and what that is multiplied by; false where it is
// no unit.
func (v *value) takeUnit(text string) (times float64, ok bool) {
	text = strings.TrimSpace(strings.TrimRight(text, " .;!"))
	meters, isLength := table.LengthFactor(text)
	unit, times := unitOf(text)
	switch {
	case text == "":
	case isLength:
		v.length = meters
	case strings.EqualFold(text, "k"):
		times = 1000
	case unit == photometry.NoUnit:
		return 1, false
	default:
		v.unit = unit
	}
	return times, true
}

// scaled is a number as its units; a length becomes one in meters.
func (v *value) scaled(n, times float64) float64 {
	n *= times
	if !math.IsNaN(v.length) {
		v.length *= n
	}
	return n
}

// unitOf is the unit of levels that a text names, and what its numbers are multiplied
// by.
func unitOf(text string) (unit photometry.Unit, times float64) {
	if u, ok := photometry.ParseUnit(text); ok {
		return u, 1
	}
	switch fields := schema.Words(text); {
	case len(fields) == 1 && evAtISO.MatchString(fields[0]):
		return photometry.EV, 1
	case len(fields) == 1 && schema.ClassOf(fields[0])&schema.KiloluxWord != 0:
		return photometry.LX, 1000
	case len(fields) == 2:
		if u, ok := photometry.ParseUnit(fields[0] + "-" + fields[1]); ok {
			return u, 1
		}
	case len(fields) == 1:
		for class, u := range unitWords {
			if schema.ClassOf(fields[0])&class != 0 {
				return u, 1
			}
		}
	}
	return photometry.NoUnit, 1
}

// evAtISO is the unit of exposure values at an ISO speed, such as EV100.
var evAtISO = regexp.MustCompile(`^ev(\d{2,5})$`)

var unitWords = map[schema.WordClass]photometry.Unit{schema.LuxWord: photometry.LX, schema.FootcandleWord: photometry.FC, schema.EVWord: photometry.EV, schema.FNumberWord: photometry.FStop}
