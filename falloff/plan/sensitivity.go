package plan

import (
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
	// Off is how far, 10 cm (4 in where lengths are in feet) or 5°, and Direction which way is worst.
	Off       string `json:"off"`
	Direction string `json:"direction"`
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

// offsets are the ways in which a stand can be off.
var offsets = []struct {
	off, words string
	move       r3.Vec
	pan, tilt  float64
}{
	{"10 cm", "to camera right", r3.Vec{X: offMeters}, 0, 0},
	{"10 cm", "to camera left", r3.Vec{X: -offMeters}, 0, 0},
	{"10 cm", "up", r3.Vec{Y: offMeters}, 0, 0},
	{"10 cm", "down", r3.Vec{Y: -offMeters}, 0, 0},
	{"10 cm", "from the surface", r3.Vec{Z: offMeters}, 0, 0},
	{"10 cm", "to the surface", r3.Vec{Z: -offMeters}, 0, 0},
	{"5°", "panned right", r3.Vec{}, offDegrees, 0},
	{"5°", "panned left", r3.Vec{}, -offDegrees, 0},
	{"5°", "tilted up", r3.Vec{}, 0, offDegrees},
	{"5°", "tilted down", r3.Vec{}, 0, -offDegrees},
}

// Sensitivity places each stand 10 cm off, its aim kept, and turns each lamp by
// 5°, and tells what that does to a surface: two entries a row of the table,
// one for a bare bulb.
func (s *Scene) Sensitivity(on Surface) ([]Sensitivity, error) {
	o, err := newObjective(s, on, 0)
	if err != nil {
		return nil, err
	}
	for i := range o.fixed {
		o.fixed[i] = 0
	}
	for i := range o.moving {
		o.moving[i] = true // every lamp is moved in its turn
	}
	base, baseMean := o.spread(s)
	out := []Sensitivity{}
	if math.IsInf(base, 1) {
		return out, nil
	}
	for i := range s.rows {
		for _, off := range []string{"10 cm", "5°"} {
			worst := Sensitivity{Lamp: s.rows[i].Name, Off: off}
			if off == "10 cm" {
				worst.Off = s.shortText(offMeters)
			}
			found := false
			for _, x := range offsets {
				if x.off != off {
					continue
				}
				there := s.shifted(i, x.move, x.pan, x.tilt)
				if there == nil {
					continue
				}
				stops, mean := o.spread(there)
				if math.IsInf(stops, 1) {
					continue
				}
				level := photometry.Stops(mean, baseMean)
				if !found || stops > worst.SpreadStops {
					worst.SpreadStops, worst.ChangeStops, worst.Direction = stops, stops-base, x.words
				}
				if !found || math.Abs(level) > math.Abs(worst.LevelStops) {
					worst.LevelStops = level
				}
				found = true
			}
			if found {
				out = append(out, worst)
			}
		}
	}
	return out, nil
}

// shifted is the scene with one stand moved, its aim point kept, and turned; nil
// where that cannot be.
func (s *Scene) shifted(i int, move r3.Vec, pan, tilt float64) *Scene {
	f := &s.Fixtures[i]
	if !f.Aimed && (pan != 0 || tilt != 0) {
		return nil
	}
	rows := slices.Clone(s.rows)
	l := &rows[i]
	at := r3.Add(f.At, move)
	l.X, l.Y, l.Z, l.StandHeight = setup.Fixed(at.X), setup.Fixed(at.Y), setup.Fixed(at.Z), setup.Range{}
	if f.Aimed {
		// The aim point, or one as far as the surface for a lamp set by angles.
		toward := r3.Vec{X: s.rows[i].AimX.At, Y: s.rows[i].AimY.At, Z: s.rows[i].AimZ.At}
		if byAngle := !s.rows[i].AimX.Set || free(s.rows[i].Pan, s.rows[i].Tilt); byAngle || pan != 0 || tilt != 0 {
			p, t := panTilt(f.Aim)
			toward = r3.Add(at, direction(p+pan, math.Min(89.9, math.Max(-89.9, t+tilt))))
		}
		l.AimX, l.AimY, l.AimZ = setup.Fixed(toward.X), setup.Fixed(toward.Y), setup.Fixed(toward.Z)
		l.Pan, l.Tilt = setup.Range{}, setup.Range{}
	}
	changed := make([]bool, len(rows))
	changed[i] = true
	there, problems := s.rebuild(rows, changed)
	if len(problems) > 0 {
		return nil
	}
	return there
}
