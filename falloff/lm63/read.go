package lm63

import (
	"io"
	"io/fs"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/floats"
)

// Options are the options of Read. The zero value reads any file that does not
// refer to a separate tilt file.
type Options struct {
	// Files is where the separate file of TILT=name is looked for, by its name
	// with or without its folder, ignoring case. Without Files, a reference to
	// such a file is an error.
	Files fs.FS
	// MostBytes is the size of the largest file, 64 MiB where it is zero.
	MostBytes int64
}

const (
	defaultMaxBytes = 64 << 20
	// maxAngles limits the angles in one direction, maxValues the intensities of a
	// file: a full sphere in steps of a sixth of a degree.
	maxAngles = 10_000
	maxValues = 4_000_000
	// metersPerFoot is a foot in meters (NIST SP 811).
	metersPerFoot = 0.3048
)

// Distribution is the light of one luminaire and what its file says about it.
// Its fields are for reading only: the methods ignore changes to them.
type Distribution struct {
	// Name is the file's, as given to Read.
	Name       string
	Generation Generation
	Type       Type
	Symmetry   Symmetry

	// Lamps is the number of lamps, LumensPerLamp the rated flux of each in lm,
	// zero for absolute photometry: the file then says −1, and its intensities
	// are those of the luminaire as tested.
	Lamps         int
	LumensPerLamp float64
	Absolute      bool

	// Multiplier, BallastFactor and BallastLampFactor are already included in
	// the intensities. For the 2019 generation BallastLampFactor is 1 and the
	// field is GenerationCode, which says how the data were produced; zero in
	// older files.
	Multiplier, BallastFactor, BallastLampFactor float64
	GenerationCode                               float64
	// InputWatts is the electrical input in W, zero where the file does not say.
	InputWatts float64
	Opening    Opening
	// Tilt is nil where tilting the luminaire does not change its light.
	Tilt *Tilt

	// VerticalDeg and HorizontalDeg are the angles of the grid in degrees,
	// ascending (with a plane at 360 that the file left out).
	VerticalDeg, HorizontalDeg []float64

	Warnings []Warning

	grid grid
	flux float64
	peak float64 // the largest intensity, which a bilinear interpolant has at one of the file's own angles
}

// Read reads one LM-63 file. Name is how errors and warnings call it.
//
// The intensities of the Distribution are the file's candela times multiplier,
// ballast factor and (up to 2002) ballast-lamp photometric factor; the tilt
// factor is left to Tilt. A negative candela of no more than 1 % of the peak is
// taken for the noise of measuring, set to zero and warned about; a larger one
// is an error. Numbers after the last candela mean that the counts are wrong and
// are an error; words there are a warning.
//
// The error is Errors, with all that could be found.
func Read(r io.Reader, name string, opt Options) (*Distribution, error) {
	rep := &report{file: name}
	most := opt.MostBytes
	if most <= 0 {
		most = defaultMaxBytes
	}
	raw, err := io.ReadAll(io.LimitReader(r, most+1))
	var d *Distribution
	switch {
	case err != nil:
		rep.fail(&Error{Found: "an error while reading (" + err.Error() + ")", InWords: true, Expected: "the whole file", Err: err})
	case int64(len(raw)) > most:
		rep.failDescribed(0, "more than "+strconv.FormatInt(most, 10)+" bytes", "a file of the LM-63 standard, which is far smaller")
	default:
		d = readText(raw, rep, opt)
	}
	if err := rep.errors.ErrOrNil(); err != nil {
		return nil, err
	}
	d.Name, d.Warnings = name, rep.warnings
	return d, nil
}

// readText reads the file and adds errors and warnings to rep.
func readText(raw []byte, rep *report, opt Options) *Distribution {
	text := decodeText(raw)
	generation, w := readHeader(text, rep)
	if w == nil {
		rep.failDescribed(0, describeFormat(raw, text), "a file of the LM-63 standard")
		return nil
	}
	tilt, ok := readTilt(w, opt)
	if !ok {
		return nil
	}
	d := &Distribution{Generation: generation, Tilt: tilt}
	nv, nh, ok := d.readFields(w)
	if !ok {
		return nil
	}
	d.readGrid(w, nv, nh)
	if len(rep.errors) > 0 {
		return nil
	}
	return d
}

// isPositive reports whether a factor is valid: above zero, and not so small that
// a product of several underflows.
func isPositive(v float64) bool { return v >= 1/maxMagnitude }

// anyNumber accepts every number.
func anyNumber(float64) bool { return true }

// readFields reads the thirteen numbers between TILT and the angles.
func (d *Distribution) readFields(w *tokenReader) (nv, nh int, ok bool) {
	counts := "a whole number from 1 to " + strconv.Itoa(maxAngles)
	d.Lamps, _ = w.integer("the number of lamps, a whole number from 1", 1, 1_000_000)
	lumens, _ := w.number("lumens per lamp, or -1 for absolute photometry", func(v float64) bool { return v >= 0 || v == -1 })
	d.Absolute, d.LumensPerLamp = lumens == -1, max(lumens, 0)
	if lumens == 0 {
		w.warn(w.line(), "no_lamp_lumens", "lumens per lamp are 0, taken as not known")
	}
	d.Multiplier, _ = w.number("the multiplier, above 0", isPositive)
	nv, okV := w.integer("the number of vertical angles, "+counts, 1, maxAngles)
	nh, okH := w.integer("the number of horizontal angles, "+counts, 1, maxAngles)
	if okV && okH && nv*nh > maxValues {
		w.failDescribed(w.line(), formatNumber(float64(nv))+" × "+formatNumber(float64(nh))+" angles", "at most "+strconv.Itoa(maxValues)+" intensities")
		return 0, 0, false
	}
	kind, okT := w.integer("the photometric type, 1 (C), 2 (B) or 3 (A)", 1, 3)
	d.Type = Type(kind)
	if okT && okV && nv < 2 {
		w.failDescribed(w.line(), "one vertical angle", "at least two")
	}
	unit, _ := w.integer("the unit, 1 (feet) or 2 (meters)", 1, 2)
	scale := 1.0
	if unit == 1 {
		scale = metersPerFoot
	}
	width, _ := w.number("the width of the luminous opening", anyNumber)
	length, _ := w.number("the length of the luminous opening", anyNumber)
	height, _ := w.number("the height of the luminous opening", anyNumber)
	openingLine := w.line()
	d.BallastFactor, _ = w.number("the ballast factor, above 0", isPositive)
	d.readReserved(w)
	watts, _ := w.number("the input watts", anyNumber)
	if d.InputWatts = max(watts, 0); watts < 0 {
		w.warn(w.line(), "no_watts", "input watts are negative, taken as not known")
	}
	var known bool
	if d.Opening, known = openingOf(width*scale, length*scale, height*scale, d.Type, d.Generation); !known {
		w.warn(openingLine, "opening", "the signs of the luminous opening (%s, %s, %s) have no meaning in the standard; taken as sizes", formatNumber(width), formatNumber(length), formatNumber(height))
	}
	return nv, nh, okV && okH && okT && !w.ended
}

// generationCodes are the values of the 2019 field, how the figures were made: 1.00001
// not stated, 1.0001 a simulation, else 1 with a 1 in the first decimal for an accredited
// laboratory, in the second for interpolated angles, in the third for scaled lumens. They
// keep close to 1 so that older readers multiply by little. From memory of LM-63-19.
var generationCodes = []float64{1.00001, 1.0001, 1, 1.001, 1.01, 1.011, 1.1, 1.101, 1.11, 1.111}

// readReserved reads the field after the ballast factor, whose meaning changed:
// a factor up to 1995, reserved in 2002, a code in 2019.
func (d *Distribution) readReserved(w *tokenReader) {
	d.BallastLampFactor = 1
	if d.Generation >= 2019 {
		code, ok := w.number("the code of how the figures were made", anyNumber)
		if d.GenerationCode = code; ok && !slices.Contains(generationCodes, math.Round(code*1e5)/1e5) {
			w.warn(w.line(), "generation_code", "%s is no code of the 2019 generation; it is no factor either and is left out", formatNumber(code))
		}
		return
	}
	v, ok := w.number("the ballast-lamp photometric factor, above 0", isPositive)
	if !ok {
		return
	}
	d.BallastLampFactor = v
	if d.Generation == 2002 && v != 1 {
		w.warn(w.line(), "reserved_factor", "the field behind the ballast factor is %s; the 2002 generation reserves it, taken as the factor of older ones", formatNumber(v))
	}
}

// readGrid reads angles and intensities and finishes the distribution.
func (d *Distribution) readGrid(w *tokenReader, nv, nh int) {
	v, vAt := w.ascending("vertical", nv)
	h, hAt := w.ascending("horizontal", nh)
	size := strconv.Itoa(nv) + " vertical × " + strconv.Itoa(nh) + " horizontal angles)"
	cd, cdAt := w.numbers("candela values ("+size, nv*nh, func(float64) string { return "" })
	if w.ended {
		return
	}
	lastLine := w.line()
	w.checkNegative(cd, cdAt)
	w.checkEnd(strconv.Itoa(nv*nh) + " candela values (" + size)
	if len(w.errors) > 0 {
		return
	}
	factor := d.Multiplier * d.BallastFactor * d.BallastLampFactor
	if slices.Max(cd)*factor == 0 {
		w.failDescribed(lastLine, "no candela value above 0", "a luminaire that gives light")
		return
	}
	floats.Scale(factor, cd)
	d.VerticalDeg, d.HorizontalDeg, d.grid.cd = v, h, cd
	vEnds, hEnds := [2]token{vAt[0], vAt[nv-1]}, [2]token{hAt[0], hAt[nh-1]}
	if !d.expandSymmetry(w, vEnds, hEnds) {
		return
	}
	d.peak = slices.Max(cd)
	d.flux = d.grid.totalFlux()
	d.checkPoles(w.report, lastLine)
	d.checkEdges(w.report, vEnds, hEnds)
	// Absolute photometry has no lamp lumens.
	if rated := float64(d.Lamps) * d.LumensPerLamp * d.BallastFactor; rated > 0 && d.flux > 1.05*rated {
		w.warn(0, "over_lamp_lumens", "the luminaire sends out %s lm, %.0f %% of its lamps' %s lm; lumens or multiplier may be wrong", formatNumber(d.flux), 100*d.flux/rated, formatNumber(rated))
	}
}

// noiseShare is the largest negative intensity taken for noise, as a share of the
// peak.
const noiseShare = 0.01

// checkNegative sets small negative values to zero and reports large ones.
func (w *tokenReader) checkNegative(cd []float64, at []token) {
	limit := -noiseShare * max(0, slices.Max(cd))
	least, count, line := 0.0, 0, 0
	for k, v := range cd {
		switch {
		case v >= 0:
			continue
		case v < limit:
			w.failAt(at[k], "an intensity, zero or more (up to 1 % of the peak below it is taken for noise)")
		case count == 0:
			line = at[k].line
		}
		least = min(least, v)
		count++
		cd[k] = 0
	}
	if count > 0 {
		w.warn(line, "negative_candela", "%d negative candela values, the least %s, set to 0", count, formatNumber(least))
	}
}

// checkEnd reports what follows the last candela value; values describes how many
// values the file should have.
func (w *tokenReader) checkEnd(values string) {
	count := len(w.tokens) - w.next + w.dropped
	if count == 0 {
		return
	}
	first := w.tokens[w.next]
	text := w.text(first)
	if _, number := parseNumber(text); number {
		w.failAt(first, "the end of the file after "+values+"; "+strconv.Itoa(count)+" more follow"+w.commaHint())
		return
	}
	if r := []rune(text); len(r) > 40 {
		text = string(r[:40]) + "…"
	}
	w.warn(first.line, "trailing_text", "%d words after the last candela value are left out, the first is %q", count, text)
}
