package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
)

// The meter of the second day: the standard deviation of a reading as a share, and the
// seed of its scatter.
const scatter, seed = 0.012, 20260305

// closeShot begins the sheet of a close shot of the cloth.
const closeShot = `# surface: close shot of the green cloth
# for: screen
# width: 2.6 m
# height: 1.4 m
# grid: edges
# iso: 800
# shutter: 1/50 s
label,E (lx)
`

// Nine is the sheet of a close shot on the second day: nine readings at its corners, the
// middles of its edges and its middle, in lx, once lamps are off by as many stops as off
// says by their names. close-shot.csv has what each lamp gives there.
func Nine(name string, off map[string]float64) (File, error) {
	content, err := scene.ReadFile("scene/close-shot.csv")
	if err != nil {
		return File{}, err
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		return File{}, err
	}
	random := rand.New(rand.NewPCG(seed, uint64(4+len(off))))
	b := bytes.NewBufferString(closeShot)
	for _, row := range rows[1:] {
		level := 0.0
		for i, cell := range row[1:] {
			alone, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				return File{}, err
			}
			level += alone * math.Exp2(-off[rows[0][1+i]])
		}
		fmt.Fprintf(b, "%s,%.0f\n", row[0], level*(1+scatter*random.NormFloat64()))
	}
	return File{name, b.Bytes()}, nil
}
