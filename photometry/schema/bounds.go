package schema

// The bounds of figures in files, far beyond what is met on a set: whatever lies
// outside is a slip of unit or sign, and what lies inside can be squared and its
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
