package plots

import (
	"fmt"
	"math"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// field is the interpolated values inside the outline of the readings.
type field struct {
	mesh    *mesh
	outline []point // convex, counterclockwise
	lines   *mesh   // what isolines are drawn through
	how     string  // how it was made, a clause for the caption
}

// Sizes of a field.
const (
	splineNodes = 128 // most crossings along the longer side
	binsAcross  = 160 // most bins along a side
	binsFilled  = 4   // readings that a bin should hold on average
)

// collinearNote is the reason why readings on a line have no field.
const collinearNote = "the readings lie on one line, so no field is drawn"

// newField interpolates the values of a map: up to maxSplinePoints points by a
// thin-plate spline; above, points of a lattice are used directly or as means of
// blocks, and scattered ones as means of bins. For collinear readings there is no
// field, and the text says why.
func newField(c *mapValues, scale Scale) (*field, string) {
	s := c.survey
	keep := c.inField
	if c.kind == Level && len(c.excluded) == 0 {
		keep = nil
	}
	outline := hull(s.X, s.Y, keep)
	switch len(outline) {
	case 0, 1:
		return nil, "one place alone, so no field is drawn"
	case 2:
		return nil, collinearNote
	}
	x0, y0, x1, y1 := bounds(outline)
	if longer := max(x1-x0, y1-y0); area(outline) < 1e-3*longer*longer {
		return nil, collinearNote
	}
	if n := s.Len(); n <= maxSplinePoints {
		return splineField(c, scale, outline)
	}
	if lattice := completeLattice(s); lattice != nil {
		return latticeField(c, scale, outline, lattice), ""
	}
	return binnedField(c, scale, outline), ""
}

// completeLattice is the survey's lattice if it includes every point.
func completeLattice(s *survey.Survey) *spatial.Lattice {
	l := s.Lattice
	if l == nil || len(l.Xs) < 2 || len(l.Ys) < 2 || len(l.Index) != len(l.Xs)*len(l.Ys) {
		return nil
	}
	return l
}

func bounds(points []point) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range points {
		x0, x1 = min(x0, p.x), max(x1, p.x)
		y0, y1 = min(y0, p.y), max(y1, p.y)
	}
	return x0, y0, x1, y1
}

// splineField evaluates a thin-plate spline on a mesh over the outline.
func splineField(c *mapValues, scale Scale, outline []point) (*field, string) {
	var x, y, z []float64
	for i := range c.values {
		if !c.inField(i) {
			continue
		}
		v, _ := c.at(i)
		x, y, z = append(x, c.survey.X[i]), append(y, c.survey.Y[i]), append(z, scale.Clamp(v))
	}
	spline, err := newSpline(x, y, z)
	if err != nil {
		return nil, collinearNote
	}
	x0, y0, x1, y1 := bounds(outline)
	// Ten nodes from one reading to the next look smooth.
	longer := max(x1-x0, y1-y0)
	along := 10 * math.Sqrt(float64(len(x))*longer*longer/((x1-x0)*(y1-y0)))
	side := longer / (max(48, min(along, splineNodes)) - 1)
	nodes := func(length float64) int { return max(8, 1+int(math.Round(length/side))) }
	m := newMesh(evenlySpaced(x0, x1, nodes(x1-x0)), evenlySpaced(y0, y1, nodes(y1-y0)))
	for j, py := range m.ys {
		for i, px := range m.xs {
			m.z[j*len(m.xs)+i] = spline.at(px, py)
		}
	}
	return &field{m, outline, m, "smooth between the readings (thin-plate spline) and inside their outline only"}, ""
}

// latticeField uses the values of a lattice directly, or means of blocks where it
// has more lines than a picture can show.
func latticeField(c *mapValues, scale Scale, outline []point, l *spatial.Lattice) *field {
	block := func(n int) int { return (n + binsAcross - 1) / binsAcross }
	bx, by := block(len(l.Xs)), block(len(l.Ys))
	m := newMesh(groupCenters(l.Xs, bx), groupCenters(l.Ys, by))
	nx := len(m.xs)
	sum, count := make([]float64, len(m.z)), make([]int32, len(m.z))
	for r := range l.Ys {
		for col := range l.Xs {
			i := l.At(col, r)
			if i < 0 || !c.inField(i) {
				continue
			}
			k := r/by*nx + col/bx
			sum[k] += c.values[i]
			count[k]++
		}
	}
	how := "straight between neighboring readings and inside their outline only"
	if bx*by > 1 {
		how = fmt.Sprintf("means of blocks of %d × %d readings, inside the readings' outline only", bx, by)
	}
	return fieldOfMeans(c, scale, outline, m, sum, count, how, bx*by > 1)
}

// groupCenters is the middle of each group of k lines.
func groupCenters(lines []float64, k int) []float64 {
	if k == 1 {
		return lines
	}
	out := make([]float64, 0, (len(lines)+k-1)/k)
	for i := 0; i < len(lines); i += k {
		end := min(i+k, len(lines))
		out = append(out, (lines[i]+lines[end-1])/2)
	}
	return out
}

// binnedField sorts scattered readings into equal bins in one pass.
func binnedField(c *mapValues, scale Scale, outline []point) *field {
	s := c.survey
	x0, y0, x1, y1 := bounds(outline)
	w, h := x1-x0, y1-y0
	side := max(math.Sqrt(w*h*binsFilled/float64(s.Len())), max(w, h)/binsAcross)
	nx, ny := max(2, int(math.Round(w/side))), max(2, int(math.Round(h/side)))
	m := newMesh(binCenters(x0, x1, nx), binCenters(y0, y1, ny))
	sum, count := make([]float64, nx*ny), make([]int32, nx*ny)
	fx, fy := float64(nx)/w, float64(ny)/h
	all := c.kind == Level && len(c.excluded) == 0
	for i, v := range c.values {
		if !all && !c.inField(i) {
			continue
		}
		bx, by := min(int((s.X[i]-x0)*fx), nx-1), min(int((s.Y[i]-y0)*fy), ny-1)
		sum[by*nx+bx] += v
		count[by*nx+bx]++
	}
	how := fmt.Sprintf("means of %d × %d bins, inside the readings' outline only", nx, ny)
	return fieldOfMeans(c, scale, outline, m, sum, count, how, true)
}

// fieldOfMeans makes a field of the sums of bins and describes how empty bins were
// filled.
func fieldOfMeans(c *mapValues, scale Scale, outline []point, m *mesh, sum []float64, count []int32, how string, noisy bool) *field {
	for k, n := range count {
		if n == 0 {
			m.z[k], m.holes = math.NaN(), true
			continue
		}
		m.z[k] = scale.Clamp(c.toScale(sum[k] / float64(n)))
	}
	filled := m.fillSingleGaps()
	if filled > 0 {
		how += fmt.Sprintf("; empty places between readings filled from their neighbors (%d)", filled)
	}
	switch {
	case m.holes && filled > 0:
		how += ", others left empty"
	case m.holes:
		how += "; places without readings left empty"
	}
	lines := m
	if noisy {
		lines = m.smoothed().smoothed()
	}
	x0, y0, x1, y1 := bounds(outline)
	return &field{m.extendedTo(x0, y0, x1, y1), outline, lines.extendedTo(x0, y0, x1, y1), how}
}
