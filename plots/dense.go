package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// manyPoints is from how many points on a picture leaves out those that nobody can tell
// from others: a file may have a hundred thousand.
const manyPoints = 5000

// drawnMarks are the squares of four points' side in which a picture has a mark of a kind; nil
// where it draws all.
type drawnMarks map[[3]int]bool

func newDrawn(readings int) drawnMarks {
	if readings <= manyPoints {
		return nil
	}
	return drawnMarks{}
}

// first reports whether a mark is the first of its kind in its square.
func (d drawnMarks) first(at vg.Point, kind marker) bool {
	if d == nil {
		return true
	}
	square := [3]int{int(math.Floor(float64(at.X) / 4)), int(math.Floor(float64(at.Y) / 4)), int(kind)}
	if d[square] {
		return false
	}
	d[square] = true
	return true
}

// outlined is a line of very many points from left to right, with the lowest and the
// highest of each column of the picture alone.
func outlined(line []vg.Point) (thin []vg.Point) {
	if len(line) <= manyPoints {
		return line
	}
	for start := 0; start < len(line); {
		low, high, end := start, start, start
		for ; end < len(line) && math.Floor(float64(line[end].X)) == math.Floor(float64(line[start].X)); end++ {
			if line[end].Y < line[low].Y {
				low = end
			}
			if line[end].Y > line[high].Y {
				high = end
			}
		}
		thin = append(thin, line[min(low, high)], line[max(low, high)])
		start = end
	}
	return thin
}
