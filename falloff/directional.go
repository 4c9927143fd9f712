package falloff

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/photometry/leastsquares"

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
				cut, _ := bisect(a, b, func(e float64) bool { return deviation(e)*fa > 0 })
				stretch(a, cut)
				stretch(cut, b)
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
	angle, lnE, sd []float64               // radians, ln E and its standard deviation, one per distinct angle, rising
	tilt           float64                 // radians
	tiltErr        float64                 // its standard error where sd is right, radians
	misfit         float64                 // √(χ²/ν) of the fit of the tilt
	nu             int                     // its degrees of freedom; zero where no tilt is fitted
	shape          func(e float64) float64 // fitted ln(E/cos ε) less its value on the axis
	lnE0, sd0      float64                 // ln E on the axis, and its standard deviation
	sides          []*halfResponse
	to             float64 // radians, common to the sides
	f2             float64
}

// halfResponse interpolates ln(E/cos ε) on one side of the axis over lnCos.
type halfResponse struct {
	knots []float64 // ε
	curve interp.FritschButland
	lnE0  float64
}

func (h *halfResponse) deviation(e float64) float64 {
	return math.Expm1(h.curve.Predict(lnCos(e)) - h.lnE0)
}

// handTilt is the standard deviation in radians of a meter's axis as it is laid by
// hand: a degree, common practice, no source.
const handTilt = math.Pi / 180

// newDirectional averages repeats, finds the tilt where readings are on both
// sides, and integrates f2. spread is the standard deviation of ln E of one reading
// at a level.
func newDirectional(readings []AngleReading, spread func(level float64) float64) (*directional, error) {
	var errs faults
	for i, r := range readings {
		errs.angle(i, r.AngleDeg, "less than 90°: a flat receptor sees nothing behind its edge")
		errs.check(i, r.Level, levelLimits)
	}
	if err := errs.OrNil(); err != nil {
		return nil, err
	}
	d := &directional{tiltErr: handTilt}
	nearest := 90.0
	sorted := slices.SortedStableFunc(slices.Values(readings), func(a, b AngleReading) int { return cmp.Compare(a.AngleDeg, b.AngleDeg) })
	for _, group := range grouped(len(sorted), func(i int) float64 { return sorted[i].AngleDeg }) {
		var sum float64
		for _, i := range group {
			sum += math.Log(sorted[i].Level)
		}
		at, k := sorted[group[0]].AngleDeg, float64(len(group))
		d.angle = append(d.angle, at*math.Pi/180)
		d.lnE = append(d.lnE, sum/k)
		d.sd = append(d.sd, spread(math.Exp(sum/k))/math.Sqrt(k))
		nearest = math.Min(nearest, math.Abs(at))
	}
	if len(d.angle) < 3 {
		return nil, seriesFault(fmt.Sprintf("readings at %d angles", len(d.angle)), "readings at three angles or more, 0° among them")
	}
	if nearest > 10 {
		return nil, seriesFault(fmt.Sprintf("no reading nearer to the axis than %g°", nearest), "a reading at 0°")
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
	if reach < 20*math.Pi/180 || below < 2 || above < 2 {
		return
	}
	var use []int
	for i, a := range d.angle {
		if math.Abs(a) <= reach+1e-9 {
			use = append(use, i)
		}
	}
	params, most := 3, 0.0 // few readings do not tell a
	if len(use) >= 8 {
		params, most = 4, 10
	}
	limit := math.Pi/2 - reach - 1e-6
	sol, err := leastsquares.Solve(leastsquares.Problem{
		Count: len(use),
		Lower: []float64{math.Inf(-1), -5, -limit, -most}, Upper: []float64{math.Inf(1), 20, limit, most},
		Residuals: func(r, x []float64) {
			for k, i := range use {
				c := math.Cos(d.angle[i] - x[2])
				r[k] = (d.lnE[i] - (x[0] + x[1]*math.Log(c) + x[3]*(1-c))) / d.sd[i]
			}
		},
	}, []float64{d.lnE[n/2], 1, 0, 0}, leastsquares.Settings{})
	nu := len(use) - params
	if err != nil || !sol.Converged || sol.UnitErr == nil || nu <= 0 {
		return
	}
	d.nu = nu
	d.tilt, d.tiltErr, d.misfit = sol.Params[2], sol.UnitErr[2], math.Sqrt(sol.SumSquares/float64(d.nu))
	d.shape = func(e float64) float64 {
		c := math.Cos(e)
		return (sol.Params[1]-1)*math.Log(c) + sol.Params[3]*(1-c)
	}
}

// node is a reading folded to one side of the axis: how far off it, ln(E/cos ε) and
// the standard deviation of that.
type node struct{ e, rho, sd float64 }

// split folds the series about the tilted axis into its sides and settles the
// reading on the axis.
func (d *directional) split() error {
	var plus, minus []node
	for i, a := range d.angle {
		e := a - d.tilt
		if math.Abs(e) >= math.Pi/2-1e-9 {
			continue
		}
		p := node{math.Abs(e), d.lnE[i] - math.Log(math.Cos(e)), d.sd[i]}
		if e >= 0 {
			plus = append(plus, p)
		} else {
			minus = append(minus, p)
		}
	}
	slices.Reverse(minus) // from the axis out
	near := slices.Concat(plus, minus)
	if len(near) == 0 {
		return seriesFault("no reading in front of the receptor", "readings about 0°")
	}
	slices.SortFunc(near, func(a, b node) int { return cmp.Compare(a.e, b.e) })
	d.lnE0, d.sd0 = d.onAxis(near)
	d.to = F2Limit * math.Pi / 180
	for _, side := range [][]node{plus, minus} {
		if len(side) == 0 || side[len(side)-1].e < 20*math.Pi/180 {
			continue
		}
		h, err := newHalfResponse(d.lnE0, side)
		if err != nil {
			return err
		}
		d.to = math.Min(d.to, side[len(side)-1].e)
		d.sides = append(d.sides, h)
	}
	if len(d.sides) == 0 {
		return seriesFault("no reading beyond 20° off the axis", "readings out to 60° or more")
	}
	return nil
}

// lnCos is x = −ln cos ε, in which every power of the cosine is a straight line.
func lnCos(e float64) float64 { return -math.Log(math.Cos(e)) }

// farOffAxis is from how far off a reading says nothing of the axis, radians.
const farOffAxis = 15 * math.Pi / 180

// onAxis returns ln E on the axis from the readings nearest to it, and its standard
// deviation.
func (d *directional) onAxis(near []node) (lnE, sd float64) {
	first := near[0]
	if first.e < 0.01*math.Pi/180 || len(near) < 2 {
		return first.rho, first.sd
	}
	next := near[1]
	if d.nu > 0 {
		// The readings next to the axis, carried there along the fitted shape, which
		// one far off it may not have.
		if next.e > farOffAxis {
			return first.rho - d.shape(first.e), first.sd
		}
		return (first.rho - d.shape(first.e) + next.rho - d.shape(next.e)) / 2, math.Hypot(first.sd, next.sd) / 2
	}
	x0, x1 := lnCos(first.e), lnCos(next.e)
	if x1 > 1.5*x0 {
		k := x0 / (x1 - x0)
		return first.rho - k*(next.rho-first.rho), math.Hypot((1+k)*first.sd, k*next.sd)
	}
	return first.rho, first.sd
}

// newHalfResponse interpolates one side, from the axis out.
func newHalfResponse(lnE0 float64, side []node) (*halfResponse, error) {
	h := &halfResponse{knots: []float64{0}, lnE0: lnE0}
	xs, ys := []float64{0}, []float64{lnE0}
	for _, p := range side {
		if x := lnCos(p.e); x-xs[len(xs)-1] >= 1e-9 {
			xs, ys = append(xs, x), append(ys, p.rho)
			h.knots = append(h.knots, p.e)
		}
	}
	return h, h.curve.Fit(xs, ys)
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
