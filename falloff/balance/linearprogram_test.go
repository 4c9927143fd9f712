package balance

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"evenfall/testdata"
)

// programOf puts a published program into rows that hold from below.
func programOf(p testdata.LinearProgram) *linearProgram {
	out := newLinearProgram(len(p.Cost))
	out.cost = p.Cost
	for k := range out.upper {
		out.upper[k] = p.Largest
	}
	add := func(sign float64, r testdata.LinearRow) {
		floats.ScaleTo(out.require(sign*r.Right), sign, r.Coefficients)
	}
	for _, r := range p.Rows {
		if r.Relation != "<=" {
			add(1, r)
		}
		if r.Relation != ">=" {
			add(-1, r)
		}
	}
	return out
}

// broken tells by how much z breaks any row or bound, in the unit of the row.
func (p *linearProgram) broken(z []float64) float64 {
	worst := 0.0
	for k, v := range z {
		worst = max(worst, p.lower[k]-v, v-p.upper[k])
	}
	for i, least := range p.least {
		worst = max(worst, least-floats.Dot(p.rows[i], z))
	}
	return worst
}

func TestPublishedLinearPrograms(t *testing.T) {
	for _, p := range testdata.LinearPrograms() {
		program := programOf(p)
		got, err := program.solve(context.Background())
		if err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		close := 1e-9*math.Abs(p.Least) + p.Within
		if math.Abs(got.cost-p.Least) > close || math.Abs(got.bound-p.Least) > close {
			t.Errorf("%s: %.12g, bound %.12g, want %.12g", p.Name, got.cost, got.bound, p.Least)
		}
		if worst := program.broken(got.z); worst > 1e-6 {
			t.Errorf("%s: a row is broken by %g", p.Name, worst)
		}
		if p.At != nil && floats.Distance(got.z, p.At, 2) > 1e-6 {
			t.Errorf("%s: at %v, want %v", p.Name, got.z, p.At)
		}
		if got.steps > 500 {
			t.Errorf("%s: %d steps", p.Name, got.steps)
		}
	}
}

func TestLinearProgramWithoutAnswer(t *testing.T) {
	p := &linearProgram{cost: []float64{1, 1}, lower: []float64{0, 0}, upper: []float64{1, 1}, rows: [][]float64{{1, 1}}, least: []float64{3}}
	if got, err := p.solve(context.Background()); !errors.Is(err, errInfeasible) {
		t.Errorf("x + y ≥ 3 in the unit square: %+v, %v", got, err)
	}
	p = &linearProgram{cost: []float64{1}, lower: []float64{1}, upper: []float64{0}}
	if got, err := p.solve(context.Background()); !errors.Is(err, errInfeasible) {
		t.Errorf("bounds apart: %+v, %v", got, err)
	}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := (MinSpreadProblem{Maps: [][]float64{{1, 2}, {2, 1}}}).Solve(gone); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
}

// The general-purpose simplex method finds the same least cost of random
// programs: min c·x, A·x = b, x ≥ 0, with slack variables for the rows.
func TestLinearProgramAgainstLibrary(t *testing.T) {
	random := rand.New(rand.NewPCG(61, 62))
	for run := range 80 {
		d, m := 2+random.IntN(4), 3+random.IntN(8)
		p := &linearProgram{}
		inside := make([]float64, d) // a point that every row leaves room for
		for k := range d {
			p.cost = append(p.cost, random.NormFloat64())
			p.lower, p.upper = append(p.lower, 0), append(p.upper, 10)
			inside[k] = 10 * random.Float64()
		}
		for range m {
			row := make([]float64, d)
			for k := range row {
				row[k] = random.NormFloat64()
			}
			p.rows = append(p.rows, row)
			p.least = append(p.least, floats.Dot(row, inside)-3*random.Float64())
		}
		got, err := p.solve(context.Background())
		if err != nil {
			t.Fatalf("run %d: %v", run, err)
		}
		// rows·z − s = least, z + u = 10.
		a := mat.NewDense(m+d, 2*d+m, nil)
		b := make([]float64, m+d)
		for i := range m {
			for k, v := range p.rows[i] {
				a.Set(i, k, v)
			}
			a.Set(i, d+i, -1)
			b[i] = p.least[i]
		}
		for k := range d {
			a.Set(m+k, k, 1)
			a.Set(m+k, d+m+k, 1)
			b[m+k] = 10
		}
		type answer struct {
			least float64
			err   error
		}
		done := make(chan answer, 1)
		go func() {
			least, _, err := lp.Simplex(append(append([]float64(nil), p.cost...), make([]float64, d+m)...), a, b, 1e-10, nil)
			done <- answer{least, err}
		}()
		select {
		case want := <-done:
			if want.err != nil {
				t.Fatalf("run %d: %v", run, want.err)
			}
			if math.Abs(got.cost-want.least) > 1e-7 || math.Abs(got.bound-want.least) > 1e-7 || p.broken(got.z) > 1e-7 {
				t.Errorf("run %d: %.10f, bound %.10f, broken by %g; the library finds %.10f", run, got.cost, got.bound, p.broken(got.z), want.least)
			}
		case <-time.After(20 * time.Second):
			t.Logf("run %d: the library was given up", run)
		}
	}
}

// The lower bound of a spread comes from multipliers, never from the answer: no
// answer may fall below it, however many rows meet in one vertex, and it meets
// the answer.
func TestBoundIsNeverTooHigh(t *testing.T) {
	random := rand.New(rand.NewPCG(63, 64))
	for run := range 2000 {
		n, places := 1+random.IntN(7), 2+random.IntN(30)
		e := MinSpreadProblem{}
		for j := range n {
			m := make([]float64, places)
			for i := range m {
				switch run % 6 {
				case 0:
					m[i] = float64(random.IntN(4)) // dark places, many ties
				case 1:
					m[i] = 100 * float64(1+random.IntN(3))
				case 2:
					m[i] = math.Exp2(16*random.Float64() - 8)
				case 3:
					m[i] = 1000 * random.Float64()
				case 4:
					m[i] = 500 // even lamps
				case 5:
					m[i] = math.Round(1000 / (1 + 4*math.Pow(float64(i)/float64(places)-float64(j)/float64(n), 2)))
				}
			}
			e.Maps = append(e.Maps, m)
		}
		if random.IntN(2) == 0 {
			for range places {
				e.Rest = append(e.Rest, float64(random.IntN(3))*math.Exp2(float64(random.IntN(10)-5)))
			}
		}
		if e.check() != nil {
			continue // a dark place
		}
		if random.IntN(3) == 0 {
			e.Least = floats.Min(e.Levels(ones(n))) * random.Float64()
		}
		shares, bound, err := newRatioLP(e).even(context.Background(), make([]float64, n), ones(n))
		if err != nil {
			t.Fatalf("run %d: %v", run, err)
		}
		if spread := e.Spread(shares); bound > spread+1e-9 || bound < spread-provedGap {
			t.Errorf("run %d: spread %.9f, bound %.9f", run, spread, bound)
		}
	}
}
