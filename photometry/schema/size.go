package schema

import (
	"strconv"
	"strings"

	"evenfall/photometry/table"
)

// MostPlaces is how many places a grid may have.
const MostPlaces = 1_000_000

// splitTimes splits 9x5, 9 × 5 or 4.8*2.4 into its two parts.
func splitTimes(text string) (first, second string, ok bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	for _, sign := range []string{"×", "x", "*", " by "} {
		if a, b, found := strings.Cut(text, sign); found {
			return strings.TrimSpace(a), strings.TrimSpace(b), true
		}
	}
	return "", "", false
}

// ParseGridSize reads a count of places across and up, such as 9x5.
func ParseGridSize(text string) (columns, rows int, err error) {
	a, b, ok := splitTimes(text)
	columns, errA := strconv.Atoi(a)
	rows, errB := strconv.Atoi(b)
	if !ok || errA != nil || errB != nil || columns < 1 || rows < 1 || columns > MostPlaces || rows > MostPlaces/columns {
		return 0, 0, wrong(text, "places across and up such as 9x5")
	}
	return columns, rows, nil
}

// ParseSize reads a width and height such as 4.8x2.4 or 16ft x 8ft into meters;
// numbers without a unit are in unit.
func ParseSize(text, unit string) (widthM, heightM float64, err error) {
	if a, b, ok := splitTimes(text); ok {
		w, errW := table.ParseLength(a, unit)
		h, errH := table.ParseLength(b, unit)
		if errW == nil && errH == nil && side.Hold(w) && side.Hold(h) {
			return w, h, nil
		}
	}
	return 0, 0, wrong(text, "a width and height such as 4.8x2.4")
}

// side is what the width or height of something may be, in meters.
var side = Bounds{High: FarthestM, Open: true}
