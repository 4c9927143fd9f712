package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// bareLamp is a lamp in front of a surface: the inverse-square and cosine laws.
func bareLamp(x0, y0, z, cd float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		return cd * z / math.Pow((x-x0)*(x-x0)+(y-y0)*(y-y0)+z*z, 1.5)
	}
}

func ofSuspects() []simulation {
	between := func(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }
	honest := func(generator string, most float64, light func(r *rand.Rand) func(x, y float64) float64) simulation {
		return simulation{subject: "a reading that looks like an error", generator: generator, short: 40, full: 1500, most: map[string]float64{"false claim": most}, draw: func(r *rand.Rand, c *counts) {
			s, level := surface{columns: 9, rows: 5}, light(r)
			for i := range 45 {
				s.truth = append(s.truth, level(s.place(i)))
			}
			file := s.read("", "lux", func(_ int, lx float64) string { return fmt.Sprintf("%.0f", lx*normal(r)) })
			c.say("false claim", len(judged(file).Suspects) > 0)
		}}
	}
	wrong := func(generator string, change func(r *rand.Rand, cell string) string) simulation {
		return onSurfaces(evennessVerdict+", an entry error", "45 places, "+generator, 50, 2000, drawSurface, 9, 5, 800, func(r *rand.Rand, s surface) string {
			at := r.IntN(len(s.truth))
			return s.read("", "lux", func(i int, lx float64) string {
				cell := fmt.Sprintf("%.0f", lx*normal(r))
				if i == at {
					return change(r, cell)
				}
				return cell
			})
		})
	}
	return []simulation{
		honest("two lamps at the sides, no error", 0.01, func(r *rand.Rand) func(x, y float64) float64 {
			a, b := bareLamp(between(r, -2, 0), between(r, 1, 3), between(r, 2, 4), 9000), bareLamp(between(r, 4, 6), between(r, 1, 3), between(r, 2, 4), 9000)
			return func(x, y float64) float64 { return a(x, y) + b(x, y) }
		}),
		honest("one far lamp, no error", 0.01, func(r *rand.Rand) func(x, y float64) float64 {
			return bareLamp(between(r, 0, 4), between(r, 1, 3), between(r, 3, 6), 20000)
		}),
		honest("one lamp close beside, no error", 0.05, func(r *rand.Rand) func(x, y float64) float64 {
			return bareLamp(between(r, -1, -0.2), between(r, 0, 2), between(r, 0.5, 1.5), 3000)
		}),
		honest("a shaded corner, no error", 0.05, func(r *rand.Rand) func(x, y float64) float64 {
			edge := between(r, 1, 2)
			return func(x, y float64) float64 {
				if x+y < edge {
					return 600
				}
				return 1000
			}
		}),
		wrong("a decimal point misplaced", func(r *rand.Rand, cell string) string {
			if r.IntN(2) == 0 {
				return cell + "0"
			}
			return cell[:len(cell)-1] + "." + cell[len(cell)-1:]
		}),
		wrong("one typed in fc", func(r *rand.Rand, cell string) string {
			var lx float64
			fmt.Sscan(cell, &lx)
			return fmt.Sprintf("%.0f", lx*0.3048*0.3048)
		}),
	}
}
