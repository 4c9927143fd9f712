package survey

// where is a table of some of the rows, which keep their line numbers.
func (r *rows) where(keep func(i int) bool) *rows {
	index := make([]int32, 0, r.n)
	for i := range r.n {
		if keep(i) {
			index = append(index, int32(i))
		}
	}
	out := *r
	if len(index) == r.n {
		return &out
	}
	for _, column := range out.numberColumns() {
		*column = picked(*column, index)
	}
	for _, column := range []*[]string{&out.label, &out.spots, &out.lamp, &out.role, &out.colors.cc} {
		*column = picked(*column, index)
	}
	out.text, out.bounds, out.status = keyed(r.text, index), keyed(r.bounds, index), keyed(r.status, index)
	if r.kept != nil {
		index = picked(r.kept, index)
	}
	out.kept, out.n = index, len(index)
	return &out
}

// keyed are the entries of a map by row at an index.
func keyed[T any](byRow map[int32]T, index []int32) map[int32]T {
	out := map[int32]T{}
	for to, from := range index {
		if v, ok := byRow[from]; ok {
			out[int32(to)] = v
		}
	}
	return out
}

// numberColumns are all columns of numbers, for whoever treats them alike.
func (r *rows) numberColumns() []*[]float64 {
	columns := []*[]float64{&r.x, &r.y, &r.level, &r.minutes}
	for _, of := range colorNumbers {
		columns = append(columns, r.colors.number(of))
	}
	return columns
}

// picked is the column at an index; one that the table lacks stays so.
func picked[T any](column []T, index []int32) []T {
	if len(column) == 0 {
		return column
	}
	out := make([]T, len(index))
	for to, from := range index {
		out[to] = column[from]
	}
	return out
}
