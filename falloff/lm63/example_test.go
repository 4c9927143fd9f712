package lm63_test

import (
	"errors"
	"fmt"
	"strings"
	"testing/fstest"

	"evenfall/falloff/lm63"

	"gonum.org/v1/gonum/spatial/r3"
)

// A small spot, rotationally symmetric, absolute photometry.
const spot = `IESNA:LM-63-2002
[TEST] invented
TILT=NONE
1 -1 1 7 1 1 2 -0.1 -0.1 0
1 1 150
0 5 10 15 20 30 90
0
12000 11000 8000 4500 2000 400 0
`

// Read a file, then ask for what a plan needs.
func ExampleRead() {
	d, err := lm63.Read(strings.NewReader(spot), "spot.ies", lm63.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	beam, _ := d.Beam().Mean()
	field, _ := d.Width(0.1).Mean()
	fmt.Printf("type %s of %d, symmetry %s\n", d.Type, d.Generation, d.Symmetry)
	fmt.Printf("%.0f cd at the peak, %.0f lm, %.0f W\n", d.Intensity(r3.Vec{Z: 1}), d.Flux(), d.InputWatts)
	fmt.Printf("beam %.1f°, field %.1f°\n", beam, field)
	fmt.Printf("%s, %.1f m across\n", d.Opening.Shape, d.Opening.XM)
	// Output:
	// type C of 2002, symmetry axial
	// 12000 cd at the peak, 3702 lm, 150 W
	// beam 25.7°, field 50.0°
	// disc, 0.1 m across
}

// Illuminance 3 m away on the axis, and half a meter beside it.
func ExampleDistribution_Intensity() {
	d, _ := lm63.Read(strings.NewReader(spot), "spot.ies", lm63.Options{})
	for _, at := range []r3.Vec{{Z: 3}, {X: 0.5, Z: 3}} {
		// The inverse square and the cosine of a receiver that faces the lamp's plane.
		e := d.Intensity(at) / r3.Norm2(at) * at.Z / r3.Norm(at)
		fmt.Printf("%.0f lx\n", e)
	}
	// Output:
	// 1333 lx
	// 887 lx
}

// An error names the place and says what could stand there.
func ExampleRead_error() {
	broken := strings.Replace(spot, "10 15 20", "10 5 20", 1)
	_, err := lm63.Read(strings.NewReader(broken), "spot.ies", lm63.Options{})
	fmt.Println(err)
	var one *lm63.Error
	fmt.Println(errors.As(err, &one), one.Line, one.Column)
	// Output:
	// spot.ies:6:8: found "5", expected a vertical angle above 10, as they ascend
	// true 6 8
}

// The tilt factors of a lamp, in a separate file.
func ExampleTilt() {
	folder := fstest.MapFS{"lamp.tlt": {Data: []byte("1\n3\n0 45 90\n1 0.94 0.88\n")}}
	tilted := strings.Replace(spot, "NONE", "lamp.tlt", 1)
	d, err := lm63.Read(strings.NewReader(tilted), "spot.ies", lm63.Options{Files: folder})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Tilt.AngleDeg, d.Tilt.Factor)
	// Output: [0 45 90] [1 0.94 0.88]
}

// The angles of the three types for one direction.
func ExampleType_AnglesOf() {
	d := lm63.TypeB.Direction(lm63.Angles{HorizontalDeg: 30, VerticalDeg: 40})
	fmt.Printf("(%.6f, %.6f, %.6f)\n", d.X, d.Y, d.Z)
	for _, t := range []lm63.Type{lm63.TypeA, lm63.TypeB, lm63.TypeC} {
		a := t.AnglesOf(d)
		fmt.Printf("%s: H %.2f°, V %.2f°\n", t, a.HorizontalDeg, a.VerticalDeg)
	}
	// Output:
	// (0.500000, 0.556670, 0.663414)
	// A: H 37.00°, V 33.83°
	// B: H 30.00°, V 40.00°
	// C: H 48.07°, V 48.44°
}

// A street-like pattern has a width of its own in each main plane.
func ExampleDistribution_Width() {
	const wide = `TILT=NONE
1 -1 1 3 2 1 2 0 0 0
1 1 0
0 40 80
0 90
900 900 0
900 300 0
`
	d, _ := lm63.Read(strings.NewReader(wide), "wide.ies", lm63.Options{})
	beam := d.Beam()
	fmt.Printf("%.0f° by %.0f°\n", *beam.XDeg, *beam.YDeg)
	// Output: 120° by 60°
}
