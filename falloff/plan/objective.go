package plan

import (
	"errors"
	"math"
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// variable is a free cell.
type variable struct {
	row       int
	column    int // of setup.RangeColumns
	low, high float64
}

func (v variable) name() string { return setup.RangeColumns[v.column].Name }
func (v variable) unit() string { return setup.RangeColumns[v.column].Unit }

// step is what a cell can be set to on a set: centimeters, half degrees and
// whole percents.
func (v variable) step() float64 {
	switch v.unit() {
	case "m":
		return 0.01
	case "deg":
		return 0.5
	case "%":
		return 1
	}
	return 0
}

// rounded is the nearest value that can be set, within the cell's range.
func (v variable) rounded(x float64) float64 {
	if step := v.step(); step > 0 {
		x = math.Round(x/step) * step
		x = math.Round(x*1e6) / 1e6 // 0.57, not 0.5700000000000001
	} else if x != 0 {
		scale := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(x))))
		x = math.Round(x*scale) / scale
	}
	return math.Min(math.Max(x, v.low), v.high)
}

// Free is how many cells of the table leave a choice.
func (s *Scene) Free() int { return len(freeCells(s.rows)) }

func freeCells(rows []setup.Lamp) []variable {
	var out []variable
	for i := range rows {
		for k, c := range setup.RangeColumns {
			if r := c.Of(&rows[i]); r.Free() {
				out = append(out, variable{i, k, r.Low, r.High})
			}
		}
	}
	return out
}

// objective is what a solver makes small: the spread over the area in stops,
// and far above it how far off the level is.
type objective struct {
	scene     *Scene
	variables []variable
	changed   []bool // rows with free cells
	places    []r3.Vec
	weights   []float64 // area that each stands for, 1 in all
	level     float64   // wanted mean, 0 for none
	fixed     []float64 // at each place, from what no free cell touches
	moving    []bool    // fixtures whose light changes
	start     []float64
	// marks are what the level is wanted at in place of the places; nil for a
	// surface. They are found anew in each scene: a mark may face a lamp that
	// moves.
	marks func(*Scene) ([]Mark, error)
	// tooMuch is whether values were tried whose set-up takes too many looks.
	tooMuch atomic.Bool
}

// Weights of what is not spread. A stop off the wanted level costs more than any
// spread; a long way to move breaks ties only.
const (
	offWeight  = 20.0
	moveWeight = 0.002
	worst      = 1e6
	levelSlack = 0.01 // stops that the mean may be off for nothing
)

// mostSearched is how many places a search looks at; a finer grid is only
// predicted.
const mostSearched = 1000

func newObjective(s *Scene, on Surface, level float64) (*objective, error) {
	o := freeObjective(s, level)
	if err := o.setPlaces(on); err != nil {
		return nil, err
	}
	o.moving = s.touched(o.changed)
	if slices.ContainsFunc(o.variables, func(v variable) bool { return s.rows[v.row].Kind.Shapes() }) {
		// What moves in front of a lamp changes its light on the set as well.
		for i := range o.moving {
			o.moving[i] = true
		}
	}
	o.fixed = make([]float64, len(o.places))
	for k, p := range o.places {
		for _, lux := range s.lights(p, toCamera, func(e *emitter) bool { return !o.moves(e) }) {
			o.fixed[k] += lux
		}
	}
	return o, nil
}

// freeObjective has the free cells of a scene and their present values.
func freeObjective(s *Scene, level float64) *objective {
	o := &objective{scene: s, variables: freeCells(s.rows), changed: make([]bool, len(s.rows)), level: level}
	for _, v := range o.variables {
		o.changed[v.row] = true
		o.start = append(o.start, setup.RangeColumns[v.column].Of(&s.rows[v.row]).At)
	}
	return o
}

// setPlaces takes the places of a surface that count, each with the share of the
// area that it stands for.
func (o *objective) setPlaces(on Surface) error {
	x, y, l, err := on.grid()
	if err == nil && len(x) > mostSearched {
		on.Columns, on.Rows, on.Cells = 0, 0, false
		x, y, l, err = on.grid()
	}
	if err != nil {
		return err
	}
	within := &on.Extent
	if on.Area != nil {
		within = on.Area
	}
	areas := spatial.NewPlaces(x, y).Areas(l, within)
	for i := range x {
		if on.Area != nil && !on.Area.Contains(x[i], y[i]) {
			continue
		}
		o.places, o.weights = append(o.places, r3.Vec{X: x[i], Y: y[i]}), append(o.weights, 1)
		if areas != nil {
			o.weights[len(o.weights)-1] = areas[i]
		}
	}
	if len(o.places) < 2 {
		return errors.New("plan: fewer than two places in the area, expected a finer grid or a larger area")
	}
	floats.Scale(1/floats.Sum(o.weights), o.weights)
	return nil
}

func (o *objective) moves(e *emitter) bool { return o.moving[e.fixture] || o.moving[e.lamp] }

// at is the scene with the free cells at some values; nil where that cannot be.
func (o *objective) at(values []float64) *Scene {
	rows := slices.Clone(o.scene.rows)
	for i, v := range o.variables {
		setup.RangeColumns[v.column].Of(&rows[v.row]).At = values[i]
	}
	s, problems := o.scene.rebuild(rows, o.changed)
	if len(problems) > 0 {
		o.noteTooMuch(s)
		return nil
	}
	return s
}

// noteTooMuch reports whether a set-up takes too many looks, and keeps that some did.
func (o *objective) noteTooMuch(s *Scene) bool {
	over := s.effort.over()
	if over {
		o.tooMuch.Store(true)
	}
	return over
}

// spread is the spread in stops and the mean level of a scene on the places; an
// unlit place makes it infinite.
func (o *objective) spread(s *Scene) (stops, mean float64) {
	moving := *s
	moving.emitters = nil
	for i := range s.emitters {
		if o.moves(&s.emitters[i]) {
			moving.emitters = append(moving.emitters, s.emitters[i])
		}
	}
	low, high := math.Inf(1), 0.0
	for k, p := range o.places {
		v := o.fixed[k]
		for _, lux := range moving.lights(p, toCamera, nil) {
			v += lux
		}
		low, high, mean = math.Min(low, v), math.Max(high, v), mean+o.weights[k]*v
	}
	if !(low > 0) {
		return math.Inf(1), mean
	}
	return photometry.Stops(high, low), mean
}

// cost is what is made small, of values and of a step of their own size. Of a set-up that
// takes too many looks only part of the light is known.
func (o *objective) cost(values []float64) float64 {
	s := o.at(values)
	if s == nil {
		return worst
	}
	cost := o.costOf(s, values)
	if o.noteTooMuch(s) {
		return worst
	}
	return cost
}

func (o *objective) costOf(s *Scene, values []float64) float64 {
	if o.marks != nil {
		off, mean := o.off(s)
		if math.IsInf(off, 0) {
			return worst/10 - math.Min(mean, worst/100)
		}
		return math.Abs(off) + o.way(values)
	}
	stops, mean := o.spread(s)
	if math.IsInf(stops, 1) {
		// Some place gets nothing: the more light in all, the nearer a way out.
		return worst/10 - math.Min(mean, worst/100)
	}
	cost := stops
	if o.level > 0 {
		cost += offWeight * math.Max(0, math.Abs(photometry.Stops(mean, o.level))-levelSlack)
	}
	return cost + o.way(values)
}

// way is what moving far costs.
func (o *objective) way(values []float64) float64 {
	cost := 0.0
	for i, v := range o.variables {
		d := (values[i] - o.start[i]) / (v.high - v.low)
		cost += moveWeight * d * d
	}
	return cost
}
