package falloff

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Names of the models of a distance series, as the results write them.
const (
	ModelPoint         = "point"
	ModelOffset        = "point_offset"
	ModelDisc          = "disc"
	ModelPointAmbient  = "point_ambient"
	ModelOffsetAmbient = "point_offset_ambient"
	ModelDiscAmbient   = "disc_ambient"
)

// LawName is one of them as a value of a finding.
type LawName string

// Names of the parameters in the maps of a result.
const (
	ParamIntensity = "intensity" // level times m²: cd, cd·s or relative
	ParamOffset    = "offset_m"
	ParamRadius    = "source_radius_m"
	ParamAmbient   = "ambient"
)

type shape int

const (
	point shape = iota
	offset
	disc
)

// model is one form of Law. Its parameters, in scaled units, are
//
//	ln I; for an offset u = ln(d₁ + o) with d₁ the nearest distance, for a disc
//	q = R²; and A where there is ambient.
//
// ln I makes the levels scale out, u keeps the offset beyond −d₁ without a
// bound that the search would run into, and q keeps the residuals smooth at a
// radius of zero, where R itself has no slope.
type model struct {
	name    string
	shape   shape
	ambient bool
}

var models = []model{
	{ModelPoint, point, false},
	{ModelOffset, offset, false},
	{ModelDisc, disc, false},
	{ModelPointAmbient, point, true},
	{ModelOffsetAmbient, offset, true},
	{ModelDiscAmbient, disc, true},
}

// names returns the parameters' names in their order.
func (m model) names() []string {
	out := []string{ParamIntensity}
	switch m.shape {
	case offset:
		out = append(out, ParamOffset)
	case disc:
		out = append(out, ParamRadius)
	}
	if m.ambient {
		out = append(out, ParamAmbient)
	}
	return out
}

func (m model) params() int { return len(m.names()) }

// bounds fills the search's bounds. They are where the physics ends (ambient
// and radius below zero, an origin beyond the nearest reading) and, far out,
// where a parameter has long lost its meaning.
func (m model) bounds(s *series, lower, upper []float64) {
	lower[0], upper[0] = -60, 60
	d1, dn := s.d[0], s.d[len(s.d)-1]
	switch m.shape {
	case offset:
		lower[1], upper[1] = math.Log(0.01*d1), math.Log(1e3*dn)
	case disc:
		lower[1], upper[1] = 0, 1e6*dn*dn
	}
	if m.ambient {
		k := m.params() - 1
		lower[k] = 0
		for _, v := range s.lny {
			upper[k] = math.Max(upper[k], 4*math.Exp(v))
		}
	}
}

// law turns scaled parameters into a law in the reader's units.
func (m model) law(s *series, x []float64) Law {
	intensity, o, q, a := m.unpack(s, x)
	return Law{
		Intensity:     intensity * s.scaleE * s.scaleM * s.scaleM,
		OffsetM:       o * s.scaleM,
		SourceRadiusM: math.Sqrt(math.Max(q, 0)) * s.scaleM,
		Ambient:       a * s.scaleE,
	}
}

// unpack returns scaled intensity, offset, squared radius and ambient light.
func (m model) unpack(s *series, x []float64) (intensity, o, q, a float64) {
	intensity = math.Exp(x[0])
	switch m.shape {
	case offset:
		o = math.Exp(x[1]) - s.d[0]
	case disc:
		q = x[1]
	}
	if m.ambient {
		a = x[len(x)-1]
	}
	return intensity, o, q, a
}

// value returns parameter k in the reader's units from its scaled value.
func (m model) value(s *series, k int, v float64) float64 {
	switch {
	case k == 0:
		return math.Exp(v) * s.scaleE * s.scaleM * s.scaleM
	case m.ambient && k == m.params()-1:
		return v * s.scaleE
	case m.shape == offset:
		return (math.Exp(v) - s.d[0]) * s.scaleM
	default:
		return math.Sqrt(math.Max(v, 0)) * s.scaleM
	}
}

// zero returns the scaled value at which parameter k does nothing, and false
// for the intensity.
func (m model) zero(s *series, k int) (float64, bool) {
	switch {
	case k == 0:
		return 0, false
	case m.shape == offset && k == 1:
		return math.Log(s.d[0]), true
	}
	return 0, true
}

// residuals fills r with (ln level − ln law)/s of each reading.
func (m model) residuals(s *series, r, x []float64) {
	intensity, o, q, a := m.unpack(s, x)
	for i, d := range s.d {
		e := d + o
		r[i] = (s.lny[i] - math.Log(intensity*s.cos[i]/(e*e+q)+a)) * s.weight[i]
	}
}

// jacobian fills jac with the derivatives of residuals.
func (m model) jacobian(s *series, jac, x []float64) {
	n := len(x)
	intensity, o, q, a := m.unpack(s, x)
	for i, d := range s.d {
		e := d + o
		g := 1 / (e*e + q)
		direct := intensity * s.cos[i] * g
		f := direct + a
		share := -direct / f * s.weight[i]
		jac[i*n] = share
		switch m.shape {
		case offset:
			jac[i*n+1] = share * -2 * math.Exp(x[1]) / e
		case disc:
			jac[i*n+1] = share * -g
		}
		if m.ambient {
			jac[i*n+n-1] = -s.weight[i] / f
		}
	}
}

// starts returns starting points for the search: for several guesses of the
// ambient share, the straight line through 1/√E (an offset: 1/√E = (d + o)/√I)
// or through 1/E (a disc: 1/E = (R² + d²)/I), and the same without any shape.
func (m model) starts(s *series) [][]float64 {
	least := math.Inf(1)
	for i, v := range s.lny {
		least = math.Min(least, math.Exp(v)/math.Max(s.cos[i], 0.1))
	}
	shares := []float64{0}
	if m.ambient {
		shares = []float64{0.05, 0.5, 0.9}
	}
	var out [][]float64
	for _, share := range shares {
		a := share * least
		if m.shape != point {
			out = append(out, m.start(s, a, m.line(s, a)))
		}
		neutral := math.Log(s.d[0])
		if m.shape == disc {
			neutral = 0.05 * s.d[0] * s.d[0]
		}
		out = append(out, m.start(s, a, neutral))
	}
	return out
}

// start completes ambient a and shape parameter v with the intensity that fits
// them best.
func (m model) start(s *series, a, v float64) []float64 {
	x := []float64{0}
	if m.shape != point {
		x = append(x, v)
	}
	if m.ambient {
		x = append(x, a)
	}
	_, o, q, _ := m.unpack(s, x)
	radius := math.Sqrt(math.Max(q, 0))
	logs := make([]float64, len(s.d))
	for i, d := range s.d {
		logs[i] = math.Log(s.net(i, a) * ((d+o)*(d+o) + radius*radius))
	}
	x[0] = stat.Mean(logs, s.precision)
	return x
}

// net returns reading i without ambient a, facing the source, kept positive.
func (s *series) net(i int, a float64) float64 {
	y := math.Exp(s.lny[i])
	return math.Max(y-a, 0.01*y) / s.cos[i]
}

// line returns the shape parameter of the straight line.
func (m model) line(s *series, a float64) float64 {
	var sw, sx, sy, sxx, sxy float64
	for i, d := range s.d {
		z := s.net(i, a)
		x, y, w := d*d, 1/z, z*z
		if m.shape == offset {
			x, y, w = d, 1/math.Sqrt(z), z
		}
		w *= s.precision[i]
		sw, sx, sy, sxx, sxy = sw+w, sx+w*x, sy+w*y, sxx+w*x*x, sxy+w*x*y
	}
	slope := (sw*sxy - sx*sy) / (sw*sxx - sx*sx)
	level := (sy - slope*sx) / sw
	d1, dn := s.d[0], s.d[len(s.d)-1]
	v := level / slope // o, or R²
	if m.shape == offset {
		if !(slope > 0) {
			v = dn
		}
		return math.Log(math.Min(math.Max(d1+v, 0.02*d1), 100*dn))
	}
	if !(slope > 0) {
		v = dn * dn
	}
	return math.Min(math.Max(v, 1e-3*d1*d1), 100*dn*dn)
}
