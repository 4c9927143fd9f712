package survey

import (
	"math"
	"slices"

	"evenfall/photometry/schema"
)

// colorColumns are the color of each row as written; nil columns are absent.
type colorColumns struct {
	cct, mired, duv, cieX, cieY, uPrime, vPrime []float64
	cc                                          []string
}

// colorNumbers are the parts of a color that are numbers: all but CC.
var colorNumbers = slices.DeleteFunc(slices.Clone(schema.Colors), func(of *schema.Column) bool { return of == schema.CC })

// number is the column of one of colorNumbers.
func (c *colorColumns) number(of *schema.Column) *[]float64 {
	return [...]*[]float64{&c.cct, &c.mired, &c.duv, &c.cieX, &c.cieY, &c.uPrime, &c.vPrime}[slices.Index(colorNumbers, of)]
}

// has reports whether there is a column of a part of a color.
func (c *colorColumns) has(of *schema.Column) bool {
	if of == schema.CC {
		return c.cc != nil
	}
	return *c.number(of) != nil
}

// any reports whether there is a color column at all.
func (c *colorColumns) any() bool { return slices.ContainsFunc(schema.Colors, c.has) }

// dropEmpty takes out columns of Duv and CC without any figure: kelvins beside an empty
// column are kelvins alone.
func (c *colorColumns) dropEmpty() {
	if !slices.ContainsFunc(c.duv, func(v float64) bool { return !math.IsNaN(v) }) {
		c.duv = nil
	}
	if !slices.ContainsFunc(c.cc, func(text string) bool { return text != "" }) {
		c.cc = nil
	}
}

// given reports whether row i has a part of a color.
func (c *colorColumns) given(of *schema.Column, i int) bool {
	switch {
	case !c.has(of):
		return false
	case of == schema.CC:
		return c.cc[i] != ""
	}
	return givenAt(*c.number(of), i)
}

// hasAny reports whether row i has any part of a color.
func (c *colorColumns) hasAny(i int) bool {
	return slices.ContainsFunc(schema.Colors, func(of *schema.Column) bool { return c.given(of, i) })
}

// text is a figure of row i as typed.
func (c *colorColumns) text(of *schema.Column, i int) string {
	if of == schema.CC {
		return c.cc[i]
	}
	return trimFloat((*c.number(of))[i])
}
