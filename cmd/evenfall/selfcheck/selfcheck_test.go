package selfcheck

import (
	"math"
	"testing"

	"evenfall/plots/answers"
)

// Every figure agrees, of each basis there are some, and none goes missing in silence.
func TestRun(t *testing.T) {
	result := Run()
	figures := map[answers.FigureBasis]int{}
	for _, c := range result.Checks {
		if !c.OK || c.Figures == 0 || !(c.Largest <= c.Allowed) {
			t.Errorf("%+v", c)
		}
		figures[c.Basis] += c.Figures
	}
	if !result.OK || figures[answers.Published] < 190 || figures[answers.SecondCopy] < 400 || figures[answers.CommonPractice] < 30 {
		t.Errorf("%v, figures %v", result.OK, figures)
	}
}

// A figure that is off, or that could not be computed, is told.
func TestAdd(t *testing.T) {
	c := answers.Check{OK: true}
	add(&c, 1.5, 1, 1)
	add(&c, 1.05, 1, 0.2)
	if !c.OK || c.Figures != 2 || c.Largest != 0.5 || c.Allowed != 1 {
		t.Errorf("%+v", c)
	}
	for _, got := range []float64{2.5, math.NaN()} {
		off := c
		if add(&off, got, 1, 1); off.OK {
			t.Errorf("%g for 1 within 1: %+v", got, off)
		}
	}
}
