package balance

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// shareErrors are what the fitted shares may err by, in stops of the levels with
// trims: independent errors of one standard deviation, a row each; nil with full
// maps. They are those of the fitted coefficients, by their covariance, and the
// misfit of the smooth shape itself. Neither adds worst cases: what two places have
// in common leaves their difference alone.
func (b *balancing) shareErrors(trims, levels []float64) [][]float64 {
	if b.fit == nil {
		return nil
	}
	if b.other {
		trims = append(slices.Clone(trims), 1)
	}
	rows := b.fit.Errors(b.set.Surface.X, b.set.Surface.Y, trims)
	if b.fit.Missed != nil {
		for _, row := range rows {
			floats.Scale(b.fit.Residual, row)
		}
		rows = append(rows, b.misfit(trims)...)
	}
	for i, level := range levels {
		of := 0.0
		if level > 0 {
			of = (b.together[i] - b.ambientAt(i)) / level / math.Ln2
		}
		for _, row := range rows {
			row[i] *= of
		}
	}
	return rows
}

const (
	amid  = 0.6 // the misfit amid places read, of that at a place left out; by simulation
	plane = 3   // terms
)

// misfit is by how much Σ trim·share may be off at every point because light follows
// no low polynomial, in waves of one length across and one up, so that places half a
// surface apart err the opposite way: amid of what was missed at places left out of the
// fit, more the fewer these are, by Student's t, up to all of it. Beyond the outermost place that was read
// it grows in proportion. Simulation holds that to be enough for beams of any levels and
// near panels; a flag's shadow between the places read alone is not in it: in 7 % the
// spread is then above its interval where the edge is soft, in 12 % where it is sharp.
func (b *balancing) misfit(trims []float64) [][]float64 {
	s := b.set.Surface
	box, _ := spatial.BoxOf(s.X, s.Y)
	readU, readV := b.reach(box)
	few := min(1, amid*uncertainty.Factor(max(1, b.fit.Places-plane))/uncertainty.Factor(0))
	rows := make([][]float64, 4)
	for k := range rows {
		rows[k] = make([]float64, b.n)
	}
	for i := range b.n {
		shares := b.fit.At(s.X[i], s.Y[i])
		sum, squares := floats.Dot(shares, trims), 0.0
		for j, missed := range b.fit.Missed {
			squares += math.Pow((trims[j]-sum)*missed, 2)
		}
		u, v := box.Local(s.X[i], s.Y[i])
		size := few * math.Sqrt(squares/2) * max(1, math.Abs(u)/readU, math.Abs(v)/readV)
		rows[0][i], rows[1][i] = math.Sincos(math.Pi * u)
		rows[2][i], rows[3][i] = math.Sincos(math.Pi * v)
		for _, row := range rows {
			row[i] *= size
		}
	}
	return rows
}

// reach is how far from the middle a lamp was read alone, in the box's coordinates;
// infinite along a direction in which it was read in the middle only.
func (b *balancing) reach(box spatial.Box) (u, v float64) {
	s := b.set.Surface
	for _, alone := range b.alone {
		for i, level := range alone {
			if !math.IsNaN(level) {
				x, y := box.Local(s.X[i], s.Y[i])
				u, v = max(u, math.Abs(x)), max(v, math.Abs(y))
			}
		}
	}
	return cmp.Or(u, math.Inf(1)), cmp.Or(v, math.Inf(1))
}
