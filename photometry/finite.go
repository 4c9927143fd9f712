package photometry

import "math"

// Finite tells whether all values are numbers, neither NaN nor infinite.
func Finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
