package testdata

// BeamFigure is the cosine-power beam of a beam angle (half intensity to half
// intensity) and its peak intensity per 1000 lm.
type BeamFigure struct {
	BeamDeg           float64
	Exponent          float64
	CandelaPerKilolm  float64
	RelativeTolerance float64
}

// Beams returns m = ln ½/ln cos(beam/2) and I0 = (m+1)·1000/2π (mark B1 in
// SOURCES.md).
func Beams() []BeamFigure {
	return []BeamFigure{
		{60, 4.818842, 926.0974, 1e-7},
		{30, 19.993727, 3341.2555, 1e-7},
	}
}

// DirectionalFigure is the directional response index f2 of a receptor whose
// response is a power of the cosine.
type DirectionalFigure struct {
	Exponent, ToDeg   float64
	F2                float64
	RelativeTolerance float64
}

// DirectionalIndex returns f2 of ISO/CIE 19476 for known responses (mark B2 in
// SOURCES.md).
func DirectionalIndex() []DirectionalFigure {
	return []DirectionalFigure{
		{1, 85, 0, 0},
		{1.2, 85, 0.08755191975, 1e-9},
	}
}
