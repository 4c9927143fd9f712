package lm63

import (
	"strconv"
	"strings"
)

// Other file formats are recognized by their first bytes, or by their first text
// after white space, in any case.
var (
	signatures = [][2]string{
		{"%PDF-", "a PDF document"},
		{"PK\x03\x04", "a zip archive or a workbook"},
		{"\x1f\x8b", "a gzip archive"},
		{"\x89PNG", "a PNG picture"},
		{"\xff\xd8\xff", "a JPEG picture"},
		{"{\\rtf", "a text document (RTF)"},
	}
	textPrefixes = [][2]string{
		{"<!doctype html", "a web page"},
		{"<html", "a web page"},
		{"<", "an XML file"},
		{"{", "a JSON file"},
		{"[{", "a JSON file"},
	}
)

// formatByPrefix returns the format whose prefix the text has, empty for none.
func formatByPrefix(text string, kinds [][2]string) string {
	for _, k := range kinds {
		if strings.HasPrefix(text, k[0]) {
			return k[1]
		}
	}
	return ""
}

// describeFormat describes what kind of file this is instead of LM-63.
func describeFormat(raw []byte, text string) string {
	trimmed := strings.TrimSpace(text)
	if trimmed == "" {
		return "an empty file"
	}
	if kind := formatByPrefix(string(raw[:min(len(raw), 8)]), signatures); kind != "" {
		return kind
	}
	if strings.ContainsRune(text, 0) {
		return "binary data"
	}
	if kind := formatByPrefix(strings.ToLower(trimmed[:min(len(trimmed), 64)]), textPrefixes); kind != "" {
		return kind
	}
	lines := strings.Split(trimmed, "\n")
	if isEulumdat(lines) {
		return "a EULUMDAT file, the other format of luminaires"
	}
	for _, mark := range []string{";", "\t", ","} {
		if n := strings.Count(lines[0], mark); n >= 2 && len(lines) > 1 && strings.Count(lines[1], mark) == n {
			return "a table, such as CSV"
		}
	}
	if _, named, _ := parseGeneration(lines[0]); named {
		return "a header of LM-63 without a line TILT="
	}
	return "text without a line TILT="
}

// isEulumdat reports whether the lines begin as EULUMDAT does: a name, then
// a line each for the type (1 to 3), the symmetry (0 to 4), the number of
// planes, and the distance between them.
func isEulumdat(lines []string) bool {
	if len(lines) < 26 {
		return false
	}
	for i, most := range []float64{3, 4, 721, 360} {
		v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(lines[i+1]), ",", ".", 1), 64)
		if err != nil || !(v >= 0 && v <= most) {
			return false
		}
	}
	return true
}
