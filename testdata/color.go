package testdata

// ColorTemperature is a chromaticity with its published correlated color
// temperature and, where that is published too, Duv.
type ColorTemperature struct {
	X            float64 `csv:"x"`
	Y            float64 `csv:"y"`
	CCT          float64 `csv:"cct_k"` // K
	Duv          float64 `csv:"-"`     // meaningful only where HasDuv
	HasDuv       bool    `csv:"-"`
	CCTTolerance float64 `csv:"cct_tolerance_k"` // K: to what the figure is given, or what constants of its time make of it
	DuvTolerance float64 `csv:"duv_tolerance"`
	Source       string  `csv:"source"`
}

// ColorTemperatures returns published color temperatures.
func ColorTemperatures() []ColorTemperature {
	var out []ColorTemperature
	for _, r := range rows[struct {
		ColorTemperature
		Published *float64 `csv:"duv,omitempty"`
	}]("color_temperatures.csv") {
		if r.Published != nil {
			r.Duv, r.HasDuv = *r.Published, true
		}
		out = append(out, r.ColorTemperature)
	}
	return out
}

// Illuminant is a CIE illuminant: its relative spectral distribution as
// tabulated, and its chromaticity in the CIE 1931 2° system as published.
type Illuminant struct {
	Name            string
	FirstNM, StepNM float64
	Values          []float64
	X, Y            float64
	XYTolerance     float64 // half of the last digit published, or, of five digits, what the range and step of the sum make of the last
}

// Illuminants returns CIE illuminants A, D50, D55, D65, E, F1, F2, F3, F7, F11
// and F12.
func Illuminants() []Illuminant {
	published := map[string]Illuminant{
		"A":   {X: 0.44758, Y: 0.40745, XYTolerance: 3e-5},
		"D50": {X: 0.34567, Y: 0.35851, XYTolerance: 3e-5},
		"D55": {X: 0.33243, Y: 0.34744, XYTolerance: 3e-5},
		"D65": {X: 0.31272, Y: 0.32903, XYTolerance: 3e-5},
		"E":   {X: 1.0 / 3, Y: 1.0 / 3, XYTolerance: 5e-5},
		"F1":  {X: 0.3131, Y: 0.3371, XYTolerance: 5e-5},
		"F2":  {X: 0.3721, Y: 0.3751, XYTolerance: 5e-5},
		"F3":  {X: 0.4091, Y: 0.3941, XYTolerance: 5e-5},
		"F7":  {X: 0.3129, Y: 0.3292, XYTolerance: 5e-5},
		"F11": {X: 0.3805, Y: 0.3769, XYTolerance: 5e-5},
		"F12": {X: 0.4370, Y: 0.4042, XYTolerance: 5e-5},
	}
	table := records("color_illuminants.csv")
	header := table[0]
	var out []Illuminant
	for c := 1; c < len(header); c++ {
		ill, ok := published[header[c]]
		if !ok {
			panic("testdata: no published chromaticity for illuminant " + header[c])
		}
		ill.Name, ill.StepNM = header[c], 5
		for _, r := range table[1:] {
			if r[c] == "" {
				continue
			}
			if ill.Values == nil {
				ill.FirstNM = number(r[0])
			}
			ill.Values = append(ill.Values, number(r[c]))
		}
		out = append(out, ill)
	}
	return out
}

// ColorMatching is one row of the CIE 1931 2° color matching functions.
type ColorMatching struct {
	WavelengthNM int     `csv:"wavelength_nm"`
	X            float64 `csv:"x_bar"`
	Y            float64 `csv:"y_bar"`
	Z            float64 `csv:"z_bar"`
	Tolerance    float64 `csv:"-"` // relative: half of the last digit given
}

// ColorMatching5nm returns the table at 5 nm from 360 nm to 830 nm.
func ColorMatching5nm() []ColorMatching { return rows[ColorMatching]("color_matching_5nm.csv") }

// ColorMatchingSpots returns rows between those at 5 nm, from a second copy of
// the CIE's 1 nm table, to six significant digits or more.
func ColorMatchingSpots() []ColorMatching {
	out := rows[ColorMatching]("color_matching_spots.csv")
	for i := range out {
		out[i].Tolerance = 5e-6
	}
	return out
}

// PlanckianPoint is a point of the Planckian locus in CIE 1960 (u, v) as another
// library computes it: summed at 1 nm from 360 nm to 780 nm, c2 = 1.4388e-2 m·K.
type PlanckianPoint struct{ Kelvin, U, V, Tolerance float64 }

// PlanckianPoints returns points of the Planckian locus.
func PlanckianPoints() []PlanckianPoint {
	var out []PlanckianPoint
	for _, r := range records("color_planckian.csv")[1:] {
		p := PlanckianPoint{number(r[0]), number(r[1]), number(r[2]), 6e-9}
		if len(r[1]) > 15 {
			p.Tolerance = 1e-14
		}
		out = append(out, p)
	}
	return out
}

// DaylightPoint is a chromaticity of CIE daylight as another library computes it.
type DaylightPoint struct {
	Kelvin    float64 `csv:"kelvin"`
	X         float64 `csv:"x"`
	Y         float64 `csv:"y"`
	Tolerance float64 `csv:"-"`
	Source    string  `csv:"source"`
}

// DaylightPoints returns points of the CIE daylight locus.
func DaylightPoints() []DaylightPoint {
	out := rows[DaylightPoint]("color_daylight.csv")
	for i := range out {
		out[i].Tolerance = 6e-10
	}
	return out
}
