package testdata

// LinearProgram asks for the least Cost·z with z ≥ 0 and every row held.
type LinearProgram struct {
	Name    string
	Cost    []float64
	Rows    []LinearRow
	Least   float64   // cost at the optimum
	At      []float64 // where it is, nil where that is not published
	Within  float64   // to how much Least is published
	Largest float64   // no variable is larger at the optimum
}

// LinearRow is a row: Coefficients·z <=, >= or = Right.
type LinearRow struct {
	Coefficients []float64
	Relation     string
	Right        float64
}

// LinearPrograms are worked examples of textbooks and one of the netlib
// collection. Those of Beale and Chvátal make the plain simplex method go around
// in circles; that of Klee and Minty makes it visit every corner.
func LinearPrograms() []LinearProgram {
	return []LinearProgram{
		{"Hillier and Lieberman", []float64{-3, -5}, []LinearRow{
			{[]float64{1, 0}, "<=", 4}, {[]float64{0, 2}, "<=", 12}, {[]float64{3, 2}, "<=", 18},
		}, -36, []float64{2, 6}, 0, 10},
		{"Beale", []float64{-0.75, 150, -0.02, 6}, []LinearRow{
			{[]float64{0.25, -60, -0.04, 9}, "<=", 0}, {[]float64{0.5, -90, -0.02, 3}, "<=", 0}, {[]float64{0, 0, 1, 0}, "<=", 1},
		}, -0.05, []float64{0.04, 0, 1, 0}, 0, 100},
		{"Beale, other data", []float64{-0.75, 20, -0.5, 6}, []LinearRow{
			{[]float64{0.25, -8, -1, 9}, "<=", 0}, {[]float64{0.5, -12, -0.5, 3}, "<=", 0}, {[]float64{0, 0, 1, 0}, "<=", 1},
		}, -1.25, []float64{1, 0, 1, 0}, 0, 100},
		{"Chvátal", []float64{-10, 57, 9, 24}, []LinearRow{
			{[]float64{0.5, -5.5, -2.5, 9}, "<=", 0}, {[]float64{0.5, -1.5, -0.5, 1}, "<=", 0}, {[]float64{1, 0, 0, 0}, "<=", 1},
		}, -1, []float64{1, 0, 1, 0}, 0, 100},
		{"Klee and Minty", []float64{-100, -10, -1}, []LinearRow{
			{[]float64{1, 0, 0}, "<=", 1}, {[]float64{20, 1, 0}, "<=", 100}, {[]float64{200, 20, 1}, "<=", 10000},
		}, -10000, []float64{0, 0, 10000}, 0, 20000},
		afiro(),
	}
}

// afiro is netlib's smallest: 27 rows, 32 columns, 88 figures with its costs.
func afiro() LinearProgram {
	p := LinearProgram{Name: "AFIRO", Least: -464.75314286, Within: 1e-8, Largest: 2000}
	rowOf, columnOf := map[string]int{}, map[string]int{}
	const columns = 32
	p.Cost = make([]float64, columns)
	for _, r := range rows[struct {
		Row      string  `csv:"row"`
		Relation string  `csv:"relation"`
		Column   string  `csv:"column"`
		Value    float64 `csv:"value"`
	}]("balance_afiro.csv") {
		if r.Relation != "" {
			rowOf[r.Row] = len(p.Rows)
			p.Rows = append(p.Rows, LinearRow{make([]float64, columns), r.Relation, r.Value})
			continue
		}
		c, known := columnOf[r.Column]
		if !known {
			c = len(columnOf)
			columnOf[r.Column] = c
		}
		if r.Row == "COST" {
			p.Cost[c] = r.Value
			continue
		}
		p.Rows[rowOf[r.Row]].Coefficients[c] = r.Value
	}
	return p
}
