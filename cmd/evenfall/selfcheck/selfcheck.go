// Package selfcheck computes the figures of package testdata with the very code
// that judges readings, and reports the largest deviation from each source.
//
// It promises that every figure is computed anew: a figure that cannot be computed
// is off.
package selfcheck

import (
	"math"
	"slices"

	"evenfall/plots/answers"
	"evenfall/testdata"
)

// source is a group of figures from one source.
type source struct {
	name, quantity, unit string
	basis                answers.FigureBasis
	compute              func(check)
}

// check compares one figure with its published value, within a tolerance.
type check func(got, want, allowed float64)

// Run computes all figures.
func Run() answers.Selfcheck {
	result := answers.Selfcheck{Schema: "evenfall/selfcheck/1", OK: true}
	for _, s := range slices.Concat(tabled(testdata.LevelFigures(), levels), tabled(testdata.RatioFigures(), ratios), statistics, colors(), lights) {
		c := answers.Check{Source: s.name, Quantity: s.quantity, Unit: s.unit, Basis: s.basis, OK: true}
		s.compute(func(got, want, allowed float64) { add(&c, got, want, allowed) })
		result.Checks = append(result.Checks, c)
		result.OK = result.OK && c.OK
	}
	return result
}

// add compares one figure; the largest deviation relative to its tolerance is kept.
func add(c *answers.Check, got, want, allowed float64) {
	off := math.Abs(got - want)
	if c.Figures == 0 || off/allowed > c.Largest/c.Allowed {
		c.Largest, c.Allowed = off, allowed
	}
	c.Figures++
	c.OK = c.OK && off <= allowed
}

// tabled groups the figures of a table by what they are of and where they are from.
func tabled(figures []testdata.Figure, functions map[string]func([]float64) float64) (sources []source) {
	for len(figures) > 0 {
		first := figures[0]
		n := slices.IndexFunc(figures, func(f testdata.Figure) bool { return f.Quantity != first.Quantity || f.Source != first.Source })
		if n < 0 {
			n = len(figures)
		}
		group, function := figures[:n], functions[first.Quantity]
		s := source{name: first.Source, quantity: first.Quantity, basis: answers.Published, compute: func(check check) {
			for _, f := range group {
				check(function(f.Args), f.Want, f.Tolerance)
			}
		}}
		if first.Source == testdata.CommonPractice {
			s.basis = answers.CommonPractice
		}
		sources, figures = append(sources, s), figures[n:]
	}
	return sources
}
