package causes

import (
	"cmp"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/leastsquares"
)

// model is a base with faults.
type model struct {
	base   base
	faults []fault
}

// parameters is how many a model has.
func (m model) parameters() int {
	n := baseParameters[m.base]
	for _, f := range m.faults {
		n += faultParameters[f.kind]
	}
	return n
}

// key names a model, whatever the order of its faults.
func (m model) key() string {
	names := make([]string, len(m.faults))
	for i, f := range m.faults {
		names[i] = strconv.Itoa(int(f.kind)) + "@" + strconv.Itoa(f.place)
	}
	slices.Sort(names)
	return strconv.Itoa(int(m.base)) + " " + strings.Join(names, " ")
}

// logPrior is the logarithm of a model's prior weight.
func (m model) logPrior(s *shape) float64 {
	sum := basePriors[m.base]
	for _, f := range m.faults {
		sum += faultPriors[f.kind]
		if f.kind == oneOff {
			sum -= math.Log(float64(len(s.u)))
		}
	}
	return sum
}

// light is what a model with its parameters gives: the lamps of the base, how bright
// they are together, and the faults.
type light struct {
	s      *shape
	lamps  []lamp
	ofBase []float64 // the parameters of the lamps
	base   []float64 // what the lamps give at each place that is read
	mean   float64   // of that
	faults []faultAt
}

// faultAt is a fault with its parameters.
type faultAt struct {
	fault
	z  []float64
	at effect
}

func (s *shape) light(m model, z []float64) *light { return s.lightBy(m, z, nil) }

// lightBy is the light of a model; where jac is not nil, the columns of the lamps in its
// rows get the derivatives of what the lamps give.
func (s *shape) lightBy(m model, z, jac []float64) *light {
	n := baseParameters[m.base]
	l := &light{s: s, lamps: lampsOf(m.base, z, s.halfWidth), ofBase: z[:n], base: make([]float64, len(s.u)), faults: make([]faultAt, len(m.faults))}
	for i := range s.u {
		var row []float64
		if jac != nil {
			row = jac[i*len(z) : i*len(z)+n]
		}
		l.base[i] = l.fromLamps(s.u[i], s.v[i], row)
		l.mean += l.base[i] / float64(len(s.u))
	}
	for k, f := range m.faults {
		own := z[n : n+faultParameters[f.kind]]
		l.faults[k] = faultAt{f, own, f.of(s, own)}
		n += len(own)
	}
	return l
}

// equalize puts equal lamps in place of unequal ones.
func (l *light) equalize() {
	if len(l.ofBase) == baseParameters[unequal] {
		l.lamps = lampsOf(pair, l.ofBase[:baseParameters[pair]], l.s.halfWidth)
	}
}

// remove takes faults out.
func (l *light) remove(faults []int) {
	kept := []faultAt(nil)
	for k, f := range l.faults {
		if !slices.Contains(faults, k) {
			kept = append(kept, f)
		}
	}
	l.faults = kept
}

// fromLamps is what the lamps give, and fills row, where it is not nil, with the
// derivatives by their parameters.
func (l *light) fromLamps(u, v float64, row []float64) float64 {
	if l.lamps == nil {
		return 1
	}
	var by *[5]float64
	if row != nil {
		by = new([5]float64)
		clear(row)
	}
	sum := 0.0
	for n := range l.lamps {
		value := l.lamps[n].at(u, v, by)
		sum += value
		for p := 0; row != nil && p < len(by); p++ {
			for j, d := range l.lamps[n].d[p][:len(row)] {
				row[j] += value * by[p] * d
			}
		}
	}
	return sum
}

// log2At is the light in stops at any place, but for what one reading or time does.
func (l *light) log2At(u, v float64) float64 {
	stops, _ := l.withFaults(l.fromLamps(u, v, nil), u, v, 0, -1, nil)
	return stops
}

// withFaults is the light in stops of lamps with faults, at place i that is read at time
// t, and the sum of what is added to it, in units of the base's mean; row, where it is not
// nil, gets the derivatives of each fault's effect by its parameters.
func (l *light) withFaults(base, u, v, t float64, i int, row []float64) (stops, sum float64) {
	sum = base / l.mean
	for _, f := range l.faults {
		var by []float64
		if row != nil {
			by, row = row[:len(f.z)], row[len(f.z):]
		}
		if value := f.at(u, v, t, i, by); f.adds() {
			sum += value
		} else {
			stops += value
		}
	}
	return math.Log(sum)/math.Ln2 + stops, sum
}

// each is the light at all places that are read.
func (l *light) each(out []float64) []float64 {
	for i := range l.s.u {
		out[i], _ = l.withFaults(l.base[i], l.s.u[i], l.s.v[i], l.s.t[i], i, nil)
	}
	return out
}

// evaluate fills r with a model's light less the readings, and jac, where it is not
// nil, with its derivatives.
func (s *shape) evaluate(m model, r, jac, z []float64) {
	l := s.lightBy(m, z, jac)
	if jac == nil {
		l.each(r)
	} else {
		l.differentiate(r, jac, len(z))
	}
	for i := range r {
		r[i] -= s.stops[i]
	}
}

// differentiate fills r with the light at all places, and a row of k derivatives for
// each; in the columns of the lamps' parameters are those of what the lamps give.
func (l *light) differentiate(r, jac []float64, k int) {
	s, ofLamps := l.s, len(l.ofBase)
	ofMean := make([]float64, ofLamps)
	for i := range s.u {
		for j, d := range jac[i*k : i*k+ofLamps] {
			ofMean[j] += d / float64(len(s.u))
		}
	}
	for i := range s.u {
		row := jac[i*k : (i+1)*k]
		for j := range ofLamps {
			row[j] = (row[j] - l.base[i]*ofMean[j]/l.mean) / l.mean
		}
		var sum float64
		r[i], sum = l.withFaults(l.base[i], s.u[i], s.v[i], s.t[i], i, row[ofLamps:])
		// What is added counts by its share of the light.
		n := ofLamps
		floats.Scale(1/(sum*math.Ln2), row[:n])
		for _, f := range l.faults {
			if f.adds() {
				floats.Scale(1/(sum*math.Ln2), row[n:n+len(f.z)])
			}
			n += len(f.z)
		}
	}
}

// fit is a model with its most likely parameters.
type fit struct {
	model
	*leastsquares.Estimate
	score  float64 // the logarithm of its evidence and its prior weight
	weight float64 // its evidence over the best one's, and
	ranked []part  // its causes, of a fit that is likely
}

// How a model is fitted.
const (
	priorReadings = 10 // what the readings' known scatter is worth
	screened      = 24 // draws of the prior that are looked at
	improved      = 2  // of them that are improved
	steps         = 14
	behind        = 12.0 // in cost: given up where so far behind
)

// problem is that of a model's most likely parameters.
func (s *shape) problem(m model) *leastsquares.Regularized {
	return &leastsquares.Regularized{Count: len(s.u), Scatter: s.scatter, Prior: priorReadings,
		Evaluate: func(r, jac, z []float64) { s.evaluate(m, r, jac, z) }}
}

// fit finds the most likely parameters of a model: from draws of the prior, three
// quarters of them about the parameters to start with, the best few are improved.
// Draws are seeded by the readings.
func (s *shape) fit(m model, start []float64) *fit {
	p := s.problem(m)
	var found *leastsquares.Estimate
	giveUp := math.Inf(1)
	for _, z := range s.screen(p, m, start) {
		if e := p.Minimize(z, steps, giveUp); found == nil || e.Cost < found.Cost {
			found, giveUp = e, e.Cost+behind
		}
	}
	return &fit{model: m, Estimate: found, score: found.LogEvidence() + m.logPrior(s)}
}

// screen draws parameters and returns those that fit best.
func (s *shape) screen(p *leastsquares.Regularized, m model, start []float64) [][]float64 {
	type drawn struct {
		z    []float64
		cost float64
	}
	k, draws := m.parameters(), screened
	if k == 0 {
		draws = 1
	}
	random, r := rand.New(rand.NewPCG(s.seed, seedOf(m.key()))), make([]float64, len(s.u))
	all := make([]drawn, draws)
	for n := range all {
		z := make([]float64, k)
		for j := range z {
			switch z[j] = random.NormFloat64(); {
			case start == nil || 4*n >= 3*draws:
			case !math.IsNaN(start[j]):
				z[j] = start[j] + 0.2*z[j]
			}
		}
		all[n] = drawn{z, p.At(r, z)}
	}
	slices.SortFunc(all, func(a, b drawn) int { return cmp.Compare(a.cost, b.cost) })
	var best [][]float64
	for _, d := range all[:min(improved, len(all))] {
		best = append(best, d.z)
	}
	return best
}

// seedOf is the same for the same bytes.
func seedOf(text string) uint64 {
	hash := fnv.New64a()
	hash.Write([]byte(text))
	return hash.Sum64()
}
