package photometry

import (
	"math"
	"slices"
	"strconv"
)

// Series is the spacing of the marks on a scale of f-numbers or shutter times.
type Series uint8

// The marked series. Third stops are the usual one; half stops give other exact
// values to the marks 1.2 and 13, among others.
const (
	Thirds Series = iota
	Halves
	Full
)

// The engraved f-numbers of each series, one from each mark to the next
// starting at 0.5 (2^-1). Common practice after ISO 2720 and ISO 517's
// rounding; full stops end at 90 (2^6.5).
var (
	fullMarks  = []float64{0.5, 0.7, 1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32, 45, 64, 90, 128}
	thirdMarks = []float64{0.5, 0.56, 0.63, 0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5,
		5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20, 22, 25, 29, 32, 36, 40, 45, 51, 57, 64, 72, 80, 90, 102, 114, 128}
	halfMarks = []float64{0.5, 0.6, 0.7, 0.8, 1, 1.2, 1.4, 1.7, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13, 16, 19, 22,
		27, 32, 38, 45, 54, 64, 76, 90, 107, 128}
)

// marks returns the engraved values and how many stand in a stop.
func (s Series) marks() ([]float64, float64) {
	switch s {
	case Halves:
		return halfMarks, 2
	case Full:
		return fullMarks, 1
	default:
		return thirdMarks, 3
	}
}

// ExactFNumber is the exact value behind a marked f-number: 5.6 is 2^2.5 and 11
// is 2^3.5. A number that is no mark of the series (or of the full stops) is
// taken as written.
func (s Series) ExactFNumber(written float64) float64 {
	values, perStop := s.marks()
	for i, mark := range values {
		if written == mark {
			return math.Exp2((float64(i)/perStop - 2) / 2)
		}
	}
	return written
}

// IsMark tells whether an f-number as written is a mark of the series.
func (s Series) IsMark(written float64) bool {
	values, _ := s.marks()
	return slices.Contains(values, written)
}

// MarkedFNumber is the engraved f-number nearest in stops to an exact one, and
// how many stops the exact one lies above it (more light needed to reach it is
// positive).
func (s Series) MarkedFNumber(exact float64) (mark, overStops float64) {
	values, perStop := s.marks()
	at := (2*math.Log2(exact) + 2) * perStop
	i := int(math.Round(at))
	i = max(0, min(i, len(values)-1))
	return values[i], (at - float64(i)) / perStop
}

// FormatLensStop prints an exact f-number as one sets a lens in continuous light: two
// digits, f/2.6, within a twentieth of a stop of a mark of the third-stop series that
// mark, f/5.6, and three where two would be the figure of another mark: f/10.6 is not f/11.
func FormatLensStop(exact float64) string {
	if mark, over := Thirds.MarkedFNumber(exact); math.Abs(over) < 0.05 {
		exact = mark
	} else {
		exact = lensFigure(exact)
	}
	return "f/" + strconv.FormatFloat(exact, 'f', -1, 64)
}

// lensFigure is an f-number off the marks, to as many digits as tell it from them.
func lensFigure(exact float64) float64 {
	for digits := 2; ; digits++ {
		figure, err := strconv.ParseFloat(strconv.FormatFloat(exact, 'g', digits, 64), 64)
		if mark, _ := Thirds.MarkedFNumber(figure); err != nil || mark != figure || digits == 4 {
			return figure
		}
	}
}

// FormatFNumber prints the f-number of a flash as a meter shows it, a full stop and
// tenths above it: f/8, f/5.6 7/10. Outside f/0.5 to f/128 it prints the number.
func FormatFNumber(exact float64) string {
	if !(exact >= 0.48 && exact <= 135) {
		return "f/" + strconv.FormatFloat(exact, 'g', 3, 64)
	}
	tenths := int(math.Round((2*math.Log2(exact) + 2) * 10))
	tenths = max(tenths, 0)
	i := min(tenths/10, len(fullMarks)-1)
	text := "f/" + strconv.FormatFloat(fullMarks[i], 'g', -1, 64)
	if rest := tenths - 10*i; rest > 0 {
		text += " " + strconv.Itoa(rest) + "/10"
	}
	return text
}
