package lm63

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// tester is what tests, benchmarks and property checks have in common.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// sample is a file to write, field by field.
type sample struct {
	header                       string
	keywords                     []string
	tilt                         string // behind TILT=, further lines included
	lamps                        int
	lumens, multiplier           float64
	kind                         Type
	unit                         int
	width, length, height        float64
	ballast, ballastLamp, watts  float64
	vertical, horizontal         []float64
	candela                      func(h, v float64) float64
	separator, lineEnd           string
	valuesPerLine, anglesPerLine int
}

// plain returns a sample of one absolute luminaire of type C.
func plain(vertical, horizontal []float64, candela func(h, v float64) float64) sample {
	return sample{
		header: "IESNA:LM-63-2002", keywords: []string{"[TEST] invented"}, tilt: "NONE",
		lamps: 1, lumens: -1, multiplier: 1, kind: TypeC, unit: 2, ballast: 1, ballastLamp: 1,
		vertical: vertical, horizontal: horizontal, candela: candela, separator: " ", lineEnd: "\n",
		valuesPerLine: 10, anglesPerLine: 10,
	}
}

// text writes the sample as a file, in the order of fields of the standard.
func (s sample) text() string {
	var b bytes.Buffer
	line := func(words ...string) { b.WriteString(strings.Join(words, s.separator) + s.lineEnd) }
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	list := func(values []float64, per int) {
		for len(values) > 0 {
			n := min(per, len(values))
			words := make([]string, n)
			for i, v := range values[:n] {
				words[i] = num(v)
			}
			line(words...)
			values = values[n:]
		}
	}
	if s.header != "" {
		line(s.header)
	}
	for _, k := range s.keywords {
		line(k)
	}
	line("TILT=" + s.tilt)
	line(strconv.Itoa(s.lamps), num(s.lumens), num(s.multiplier), strconv.Itoa(len(s.vertical)), strconv.Itoa(len(s.horizontal)),
		strconv.Itoa(int(s.kind)), strconv.Itoa(s.unit), num(s.width), num(s.length), num(s.height))
	line(num(s.ballast), num(s.ballastLamp), num(s.watts))
	list(s.vertical, s.anglesPerLine)
	list(s.horizontal, s.anglesPerLine)
	for _, h := range s.horizontal {
		plane := make([]float64, len(s.vertical))
		for i, v := range s.vertical {
			plane[i] = s.candela(h, v)
		}
		list(plane, s.valuesPerLine)
	}
	return b.String()
}

// read reads the sample and stops the test where that fails.
func (s sample) read(t tester) *Distribution {
	t.Helper()
	return readString(t, s.text())
}

func readString(t tester, text string) *Distribution {
	t.Helper()
	d, err := Read(strings.NewReader(text), "lamp.ies", Options{})
	if err != nil {
		t.Fatalf("%v\n%s", err, text[:min(len(text), 600)])
	}
	return d
}

// steps returns from, from+step, … to.
func steps(from, to, step float64) []float64 {
	n := int(math.Round((to-from)/step)) + 1
	out := make([]float64, n)
	for i := range out {
		out[i] = from + float64(i)*step
	}
	return out
}

// power is I0·cosᵐγ as a distribution by γ.
func power(i0, m float64) func(h, v float64) float64 {
	return func(_, v float64) float64 {
		if v >= 90 {
			return 0
		}
		return i0 * math.Pow(math.Cos(v*degree), m)
	}
}

func wantNear(t tester, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %.2g", what, got, want, tolerance)
	}
}

func wantWarnings(t tester, d *Distribution, codes ...string) {
	t.Helper()
	var got []string
	for _, w := range d.Warnings {
		got = append(got, w.Code)
	}
	if fmt.Sprint(got) != fmt.Sprint(codes) {
		t.Errorf("warnings %v, want %v: %v", got, codes, d.Warnings)
	}
}
