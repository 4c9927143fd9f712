package table

import (
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Field is a column that a table may have.
type Field struct {
	Name    string   // as shown to people
	Aliases []string // other names for it
	Units   []string // the units it may be in; the first is canonical
}

// ParseHeader splits a header cell into a name and a unit: "x (m)", "x [m]",
// "x_m", "E (lx)", "E_lx". The name is in lower case with single spaces, with
// ' for every kind of prime and quote and plain digits for superscripts; the
// unit keeps its case. A header without a unit has unit "".
//
// ParseHeader does not know the names of a table: it takes anything after the last
// underscore for a unit. See Match for names such as aim_x.
func ParseHeader(text string) (name, unit string) {
	text = foldSpace(foldPrimes(text))
	if name, unit, ok := splitBrackets(text); ok {
		return foldName(name), unit
	}
	name, unit, _ = splitUnderscore(text)
	return foldName(name), unit
}

// splitUnderscore splits “name_unit”.
func splitUnderscore(text string) (name, unit string, ok bool) {
	i := strings.LastIndexByte(text, '_')
	if i <= 0 || i == len(text)-1 {
		return text, "", false
	}
	return text[:i], text[i+1:], true
}

// splitBrackets splits “name (unit)” and “name [unit]”.
func splitBrackets(text string) (name, unit string, ok bool) {
	for _, pair := range []string{"()", "[]"} {
		open := strings.LastIndexByte(text, pair[0])
		if open > 0 && strings.HasSuffix(text, pair[1:]) {
			return strings.TrimSpace(text[:open]), strings.TrimSpace(text[open+1 : len(text)-1]), true
		}
	}
	return text, "", false
}

// Match finds the field that a header cell names, whatever its case. The
// whole text is tried as a name first (an underscore counts as a space), so
// that "aim_x" is aim x; then name and unit. After an underscore only a unit
// of the field or a unit of length counts as one, after a space only a unit of the
// field: "E lx". Accents do not count, and ß is ss.
//
// The unit is spelled as in the field's Units where it is one of them (including the
// long names of lengths: "feet" is "ft"), otherwise as written, which the caller
// should report as an error; "" where the header has none. Where no field matches,
// index is -1 and nearestName is the field name with the fewest edits, however
// many, so that a caller can ask whether that was meant; it is "" only where fields
// is empty.
func Match(fields []Field, header string) (index int, unit string, nearestName string) {
	index, unit = Find(fields, header)
	if index >= 0 {
		return index, unit, fields[index].Name
	}
	nearest, _ := Nearest(fields, header)
	return -1, "", nearest
}

// Find is Match without the nearest name of a header that matches no field.
func Find(fields []Field, header string) (index int, unit string) {
	text := foldSpace(foldPrimes(foldAccents(header)))
	if i := findField(fields, foldName(text)); i >= 0 {
		return i, ""
	}
	if name, unit, ok := splitBrackets(text); ok {
		if i := findField(fields, foldName(name)); i >= 0 {
			return i, spellUnit(fields[i].Units, unit)
		}
		return -1, ""
	}
	name, unit, ok := splitUnderscore(text)
	if i := findField(fields, foldName(name)); ok && i >= 0 {
		unit = spellUnit(fields[i].Units, unit)
		if _, length := LengthFactor(unit); length || slices.Contains(fields[i].Units, unit) {
			return i, unit
		}
	}
	if space := strings.LastIndexByte(text, ' '); space > 0 {
		if i := findField(fields, foldName(text[:space])); i >= 0 {
			if unit = spellUnit(fields[i].Units, text[space+1:]); slices.Contains(fields[i].Units, unit) {
				return i, unit
			}
		}
	}
	return -1, ""
}

// foldAccents removes accents from letters and writes ß as ss.
func foldAccents(s string) string {
	if isASCII(s) {
		return s
	}
	bare := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(s))
	return strings.ReplaceAll(bare, "ß", "ss")
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// Nearest returns the name of the field whose name or alias has the fewest edits from
// a header (letters inserted, deleted or changed), and how many; "" where fields is
// empty.
func Nearest(fields []Field, header string) (name string, edited int) {
	text := foldSpace(foldPrimes(foldAccents(header)))
	bare, _ := ParseHeader(text)
	tries := [][]rune{nameRunes(foldName(text)), nameRunes(bare)}
	found, least := "", longestName+1
	for _, f := range fields {
		for _, known := range append([]string{f.Name}, f.Aliases...) {
			name := nameRunes(foldDeclared(known))
			for _, written := range tries {
				if max(len(name)-len(written), len(written)-len(name)) >= least {
					continue // at least as many edits
				}
				if d := editDistance(name, written); d < least {
					least, found = d, f.Name
				}
			}
		}
	}
	if found == "" {
		return "", 0
	}
	return found, least
}

// longestName is longer than any known header, in letters; the rest of one is not compared.
const longestName = 32

func nameRunes(name string) []rune {
	runes := []rune(name[:min(len(name), longestName*utf8.UTFMax)])
	return runes[:min(len(runes), longestName)]
}

// IndexOf is the index of the field with a name, whatever its case and accents, -1 for
// none.
func IndexOf(fields []Field, name string) int { return findField(fields, Fold(name)) }

// findField returns the index of the field with this folded name, -1 for
// none.
func findField(fields []Field, name string) int {
	for i, f := range fields {
		if foldDeclared(f.Name) == name {
			return i
		}
		for _, alias := range f.Aliases {
			if foldDeclared(alias) == name {
				return i
			}
		}
	}
	return -1
}

// spellUnit returns the unit as spelled in units, or unchanged.
func spellUnit(units []string, unit string) string {
	length, isLength := findLength(unit)
	for _, u := range units {
		if foldUnit(u) == foldUnit(unit) || isLength && u == length.name {
			return u
		}
	}
	return unit
}

// foldName normalizes a header's name for comparison.
func foldName(s string) string {
	if isFoldedName(s) {
		return s
	}
	return foldSpace(strings.ReplaceAll(strings.ToLower(foldPrimes(s)), "_", " "))
}

// foldDeclared is foldName for the names of fields, which are few and looked for often.
func foldDeclared(name string) string {
	if isFoldedName(name) {
		return name
	}
	if folded, ok := declared.Load(name); ok {
		return folded.(string)
	}
	folded := foldName(name)
	declared.Store(name, folded)
	return folded
}

var declared sync.Map // of names, folded

// isFoldedName reports whether a name is normalized already, as most known ones are.
func isFoldedName(s string) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-':
		case c == ' ' && i > 0 && i+1 < len(s) && s[i-1] != ' ':
		default:
			return false
		}
	}
	return true
}

// foldUnit normalizes a unit for comparison.
func foldUnit(s string) string {
	return strings.ReplaceAll(foldSpace(strings.ToLower(foldPrimes(s))), " ", "")
}

// foldSpace trims a text and makes each run of white space in it one space.
func foldSpace(s string) string { return strings.Join(strings.Fields(s), " ") }

// primes replaces the characters that keyboards and word processors write for ' and
// ", superscripts, and signs with more than one code point.
var primes = strings.NewReplacer(
	"’", "'", "‘", "'", "′", "'", "ʹ", "'", "´", "'", "`", "'",
	"”", `"`, "“", `"`, "″", `"`, "''", `"`, "′′", `"`, "’’", `"`,
	"²", "2", "³", "3", "\u00b5", "μ", "−", "-", "⋅", "·",
)

func foldPrimes(s string) string {
	if isASCII(s) && !strings.ContainsAny(s, "'`") {
		return s
	}
	return primes.Replace(s)
}

// editDistance counts the letters to insert, delete, change or swap with a neighbor
// to get from s to t (optimal string alignment distance).
func editDistance(s, t []rune) int {
	before := make([]int, len(t)+1)
	last := make([]int, len(t)+1)
	row := make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row[0] = i
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(t)]
}
