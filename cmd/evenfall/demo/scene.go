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
	"evenfall/photometry"
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

// light is a lamp ready to shine on the cloth: sources of one color.
type light struct {
	name    string
	sources []falloff.Source
	color   colorimetry.XY
}

// patches is how many parts a side a frame of diffusion is divided into.
const patches = 8

// lights turns a table of lamps into what reaches the cloth: open lamps, and
// frames lit from behind, whose lamps do not shine past them (spill 0: their
// doors are closed to the frame).
func lights(file string) ([]light, error) {
	content, err := scene.ReadFile("scene/" + file)
	if err != nil {
		return nil, err
	}
	rows, _, err := table.Read[lamp](bytes.NewReader(content), file)
	if err != nil {
		return nil, err
	}
	lamps := map[string]lamp{}
	hidden := map[string]bool{}
	for _, r := range rows {
		lamps[r.Value.Name] = r.Value
		hidden[r.Value.Behind] = true
	}
	var out []light
	for _, r := range rows {
		l := r.Value
		if hidden[l.Name] {
			continue
		}
		source := l
		if l.Kind == "frame" {
			source = lamps[l.Behind]
		}
		xy, err := colorimetry.CCT{Kelvin: source.CCT, Duv: source.Duv}.XY()
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", file, source.Name, err)
		}
		shining := light{name: l.Name, color: xy}
		if l.Kind == "frame" {
			shining.sources, err = frame(l, source)
		} else {
			shining.sources, err = open(l)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", file, l.Name, err)
		}
		out = append(out, shining)
	}
	return out, nil
}

// beam is a lamp's own light.
func beam(l lamp) (falloff.Beam, error) {
	return falloff.NewBeam(r3.Vec{X: l.X, Y: l.Y, Z: l.Z}, r3.Vec{X: l.AimX - l.X, Y: l.AimY - l.Y, Z: l.AimZ - l.Z}, l.Flux*l.Dimmer/100, l.Beam)
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
	center := r3.Vec{X: l.X, Y: l.Y, Z: l.Z}
	front := r3.Unit(r3.Sub(r3.Vec{X: l.AimX, Y: l.AimY, Z: l.AimZ}, center))
	across := r3.Unit(r3.Cross(r3.Vec{Y: 1}, front))
	up := r3.Cross(front, across)
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

// at is the level in lx and the color of all lights at a place on the cloth.
func at(lights []light, x, y float64) (colorimetry.Light, error) {
	parts := make([]colorimetry.Light, 0, len(lights))
	for _, l := range lights {
		sum := 0.0
		for _, s := range l.sources {
			sum += s.Illuminance(r3.Vec{X: x, Y: y}, r3.Vec{Z: 1})
		}
		if sum > 0 {
			parts = append(parts, colorimetry.Light{Level: sum, XY: l.color})
		}
	}
	return colorimetry.Mix(parts...)
}

// plan is one day's column of the survey table.
type plan map[string]string

func (p plan) number(key string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(p[key], " m"), " %")), 64)
	if err != nil {
		panic("demo: scene/survey.csv: " + key + ": " + err.Error())
	}
	return v
}

// figure prints a level as the meter shows it, three digits.
func figure(v float64) string { return photometry.FormatFigure(v) }
