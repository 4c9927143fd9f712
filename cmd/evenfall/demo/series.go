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
)

// series are the files of a distance series of the key frame and of a check of
// the meter, both on the first day's lamps.
func series() ([]File, error) {
	content, err := scene.ReadFile("scene/series.csv")
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		return nil, err
	}
	frame, meter := settings{}, settings{}
	for _, row := range rows[1:] {
		frame[row[0]], meter[row[0]] = row[1], row[2]
	}
	var out []File
	for _, part := range []struct {
		settings settings
		read     func(settings, light) ([][]string, error)
	}{{frame, alongAxis}, {meter, turned}} {
		on, err := lightOf("lamps.csv", part.settings["lamp"])
		if err != nil {
			return nil, err
		}
		rows, err := part.read(part.settings, on)
		if err != nil {
			return nil, err
		}
		var b bytes.Buffer
		for _, key := range []string{"surface", "lamp", "date"} {
			fmt.Fprintf(&b, "# %s: %s\n", strings.Replace(key, "surface", "title", 1), part.settings[key])
		}
		w := csv.NewWriter(&b)
		if err := w.WriteAll(rows); err != nil {
			return nil, err
		}
		out = append(out, File{part.settings["file"], b.Bytes()})
	}
	return out, nil
}

// lightOf finds a light of a lamp table.
func lightOf(file, name string) (light, error) {
	all, err := lights(file)
	if err != nil {
		return light{}, err
	}
	for _, l := range all {
		if l.name == name {
			return l, nil
		}
	}
	return light{}, fmt.Errorf("%s: no light %q", file, name)
}

// onAxis is the level in lx on the axis at a distance, facing the light.
func (l light) onAxis(meters float64) float64 {
	return l.level(r3.Add(l.at, r3.Scale(meters, l.along)), r3.Scale(-1, l.along))
}

// reader reads levels with the scatter of its meter.
func (p settings) reader() func(level float64) string {
	random := rand.New(rand.NewPCG(uint64(p.number("seed")), 1))
	scatter := p.number("repeatability") / 100
	return func(level float64) string {
		return display(level * (1 + scatter*random.NormFloat64()))
	}
}

// list are the numbers of a list.
func (p settings) list(key string) ([]float64, error) {
	var out []float64
	for _, text := range strings.Fields(p[key]) {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return nil, fmt.Errorf("scene/series.csv: %s: %w", key, err)
		}
		out = append(out, v)
	}
	return out, nil
}

// alongAxis are the rows of a distance series, away from the light.
func alongAxis(p settings, on light) ([][]string, error) {
	distances, err := p.list("distances")
	rows, read := [][]string{{"distance (m)", "E (lx)"}}, p.reader()
	for _, d := range distances {
		rows = append(rows, []string{plain(d), read(on.onAxis(d))})
	}
	return rows, err
}

// turned are the rows of a check of the meter at one place in front of a light:
// repeats, the meter turned to both sides, and neutral filters.
func turned(p settings, on light) ([][]string, error) {
	rows, read := [][]string{{"label", "angle (deg)", "ND", "E (lx)"}}, p.reader()
	facing := on.onAxis(p.number("at"))
	for range int(p.number("repeats")) {
		rows = append(rows, []string{"again", "", "", read(facing)})
	}
	angles, err := p.list("angles")
	if err != nil {
		return nil, err
	}
	for _, deg := range angles {
		off := (deg - p.number("tilt")) * math.Pi / 180
		rows = append(rows, []string{"turned", plain(deg), "", read(facing * math.Pow(math.Cos(off), p.number("cosine power")))})
	}
	densities, err := p.list("densities")
	for _, nd := range densities {
		rows = append(rows, []string{"filter", "", plain(nd), read(facing * math.Exp2(-nd/0.3))})
	}
	return rows, err
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
