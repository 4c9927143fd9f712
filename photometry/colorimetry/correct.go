package colorimetry

import (
	"errors"
	"math"
	"slices"

	"evenfall/photometry"
)

// Correction is what takes one light to a target.
type Correction struct {
	Source CCT `json:"source"`
	Target CCT `json:"target"`
	Shift
	Needs  *Need          `json:"needs,omitempty"`              // absent beyond the filter models
	Stacks []Stack        `json:"stacks"`                       // best first; see Options.Stacks
	Within bool           `json:"within_tolerance"`             // with the best stack, or as it is; never by kelvins alone
	Camera *CameraSetting `json:"camera,omitempty"`             // for the target
	NoGel  *CameraSetting `json:"camera_without_gel,omitempty"` // for the light as it is, where it is off
	// KelvinsAlone: Duv of the light or of the target was not read, so shift, filters and
	// stacks are for mired alone. KelvinsWithin is what Within cannot then say.
	KelvinsAlone  bool `json:"kelvins_alone,omitempty"`
	KelvinsWithin bool `json:"kelvins_within_tolerance,omitempty"`
	Findings
}

// Place is where gel hangs, which decides whom its loss costs.
type Place string

// On a lamp gel costs that lamp's level, on the lens the exposure of everything.
const (
	OnLamp Place = "lamp"
	OnLens Place = "lens"
)

// What counts as the same color where nothing else is asked for: common practice,
// no source.
const (
	DefaultToleranceMired = 10.0
	DefaultToleranceDuv   = 0.003
)

// Options steer Correct and CorrectAll; the zero value is useful.
type Options struct {
	Stacks         int           // most stacks to list; 0 is 5
	ToleranceMired float64       // what counts as the same color; 0 is DefaultToleranceMired
	ToleranceDuv   float64       // and DefaultToleranceDuv
	Camera         *CameraOffset // applied to camera settings; nil is a camera that agrees with the meter
	On             Place         // where gel hangs; "" is the lamp, and the loss on the lens is given too
}

func (o Options) filled() Options {
	if o.Stacks <= 0 {
		o.Stacks = 5
	}
	if !(o.ToleranceMired > 0) {
		o.ToleranceMired = DefaultToleranceMired
	}
	if !(o.ToleranceDuv > 0) {
		o.ToleranceDuv = DefaultToleranceDuv
	}
	return o
}

// same reports whether a shift is within tolerance.
func (o Options) same(s Shift) bool {
	const rounding = 1e-9
	return math.Abs(s.Mired) <= o.ToleranceMired*(1+rounding) && math.Abs(s.Duv) <= o.ToleranceDuv*(1+rounding)
}

// Correct returns what takes a measured light to a target: the shift, the ideal
// conversion and CC filter together, and the best stacks of at most two gels from
// the bag with the reading predicted behind each. The light as it is comes first
// where it is within tolerance already, then stacks that land within tolerance,
// then the others, each by Stack.Penalty. An empty bag leaves the list with the
// light as it is. Of more than a hundred gels only the most promising pairs are
// predicted.
//
// It is an error if either color is out of range (CCT.Check) or a gel's figures
// are impossible (Gel.Check).
func Correct(source, target CCT, bag []Gel, opts Options) (Correction, error) {
	sheets, err := compile(bag)
	if err != nil {
		return Correction{}, err
	}
	opts = opts.filled()
	c, err := correct(source, target, sheets, opts)
	if err != nil {
		return Correction{}, err
	}
	c.warnOfGels(bag)
	if setting, err := SettingFor(target, opts.Camera); err == nil {
		c.Camera = &setting
	}
	if ungelled, err := SettingFor(source, opts.Camera); err == nil && !opts.same(c.Shift) {
		c.NoGel = &ungelled
		c.advise("camera_instead", "setting", ungelled)
	}
	return c, nil
}

func correct(source, target CCT, sheets []sheet, opts Options) (Correction, error) {
	c, p, err := begin(source, target, opts)
	if err != nil || p == nil {
		c.holdBack()
		return c, err
	}
	light, _, alone := comparable(source, target)
	if alone { // nothing is known that they should change
		sheets = slices.DeleteFunc(slices.Clone(sheets), func(s sheet) bool { return s.gel.Kind == PlusGreen || s.gel.Kind == MinusGreen })
	}
	r := p.rank(light, sheets, opts.Stacks)
	if c.KelvinsAlone {
		r.forgetDuv(source)
	}
	c.Stacks = r.stacks
	c.adviseStacks(r, opts)
	c.holdBack()
	return c, nil
}

// begin settles the shift and the ideal filters, and how to predict stacks on
// this light; the predictor is nil where its spectrum cannot be modeled.
func begin(source, target CCT, opts Options) (Correction, *predictor, error) {
	light, goal, alone := comparable(source, target)
	shift, err := ShiftBetween(light, goal)
	if err != nil {
		return Correction{}, nil, err
	}
	c := Correction{Source: source, Target: target, Shift: shift, Stacks: []Stack{}, Within: opts.same(shift), KelvinsAlone: alone, Findings: noFindings()}
	model, err := ModelOf(light)
	if err != nil {
		c.warn("beyond_model", "light", source)
		return c, nil, nil
	}
	need, err := model.needs(goal)
	switch {
	case errors.Is(err, ErrBeyondModel):
		c.warn("beyond_filters")
	case err != nil:
		return Correction{}, nil, err
	case !alone: // how much green or magenta goes with it is not known
		c.Needs = &need
	}
	c.adviseNeeds(opts)
	uv, err := goal.UV()
	if err != nil {
		return Correction{}, nil, err
	}
	if alone {
		opts.ToleranceDuv = math.Inf(1)
	}
	return c, newPredictor(model.Spectrum, goal, uv.UVPrime(), opts), nil
}

// adviseNeeds says the ideal filters in set units.
func (c *Correction) adviseNeeds(opts Options) {
	if c.KelvinsAlone && !opts.same(c.Shift) {
		c.advise("correct.needs", "mired", c.Mired, "cc", CC(0), "gels", InGelWords(c.Mired, 0))
	}
	if c.Needs == nil || opts.same(c.Shift) {
		return
	}
	cc := c.Needs.Filter()
	if math.Round(c.Needs.Mired) == 0 && cc.Round() == 0 {
		return
	}
	c.advise("correct.needs", "mired", c.Needs.Mired, "cc", cc.Round(), "gels", InGelWords(c.Needs.Mired, cc))
	if extra := c.Needs.Mired - c.Mired; math.Abs(extra) > opts.ToleranceMired && cc.Round() != 0 {
		c.advise("cc_shifts_mired", "color", cc.Color(), "shift", -extra)
	}
}

// adviseStacks says which gels to hang, what that costs and where, or that the
// bag is of no use.
func (c *Correction) adviseStacks(r ranking, opts Options) {
	switch {
	case opts.same(c.Shift):
		c.advise("correct.within_tolerance", "mired", opts.ToleranceMired, "duv", opts.duvTolerance(c.KelvinsAlone))
		return
	case useful(r):
	case r.nearest == nil:
		c.advise("empty_bag")
		return
	default:
		c.advise("no_useful_gel", "nearest", *r.nearest, "reading", r.nearest.Reading(), "steps", r.nearest.Steps, "without", r.bare.Steps)
		return
	}
	best := r.stacks[0]
	c.Within = best.Within
	c.advise("best_stack", "best", best, "reading", best.Reading(), "steps", best.Steps, "loss", photometry.Loss(best.LossStops))
	if !best.Within {
		c.warn("correct.not_reached", "mired", opts.ToleranceMired, "duv", opts.duvTolerance(c.KelvinsAlone))
	}
	c.cautions(best, opts.On)
}

// cautions says what hanging a stack costs and asks for, which depends on where
// it hangs.
func (c *Correction) cautions(s Stack, on Place) {
	switch loss := photometry.Loss(s.LossStops); on {
	case OnLamp:
		c.advise("correct.on_lamp.loss", "loss", loss)
	case OnLens:
		c.advise("correct.on_lens.loss", "loss", loss)
	default:
		c.advise("correct.loss", "loss", loss)
	}
	if on != OnLens {
		c.warn("correct.heat")
	}
	c.warn("correct.estimate")
	if s.Nominal {
		c.warn("nominal_gels")
	}
}

// useful reports whether some gel is worth hanging: the best stack has one and
// lands within tolerance or saves at least a step.
func useful(r ranking) bool {
	best := r.stacks[0]
	return len(best.Gels) > 0 && (best.Within || r.bare.Steps-best.Steps >= 1)
}
