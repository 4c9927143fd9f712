package survey

import (
	"math"

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
	switch len(colored) {
	case 0:
		return
	case 1:
		if places := b.locate(colored[0]); len(b.errors) == 0 {
			b.colorsOf(s, colored[0], places)
		}
	default:
		if merged := b.mergedColors(colored); len(b.errors) == 0 {
			b.colorsOf(s, merged, nil)
		}
	}
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

// colorsOf converts the colors of rows and lays them at their places (nil:
// row and place are one).
func (b *builder) colorsOf(s *Survey, r *rows, places []int32) {
	n := len(b.placeX)
	c := &r.colors
	s.DuvRead = c.duv != nil || c.cieX != nil || c.uPrime != nil || c.cc != nil
	if places == nil {
		s.U, s.V = nans(n), nans(n)
		for i := range r.n {
			if u, ok := b.colorOf(r, i); ok {
				s.U[i], s.V[i] = u.U, u.V
			}
		}
		return
	}
	s.U, s.V = make([]float64, n), make([]float64, n)
	count := make([]uint16, n)
	for i, p := range places {
		if p < 0 {
			continue
		}
		if u, ok := b.colorOf(r, i); ok {
			s.U[p] += u.U
			s.V[p] += u.V
			count[p]++
		}
	}
	repeated := false
	for p, k := range count {
		s.U[p] /= float64(k) // 0/0 is NaN: no color there
		s.V[p] /= float64(k)
		repeated = repeated || k > 1
	}
	for i, p := range places {
		if !repeated || p < 0 || count[p] < 2 {
			continue
		}
		if u, ok := b.colorOf(r, i); ok {
			s.ColorAgain = append(s.ColorAgain, ColorReading{p, u.U, u.V})
		}
	}
}

// colorOf is the chromaticity of a row from whatever columns it has; an error
// names the cell.
func (b *builder) colorOf(r *rows, i int) (colorimetry.UVPrime, bool) {
	c := &r.colors
	has := func(column []float64) bool { return column != nil && !math.IsNaN(column[i]) }
	fail := func(of role, text string, err error) (colorimetry.UVPrime, bool) {
		cell := r.cell(i, of, text)
		if r.merged {
			cell = table.Cell{Text: text}
		}
		b.add(r.sheet.Error(cell, "a color that a light can have: "+err.Error()))
		return colorimetry.UVPrime{}, false
	}
	switch {
	case has(c.uPrime) && has(c.vPrime):
		p := colorimetry.UVPrime{U: c.uPrime[i], V: c.vPrime[i]}
		if err := p.XY().Check(); err != nil {
			return fail(uPrimeRole, p.String(), err)
		}
		return p, true
	case has(c.cieX) && has(c.cieY):
		p := colorimetry.XY{X: c.cieX[i], Y: c.cieY[i]}
		if err := p.Check(); err != nil {
			return fail(cieXRole, p.String(), err)
		}
		return p.UVPrime(), true
	case !has(c.cct) && !has(c.mired):
		if of, text, lone := c.lone(i); lone {
			b.add(r.sheet.Error(r.cell(i, of, text), "a color temperature beside it"))
		}
		return colorimetry.UVPrime{}, false
	}
	light := colorimetry.CCT{}
	of := cctRole
	if has(c.cct) {
		light.Kelvin = c.cct[i]
	} else {
		of = miredRole
		light.Kelvin = colorimetry.Kelvin(c.mired[i])
	}
	if has(c.duv) {
		light.Duv = c.duv[i]
	} else if c.cc != nil && c.cc[i] != "" {
		needs, err := colorimetry.ParseNeeds(c.cc[i])
		if err != nil {
			b.addParse(r.sheet, r.cell(i, ccRole, c.cc[i]), err)
			return colorimetry.UVPrime{}, false
		}
		if light, err = colorimetry.FromCC(light.Kelvin, needs); err != nil {
			return fail(ccRole, c.cc[i], err)
		}
	}
	uv, err := light.UV()
	if err != nil {
		return fail(of, light.String(), err)
	}
	return uv.UVPrime(), true
}

// lone finds a part of a color that says nothing without another.
func (c *colorColumns) lone(i int) (of role, text string, ok bool) {
	for _, part := range []struct {
		role   role
		column []float64
	}{{duvRole, c.duv}, {cieXRole, c.cieX}, {cieYRole, c.cieY}, {uPrimeRole, c.uPrime}, {vPrimeRole, c.vPrime}} {
		if part.column != nil && !math.IsNaN(part.column[i]) {
			return part.role, trimFloat(part.column[i]), true
		}
	}
	if c.cc != nil && c.cc[i] != "" {
		return ccRole, c.cc[i], true
	}
	return unknownRole, "", false
}
