package causes

import "math"

// base is how the light that a surface is meant to have falls on it.
type base uint8

// The bases. Lengths are in units of the surface's width.
const (
	even    base = iota // the same everywhere
	pair                // two equal lamps at the same height to the left and right
	unequal             // two lamps that differ in intensity, place and height
	single              // one lamp
	bases
)

// baseParameters and basePriors are the number of parameters and the logarithm of the
// prior weight of each base.
var (
	baseParameters = [bases]int{0, 4, 7, 4}
	basePriors     = [bases]float64{-0.5, -0.3, -1, -1}
)

// lamp is a lamp in front of the surface: its place, the exponent of its beam, the
// logarithm of its intensity and what it is aimed at.
type lamp struct {
	place      [5]float64 // x, y, distance, exponent of the beam, ln intensity
	aimX, aimY float64
	d          [5][7]float64 // of place by the parameters of the base
}

// The entries of a lamp's place.
const (
	lampX = iota
	lampY
	lampZ
	beam
	intensity
)

// lampsOf are the lamps of a base by its parameters. halfWidth is that of the surface.
func lampsOf(b base, z []float64, halfWidth float64) []lamp {
	if b == even {
		return nil
	}
	distance := func(z float64) (float64, float64) { v := 0.55 * math.Exp(0.5*z); return v, 0.5 * v }
	exponent := func(z float64) (float64, float64) { v := 0.3 * math.Exp(1.2*z); return v, 1.2 * v }
	if b == single {
		var l lamp
		l.place[lampX], l.d[lampX][0] = 0.5*z[0], 0.5
		l.place[lampY], l.d[lampY][1] = 0.4*z[1], 0.4
		l.place[lampZ], l.d[lampZ][2] = distance(z[2])
		l.place[beam], l.d[beam][3] = exponent(z[3])
		return []lamp{l}
	}
	beyond := 0.25 * math.Exp(0.7*z[2])
	lamps := make([]lamp, 2)
	for i, side := range []float64{-1, 1} {
		l := &lamps[i]
		l.place[lampZ], l.d[lampZ][0] = distance(z[0])
		l.place[beam], l.d[beam][1] = exponent(z[1])
		l.place[lampX], l.d[lampX][2] = side*(halfWidth+beyond), side*0.7*beyond
		l.place[lampY], l.d[lampY][3] = 0.25*z[3], 0.25
	}
	if b == unequal {
		for i, side := range []float64{-1, 1} {
			l := &lamps[i]
			l.place[intensity], l.d[intensity][4] = side*0.5*math.Ln2*z[4], side*0.5*math.Ln2
			l.place[lampY] += side * 0.05 * z[6]
			l.d[lampY][6] = side * 0.05
		}
		right, factor := &lamps[1], math.Exp2(0.45*z[5])
		for k := range lampZ + 1 {
			right.place[k] *= factor
			for j := range right.d[k] {
				right.d[k][j] *= factor
			}
			right.d[k][5] = 0.45 * math.Ln2 * right.place[k]
		}
	}
	return lamps
}

// at is the level that a lamp gives at a place of the surface, I·p_z/d³·max(cos β,
// 0.02)^m with β from its aim, and where by is not nil the derivatives of its logarithm
// by its place.
func (l *lamp) at(u, v float64, by *[5]float64) float64 {
	x, y, z := u-l.place[lampX], v-l.place[lampY], l.place[lampZ]
	ax, ay := l.aimX-l.place[lampX], l.aimY-l.place[lampY]
	d2, a2, along := x*x+y*y+z*z, ax*ax+ay*ay+z*z, x*ax+y*ay+z*z
	cos2 := 0.0
	if along > 0 {
		cos2 = along * along / (a2 * d2)
	}
	clamped := cos2 < 0.0004
	logCos := math.Log(max(cos2, 0.0004)) / 2
	if by != nil {
		m := l.place[beam]
		if clamped {
			m, along = 0, 1
		}
		by[lampX] = 3*x/d2 + m*((-x-ax)/along+ax/a2+x/d2)
		by[lampY] = 3*y/d2 + m*((-y-ay)/along+ay/a2+y/d2)
		by[lampZ] = 1/z - 3*z/d2 + m*(2*z/along-z/a2-z/d2)
		by[beam] = logCos
		by[intensity] = 1
	}
	return z / (d2 * math.Sqrt(d2)) * math.Exp(l.place[intensity]+l.place[beam]*logCos)
}

// kind is the kind of a fault.
type kind uint8

// The kinds of faults.
const (
	lightLeft kind = iota // light from beyond an edge
	lightRight
	lightBottom
	lightTop
	brightPatch
	darkPatch
	shadeLeft // an edge or a corner in shadow
	shadeRight
	shadeBottom
	shadeTop
	shadeBottomLeft
	shadeBottomRight
	shadeTopLeft
	shadeTopRight
	drifting // the light changed during the walk
	oneOff   // one reading is off
	kinds
)

// faultParameters and faultPriors are the number of parameters and the logarithm of
// the prior weight of each kind. That of one reading is shared by all places.
var (
	faultParameters = [kinds]int{5, 5, 5, 5, 5, 5, 3, 3, 3, 3, 4, 4, 4, 4, 2, 1}
	faultPriors     = [kinds]float64{-3, -3, -3, -4.5, -2.3, -2.8, -4.38, -4.38, -4.38, -4.38, -4.38, -4.38, -4.38, -4.38, -2.3, -2}
)

// sidesOf are where light and shadow come from: in words, and across and up, −1 for left
// and bottom.
var sidesOf = [kinds]struct {
	name  string
	sides [2]float64
}{
	lightLeft: {"left", [2]float64{-1, 0}}, lightRight: {"right", [2]float64{1, 0}}, lightBottom: {"bottom", [2]float64{0, -1}}, lightTop: {"top", [2]float64{0, 1}},
	shadeLeft: {"left", [2]float64{-1, 0}}, shadeRight: {"right", [2]float64{1, 0}}, shadeBottom: {"bottom", [2]float64{0, -1}}, shadeTop: {"top", [2]float64{0, 1}},
	shadeBottomLeft: {"bottom left", [2]float64{-1, -1}}, shadeBottomRight: {"bottom right", [2]float64{1, -1}},
	shadeTopLeft: {"top left", [2]float64{-1, 1}}, shadeTopRight: {"top right", [2]float64{1, 1}},
}

// fault is a kind with the place that is off.
type fault struct {
	kind  kind
	place int // of oneOff, else -1
}

// adds reports whether a fault is light that comes on top; others are factors.
func (f fault) adds() bool { return f.kind <= brightPatch }

// effect is what a fault adds to the level, in units of the base's mean, or to its
// logarithm in stops, at place i that is read at time t; where by is not nil it gets the
// derivatives by the fault's parameters.
type effect func(u, v, t float64, i int, by []float64) float64

// of is the effect of a fault with the parameters z.
func (f fault) of(s *shape, z []float64) effect {
	switch {
	case f.kind <= lightTop:
		return f.beyond(s, z)
	case f.kind <= darkPatch:
		return f.patch(s, z)
	case f.kind <= shadeTopRight:
		return f.shade(s, z)
	case f.kind == drifting:
		return drift(z)
	}
	return func(_, _, _ float64, i int, by []float64) float64 {
		value := 0.0
		if i == f.place {
			value = 1
		}
		if by != nil {
			by[0] = value
		}
		return value * z[0]
	}
}

// beyond is light from beyond an edge: it falls off from there as a stretched
// exponential, and as a Gaussian along the edge.
func (f fault) beyond(s *shape, z []float64) effect {
	side, length := s.edge(f.kind)
	lambda, width, power := 0.27*math.Exp(0.5*z[1])*side, 0.7*math.Exp(0.4*z[3])*length, math.Exp(0.4*z[4])
	return func(u, v, _ float64, _ int, by []float64) float64 {
		distance, along := s.fromEdge(f.kind, u, v)
		off := (along - 0.25*length*z[2]) / width
		logDepth := math.Log(max(distance, 1e-3*side) / lambda)
		depth := math.Exp(power * logDepth)
		value := 0.5 * math.Exp(0.7*z[0]-depth-off*off/2)
		if by != nil {
			by[0], by[1] = 0.7*value, 0.5*value*depth*power
			by[2], by[3] = value*off*0.25*length/width, 0.4*value*off*off
			by[4] = -0.4 * value * depth * power * logDepth
		}
		return value
	}
}

// patch is a Gaussian patch of light, or one of shadow in stops.
func (f fault) patch(s *shape, z []float64) effect {
	amplitude, rate := 0.55*math.Exp(0.6*z[0]), 0.6
	if f.kind == darkPatch {
		amplitude, rate = -0.7*math.Exp(0.5*z[0]), 0.5
	}
	size, ratio := 0.1*math.Exp(0.4*z[1]), math.Exp(0.25*z[4])
	wide, high := size*ratio, size/ratio
	spanX, spanY := 0.6*s.halfWidth, 0.6*s.halfHeight
	return func(u, v, _ float64, _ int, by []float64) float64 {
		x, y := (u-spanX*z[2])/wide, (v-spanY*z[3])/high
		value := amplitude * math.Exp(-(x*x+y*y)/2)
		if by != nil {
			by[0], by[1], by[2], by[3] = rate*value, 0.4*value*(x*x+y*y), value*x*spanX/wide, value*y*spanY/high
			by[4] = 0.25 * value * (x*x - y*y)
		}
		return value
	}
}

// shade is a shadow over an edge or a corner, in stops: from a sharp border to one as
// soft as the shadows of two lamps beside each other.
func (f fault) shade(s *shape, z []float64) effect {
	sides, soft := sidesOf[f.kind].sides, 0.025*math.Exp(0.5*z[1])
	width := math.Hypot(0.12*s.spacing, soft)
	deepest := -0.6 * math.Exp(0.5*z[0])
	return func(u, v, _ float64, _ int, by []float64) float64 {
		value := deepest
		var byBorder, byWidth [2]float64
		n := 0
		for axis, side := range sides {
			if side == 0 {
				continue
			}
			at, half := u, s.halfWidth
			if axis == 1 {
				at, half = v, s.halfHeight
			}
			x := (2*half*(0.32+0.1*z[2+n]) - half + side*at) / width
			step := logistic(x)
			value *= step
			byBorder[n], byWidth[n] = (1-step)*0.2*half/width, -(1-step)*x*0.5*soft*soft/(width*width)
			n++
		}
		if by != nil {
			by[0], by[1] = 0.5*value, value*(byWidth[0]+byWidth[1])
			for k := range n {
				by[2+k] = value * byBorder[k]
			}
		}
		return value
	}
}

// logistic is 1/(1 + e^−x).
func logistic(x float64) float64 {
	switch {
	case x > 30:
		return 1
	case x < -30:
		return 0
	}
	return 1 / (1 + math.Exp(-x))
}

// drift is a change that settles, in stops, at a time from 0 to 1 of the walk.
func drift(z []float64) effect {
	tau := 0.45 * math.Exp(0.7*z[1])
	end := math.Exp(-1 / tau)
	return func(_, _, t float64, _ int, by []float64) float64 {
		now := math.Exp(-t / tau)
		run := (1 - now) / (1 - end)
		if by != nil {
			by[0] = 0.5 * run
			by[1] = 0.5 * z[0] * 0.7 * (-now*t/tau + run*end/tau) / (1 - end)
		}
		return 0.5 * z[0] * run
	}
}
