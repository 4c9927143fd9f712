package lm63

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// Generation is the edition of the standard that a file follows, by its year:
// 1986, 1991, 1995, 2002 or 2019.
type Generation int

// generations are the known ones, newest first.
var generations = [...]Generation{2019, 2002, 1995, 1991, 1986}

// headerLine matches the first line of all generations but 1986, which had
// none: IESNA91, IESNA:LM-63-1995, IESNA:LM-63-2002, IES:LM-63-2019, and years
// of two digits.
var headerLine = regexp.MustCompile(`(?i)^(?:ANSI/)?(?:IESNA(\d\d)|IES(?:NA)?[\s:]+LM[- ]?63[- ](\d{4}|\d\d))(?:\s|$)`)

// parseGeneration returns the generation that a first line names, whether it names
// one, and whether that year is one of the five; an unknown year counts as the
// generation before it.
func parseGeneration(line string) (g Generation, named, known bool) {
	m := headerLine.FindStringSubmatch(strings.TrimSpace(line))
	if m == nil {
		return 1986, false, true
	}
	year, _ := strconv.Atoi(m[1] + m[2])
	switch {
	case year < 70:
		year += 2000
	case year < 100:
		year += 1900
	}
	for _, g := range generations {
		if int(g) <= year {
			return g, true, int(g) == year
		}
	}
	return 1986, true, false
}

// tiltWord matches “TILT =” at the start of a line, tiltInside inside one. Other
// formats have tilt lines too, so the latter requires NONE or INCLUDE.
var (
	tiltWord   = regexp.MustCompile(`(?im)^[ \t]*(TILT[ \t]*=)`)
	tiltInside = regexp.MustCompile(`(?i)\b(TILT[ \t]*=)[ \t]*(?:NONE|INCLUDE)\b`)
)

// readHeader reads everything up to and including “TILT=” and returns the generation
// that the first line names with a reader of the tokens after it. What else the header
// says counts for nothing. It returns no reader for other file formats.
func readHeader(text string, r *report) (g Generation, w *tokenReader) {
	place := tiltWord.FindStringSubmatchIndex(text)
	inside := place == nil
	if inside {
		place = tiltInside.FindStringSubmatchIndex(text)
	}
	if place == nil {
		return 0, nil
	}
	w = newTokenReader(text, place[3], r)
	if inside {
		r.warn(1+strings.Count(text[:place[3]], "\n"), "tilt_inline", "TILT= stands inside a line, it belongs at the start of one")
	}
	before := strings.TrimLeftFunc(text[:place[2]], unicode.IsSpace)
	line, _, _ := strings.Cut(before, "\n")
	line = strings.TrimSpace(line)
	g, _, known := parseGeneration(line)
	if !known {
		r.warn(1+strings.Count(text[:place[2]-len(before)], "\n"), "unknown_generation", "%q is none of the known generations of LM-63, read as %d", line, g)
	}
	return g, w
}
