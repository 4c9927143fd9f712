// Package demo is an invented set-up to try everything on: a small puppet
// theatre films its series in front of a green cloth lit by two lamps, with a
// key light through a frame of diffusion for the puppets. The scene is fixed as
// tables of lamps and of walks over the cloth; the readings are computed from
// them with a seeded scatter like a meter's, so that a plan can explain them.
package demo

import (
	"bytes"
	"embed"
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/table"
)

//go:embed scene/*.csv
var scene embed.FS

// lamp is a row of the lamp tables, as far as the readings depend on it.
type lamp struct {
	Name         string  `csv:"name"`
	Kind         string  `csv:"kind"`
	X            float64 `csv:"x" unit:"m"`
	Y            float64 `csv:"y" unit:"m"`
	Z            float64 `csv:"z" unit:"m"`
	AimX         float64 `csv:"aim x" unit:"m"`
	AimY         float64 `csv:"aim y" unit:"m"`
	AimZ         float64 `csv:"aim z" unit:"m"`
	Flux         float64 `csv:"flux" unit:"lm"`
	Beam         float64 `csv:"beam" unit:"deg"`
	Width        float64 `csv:"source width" unit:"m"`
	Height       float64 `csv:"source height" unit:"m"`
	Behind       string  `csv:"behind"`
	Transmission float64 `csv:"transmission" unit:"%"`
	Dimmer       float64 `csv:"dimmer" unit:"%"`
	CCT          float64 `csv:"CCT" unit:"K"`
	Duv          float64 `csv:"Duv"`
	Gel          string  `csv:"gel"`
	Note         string  `csv:"note"`
}

// light is a lamp ready to shine: sources of one color, where they are and where
// they aim, and the flags of the table in front of them.
type light struct {
	name      string
	sources   []falloff.Source
	color     colorimetry.XY
	at, along r3.Vec // along is of length one
	flags     []flag
}

// patches is how many parts a side a frame of diffusion is divided into.
const patches = 8

// lights turns a table of lamps into what shines: open lamps, panels, and frames
// lit from behind, whose lamps do not shine past them (spill 0: their doors are
// closed to the frame). All are past the table's flags.
func lights(file string) ([]light, error) {
	content, err := scene.ReadFile("scene/" + file)
	if err != nil {
		return nil, err
	}
	typed, err := table.ReadTyped[lamp](bytes.NewReader(content), file)
	if err != nil {
		return nil, err
	}
	lamps := map[string]lamp{}
	hidden := map[string]bool{}
	var flags []flag
	for _, r := range typed.Rows {
		lamps[r.Value.Name] = r.Value
		hidden[r.Value.Behind] = true
		if r.Value.Kind == "flag" {
			flags = append(flags, flagOf(r.Value))
		}
	}
	var out []light
	for _, r := range typed.Rows {
		l := r.Value
		if hidden[l.Name] || l.Kind == "flag" {
			continue
		}
		shining, err := l.light(lamps[l.Behind])
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", file, l.Name, err)
		}
		shining.flags = flags
		out = append(out, shining)
	}
	return out, nil
}

// light is the output of a row; of a frame, that of the lamp behind it.
func (l lamp) light(behind lamp) (light, error) {
	out := light{name: l.Name, at: l.place(), along: r3.Unit(r3.Sub(l.aim(), l.place()))}
	colored, err := l, error(nil)
	switch l.Kind {
	case "frame":
		colored = behind
		out.sources, err = frame(l, behind)
	case "panel":
		out.sources, err = panel(l)
	default:
		out.sources, err = open(l)
	}
	if err != nil {
		return light{}, err
	}
	out.color, err = colorimetry.CCT{Kelvin: colored.CCT, Duv: colored.Duv}.XY()
	return out, err
}

func (l lamp) place() r3.Vec { return r3.Vec{X: l.X, Y: l.Y, Z: l.Z} }

func (l lamp) aim() r3.Vec { return r3.Vec{X: l.AimX, Y: l.AimY, Z: l.AimZ} }

// beam is a lamp's own light.
func beam(l lamp) (falloff.Beam, error) {
	return falloff.NewBeam(l.place(), r3.Sub(l.aim(), l.place()), l.Flux*l.Dimmer/100, l.Beam)
}

func open(l lamp) ([]falloff.Source, error) {
	b, err := beam(l)
	return []falloff.Source{b}, err
}

// frame is a sheet of full diffusion as Lambertian patches, each as bright as
// what it receives from the lamp behind it and lets through.
func frame(l, behind lamp) ([]falloff.Source, error) {
	b, err := beam(behind)
	if err != nil {
		return nil, err
	}
	center := l.place()
	across, up, front := l.axes()
	w, h := l.Width/patches, l.Height/patches
	var out []falloff.Source
	for i := range patches {
		for j := range patches {
			at := r3.Add(center, r3.Add(r3.Scale((float64(i)+0.5)*w-l.Width/2, across), r3.Scale((float64(j)+0.5)*h-l.Height/2, up)))
			received := b.Illuminance(at, r3.Scale(-1, front))
			patch, err := falloff.Rectangle(at, front, up, w, h, received*l.Transmission/100*l.Dimmer/100/math.Pi)
			if err != nil {
				return nil, err
			}
			out = append(out, patch)
		}
	}
	return out, nil
}

// panel is a soft face, equally bright all over and from all sides.
func panel(l lamp) ([]falloff.Source, error) {
	_, up, front := l.axes()
	face, err := falloff.Rectangle(l.place(), front, up, l.Width, l.Height, l.Flux*l.Dimmer/100/(math.Pi*l.Width*l.Height))
	return []falloff.Source{face}, err
}

// axes are the directions of a face, of length one.
func (l lamp) axes() (across, up, front r3.Vec) {
	front = r3.Unit(r3.Sub(l.aim(), l.place()))
	across = r3.Unit(r3.Cross(r3.Vec{Y: 1}, front))
	return across, r3.Cross(front, across), front
}

// flag is a black rectangle.
type flag struct {
	at, across, up, front r3.Vec
	width, height         float64
}

func flagOf(l lamp) flag {
	across, up, front := l.axes()
	return flag{l.place(), across, up, front, l.Width, l.Height}
}

// blocks reports whether the flag is between two places.
func (f flag) blocks(from, to r3.Vec) bool {
	a, b := r3.Dot(f.front, r3.Sub(from, f.at)), r3.Dot(f.front, r3.Sub(to, f.at))
	if a*b >= 0 {
		return false
	}
	hit := r3.Sub(r3.Add(from, r3.Scale(a/(a-b), r3.Sub(to, from))), f.at)
	return math.Abs(r3.Dot(f.across, hit)) <= f.width/2 && math.Abs(r3.Dot(f.up, hit)) <= f.height/2
}

// level is the illuminance at a place toward a unit normal, in lx. The
// scene's flags hide a light whole or not at all.
func (l light) level(at, normal r3.Vec) float64 {
	for _, f := range l.flags {
		if f.blocks(l.at, at) {
			return 0
		}
	}
	sum := 0.0
	for _, s := range l.sources {
		sum += s.Illuminance(at, normal)
	}
	return sum
}

// at is the level in lx and the color of lights at a place toward a unit normal.
func at(lights []light, place, normal r3.Vec) (colorimetry.Light, error) {
	parts := make([]colorimetry.Light, 0, len(lights))
	for _, l := range lights {
		if level := l.level(place, normal); level > 0 {
			parts = append(parts, colorimetry.Light{Level: level, XY: l.color})
		}
	}
	return colorimetry.Mix(parts...)
}

// toCamera is how a flat receptor faces on the cloth and, as a rule, at a mark.
var toCamera = r3.Vec{Z: 1}

// settings are one day's column of the survey table, or a file's of the table of
// series.
type settings map[string]string

func (p settings) number(key string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(p[key], " m"), " %")), 64)
	if err != nil {
		panic("demo: scene/survey.csv: " + key + ": " + err.Error())
	}
	return v
}

// display prints a level as the meter shows it: whole from 100 on, with one
// decimal below.
func display(level float64) string {
	if level < 99.95 {
		return strconv.FormatFloat(level, 'f', 1, 64)
	}
	return strconv.FormatFloat(level, 'f', 0, 64)
}
