package testdata

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
)

//go:embed level.csv
var levelCSV string

// CommonPractice is the source of figures that people of the trade go by and that
// nobody published with a number.
const CommonPractice = "common practice"

// Figure is one published number: what it is of, who published it, the
// arguments it holds for, the value and how far from it the code may be.
type Figure struct {
	Quantity, Source string
	Args             []float64
	Want, Tolerance  float64
	Note             string
}

// LevelFigures are the published figures of level, exposure, evenness and the
// statistics behind a verdict, in the order of level.csv.
func LevelFigures() []Figure { return figures("level.csv", levelCSV) }

// figures reads a table of figures. An empty argument is left out.
func figures(name, content string) []Figure {
	rows, err := csv.NewReader(strings.NewReader(content)).ReadAll()
	if err != nil {
		panic("testdata: " + name + ": " + err.Error())
	}
	figures := make([]Figure, 0, len(rows)-1)
	for _, row := range rows[1:] {
		f := Figure{Quantity: row[0], Source: row[1], Note: row[8], Want: number(row[6]), Tolerance: number(row[7])}
		for _, cell := range row[2:6] {
			if cell != "" {
				f.Args = append(f.Args, number(cell))
			}
		}
		figures = append(figures, f)
	}
	return figures
}

func number(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("testdata: " + err.Error())
	}
	return v
}
