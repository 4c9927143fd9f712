package testdata

import (
	"math"
	"strings"
)

// Univariate is a data set with a certified mean and standard deviation.
type Univariate struct {
	Name     string    `csv:"name"`
	Mean     float64   `csv:"mean"`
	SD       float64   `csv:"sd"`
	Readings []float64 `csv:"-"`
}

// UnivariateSets are sets of NIST's Statistical Reference Datasets (univariate
// summary statistics): two of measurements, and NumAcc3 and NumAcc4, which are
// defined by their construction: 1000000.2 (10000000.2) once, then 500 pairs of
// 0.1 less and 0.1 more.
func UnivariateSets() []Univariate {
	var sets []Univariate
	for _, row := range rows[struct {
		Univariate
		First float64 `csv:"first"`
		Step  float64 `csv:"step"`
		Steps string  `csv:"readings"`
	}]("univariate.csv") {
		// Whole steps over a power of ten round once, as the printed figure does.
		per := math.Round(1 / row.Step)
		for word := range strings.FieldsSeq(row.Steps) {
			row.Readings = append(row.Readings, (row.First*per+number(word))/per)
		}
		sets = append(sets, row.Univariate)
	}
	for _, constructed := range []struct {
		name string
		mean float64
	}{{"NumAcc3", 1000000.2}, {"NumAcc4", 10000000.2}} {
		set := Univariate{Name: constructed.name, Mean: constructed.mean, SD: 0.1, Readings: []float64{constructed.mean}}
		whole := math.Floor(constructed.mean)
		for range 500 {
			set.Readings = append(set.Readings, (whole*10+1)/10, (whole*10+3)/10)
		}
		sets = append(sets, set)
	}
	return sets
}
