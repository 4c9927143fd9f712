package survey

import (
	"math"
	"slices"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// fillColors turns the color columns of all sheets into u', v' at their
// places. A color may be spread over sheets, a grid of K and a grid of Duv;
// where a place has several, the mean in u', v' counts.
func (b *builder) fillColors(s *Survey, sheets []*rows) {
	var colored []*rows
	for _, r := range sheets {
		if r.colors.dropEmpty(); r.colors.any() {
			colored = append(colored, r)
		}
	}
	if len(colored) == 0 {
		return
	}
	half := func(r *rows) bool {
		c := &r.colors
		return c.cct == nil && c.mired == nil && (c.cieX == nil || c.cieY == nil) && (c.uPrime == nil || c.vPrime == nil)
	}
	if slices.ContainsFunc(colored, half) || len(colored) > 1 && !sameHalves(colored) {
		if merged := b.mergedColors(colored); len(b.errors) == 0 {
			b.colorsOf(s, []*rows{merged}, [][]int32{nil})
		}
		return
	}
	places := make([][]int32, len(colored))
	for k, r := range colored {
		if places[k] = b.locate(r); len(b.errors) > 0 {
			return
		}
	}
	b.colorsOf(s, colored, places)
}

// sameHalves reports whether sheets give color by the same columns, so that one
// does not complete another.
func sameHalves(colored []*rows) bool {
	for _, r := range colored[1:] {
		for _, of := range schema.Colors {
			if r.colors.has(of) != colored[0].colors.has(of) {
				return false
			}
		}
	}
	return true
}

// mergedColors lays the color columns of several sheets over each other, place
// by place; the first sheet that has a figure gives it.
func (b *builder) mergedColors(colored []*rows) *rows {
	out := &rows{sheet: colored[0].sheet, n: b.places.Len(), parts: colored, sources: map[*schema.Column][]source{}}
	for part, r := range colored {
		places := b.locate(r)
		if len(b.errors) > 0 {
			return nil
		}
		for _, of := range schema.Colors {
			if r.colors.has(of) {
				out.layOver(of, part, r, places)
			}
		}
	}
	return out
}

// layOver takes one part of a color from a sheet where there is none yet.
func (r *rows) layOver(of *schema.Column, part int, from *rows, places []int32) {
	if !r.colors.has(of) {
		r.sources[of] = make([]source, r.n)
		if of == schema.CC {
			r.colors.cc = make([]string, r.n)
		} else {
			*r.colors.number(of) = nans(r.n)
		}
	}
	for i := range from.n {
		p := int(placeAt(places, i))
		if p < 0 || p >= r.n || r.colors.given(of, p) {
			continue
		}
		if of == schema.CC {
			r.colors.cc[p] = from.colors.cc[i]
		} else {
			(*r.colors.number(of))[p] = (*from.colors.number(of))[i]
		}
		r.sources[of][p] = source{int32(part), int32(i)}
	}
}

// colorsOf converts the colors of sheets and lays them at their places (nil:
// row and place are one); where a place has several, their mean in u', v'
// counts.
func (b *builder) colorsOf(s *Survey, colored []*rows, places [][]int32) {
	n := b.places.Len()
	for _, r := range colored {
		c := &r.colors
		s.DuvRead = s.DuvRead || c.duv != nil || c.cieX != nil || c.uPrime != nil || c.cc != nil
	}
	if len(colored) == 1 && places[0] == nil {
		s.U, s.V = nans(n), nans(n)
		b.eachColor(colored, places, func(p int32, u colorimetry.UVPrime) { s.U[p], s.V[p] = u.U, u.V })
		return
	}
	s.U, s.V = make([]float64, n), make([]float64, n)
	count := make([]uint16, n)
	repeated := false
	b.eachColor(colored, places, func(p int32, u colorimetry.UVPrime) {
		s.U[p], s.V[p] = s.U[p]+u.U, s.V[p]+u.V
		count[p]++
		repeated = repeated || count[p] > 1
	})
	for p, k := range count {
		s.U[p], s.V[p] = s.U[p]/float64(k), s.V[p]/float64(k) // 0/0 is NaN: no color there
	}
	if !repeated {
		return
	}
	half, disagree := b.halfColored, b.disagree
	b.eachColor(colored, places, func(p int32, u colorimetry.UVPrime) {
		if count[p] > 1 {
			s.ColorReplicates = append(s.ColorReplicates, ColorReplicate{p, u.U, u.V})
		}
	})
	b.halfColored, b.disagree = half, disagree // counted once
}

// eachColor calls f with the color of every row that has one and a place.
func (b *builder) eachColor(colored []*rows, places [][]int32, f func(p int32, u colorimetry.UVPrime)) {
	for k, r := range colored {
		for i := range r.n {
			p := placeAt(places[k], i)
			if p < 0 {
				continue
			}
			if u, ok := b.colorOf(r, i); ok {
				f(p, u)
			}
		}
	}
}

// colorOf is the chromaticity of a row from whatever columns it has: u' and v'
// before cie x and cie y before a color temperature, the others checked against
// it. An error names the cell.
func (b *builder) colorOf(r *rows, i int) (colorimetry.UVPrime, bool) {
	c := &r.colors
	switch {
	case givenAt(c.uPrime, i) && givenAt(c.vPrime, i):
		uv := colorimetry.UVPrime{U: c.uPrime[i], V: c.vPrime[i]}
		return uv, b.checkColor(r, i, schema.UPrime, uv.XY(), uv)
	case givenAt(c.cieX, i) && givenAt(c.cieY, i):
		xy := colorimetry.XY{X: c.cieX[i], Y: c.cieY[i]}
		return xy.UVPrime(), b.checkColor(r, i, schema.CIEX, xy, xy.UVPrime())
	case givenAt(c.cct, i) || givenAt(c.mired, i):
		return b.colorOfTemperature(r, i)
	}
	if of, other := c.lone(i); other != "" {
		b.add(r.colorError(i, of, other))
	}
	return colorimetry.UVPrime{}, false
}

// checkColor refuses a chromaticity that no light has, and compares it with the
// color temperature beside it.
func (b *builder) checkColor(r *rows, i int, of *schema.Column, xy colorimetry.XY, uv colorimetry.UVPrime) bool {
	if err := xy.Check(); err != nil {
		b.impossible(r, i, of, err)
		return false
	}
	b.compare(r, i, uv)
	return true
}

// impossible refuses a color at one of its cells.
func (b *builder) impossible(r *rows, i int, of *schema.Column, err error) {
	b.add(r.colorError(i, of, "a color that a light can have: "+err.Error()))
}

// colorOfTemperature is the chromaticity of a row with a color temperature. Where
// its Duv or CC cell is empty it has none, since its place off the locus is not
// known.
func (b *builder) colorOfTemperature(r *rows, i int) (none colorimetry.UVPrime, ok bool) {
	c := &r.colors
	light := colorimetry.CCT{}
	of := schema.CCT
	switch {
	case !givenAt(c.cct, i) && !(c.mired[i] > 0):
		b.add(r.colorError(i, schema.Mired, "a number of mired above zero such as 178"))
		return none, false
	case !givenAt(c.cct, i):
		of, light.Kelvin = schema.Mired, colorimetry.Kelvin(c.mired[i])
	case givenAt(c.mired, i) && math.Abs(c.mired[i]*c.cct[i]/1e6-1) > 0.02:
		b.add(r.colorError(i, schema.Mired, "the mired of "+c.text(schema.CCT, i)+" K beside it, or one of the two"))
		return none, false
	default:
		light.Kelvin = c.cct[i]
	}
	switch {
	case givenAt(c.duv, i):
		light.Duv = c.duv[i]
	case c.given(schema.CC, i):
		needs, err := colorimetry.ParseNeeds(c.cc[i])
		if err != nil {
			b.add(r.colorError(i, schema.CC, "needs or has with it, needs 1M or has 1G: "+err.Error()))
			return none, false
		}
		if light, err = colorimetry.FromCC(light.Kelvin, needs); err != nil {
			b.impossible(r, i, schema.CC, err)
			return none, false
		}
	case c.duv != nil || c.cc != nil:
		b.halfColored++
		return none, false
	}
	uv, err := light.UV()
	if err != nil {
		if givenAt(c.duv, i) && (colorimetry.CCT{Kelvin: light.Kelvin}).Check() == nil {
			of = schema.Duv
		}
		b.impossible(r, i, of, err)
		return none, false
	}
	return uv.UVPrime(), true
}

// givenAt reports whether a column has a number in row i.
func givenAt(column []float64, i int) bool { return column != nil && !math.IsNaN(column[i]) }

// compare warns where a color temperature beside a chromaticity is another
// color: by more than a fiftieth, which no rounding makes.
func (b *builder) compare(r *rows, i int, p colorimetry.UVPrime) {
	c := &r.colors
	kelvin, of := math.NaN(), schema.CCT
	switch {
	case c.cct != nil:
		kelvin = c.cct[i]
	case c.mired != nil:
		kelvin, of = 1e6/c.mired[i], schema.Mired
	}
	if math.IsNaN(kelvin) {
		return
	}
	if t, err := p.CCT(); err != nil || math.Abs(t.Kelvin/kelvin-1) > 0.02 {
		if b.disagree == 0 {
			from, row := r.source(of, i)
			b.disagreeLine = from.line(row)
		}
		b.disagree++
	}
}

// colorError is an error at a part of the color of row i.
func (r *rows) colorError(i int, of *schema.Column, expected string) *table.Error {
	from, row := r.source(of, i)
	return from.sheet.Error(from.cell(row, of, r.colors.text(of, i)), expected)
}

// source is the sheet and row that a part of the color of row i comes from.
func (r *rows) source(of *schema.Column, i int) (*rows, int) {
	if r.parts == nil {
		return r, i
	}
	at := r.sources[of][i]
	return r.parts[at.part], int(at.row)
}

// lone finds a part of a color that says nothing without another, and what
// would have to be beside it.
func (c *colorColumns) lone(i int) (of *schema.Column, other string) {
	for _, part := range []struct {
		of    *schema.Column
		other string
	}{{schema.Duv, "a color temperature beside it"}, {schema.CIEX, "cie y beside it"}, {schema.CIEY, "cie x beside it"},
		{schema.UPrime, "v' beside it"}, {schema.VPrime, "u' beside it"}, {schema.CC, "a color temperature beside it"}} {
		if c.given(part.of, i) {
			return part.of, part.other
		}
	}
	return nil, ""
}

// describeColors adds what came up while colors were read.
func (b *builder) describeColors(s *Survey) {
	if b.halfColored > 0 {
		s.warn("no_duv", "places", b.halfColored)
	}
	if b.disagree > 0 {
		s.warn("colors_disagree", "rows", b.disagree, "line", b.disagreeLine)
	}
}
