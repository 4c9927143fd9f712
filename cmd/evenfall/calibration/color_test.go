package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// coloredSurface draws shifts in mired and Duv from the reference in the middle of nine
// places, of all or by the same of the first so many alone, and reads each so many times;
// the tolerances are the largest true shifts.
func coloredSurface(r *rand.Rand, times, alike int, duv bool) string {
	const kelvin, sMired, sDuv = 5000.0, uncertainty.AssumedMired, uncertainty.AssumedDuv
	mired, green := make([]float64, 9), make([]float64, 9)
	a, b, p, q := 8*r.NormFloat64(), 8*r.NormFloat64(), 0.003*r.NormFloat64(), 0.003*r.NormFloat64()
	largest, greenest := 0.0, 0.0
	for i := range 9 {
		x, y := float64(i%3)-1, float64(i/3)-1
		mired[i], green[i] = a*x+b*y, p*x+q*y
		if alike > 0 {
			mired[i], green[i] = 0, 0
			if i < alike && i != 4 {
				mired[i], green[i] = math.Copysign(20, a), math.Copysign(0.006, p)
			}
		}
		largest, greenest = max(largest, math.Abs(mired[i])), max(greenest, math.Abs(green[i]))
	}
	header := "label,lux,mired"
	if duv {
		header += ",Duv"
	}
	var rows []string
	for k := range times {
		for i := range 9 {
			row := fmt.Sprintf("%s,%d,%.6f", spatial.GridLabel(i%3, i/3), 801+(i+3*k)%7, 1e6/kelvin+mired[i]+sMired*r.NormFloat64())
			if duv {
				row += fmt.Sprintf(",%.8f", green[i]+sDuv*r.NormFloat64())
			}
			rows = append(rows, row)
		}
	}
	return fmt.Sprintf("# width: 4\n# height: 2\n# reference: B2\n# color tolerance: %.9f mired, %.9f Duv\n%s\n%s\n", largest, greenest, header, strings.Join(rows, "\n"))
}

func ofColor() []simulation {
	most := map[string]float64{"wrong pass in mired": 0.025, "wrong fail in mired": 0.025, "wrong pass in Duv": 0.025, "wrong fail in Duv": 0.025}
	of := func(generator string, times, alike int) simulation {
		return simulation{subject: "verdict on color", generator: generator, short: 100, full: 2000, most: most, draw: func(r *rand.Rand, c *counts) {
			color := judged(coloredSurface(r, times, alike, true)).Color
			c.say("wrong pass in mired", color.VerdictMired == uncertainty.Pass)
			c.say("wrong fail in mired", color.VerdictMired == uncertainty.Fail)
			c.say("wrong pass in Duv", color.VerdictDuv == uncertainty.Pass)
			c.say("wrong fail in Duv", color.VerdictDuv == uncertainty.Fail)
		}}
	}
	alone := func(generator string, times, alike int) simulation {
		return simulation{subject: "verdict on color, kelvins alone", generator: generator, short: 60, full: 2000, most: map[string]float64{"wrong pass": 0, "wrong fail": 0.025}, draw: func(r *rand.Rand, c *counts) {
			v := judged(coloredSurface(r, times, alike, false)).Verdict.Color
			c.say("wrong pass", v == uncertainty.Pass)
			c.say("wrong fail", v == uncertainty.Fail)
		}}
	}
	return []simulation{
		of("9 places, each read three times", 3, 0),
		of("9 places, one off, each read three times", 3, 1),
		of("9 places, each read once, scatter as assumed", 1, 0),
		of("9 places, one off, each read once, scatter as assumed", 1, 1),
		of("9 places, all off alike, each read once, scatter as assumed", 1, 9),
		alone("9 places, each read three times", 3, 0),
		alone("9 places, each read once, scatter as assumed", 1, 0),
		alone("9 places, one off, each read once, scatter as assumed", 1, 1),
	}
}
