package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// fit is the plan on the places of a survey, lamp by lamp.
type fit struct {
	scene  *Scene
	read   *survey.Survey
	lamps  []int       // fixtures at which light starts
	maps   [][]float64 // of each of them, at each equation
	levels []float64   // read
	place  []int       // of each equation in the survey
	alone  []int       // of each equation: index into lamps, or everyLamp, or noLamp
	left   []bool      // slips
	scale  []float64   // fitted, one a lamp, the ambient, and one for single lamps
	shape  []float64   // of the ambient light at each place, 1 on the whole
	room   bool        // single lamps were read with the ambient light on
	weight []float64
	low    []float64
	high   []float64
}

// What a reading is of, where it is not of a single lamp.
const (
	everyLamp = -1
	noLamp    = -2 // ambient light only
)

// Against holds a plan to readings of its surface: r is the analysis of read,
// whose levels (with a drift taken out) and slips it uses. Readings of single
// lamps, where the survey has some of lamps that the plan knows, take part.
//
// It fits one factor a lamp, the ambient light and, for readings of single lamps,
// one factor for their time, none of them negative, by least squares of the
// errors in stops, with readings far off weighing less (Tukey's biweight).
// Readings of a lamp named ambient give the ambient light and its shape.
// Readings of single lamps may hold the ambient light or not: both are fitted,
// and the better fit is taken.
func (s *Scene) Against(read *survey.Survey, r *evenness.Result) (*Score, error) {
	if read.Quantity != s.Quantity && read.Quantity != photometry.Relative {
		return nil, fmt.Errorf("plan: readings of %s against a plan in %s", read.Quantity, s.Quantity)
	}
	f := &fit{scene: s, read: read}
	f.equations(r)
	if len(f.levels)-count(f.left) <= f.unknowns()+f.shaped() {
		return nil, fmt.Errorf("plan: %d readings cannot tell %d lamps and ambient light apart, expected more readings", len(f.levels)-count(f.left), len(f.lamps))
	}
	in, err := f.settleRoom(r.Noise.Stops)
	if err != nil {
		return nil, err
	}
	return f.score(r, in), nil
}

func count(marks []bool) int {
	n := 0
	for _, m := range marks {
		if m {
			n++
		}
	}
	return n
}

// equations sets up one equation a reading.
func (f *fit) equations(r *evenness.Result) {
	s := f.scene
	for i := range s.emitters {
		if k := s.emitters[i].lamp; !slices.Contains(f.lamps, k) {
			f.lamps = append(f.lamps, k)
		}
	}
	slices.Sort(f.lamps)
	f.shape = slices.Repeat([]float64{1}, f.read.Len())
	add := func(place, alone int, level float64, left bool) {
		f.place, f.alone = append(f.place, place), append(f.alone, alone)
		f.levels, f.left = append(f.levels, level), append(f.left, left)
	}
	slips := map[int]bool{}
	for _, x := range r.Suspects {
		slips[x.Point] = true
	}
	for i := range f.read.Len() {
		level := f.read.Level[i]
		if len(r.Levels) == f.read.Len() {
			level = r.Levels[i]
		}
		add(i, everyLamp, level, slips[i] || !(level > 0))
	}
	for _, lamp := range f.read.Lamps {
		k := f.lampNamed(lamp.Name)
		switch {
		case k < 0 && strings.EqualFold(lamp.Name, survey.AmbientName):
			f.ambientRead(lamp)
			k = noLamp
		case k < 0:
			continue
		}
		for j, p := range lamp.Point {
			add(int(p), k, lamp.Level[j], !(lamp.Level[j] > 0))
		}
	}
	f.maps = make([][]float64, len(f.lamps))
	for k, lamp := range f.lamps {
		f.maps[k] = s.lampMap(lamp, f.read)
	}
}

// ambientRead takes the shape of the ambient light: what was read over its mean,
// and the mean where nothing was.
func (f *fit) ambientRead(lamp survey.Lamp) {
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
	each(on.Len(), func(i int) {
		for n := range s.emitters {
			if e := &s.emitters[n]; e.lamp == lamp {
				out[i] += s.lux(e, r3Place(on, i), toCamera)
			}
		}
	})
	return out
}

// lampNamed finds a lamp by its own name or by that of a frame or bounce that
// passes on its light alone; −1 where there is none.
func (f *fit) lampNamed(name string) int {
	for k, lamp := range f.lamps {
		if strings.EqualFold(f.scene.Fixtures[lamp].Name, name) {
			return k
		}
	}
	for k, lamp := range f.lamps {
		for _, through := range f.scene.through(lamp) {
			if strings.EqualFold(through, name) {
				return k
			}
		}
	}
	return -1
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

// unknowns is how many figures are fitted.
func (f *fit) unknowns() int {
	n := len(f.lamps) + 1
	if f.hasAlone() {
		n++
	}
	return n
}

// shaped is how many figures the shape of the ambient light takes.
func (f *fit) shaped() int {
	n := 0
	for i, k := range f.alone {
		if k == noLamp && !f.left[i] {
			n++
		}
	}
	return max(0, n-1)
}

func (f *fit) hasAlone() bool {
	return slices.ContainsFunc(f.alone, func(k int) bool { return k >= 0 })
}

// lit tells whether lamp k shines in equation n.
func (f *fit) lit(n, k int) bool { return f.alone[n] == everyLamp || f.alone[n] == k }

// ambient is how much of the ambient light is in equation n.
func (f *fit) ambient(n int) float64 {
	if f.alone[n] >= 0 && !f.room {
		return 0
	}
	return f.shape[f.place[n]]
}

// time is the factor of an equation's time.
func (f *fit) time(n int, scale []float64) float64 {
	if f.alone[n] < 0 {
		return 1
	}
	return scale[len(f.lamps)+1]
}

// model is the fitted level of equation n. The lamps change in time, the ambient
// light does not.
func (f *fit) model(n int, scale []float64) float64 {
	v := 0.0
	for k := range f.lamps {
		if f.lit(n, k) {
			v += scale[k] * f.maps[k][f.place[n]]
		}
	}
	return v*f.time(n, scale) + scale[len(f.lamps)]*f.ambient(n)
}

// solve fits factors and ambient by least squares, weighing readings that stand
// off less and less.
func (f *fit) solve(noise float64) error {
	n := len(f.levels)
	f.weight = make([]float64, n)
	for i := range f.weight {
		if !f.left[i] {
			f.weight[i] = 1
		}
	}
	start := f.asPlanned()
	// The plan's own scale first: relative readings have none in common with it.
	var ratios []float64
	for i, level := range f.levels {
		if m := f.model(i, start); f.weight[i] > 0 && m > 0 {
			ratios = append(ratios, level/m)
		}
	}
	if len(ratios) == 0 {
		return fmt.Errorf("plan: the plan gives no light at any place that was read")
	}
	slices.Sort(ratios)
	for k := range f.lamps {
		start[k] *= ratios[len(ratios)/2]
	}
	mean := 0.0
	for _, level := range f.levels {
		mean += level / float64(n)
	}
	start[len(f.lamps)] = 0.01 * mean // off its bound
	lower := make([]float64, len(start))
	problem := falloff.Problem{
		Count: n, Lower: lower,
		Residuals: func(r, p []float64) {
			for i := range r {
				r[i] = 0
				if f.weight[i] > 0 {
					r[i] = math.Sqrt(f.weight[i]) * math.Log2(f.levels[i]/math.Max(f.model(i, p), 1e-9*mean))
				}
			}
		},
	}
	var found falloff.Solution
	for range 12 {
		var err error
		if found, err = falloff.LeastSquares(problem, start, falloff.Settings{Tolerance: 1e-10, MaxIterations: 300}); err != nil {
			return err
		}
		moved := 0.0
		for k := range start {
			moved = math.Max(moved, math.Abs(found.Params[k]-start[k])/(math.Abs(start[k])+1e-6*mean))
		}
		start = found.Params
		f.reweigh(start, noise)
		if moved < 1e-4 {
			break
		}
	}
	f.scale = start
	f.intervals(noise)
	return nil
}

// asPlanned is every lamp at its plan and no ambient light.
func (f *fit) asPlanned() []float64 {
	out := make([]float64, f.unknowns())
	for k := range f.lamps {
		out[k] = 1
	}
	if f.hasAlone() {
		out[len(f.lamps)+1] = 1
	}
	return out
}

// How readings far off are told: a standard deviation of normals over the median
// of their sizes, Tukey's constant for 95 % efficiency, and the least scatter
// that any meter is taken to have, in stops.
const (
	normalOfMedian = 1.4826
	tukey          = 4.685
	leastScatter   = 0.005
)

// reweigh gives each reading Tukey's biweight by its error.
func (f *fit) reweigh(scale []float64, noise float64) {
	var sizes []float64
	errs := make([]float64, len(f.levels))
	for i := range errs {
		if !f.left[i] {
			errs[i] = math.Log2(f.levels[i] / math.Max(f.model(i, scale), 1e-9))
			sizes = append(sizes, math.Abs(errs[i]))
		}
	}
	slices.Sort(sizes)
	limit := tukey * math.Max(normalOfMedian*sizes[len(sizes)/2], math.Max(noise, leastScatter))
	for i, e := range errs {
		f.weight[i] = 0
		if u := e / limit; !f.left[i] && math.Abs(u) < 1 {
			f.weight[i] = (1 - u*u) * (1 - u*u)
		}
	}
}

// intervals are the 95 % intervals of what was fitted, from the readings' own
// scatter or their scatter about the plan, whichever is the larger, by the
// normal matrix of the weighted errors.
func (f *fit) intervals(noise float64) {
	m := len(f.scale)
	jac := make([][]float64, 0, len(f.levels))
	squares, weights := 0.0, 0.0
	for i, level := range f.levels {
		if f.weight[i] == 0 {
			continue
		}
		model := f.model(i, f.scale)
		if !(model > 0) {
			continue
		}
		e := math.Log2(level / model)
		squares, weights = squares+f.weight[i]*e*e, weights+f.weight[i]
		row := make([]float64, m)
		for k := range f.lamps {
			if f.lit(i, k) {
				row[k] = math.Sqrt(f.weight[i]) * f.time(i, f.scale) * f.maps[k][f.place[i]] / model / math.Ln2
			}
		}
		lamps := model - f.scale[len(f.lamps)]*f.ambient(i)
		row[len(f.lamps)] = math.Sqrt(f.weight[i]) * f.ambient(i) / model / math.Ln2
		if f.alone[i] >= 0 {
			row[len(f.lamps)+1] = math.Sqrt(f.weight[i]) * lamps / model / f.time(i, f.scale) / math.Ln2
		}
		jac = append(jac, row)
	}
	s := math.Sqrt(squares / math.Max(1, weights-float64(m+f.shaped())))
	variances := inverseDiagonal(jac, m)
	f.low, f.high = make([]float64, m), make([]float64, m)
	for k := range f.scale {
		half := 1.96 * math.Max(s, noise) * math.Sqrt(variances[k])
		f.low[k], f.high[k] = math.Max(0, f.scale[k]-half), f.scale[k]+half
	}
}
