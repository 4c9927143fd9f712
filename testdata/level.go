package testdata

// CommonPractice is the source of figures that people of the trade go by and that
// nobody published with a number.
const CommonPractice = "common practice"

// Figure is one published number: what it is of, who published it, the
// arguments, the value and the tolerance.
type Figure struct {
	Quantity  string    `csv:"quantity"`
	Source    string    `csv:"source"`
	Args      []float64 `csv:"-"`
	Want      float64   `csv:"want"`
	Tolerance float64   `csv:"tolerance"`
	Note      string    `csv:"note"`
}

// LevelFigures are the published figures of level, exposure, evenness and the
// statistics behind a verdict, in the order of level.csv.
func LevelFigures() []Figure { return figures("level.csv") }

// figures reads a table of figures. An empty argument is left out.
func figures(name string) []Figure {
	var out []Figure
	for _, row := range rows[struct {
		Figure
		A *float64 `csv:"a,omitempty"`
		B *float64 `csv:"b,omitempty"`
		C *float64 `csv:"c,omitempty"`
		D *float64 `csv:"d,omitempty"`
	}](name) {
		for _, argument := range []*float64{row.A, row.B, row.C, row.D} {
			if argument != nil {
				row.Args = append(row.Args, *argument)
			}
		}
		out = append(out, row.Figure)
	}
	return out
}
