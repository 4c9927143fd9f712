package answers

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/plots/document"
)

// sentences are the sentences of one subject by the keys of their findings. Each is
// a template, or where it has real variants a function of the reader's units and
// the finding's values.
//
// In a template {name} is a value as its type is written in the reader's units,
// {name:.2f} its bare figure in a format of package fmt, {name:.2f stop} with the
// unit in the singular or the plural, {name:+} with its sign, {name:abs} without,
// {name:ci} a range as a confidence interval, {name:^} with a capital first, {name:few}
// at most four names of a list, {name:edge} a side of the surface, {name:spaced}
// a code in words, and {name|one|other} a word
// by whether a count is one, a figure above zero or an answer yes.
type sentences map[string]any

// variants are sentences that a template cannot make.
type variants = func(document.Words, photometry.Values) string

// catalog has the sentences of all subjects.
var catalog sentences

// formats are ways to write a value that package fmt does not have.
var formats map[string]func(document.Words, any) string

// Sentences hold sentences: what fills them names the catalog, so it is made here.
func init() {
	formats = map[string]func(document.Words, any) string{
		"+":   func(w document.Words, value any) string { return withSign(figure(w, value)) },
		"abs": func(w document.Words, value any) string { return strings.TrimPrefix(figure(w, value), "-") },
		"ci": func(w document.Words, value any) string {
			r := value.(photometry.Range)
			return interval(falloff.Interval{Lo: float64(r.From), Hi: float64(r.To)}, w.Length)
		},
		"^":      func(w document.Words, value any) string { return capital(figure(w, value)) },
		"few":    func(_ document.Words, value any) string { return few(value) },
		"edge":   func(_ document.Words, value any) string { return edgeName(value.(string)) },
		"spaced": func(_ document.Words, value any) string { return spaced(value) },
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

var placeholder = regexp.MustCompile(`\{(\w+)(?::([^{}|]+)|\|([^{}|]*)\|([^{}|]*))?\}`)

// fill puts values into a template.
func fill(w document.Words, template string, values photometry.Values) string {
	return placeholder.ReplaceAllStringFunc(template, func(found string) string {
		part := placeholder.FindStringSubmatch(found)
		value, format := values[part[1]], part[2]
		switch {
		case formats[format] != nil:
			return formats[format](w, value)
		case format != "":
			return fmt.Sprintf("%"+format, value) + either(strings.HasSuffix(format, " stop") && manyStops(value), "s", "")
		case strings.Contains(found, "|"):
			return either(holds(value), part[3], part[4])
		}
		return figure(w, value)
	})
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
	}
	return false
}

// capital starts a text with a capital.
func capital(text string) string {
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
	if p.Label != "" {
		return p.Label
	}
	return "(" + w.Place(p.X, p.Y) + ")"
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
