package survey

// filter keeps some rows of a table by points and tells how many went. Rows
// keep their line numbers through the index kept beside them.
func (r *rows) filter(keep []bool) (dropped int) {
	index := make([]int32, 0, r.n)
	for i, k := range keep {
		if k {
			index = append(index, int32(i))
		}
	}
	dropped = r.n - len(index)
	if dropped == 0 {
		return 0
	}
	for _, column := range r.numberColumns() {
		*column = picked(*column, index)
	}
	for _, column := range []*[]string{&r.label, &r.lamp, &r.role, &r.colors.cc} {
		*column = picked(*column, index)
	}
	text := map[int32]string{}
	for to, from := range index {
		if t, ok := r.text[from]; ok {
			text[int32(to)] = t
		}
	}
	r.text, r.kept, r.n = text, index, len(index)
	return dropped
}

// numberColumns are all columns of numbers, for whoever treats them alike.
func (r *rows) numberColumns() []*[]float64 {
	c := &r.colors
	return []*[]float64{&r.x, &r.y, &r.level, &r.minutes, &c.cct, &c.mired, &c.duv, &c.cieX, &c.cieY, &c.uPrime, &c.vPrime}
}

// picked is the column at an index; nil stays nil.
func picked[T any](column []T, index []int32) []T {
	if column == nil {
		return nil
	}
	out := make([]T, len(index))
	for to, from := range index {
		out[to] = column[from]
	}
	return out
}
