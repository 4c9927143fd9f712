package uncertainty

import "math"

// MostRepeats is beyond how many readings another one is no longer worth the time.
const MostRepeats = 9

// RepeatsFor is how many readings bring a width that falls with √k under room.
func RepeatsFor(width, room float64) int {
	k := math.Ceil(math.Pow(width/room, 2) - 1e-9)
	if !(k < 1e6) {
		return 1e6
	}
	return max(2, int(k))
}

// Agree reports whether two readings differ by no more than their scatter allows with a
// probability of 95 %, where nothing is known of it beforehand.
func Agree(a, b float64) bool {
	return math.Abs(math.Log(a/b)) <= Factor(0)*math.Sqrt2*AssumedRepeatability
}
