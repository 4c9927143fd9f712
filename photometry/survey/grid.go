package survey

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// gatherGrid unrolls a grid, top row first, into rows of places and values.
func (r *rows) gatherGrid(l layout, notes *noteSet, meter photometry.Meter, c *collector) {
	r.grid = true
	r.places = len(r.sheet.Header) - 1
	r.n = r.sheet.Rows * r.places
	var columns []int // with a header
	for i, cell := range r.sheet.Header {
		if i > 0 && cell.Text != "" {
			columns = append(columns, i)
		}
	}
	if r.lettered() {
		r.gridLabels(columns)
	} else {
		r.gridPositions(columns, notes, c)
	}
	r.gridValues(columns, l.quantity, meter, c)
	for i := 1; i < len(r.sheet.Header) && len(columns) < r.places; i++ {
		r.checkUnheaded(i, c)
	}
}

// at is the row that a cell of a grid becomes.
func (r *rows) at(row, column int) int { return row*r.places + column - 1 }

// lettered reports whether all rows of a grid are named by letters, A from the top.
func (r *rows) lettered() bool {
	for row := range r.sheet.Rows {
		if _, _, ok := spatial.ParseGridLabel(r.sheet.Columns[0].Text[row] + "1"); !ok {
			return false
		}
	}
	return r.sheet.Rows > 0
}

func (r *rows) gridLabels(columns []int) {
	r.label = make([]string, r.n)
	for row := range r.sheet.Rows {
		for _, i := range columns {
			r.label[r.at(row, i)] = r.sheet.Columns[0].Text[row] + r.sheet.Header[i].Text
		}
	}
}

// gridPositions reads x along the first row and y down the first column.
func (r *rows) gridPositions(columns []int, notes *noteSet, c *collector) {
	position := func(cell table.Cell) float64 {
		v, err := r.sheet.Dialect.Length(cell.Text, notes.lengthUnit)
		if err != nil || !(math.Abs(v) <= schema.FarthestM) {
			c.add(r.sheet.Error(cell, "a position of the grid such as 1.2"))
			return math.NaN()
		}
		r.feet = r.feet || table.InFeet(cell.Text)
		return v
	}
	xs := make([]float64, len(r.sheet.Header))
	for k, i := range columns {
		xs[i] = position(r.sheet.Header[i])
		for _, j := range columns[:k] {
			if xs[j] == xs[i] {
				c.add(r.sheet.Error(r.sheet.Header[i], "each x once along the first row of a grid"))
			}
		}
	}
	r.x, r.y = nans(r.n), nans(r.n)
	for row := range r.sheet.Rows {
		y := position(table.Cell{Text: r.sheet.Columns[0].Text[row], Line: r.sheet.Line(row), Column: 1})
		for _, i := range columns {
			r.x[r.at(row, i)], r.y[r.at(row, i)] = xs[i], y
		}
	}
}

// gridValues reads the cells of a grid, all of one quantity.
func (r *rows) gridValues(columns []int, quantity column, meter photometry.Meter, c *collector) {
	switch quantity.role {
	case schema.AnyLevel:
		r.hasLevel, r.unit = true, quantity.level
		meter.Unit = r.unit
		r.quantity = meter.Quantity(r.unit)
		r.level = nans(r.n)
		for _, i := range columns {
			r.fillLevels(&r.sheet.Columns[i], i-1, r.places, r.level, quantity.times, meter, c)
		}
	case schema.CC:
		r.colors.cc = make([]string, r.n)
		for _, i := range columns {
			for row := range r.sheet.Rows {
				r.colors.cc[r.at(row, i)] = r.sheet.Cell(row, i).Text
			}
		}
	default:
		values := nans(r.n)
		for _, i := range columns {
			for row, v := range r.numbers(quantity.role, &r.sheet.Columns[i], c) {
				values[r.at(row, i)] = v
			}
		}
		*r.colors.number(quantity.role) = values
	}
}

// checkUnheaded refuses values in a column of a grid that has no header.
func (r *rows) checkUnheaded(column int, c *collector) {
	if r.sheet.Header[column].Text != "" {
		return
	}
	for row := range r.sheet.Rows {
		if cell := r.sheet.Cell(row, column); cell.Text != "" {
			c.add(r.sheet.Error(cell, "nothing under a column without a position"))
		}
	}
}
