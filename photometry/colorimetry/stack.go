package colorimetry

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// Stack is none, one or two gels on a light and what the light then reads.
type Stack struct {
	Gels         []string `json:"gels"` // names; empty: the light as it is
	Kelvin       float64  `json:"cct_k"`
	Duv          float64  `json:"duv"`
	LossStops    float64  `json:"loss_stops"`
	MissMired    float64  `json:"miss_mired"`           // predicted minus target: positive is too warm
	MissDuv      float64  `json:"miss_duv"`             // predicted minus target: positive is too green
	DeltaUVPrime float64  `json:"miss_delta_u_v_prime"` // distance from the target in CIE 1976 (u′, v′)
	Steps        float64  `json:"miss_steps"`           // the same in steps of 0.0011
	Within       bool     `json:"within_tolerance"`
	Nominal      bool     `json:"nominal,omitempty"` // a gel in it has only nominal figures

	sheets []*sheet
}

// Reading returns the predicted color.
func (s Stack) Reading() CCT { return CCT{s.Kelvin, s.Duv} }

// StepsPerStop is what a stop of light weighs against color when stacks are
// ranked: a third of a stop, the smallest change of level that is set on a lamp
// or a lens, weighs as much as one step, the smallest change of color that is
// counted (common practice, no source).
const StepsPerStop = 3.0

// Penalty is what stacks are ranked by, lowest first: the miss in steps plus
// StepsPerStop for every stop lost.
func (s Stack) Penalty() float64 { return s.Steps + StepsPerStop*s.LossStops }

// sheet is a gel of the bag with its filter.
type sheet struct {
	gel    Gel
	filter *Filter
}

// compile models every gel of a bag that can change color; ND only costs light.
// All faulty gels come together in one error.
func compile(bag []Gel) ([]sheet, error) {
	var sheets []sheet
	var errs []error
	for _, g := range bag {
		f, err := g.Filter()
		if err != nil {
			errs = append(errs, err)
			continue
		}
		if g.Mired != 0 || g.CC != 0 || g.XY != nil {
			sheets = append(sheets, sheet{g, f})
		}
	}
	return sheets, errors.Join(errs...)
}

// predictor predicts what stacks do to one light on its way to one target.
type predictor struct {
	weights  [Samples][3]float64 // spectrum times observer
	level    float64
	target   CCT
	targetUV UVPrime
	opts     Options
}

func newPredictor(s *Spectrum, target CCT, targetUV UVPrime, opts Options) *predictor {
	p := &predictor{target: target, targetUV: targetUV, opts: opts}
	for i, power := range s {
		for k := range 3 {
			p.weights[i][k] = power * cmf[i][k]
		}
		p.level += p.weights[i][1]
	}
	return p
}

// predict reports the light behind the sheets; ok is false where it is so far
// from white that it has no color temperature.
func (p *predictor) predict(sheets ...*sheet) (Stack, bool) {
	s := Stack{Gels: []string{}, sheets: sheets}
	for _, g := range sheets {
		s.Gels = append(s.Gels, g.gel.Name)
		s.Nominal = s.Nominal || g.gel.Nominal
	}
	c := p.behind(sheets...)
	uv := c.UV()
	reading, err := uv.CCT()
	if err != nil {
		return Stack{}, false
	}
	s.Kelvin, s.Duv = reading.Kelvin, reading.Duv
	if len(sheets) > 0 {
		s.LossStops = -math.Log2(c.Y / p.level)
	}
	s.MissMired = reading.Mired() - p.target.Mired()
	s.MissDuv = reading.Duv - p.target.Duv
	s.DeltaUVPrime = DeltaUVPrime(uv.UVPrime(), p.targetUV)
	s.Steps = Steps(s.DeltaUVPrime)
	s.Within = p.opts.same(Shift{Mired: s.MissMired, Duv: s.MissDuv})
	return s, true
}

// behind is the light behind the sheets.
func (p *predictor) behind(sheets ...*sheet) (c XYZ) {
	for i := range p.weights {
		t := 1.0
		for _, g := range sheets {
			t *= g.filter[i]
		}
		w := &p.weights[i]
		c.X += w[0] * t
		c.Y += w[1] * t
		c.Z += w[2] * t
	}
	return c
}

// ranking is every stack worth a look, best first, and the two that advice
// compares.
type ranking struct {
	stacks  []Stack
	bare    Stack  // the empty stack
	nearest *Stack // the best single gel; nil if there is none
}

// rank predicts the empty stack, every gel and the candidate pairs, sorts them by class
// and then by Penalty, and drops those that a better one makes pointless. Each
// gel of the bag is one sheet: a pair of the same gel takes two entries. The best
// single gel is kept, unless the light is to be left alone, even where the bare
// light beats it, since it is the nearest that a bag of no use has: of pairs that
// would be one that cancels out.
func (p *predictor) rank(source CCT, sheets []sheet, most int) ranking {
	bare, _ := p.predict()
	// Keep exact figures free of the model's rounding.
	bare.Kelvin, bare.Duv = source.Kelvin, source.Duv
	bare.MissMired, bare.MissDuv = source.Mired()-p.target.Mired(), source.Duv-p.target.Duv
	all := append([]Stack{bare}, p.gelled(sheets)...)
	slices.SortStableFunc(all, func(a, b Stack) int {
		return cmp.Or(cmp.Compare(a.class(), b.class()), cmp.Compare(a.Penalty(), b.Penalty()))
	})
	r := ranking{bare: bare}
	for i := range all {
		if len(r.stacks) >= most && r.nearest != nil {
			break
		}
		s := &all[i]
		if r.nearest == nil && len(s.Gels) == 1 {
			r.nearest = s
		}
		asked := s == r.nearest && !bare.Within && len(all[0].Gels) == 0
		if asked || len(r.stacks) < most && !beaten(s, all[:i]) {
			r.stacks = append(r.stacks, *s)
		}
	}
	return r
}

// gelled predicts every gel and the candidate pairs.
func (p *predictor) gelled(sheets []sheet) (all []Stack) {
	for _, c := range p.candidates(sheets) {
		of := []*sheet{&sheets[c.i]}
		if c.j != c.i {
			of = append(of, &sheets[c.j])
		}
		if s, ok := p.predict(of...); ok {
			all = append(all, s)
		}
	}
	return all
}

// class is what a stack is ranked by before its Penalty: a light within
// tolerance is left alone, and a tolerance that can be met is met.
func (s *Stack) class() int {
	switch {
	case s.Within && len(s.Gels) == 0:
		return 0
	case s.Within:
		return 1
	}
	return 2
}

// worthwhile is how many steps a stack must come nearer to the target than one
// that loses less light: below half a step they are indistinguishable.
const worthwhile = 0.5

// beaten reports whether one of the better ranked stacks loses no more light and
// misses by no more, to within worthwhile.
func beaten(s *Stack, better []Stack) bool {
	const rounding = 1e-6
	return slices.ContainsFunc(better, func(b Stack) bool {
		return b.Steps <= s.Steps+worthwhile && b.LossStops <= s.LossStops+rounding
	})
}
