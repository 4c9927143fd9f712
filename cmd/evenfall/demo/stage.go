package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/table"
)

// mark is a row of the table of places: where a puppet stands or the scenery
// hangs, or how much of its light a surface throws back.
type mark struct {
	Name        string  `csv:"mark"`
	X           float64 `csv:"x" unit:"m"`
	Y           float64 `csv:"y" unit:"m"`
	Z           float64 `csv:"z" unit:"m"`
	Reflectance float64 `csv:"reflectance"`
	Note        string  `csv:"note"`
}

func (m mark) place() r3.Vec { return r3.Vec{X: m.X, Y: m.Y, Z: m.Z} }

// stageReading is a row of the table of readings on the puppets: what is read,
// which is then filled in. It faces the camera, the lamp that is read, the key, or
// the screen.
type stageReading struct {
	Mark string `csv:"mark"`
	Role string `csv:"role"`
	Lamp string `csv:"lamp"`
	Aim  string `csv:"aim"`
	Note string `csv:"note"`
}

// stage is the light on the puppets, by the first day's lamps.
type stage struct {
	all    []light
	lights map[string]light
	marks  map[string]mark
	cloth  []falloff.Source // as it throws back its own lamps' light
	meter  settings
	random *rand.Rand
}

// clothLamps are the lamps that stay on where spill is read.
var clothLamps = []string{"cloth left", "cloth right"}

// ratios is the file of the lights on the puppets, read with the first day's
// meter once the lamps are warm.
func ratios(walk settings) (File, error) {
	const name = "ratio.csv"
	content, err := scene.ReadFile("scene/" + name)
	if err != nil {
		return File{}, err
	}
	typed, err := table.ReadTyped[stageReading](bytes.NewReader(content), name)
	if err != nil {
		return File{}, err
	}
	s, err := newStage(walk)
	if err != nil {
		return File{}, err
	}
	var b bytes.Buffer
	for line := range strings.Lines(string(content)) {
		if strings.HasPrefix(line, "#") {
			b.WriteString(line)
		}
	}
	out := csv.NewWriter(&b)
	out.Write([]string{"mark", "role", "lamp", "E (lx)", "L (cd/m²)", "aim", "CCT (K)", "Duv", "distance (m)", "to screen (m)", "x (m)", "y (m)", "note"})
	for _, r := range typed.Rows {
		cells, err := s.read(r.Value)
		if err != nil {
			return File{}, fmt.Errorf("scene/%s: %s, %s: %w", name, r.Value.Mark, r.Value.Role, err)
		}
		out.Write(cells)
	}
	out.Flush()
	return File{name, b.Bytes()}, out.Error()
}

func newStage(walk settings) (*stage, error) {
	all, err := lights("lamps.csv")
	if err != nil {
		return nil, err
	}
	content, err := scene.ReadFile("scene/marks.csv")
	if err != nil {
		return nil, err
	}
	typed, err := table.ReadTyped[mark](bytes.NewReader(content), "scene/marks.csv")
	if err != nil {
		return nil, err
	}
	s := &stage{all: all, lights: map[string]light{}, marks: map[string]mark{}, meter: walk, random: rand.New(rand.NewPCG(uint64(walk.number("seed")), 3))}
	for _, l := range all {
		s.lights[l.name] = l
	}
	for _, r := range typed.Rows {
		s.marks[r.Value.Name] = r.Value
	}
	return s, s.layCloth(walk.number("width"), walk.number("height"))
}

// layCloth makes the cloth a source: Lambertian squares of a decimeter and a
// half or so, each as bright as what it throws back.
func (s *stage) layCloth(width, height float64) error {
	const columns, rows = 32, 16
	w, h := width/columns, height/rows
	for i := range columns {
		for j := range rows {
			place := r3.Vec{X: (float64(i) + 0.5) * w, Y: (float64(j) + 0.5) * h}
			received := 0.0
			for _, name := range clothLamps {
				received += s.lights[name].level(place, toCamera)
			}
			patch, err := falloff.Rectangle(place, toCamera, r3.Vec{Y: 1}, w, h, received*s.marks["green cloth"].Reflectance/math.Pi)
			if err != nil {
				return err
			}
			s.cloth = append(s.cloth, patch)
		}
	}
	return nil
}

// read fills in the cells of a reading.
func (s *stage) read(r stageReading) ([]string, error) {
	m, ok := s.marks[r.Mark]
	if !ok {
		return nil, fmt.Errorf("no such place in marks.csv")
	}
	var on []light
	cells := map[string]string{"note": r.Note}
	place, normal := m.place(), toCamera
	switch {
	case r.Lamp != "":
		l := s.lights[r.Lamp]
		on = []light{l}
		cells["distance"] = strconv.FormatFloat(r3.Norm(r3.Sub(l.at, place)), 'f', 2, 64)
		if r.Aim == "lamp" {
			normal = r3.Unit(r3.Sub(l.at, place))
		}
		if r.Role == "key" {
			cells["note"] = fmt.Sprintf("mark at %g,%g,%g", m.X, m.Y, m.Z)
		}
	case r.Role == "key+fill":
		on = []light{s.lights["key frame"], s.lights["fill panel"]}
		if r.Aim == "key" {
			normal = r3.Unit(r3.Sub(on[0].at, place))
		}
	case r.Role == "background":
		place = s.marks["painted moon"].place()
		on = s.all
	case r.Role == "screen":
		place.Z = 0
		on = s.all
	case r.Role == "spill":
		normal = r3.Scale(-1, toCamera)
		for _, name := range clothLamps {
			on = append(on, s.lights[name])
		}
	}
	level := 0.0
	for _, l := range on {
		level += l.level(place, normal)
	}
	if r.Role == "spill" {
		for _, patch := range s.cloth {
			level += patch.Illuminance(place, normal)
		}
	}
	if r.Role == "spill" {
		cells["to screen"], cells["x"], cells["y"] = plain(m.Z), plain(m.X), plain(m.Y)
	}
	level, kelvin, duv, err := s.meter.shown(colorimetry.Light{Level: level, XY: on[0].color}, s.random)
	if err != nil {
		return nil, err
	}
	if r.Role == "background" {
		cells["L"] = display(level * s.marks["painted moon"].Reflectance / math.Pi)
	} else {
		cells["E"] = display(level)
	}
	if r.Lamp != "" {
		cells["CCT"], cells["Duv"] = kelvin, duv
	}
	return []string{r.Mark, r.Role, r.Lamp, cells["E"], cells["L"], r.Aim, cells["CCT"], cells["Duv"], cells["distance"], cells["to screen"], cells["x"], cells["y"], cells["note"]}, nil
}
