package lm63

import (
	"io"
	"io/fs"
	"math"
	"path"
	"sort"
	"strconv"
	"strings"
)

// LampGeometry says how the lamp lies in the luminaire, which decides what
// tilting the luminaire does to it.
type LampGeometry int

// The lamp-to-luminaire geometries by the standard's codes.
const (
	// LampVertical: upright, base up or down, when the luminaire looks straight
	// down.
	LampVertical LampGeometry = 1
	// LampStaysHorizontal: horizontal, and it stays so when the luminaire is
	// tilted.
	LampStaysHorizontal LampGeometry = 2
	// LampTiltsFromHorizontal: horizontal when the luminaire looks straight down,
	// and tilted with it.
	LampTiltsFromHorizontal LampGeometry = 3
)

// Tilt is how the light of a lamp that minds its burning position changes as
// the luminaire is tilted. Intensities and flux of a Distribution are those of
// the luminaire as tested, without this factor.
type Tilt struct {
	Geometry LampGeometry
	// AngleDeg are tilts from the tested position, ascending, and Factor what
	// the intensities are multiplied by there; equally many, at least one.
	AngleDeg, Factor []float64
}

// At returns the factor at a tilt in degrees from the tested position, to
// either side, linear between the angles of the file. Beyond the last angle (and
// before the first) it is that angle's. A nil Tilt (TILT=NONE) is 1 at any.
func (t *Tilt) At(tiltDeg float64) float64 {
	if t == nil {
		return 1
	}
	a := math.Abs(tiltDeg)
	i := sort.SearchFloat64s(t.AngleDeg, a)
	switch last := len(t.AngleDeg) - 1; {
	case math.IsNaN(a) || i == 0:
		return t.Factor[0]
	case i > last:
		return t.Factor[last]
	}
	f := (a - t.AngleDeg[i-1]) / (t.AngleDeg[i] - t.AngleDeg[i-1])
	return t.Factor[i-1] + f*(t.Factor[i]-t.Factor[i-1])
}

const (
	mostTilts = 10_000
	// mostTiltBytes is the size of the largest separate tilt file.
	mostTiltBytes = 1 << 20
)

// readTilt reads what stands behind “TILT=”. It returns false where reading on
// is of no use.
func readTilt(l *lexer, r *report, opt Options) (*Tilt, bool) {
	const expected = "NONE, INCLUDE or the name of a tilt file behind TILT="
	word, ok := l.next()
	if !ok {
		r.failWords(word.line, "the end of the file", expected)
		return nil, false
	}
	if _, number := parseNumber(word.text); number {
		r.failAt(word, expected)
		return nil, false
	}
	switch strings.ToUpper(word.text) {
	case "NONE":
		return nil, true
	case "INCLUDE":
		return readTiltTable(l, r)
	}
	// A name may hold spaces and commas, so it is all of the line.
	l.at -= len(word.text)
	name := strings.Trim(strings.TrimSpace(l.rest()), `"'`)
	if name == "" { // nothing but quotes
		r.failAt(word, expected)
		return nil, false
	}
	text, err := openTilt(opt.Files, name)
	if err != nil {
		r.fail(&Error{
			Line: word.line, Column: word.column(), Found: name, Err: err,
			Expected: "a tilt file of that name beside this one (" + err.Error() + "); TILT=NONE leaves it out",
		})
		return nil, false
	}
	inner := &report{file: name}
	lex := &lexer{text: text, line: 1}
	tilt, ok := readTiltTable(lex, inner)
	if ok {
		if extra, more := lex.next(); more {
			inner.failAt(extra, "the end of the tilt file after the last of "+strconv.Itoa(len(tilt.Factor))+" factors")
		}
	}
	for _, e := range inner.errors {
		r.fail(e)
	}
	return tilt, ok
}

// readTiltTable reads geometry, count, angles and factors.
func readTiltTable(l *lexer, r *report) (*Tilt, bool) {
	n := numbers{lexer: l, report: r}
	geometry, _ := n.whole("the lamp's geometry, 1, 2 or 3", 1, 3)
	count, counted := n.whole("the number of tilt angles, a whole number from 1 to "+strconv.Itoa(mostTilts), 1, mostTilts)
	if !counted {
		return nil, false
	}
	t := &Tilt{Geometry: LampGeometry(geometry)}
	t.AngleDeg, _ = n.ascending("tilt", count)
	t.Factor = n.list("tilt factors", count, func(v float64, at token) {
		if v < 0 {
			r.failAt(at, "a tilt factor, zero or more")
		}
	})
	return t, !n.ended
}

// openTilt returns the text of a tilt file. Names come from other systems, so
// the folder part is optional and case does not matter.
func openTilt(files fs.FS, name string) (string, error) {
	if files == nil {
		return "", fs.ErrNotExist
	}
	clean := path.Clean(strings.ReplaceAll(name, `\`, "/"))
	base := path.Base(clean)
	names := []string{clean, base}
	if entries, err := fs.ReadDir(files, "."); err == nil {
		for _, e := range entries {
			if strings.EqualFold(e.Name(), base) {
				names = append(names, e.Name())
			}
		}
	}
	var err error = fs.ErrNotExist
	for _, n := range names {
		if !fs.ValidPath(n) || n == "." {
			continue
		}
		var f fs.File
		if f, err = files.Open(n); err != nil {
			continue
		}
		raw, readErr := io.ReadAll(io.LimitReader(f, mostTiltBytes))
		f.Close()
		if readErr != nil {
			return "", readErr
		}
		return decodeText(raw), nil
	}
	return "", err
}
