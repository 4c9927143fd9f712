package plan

import (
	"errors"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/leastsquares"
	"evenfall/photometry/parallel"
	"evenfall/photometry/survey"
)

// levelFit fits what each lamp of a plan gives, and the ambient light, to the
// readings of a survey: one equation a reading.
type levelFit struct {
	scene     *Scene
	read      *survey.Survey
	lamps     []int       // fixtures at which light starts
	maps      [][]float64 // of each of them, at each place of the survey
	dark      []int       // fixtures that start light of which the places get nothing
	shape     []float64   // of the ambient light at each place, 1 on the whole
	equations []equation
	// ambientInAlone says that single lamps were read with the ambient light on.
	ambientInAlone bool
	// scale is what was fitted: a factor a lamp, the ambient light, and where
	// there are readings of single lamps a factor for their time; low and high
	// are the 95 % interval of each.
	scale, low, high []float64
}

// equation is a reading at a place of the survey.
type equation struct {
	place    int
	of       int // index into lamps, everyLamp or noLamp
	level    float64
	excluded bool    // a suspect, or no level
	weight   float64 // in the fit, 0 to 1
}

// What a reading is of, where it is not of a single lamp.
const (
	everyLamp = -1
	noLamp    = -2 // ambient light only
)

// newLevelFit sets up one equation a reading.
func newLevelFit(s *Scene, read *survey.Survey, r *evenness.Result) *levelFit {
	f := &levelFit{scene: s, read: read, lamps: s.startingLamps(), shape: slices.Repeat([]float64{1}, read.Len())}
	f.mapLamps()
	levels := read.Level
	if len(r.Levels) == read.Len() {
		levels = r.Levels
	}
	for i, level := range levels {
		suspect := slices.ContainsFunc(r.Suspects, func(x survey.Suspect) bool { return x.Point == i })
		f.equations = append(f.equations, equation{place: i, of: everyLamp, level: level, excluded: suspect || !(level > 0)})
	}
	for _, lamp := range read.Lamps {
		k := f.lampNamed(lamp.Name)
		switch {
		case k < 0 && strings.EqualFold(lamp.Name, survey.AmbientName):
			f.shapeAmbient(lamp)
			k = noLamp
		case k < 0:
			continue
		}
		for j, p := range lamp.Point {
			f.equations = append(f.equations, equation{place: int(p), of: k, level: lamp.Level[j], excluded: !(lamp.Level[j] > 0)})
		}
	}
	return f
}

// startingLamps are the fixtures at which light that reaches the set starts, in order.
func (s *Scene) startingLamps() (lamps []int) {
	for i := range s.emitters {
		lamps = append(lamps, s.emitters[i].lamp)
	}
	slices.Sort(lamps)
	return slices.Compact(lamps)
}

// nothing is the share of the planned light below which a lamp gives a place nothing
// that a reading could show.
const nothing = 1e-3

// mapLamps finds what each lamp gives at the places, and parts those that give
// nothing anywhere.
func (f *levelFit) mapLamps() {
	maps, sum := map[int][]float64{}, make([]float64, f.read.Len())
	for _, lamp := range f.lamps {
		maps[lamp] = make([]float64, f.read.Len())
	}
	parallel.Each(f.read.Len(), 64, func(i int) {
		for e, lux := range f.scene.lights(r3Place(f.read, i), toCamera, nil) {
			maps[e.lamp][i] += lux
		}
	})
	for _, lamp := range f.lamps {
		floats.Add(sum, maps[lamp])
	}
	var lit []int
	for _, lamp := range f.lamps {
		shown := false
		for i, v := range maps[lamp] {
			shown = shown || v > nothing*sum[i]
		}
		if !shown {
			f.dark = append(f.dark, lamp)
			continue
		}
		lit, f.maps = append(lit, lamp), append(f.maps, maps[lamp])
	}
	f.lamps = lit
}

// shapeAmbient takes the shape of the ambient light: what was read over its mean,
// and the mean where nothing was.
func (f *levelFit) shapeAmbient(lamp survey.Lamp) {
	mean := stat.Mean(lamp.Level, nil)
	if !(mean > 0) {
		return
	}
	for j, p := range lamp.Point {
		f.shape[p] = lamp.Level[j] / mean
	}
}

// lampMap is what all light that starts at one lamp gives at the places of a
// survey.
func (s *Scene) lampMap(lamp int, on *survey.Survey) []float64 {
	out := make([]float64, on.Len())
	parallel.Each(on.Len(), 64, func(i int) {
		for _, lux := range s.lights(r3Place(on, i), toCamera, func(e *emitter) bool { return e.lamp == lamp }) {
			out[i] += lux
		}
	})
	return out
}

// lampNamed finds a lamp by its own name or by that of a frame or bounce that
// passes on its light alone; −1 where there is none.
func (f *levelFit) lampNamed(name string) int {
	same := func(other string) bool { return strings.EqualFold(other, name) }
	if k := slices.IndexFunc(f.lamps, func(lamp int) bool { return same(f.scene.Fixtures[lamp].Name) }); k >= 0 {
		return k
	}
	return slices.IndexFunc(f.lamps, func(lamp int) bool { return slices.ContainsFunc(f.scene.through(lamp), same) })
}

// through names the frames and bounces by which a lamp's light reaches the set.
func (s *Scene) through(lamp int) []string {
	var out []string
	for i := range s.emitters {
		if e := &s.emitters[i]; e.lamp == lamp && e.fixture != lamp {
			if name := s.Fixtures[e.fixture].Name; !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// used is how many readings take part.
func (f *levelFit) used() int {
	return f.count(func(q equation) bool { return true })
}

// count counts the readings that take part and are of some kind.
func (f *levelFit) count(of func(equation) bool) (n int) {
	for _, q := range f.equations {
		if !q.excluded && of(q) {
			n++
		}
	}
	return n
}

// Where in scale the ambient light and the time of single lamps are.
func (f *levelFit) ambientAt() int { return len(f.lamps) }
func (f *levelFit) timeAt() int    { return len(f.lamps) + 1 }

// unknowns is how many figures are fitted.
func (f *levelFit) unknowns() int {
	if f.hasAlone() {
		return f.timeAt() + 1
	}
	return f.ambientAt() + 1
}

// shaped is how many figures the shape of the ambient light takes.
func (f *levelFit) shaped() int {
	return max(0, f.count(func(q equation) bool { return q.of == noLamp })-1)
}

func (f *levelFit) hasAlone() bool {
	return slices.ContainsFunc(f.equations, func(q equation) bool { return q.of >= 0 })
}

// ambient is how much of the ambient light is in a reading.
func (f *levelFit) ambient(q *equation) float64 {
	if q.of >= 0 && !f.ambientInAlone {
		return 0
	}
	return f.shape[q.place]
}

// lampLight is what lamp k at its plan gives in a reading.
func (f *levelFit) lampLight(q *equation, k int) float64 {
	if q.of != everyLamp && q.of != k {
		return 0
	}
	return f.maps[k][q.place]
}

// time is the factor of a reading's time.
func (f *levelFit) time(q *equation, scale []float64) float64 {
	if q.of < 0 {
		return 1
	}
	return scale[f.timeAt()]
}

// model is the fitted level of a reading. The lamps change in time, the ambient
// light does not.
func (f *levelFit) model(q *equation, scale []float64) float64 {
	v := 0.0
	for k := range f.lamps {
		v += scale[k] * f.lampLight(q, k)
	}
	return v*f.time(q, scale) + scale[f.ambientAt()]*f.ambient(q)
}

// gradient writes the derivative of log2 of a reading's model at scale by each figure
// of the fit.
func (f *levelFit) gradient(q *equation, scale []float64, model float64, row []float64) {
	unit, lamps := model*math.Ln2, 0.0
	for k := range f.lamps {
		light := f.lampLight(q, k)
		lamps += scale[k] * light
		row[k] = f.time(q, scale) * light / unit
	}
	row[f.ambientAt()] = f.ambient(q) / unit
	if q.of >= 0 {
		row[f.timeAt()] = lamps / unit
	}
}

// asPlanned is every lamp at its plan and no ambient light.
func (f *levelFit) asPlanned() []float64 {
	out := slices.Repeat([]float64{1}, f.unknowns())
	out[f.ambientAt()] = 0
	return out
}

// solve fits factors and ambient light by least squares, weighing readings that
// stand off less and less.
func (f *levelFit) solve(noise float64) error {
	mean := 0.0
	for i := range f.equations {
		q := &f.equations[i]
		if q.weight = 1; q.excluded {
			q.weight = 0
		}
		mean += q.level / float64(len(f.equations))
	}
	start, err := f.start(mean)
	if err != nil {
		return err
	}
	dark := 1e-9 * mean // taken of a place without light, whose stops have no end
	problem := leastsquares.Problem{
		Count: len(f.equations), Lower: make([]float64, len(start)),
		Residuals: func(r, p []float64) {
			for i := range r {
				q := &f.equations[i]
				if r[i] = 0; q.weight > 0 {
					r[i] = math.Sqrt(q.weight) * photometry.Stops(q.level, math.Max(f.model(q, p), dark))
				}
			}
		},
		Jacobian: func(jac, p []float64) {
			clear(jac)
			for i := range f.equations {
				q, row := &f.equations[i], jac[i*len(p):(i+1)*len(p)]
				if model := f.model(q, p); q.weight > 0 && model > dark {
					f.gradient(q, p, model, row)
					floats.Scale(-math.Sqrt(q.weight), row)
				}
			}
		},
	}
	for range 12 {
		found, err := leastsquares.Solve(problem, start, leastsquares.Settings{Tolerance: 1e-10, MaxIterations: 300})
		if err != nil {
			return err
		}
		moved := 0.0
		for k := range start {
			moved = math.Max(moved, math.Abs(found.Params[k]-start[k])/(math.Abs(start[k])+1e-6*mean))
		}
		start = found.Params
		f.updateWeights(start, noise)
		if moved < 1e-4 {
			break
		}
	}
	f.scale = start
	f.findIntervals(noise)
	return nil
}

// start is the plan at the readings' own scale, since relative readings have none
// in common with it, and a little ambient light, off its bound.
func (f *levelFit) start(mean float64) ([]float64, error) {
	out := f.asPlanned()
	var ratios []float64
	for i := range f.equations {
		q := &f.equations[i]
		if m := f.model(q, out); !q.excluded && m > 0 {
			ratios = append(ratios, q.level/m)
		}
	}
	if len(ratios) == 0 {
		return nil, errors.New("plan: the plan gives no light at any place that was read")
	}
	slices.Sort(ratios)
	for k := range f.lamps {
		out[k] *= ratios[len(ratios)/2]
	}
	out[f.ambientAt()] = 0.01 * mean
	return out, nil
}

// How readings far off are told: a standard deviation of normals over the median
// of their sizes, Tukey's constant for 95 % efficiency, and the least scatter
// that any meter is taken to have, in stops.
const (
	normalOfMedian = 1.4826
	tukey          = 4.685
	leastScatter   = 0.005
)

// updateWeights sets the weight of each reading to Tukey's biweight of its error.
func (f *levelFit) updateWeights(scale []float64, noise float64) {
	errs := make([]float64, len(f.equations))
	var used []float64
	for i := range f.equations {
		if q := &f.equations[i]; !q.excluded {
			errs[i] = photometry.Stops(q.level, math.Max(f.model(q, scale), 1e-9))
			used = append(used, errs[i])
		}
	}
	limit := tukey * math.Max(robustDeviation(used), math.Max(noise, leastScatter))
	for i := range f.equations {
		q := &f.equations[i]
		q.weight = 0
		if u := errs[i] / limit; !q.excluded && math.Abs(u) < 1 {
			q.weight = (1 - u*u) * (1 - u*u)
		}
	}
}

// robustDeviation is a standard deviation by the median of the sizes.
func robustDeviation(errs []float64) float64 {
	sizes := make([]float64, len(errs))
	for i, e := range errs {
		sizes[i] = math.Abs(e)
	}
	slices.Sort(sizes)
	return normalOfMedian * sizes[len(sizes)/2]
}

// findIntervals finds the 95 % intervals of what was fitted, from the readings'
// own scatter or their scatter about the plan, whichever is the larger, by the
// normal matrix of the weighted errors.
func (f *levelFit) findIntervals(noise float64) {
	m := len(f.scale)
	var rows []float64
	squares, weights := 0.0, 0.0
	row := make([]float64, m)
	for i := range f.equations {
		q := &f.equations[i]
		model := f.model(q, f.scale)
		if q.weight == 0 || !(model > 0) {
			continue
		}
		e := photometry.Stops(q.level, model)
		squares, weights = squares+q.weight*e*e, weights+q.weight
		clear(row)
		f.gradient(q, f.scale, model, row)
		for _, v := range row {
			rows = append(rows, math.Sqrt(q.weight)*v)
		}
	}
	s := math.Sqrt(squares / math.Max(1, weights-float64(m+f.shaped())))
	variances := inverseDiagonal(mat.NewDense(len(rows)/m, m, rows))
	f.low, f.high = make([]float64, m), make([]float64, m)
	for k := range f.scale {
		half := 1.96 * math.Max(s, noise) * math.Sqrt(variances[k])
		f.low[k], f.high[k] = math.Max(0, f.scale[k]-half), f.scale[k]+half
	}
}

// interval is that of a fitted figure times a factor; nil where there is none.
func (f *levelFit) interval(k int, factor float64) (low, high *float64) {
	if math.IsInf(f.high[k], 1) || math.IsNaN(f.high[k]) {
		return nil, nil
	}
	a, b := factor*f.low[k], factor*f.high[k]
	return &a, &b
}

// inverseDiagonal is the diagonal of (JᵀJ)⁻¹, infinite where the columns of J
// cannot be told apart. Columns are scaled first, so that units do not matter.
func inverseDiagonal(j *mat.Dense) []float64 {
	_, m := j.Dims()
	size := make([]float64, m)
	for k := range size {
		size[k] = mat.Norm(j.ColView(k), 2)
	}
	j.Apply(func(_, k int, v float64) float64 { return v / math.Max(size[k], math.SmallestNonzeroFloat64) }, j)
	var normal, inverse mat.SymDense
	normal.SymOuterK(1, j.T())
	for k, v := range size {
		if v == 0 {
			normal.SetSym(k, k, 1)
		}
	}
	out := slices.Repeat([]float64{math.Inf(1)}, m)
	var chol mat.Cholesky
	if !chol.Factorize(&normal) || chol.Cond() > 1e12 || chol.InverseTo(&inverse) != nil {
		return out
	}
	for k, v := range size {
		if v > 0 {
			out[k] = inverse.At(k, k) / (v * v)
		}
	}
	return out
}

// chiSquareQuantile is the 97.5 % point of χ² with nu degrees of freedom.
func chiSquareQuantile(nu float64) float64 { return distuv.ChiSquared{K: nu}.Quantile(0.975) }
