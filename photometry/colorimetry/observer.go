package colorimetry

import (
	_ "embed"
	"strconv"
	"strings"
)

// The grid of every spectrum and filter: 1 nm steps over the whole
// range of the CIE 1931 table.
const (
	FirstNM = 360 // wavelength of index 0, nm
	LastNM  = 830 // wavelength of the last index, nm
	Samples = LastNM - FirstNM + 1
)

// SecondRadiationConstant is c2 = h·c/k in m·K, exact in the 2019 SI
// (1.438776877…e-2, CODATA 2018).
const SecondRadiationConstant = 1.438776877e-2

//go:embed observer.csv
var observerCSV string

// cmf is the CIE 1931 2° standard colorimetric observer: x̄, ȳ and z̄ at 1 nm
// from 360 nm (index 0) to 830 nm (index 470). These are the CIE's own figures
// (CIE 018:2019 and ISO/CIE 11664-1:2019; data set DOI 10.25039/CIE.DS.xvudnb9b),
// not a fit. testdata/SOURCES.md says where the copy was taken from, and how it
// was proved digit by digit.
var cmf = [Samples][3]float64(tabulated(observerCSV))

// tabulated reads a table of three figures a wavelength below a line of names,
// the wavelength first. It panics where the table is none.
func tabulated(csv string) [][3]float64 {
	lines := strings.Split(strings.TrimSpace(csv), "\n")
	out := make([][3]float64, len(lines)-1)
	for i, line := range lines[1:] {
		for k, text := range strings.Split(line, ",")[1:] {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				panic(err)
			}
			out[i][k] = v
		}
	}
	return out
}

// ColorMatching returns the CIE 1931 2° color matching functions x̄, ȳ and z̄ at
// a whole wavelength in nm, as X, Y and Z. Outside 360 nm to 830 nm, where the
// CIE tabulates nothing, all three are 0.
func ColorMatching(wavelengthNM int) XYZ {
	if wavelengthNM < FirstNM || wavelengthNM > LastNM {
		return XYZ{}
	}
	var c XYZ
	c.see(wavelengthNM-FirstNM, 1)
	return c
}

// see adds power at the wavelength of index i.
func (c *XYZ) see(i int, power float64) {
	m := &cmf[i]
	c.X += power * m[0]
	c.Y += power * m[1]
	c.Z += power * m[2]
}
