package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// writtenLevel is a level as a display shows it in a unit, to so many digits and at most
// so many decimals.
func writtenLevel(lx float64, unit photometry.Unit, digits, decimals int) string {
	scale, _ := unit.Scale()
	v := lx / scale
	return fmt.Sprintf("%.*f", max(0, min(decimals, digits-1-int(math.Floor(math.Log10(v))))), v)
}

// ofCopies are surveys of 5 to 45 places that were read twice, in lux and in
// footcandles, and others of which the second file is the first one converted.
func ofCopies() []simulation {
	const honest, missed = "walks in two units taken for copies", "a copy in another unit counted as repeats"
	of := func(generator, claim string, rate, dim, bright float64, digits int, copied bool, fewest int) simulation {
		return simulation{subject: "copies", generator: generator, short: 200, full: 6000, most: map[string]float64{claim: rate}, draw: func(r *rand.Rand, c *counts) {
			first, second := "x (m),y (m),lux\n", "x (m),y (m),E (fc)\n"
			n, level := fewest+r.IntN(46-fewest), dim+(bright-dim)*r.Float64()
			if r.IntN(2) == 0 {
				n = fewest // where chance has most to say
			}
			for i := range n {
				lx := level * (0.8 + 0.4*r.Float64())
				one, two := lx*(1+0.01*r.NormFloat64()), lx*(1+0.01*r.NormFloat64())
				a := writtenLevel(one, photometry.LX, digits, 0)
				if copied {
					fmt.Sscan(a, &two)
				}
				first += fmt.Sprintf("%d,%d,%s\n", i%5, i/5, a)
				second += fmt.Sprintf("%d,%d,%s\n", i%5, i/5, writtenLevel(two, photometry.FC, digits, 1))
			}
			s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(first)}, {Name: "again.csv", Reader: strings.NewReader(second)}}, survey.ReadOptions{})
			must(err)
			said := slices.ContainsFunc(s.Warnings, func(f photometry.Finding) bool { return f.Code == "copied_in_unit" })
			c.say(claim, said != copied)
		}}
	}
	return []simulation{
		of("two walks, 1 % scatter, displays of three digits", honest, 0.001, 200, 900, 3, false, 5),
		of("two walks, 1 % scatter, whole lx and tenths of fc near 100 lx", honest, 0.001, 60, 140, 3, false, 5),
		of("a file and the same in footcandles, three digits", missed, 0.01, 200, 900, 3, true, 5),
		of("a file and the same in footcandles, near 100 lx, twelve places or more", missed, 0.01, 60, 140, 3, true, 12),
	}
}
