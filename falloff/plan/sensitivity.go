package plan

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// Sensitivity is what becomes of a surface where one stand is placed a little
// off: the worst of all directions.
type Sensitivity struct {
	Lamp string `json:"lamp"`
	// Off is how far, 10 cm or 5°, and Direction which way is worst.
	Off       photometry.Remark `json:"off"`
	Direction string            `json:"direction"`
	// SpreadStops is the spread then, ChangeStops its change, and LevelStops the
	// change of the mean.
	SpreadStops float64 `json:"spread_stops"`
	ChangeStops float64 `json:"change_stops"`
	LevelStops  float64 `json:"level_stops"`
}

// How far off a stand is placed.
const (
	offMeters  = 0.10
	offDegrees = 5.0
)

// offset is a way in which a stand can be off: moved, or turned by degrees.
type offset struct {
	words     string
	move      r3.Vec
	pan, tilt float64
}

var offsets = []offset{
	{"to camera right", r3.Vec{X: offMeters}, 0, 0},
	{"to camera left", r3.Vec{X: -offMeters}, 0, 0},
	{"up", r3.Vec{Y: offMeters}, 0, 0},
	{"down", r3.Vec{Y: -offMeters}, 0, 0},
	{"from the surface", r3.Vec{Z: offMeters}, 0, 0},
	{"to the surface", r3.Vec{Z: -offMeters}, 0, 0},
	{"panned right", r3.Vec{}, offDegrees, 0},
	{"panned left", r3.Vec{}, -offDegrees, 0},
	{"tilted up", r3.Vec{}, 0, offDegrees},
	{"tilted down", r3.Vec{}, 0, -offDegrees},
}

// turns reports whether the stand is turned, not moved.
func (o offset) turns() bool { return o.pan != 0 || o.tilt != 0 }

// axis is the direction that the offset is along: x, y, z, pan or tilt.
func (o offset) axis() string {
	switch {
	case o.move.X != 0:
		return "x"
	case o.move.Y != 0:
		return "y"
	case o.move.Z != 0:
		return "z"
	case o.pan != 0:
		return "pan"
	}
	return "tilt"
}

// backward reports whether the offset is another one's opposite.
func (o offset) backward() bool { return o.move.X+o.move.Y+o.move.Z+o.pan+o.tilt < 0 }

// Sensitivity places each stand 10 cm off, its aim kept, and turns each lamp by
// 5°, and tells what that does to a surface: two entries a row of the table,
// one for a bare bulb. progress, which may be nil, is told how much of it is done, 0 to
// 1. A stand that takes too many looks (TooMuch) where it is off is among skipped and has
// no such entry: the worst of some ways is not the worst of all. So are all where ctx ends
// first; the error is then ctx's.
func (s *Scene) Sensitivity(ctx context.Context, on Surface, progress func(done float64)) (out []Sensitivity, skipped []string, err error) {
	out = []Sensitivity{}
	watched, release := s.until(ctx)
	defer release()
	o := freeObjective(watched, 0)
	if err := o.setPlaces(on); err != nil {
		return nil, nil, err
	}
	every := o.everyLight(watched)
	o.fixed = make([]float64, len(o.places))
	o.hold(watched, make([]bool, len(s.rows)), every)
	spread, mean := o.spread(watched)
	if ctx.Err() == nil && (math.IsInf(spread, 1) || watched.effort.over()) {
		return out, nil, watched.TooMuch()
	}
	rows := slices.Clone(s.rows) // of which one at a time is another
	for i := range s.rows {
		over := false
		o.hold(watched, s.movedWith(i), every)
		for _, turn := range []bool{false, true} {
			worst, ok, tooMuch := watched.worstOffset(o, rows, i, turn, spread, mean)
			if ctx.Err() != nil {
				return []Sensitivity{}, nil, ctx.Err()
			}
			if over = over || tooMuch; ok {
				out = append(out, worst)
			}
		}
		rows[i] = s.rows[i]
		if over {
			skipped = append(skipped, s.rows[i].Name)
		}
		if progress != nil {
			progress(float64(i+1) / float64(len(s.rows)))
		}
	}
	return out, skipped, nil
}

// everyLight is what each emitter gives at each of the places.
func (o *objective) everyLight(s *Scene) [][]float64 {
	out := make([][]float64, len(o.places))
	for k, p := range o.places {
		out[k] = make([]float64, 0, len(s.emitters))
		for _, lux := range s.lights(p, toCamera, nil) {
			out[k] = append(out[k], lux)
		}
	}
	return out
}

// movedWith are the rows whose light changes where one row's stand is off.
func (s *Scene) movedWith(row int) []bool {
	changed := make([]bool, len(s.rows))
	changed[row] = true
	if s.rows[row].Kind.Shapes() { // in front of any lamp
		return slices.Repeat([]bool{true}, len(s.rows))
	}
	return s.touched(changed)
}

// hold holds fixed, of every light, that of the rows that do not move.
func (o *objective) hold(s *Scene, moving []bool, every [][]float64) {
	o.moving = moving
	for k := range o.fixed {
		o.fixed[k] = 0
		for n, lux := range every[k] {
			if !o.moves(&s.emitters[n]) {
				o.fixed[k] += lux
			}
		}
	}
}

// worstOffset is the worst way in which a stand can be off, moved or turned, beside the
// spread and the mean where it is in its place. rows are like the scene's but for this one,
// which it changes. It is not ok where the stand cannot be off so, or where that takes too
// many looks.
func (s *Scene) worstOffset(o *objective, rows []setup.Lamp, row int, turn bool, spread, mean float64) (worst Sensitivity, ok, tooMuch bool) {
	worst = Sensitivity{Lamp: s.rows[row].Name, Off: photometry.Remarked("off_by", "distance", photometry.Length(offMeters))}
	if turn {
		worst.Off = photometry.Remarked("turned_by", "degrees", offDegrees)
	}
	for _, x := range offsets {
		if x.turns() != turn {
			continue
		}
		rows[row] = s.rows[row]
		there, stands := s.shiftedIn(rows, row, x)
		if there == nil {
			continue
		}
		var stops, meanThere float64
		if stands {
			stops, meanThere = o.spread(there)
		}
		if there.effort.over() {
			return worst, false, true
		}
		if !stands || math.IsInf(stops, 1) {
			continue
		}
		level := photometry.Stops(meanThere, mean)
		if !ok || stops > worst.SpreadStops {
			worst.SpreadStops, worst.ChangeStops, worst.Direction = stops, stops-spread, x.words
		}
		if !ok || math.Abs(level) > math.Abs(worst.LevelStops) {
			worst.LevelStops = level
		}
		ok = true
	}
	return worst, ok, false
}

// shifted is the scene with one stand moved, its aim point kept, and turned; nil where it
// has no aim to turn. It is false where the stand cannot be there.
func (s *Scene) shifted(i int, by offset) (there *Scene, stands bool) {
	return s.shiftedIn(slices.Clone(s.rows), i, by)
}

// shiftedIn is shifted with rows like those of the scene, of which it changes one.
func (s *Scene) shiftedIn(rows []setup.Lamp, i int, by offset) (there *Scene, stands bool) {
	f := &s.Fixtures[i]
	if !f.Aimed && by.turns() {
		return nil, false
	}
	l := &rows[i]
	at := r3.Add(f.At, by.move)
	l.X, l.Y, l.Z, l.StandHeight = setup.Fixed(at.X), setup.Fixed(at.Y), setup.Fixed(at.Z), setup.Range{}
	if f.Aimed {
		// The aim point, or one as far as the surface for a lamp set by angles.
		toward := r3.Vec{X: l.AimX.At, Y: l.AimY.At, Z: l.AimZ.At}
		if byAngle := !l.AimX.Set || free(l.Pan, l.Tilt); byAngle || by.turns() {
			p, t := panTilt(f.Aim)
			toward = r3.Add(at, direction(p+by.pan, math.Min(89.9, math.Max(-89.9, t+by.tilt))))
		}
		l.AimX, l.AimY, l.AimZ = setup.Fixed(toward.X), setup.Fixed(toward.Y), setup.Fixed(toward.Z)
		l.Pan, l.Tilt = setup.Range{}, setup.Range{}
	}
	changed := make([]bool, len(rows))
	changed[i] = true
	there, problems := s.rebuild(rows, changed)
	return there, len(problems) == 0
}
