package leastsquares

import (
	"math"
	"testing"

	"evenfall/testdata"
)

// The certified values of NIST's nonlinear reference sets, to 6 digits, from
// both of NIST's starts.
func TestSolveNIST(t *testing.T) {
	for _, set := range testdata.NISTNonlinear() {
		for i, start := range set.Starts {
			p := Problem{
				Count: len(set.X),
				Residuals: func(r, b []float64) {
					for k, x := range set.X {
						r[k] = set.Y[k] - set.Model(b, x)
					}
				},
			}
			got, err := Solve(p, start, Settings{})
			if err != nil {
				t.Fatalf("%s, start %d: %v", set.Name, i+1, err)
			}
			t.Logf("%-9s start %d: %4d steps, converged %v", set.Name, i+1, got.Iterations, got.Converged)
			within(t, set.Name+" sum of squares", got.SumSquares, set.SumSquares, 1e-9)
			for j, want := range set.Certified {
				within(t, set.Name+" parameter", got.Params[j], want, 1e-7)
				within(t, set.Name+" standard error", got.StdErr[j], set.StdDev[j], 1e-5)
			}
		}
	}
}

func within(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if math.Abs(got-want) > relative*math.Abs(want) {
		t.Errorf("%s: got %.10g, want %.10g (off by %.2g of it)", what, got, want, math.Abs(got/want-1))
	}
}

// Bounds cut the search where the physics ends: a line through points that ask
// for a negative slope, whose slope may not be negative, is their mean.
func TestSolveBounds(t *testing.T) {
	x, y := []float64{0, 1, 2, 3}, []float64{4, 3, 3, 2}
	p := Problem{
		Count: 4,
		Residuals: func(r, b []float64) {
			for i := range r {
				r[i] = b[0] + b[1]*x[i] - y[i]
			}
		},
		Lower: []float64{-100, 0}, Upper: []float64{100, 10},
	}
	got, err := Solve(p, []float64{1, 1}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "mean", got.Params[0], 3, 1e-9)
	within(t, "sum of squares", got.SumSquares, 2, 1e-9)
	if got.Params[1] != 0 || !got.AtBound[1] || got.AtBound[0] || !got.Converged {
		t.Errorf("%+v", got)
	}
	// The mean's own standard error, √(2/3/4).
	within(t, "standard error", got.StdErr[0], math.Sqrt(2.0/3/4), 1e-9)
	if got.StdErr[1] != 0 {
		t.Errorf("a parameter on its bound has the standard error %g", got.StdErr[1])
	}
	// Held by equal bounds, the slope leaves the intercept to fit alone.
	p.Lower, p.Upper = []float64{-100, -1}, []float64{100, -1}
	got, err = Solve(p, []float64{0, 0}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "intercept at slope −1", got.Params[0], 4.5, 1e-9)
	// Free, it is the textbook line: slope −3/5, intercept 3.9.
	p.Lower, p.Upper = nil, nil
	got, err = Solve(p, []float64{0, 0}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "slope", got.Params[1], -0.6, 1e-9)
	within(t, "intercept", got.Params[0], 3.9, 1e-9)
}

func TestSolveErrors(t *testing.T) {
	flat := Problem{Count: 3, Residuals: func(r, b []float64) {
		for i := range r {
			r[i] = float64(i) - b[0]
		}
	}}
	bad := flat
	bad.Residuals = func(r, b []float64) { r[0] = math.NaN() }
	crossed := flat
	crossed.Lower, crossed.Upper = []float64{1}, []float64{0}
	few := flat
	few.Count = 0
	for name, c := range map[string]struct {
		p     Problem
		start []float64
	}{
		"no number":      {bad, []float64{0}},
		"crossed bounds": {crossed, []float64{0}},
		"start":          {flat, []float64{math.Inf(1)}},
		"too few":        {few, []float64{0}},
	} {
		if s, err := Solve(c.p, c.start, Settings{}); err == nil {
			t.Errorf("%s: no error, %+v", name, s)
		}
	}
	for name, f := range map[string]func(){
		"no residuals":  func() { Solve(Problem{Count: 1}, []float64{1}, Settings{}) },
		"no parameters": func() { Solve(flat, nil, Settings{}) },
		"lengths": func() {
			p := flat
			p.Lower = []float64{1, 2}
			Solve(p, []float64{0}, Settings{})
		},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
	// A parameter without influence leaves no standard errors, but an answer.
	idle := Problem{Count: 3, Residuals: func(r, b []float64) {
		for i := range r {
			r[i] = float64(i) - b[0]
		}
	}}
	s, err := Solve(idle, []float64{0, 5}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "mean", s.Params[0], 1, 1e-9)
	if s.StdErr != nil {
		t.Errorf("standard errors %v of a parameter without influence", s.StdErr)
	}
}
