package testdata

import (
	_ "embed"
	"encoding/csv"
	"math"
	"strings"
)

//go:embed univariate.csv
var univariateCSV string

// Univariate is a data set with a certified mean and standard deviation.
type Univariate struct {
	Name     string
	Mean, SD float64
	Readings []float64
}

// UnivariateSets are sets of NIST's Statistical Reference Datasets (univariate
// summary statistics): two of measurements, and NumAcc3 and NumAcc4, which are
// defined by their construction: 1000000.2 (10000000.2) once, then 500 pairs of
// 0.1 less and 0.1 more.
func UnivariateSets() []Univariate {
	rows, err := csv.NewReader(strings.NewReader(univariateCSV)).ReadAll()
	if err != nil {
		panic("testdata: univariate.csv: " + err.Error())
	}
	var sets []Univariate
	for _, row := range rows[1:] {
		set := Univariate{Name: row[0], Mean: number(row[1]), SD: number(row[2])}
		for word := range strings.FieldsSeq(row[5]) {
			// Whole steps over a power of ten round once, as the printed figure does.
			per := math.Round(1 / number(row[4]))
			set.Readings = append(set.Readings, (number(row[3])*per+number(word))/per)
		}
		sets = append(sets, set)
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
