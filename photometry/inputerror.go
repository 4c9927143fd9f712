package photometry

import (
	"fmt"
	"strings"
)

// InputField is the part of a reading that an InputError is about, by the name of its
// column.
type InputField string

// The parts of a reading that tables of every sort have.
const LevelField InputField = "level"

// InputError is a reading that cannot be used; Index counts readings from 0, -1 is the
// input as a whole.
type InputError struct {
	Index           int
	Field           InputField
	Found, Expected string
}

// Error says what was found and what was expected.
func (e *InputError) Error() string {
	if e.Index < 0 {
		return fmt.Sprintf("found %s, expected %s", e.Found, e.Expected)
	}
	return fmt.Sprintf("reading %d: found %s, expected %s", e.Index+1, e.Found, e.Expected)
}

// InputErrors are all that is wrong with an input.
type InputErrors []*InputError

// Error is the messages, a line each.
func (e InputErrors) Error() string {
	lines := make([]string, len(e))
	for i, one := range e {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// OrNil is e as an error, nil where nothing is wrong.
func (e InputErrors) OrNil() error {
	if len(e) == 0 {
		return nil
	}
	return e
}

// ReadingName names a reading by its line of a table, 0 for none, else by its index.
func ReadingName(line, i int) string {
	if line > 0 {
		return fmt.Sprintf("line %d", line)
	}
	return fmt.Sprintf("reading %d", i+1)
}

// SameName compares names as people write them: case and blanks at the ends do not count.
func SameName(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// NameKey is the same for names that SameName holds to be one.
func NameKey(name string) string { return strings.ToLower(strings.ToUpper(strings.TrimSpace(name))) }
