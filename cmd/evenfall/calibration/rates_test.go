// Package calibration holds every probability that Evenfall states to a simulation of
// its rate: of verdicts, intervals, claims and settled answers, over surfaces, lamps and
// meters that are as the models assume, and over others that are not.
//
// It is tests alone. Each run has a few cases of each simulation, with CALIBRATION=short
// twice as many of most; with CALIBRATION=1 it has all of them, and rewrites the table of
// rates.csv and of the README.
package calibration

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// A simulation draws cases of one kind and counts how often what is said of them is
// wrong.
type simulation struct {
	subject   string // what is stated
	generator string // what is drawn
	// short and full are the numbers of cases; by default those of short are halved where
	// they are neither few nor quick, as many are.
	short, full int
	// draw draws one case and counts what is said of it.
	draw func(r *rand.Rand, c *counts)
	// most is how often a claim may be wrong; others are not looked at.
	most map[string]float64
	// said is the least part of the cases in which each claim has to be made at all, or
	// saying nothing would never be wrong; 0 for all but a tenth.
	said float64
}

// The rates that Evenfall states.
var (
	verdicts = map[string]float64{"wrong pass": 0.025, "wrong fail": 0.025}
	claims   = map[string]float64{"false claim": 0.05}
)

// counts is what was said in a simulation, by claim.
type counts map[string]*count

type count struct{ said, wrong int }

// say counts something said of a case, and whether it was wrong.
func (c counts) say(claim string, wrong bool) {
	n := c[claim]
	if n == nil {
		n = &count{}
		c[claim] = n
	}
	n.said++
	if wrong {
		n.wrong++
	}
}

// misses counts a 95 % interval of a figure.
func (c counts) misses(figure string, low, high, truth float64) {
	c.say("95 % interval of "+figure+" misses", !(low <= truth && truth <= high))
}

// missing are 95 % intervals of figures.
func missing(figures ...string) map[string]float64 {
	out := map[string]float64{}
	for _, f := range figures {
		out["95 % interval of "+f+" misses"] = 0.05
	}
	return out
}

// rate is one line of the table: something that is stated, and how often it was wrong.
type rate struct {
	subject, claim, generator string
	most                      float64
	cases, said, wrong        int
}

func (r rate) share() float64 { return float64(r.wrong) / float64(max(1, r.said)) }

// standardError is that of the simulated share, by the rule of succession where none or
// all were wrong.
func (r rate) standardError() float64 {
	n := float64(r.said)
	p := (float64(r.wrong) + 1) / (n + 2)
	return math.Sqrt(p * (1 - p) / math.Max(1, n))
}

// exceeded reports whether a rate is above what is stated by more than three standard
// errors.
func (r rate) exceeded() bool {
	n := float64(r.said)
	return float64(r.wrong) > n*r.most+3*math.Sqrt(n*r.most*(1-r.most))
}

// The values of CALIBRATION with which more cases are drawn.
const (
	runShort = "short"
	runFull  = "1"
)

const fewCases, quickCases = 20, 200

// cases is how many of a simulation are drawn.
func (s simulation) cases() int {
	switch {
	case inFull():
		return s.full
	case os.Getenv("CALIBRATION") == runShort || s.short < fewCases || s.short >= quickCases:
		return s.short
	}
	return s.short / 2
}

// inFull reports whether simulations have all of their cases.
func inFull() bool { return os.Getenv("CALIBRATION") == runFull }

// run draws the cases of a simulation, the same ones each time.
func (s simulation) run(cases int) []rate {
	seed := fnv.New64a()
	seed.Write([]byte(s.subject + s.generator))
	r := rand.New(rand.NewPCG(seed.Sum64(), 1))
	c := counts{}
	for range cases {
		s.draw(r, &c)
	}
	var out []rate
	for _, claim := range sorted(s.most) {
		n := c[claim]
		if n == nil {
			n = &count{}
		}
		out = append(out, rate{s.subject, claim, s.generator, s.most[claim], cases, n.said, n.wrong})
	}
	return out
}

// TestRates holds each rate to what is stated of it.
func TestRates(t *testing.T) {
	var all []rate
	t.Run("simulations", func(t *testing.T) {
		for _, s := range simulations() {
			t.Run(s.subject+", "+s.generator, func(t *testing.T) {
				t.Parallel()
				cases := s.cases()
				rates := s.run(cases)
				for _, r := range rates {
					t.Logf("%s: %d of %d, %.1f ± %.1f %%, at most %.1f %%; %d cases", r.claim, r.wrong, r.said, 100*r.share(), 100*r.standardError(), 100*r.most, r.cases)
					if r.exceeded() {
						t.Errorf("%s: %d of %d, more than %.1f %% and three standard errors", r.claim, r.wrong, r.said, 100*r.most)
					}
					if least := s.leastSaid(); float64(r.said) < least*float64(cases)-3*math.Sqrt(least*(1-least)*float64(cases)) {
						t.Errorf("%s: said in %d of %d cases", r.claim, r.said, cases)
					}
				}
				mu.Lock()
				defer mu.Unlock()
				all = append(all, rates...)
			})
		}
	})
	if inFull() && !t.Failed() {
		keep(t, all)
	}
}

func (s simulation) leastSaid() float64 {
	if s.said == 0 {
		return 0.9
	}
	return s.said
}
