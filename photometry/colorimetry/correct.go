package colorimetry

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Correction is what takes one light to a target.
type Correction struct {
	Source CCT `json:"source"`
	Target CCT `json:"target"`
	Shift
	Needs  *Need          `json:"needs,omitempty"`              // absent beyond the filter models
	Stacks []Stack        `json:"stacks"`                       // best first; see Options.Stacks
	Within bool           `json:"within_tolerance"`             // with the best stack, or as it is
	Camera *CameraSetting `json:"camera,omitempty"`             // for the target
	NoGel  *CameraSetting `json:"camera_without_gel,omitempty"` // for the light as it is, where it is off
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
	On             Place         // where gel hangs; "" is the lamp, and the loss on the lens is told too
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

// same tells whether a shift is within tolerance.
func (o Options) same(s Shift) bool {
	const rounding = 1e-9
	return math.Abs(s.Mired) <= o.ToleranceMired*(1+rounding) && math.Abs(s.Duv) <= o.ToleranceDuv*(1+rounding)
}

// Correct returns what takes a measured light to a target: the shift, the ideal
// conversion and CC filter together, and the best stacks of at most two gels from
// the bag with the reading predicted behind each. The light as it is comes first
// where it is within tolerance already, then stacks that land within tolerance,
// then the others, each by Stack.Penalty. An empty bag leaves the list with the
// light as it is.
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
		c.advise("camera_instead", "If this is the only light, no gel is needed: %s.", ungelled)
	}
	return c, nil
}

func correct(source, target CCT, sheets []sheet, opts Options) (Correction, error) {
	c, p, err := begin(source, target, opts)
	if err != nil || p == nil {
		return c, err
	}
	r := p.rank(source, sheets, opts.Stacks)
	c.Stacks = r.stacks
	c.adviseStacks(r, opts)
	return c, nil
}

// begin settles the shift and the ideal filters, and how to predict stacks on
// this light; the predictor is nil where its spectrum cannot be modeled.
func begin(source, target CCT, opts Options) (Correction, *predictor, error) {
	shift, err := ShiftBetween(source, target)
	if err != nil {
		return Correction{}, nil, err
	}
	c := Correction{Source: source, Target: target, Shift: shift, Stacks: []Stack{}, Within: opts.same(shift), Findings: noFindings()}
	model, err := ModelOf(source)
	if err != nil {
		c.warn("beyond_model", "The light is %v; what gels do to it cannot be predicted from a reading alone. The shifts stand; try gels and meter.", source)
		return c, nil, nil
	}
	need, err := model.needs(target)
	switch {
	case errors.Is(err, ErrBeyondModel):
		c.warn("beyond_filters", "No conversion filter with a CC filter takes this light all the way to the target.")
	case err != nil:
		return Correction{}, nil, err
	default:
		c.Needs = &need
	}
	c.adviseNeeds(opts)
	uv, err := target.UV()
	if err != nil {
		return Correction{}, nil, err
	}
	return c, newPredictor(model.Spectrum, target, uv.UVPrime(), opts), nil
}

// adviseNeeds says the ideal filters in set units.
func (c *Correction) adviseNeeds(opts Options) {
	if c.Needs == nil || opts.same(c.Shift) {
		return
	}
	cc := c.Needs.Filter()
	var parts []string
	if words := mired(c.Needs.Mired); words != "" {
		parts = append(parts, words)
	}
	if cc.Round() != 0 {
		parts = append(parts, cc.Round().String())
	}
	text := strings.Join(parts, " and ")
	if text == "" {
		return
	}
	if words := InGelWords(c.Needs.Mired, cc); words != "" {
		text += ", about " + words
	}
	c.advise("needs", "Needs %s.", text)
	if extra := c.Needs.Mired - c.Mired; math.Abs(extra) > opts.ToleranceMired && cc.Round() != 0 {
		c.advise("cc_shifts_mired", "The %s filter alone would shift this light by about %+.0f mired; the conversion filter takes that back.", cc.Color(), -extra)
	}
}

// mired says a shift with its direction, and nothing below half a mired.
func mired(shift float64) string {
	switch r := math.Round(shift); {
	case r > 0:
		return fmt.Sprintf("%.0f mired of warming", r)
	case r < 0:
		return fmt.Sprintf("%.0f mired of cooling", -r)
	}
	return ""
}

// adviseStacks says which gels to hang, what that costs and where, or that the
// bag is of no use.
func (c *Correction) adviseStacks(r ranking, opts Options) {
	switch {
	case opts.same(c.Shift):
		c.advise("within_tolerance", "Already within %g mired and %g Duv of the target; leave it.", opts.ToleranceMired, opts.ToleranceDuv)
		return
	case useful(r):
	case r.nearest == nil:
		c.advise("empty_bag", "No gel in the bag can be tried on this light.")
		return
	default:
		c.advise("no_useful_gel", "No gel in the bag brings this light usefully nearer to the target. The nearest, %s, reads %v, %.1f steps off against %.1f without it.",
			r.nearest.Words(), r.nearest.Reading(), r.nearest.Steps, r.bare.Steps)
		return
	}
	best := r.stacks[0]
	c.Within = best.Within
	c.advise("best_stack", "Hang %s: reads %v, %.1f steps from the target, for %s.", best.Words(), best.Reading(), best.Steps, stops(best.LossStops))
	if !best.Within {
		c.warn("not_reached", "Nothing in the bag lands within %g mired and %g Duv of the target; this is the nearest that is worth its loss.", opts.ToleranceMired, opts.ToleranceDuv)
	}
	c.cautions(best, opts.On)
}

// cautions says what hanging a stack costs and asks for, which depends on where
// it hangs.
func (c *Correction) cautions(s Stack, on Place) {
	switch on {
	case OnLamp:
		c.advise("loss", "On the lamp it costs that lamp alone %s.", stops(s.LossStops))
	case OnLens:
		c.advise("loss", "On the lens it costs the exposure %s and shifts every lamp.", stops(s.LossStops))
	default:
		c.advise("loss", "On the lamp it costs that lamp alone %s; on the lens it costs the exposure %[1]s and shifts every lamp.", stops(s.LossStops))
	}
	if on != OnLens {
		c.warn("heat", "Gel burns: keep it at the distance that the lamp's maker gives.")
	}
	c.warn("estimate", "Predicted for a smooth spectrum; LED and discharge lamps can land elsewhere. Meter again with the gel on.")
	if s.Nominal {
		c.warn("nominal_gels", "Nominal gels are estimates; a maker's sheet is better.")
	}
}

// useful tells whether some gel is worth hanging: the best stack has one and
// lands within tolerance or saves at least a step.
func useful(r ranking) bool {
	best := r.stacks[0]
	return len(best.Gels) > 0 && (best.Within || r.bare.Steps-best.Steps >= 1)
}

// stops says a loss with its unit.
func stops(loss float64) string {
	if r := math.Round(loss*10) / 10; r > 1 {
		return fmt.Sprintf("%.1f stops", r)
	}
	return fmt.Sprintf("%.1f stop", loss)
}
