package schema

import (
	"regexp"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/table"
)

// reader reads the text of a note.
type reader[T any] = func(text string, c Context) (T, error)

// approval keeps a text but for one that says no, which is as if nothing were said.
func approval(text string, _ Context) (string, error) {
	if slices.Contains([]string{"no", "not yet", "nein", "non", "nee"}, strings.ToLower(strings.TrimSpace(text))) {
		return "", nil
	}
	return text, nil
}

// asWritten keeps a text.
func asWritten(text string, _ Context) (string, error) { return text, nil }

// yearLike is a run of digits that is longer than a year, and not a whole date.
var yearLike = regexp.MustCompile(`\d{5,}`)

// shortYear is a whole date with two digits for its year: 02.05.26, 2 May 26 or May 2,
// '26.
var shortYear = regexp.MustCompile(`(?i)^\s*(\d{1,2}\s?[./-]\s?\d{1,2}\s?[./-]\s?'?\d{2}|` +
	dayOfMonth + `\.?[\s-]*` + months + `\.?,?[\s-]+'?\d{2}|` + months + `\.?[\s-]+` + dayOfMonth + `,?\s+'?\d{2})([\s,;)]|$)`)

const dayOfMonth = `\d{1,2}(st|nd|rd|th)?`

// months are the names of months by how they begin.
var months = `(` + strings.Join(strings.Fields(strings.Join(monthNames[:], " ")), "|") + `)\pL*`

// HasShortYear reports whether a text is a date whose year has two digits, which no note
// may have: of the three numbers any may be the year.
func HasShortYear(text string) bool { return shortYear.MatchString(text) }

// date keeps a date as it was written, since people write them in many ways. Which of
// 02-05-26 is the year nobody knows, so that it has four digits.
func date(text string, _ Context) (string, error) {
	if HasShortYear(text) {
		return "", wrong(text, "a date with a year of four digits, such as 2026-05-02")
	}
	if digits := yearLike.FindString(text); digits != "" && len(digits) != len("20260502") {
		return "", wrong(text, "a date with a year of four digits, such as 2026-05-02")
	}
	return text, nil
}

// within reads a figure within bounds.
func within(b Bounds, expected string, read reader[float64]) reader[float64] {
	return func(text string, c Context) (float64, error) {
		v, err := read(strings.TrimSpace(text), c)
		if err != nil || !b.Hold(v) {
			return 0, wrong(text, expected)
		}
		return v, nil
	}
}

// number reads a number with words that may be before or behind it: ISO 800, 24
// fps.
func number(around ...string) reader[float64] {
	return func(text string, c Context) (float64, error) {
		for _, w := range around {
			if n := len(w); len(text) > n && strings.EqualFold(text[:n], w) {
				text = strings.TrimSpace(text[n:])
			} else if end := len(text) - n; end > 0 && strings.EqualFold(text[end:], w) {
				text = strings.TrimSpace(text[:end])
			}
		}
		return c.number(text)
	}
}

// percent reads a part of a whole with its sign, 80 %.
func percent(text string, c Context) (float64, error) {
	body, signed := strings.CutSuffix(text, "%")
	if !signed {
		return 0, wrong(text, "a percentage")
	}
	v, err := c.number(strings.TrimSpace(body))
	return v / 100, err
}

// share reads a part of a whole, 0.8 or 80 %.
func share(text string, c Context) (float64, error) {
	if strings.HasSuffix(text, "%") {
		return percent(text, c)
	}
	return c.number(text)
}

// length reads a length in meters.
func length(text string, c Context) (float64, error) { return c.length(text) }

// stops reads a difference of levels.
func stops(text string, c Context) (float64, error) {
	return photometry.ParseStops(strings.TrimPrefix(text, "+"), c.number)
}

// namedStops reads one that has its unit beside it, since it might be another.
func namedStops(text string, c Context) (float64, error) {
	if !namesStops(text) {
		return 0, wrong(text, "a number of stops")
	}
	return stops(text, c)
}

func namesStops(text string) bool {
	lower := strings.ToLower(text)
	return strings.Contains(lower, "stop") || strings.Contains(lower, "ev")
}

// choice reads one of several words in any case.
func choice[T any](expected string, options map[string]T) reader[T] {
	return func(text string, _ Context) (T, error) {
		value, ok := options[strings.ToLower(strings.TrimSpace(text))]
		if !ok {
			return value, wrong(text, expected)
		}
		return value, nil
	}
}

// Tolerance is how far levels may run: Stops is the whole spread, or that much on
// each side of the reference or the target.
type Tolerance struct {
	Stops    float64
	EachSide bool
}

// Half is what a tolerance leaves on each side, in stops.
func (t Tolerance) Half() float64 {
	if t.EachSide {
		return t.Stops
	}
	return t.Stops / 2
}

// tolerance reads 0.5 stop, which is in all, and ±1/4 stop, which is on each side.
func tolerance(text string, c Context) (t Tolerance, err error) {
	body := strings.TrimSpace(text)
	for _, sign := range []string{"±", "+/-", "+-", "plus or minus"} {
		if cut, ok := strings.CutPrefix(body, sign); ok {
			body, t.EachSide = strings.TrimSpace(cut), true
			break
		}
	}
	t.Stops, err = photometry.ParseStops(body, c.number)
	if err != nil || !(t.Stops > 0 && t.Stops <= MostStops) {
		return Tolerance{}, wrong(text, "a tolerance in stops such as 0.5 stop (in all) or ±1/4 stop (each side)")
	}
	return t, nil
}

// ColorTolerance is how far color may run from its reference; 0 was not given.
type ColorTolerance struct{ Mired, Duv float64 }

// colorPart finds the figures of a tolerance of color.
var colorPart = regexp.MustCompile(`(?i)^[\s,;]*(?:±|\+/-)?\s*([^a-z]+?)\s*(mireds?|duv)[\s,;]*`)

// colorTolerance reads 10 mired, 0.003 Duv, or either part alone.
func colorTolerance(text string, c Context) (t ColorTolerance, err error) {
	expected := wrong(text, "a color tolerance such as 10 mired, 0.003 Duv")
	for rest := text; rest != ""; {
		part := colorPart.FindStringSubmatch(rest)
		if part == nil {
			return ColorTolerance{}, expected
		}
		v, err := c.number(part[1])
		if err != nil || !(v > 0 && v <= 1000) {
			return ColorTolerance{}, expected
		}
		if strings.EqualFold(part[2], "duv") {
			t.Duv = v
		} else {
			t.Mired = v
		}
		rest = rest[len(part[0]):]
	}
	if t == (ColorTolerance{}) {
		return t, expected
	}
	return t, nil
}

// Reference is a place by its label, and by its position in meters where the text
// can be one; nil where not.
type Reference struct {
	Label string
	At    *[2]float64
}

func reference(text string, c Context) (Reference, error) {
	r := Reference{Label: text}
	if at, ok := numbers(text, 2, c.length); ok {
		r.At = &[2]float64{at[0], at[1]}
	}
	return r, nil
}

// area reads the part in shot, x0, y0, x1, y1 in meters.
func area(text string, c Context) (a [4]float64, err error) {
	v, ok := numbers(text, 4, c.length)
	if !ok || !(v[0] < v[2] && v[1] < v[3]) {
		return a, wrong(text, "the part in shot as x0,y0,x1,y1 with x0 < x1 and y0 < y1")
	}
	return [4]float64(v), nil
}

// numbers reads n numbers set apart by semicolons, or by commas, or by spaces; with
// decimal commas the numbers are set apart by "; " or ", ".
func numbers(text string, n int, read func(string) (float64, error)) ([]float64, bool) {
	split := func(between string) []string { return strings.Split(text, between) }
	for _, parts := range [][]string{split(";"), split(","), split(", "), strings.Fields(text)} {
		if len(parts) != n {
			continue
		}
		values := make([]float64, n)
		for i, p := range parts {
			v, err := read(strings.Trim(p, " ,;()"))
			if err != nil {
				return nil, false
			}
			values[i] = v
		}
		return values, true
	}
	return nil, false
}

// Grid is how places are laid out on a surface. Columns and Rows are 0 where only the
// border was said.
type Grid struct {
	Columns, Rows int  // places across and up
	Edges         bool // the outer places are on the border, not half a step within
}

// grid reads edges, centers, a count such as 9x5, or both.
func grid(text string, _ Context) (g Grid, err error) {
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ',' || r == ';' || r == ' ' }) {
		switch word {
		case "edges", "edge":
			g.Edges = true
		case "centers", "center", "centres", "cells":
			g.Edges = false
		default:
			if g.Columns, g.Rows, err = ParseGridSize(word); err != nil {
				return Grid{}, wrong(text, "edges, centers or a count such as 9x5 (9 across, 5 up)")
			}
		}
	}
	return g, nil
}

// lengthUnit reads a unit of length.
func lengthUnit(text string, _ Context) (string, error) {
	if _, ok := table.LengthFactor(text); !ok {
		return "", wrong(text, "a unit of length: m, cm, mm, ft, in")
	}
	return text, nil
}

// levelUnit reads a unit of levels.
func levelUnit(text string, _ Context) (photometry.Unit, error) {
	unit, ok := photometry.ParseUnit(text)
	if !ok {
		return unit, wrong(text, "a unit of levels: lx, fc, EV, f")
	}
	return unit, nil
}

// commaOfThousands is a comma before three digits and no more, as in 1/1,000.
var commaOfThousands = regexp.MustCompile(`,\d{3}(\D|$)`)

// shutter reads a shutter time in seconds, or an angle at the frame rate. A comma is
// a decimal sign, since no shutter has a thousand of anything but in 1/1,000, which
// can be read in two ways.
func shutter(text string, c Context) (float64, error) {
	rate, _ := Get(c.values, FrameRate)
	if commaOfThousands.MatchString(text) {
		return 0, wrong(text, "a shutter without a comma between its digits, such as 1/1000")
	}
	return photometry.ParseShutter(strings.ReplaceAll(text, ",", "."), rate)
}

// density reads what neutral filters take, in stops: a density of 0.3 a stop (0.6,
// ND 0.6), stops (2 stops), a factor (4x), or none.
func density(text string, c Context) (float64, error) {
	stops, ok := ParseDensity(text, c.number)
	if !ok {
		return 0, wrong(text, "a neutral density such as 0.6 (0.3 a stop), or with its unit 2 stops or 4x")
	}
	return stops, nil
}

// ParseDensity is the loss of neutral filters in stops, written as in the note nd;
// number reads its numbers.
func ParseDensity(text string, number func(string) (float64, error)) (stops float64, ok bool) {
	body := strings.ToLower(strings.TrimSpace(text))
	body = strings.TrimSpace(strings.TrimPrefix(body, "nd"))
	factor, isFactor := strings.CutSuffix(strings.ReplaceAll(body, "×", "x"), "x")
	var err error
	switch {
	case body == "none" || body == "clear" || body == "open" || body == "-":
		return 0, true
	case isFactor:
		if stops, err = number(strings.TrimSpace(factor)); stops < 1 {
			return 0, false
		}
		stops = photometry.FilterFactorStops(stops)
	case namesStops(body):
		stops, err = photometry.ParseStops(body, number)
	default:
		if stops, err = number(body); stops > DensestND {
			return 0, false
		}
		stops = photometry.DensityStops(stops)
	}
	return stops, err == nil && stops >= 0 && stops <= MostStops+1e-9
}

// lensStop reads the stop that a lens is set to, T4 or f/2.8 1/3, as an exact
// f-number.
func lensStop(text string, c Context) (float64, error) {
	body := strings.TrimSpace(text)
	for _, prefix := range []string{"T/", "t/", "T", "t"} {
		if cut, found := strings.CutPrefix(body, prefix); found {
			body = strings.TrimSpace(cut)
			break
		}
	}
	// Read as a flash, its exposure gives the f-number back.
	series, _ := Get(c.values, FStops)
	m := photometry.Meter{Unit: photometry.FStop, Marks: series, Number: c.number}
	level, unit, err := m.ParseLevel(body)
	if err != nil || unit != photometry.FStop {
		return 0, wrong(text, "the stop that the lens is set to, such as T4 or f/2.8 1/3")
	}
	return photometry.FlashFNumber(level.Value, m.Speed(), m.IncidentConstant()), nil
}

// exposeFor reads the light to expose for.
func exposeFor(text string, _ Context) (ratio.Role, error) {
	role, err := ParseRole(text)
	if err != nil {
		err = wrong(text, "the light to expose for, such as key+fill or key")
	}
	return role, err
}

// files reads file names with semicolons between.
func files(text string, _ Context) (names []string, err error) {
	for name := range strings.SplitSeq(text, ";") {
		if name = strings.TrimSpace(name); name != "" {
			names = append(names, name)
		}
	}
	return names, nil
}
