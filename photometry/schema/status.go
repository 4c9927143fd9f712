package schema

import "strings"

// Status is what somebody answered about a reading.
type Status uint8

// The answers. Words that a person has for purposes of their own are OwnWords, and count
// like an empty cell.
const (
	Counts      Status = iota
	Confirmed          // right TEXT: the level is right as it is, for as long as its cell is TEXT
	LeftOut            // again, out: it does not count
	Conflicting        // conflict: one of several first readings at its place
	OwnWords
)

// ParseStatus reads a cell of the column status beside the level of its row as it is
// written. A confirmation of another level is void.
func ParseStatus(text, level string, number func(string) (float64, error)) Status {
	word, of, _ := strings.Cut(strings.TrimSpace(text), " ")
	of = strings.TrimSpace(of)
	switch word = strings.ToLower(word); {
	case word == "":
		return Counts
	case word == "right" && of != "":
		if of == level {
			return Confirmed
		}
		a, errA := number(of)
		b, errB := number(level)
		if errA == nil && errB == nil && a == b { // 96.0, which tables keep as 96
			return Confirmed
		}
		return Counts
	case of != "":
	case word == "again" || word == "out":
		return LeftOut
	case word == "conflict":
		return Conflicting
	}
	return OwnWords
}
