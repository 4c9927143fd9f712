package testdata

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

//go:embed color_*.csv
var colorFiles embed.FS

// ColorTemperature is a chromaticity with its published correlated color
// temperature and, where that is published too, Duv.
type ColorTemperature struct {
	X, Y         float64
	CCT          float64 // K
	Duv          float64 // meaningful only where HasDuv
	HasDuv       bool
	CCTTolerance float64 // K: to what the figure is given, or what constants of its time make of it
	DuvTolerance float64
	Source       string
}

// ColorTemperatures returns published color temperatures.
func ColorTemperatures() []ColorTemperature {
	var out []ColorTemperature
	for _, r := range colorTable("color_temperatures.csv") {
		out = append(out, ColorTemperature{
			X: colorNumber(r[0]), Y: colorNumber(r[1]), CCT: colorNumber(r[2]), Duv: colorNumber(r[3]), HasDuv: r[3] != "",
			CCTTolerance: colorNumber(r[4]), DuvTolerance: colorNumber(r[5]), Source: r[6],
		})
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
	header, rows := colorHeader("color_illuminants.csv"), colorTable("color_illuminants.csv")
	var out []Illuminant
	for c := 1; c < len(header); c++ {
		ill, ok := published[header[c]]
		if !ok {
			panic("testdata: no published chromaticity for illuminant " + header[c])
		}
		ill.Name, ill.StepNM = header[c], 5
		for _, r := range rows {
			if r[c] == "" {
				continue
			}
			if ill.Values == nil {
				ill.FirstNM = colorNumber(r[0])
			}
			ill.Values = append(ill.Values, colorNumber(r[c]))
		}
		out = append(out, ill)
	}
	return out
}

// ColorMatching is one row of the CIE 1931 2° color matching functions.
type ColorMatching struct {
	WavelengthNM int
	X, Y, Z      float64
	Tolerance    float64 // relative: half of the last digit given
}

// ColorMatching5nm returns the table at 5 nm from 360 nm to 830 nm.
func ColorMatching5nm() []ColorMatching { return colorMatching("color_matching_5nm.csv", 0) }

// ColorMatchingSpots returns rows between those at 5 nm, from a second copy of
// the CIE's 1 nm table, to six significant digits or more.
func ColorMatchingSpots() []ColorMatching { return colorMatching("color_matching_spots.csv", 5e-6) }

func colorMatching(file string, tolerance float64) []ColorMatching {
	var out []ColorMatching
	for _, r := range colorTable(file) {
		out = append(out, ColorMatching{int(colorNumber(r[0])), colorNumber(r[1]), colorNumber(r[2]), colorNumber(r[3]), tolerance})
	}
	return out
}

// PlanckianPoint is a point of the Planckian locus in CIE 1960 (u, v) as another
// library computes it: summed at 1 nm from 360 nm to 780 nm, c2 = 1.4388e-2 m·K.
type PlanckianPoint struct{ Kelvin, U, V, Tolerance float64 }

// PlanckianPoints returns points of the Planckian locus.
func PlanckianPoints() []PlanckianPoint {
	var out []PlanckianPoint
	for _, r := range colorTable("color_planckian.csv") {
		p := PlanckianPoint{colorNumber(r[0]), colorNumber(r[1]), colorNumber(r[2]), 6e-9}
		if len(r[1]) > 15 {
			p.Tolerance = 1e-14
		}
		out = append(out, p)
	}
	return out
}

// DaylightPoint is a chromaticity of CIE daylight as another library computes it.
type DaylightPoint struct {
	Kelvin, X, Y, Tolerance float64
	Source                  string
}

// DaylightPoints returns points of the CIE daylight locus.
func DaylightPoints() []DaylightPoint {
	var out []DaylightPoint
	for _, r := range colorTable("color_daylight.csv") {
		out = append(out, DaylightPoint{colorNumber(r[0]), colorNumber(r[1]), colorNumber(r[2]), 6e-10, r[3]})
	}
	return out
}

func colorHeader(file string) []string { return colorRecords(file)[0] }

func colorTable(file string) [][]string { return colorRecords(file)[1:] }

// colorRecords reads an embedded table; a fault in it is ours, so it panics.
func colorRecords(file string) [][]string {
	text, err := colorFiles.ReadFile(file)
	if err != nil {
		panic(err)
	}
	records, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("testdata: %s: %v", file, err))
	}
	return records
}

// colorNumber reads a figure; an empty cell is 0.
func colorNumber(s string) float64 {
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return v
}
