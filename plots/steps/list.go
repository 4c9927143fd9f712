package steps

import (
	"evenfall/falloff/balance"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/evenness"
	"evenfall/photometry/match"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/uncertainty"
)

// Inputs are the results that the list is made from. Each may be absent.
type Inputs struct {
	Surface *evenness.Result // the newest survey of the surface
	Match   *match.Result    // that survey against the day before
	// Trims are of the lamps read alone, today or the day before.
	Trims *balance.Result
	// AloneToday says that the lamps were read alone today.
	AloneToday bool
	Ratios     *ratio.Result
	Lamps      []setup.Lamp
	Dimmers    *dimmer.Result    // what was read of the lamps' dimmers; nil for nothing
	Gels       []colorimetry.Gel // the bag; nil where none is on file
	// Intent is match or improve as somebody wants it; "" leaves it to Approved.
	Intent   string
	Approved bool // the light of the day before is to be had again
}

// Limit is how many steps a list has at most.
const Limit = 5

// List is what to do, in the order that works.
type List struct {
	Intent string `json:"intent"` // match or improve
	// Why says where the intent is from.
	Why   photometry.Finding `json:"why"`
	Steps []Step             `json:"steps"`
	// NotNow are the steps of the other intent, which would undo these.
	NotNow []Step `json:"not_now,omitempty"`
	// Short says what would help where the list does not reach the tolerance.
	Short *photometry.Finding `json:"short,omitempty"`
}

// IsChoice reports whether the steps could have another intent, so that Why says something.
func (l *List) IsChoice() bool { return l.Why.Key != oneDay }

// oneDay is the finding where no day before is there to be matched.
const oneDay = "steps.one_day"

// Step is one thing to do.
type Step struct {
	photometry.Finding
	Lamp string `json:"lamp,omitempty"`
	// ChangeStops is the change of the lamp's light against today, positive for more.
	ChangeStops *float64 `json:"change_stops,omitempty"`
	// DimmerPercent is the setting that makes it, absent where the lamp has none on file:
	// by what was read of the dimmer, with its 95 % interval and what it does to the
	// lamp's color (positive warms), else as if it were linear.
	DimmerPercent  *float64    `json:"dimmer_percent,omitempty"`
	DimmerInterval *[2]float64 `json:"dimmer_interval_percent,omitempty"`
	ShiftMired     *float64    `json:"shift_mired,omitempty"`
	// Check is the reading that proves the step.
	Check *Check `json:"check,omitempty"`
	// After is the surface once this step and those before it are done.
	After *Prediction `json:"after,omitempty"`
}

// Check is a reading at a place: of one lamp alone, the others off, or of all.
type Check struct {
	Lamp  string  `json:"lamp_alone,omitempty"` // empty for all lamps
	Place string  `json:"place,omitempty"`
	X     float64 `json:"x_m"`
	Y     float64 `json:"y_m"`
	Level float64 `json:"level"`
	From  float64 `json:"from"` // that will do
	To    float64 `json:"to"`
	Unit  string  `json:"unit"`
	// Today is what it reads there now, as computed.
	Today *float64 `json:"today,omitempty"`
}

// Prediction is a computed surface.
type Prediction struct {
	SpreadStops   float64     `json:"spread_stops"`
	IntervalStops *[2]float64 `json:"interval_stops,omitempty"`
	AllowedStops  float64     `json:"allowed_stops"`
	Evenness      string      `json:"evenness"` // pass, fail or unsure
	// MeanChangeStops is how the mean of the part that decides changes from as read,
	// positive brighter; nil where it is not known.
	MeanChangeStops *float64 `json:"mean_change_stops,omitempty"`
	// ToEdge is the spread with the edge of the part in shot, where no place is read.
	ToEdge         *evenness.ToEdge `json:"to_edge,omitempty"`
	DayBeforeStops *DayBefore       `json:"day_before,omitempty"`
}

// DayBefore is how a computed surface differs from that of the day before.
type DayBefore struct {
	OffsetStops  float64 `json:"offset_stops"`
	PatternStops float64 `json:"pattern_stops"`
	Within       bool    `json:"within_tolerance"`
}

// Make makes the list. It is nil where there is nothing to judge.
func Make(in Inputs) *List {
	if in.Surface == nil {
		return nil
	}
	p := &planner{Inputs: in, list: &List{Steps: []Step{}}}
	p.intend()
	p.readAgain()
	if p.list.Intent == schema.IntentMatch {
		p.restore()
		if in.Surface.Verdict.Evenness != uncertainty.Pass {
			other := &planner{Inputs: in, list: &List{Intent: schema.IntentImprove}}
			other.trim()
			p.list.NotNow = other.list.Steps
		}
	} else {
		p.gel()
		p.trim()
	}
	p.marks()
	p.prove()
	p.settle()
	return p.list
}

// planner puts a list together.
type planner struct {
	Inputs
	list *List
}

func (p *planner) add(s Step) {
	if len(p.list.Steps) < Limit {
		p.list.Steps = append(p.list.Steps, s)
	}
}

func (p *planner) say(key string, namesAndValues ...any) {
	p.add(Step{Finding: photometry.Found(key, namesAndValues...)})
}

// intend settles what the list is for: once a set-up was shot, matching comes before
// improving.
func (p *planner) intend() {
	switch {
	case p.Match == nil && p.Intent == schema.IntentMatch:
		p.list.Intent, p.list.Why = schema.IntentImprove, photometry.Found("steps.nothing_to_match")
	case p.Intent != "":
		p.list.Intent, p.list.Why = p.Intent, photometry.Found("steps.intent_given", "intent", p.Intent)
	case p.Match != nil && p.Approved:
		p.list.Intent, p.list.Why = schema.IntentMatch, photometry.Found("steps.approved", "day", p.Match.Before.Date)
	case p.Match != nil:
		p.list.Intent, p.list.Why = schema.IntentImprove, photometry.Found("steps.not_approved", "day", p.Match.Before.Date)
	default:
		p.list.Intent, p.list.Why = schema.IntentImprove, photometry.Found(oneDay)
	}
}

// readAgain asks for suspects first where they decide.
func (p *planner) readAgain() {
	s := p.Surface
	if len(s.Suspects) == 0 || s.Without != nil && s.Without.Verdict == s.Verdict.Evenness && s.Verdict.Evenness == uncertainty.Fail {
		return
	}
	p.say("steps.read_again", "places", places(s))
}

// places names the suspects.
func places(s *evenness.Result) (labels []string) {
	for _, x := range s.Suspects {
		labels = append(labels, x.Label)
	}
	return labels
}

// passes reports whether the surface is even, at least without its suspects.
func (p *planner) passes() bool {
	s := p.Surface
	return s.Verdict.Evenness == uncertainty.Pass || s.Without != nil && s.Without.Verdict == uncertainty.Pass
}

// marks asks for what the ratios advise, as far as there is room.
func (p *planner) marks() {
	if p.Ratios == nil || p.Ratios.Verdict == uncertainty.Pass {
		return
	}
	for _, f := range p.Ratios.Advice {
		if len(p.list.Steps) < Limit-1 {
			p.say("steps.marks", "what", f)
		}
	}
}

// settle asks for the readings that an unsure verdict waits for, where nothing is to be
// changed first.
func (p *planner) settle() {
	if p.Surface.Verdict.Evenness != uncertainty.Unsure || len(p.list.Steps) > 0 {
		return
	}
	for _, f := range p.Surface.Advice {
		if settling[f.Code] {
			p.say("steps.read", "what", f.Finding)
			return
		}
	}
}

// settling are the codes of advice that asks for readings.
var settling = map[string]bool{"read_rest": true, "read_five": true, "settle_conflict": true, "read_over": true, "read_under": true, "repeat_some": true, "few_references": true,
	"repeat_all": true, "repeat_extremes": true, "read_finer": true, "needs_repeats": true, "read_duv": true}

// prove ends the list with the reading that proves it.
func (p *planner) prove() {
	if len(p.list.Steps) == 0 {
		return
	}
	s := p.Surface
	last := Step{Finding: photometry.Found("steps.prove", "places", s.Points, "suspects", places(s), "match", p.Match != nil && p.list.Intent == schema.IntentMatch)}
	for i := len(p.list.Steps) - 1; i >= 0 && last.After == nil; i-- {
		last.After = p.list.Steps[i].After
	}
	if last.After != nil && last.After.Evenness == uncertainty.Fail {
		short := photometry.Found("steps.short", "spread", photometry.Stop(last.After.SpreadStops), "allowed", photometry.Stop(last.After.AllowedStops), "match", p.list.Intent == schema.IntentMatch)
		p.list.Short = &short
	}
	p.add(last)
}
