package photometry

import (
	"fmt"
	"reflect"
	"strings"
)

// Finding is what a result has to say: a cause, a piece of advice, a warning or a
// caution, as a stable snake_case code with the values that its sentence needs.
// Found makes one. Text is empty until the result leaves the program: package
// plots/answers puts it in words, for screens in the reader's units, for JSON in
// SI units.
type Finding struct {
	Code string `json:"code"`
	Text string `json:"text"`
	// Key names the sentence: the code, or where two subjects have a code in common
	// the subject, a dot and the code. It is empty where Text is all that there is.
	Key    string `json:"-"`
	Values Values `json:"-"`
}

// Values are the values of a sentence by name. The type of each says its unit: int
// for counts, Level, Length, Range, Stop, Mired, Kelvin, Duv, Percentage, Minutes, FNumber,
// Times, string as typed, []string for names, Finding for a sentence within a sentence.
type Values map[string]any

// Found is a finding with the values of its sentence, a name and a value in turn. A
// key such as "match.color_missing" has the code "color_missing". It panics where a
// name is not a string, is there twice or has no value.
func Found(key string, namesAndValues ...any) Finding {
	values := make(Values, len(namesAndValues)/2)
	for i := 0; i < len(namesAndValues); i += 2 {
		name, ok := namesAndValues[i].(string)
		if _, twice := values[name]; !ok || twice || i+1 == len(namesAndValues) {
			panic(fmt.Sprintf("photometry: the finding %s has no names and values in turn: %v", key, namesAndValues))
		}
		values[name] = namesAndValues[i+1]
	}
	return Finding{Code: key[strings.LastIndexByte(key, '.')+1:], Key: key, Values: values}
}

// Same tells whether two findings say the same.
func (f Finding) Same(g Finding) bool { return reflect.DeepEqual(f, g) }

// Remark is a finding that JSON has the text of alone, such as what was assumed of
// a file.
type Remark struct{ Finding }

// Remarked is Found for a remark.
func Remarked(key string, namesAndValues ...any) Remark {
	return Remark{Found(key, namesAndValues...)}
}

// MarshalText is the text, so that JSON has a string.
func (r Remark) MarshalText() ([]byte, error) { return []byte(r.Text), nil }

// UnmarshalText reads what MarshalText writes.
func (r *Remark) UnmarshalText(text []byte) error {
	r.Finding = Finding{Text: string(text)}
	return nil
}

// ReadAs says how a sheet was read, where that is more than the plain form.
type ReadAs struct {
	File       string   `json:"file,omitempty"`
	Sheet      string   `json:"sheet,omitempty"`
	HeaderLine int      `json:"header_line,omitempty"`
	Columns    []string `json:"columns,omitempty"`
	LeftOut    []string `json:"left_out"`
	Title      string   `json:"title,omitempty"` // the text of LeftOut that heads the sheet
	Assumed    []Remark `json:"assumed"`
}

// PlaceNote is what somebody wrote beside a reading, as it was typed.
type PlaceNote struct {
	Place string `json:"place"` // as people call it
	Text  string `json:"text"`
}

// String is the note for people: A2: hot spot from window.
func (n PlaceNote) String() string { return n.Place + ": " + n.Text }

// Taken is who took readings, and where, as a sheet says it.
type Taken struct {
	Operator string `json:"operator,omitempty"`
	Location string `json:"location,omitempty"`
}

// The units of values in sentences. Levels have their own type, Level.
type (
	Length       float64 // meters
	Stop         float64 // a difference or a width in stops
	Loss         float64 // of a filter in stops, to a tenth
	Mired        float64 // a difference in mired
	Kelvin       float64 // a color temperature
	Duv          float64 // a distance from the Planckian locus, or a difference of two
	Percentage   float64
	Degrees      float64
	Minutes      float64
	FNumber      float64 // the exact f-number or T-stop
	Shutter      float64 // an exposure time in seconds
	Figure       float64 // a number as it was written
	StopPerMeter float64 // a slope
	Times        int     // how often: once, twice, 3 times
)

// Range is a stretch of lengths. An infinite end is open.
type Range struct{ From, To Length }

// Point is a place on a surface or a mark by its name, or where it has none by its
// coordinates in meters.
type Point struct {
	Label string
	X, Y  float64
}
