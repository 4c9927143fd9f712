package lm63

import (
	"bytes"
	"strconv"
	"strings"
)

// signatures are how files of other kinds begin.
var signatures = []struct{ start, what string }{
	{"%PDF-", "a PDF document"},
	{"PK\x03\x04", "a zip archive or a workbook"},
	{"\x1f\x8b", "a gzip archive"},
	{"\x89PNG", "a PNG picture"},
	{"\xff\xd8\xff", "a JPEG picture"},
	{"{\\rtf", "a text document (RTF)"},
}

// looksLike says in words what a file is that is not of the standard.
func looksLike(raw []byte, text string) string {
	trimmed := strings.TrimSpace(text)
	if trimmed == "" {
		return "an empty file"
	}
	for _, s := range signatures {
		if bytes.HasPrefix(raw, []byte(s.start)) {
			return s.what
		}
	}
	if strings.ContainsRune(text, 0) {
		return "binary data"
	}
	lower := strings.ToLower(trimmed[:min(len(trimmed), 64)])
	switch {
	case strings.HasPrefix(lower, "<!doctype html"), strings.HasPrefix(lower, "<html"):
		return "a web page"
	case lower[0] == '<':
		return "an XML file"
	case lower[0] == '{' || strings.HasPrefix(lower, "[{"):
		return "a JSON file"
	}
	lines := strings.Split(trimmed, "\n")
	switch {
	case europeanLines(lines):
		return "a EULUMDAT file, the other format of luminaires"
	}
	for _, mark := range []string{";", "\t", ","} {
		if n := strings.Count(lines[0], mark); n >= 2 && len(lines) > 1 && strings.Count(lines[1], mark) == n {
			return "a table, such as CSV"
		}
	}
	if _, named, _ := generationOf(lines[0]); named {
		return "a header of LM-63 without a line TILT="
	}
	return "text without a line TILT="
}

// europeanLines reports whether the lines begin as EULUMDAT does: a name, then
// a line each for the type (1 to 3), the symmetry (0 to 4), the number of
// planes, and the distance between them.
func europeanLines(lines []string) bool {
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
