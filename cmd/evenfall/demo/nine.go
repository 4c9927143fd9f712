package demo

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/spatial"
)

// The close shot of the cloth, in meters from its lower left corner.
const (
	closeX, closeY          = 1.1, 0.6
	closeWidth, closeHeight = 2.6, 1.4
)

// Nine is the sheet of a close shot on the second day: nine readings at its corners, the
// middles of its edges and its middle, in lx, once lamps are off by as many stops as off
// says by their names.
func Nine(name string, off map[string]float64) (File, error) {
	walks, err := days()
	if err != nil {
		return File{}, err
	}
	shining, err := lights("lamps-day2.csv")
	if err != nil {
		return File{}, err
	}
	walk := walks[1]
	random := rand.New(rand.NewPCG(uint64(walk.number("seed")), uint64(4+len(off))))
	var b bytes.Buffer
	fmt.Fprintf(&b, "# surface: close shot of the green cloth\n# for: %s\n# width: %g m\n# height: %g m\n# grid: edges\n# iso: %s\n# shutter: %s\nlabel,E (lx)\n",
		walk["for"], closeWidth, closeHeight, walk["iso"], walk["shutter"])
	for i, label := range spatial.Walk(3, 3) {
		column, fromTop, ok := spatial.ParseGridLabel(label)
		if !ok {
			return File{}, fmt.Errorf("place %d, %q, is no place", i, label)
		}
		at := r3.Vec{X: closeX + closeWidth*float64(column)/2, Y: closeY + closeHeight*float64(2-fromTop)/2}
		level := 0.0
		for _, l := range shining {
			level += l.level(at, toCamera) * math.Exp2(-off[l.name])
		}
		level *= 1 + walk.number("repeatability")/100*random.NormFloat64()
		fmt.Fprintf(&b, "%s,%s\n", label, display(level))
	}
	return File{name, b.Bytes()}, nil
}
