package table

import "strings"

// runs are the characters with which a spreadsheet program takes a text for a formula,
// and mayRun whether a text would be one but for apostrophes before it.
const runs = "=+-@"

func mayRun(text string) bool {
	text = strings.TrimLeft(text, "'")
	return text != "" && strings.IndexByte(runs, text[0]) >= 0
}

// AsText is a text as a cell of a CSV file that a spreadsheet program does not run as a
// formula: an apostrophe goes before the characters = + - @, but for a number. Tables
// are read without it.
func AsText(text string) string {
	if !mayRun(text) {
		return text
	}
	if _, err := ParseNumber(text); err == nil {
		return text
	}
	return "'" + text
}

// withoutApostrophe is a cell as AsText was given it.
func withoutApostrophe(text []byte) []byte {
	if len(text) > 1 && text[0] == '\'' && mayRun(string(text[1:])) {
		return text[1:]
	}
	return text
}

// FromText is a cell of a CSV file as AsText was given it.
func FromText(cell string) string { return string(withoutApostrophe([]byte(cell))) }
