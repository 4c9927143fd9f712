package lm63

import (
	"io"
	"io/fs"
	"path"
	"strconv"
	"strings"
)

// Tilt is how the output of a lamp that depends on its burning position changes
// as the luminaire is tilted. Intensities and flux of a Distribution are those
// of the luminaire as tested, without this factor.
type Tilt struct {
	// Geometry is the standard's code of how the lamp lies where the luminaire looks
	// straight down: 1 upright, 2 horizontal and so at any tilt, 3 horizontal and tilted
	// with it.
	Geometry int
	// AngleDeg are tilts from the tested position, ascending, and Factor what
	// the intensities are multiplied by there; equally many, at least one.
	AngleDeg, Factor []float64
}

const (
	maxTilts = 10_000
	// maxTiltBytes is the size of the largest separate tilt file.
	maxTiltBytes = 1 << 20
)

// readTilt reads what follows “TILT=”. It returns false where the rest of the
// file cannot be read.
func readTilt(w *tokenReader, opt Options) (*Tilt, bool) {
	const expected = "NONE, INCLUDE or the name of a tilt file behind TILT="
	if len(w.tokens) == 0 {
		w.failEnd("", expected)
		return nil, false
	}
	first := w.tokens[0]
	w.next = 1
	if _, number := parseNumber(w.text(first)); number {
		w.failAt(first, expected)
		return nil, false
	}
	switch strings.ToUpper(w.text(first)) {
	case "NONE":
		return nil, true
	case "INCLUDE":
		return readTiltTable(w)
	}
	// A name may hold spaces and commas, so it is all of the line.
	for w.next < len(w.tokens) && w.tokens[w.next].line == first.line {
		w.next++
	}
	line, _, _ := strings.Cut(w.source[first.from:], "\n")
	name := strings.Trim(strings.TrimSpace(line), `"'`)
	if name == "" { // nothing but quotes
		w.failAt(first, expected)
		return nil, false
	}
	text, err := openTilt(opt.Files, name)
	if err != nil {
		w.fail(&Error{
			Line: first.line, Column: w.column(first), Found: name, Err: err,
			Expected: "a tilt file of that name beside this one (" + err.Error() + "); TILT=NONE leaves it out",
		})
		return nil, false
	}
	inner := newTokenReader(text, 0, &report{file: name})
	tilt, ok := readTiltTable(inner)
	if ok && inner.next < len(inner.tokens) {
		inner.failAt(inner.tokens[inner.next], "the end of the tilt file after the last of "+strconv.Itoa(len(tilt.Factor))+" factors")
	}
	for _, e := range inner.errors {
		w.fail(e)
	}
	return tilt, ok
}

// readTiltTable reads geometry, count, angles and factors.
func readTiltTable(w *tokenReader) (*Tilt, bool) {
	geometry, _ := w.integer("the lamp's geometry, 1, 2 or 3", 1, 3)
	count, counted := w.integer("the number of tilt angles, a whole number from 1 to "+strconv.Itoa(maxTilts), 1, maxTilts)
	if !counted {
		return nil, false
	}
	t := &Tilt{Geometry: geometry}
	t.AngleDeg, _ = w.ascending("tilt", count)
	t.Factor, _ = w.numbers("tilt factors", count, func(v float64) string {
		if v < 0 {
			return "a tilt factor, zero or more"
		}
		return ""
	})
	return t, !w.ended
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
	entries, _ := fs.ReadDir(files, ".") // an error shows again when the file is opened
	for _, e := range entries {
		if strings.EqualFold(e.Name(), base) {
			names = append(names, e.Name())
		}
	}
	var err error = fs.ErrNotExist
	for _, n := range names {
		if !fs.ValidPath(n) || n == "." {
			continue
		}
		var f fs.File
		if f, err = files.Open(n); err == nil {
			defer f.Close()
			raw, err := io.ReadAll(io.LimitReader(f, maxTiltBytes))
			return decodeText(raw), err
		}
	}
	return "", err
}
