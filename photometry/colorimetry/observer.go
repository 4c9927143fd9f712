package colorimetry

// The grid on which every spectrum and filter stands: 1 nm steps over the whole
// range of the CIE 1931 table.
const (
	FirstNM = 360 // wavelength of index 0, nm
	LastNM  = 830 // wavelength of the last index, nm
	Samples = LastNM - FirstNM + 1
)

// SecondRadiationConstant is c2 = h·c/k in m·K, exact in the 2019 SI
// (1.438776877…e-2, CODATA 2018).
const SecondRadiationConstant = 1.438776877e-2

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
