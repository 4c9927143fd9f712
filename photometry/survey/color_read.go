package survey

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/table"
)

// fillColors turns the color columns of all sheets into u', v' at their
// places. A color may be spread over sheets, a grid of K and a grid of Duv;
// where a place has several, the mean in u', v' stands.
func (b *builder) fillColors(s *Survey, sheets []*rows) {
	var colored []*rows
	for _, r := range sheets {
		if r.colors.any() {
			colored = append(colored, r)
		}
	}
	if len(colored) == 0 {
		return
	}
	whole := true
	for _, r := range colored {
		c := &r.colors
		whole = whole && (c.cct != nil || c.mired != nil || c.cieX != nil && c.cieY != nil || c.uPrime != nil && c.vPrime != nil)
	}
	if !whole || len(colored) > 1 && !sameHalves(colored) {
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

// sameHalves tells whether sheets give color by the same columns, so that one
// does not complete another.
func sameHalves(colored []*rows) bool {
	for _, r := range colored[1:] {
		for _, of := range colorNumberRoles {
			if r.colors.has(of) != colored[0].colors.has(of) {
				return false
			}
		}
		if r.colors.has(ccRole) != colored[0].colors.has(ccRole) {
			return false
		}
	}
	return true
}

// mergedColors lays the color columns of several sheets over each other, place
// by place; the first sheet that has a figure gives it.
func (b *builder) mergedColors(colored []*rows) *rows {
	n := len(b.placeX)
	out := &rows{sheet: colored[0].sheet, n: n, parts: colored, sources: map[role][]source{}}
	to := &out.colors
	for part, r := range colored {
		places := b.locate(r)
		if len(b.errors) > 0 {
			return nil
		}
		layOver := func(of role, lay func(p, i int)) {
			if !r.colors.has(of) {
				return
			}
			if !to.has(of) {
				out.sources[of] = make([]source, n)
				if of == ccRole {
					to.cc = make([]string, n)
				} else {
					*to.number(of) = nans(n)
				}
			}
			for i := range r.n {
				p := i
				if places != nil {
					p = int(places[i])
				}
				if p >= 0 && p < n && !to.given(of, p) {
					lay(p, i)
					out.sources[of][p] = source{int32(part), int32(i)}
				}
			}
		}
		for _, of := range colorNumberRoles {
			layOver(of, func(p, i int) { (*to.number(of))[p] = (*r.colors.number(of))[i] })
		}
		layOver(ccRole, func(p, i int) { to.cc[p] = r.colors.cc[i] })
	}
	return out
}

// colorsOf converts the colors of sheets and lays them at their places (nil:
// row and place are one); where a place has several, their mean in u', v'
// stands.
func (b *builder) colorsOf(s *Survey, colored []*rows, places [][]int32) {
	n := len(b.placeX)
	for _, r := range colored {
		c := &r.colors
		s.DuvRead = s.DuvRead || c.duv != nil || c.cieX != nil || c.uPrime != nil || c.cc != nil
	}
	if len(colored) == 1 && places[0] == nil {
		s.U, s.V = nans(n), nans(n)
		for i := range colored[0].n {
			if u, ok := b.colorOf(colored[0], i); ok {
				s.U[i], s.V[i] = u.U, u.V
			}
		}
		return
	}
	s.U, s.V = make([]float64, n), make([]float64, n)
	count := make([]uint16, n)
	each := func(f func(p int32, u colorimetry.UVPrime)) {
		for k, r := range colored {
			for i := range r.n {
				p := int32(i)
				if places[k] != nil {
					p = places[k][i]
				}
				if p < 0 {
					continue
				}
				if u, ok := b.colorOf(r, i); ok {
					f(p, u)
				}
			}
		}
	}
	each(func(p int32, u colorimetry.UVPrime) {
		s.U[p] += u.U
		s.V[p] += u.V
		count[p]++
	})
	repeated := false
	for p, k := range count {
		s.U[p] /= float64(k) // 0/0 is NaN: no color there
		s.V[p] /= float64(k)
		repeated = repeated || k > 1
	}
	if !repeated {
		return
	}
	half, disagree := b.halfColored, b.disagree
	each(func(p int32, u colorimetry.UVPrime) {
		if count[p] > 1 {
			s.ColorAgain = append(s.ColorAgain, ColorReading{p, u.U, u.V})
		}
	})
	b.halfColored, b.disagree = half, disagree // told once
}

// colorOf is the chromaticity of a row from whatever columns it has: u' and v'
// before cie x and cie y before a color temperature, the others checked against
// it. An error names the cell. A row with a color temperature whose Duv or CC
// cell is empty has no color, since its place off the locus is not known.
func (b *builder) colorOf(r *rows, i int) (colorimetry.UVPrime, bool) {
	c := &r.colors
	has := func(column []float64) bool { return column != nil && !math.IsNaN(column[i]) }
	fail := func(of role, err error) (colorimetry.UVPrime, bool) {
		b.add(r.colorError(i, of, "a color that a light can have: "+err.Error()))
		return colorimetry.UVPrime{}, false
	}
	switch {
	case has(c.uPrime) && has(c.vPrime):
		p := colorimetry.UVPrime{U: c.uPrime[i], V: c.vPrime[i]}
		if err := p.XY().Check(); err != nil {
			return fail(uPrimeRole, err)
		}
		b.compare(r, i, p)
		return p, true
	case has(c.cieX) && has(c.cieY):
		p := colorimetry.XY{X: c.cieX[i], Y: c.cieY[i]}
		if err := p.Check(); err != nil {
			return fail(cieXRole, err)
		}
		b.compare(r, i, p.UVPrime())
		return p.UVPrime(), true
	case !has(c.cct) && !has(c.mired):
		if of, other := c.lone(i); other != "" {
			b.add(r.colorError(i, of, other))
		}
		return colorimetry.UVPrime{}, false
	}
	light := colorimetry.CCT{}
	of := cctRole
	if has(c.cct) {
		light.Kelvin = c.cct[i]
		if has(c.mired) && math.Abs(c.mired[i]*light.Kelvin/1e6-1) > 0.02 {
			b.add(r.colorError(i, miredRole, "the mired of "+c.text(cctRole, i)+" K beside it, or one of the two"))
			return colorimetry.UVPrime{}, false
		}
	} else {
		of = miredRole
		if !(c.mired[i] > 0) {
			b.add(r.colorError(i, miredRole, "a number of mired above zero such as 178"))
			return colorimetry.UVPrime{}, false
		}
		light.Kelvin = colorimetry.Kelvin(c.mired[i])
	}
	cc := ""
	if c.cc != nil {
		cc = c.cc[i]
	}
	switch {
	case has(c.duv):
		light.Duv = c.duv[i]
	case cc != "":
		needs, err := colorimetry.ParseNeeds(cc)
		if err != nil {
			b.add(r.colorError(i, ccRole, "needs or has with it, needs 1M or has 1G: "+err.Error()))
			return colorimetry.UVPrime{}, false
		}
		if light, err = colorimetry.FromCC(light.Kelvin, needs); err != nil {
			return fail(ccRole, err)
		}
	case c.duv != nil || c.cc != nil:
		b.halfColored++
		return colorimetry.UVPrime{}, false
	}
	uv, err := light.UV()
	if err != nil {
		if has(c.duv) && (colorimetry.CCT{Kelvin: light.Kelvin}).Check() == nil {
			of = duvRole
		}
		return fail(of, err)
	}
	return uv.UVPrime(), true
}

// compare warns where a color temperature beside a chromaticity is another
// color: by more than a fiftieth, which no rounding makes.
func (b *builder) compare(r *rows, i int, p colorimetry.UVPrime) {
	c := &r.colors
	kelvin, of := math.NaN(), cctRole
	switch {
	case c.cct != nil:
		kelvin = c.cct[i]
	case c.mired != nil:
		kelvin, of = 1e6/c.mired[i], miredRole
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
func (r *rows) colorError(i int, of role, expected string) *table.Error {
	from, row := r.source(of, i)
	return from.sheet.Error(from.cell(row, of, r.colors.text(of, i)), expected)
}

// source is the sheet and row that a part of the color of row i comes from.
func (r *rows) source(of role, i int) (*rows, int) {
	if r.parts == nil {
		return r, i
	}
	at := r.sources[of][i]
	return r.parts[at.part], int(at.row)
}

// lone finds a part of a color that says nothing without another, and what
// would have to stand beside it.
func (c *colorColumns) lone(i int) (of role, other string) {
	for _, part := range []struct {
		role  role
		other string
	}{{duvRole, "a color temperature beside it"}, {cieXRole, "cie y beside it"}, {cieYRole, "cie x beside it"},
		{uPrimeRole, "v' beside it"}, {vPrimeRole, "u' beside it"}, {ccRole, "a color temperature beside it"}} {
		if c.given(part.role, i) {
			return part.role, part.other
		}
	}
	return unknownRole, ""
}

// tellColors adds what came up while colors were read.
func (b *builder) tellColors(s *Survey) {
	if b.halfColored > 0 {
		s.Warnings = append(s.Warnings, photometry.Found("no_duv", "places", b.halfColored))
	}
	if b.disagree > 0 {
		s.Warnings = append(s.Warnings, photometry.Found("colors_disagree", "rows", b.disagree, "line", b.disagreeLine))
	}
}
