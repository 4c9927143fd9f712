package answers

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/ratio"
	"evenfall/plots/document"
)

// sentences are the sentences of one subject by the keys of their findings. Each is
// a template, or where it has real variants a function of the reader's units and
// the finding's values.
//
// In a template
//
//	{name}           is a value as its type is written in the reader's units
//	{name:.2f}       its bare figure in a format of package fmt
//	{name:.2f stop}  the same with the unit in the singular or the plural
//	{name:few}       it in one of the formats below
//	{name:; or }     a list with that between
//	{name:^}         it with a capital first, {name:^few} so in a format
//	{name|one|other} a text by whether a count is one, a figure above zero or an answer yes
//	{name?text|none} a text by whether there is a value
//	{is shifted}     one of the composed texts below, which take several values
//
// The texts of a choice are templates too.
type sentences map[string]any

// variants are sentences that a template cannot make.
type variants = func(document.Words, photometry.Values) string

// catalog has the sentences of all subjects.
var catalog sentences

// formats are ways to write a value that package fmt does not have.
var formats map[string]func(document.Words, any) string

// composed are texts that several values make.
var composed = map[string]variants{"is shifted": isShifted, "of the day before": ofTheDayBefore, "is elsewhere": elsewhere, "lights of": lightsOf,
	"step of the display": displayStep, "least as typed": leastTyped, "mired and cc": idealFilters, "mired and duv": sharedShift, "is taken off": takenOff}

// plain and meters make formats of functions that write one type of values.
func plain[T any](write func(T) string) func(document.Words, any) string {
	return func(_ document.Words, value any) string { return write(value.(T)) }
}

func meters(write func(document.Words, float64) string) func(document.Words, any) string {
	return func(w document.Words, value any) string { return write(w, float64(value.(photometry.Length))) }
}

// Sentences hold sentences: what fills them names the catalog, so it is made here.
func init() {
	formats = map[string]func(document.Words, any) string{
		"+":   func(w document.Words, value any) string { return withSign(figure(w, value)) },
		"abs": func(w document.Words, value any) string { return strings.TrimLeft(figure(w, value), "+-") },
		"ci": func(w document.Words, value any) string { // a range as a confidence interval
			r := value.(photometry.Range)
			return interval(falloff.Interval{Lo: float64(r.From), Hi: float64(r.To)}, w.Length)
		},
		"part": func(w document.Words, share any) string { // as long as it is a figure, not next to nothing's multiple
			return either(share.(photometry.Percentage) > 1000, "many times", figure(w, share)+" of")
		},
		"tenths": func(w document.Words, value any) string { return figure(w, photometry.Loss(value.(photometry.Stop))) },
		"and":    func(w document.Words, value any) string { return and(Sentences(w, value.([]photometry.Finding))) },
		"figure": plain(photometry.FormatFigure), "ratio": plain(ratio.Format), "scrims": plain(scrimOrDim), "dimmed": plain(dimmedTo), "step": plain(stepName),
		"toward": plain(colorShift), "in all": plain(inAll),
		"few": plain(few), "count": plain(func(all []string) string { return strconv.Itoa(len(all)) }), "short": plain(shortened), "spaced": plain(spaced), "edge": plain(edgeName), "day": plain(dayOf), "bound": plain(ratioBound),
		"place": func(w document.Words, value any) string { p := value.(photometry.Point); return w.Place(p.X, p.Y) },
		"axes":  axes, "typed": asTyped,
		"typed abs": func(w document.Words, value any) string { return strings.TrimPrefix(asTyped(w, value), "-") },
		// Lengths: as written, as a tape gives it without its unit, and in centimeters or
		// inches to a tenth, as asked for, and whole.
		"written": meters(document.Words.Figure), "bare": meters(document.Words.Bare), "small": meters(document.Words.Small),
		"in or cm": meters(smallFigure), "whole in or cm": meters(smallWhole),
	}
	catalog = join(correctSentences, surfaceSentences, matchSentences, changeSentences, surveySentences, distanceSentences, meterSentences, ratioSentences, reportSentences, balanceSentences, planSentences, sheetSentences, stepSentences, dimmerSentences, screenSentences)
}

// join puts the subjects together. A key that two of them have is a mistake in this
// package.
func join(subjects ...sentences) sentences {
	all := sentences{}
	for _, subject := range subjects {
		for key, entry := range subject {
			if _, twice := all[key]; twice {
				panic("answers: two sentences for " + key)
			}
			all[key] = entry
		}
	}
	return all
}

// Sentence puts a finding in words. One that has no values, such as what a table's
// reader says, keeps its text.
func Sentence(w document.Words, f photometry.Finding) string {
	switch entry := catalog[f.Key].(type) {
	case string:
		return fill(w, entry, f.Values)
	case variants:
		return entry(w, f.Values)
	}
	return f.Text
}

// Sentences puts findings in words, one after the other.
func Sentences(w document.Words, all []photometry.Finding) []string {
	return texts(all, func(f photometry.Finding) string { return Sentence(w, f) })
}

// Remarks puts remarks in words, one after the other.
func Remarks(w document.Words, all []photometry.Remark) []string {
	return texts(all, func(r photometry.Remark) string { return Sentence(w, r.Finding) })
}

// fill puts values into a template.
func fill(w document.Words, template string, values photometry.Values) string {
	var out strings.Builder
	for template != "" {
		before, within, after := cutBraces(template)
		out.WriteString(before)
		if within != "" {
			out.WriteString(filled(w, within, values))
		}
		template = after
	}
	return out.String()
}

// cutBraces is what stands before the first braces of a template, within and after them.
func cutBraces(template string) (before, within, after string) {
	before, rest, _ := strings.Cut(template, "{")
	open := 1
	for i, c := range rest {
		switch c {
		case '{':
			open++
		case '}':
			if open--; open == 0 {
				return before, rest[:i], rest[i+1:]
			}
		}
	}
	return template, "", ""
}

// filled is a placeholder with its value.
func filled(w document.Words, placeholder string, values photometry.Values) string {
	if compose := composed[placeholder]; compose != nil {
		return compose(w, values)
	}
	name, kind, rest := cutName(placeholder)
	value := values[name]
	switch kind {
	case "?", "|":
		yes, no := cutChoice(rest)
		return fill(w, either(kind == "?" && isThere(value) || kind == "|" && holds(value), yes, no), values)
	case ":":
		return formatted(w, rest, value)
	}
	return figure(w, value)
}

// cutName parts a placeholder behind its name, at the sign of what follows.
func cutName(placeholder string) (name, kind, rest string) {
	if at := strings.IndexAny(placeholder, ":|?"); at >= 0 {
		return placeholder[:at], placeholder[at : at+1], placeholder[at+1:]
	}
	return placeholder, "", ""
}

// cutChoice parts two texts at the first | outside of braces.
func cutChoice(text string) (yes, no string) {
	open := 0
	for i, c := range text {
		switch {
		case c == '{':
			open++
		case c == '}':
			open--
		case c == '|' && open == 0:
			return text[:i], text[i+1:]
		}
	}
	return text, ""
}

// formatted is a value in a format of its own, of package fmt, or a list with that between.
func formatted(w document.Words, format string, value any) string {
	if rest, ok := strings.CutPrefix(format, "^"); ok {
		return Capital(formatted(w, rest, value))
	}
	if write := formats[format]; write != nil {
		return write(w, value)
	}
	switch all := value.(type) {
	case []string:
		return strings.Join(all, format)
	case []photometry.Finding:
		return strings.Join(Sentences(w, all), format)
	}
	if format == "" {
		return figure(w, value)
	}
	return fmt.Sprintf("%"+format, value) + either(strings.HasSuffix(format, " stop") && manyStops(value), "s", "")
}

// manyStops tells whether a size in stops takes the plural.
func manyStops(value any) bool {
	stops, ok := value.(photometry.Stop)
	return ok && math.Abs(float64(stops)) > 1.0000001
}

// holds tells whether a count or the length of a list is one, a figure above zero or an answer yes.
func holds(value any) bool {
	switch v := reflect.ValueOf(value); v.Kind() {
	case reflect.Bool:
		return v.Bool()
	case reflect.Int:
		return v.Int() == 1
	case reflect.Slice:
		return v.Len() == 1
	case reflect.Float64:
		return v.Float() > 0
	case reflect.Struct:
		level, ok := value.(photometry.Level)
		return ok && level.Value > 0
	}
	return false
}

// isThere tells whether there is a value: an empty text or list, a count of none and no are not.
func isThere(value any) bool {
	switch v := reflect.ValueOf(value); v.Kind() {
	case reflect.Invalid:
		return false
	case reflect.String, reflect.Slice:
		return v.Len() > 0
	case reflect.Bool, reflect.Int:
		return !v.IsZero()
	}
	return true
}

// Capital starts a text with a capital.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// figure writes a value as its type says, in the reader's units.
func figure(w document.Words, value any) string {
	switch v := value.(type) {
	case string:
		return v
	case []string:
		return and(v)
	case int:
		return strconv.Itoa(v)
	case photometry.Level:
		return w.Level(v)
	case photometry.Length:
		if math.IsInf(float64(v), 0) {
			return "any distance"
		}
		return w.Length(float64(v))
	case photometry.Range:
		return between(falloff.Interval{Lo: float64(v.From), Hi: float64(v.To)}, w.Length)
	case photometry.Stop:
		return photometry.FormatStops(float64(v))
	case photometry.Loss:
		return fmt.Sprintf("%.1f stop%s", float64(v), either(math.Round(float64(v)*10) > 10, "s", ""))
	case photometry.Mired:
		return signed(float64(v), 0) + " mired"
	case photometry.Kelvin:
		return fmt.Sprintf("%.0f K", float64(v))
	case photometry.Duv:
		return signed(float64(v), 4)
	case photometry.Percentage:
		return fmt.Sprintf("%.0f %%", float64(v))
	case photometry.Degrees:
		return twoDecimals(float64(v)) + "°"
	case photometry.Minutes:
		return photometry.FormatFigure(float64(v)) + " min"
	case photometry.Times:
		return photometry.FormatTimes(int(v))
	case photometry.StopPerMeter:
		slope, per := w.PerLength(float64(v))
		return fmt.Sprintf("%.2f stop/%s", slope, per)
	case photometry.FNumber:
		return photometry.FormatFNumber(float64(v))
	case photometry.Shutter:
		return photometry.FormatShutter(float64(v))
	case photometry.Figure:
		return photometry.FormatFigure(float64(v))
	case photometry.Point:
		return pointName(w, v)
	case photometry.Finding:
		return Sentence(w, v)
	case []photometry.Finding:
		return strings.Join(Sentences(w, v), ", ")
	case falloff.LawName:
		return lawNames[v]
	case colorimetry.Stack:
		return stackName(v)
	case colorimetry.CameraSetting:
		return cameraSetting(v)
	}
	return fmt.Sprint(value)
}

// pointName is what a place is called: its name, or else where it is.
func pointName(w document.Words, p photometry.Point) string {
	return cmp.Or(p.Label, "("+w.Place(p.X, p.Y)+")")
}

// SI are the words of JSON: levels in lux (or the SI unit of their quantity),
// lengths in meters.
var SI = document.Words{Unit: photometry.LX}

// Describe fills in the text of every finding of a result, in SI units, and returns
// the result for JSON. A pointer's result is changed where it is; anything else is
// copied.
func Describe(result any) any { return DescribeIn(SI, result) }

// DescribeIn is Describe in a reader's units.
func DescribeIn(w document.Words, result any) any {
	v := reflect.ValueOf(result)
	if !v.IsValid() {
		return result
	}
	d := describer{w, map[reflect.Type]bool{}}
	if v.Kind() != reflect.Pointer {
		whole := reflect.New(v.Type())
		whole.Elem().Set(v)
		d.describe(whole.Elem())
		return whole.Elem().Interface()
	}
	d.describe(v)
	return result
}

var findingType = reflect.TypeFor[photometry.Finding]()

// describer fills in texts. It remembers which types can hold a finding, so that
// columns of figures are passed by.
type describer struct {
	document.Words
	speaks map[reflect.Type]bool
}

// describe fills in the findings within a value.
func (d describer) describe(v reflect.Value) {
	if !d.holdsFindings(v.Type()) {
		return
	}
	if v.Type() == findingType {
		if f := v.Addr().Interface().(*photometry.Finding); f.Key != "" {
			f.Text = Sentence(d.Words, *f)
		}
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			d.describe(v.Elem())
		}
	case reflect.Interface:
		if !v.IsNil() && v.Elem().Kind() == reflect.Pointer {
			d.describe(v.Elem())
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			d.describe(v.Index(i))
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			whole := reflect.New(v.Type().Elem()).Elem()
			whole.Set(v.MapIndex(key))
			d.describe(whole)
			v.SetMapIndex(key, whole)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if inJSON(v.Type().Field(i)) {
				d.describe(v.Field(i))
			}
		}
	}
}

// inJSON tells whether JSON has a field of a struct.
func inJSON(f reflect.StructField) bool {
	return (f.IsExported() || f.Anonymous) && f.Tag.Get("json") != "-"
}

// holdsFindings tells whether a value of a type may hold a finding.
func (d describer) holdsFindings(t reflect.Type) bool {
	if holds, seen := d.speaks[t]; seen {
		return holds
	}
	d.speaks[t] = true // where a type is part of itself
	holds := false
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		holds = d.holdsFindings(t.Elem())
	case reflect.Interface:
		holds = true
	case reflect.Struct:
		holds = t == findingType
		for i := 0; i < t.NumField() && !holds; i++ {
			holds = inJSON(t.Field(i)) && d.holdsFindings(t.Field(i).Type)
		}
	}
	d.speaks[t] = holds
	return holds
}
