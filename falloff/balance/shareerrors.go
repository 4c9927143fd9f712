package balance

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/spatial"
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
	rows := append(b.fit.Errors(b.set.Surface.X, b.set.Surface.Y, trims), b.misfit(trims)...)
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

// misfit is by how much Σ trim·share may be off at every point because light follows
// no low polynomial: as much as was missed at places left out of the fit, in waves of
// one length across and one up, so that places half a surface apart err the opposite
// way. Beyond the outermost place that was read it grows in proportion; simulation
// holds that to be enough. It is nil where nothing could be left out.
func (b *balancing) misfit(trims []float64) [][]float64 {
	if b.fit.Missed == nil {
		return nil
	}
	s := b.set.Surface
	box, _ := spatial.BoxOf(s.X, s.Y)
	readU, readV := b.reach(box)
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
		size := math.Sqrt(squares/2) * max(1, math.Abs(u)/readU, math.Abs(v)/readV)
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
	if u == 0 {
		u = math.Inf(1)
	}
	if v == 0 {
		v = math.Inf(1)
	}
	return u, v
}
