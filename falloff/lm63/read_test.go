package lm63

import (
	"errors"
	"io"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"
)

// The same small file, in the fields' order of LM-63-2002.
const small = `IESNA:LM-63-2002
[TEST] 17
[MANUFAC] nobody
[OTHER] one line
[MORE] and another
free words
TILT=NONE
2 500 2 3 2 1 2 0.1 0.4 0
0.9 1 35
0 45 90
0 90
100 80 10
100 60 0
`

func TestFields(t *testing.T) {
	d := readString(t, small)
	type fields struct {
		Name                                    string
		Generation                              Generation
		Type                                    Type
		Symmetry                                Symmetry
		Lamps                                   int
		LumensPerLamp, Multiplier, Ballast, BLF float64
		Watts                                   float64
		Absolute                                bool
		Opening                                 Opening
		V, H                                    []float64
	}
	got := fields{
		d.Name, d.Generation, d.Type, d.Symmetry, d.Lamps, d.LumensPerLamp, d.Multiplier, d.BallastFactor, d.BallastLampFactor,
		d.InputWatts, d.Absolute, d.Opening, d.VerticalDeg, d.HorizontalDeg,
	}
	want := fields{
		"lamp.ies", 2002, TypeC, Quadrants, 2, 500, 2, 0.9, 1, 35, false,
		Opening{Shape: Rectangle, XM: 0.4, YM: 0.1},
		[]float64{0, 45, 90}, []float64{0, 90},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	wantNear(t, "candela × multiplier × ballast factor", d.Intensity(r3.Vec{Z: 1}), 180, 1e-12)
	wantNear(t, "in C0", d.Intensity(r3.Vec{X: 1, Z: 1}), 144, 1e-12)
	wantNear(t, "in C90", d.Intensity(r3.Vec{Y: -1, Z: 1}), 108, 1e-12)
	if lm, ok := d.LampLumens(); !ok || lm != 1000 {
		t.Errorf("lamp lumens %v %v", lm, ok)
	}
	if e, ok := d.Efficiency(); !ok || e != d.Flux()/900 {
		t.Errorf("efficiency %v %v", e, ok)
	}
	wantWarnings(t, d)
}

// Layout never matters: all of these are the same light as small.
func TestLayouts(t *testing.T) {
	want := readString(t, small)
	head, body, _ := strings.Cut(small, "TILT=NONE\n")
	words := strings.Fields(body)
	replace := func(old, new string) string { return strings.ReplaceAll(small, old, new) }
	utf16 := func(s string, little bool) string {
		b := []byte{0xfe, 0xff}
		for _, c := range []byte(s) {
			b = append(b, 0, c)
		}
		if little {
			for i := 0; i < len(b); i += 2 {
				b[i], b[i+1] = b[i+1], b[i]
			}
		}
		return string(b)
	}
	for name, text := range map[string]string{
		"one line":             head + "TILT=NONE\n" + strings.Join(words, " "),
		"a word a line":        head + "TILT=NONE\n" + strings.Join(words, "\n"),
		"commas":               head + "TILT=NONE\n" + strings.Join(words, ",") + ",",
		"commas and spaces":    head + "TILT=NONE\n\t" + strings.Join(words, " ,  ") + "\n\n",
		"after NONE":           head + "TILT=NONE " + strings.Join(words, " "),
		"tilt spelled apart":   replace("TILT=NONE", "  tilt =  none"),
		"tilt on two lines":    replace("TILT=NONE", "TILT=\nNONE"),
		"CRLF":                 replace("\n", "\r\n"),
		"CR":                   replace("\n", "\r"),
		"blank lines":          replace("\n", "\n\n"),
		"byte-order mark":      "\ufeff" + small,
		"leading blank lines":  "\n \n" + small,
		"UTF-16, little":       utf16(small, true),
		"UTF-16, big":          utf16(small, false),
		"Latin-1":              replace("nobody", "Lumi\xe8re \xb0\xa7"),
		"UTF-8":                replace("nobody", "Lumière"),
		"end mark":             small + "\x1a",
		"no keywords":          "IESNA:LM-63-2002\nTILT=NONE\n" + body,
		"decimal points":       replace("0 45 90", "0.0 45.00 9.0E+01"),
		"counts with points":   replace("3 2 1 2", "3.0 2. +1 2"),
		"form feed":            replace("0 90\n", "0\f90\v\n"),
		"no-break spaces":      replace("0 45 90", "0\u00a045\u00a090"),
		"no line end":          strings.TrimSuffix(small, "\n"),
		"1995":                 replace("IESNA:LM-63-2002", "IESNA:LM-63-1995"),
		"1991":                 replace("IESNA:LM-63-2002", "IESNA91"),
		"1986":                 replace("IESNA:LM-63-2002\n", ""),
		"1986 from TILT on":    "TILT=NONE\n" + body,
		"2019":                 replace("IESNA:LM-63-2002", "IES:LM-63-2019"),
		"header in lower case": replace("IESNA:LM-63-2002", "iesna:lm-63-02 "),
	} {
		got, err := Read(iotest.HalfReader(strings.NewReader(text)), "x", Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(want.grid, got.grid, cmp.AllowUnexported(grid{}, axis{})); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		if len(got.Warnings) > 0 {
			t.Errorf("%s: warnings %v", name, got.Warnings)
		}
	}
	if old := readString(t, replace("IESNA:LM-63-2002\n", "")); old.Generation != 1986 {
		t.Errorf("1986: generation %d", old.Generation)
	}
}

func TestGenerations(t *testing.T) {
	for header, want := range map[string]Generation{
		"IESNA91": 1991, "IESNA86": 1986, "IESNA:LM-63-1995": 1995, "IESNA:LM-63-2002": 2002, "IES:LM-63-2019": 2019, "IES:LM-63-19": 2019,
		"ANSI/IES LM-63-19": 2019, "IESNA:LM-63-95": 1995, "A lamp of 1991": 1986, "IES lamp": 1986,
	} {
		d := readString(t, strings.Replace(small, "IESNA:LM-63-2002", header, 1))
		if d.Generation != want || len(d.Warnings) > 0 {
			t.Errorf("%s: generation %d, want %d; warnings %v", header, d.Generation, want, d.Warnings)
		}
	}
	for header, want := range map[string]Generation{"IES:LM-63-2031": 2019, "IESNA:LM-63-2008": 2002, "IESNA80": 1986} {
		d := readString(t, strings.Replace(small, "IESNA:LM-63-2002", header, 1))
		if d.Generation != want {
			t.Errorf("%s: generation %d, want %d", header, d.Generation, want)
		}
		wantWarnings(t, d, "unknown_generation")
	}
}

// The field behind the ballast factor: a factor up to 1995, reserved in 2002, a
// code in 2019. Feet are 0.3048 m (NIST SP 811). −1 lumens is absolute.
func TestFactors(t *testing.T) {
	s := plain([]float64{0, 90}, []float64{0}, func(_, _ float64) float64 { return 100 })
	s.multiplier, s.ballast, s.ballastLamp, s.unit, s.width, s.length, s.height = 3, 0.5, 1.1, 1, 1, 2, 0.5
	for header, want := range map[string]float64{"": 165, "IESNA91": 165, "IESNA:LM-63-1995": 165, "IESNA:LM-63-2002": 165, "IES:LM-63-2019": 150} {
		s.header = header
		d := s.read(t)
		wantNear(t, header, d.Intensity(r3.Vec{Z: 1}), want, 1e-12)
		if header == "IESNA:LM-63-2002" {
			wantWarnings(t, d, "reserved_factor")
		} else {
			wantWarnings(t, d)
		}
		if d.Generation == 2019 {
			wantNear(t, "factor", d.BallastLampFactor, 1, 0)
			wantNear(t, "code", d.GenerationCode, 1.1, 0)
		} else if d.GenerationCode != 0 {
			t.Errorf("%s: code %v", header, d.GenerationCode)
		}
		if diff := cmp.Diff(Opening{Box, 2 * 0.3048, 0.3048, 0.5 * 0.3048}, d.Opening); diff != "" {
			t.Error(diff)
		}
		if _, ok := d.LampLumens(); ok || !d.Absolute {
			t.Error("absolute photometry has lamp lumens")
		}
		if _, ok := d.Efficiency(); ok {
			t.Error("absolute photometry has an efficiency")
		}
	}
	s.header, s.ballastLamp = "IES:LM-63-2019", 0.85
	wantWarnings(t, s.read(t), "generation_code")
}

func TestTilt(t *testing.T) {
	table := "\n1\n3\n0 40,90\n1.0 .9\n0.7"
	s := plain([]float64{0, 90}, []float64{0}, func(_, _ float64) float64 { return 100 })
	s.tilt = "INCLUDE" + table
	check := func(name string, d *Distribution) {
		t.Helper()
		if diff := cmp.Diff(&Tilt{LampVertical, []float64{0, 40, 90}, []float64{1, 0.9, 0.7}}, d.Tilt); diff != "" {
			t.Fatalf("%s: %s", name, diff)
		}
		for at, want := range map[float64]float64{0: 1, 20: 0.95, 40: 0.9, 65: 0.8, 90: 0.7, 120: 0.7, -20: 0.95} {
			wantNear(t, name, d.Tilt.At(at), want, 1e-12)
		}
		wantNear(t, "intensity as tested", d.Intensity(r3.Vec{Z: 1}), 100, 0)
	}
	check("included", s.read(t))
	wantNear(t, "none", (*Tilt)(nil).At(50), 1, 0)

	files := fstest.MapFS{
		"Lamp Tilt.TLT":    {Data: []byte(strings.ReplaceAll(table, "\n", "\r\n"))},
		"tilt/other.tlt":   {Data: []byte(table)},
		"bad.tlt":          {Data: []byte("1 2\n0 40\n1 no 3\n")},
		"short.tlt":        {Data: []byte("1 2\n0 40\n1\n")},
		"negative.tlt":     {Data: []byte("4 2\n40 0\n1 -1\n")},
		"folder/inside":    {Data: []byte("x")},
		"unreadable/x/tlt": {Data: []byte("x")},
	}
	for _, name := range []string{"Lamp Tilt.TLT", "lamp tilt.tlt", `C:\TILT\LAMP TILT.TLT`, `"Lamp Tilt.TLT"`, "tilt/other.tlt", `tilt\other.tlt`} {
		s.tilt = name
		d, err := Read(strings.NewReader(s.text()), "lamp.ies", Options{Files: files})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		check(name, d)
	}
	for name, want := range map[string]string{
		"gone.tlt":     `lamp.ies:3:6: found "gone.tlt", expected a tilt file of that name beside this one (open gone.tlt: file does not exist); TILT=NONE leaves it out`,
		"../gone.tlt":  `lamp.ies:3:6: found "../gone.tlt", expected a tilt file of that name beside this one (open gone.tlt: file does not exist); TILT=NONE leaves it out`,
		"..":           `lamp.ies:3:6: found "..", expected a tilt file of that name beside this one (file does not exist); TILT=NONE leaves it out`,
		"folder":       `lamp.ies:3:6: found "folder", expected a tilt file of that name beside this one (read folder: invalid argument); TILT=NONE leaves it out`,
		"bad.tlt":      "bad.tlt:3:3: found \"no\", expected a number, one of 2 tilt factors\nbad.tlt:3:6: found \"3\", expected the end of the tilt file after the last of 2 factors",
		"short.tlt":    "short.tlt:4: found the end of the file after 1 tilt factors, expected 2 of them",
		"negative.tlt": "negative.tlt:1:1: found \"4\", expected the lamp's geometry, 1, 2 or 3\nnegative.tlt:2:4: found \"0\", expected a tilt angle above 40, as they ascend\nnegative.tlt:3:3: found \"-1\", expected a tilt factor, zero or more",
	} {
		s.tilt = name
		_, err := Read(strings.NewReader(s.text()), "lamp.ies", Options{Files: files})
		if err == nil || err.Error() != want {
			t.Errorf("%s:\n got %v\nwant %s", name, err, want)
		}
	}
	s.tilt = "gone.tlt"
	_, err := Read(strings.NewReader(s.text()), "lamp.ies", Options{})
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("without a folder: %v", err)
	}
}

func TestReadFails(t *testing.T) {
	broken := errors.New("broken")
	_, err := Read(io.MultiReader(strings.NewReader(small), iotest.ErrReader(broken)), "x.ies", Options{})
	var one *Error
	if !errors.Is(err, broken) || !errors.As(err, &one) || one.File != "x.ies" {
		t.Errorf("got %v", err)
	}
	if _, err := Read(strings.NewReader(small), "x.ies", Options{MostBytes: int64(len(small))}); err != nil {
		t.Errorf("a file of just the size: %v", err)
	}
	_, err = Read(strings.NewReader(small+" "), "x.ies", Options{MostBytes: int64(len(small))})
	if err == nil || !strings.Contains(err.Error(), "bytes") {
		t.Errorf("a file too large: %v", err)
	}
}

// Signs of the opening as the editions define them (from memory of their
// tables); sizes in meters along x, y and the aim.
func TestOpening(t *testing.T) {
	for _, c := range []struct {
		w, l, h float64
		kind    Type
		g       Generation
		want    Opening
		unknown bool
	}{
		{0, 0, 0, TypeC, 2002, Opening{Point, 0, 0, 0}, false},
		{1, 2, 0, TypeC, 2002, Opening{Rectangle, 2, 1, 0}, false},
		{0, 2, 0, TypeC, 2002, Opening{Rectangle, 2, 0, 0}, false},
		{1, 2, 3, TypeC, 2002, Opening{Box, 2, 1, 3}, false},
		{-1, -1, 0, TypeC, 2002, Opening{Disc, 1, 1, 0}, false},
		{-1, -2, 0, TypeC, 2002, Opening{Disc, 2, 1, 0}, false},
		{-1, 0, 0, TypeC, 1991, Opening{Disc, 1, 1, 0}, false},
		{0, -1, 0, TypeC, 1991, Opening{Disc, 1, 1, 0}, false},
		{-1, 2, 0, TypeC, 1995, Opening{Disc, 2, 1, 0}, false},
		{-1, 0, 3, TypeC, 1995, Opening{Cylinder, 1, 1, 3}, false},
		{-1, -1, 3, TypeC, 2002, Opening{Cylinder, 1, 1, 3}, false},
		{-1, -1, -1, TypeC, 2002, Opening{Ellipsoid, 1, 1, 1}, false},
		{-1, 3, -1, TypeC, 2002, Opening{Cylinder, 3, 1, 1}, false},
		{3, -1, -1, TypeC, 2002, Opening{Cylinder, 1, 3, 1}, false},
		{-1, 0, -1, TypeC, 2002, Opening{Disc, 0, 1, 1}, false},
		{-1, 0, -1, TypeC, 1995, Opening{Ellipsoid, 1, 1, 1}, false},
		{0, -1, -1, TypeC, 2002, Opening{Disc, 1, 0, 1}, false},
		{0, -1, -1, TypeC, 1995, Opening{Ellipsoid, 1, 1, 1}, false},
		{0, 3, -1, TypeC, 1995, Opening{Cylinder, 3, 1, 1}, false},
		{3, 0, -1, TypeC, 1995, Opening{Cylinder, 1, 3, 1}, false},
		{3, 4, -1, TypeC, 1995, Opening{Cylinder, 4, 3, 1}, true},
		{1, 2, 0, TypeB, 2002, Opening{Rectangle, 1, 2, 0}, false},
		{1, 2, 0, TypeA, 2002, Opening{Rectangle, 1, 2, 0}, false},
		{1, 0, 2, TypeA, 2002, Opening{Rectangle, 1, 2, 0}, false},
		{1, 2, 3, TypeA, 2002, Opening{Box, 1, 3, 2}, false},
	} {
		got, known := openingOf(c.w, c.l, c.h, c.kind, c.g)
		if got != c.want || known == c.unknown {
			t.Errorf("%v %v %v type %s of %d: %+v known %v, want %+v", c.w, c.l, c.h, c.kind, c.g, got, known, c.want)
		}
	}
}
