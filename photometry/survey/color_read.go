package survey

import (
	"fmt"
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
		for k, column := range r.colorNumbers() {
			if (*column == nil) != (*colored[0].colorNumbers()[k] == nil) {
				return false
			}
		}
		if (r.colors.cc == nil) != (colored[0].colors.cc == nil) {
			return false
		}
	}
	return true
}

// mergedColors lays the color columns of several sheets over each other, place
// by place; the first sheet that has a figure gives it.
func (b *builder) mergedColors(colored []*rows) *rows {
	n := len(b.placeX)
	out := &rows{sheet: colored[0].sheet, n: n, columns: map[role]int{}}
	for _, r := range colored {
		places := b.locate(r)
		if len(b.errors) > 0 {
			return nil
		}
		to, from := out.colorNumbers(), r.colorNumbers()
		for k := range from {
			if *from[k] == nil {
				continue
			}
			if *to[k] == nil {
				*to[k] = nans(n)
			}
			for i, v := range *from[k] {
				p := i
				if places != nil {
					p = int(places[i])
				}
				if p >= 0 && p < n && math.IsNaN((*to[k])[p]) {
					(*to[k])[p] = v
				}
			}
		}
		if r.colors.cc != nil {
			if out.colors.cc == nil {
				out.colors.cc = make([]string, n)
			}
			for i, v := range r.colors.cc {
				p := i
				if places != nil {
					p = int(places[i])
				}
				if p >= 0 && p < n && out.colors.cc[p] == "" {
					out.colors.cc[p] = v
				}
			}
		}
	}
	out.merged = true
	return out
}

func (r *rows) colorNumbers() []*[]float64 {
	c := &r.colors
	return []*[]float64{&c.cct, &c.mired, &c.duv, &c.cieX, &c.cieY, &c.uPrime, &c.vPrime}
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
		cell := r.cell(i, of, c.text(of, i))
		if r.merged {
			cell = table.Cell{Text: cell.Text}
		}
		b.add(r.sheet.Error(cell, "a color that a light can have: "+err.Error()))
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
		if of, text, other := c.lone(i); other != "" {
			b.add(r.sheet.Error(r.cell(i, of, text), other))
		}
		return colorimetry.UVPrime{}, false
	}
	light := colorimetry.CCT{}
	of := cctRole
	if has(c.cct) {
		light.Kelvin = c.cct[i]
		if has(c.mired) && math.Abs(c.mired[i]*light.Kelvin/1e6-1) > 0.02 {
			b.add(r.sheet.Error(r.cell(i, miredRole, c.text(miredRole, i)), "the mired of "+c.text(cctRole, i)+" K beside it, or one of the two"))
			return colorimetry.UVPrime{}, false
		}
	} else {
		of = miredRole
		if !(c.mired[i] > 0) {
			b.add(r.sheet.Error(r.cell(i, miredRole, c.text(miredRole, i)), "a number of mired above zero such as 178"))
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
			b.add(r.sheet.Error(r.cell(i, ccRole, cc), "needs or has with it, needs 1M or has 1G: "+err.Error()))
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
	kelvin := math.NaN()
	switch {
	case c.cct != nil:
		kelvin = c.cct[i]
	case c.mired != nil:
		kelvin = 1e6 / c.mired[i]
	}
	if math.IsNaN(kelvin) {
		return
	}
	if t, err := p.CCT(); err != nil || math.Abs(t.Kelvin/kelvin-1) > 0.02 {
		if b.disagree == 0 {
			b.disagreeLine = r.line(i)
		}
		b.disagree++
	}
}

// lone finds a part of a color that says nothing without another, and what
// would have to stand beside it.
func (c *colorColumns) lone(i int) (of role, text, other string) {
	for _, part := range []struct {
		role   role
		column []float64
		other  string
	}{{duvRole, c.duv, "a color temperature beside it"}, {cieXRole, c.cieX, "cie y beside it"}, {cieYRole, c.cieY, "cie x beside it"},
		{uPrimeRole, c.uPrime, "v' beside it"}, {vPrimeRole, c.vPrime, "u' beside it"}} {
		if part.column != nil && !math.IsNaN(part.column[i]) {
			return part.role, trimFloat(part.column[i]), part.other
		}
	}
	if c.cc != nil && c.cc[i] != "" {
		return ccRole, c.cc[i], "a color temperature beside it"
	}
	return unknownRole, "", ""
}

// text is a figure of row i as typed.
func (c *colorColumns) text(of role, i int) string {
	if of == ccRole {
		return c.cc[i]
	}
	return trimFloat(map[role][]float64{cctRole: c.cct, miredRole: c.mired, duvRole: c.duv, cieXRole: c.cieX, cieYRole: c.cieY, uPrimeRole: c.uPrime, vPrimeRole: c.vPrime}[of][i])
}

// tellColors adds what came up while colors were read.
func (b *builder) tellColors(s *Survey) {
	if b.halfColored > 0 {
		s.Warnings = append(s.Warnings, photometry.Finding{Code: "no_duv",
			Text: fmt.Sprintf("%d places have a color temperature but an empty Duv or CC: they have no color here.", b.halfColored)})
	}
	if b.disagree > 0 {
		s.Warnings = append(s.Warnings, photometry.Finding{Code: "colors_disagree",
			Text: fmt.Sprintf("In %d rows, first on line %d, the color temperature is not that of the chromaticity beside it; the chromaticity counts.", b.disagree, b.disagreeLine)})
	}
}
