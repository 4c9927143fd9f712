package schema

import "evenfall/photometry/table"

// The bounds of figures in files, far beyond what is met on a set: whatever lies
// outside is a wrong unit or sign, and what lies inside can be squared and its
// logarithm taken.
const (
	FaintestLevel  = 1e-9 // in the SI unit of its quantity
	StrongestLevel = 1e9
	FarthestM      = 1e4 // any length or position, in meters
	FastestISO     = 1e7
	WarmestK       = 1000 // the range of color temperatures, see colorimetry
	CoolestK       = 25000
	// DensestND is the densest filter that a plain number may be. Beyond it a number
	// is rather a factor, ND 8 for three stops.
	DensestND = 4
	// MostStops is the largest difference of levels, a factor of a million.
	MostStops = 20
)

// Bounds are the least and the greatest that a figure may be.
type Bounds struct {
	Low, High float64
	Open      bool // the lower end is left out
}

// Hold reports whether a figure lies within.
func (b Bounds) Hold(v float64) bool {
	return v >= b.Low && v <= b.High && !(b.Open && v == b.Low)
}

// IsMeasurable reports whether a level is one that a meter can show, in the SI unit
// of its quantity; 0 is dark.
func IsMeasurable(level float64) bool {
	return level == 0 || Bounds{Low: FaintestLevel, High: StrongestLevel}.Hold(level)
}

// ParseLength reads a length or position of at most FarthestM either way; one
// without a unit is in unit.
func ParseLength(text, unit string) (meters float64, err error) {
	meters, err = table.ParseLength(text, unit)
	if err == nil && !(Bounds{Low: -FarthestM, High: FarthestM}).Hold(meters) {
		err = wrong(text, "a length within 10 km")
	}
	return meters, err
}
