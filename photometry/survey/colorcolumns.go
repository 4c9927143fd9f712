package survey

import "math"

// colorColumns are the color of each row as written; nil columns are absent.
type colorColumns struct {
	cct, mired, duv, cieX, cieY, uPrime, vPrime []float64
	cc                                          []string
}

func (c *colorColumns) set(of role, values []float64) {
	switch of {
	case cctRole:
		c.cct = values
	case miredRole:
		c.mired = values
	case duvRole:
		c.duv = values
	case cieXRole:
		c.cieX = values
	case cieYRole:
		c.cieY = values
	case uPrimeRole:
		c.uPrime = values
	case vPrimeRole:
		c.vPrime = values
	}
}

// any tells whether there is a color column at all.
func (c *colorColumns) any() bool {
	return c.cct != nil || c.mired != nil || c.duv != nil || c.cieX != nil || c.cieY != nil || c.uPrime != nil || c.vPrime != nil || c.cc != nil
}

// hasAny tells whether row i has any part of a color.
func (c *colorColumns) hasAny(i int) bool {
	for _, column := range [][]float64{c.cct, c.mired, c.duv, c.cieX, c.cieY, c.uPrime, c.vPrime} {
		if column != nil && !math.IsNaN(column[i]) {
			return true
		}
	}
	return c.cc != nil && c.cc[i] != ""
}
