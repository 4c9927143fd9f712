package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/table"
)

// dial is a row of the table of dimmers: the settings at which a lamp is read, those at
// which it flickers, its law (the level is the dial's share to a power), and by how many
// mired its color cools with each stop up, which is negative where it warms.
type dial struct {
	Lamp     string  `csv:"lamp"`
	Settings string  `csv:"settings"`
	Power    float64 `csv:"power"`
	Cooler   float64 `csv:"cooler"`
	Flicker  string  `csv:"flicker"`
}

// readAt is how far in front of a lamp its dimmer is read, in meters.
const readAt = 2.5

// share is the lamp's light at a setting in percent, as a share of its light at full.
func (d dial) share(percent float64) float64 { return math.Pow(percent/100, d.Power) }

// mired is the color at a setting against that at full.
func (d dial) mired(percent float64) float64 { return d.Cooler * math.Log2(d.share(percent)) }

// dials are the laws of the scene's dimmers.
func dials() (notes string, all []dial, err error) {
	content, err := scene.ReadFile("scene/dimmers.csv")
	if err != nil {
		return "", nil, err
	}
	typed, err := table.ReadTyped[dial](bytes.NewReader(content), "scene/dimmers.csv")
	if err != nil {
		return "", nil, err
	}
	for _, r := range typed.Rows {
		all = append(all, r.Value)
	}
	for line := range strings.Lines(string(content)) {
		if strings.HasPrefix(line, "#") {
			notes += line
		}
	}
	return notes, all, nil
}

// dimmers is the file of the first day's lamps over their own dimmers, by the same meter
// in front of each lamp.
func dimmers(walk settings) (File, error) {
	notes, all, err := dials()
	if err != nil {
		return File{}, err
	}
	random := rand.New(rand.NewPCG(uint64(walk.number("seed")), 4))
	b := bytes.NewBufferString(notes)
	out := csv.NewWriter(b)
	out.Write([]string{"lamp", "dimmer (%)", "E (lx)", "CCT (K)", "Duv", "flicker"})
	for _, d := range all {
		on, err := lightOf("lamps.csv", d.Lamp)
		if err != nil {
			return File{}, err
		}
		color, err := on.color.CCT()
		if err != nil {
			return File{}, err
		}
		for setting := range strings.FieldsSeq(d.Settings) {
			percent, err := strconv.ParseFloat(setting, 64)
			if err != nil {
				return File{}, fmt.Errorf("scene/dimmers.csv: %s: %w", d.Lamp, err)
			}
			xy, err := colorimetry.CCT{Kelvin: 1e6 / (color.Mired() + d.mired(percent)), Duv: color.Duv}.XY()
			if err != nil {
				return File{}, err
			}
			level, kelvin, duv, err := walk.shown(colorimetry.Light{Level: on.onAxis(readAt) * d.share(percent), XY: xy}, random)
			if err != nil {
				return File{}, err
			}
			flicker := "no"
			if slices.Contains(strings.Fields(d.Flicker), setting) {
				flicker = "yes"
			}
			out.Write([]string{d.Lamp, setting, display(level), kelvin, duv, flicker})
		}
	}
	out.Flush()
	return File{"dimmers.csv", b.Bytes()}, out.Error()
}
