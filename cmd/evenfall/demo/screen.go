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

	"evenfall/photometry/spatial"
)

// screenPlaces are where light and luminance of the cloth are read on the first day, and
// the place of the card.
const screenPlaces = "A1 A3 A5 A7 A9 C1 C3 C5 C7 C9 E1 E3 E5 E7 E9"

// The cloth has a seam at one place, which throws back less; the card is of middle gray.
const (
	seam, seamShare = "C7", 0.88
	cardAt, card    = "C5", 0.18
)

// clothSeen is the file of light and luminance on the cloth by its own lamps, the others
// off, read with the first day's meter once the lamps are warm.
func clothSeen(s *stage, walk settings) (File, error) {
	columns, rows := int(walk.number("columns")), int(walk.number("rows"))
	width, height := walk.number("width"), walk.number("height")
	random := rand.New(rand.NewPCG(uint64(walk.number("seed")), 5))
	read := func(level float64) string {
		return display(level * (1 + walk.number("repeatability")/100*random.NormFloat64()))
	}
	var b bytes.Buffer
	for _, key := range []string{"surface", "width", "height", "date", "repeatability"} {
		fmt.Fprintf(&b, "# %s: %s\n", key, walk[key])
	}
	out := csv.NewWriter(&b)
	out.Write([]string{"label", "x (m)", "y (m)", "E (lx)", "L (cd/m²)", "reflectance (%)", "note"})
	row := func(label string, reflectance float64, stated, note string) error {
		column, fromTop, ok := spatial.ParseGridLabel(label)
		if !ok {
			return fmt.Errorf("scene/survey.csv: %q is no place", label)
		}
		x, y := width*(float64(column)+0.5)/float64(columns), height*(float64(rows-1-fromTop)+0.5)/float64(rows)
		level := 0.0
		for _, name := range clothLamps {
			level += s.lights[name].level(r3.Vec{X: x, Y: y}, toCamera)
		}
		return out.Write([]string{label, meters(x), meters(y), read(level), read(level * reflectance / math.Pi), stated, note})
	}
	for label := range strings.FieldsSeq(screenPlaces) {
		reflectance, note := s.marks["green cloth"].Reflectance, ""
		if label == seam {
			reflectance, note = seamShare*reflectance, "on the seam"
		}
		if err := row(label, reflectance, "", note); err != nil {
			return File{}, err
		}
	}
	if err := row(cardAt, card, strconv.FormatFloat(100*card, 'g', -1, 64), "a gray card held at the cloth"); err != nil {
		return File{}, err
	}
	out.Flush()
	return File{"screen.csv", b.Bytes()}, out.Error()
}
