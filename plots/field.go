package plots

import (
	"fmt"
	"math"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/plots/mesh"
)

// field is the interpolated values inside the outline of the readings.
type field struct {
	outline []mesh.Point // convex, counterclockwise
	box     spatial.Box  // of the outline
	mesh    *mesh.Mesh
	how     string // how it was made, a clause for the caption
}

// Sizes of a field.
const (
	splineNodes = 128 // most crossings along the longer side
	binsAcross  = 160 // most bins along a side
	binsFilled  = 4   // readings that a bin should hold on average
)

// maxSplinePoints is the largest number of points that a spline is fitted to. The
// work grows with the third power of the number; above it, readings are so dense
// that means over small bins show as much.
const maxSplinePoints = 400

// collinearNote is the reason why readings on a line have no field.
const collinearNote = "the readings lie on one line, so no field is drawn"

// newField interpolates the values of a map: up to maxSplinePoints points by a
// thin-plate spline; above, points of a lattice are used directly or as means of
// blocks, and scattered ones as means of bins. For collinear readings there is no
// field, and the text says why.
func newField(c *mapValues, scale Scale) (*field, string) {
	s := c.survey
	f := &field{outline: mesh.Hull(s.X, s.Y, c.inField)}
	switch len(f.outline) {
	case 0, 1:
		return nil, "one place alone, so no field is drawn"
	case 2:
		return nil, collinearNote
	}
	f.box = boxOf(f.outline)
	if longer := max(f.box.Width(), f.box.Height()); mesh.Area(f.outline) < 1e-3*longer*longer {
		return nil, collinearNote
	}
	if s.Len() <= maxSplinePoints {
		if !f.interpolate(c, scale) {
			return nil, collinearNote
		}
	} else if lattice := completeLattice(s, 2); lattice != nil {
		f.fillFromLattice(c, scale, lattice)
	} else {
		f.fillFromBins(c, scale)
	}
	return f, ""
}

// completeLattice is the survey's lattice if it includes every point and has at least
// so many rows and columns.
func completeLattice(s *survey.Survey, least int) *spatial.Lattice {
	l := s.Lattice
	if l == nil || len(l.Xs) < least || len(l.Ys) < least || len(l.Index) != len(l.Xs)*len(l.Ys) {
		return nil
	}
	return l
}

func boxOf(points []mesh.Point) spatial.Box {
	box := spatial.Box{X0: math.Inf(1), Y0: math.Inf(1), X1: math.Inf(-1), Y1: math.Inf(-1)}
	for _, p := range points {
		box = box.Union(spatial.Box{X0: p.X, Y0: p.Y, X1: p.X, Y1: p.Y})
	}
	return box
}

// interpolate evaluates a thin-plate spline on a mesh over the outline; false where the
// readings lie on one line.
func (f *field) interpolate(c *mapValues, scale Scale) bool {
	var x, y, z []float64
	for i := range c.values {
		if !c.inField(i) {
			continue
		}
		v, _ := c.at(i)
		x, y, z = append(x, c.survey.X[i]), append(y, c.survey.Y[i]), append(z, scale.clamp(v))
	}
	spline, err := mesh.NewSpline(x, y, z)
	if err != nil {
		return false
	}
	// Ten nodes from one reading to the next look smooth.
	w, h := f.box.Width(), f.box.Height()
	longer := max(w, h)
	along := 10 * math.Sqrt(float64(len(x))*longer*longer/(w*h))
	side := longer / (max(48, min(along, splineNodes)) - 1)
	nodes := func(length float64) int { return max(8, 1+int(math.Round(length/side))) }
	f.mesh = mesh.New(mesh.EvenlySpaced(f.box.X0, f.box.X1, nodes(w)), mesh.EvenlySpaced(f.box.Y0, f.box.Y1, nodes(h)))
	for k := range f.mesh.Z {
		f.mesh.Z[k] = spline.At(f.mesh.Xs[k%len(f.mesh.Xs)], f.mesh.Ys[k/len(f.mesh.Xs)])
	}
	f.how = "smooth between the readings (thin-plate spline) and inside their outline only"
	return true
}

// fillFromLattice uses the values of a lattice directly, or means of blocks where it
// has more lines than a picture can show.
func (f *field) fillFromLattice(c *mapValues, scale Scale, l *spatial.Lattice) {
	block := func(n int) int { return (n + binsAcross - 1) / binsAcross }
	bx, by := block(len(l.Xs)), block(len(l.Ys))
	f.mesh = mesh.New(groupCenters(l.Xs, bx), groupCenters(l.Ys, by))
	nodes := make([]int, c.survey.Len())
	for at, i := range l.Index {
		if i >= 0 {
			nodes[i] = at/len(l.Xs)/by*len(f.mesh.Xs) + at%len(l.Xs)/bx
		}
	}
	f.how = "straight between neighboring readings and inside their outline only"
	if bx*by > 1 {
		f.how = fmt.Sprintf("means of blocks of %d × %d readings, inside the readings' outline only", bx, by)
	}
	f.fill(c, scale, func(i int) int { return nodes[i] }, bx*by > 1)
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

// fillFromBins sorts scattered readings into equal bins.
func (f *field) fillFromBins(c *mapValues, scale Scale) {
	s, b := c.survey, f.box
	w, h := b.Width(), b.Height()
	side := max(math.Sqrt(w*h*binsFilled/float64(s.Len())), max(w, h)/binsAcross)
	nx, ny := max(2, int(math.Round(w/side))), max(2, int(math.Round(h/side)))
	f.mesh = mesh.New(mesh.BinCenters(b.X0, b.X1, nx), mesh.BinCenters(b.Y0, b.Y1, ny))
	f.how = fmt.Sprintf("means of %d × %d bins, inside the readings' outline only", nx, ny)
	fx, fy := float64(nx)/w, float64(ny)/h
	f.fill(c, scale, func(i int) int {
		return min(int((s.Y[i]-b.Y0)*fy), ny-1)*nx + min(int((s.X[i]-b.X0)*fx), nx-1)
	}, true)
}

// fill makes the mesh of the means of the values at its nodes and describes how empty
// nodes were filled. Noisy means are smoothed, so that contours are.
func (f *field) fill(c *mapValues, scale Scale, nodeOf func(point int) int, noisy bool) {
	m := f.mesh
	for k, mean := range c.means(len(m.Z), nodeOf) {
		if mean != mean {
			m.Z[k], m.Holes = mean, true
			continue
		}
		m.Z[k] = scale.clamp(c.toScale(mean))
	}
	filled := m.FillSingleGaps()
	if filled > 0 {
		f.how += fmt.Sprintf("; empty places between readings filled from their neighbors (%d)", filled)
	}
	switch {
	case m.Holes && filled > 0:
		f.how += ", others left empty"
	case m.Holes:
		f.how += "; places without readings left empty"
	}
	if noisy {
		m = m.Smoothed().Smoothed()
	}
	f.mesh = m.ExtendedTo(f.box)
}

// means is the mean of the values in each of a number of cells, NaN in an empty one.
func (c *mapValues) means(cells int, cellOf func(point int) int) []float64 {
	sum, count := make([]float64, cells), make([]int32, cells)
	for i, v := range c.values {
		if c.inField(i) {
			k := cellOf(i)
			sum[k] += v
			count[k]++
		}
	}
	for k, n := range count {
		sum[k] /= float64(n) // 0/0 is NaN
	}
	return sum
}
