package falloff

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/interp"
)

// F2Limit is the angle in degrees at which the directional response index ends
// (ISO/CIE 19476).
const F2Limit = 85.0

// F2 returns the directional response index of an illuminance meter whose
// reading at angleDeg (degrees off its axis), relative to its reading on the
// axis, is response(angleDeg):
//
//	f2 = ∫ |response(ε)/cos ε − 1|·sin 2ε dε, from 0 to toDeg
//
// as a share (0.015 is 1.5 %). It panics unless 0 < toDeg ≤ 85. Source: ISO/CIE
// 19476:2014 (there to 85°).
func F2(response func(angleDeg float64) float64, toDeg float64) float64 {
	if !(toDeg > 0 && toDeg <= F2Limit) {
		panic(fmt.Sprintf("falloff: F2 to %g°, expected more than 0 and at most 85", toDeg))
	}
	// Knots a degree apart find every change of sign that a real receptor has.
	knots := []float64{0}
	for a := 1.0; a < toDeg; a++ {
		knots = append(knots, a*math.Pi/180)
	}
	knots = append(knots, toDeg*math.Pi/180)
	return f2Between(func(e float64) float64 {
		return response(e*180/math.Pi)/math.Cos(e) - 1
	}, knots)
}

// f2Between integrates |deviation(ε)|·sin 2ε over the stretches between knots
// (radians), each cut where the deviation changes sign, since the kink there
// would spoil the quadrature.
func f2Between(deviation func(float64) float64, knots []float64) float64 {
	var sum float64
	stretch := func(a, b float64) {
		sum += math.Abs(quad.Fixed(func(e float64) float64 {
			return deviation(e) * math.Sin(2*e)
		}, a, b, 8, nil, 0))
	}
	for i := 1; i < len(knots); i++ {
		const pieces = 4
		width := (knots[i] - knots[i-1]) / pieces
		for k := range pieces {
			a := knots[i-1] + float64(k)*width
			b := a + width
			if fa, fb := deviation(a), deviation(b); fa*fb < 0 {
				lo, hi := a, b
				for range 60 {
					mid := (lo + hi) / 2
					if deviation(mid)*fa > 0 {
						lo = mid
					} else {
						hi = mid
					}
				}
				stretch(a, lo)
				stretch(lo, b)
				continue
			}
			stretch(a, b)
		}
	}
	return sum
}

// AngleReading is one reading of a meter turned in front of a fixed, distant,
// small light.
type AngleReading struct {
	// AngleDeg is the angle between the receptor's axis and the light in
	// degrees, less than 90 either way; the sign says which way.
	AngleDeg float64
	// Level is what the meter showed, more than 0, in any unit.
	Level float64
}

// directional is what an angle series says.
type directional struct {
	angle, lnE []float64 // radians, one per distinct angle, rising
	count      []float64 // readings behind each
	twoSided   bool
	tilt       float64 // radians
	tiltErr    float64
	fitted     bool
	shape      func(e float64) float64 // fitted ln(E/cos ε) less its value on the axis
	lnE0       float64                 // ln E on the axis
	sides      []*halfResponse
	to         float64 // radians, common to the sides
	f2         float64
}

// halfResponse interpolates ln(E/cos ε) on one side of the axis over
// x = −ln cos ε, in which every power of the cosine is a straight line.
type halfResponse struct {
	knots []float64 // ε
	curve interp.FritschButland
	lnE0  float64
}

func (h *halfResponse) deviation(e float64) float64 {
	return math.Expm1(h.curve.Predict(-math.Log(math.Cos(e))) - h.lnE0)
}

// newDirectional averages repeats, finds the tilt where readings stand on both
// sides, and integrates f2.
func newDirectional(readings []AngleReading) (*directional, error) {
	var errs InputErrors
	for i, r := range readings {
		switch {
		case math.IsNaN(r.AngleDeg) || math.IsInf(r.AngleDeg, 0):
			errs = append(errs, &InputError{Index: i, Of: AngleFigure, Found: "an angle that is no number", Expected: "an angle in degrees"})
		case math.Abs(r.AngleDeg) >= 90:
			errs = append(errs, &InputError{Index: i, Of: AngleFigure, Found: fmt.Sprintf("an angle of %g°", r.AngleDeg), Expected: "less than 90°: a flat receptor sees nothing behind its edge"})
		}
		if e := levelFault(i, r.Level); e != nil {
			errs = append(errs, e)
		}
	}
	if len(errs) > 0 {
		return nil, errs
	}
	d := &directional{}
	byAngle := map[float64][]float64{}
	for _, r := range readings {
		byAngle[r.AngleDeg] = append(byAngle[r.AngleDeg], math.Log(r.Level))
	}
	var angles []float64
	for a := range byAngle {
		angles = append(angles, a)
	}
	sort.Float64s(angles)
	nearest := 90.0
	for _, a := range angles {
		var sum float64
		for _, v := range byAngle[a] {
			sum += v
		}
		k := float64(len(byAngle[a]))
		d.angle = append(d.angle, a*math.Pi/180)
		d.lnE = append(d.lnE, sum/k)
		d.count = append(d.count, k)
		nearest = math.Min(nearest, math.Abs(a))
	}
	if len(angles) < 3 {
		return nil, &InputError{Index: -1, Found: fmt.Sprintf("readings at %d angles", len(angles)), Expected: "readings at three angles or more, 0° among them"}
	}
	if nearest > 10 {
		return nil, &InputError{Index: -1, Found: fmt.Sprintf("no reading nearer to the axis than %g°", nearest), Expected: "a reading at 0°"}
	}
	d.findTilt()
	if err := d.split(); err != nil {
		return nil, err
	}
	for _, h := range d.sides {
		knots := make([]float64, 0, len(h.knots)+1)
		for _, k := range h.knots {
			if k < d.to {
				knots = append(knots, k)
			}
		}
		knots = append(knots, d.to)
		d.f2 += f2Between(h.deviation, knots) / float64(len(d.sides))
	}
	return d, nil
}

// findTilt fits ln E = k + m·ln cos(θ − τ) + a·(1 − cos(θ − τ)), whose τ is the
// axis about which the response is symmetric whatever its other errors, to the
// part of the series that both sides cover. A series on one side alone cannot
// tell a tilt from a directional error, so there the tilt is left at zero.
func (d *directional) findTilt() {
	n := len(d.angle)
	reach := math.Min(-d.angle[0], d.angle[n-1])
	below, above := 0, 0
	for _, a := range d.angle {
		if a < 0 {
			below++
		} else if a > 0 {
			above++
		}
	}
	d.twoSided = reach >= 20*math.Pi/180 && below >= 2 && above >= 2
	if !d.twoSided {
		return
	}
	var use []int
	for i, a := range d.angle {
		if math.Abs(a) <= reach+1e-9 {
			use = append(use, i)
		}
	}
	params := 3
	if len(use) >= 8 {
		params = 4
	}
	start := []float64{d.lnE[n/2], 1, 0, 0}[:params]
	limit := math.Pi/2 - reach - 1e-6
	lower := []float64{math.Inf(-1), -5, -limit, -10}[:params]
	upper := []float64{math.Inf(1), 20, limit, 10}[:params]
	sol, err := LeastSquares(Problem{
		Count: len(use),
		Lower: lower, Upper: upper,
		Residuals: func(r, x []float64) {
			for k, i := range use {
				c := math.Cos(d.angle[i] - x[2])
				v := x[0] + x[1]*math.Log(c)
				if params == 4 {
					v += x[3] * (1 - c)
				}
				r[k] = (d.lnE[i] - v) * math.Sqrt(d.count[i])
			}
		},
	}, start, Settings{})
	if err != nil || !sol.Converged {
		return
	}
	d.tilt, d.fitted = sol.Params[2], true
	d.shape = func(e float64) float64 {
		c := math.Cos(e)
		v := (sol.Params[1] - 1) * math.Log(c)
		if params == 4 {
			v += sol.Params[3] * (1 - c)
		}
		return v
	}
	if sol.StdErr != nil {
		d.tiltErr = sol.StdErr[2]
	}
}

// split folds the series about the tilted axis into its sides and settles the
// reading on the axis.
func (d *directional) split() error {
	type node struct{ e, rho float64 }
	var plus, minus []node
	for i, a := range d.angle {
		e := a - d.tilt
		if math.Abs(e) >= math.Pi/2-1e-9 {
			continue
		}
		p := node{math.Abs(e), d.lnE[i] - math.Log(math.Cos(e))}
		if e >= 0 {
			plus = append(plus, p)
		} else {
			minus = append(minus, p)
		}
	}
	sort.Slice(minus, func(i, j int) bool { return minus[i].e < minus[j].e })
	near := append(append([]node(nil), plus...), minus...)
	sort.Slice(near, func(i, j int) bool { return near[i].e < near[j].e })
	switch {
	case len(near) == 0:
		return &InputError{Index: -1, Found: "no reading in front of the receptor", Expected: "readings about 0°"}
	case near[0].e < 0.01*math.Pi/180 || len(near) < 2:
		d.lnE0 = near[0].rho
	case d.fitted:
		// The two readings next to the axis, carried there along the fitted shape.
		d.lnE0 = (near[0].rho - d.shape(near[0].e) + near[1].rho - d.shape(near[1].e)) / 2
	default:
		// A straight line in x = −ln cos ε.
		x0, x1 := -math.Log(math.Cos(near[0].e)), -math.Log(math.Cos(near[1].e))
		d.lnE0 = near[0].rho
		if x1 > 1.5*x0 {
			d.lnE0 -= x0 * (near[1].rho - near[0].rho) / (x1 - x0)
		}
	}
	d.to = F2Limit * math.Pi / 180
	for _, side := range [][]node{plus, minus} {
		far := 0.0
		if len(side) > 0 {
			far = side[len(side)-1].e
		}
		if far < 20*math.Pi/180 {
			continue
		}
		h := &halfResponse{knots: []float64{0}, lnE0: d.lnE0}
		xs, ys := []float64{0}, []float64{d.lnE0}
		for _, p := range side {
			x := -math.Log(math.Cos(p.e))
			if x-xs[len(xs)-1] < 1e-9 {
				continue
			}
			xs, ys = append(xs, x), append(ys, p.rho)
			h.knots = append(h.knots, p.e)
		}
		if err := h.curve.Fit(xs, ys); err != nil {
			return err
		}
		d.to = math.Min(d.to, far)
		d.sides = append(d.sides, h)
	}
	if len(d.sides) == 0 {
		return &InputError{Index: -1, Found: "no reading beyond 20° off the axis", Expected: "readings out to 60° or more"}
	}
	return nil
}

// domeLike says whether the readings follow a dome, (1 + cos)/2, rather than a
// flat receptor's cosine.
func (d *directional) domeLike() bool {
	var flat, dome, n float64
	for i, a := range d.angle {
		c := math.Cos(a - d.tilt)
		if c <= 0 || math.Abs(a-d.tilt) < 30*math.Pi/180 {
			continue
		}
		r := d.lnE[i] - d.lnE0
		flat += (r - math.Log(c)) * (r - math.Log(c))
		dome += (r - math.Log((1+c)/2)) * (r - math.Log((1+c)/2))
		n++
	}
	return n > 0 && math.Sqrt(flat/n) > 0.15*math.Ln2 && dome < flat/9
}
