package colorimetry

// Conversion is one color in every notation that applies to it.
type Conversion struct {
	Kelvin *float64 `json:"cct_k,omitempty"`
	Duv    *float64 `json:"duv,omitempty"`
	Mired  *float64 `json:"mired,omitempty"`
	X      float64  `json:"x"` // CIE 1931
	Y      float64  `json:"y"`
	UPrime float64  `json:"u_prime"` // CIE 1976
	VPrime float64  `json:"v_prime"`
	// NoCCT says why there is no color temperature, where there is none.
	NoCCT string `json:"no_cct,omitempty"`
}

// Convert turns a chromaticity into the other notations. It fails for a
// chromaticity that no light has; a light too far from white has no color
// temperature and the reason is in NoCCT.
func Convert(c XY) (Conversion, error) {
	if err := c.Check(); err != nil {
		return Conversion{}, err
	}
	p := c.UVPrime()
	out := Conversion{X: c.X, Y: c.Y, UPrime: p.U, VPrime: p.V}
	t, err := c.CCT()
	if err != nil {
		out.NoCCT = err.Error()
		return out, nil
	}
	out.Kelvin, out.Duv, out.Mired = &t.Kelvin, &t.Duv, new(t.Mired())
	return out, nil
}
