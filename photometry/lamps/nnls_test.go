package lamps

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"evenfall/testdata"
)

// The documented examples of two general numerical libraries; SOURCES.md names
// them.
func TestNonnegativeLeastSquaresPublished(t *testing.T) {
	for _, c := range testdata.NonnegativeProblems() {
		x, _ := NonnegativeLeastSquares(mat.NewDense(c.Rows, c.Columns, c.A), c.B, 0)
		if !floats.EqualApprox(x, c.X, c.Within) {
			t.Errorf("%s: %v, want %v", c.Name, x, c.X)
		}
		if r := residualOf(c.A, c.B, x); math.Abs(r-c.Residual) > c.Within {
			t.Errorf("%s: residual %.16g, want %g", c.Name, r, c.Residual)
		}
	}
}

func residualOf(a, b, x []float64) float64 {
	sum := 0.0
	for i := range b {
		r := b[i] - floats.Dot(a[i*len(x):(i+1)*len(x)], x)
		sum += r * r
	}
	return math.Sqrt(sum)
}

// Every subset of free columns, solved by the normal equations: the best that is
// nowhere negative, but perhaps in the last one, is the solution. The conditions of Karush, Kuhn and Tucker
// hold there.
func TestNonnegativeLeastSquaresBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "columns")
		m := rapid.IntRange(n, 9).Draw(t, "rows")
		// Quarters, so that a set of columns is either singular or clearly not.
		entry := rapid.Map(rapid.IntRange(-8, 8), func(k int) float64 { return float64(k) / 4 })
		a := rapid.SliceOfN(entry, m*n, m*n).Draw(t, "a")
		b := rapid.SliceOfN(entry, m, m).Draw(t, "b")
		signed := rapid.IntRange(0, 1).Draw(t, "signed")
		x, passive := NonnegativeLeastSquares(mat.NewDense(m, n, a), b, signed)
		got := residualOf(a, b, x)
		best := floats.Norm(b, 2)
		for set := 1; set < 1<<n; set++ {
			if y, ok := normalEquations(a, b, n, set); ok && !slices.ContainsFunc(y[:n-signed], func(v float64) bool { return v < 0 }) {
				best = math.Min(best, residualOf(a, b, y))
			}
		}
		if math.Abs(got-best) > 1e-7*(1+best) {
			t.Fatalf("residual %.12g at %v, the best subset has %.12g", got, x, best)
		}
		dual := dualOf(mat.NewDense(m, n, a), b, x)
		for j := range x {
			if x[j] < 0 && j < n-signed || passive[j] && math.Abs(dual[j]) > 1e-7 || !passive[j] && (x[j] != 0 || dual[j] > 1e-7) {
				t.Fatalf("entry %d: x %g, dual %g, free %v", j, x[j], dual[j], passive[j])
			}
		}
	})
}

// normalEquations solves on the columns of a set by Gauss's elimination.
func normalEquations(a, b []float64, n, set int) (x []float64, ok bool) {
	var free []int
	for j := range n {
		if set>>j&1 == 1 {
			free = append(free, j)
		}
	}
	k := len(free)
	g := make([][]float64, k)
	for p, i := range free {
		g[p] = make([]float64, k+1)
		for r := range b {
			for q, j := range free {
				g[p][q] += a[r*n+i] * a[r*n+j]
			}
			g[p][k] += a[r*n+i] * b[r]
		}
	}
	for p := range k {
		top := p
		for q := p + 1; q < k; q++ {
			if math.Abs(g[q][p]) > math.Abs(g[top][p]) {
				top = q
			}
		}
		g[p], g[top] = g[top], g[p]
		if math.Abs(g[p][p]) < 1e-9 {
			return nil, false
		}
		for q := range k {
			if q != p {
				floats.AddScaled(g[q], -g[q][p]/g[p][p], g[p])
			}
		}
	}
	x = make([]float64, n)
	for p, j := range free {
		x[j] = g[p][k] / g[p][p]
	}
	return x, true
}

func ExampleNonnegativeLeastSquares() {
	// Two lamps at three places, and what all of it reads today: the first lamp
	// gives 80 %, the second is off.
	lamps := mat.NewDense(3, 2, []float64{500, 100, 300, 300, 100, 500})
	x, _ := NonnegativeLeastSquares(lamps, []float64{400, 240, 80}, 0)
	fmt.Printf("%.2f\n", x)
	// Output: [0.80 0.00]
}
