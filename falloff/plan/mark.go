package plan

import (
	"errors"
	"fmt"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/parallel"
)

// Light is the level and color at one place.
type Light struct {
	Level float64 // lx, or lx·s of flash
	// Color is absent where no light comes, or where some lamp's color is not
	// known.
	Color *colorimetry.CCT
	// XYZ are the tristimulus values, zero without a color.
	XYZ colorimetry.XYZ
}

// At is the light at a place on a flat receptor that faces along normal, any
// length but zero.
func (s *Scene) At(at, normal r3.Vec) Light {
	sum := s.mixture(at, r3.Unit(normal), nil)
	out := Light{Level: sum.level}
	if s.colored {
		out.XYZ = sum.color
	}
	if out.XYZ.Y > 0 {
		if c, err := out.XYZ.XY().CCT(); err == nil {
			out.Color = &c
		}
	}
	return out
}

// mixture is a level and its tristimulus values.
type mixture struct {
	level float64
	color colorimetry.XYZ
}

// mixture is the light at a place. What each fixture gives of it is added to parts,
// where that is not nil.
func (s *Scene) mixture(at, normal r3.Vec, parts []float64) (m mixture) {
	for e, lux := range s.lights(at, normal, nil) {
		if parts != nil {
			parts[e.fixture] += lux
		}
		if lux > 0 {
			m.level += lux
			m.color = m.color.Add(e.unit.Scale(lux))
		}
	}
	return m
}

// Mark is a place where somebody will stand or something will lie, and the light
// there.
type Mark struct {
	Label string   `json:"label"`
	X     float64  `json:"x_m"`
	Y     float64  `json:"y_m"`
	Z     float64  `json:"z_m"`
	Level float64  `json:"level"`
	CCT   *float64 `json:"cct_k,omitempty"`
	Duv   *float64 `json:"duv,omitempty"`
	// Facing is where the receptor looks, a unit vector: [0, 0, 1] is toward the
	// camera, away from the surface.
	Facing [3]float64 `json:"facing"`
	// From is what each lamp, frame and bounce gives, in percent of the level.
	From []Share `json:"from"`
	// OffStops is how far the level is over a wanted one, under where negative;
	// absent where none was asked for or no light comes.
	OffStops *float64 `json:"off_level_stops,omitempty"`
	// Exposure is what the level exposes for, where the settings say enough.
	Exposure *photometry.CameraExposure `json:"exposure,omitempty"`
}

// Share is a fixture's part of the light at a place.
type Share struct {
	Lamp    string  `json:"lamp"`
	Percent float64 `json:"percent"`
}

// Mark fills in the light at a mark, whose label, place and facing are given. A
// zero facing is toward the camera.
func (s *Scene) Mark(m Mark) Mark {
	normal := facing(m)
	m.Facing = [3]float64{normal.X, normal.Y, normal.Z}
	at := r3.Vec{X: m.X, Y: m.Y, Z: m.Z}
	light := s.At(at, normal)
	m.Level = light.Level
	if light.Color != nil {
		m.CCT, m.Duv = &light.Color.Kelvin, &light.Color.Duv
	}
	m.From = s.namedShares(s.parts([]r3.Vec{at}, normal))
	return m
}

// facing is the normal of a mark's receptor; none is toward the camera.
func facing(m Mark) r3.Vec {
	normal := r3.Vec{X: m.Facing[0], Y: m.Facing[1], Z: m.Facing[2]}
	if r3.Norm(normal) == 0 {
		return toCamera
	}
	return r3.Unit(normal)
}

// parts is each fixture's share of the mean level at some places, 0 to 1 of all.
func (s *Scene) parts(places []r3.Vec, normal r3.Vec) []float64 {
	at := make([][]float64, len(places))
	parallel.Each(len(places), 4, func(i int) {
		at[i] = make([]float64, len(s.Fixtures))
		for e, lux := range s.lights(places[i], normal, nil) {
			at[i][e.fixture] += lux
		}
	})
	return s.summed(at)
}

// summed is the shares of the sums of what each fixture gives at several places.
func (s *Scene) summed(places [][]float64) []float64 {
	sum := make([]float64, len(s.Fixtures))
	for _, parts := range places {
		if parts != nil {
			floats.Add(sum, parts)
		}
	}
	if total := floats.Sum(sum); total > 0 {
		floats.Scale(1/total, sum)
	}
	return sum
}

// namedShares is parts in percent, those of some light in the order of the table.
func (s *Scene) namedShares(parts []float64) []Share {
	out := []Share{}
	for i, v := range parts {
		if v > 0 {
			out = append(out, Share{s.Fixtures[i].Name, 100 * v})
		}
	}
	return out
}

// Facing reads where a receptor looks: camera, surface, up, down, left, right,
// the name of a lamp, or a direction x,y,z.
func (s *Scene) Facing(text string, from r3.Vec, numbers func(string) ([]float64, error)) ([3]float64, error) {
	key := strings.ToLower(strings.TrimSpace(text))
	words := map[string][3]float64{
		"": {0, 0, 1}, "camera": {0, 0, 1}, "surface": {0, 0, -1}, "up": {0, 1, 0}, "down": {0, -1, 0}, "left": {-1, 0, 0}, "right": {1, 0, 0},
	}
	if v, ok := words[key]; ok {
		return v, nil
	}
	for i := range s.Fixtures {
		if strings.EqualFold(s.Fixtures[i].Name, strings.TrimSpace(text)) {
			v := r3.Sub(s.Fixtures[i].At, from)
			if r3.Norm(v) == 0 {
				return [3]float64{}, errors.New("the mark stands where that lamp does")
			}
			v = r3.Unit(v)
			return [3]float64{v.X, v.Y, v.Z}, nil
		}
	}
	v, err := numbers(text)
	if err != nil || len(v) != 3 || v[0] == 0 && v[1] == 0 && v[2] == 0 {
		return [3]float64{}, fmt.Errorf("found %q, expected camera, surface, up, down, left, right, the name of a lamp, or a direction such as 0,0.3,1", text)
	}
	return [3]float64{v[0], v[1], v[2]}, nil
}
