package lm63

import (
	"regexp"
	"strconv"
	"strings"
)

// Generation is the edition of the standard that a file follows, by its year:
// 1986, 1991, 1995, 2002 or 2019.
type Generation int

// generations are the known ones, newest first.
var generations = [...]Generation{2019, 2002, 1995, 1991, 1986}

// Keyword is one labelled line of a file, [NAME] value. A line [MORE] is part of
// the value before it, after a line feed.
type Keyword struct {
	Name, Value string
	Line        int
}

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

// header is the part of a file before the numbers.
type header struct {
	generation Generation
	keywords   []Keyword
	notes      []string
	// more are the [MORE] lines of the last keyword.
	more []string
}

// tiltWord matches “TILT =” at the start of a line, tiltInside inside one. Other
// formats have tilt lines too, so the latter requires NONE or INCLUDE.
var (
	tiltWord   = regexp.MustCompile(`(?im)^[ \t]*(TILT[ \t]*=)`)
	tiltInside = regexp.MustCompile(`(?i)\b(TILT[ \t]*=)[ \t]*(?:NONE|INCLUDE)\b`)
)

// readHeader reads everything up to and including “TILT=” and returns it with a
// reader of the tokens after it. It returns false for other file formats.
func readHeader(text string, r *report) (header, *tokenReader, bool) {
	place := tiltWord.FindStringSubmatchIndex(text)
	inside := place == nil
	if inside {
		place = tiltInside.FindStringSubmatchIndex(text)
	}
	if place == nil {
		return header{}, nil, false
	}
	w := newTokenReader(text, place[3], r)
	h := header{generation: 1986}
	if inside {
		r.warn(1+strings.Count(text[:place[3]], "\n"), "tilt_inline", "TILT= stands inside a line, it belongs at the start of one")
	}
	first := true
	for i, line := range strings.Split(text[:place[2]], "\n") {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		if first {
			first = false
			g, named, known := parseGeneration(line)
			h.generation = g
			if !known {
				r.warn(i+1, "unknown_generation", "%q is none of the known generations of LM-63, read as %d", line, g)
			}
			if named {
				continue
			}
		}
		h.add(line, i+1)
	}
	h.finishKeyword()
	return h, w, true
}

// add adds one line of the header as a keyword or as free text.
func (h *header) add(line string, number int) {
	end := strings.IndexByte(line, ']')
	if line[0] != '[' || end < 2 {
		h.notes = append(h.notes, line)
		return
	}
	name, value := strings.ToUpper(strings.TrimSpace(line[1:end])), strings.TrimSpace(line[end+1:])
	if name == "MORE" && len(h.keywords) > 0 {
		h.more = append(h.more, value)
		return
	}
	h.finishKeyword()
	h.keywords = append(h.keywords, Keyword{Name: name, Value: value, Line: number})
}

// finishKeyword appends the [MORE] lines to the last keyword.
func (h *header) finishKeyword() {
	if len(h.more) > 0 {
		last := &h.keywords[len(h.keywords)-1]
		last.Value += "\n" + strings.Join(h.more, "\n")
		h.more = nil
	}
}
