package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/spatial"
)

// referenceEvery is after how many places the reference is read again.
const referenceEvery = 10

// days reads the table of walks.
func days() ([]settings, error) {
	content, err := scene.ReadFile("scene/survey.csv")
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		return nil, err
	}
	out := []settings{{}, {}}
	for _, row := range rows[1:] {
		for day := range out {
			out[day][row[0]] = row[1+day]
		}
	}
	return out, nil
}

// walkOver is the file of a walk over the cloth: every place in serpentine order and
// the reference again and again, read from the lights with the scatter of a
// meter, a slow warming up of the lamps and one data-entry error.
func walkOver(lights []light, p settings) ([]byte, error) {
	columns, rows := int(p.number("columns")), int(p.number("rows"))
	width, height := p.number("width"), p.number("height")
	clock, err := time.Parse("15:04", p["start"])
	if err != nil {
		return nil, err
	}
	random := rand.New(rand.NewPCG(uint64(p.number("seed")), 1))
	var places []string
	for i, label := range spatial.Walk(columns, rows) {
		if i%referenceEvery == 0 {
			places = append(places, p["reference"])
		}
		places = append(places, label)
	}
	places = append(places, p["reference"])

	var b bytes.Buffer
	for _, key := range []string{"surface", "for", "width", "height", "area", "reference", "iso", "shutter", "receptor", "date"} {
		fmt.Fprintf(&b, "# %s: %s\n", key, p[key])
	}
	out := csv.NewWriter(&b)
	out.Write([]string{"label", "x (m)", "y (m)", "time", "E (lx)", "CCT (K)", "Duv"})
	for i, label := range places {
		column, fromTop, ok := spatial.ParseGridLabel(label)
		if !ok {
			return nil, fmt.Errorf("scene/survey.csv: %q is no place", label)
		}
		x := width * (float64(column) + 0.5) / float64(columns)
		y := height * (float64(rows-1-fromTop) + 0.5) / float64(rows)
		light, err := at(lights, r3.Vec{X: x, Y: y}, toCamera)
		if err != nil {
			return nil, err
		}
		minutes := float64(i) * p.number("seconds") / 60
		light.Level *= math.Exp2(p.number("warm") + p.number("drift")*minutes)
		level, kelvin, duv, err := p.shown(light, random)
		if err != nil {
			return nil, err
		}
		shown := display(level)
		if label == p["slip"] {
			shown = display(photometry.Footcandles(level))
		}
		when := clock.Add(time.Duration(minutes * float64(time.Minute)))
		out.Write([]string{label, meters(x), meters(y), when.Format("15:04:05"), shown, kelvin, duv})
	}
	out.Flush()
	return b.Bytes(), out.Error()
}

// leastLevel is the least level in lx that the meter shows.
const leastLevel = 0.1

// walkAlone is the file of readings of each lamp alone at a few places, by the
// same meter after the walk, when the lamps are warm. A lamp that gives the cloth
// nothing is left out.
func walkAlone(lights []light, p settings) ([]byte, error) {
	columns, rows := int(p.number("columns")), int(p.number("rows"))
	width, height := p.number("width"), p.number("height")
	random := rand.New(rand.NewPCG(uint64(p.number("seed")), 2))
	var b bytes.Buffer
	for _, key := range []string{"width", "height", "date"} {
		fmt.Fprintf(&b, "# %s: %s\n", key, p[key])
	}
	out := csv.NewWriter(&b)
	out.Write([]string{"lamp", "label", "x (m)", "y (m)", "E (lx)", "CCT (K)", "Duv"})
	for _, l := range lights {
		for label := range strings.FieldsSeq(p["alone"]) {
			column, fromTop, ok := spatial.ParseGridLabel(label)
			if !ok {
				return nil, fmt.Errorf("scene/survey.csv: %q is no place", label)
			}
			x := width * (float64(column) + 0.5) / float64(columns)
			y := height * (float64(rows-1-fromTop) + 0.5) / float64(rows)
			alone := colorimetry.Light{Level: l.level(r3.Vec{X: x, Y: y}, toCamera), XY: l.color}
			if alone.Level < leastLevel {
				continue
			}
			level, kelvin, duv, err := p.shown(alone, random)
			if err != nil {
				return nil, err
			}
			out.Write([]string{l.name, label, meters(x), meters(y), display(level), kelvin, duv})
		}
	}
	out.Flush()
	return b.Bytes(), out.Error()
}

// shown is what the meter shows of a light: its level in lx and its color as
// text.
func (p settings) shown(light colorimetry.Light, random *rand.Rand) (level float64, kelvin, duv string, err error) {
	level = light.Level * (1 + p.number("repeatability")/100*random.NormFloat64())
	color, err := light.XY.CCT()
	if err != nil {
		return 0, "", "", err
	}
	k := color.Kelvin + p.number("kelvin scatter")*random.NormFloat64()
	d := color.Duv + p.number("Duv scatter")*random.NormFloat64()
	return level, strconv.FormatFloat(math.Round(k/10)*10, 'f', 0, 64), strings.TrimPrefix(fmt.Sprintf("%+.4f", d), "+"), nil
}

// meters prints a position to the millimeter.
func meters(v float64) string { return strconv.FormatFloat(v, 'f', 3, 64) }
