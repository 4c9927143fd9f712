package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
)

// sheet is a rectangle that shines with cosᵐ lobes, each element as strongly as
// what it gets: a frame of diffusion, a bounce, or evenly: a panel.
type sheet struct {
	pose
	w, h, m float64
	k       float64 // factor on everything
	even    bool    // the same all over within a thousandth
	exact   falloff.Polygon
	edge    []r3.Vec
	*grid   // what leaves it at k = 1
}

// newPanel is an evenly bright rectangle with a peak intensity in cd.
func newPanel(p pose, w, h, m, peak float64) *sheet {
	exitance := 2 * math.Pi / (m + 1) * peak / (w * h)
	s := &sheet{pose: p, w: w, h: h, m: m, k: 1, even: true, edge: p.corners(w, h)}
	s.grid = newGrid(s, 1, 1, func(r3.Vec, *tally) float64 { return exitance })
	s.exact = s.polygon(exitance)
	return s
}

// polygon is the sheet as an evenly bright Lambertian rectangle of an exitance
// in lm/m².
func (s *sheet) polygon(exitance float64) falloff.Polygon {
	p, err := falloff.NewPolygon(s.edge, exitance/math.Pi)
	if err != nil {
		panic("plan: a rectangle that is none: " + err.Error())
	}
	return p
}

// How finely a sheet is divided: no patch is larger than a quarter of the
// distance from which it is lit, and patches are halved until what leaves each
// quarter of the sheet changes by less than a fiftieth of a percent of the whole.
const (
	quarter     = 0.25
	settled     = 2e-4
	sameAllOver = 1e-3
	mostPatches = 128 // a side
)

// newSheet is a rectangle of which each element sends out, in cosᵐ lobes, the
// exitance in lm/m² that fill says; it is lit from litFrom meters away.
func newSheet(p pose, w, h, m, litFrom float64, spent *effort, fill func(p r3.Vec, t *tally) float64) *sheet {
	s := &sheet{pose: p, w: w, h: h, m: m, k: 1, edge: p.corners(w, h)}
	count := func(size float64) int {
		return 2 * int(math.Max(1, math.Min(mostPatches/4, math.Ceil(size/(quarter*litFrom)/2))))
	}
	s.grid = newGrid(s, count(w), count(h), fill)
	s.effort = spent
	for max(s.nx, s.ny) < mostPatches/2 && !s.converged() {
		s.halve()
	}
	s.sumUp()
	low, high := math.Inf(1), 0.0
	for _, c := range s.all(0) {
		for _, v := range c.lumens {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	if s.even = high > 0 && low >= high*(1-sameAllOver); s.even {
		s.exact = s.polygon(s.flux() / (w * h))
	}
	return s
}

// converged compares what leaves each quarter of the sheet by the cells of two levels.
func (s *sheet) converged() bool {
	if s.effort.over() {
		return true
	}
	return s.smooth() || change(s.quarters(0), s.quarters(1)) <= settled
}

// manyCells is from how many cells a side on a coarser level is asked first.
const manyCells = 16

// smooth reports whether many cells are sure to have converged without those of the next
// level, four times as many: half as many a side give all but the same. An error falls by
// four or more with each halving.
func (s *sheet) smooth() bool {
	if s.nx < manyCells || s.ny < manyCells || s.nx%4 != 0 || s.ny%4 != 0 {
		return false
	}
	coarse := *s
	coarse.grid = newGrid(s, s.nx/2, s.ny/2, s.fill)
	coarse.effort = s.effort
	return change(coarse.quarters(0), s.quarters(0)) <= settled/16
}

// quarters is what leaves each quarter of the sheet by the cells of a level. Cells are
// even in number along each side, so that none lies across the middle.
func (s *sheet) quarters(level int) (q [4]float64) {
	nx, ny := s.nx<<level, s.ny<<level
	for k, c := range s.all(level) {
		q[2*(2*(k/nx)/ny)+2*(k%nx)/nx] += c.total
	}
	return q
}

// change is the largest change of a quarter as a share of the whole.
func change(a, b [4]float64) float64 {
	total, worst := 0.0, 0.0
	for i := range a {
		total += b[i]
		worst = math.Max(worst, math.Abs(a[i]-b[i]))
	}
	if worst == 0 {
		return 0
	}
	return worst / total
}

func (s *sheet) illuminance(at, normal r3.Vec, past sight) float64 {
	switch {
	case !s.even || s.m != 1:
		return s.sum(at, normal, past)
	case len(past.cones) > 0:
		return s.k * polygons(s.edge, s.exact.Luminance(), at, normal, past)
	}
	return s.k * s.exact.Illuminance(at, normal)
}

func (s *sheet) sum(at, normal r3.Vec, past sight) float64 {
	if r3.Dot(s.front, r3.Sub(at, s.at)) <= 0 {
		return 0
	}
	v := view{sheet: s, tally: past.tally, at: at, normal: normal, limit: enough(s.m), share: falloff.PeakIntensity(1, s.m)}
	sum, level := 0.0, -len(s.sums)
	nx, ny := s.count(level)
	for j := range ny {
		for i := range nx {
			sum += v.part(level, i, j, past.cones)
		}
	}
	return s.k * sum
}

// view is one receiver's look at a sheet.
type view struct {
	*sheet
	*tally
	at, normal r3.Vec
	share      float64 // cd on the axis per lm
	limit      float64 // how large a cell may be as a share of its distance
	// partly is room for the occluders that cover some of the cells that are looked
	// at, a larger cell's first.
	partly []*cone
}

// part is the illuminance of what cones leave of one cell.
func (v *view) part(level, i, j int, cones []*cone) (sum float64) {
	if v.over() {
		return 0
	}
	c := v.cell(level, i, j)
	if v.add(1 + len(cones)); c.total == 0 && level >= 2 {
		return 0
	}
	nx, ny := v.count(level)
	w, h := v.w/float64(nx), v.h/float64(ny)
	if r3.Dot(r3.Sub(c.center, v.at), v.normal) < -0.71*math.Max(w, h) {
		return 0
	}
	start := len(v.partly)
	corners := func() [4]r3.Vec { return v.outlineOf(i, j, w, h) }
	if left := v.cover(ball{c.center, math.Sqrt(w*w+h*h) / 2}, corners, cones); left > 0 {
		sum = left * v.seen(c, w, h, level, i, j, v.partly[start:])
	}
	v.partly = v.partly[:start]
	return sum
}

// seen is the illuminance of a cell of w by h meters by four elements where it is small
// for its distance and all of it is seen alike, else cut along the horizon and the
// shadow lines, as an exact polygon where it is Lambertian and even; by halves where it
// is near.
func (v *view) seen(c *cell, w, h float64, level, i, j int, cones []*cone) float64 {
	ray := r3.Sub(v.at, c.center)
	size, apart := math.Max(w, h), v.limit*v.limit*r3.Norm2(ray)
	far := size*size <= summedLimit*summedLimit*apart
	near := size*size > apart || level < 0 && !far
	last := level == deepest-1
	switch {
	case !near && len(cones) == 0 && -r3.Dot(ray, v.normal) >= 0.71*size:
		v.add(len(c.place))
		sum := 0.0
		for k, p := range c.place {
			sum += c.lumens[k] * lobe(v.m, v.front, r3.Sub(v.at, p), v.normal)
		}
		return v.share * sum
	case level < 0:
		return v.halves(level, i, j, cones)
	case near && !last && !(v.m == 1 && c.even):
		return v.halves(level, i, j, cones)
	}
	corners := v.outlineOf(i, j, w, h)
	if v.m == 1 && (c.even || near) {
		return polygons(corners[:], c.total/(w*h*math.Pi), v.at, v.normal, sight{cones, v.tally})
	}
	sends := func(p, ray r3.Vec) float64 {
		return v.share * c.exitance(v.local(r3.Sub(p, corners[0])), w, h) * cosPower(v.m, v.front, ray)
	}
	return face{corners[:], sends, v.limit, far && len(v.sums) > 0}.illuminance(v.at, v.normal, sight{cones, v.tally})
}

// cover is what the occluders that cover all of a cell or none of it leave of its
// light; it adds the others to partly.
func (v *view) cover(around ball, corners func() [4]r3.Vec, cones []*cone) (left float64) {
	left = 1
	for _, x := range cones {
		switch x.part(corners, around) {
		case coversNone:
			left *= x.outside
		case coversAll:
			left *= x.inside
		default:
			v.partly = append(v.partly, x)
		}
		if left == 0 {
			return 0
		}
	}
	return left
}

// summedLimit is by how much smaller for its distance a summed cell has to be: its
// elements stand in the middle of light that may be spread in any way.
const summedLimit = 0.125

// halves is the illuminance of the four parts of a cell.
func (v *view) halves(level, i, j int, cones []*cone) (sum float64) {
	for k := range 4 {
		sum += v.part(level+1, 2*i+k%2, 2*j+k/2, cones)
	}
	return sum
}

// cosPower is cosᵐ of the angle at which a ray leaves a front, 0 behind it.
func cosPower(m float64, front, ray r3.Vec) float64 {
	ahead := r3.Dot(ray, front)
	if !(ahead > 0) {
		return 0
	}
	return math.Pow(ahead/math.Sqrt(r3.Norm2(ray)), m)
}

func (s *sheet) outline() []r3.Vec { return s.edge }
func (s *sheet) scaled(k float64) light {
	out := *s
	out.k *= k
	return &out
}
func (s *sheet) flux() float64 {
	sum := 0.0
	for _, c := range s.all(0) {
		sum += c.total
	}
	return s.k * sum
}
func (s *sheet) axial() float64 { return falloff.PeakIntensity(s.flux(), s.m) }

// hotSpot is how much brighter the brightest part of a sheet is than the
// darkest, and than its mean, in stops; false where a part is dark.
func (s *sheet) hotSpot() (overDarkest, overMean float64, ok bool) {
	low, high := math.Inf(1), 0.0
	// The border counts: a grid of elements stops short of it.
	const n = 16
	for j := range n + 1 {
		for i := range n + 1 {
			e := s.fill(s.point((float64(i)/n-0.5)*s.w, (float64(j)/n-0.5)*s.h), nil)
			low, high = math.Min(low, e), math.Max(high, e)
		}
	}
	mean := s.flux() / s.k / (s.w * s.h)
	if !(low > 0) {
		return 0, math.Log2(high / mean), false
	}
	return math.Log2(high / low), math.Log2(high / mean), true
}
