package steps

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/match"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/uncertainty"
)

const (
	// leastChange is the smallest change of a lamp that is asked for, in stops: what two
	// readings at 2 % of repeatability can tell apart.
	leastChange = 0.08
	// leastGain is by how much a trim must better the spread, in stops.
	leastGain = 0.03
	// near is how far off a lamp may be set, in stops; half of it where more would carry
	// the surface out of tolerance.
	near = 0.1
	// leastShare of the light, in percent, makes a lamp worth reading.
	leastShare = 10.0
	// leastKelvin is the smallest change of a lamp's color by its dimmer that is told.
	leastKelvin = 5.0
)

// today is each lamp's share today of what it read alone: as the match found it, or 1.
func (p *planner) today() map[string]float64 {
	shares := map[string]float64{}
	if p.Match == nil || p.AloneToday {
		return shares
	}
	for name, l := range p.Match.Lamps {
		if l.Percent != nil && l.Changed {
			shares[name] = *l.Percent / 100
		}
	}
	return shares
}

// trim brings the lamps that were read alone to the most even trims, each to a reading
// of it alone, so that what a gel takes drops out. Without such readings it says what
// the likely cause asks for.
func (p *planner) trim() {
	if p.passes() {
		return
	}
	t := p.Trims
	if t == nil || t.Before.SpreadStops-t.After.SpreadStops < leastGain {
		p.change()
		return
	}
	trims := t.Trims
	if t.Kept != nil { // the most even trims give up most of the light
		trims = t.Kept.Trims
	}
	shares := p.today()
	goal := map[string]float64{}
	for name, trim := range trims {
		if goal[name] = 1; !trim.Fixed {
			goal[name] = trim.Percent / 100
		}
	}
	goal = p.withinReach(goal, shares)
	names := slices.Clone(t.Lamps)
	slices.SortStableFunc(names, func(a, b string) int { return -cmp.Compare(stopsFrom(shares, goal, a), stopsFrom(shares, goal, b)) })
	final := t.SpreadAt(goal)
	for _, name := range names {
		kept := with(goal, name, share(shares, name))
		if stopsFrom(shares, goal, name) < leastChange || t.SpreadAt(kept) < final+leastGain {
			goal = kept
		}
	}
	var set []string
	for _, name := range names {
		if share(shares, name) != goal[name] {
			shares = with(shares, name, goal[name])
			p.setLamp(name, goal[name], shares)
			set = append(set, name)
		}
	}
	if p.Match == nil || p.AloneToday || len(set) == 0 {
		return
	}
	for _, name := range names { // what the trims count on
		if l := p.Match.Lamps[name]; l.Changed && l.Percent != nil && !slices.Contains(set, name) && *l.High > *l.Low*math.Exp2(leastChange) && l.SharePercent > leastShare {
			p.relate(name, set)
		}
	}
}

// relate asks for the reading of a lamp that stays and whose light today is computed.
func (p *planner) relate(name string, set []string) {
	at, ok := p.Trims.Alone(name)
	if !ok {
		return
	}
	level := at.Level * share(p.today(), name)
	p.add(Step{Finding: photometry.Found("steps.relate", "lamp", name, "place", at.Point(), "level", p.level(level), "others", set), Lamp: name,
		Check: &Check{Lamp: name, Place: at.Label, X: at.X, Y: at.Y, Level: level, From: level * math.Exp2(-near), To: level * math.Exp2(near), Unit: p.Trims.Unit}})
}

// withinReach lowers all goals together where a lamp at its most gives less than its
// goal. Light that no lamp makes stays, which costs some evenness.
func (p *planner) withinReach(goal, today map[string]float64) map[string]float64 {
	down := 1.0
	for name, g := range goal {
		if most := share(today, name) * p.dials().Room(name); g > most*math.Exp2(leastChange) {
			down = min(down, most/g)
		}
	}
	out := map[string]float64{}
	for name, g := range goal {
		out[name] = g * down
	}
	return out
}

func share(of map[string]float64, name string) float64 {
	if s, ok := of[name]; ok {
		return s
	}
	return 1
}

func with(of map[string]float64, name string, share float64) map[string]float64 {
	out := maps.Clone(of)
	out[name] = share
	return out
}

// stopsFrom is the size of a lamp's change in stops; a lamp that goes off comes first.
func stopsFrom(from, to map[string]float64, name string) float64 {
	return math.Abs(math.Log2(share(to, name) / share(from, name)))
}

// setLamp asks for one lamp at a share of what it read alone. The shares are those of
// all lamps once that is done.
func (p *planner) setLamp(name string, goal float64, shares map[string]float64) {
	now := share(p.today(), name)
	at, known := p.Trims.Alone(name)
	step := Step{Lamp: name, After: p.after(shares)}
	var read *dimmer.Setting
	if goal > 0 {
		change := math.Log2(goal / now)
		step.ChangeStops = &change
		if percent, setting, ok := p.dials().Set(name, change); ok {
			step.DimmerPercent = &percent
			if read = setting; read != nil {
				step.DimmerInterval, step.ShiftMired = &read.Interval, read.Mired
			}
		}
	}
	var level, today any
	if known {
		off := near
		if step.After != nil && p.Trims.SpreadAt(with(shares, name, goal*math.Exp2(near))) > step.After.AllowedStops {
			off = near / 2
		}
		here := at.Level * now
		step.Check = &Check{Lamp: name, Place: at.Label, X: at.X, Y: at.Y, Level: at.Level * goal, From: at.Level * goal * math.Exp2(-off), To: at.Level * goal * math.Exp2(off),
			Unit: p.Trims.Unit, Today: &here}
		level, today = p.level(step.Check.Level), p.level(here)
	}
	step.Finding = p.lampFinding(step, at.Point(), level, today, p.dialFinding(step, read, shares))
	p.add(step)
}

// lampFinding is the sentence of a lamp that is set.
func (p *planner) lampFinding(step Step, at photometry.Point, level, today, dial any) photometry.Finding {
	if step.ChangeStops == nil {
		return photometry.Found("steps.off", "lamp", step.Lamp)
	}
	change := *step.ChangeStops
	var scrims any
	if row := p.dials().Row(step.Lamp); dial == nil && change < 0 && row != nil && hasScrims(row) {
		if name, _ := photometry.Scrims(-change); name != "" {
			scrims = name
		}
	}
	switch {
	case change > leastChange+math.Log2(p.dials().Room(step.Lamp)):
		return photometry.Found("steps.weak", "dimmer", photometry.Percentage(p.dials().Row(step.Lamp).Dimmer.At), "lamp", step.Lamp, "place", at, "level", level, "today", today, "up", photometry.Stop(change))
	case change > 0:
		return photometry.Found("steps.up", "lamp", step.Lamp, "place", at, "level", level, "today", today, "up", photometry.Stop(change), "dial", dial)
	}
	return photometry.Found("steps.down", "lamp", step.Lamp, "place", at, "level", level, "today", today, "down", photometry.Stop(-change), "dial", dial, "scrims", scrims)
}

func (p *planner) dials() setup.Dials { return setup.Dials{Lamps: p.Lamps, Read: p.Dimmers} }

// dialFinding is how a lamp's dimmer is set, nil where none is on file; with what that
// does to its color, and to that of the surface where it gives most.
func (p *planner) dialFinding(step Step, read *dimmer.Setting, shares map[string]float64) any {
	switch {
	case step.DimmerPercent == nil:
		return nil
	case read == nil:
		return photometry.Found("steps.dial_linear", "percent", photometry.Percentage(*step.DimmerPercent))
	}
	var kelvin, runs any
	if read.Mired != nil {
		if change := *read.Kelvin - 1e6/(1e6 / *read.Kelvin - *read.Mired); math.Abs(change) >= leastKelvin {
			kelvin, runs = photometry.Kelvin(change), photometry.Mired(*read.Mired*p.Trims.Share(step.Lamp, shares))
		}
	}
	return photometry.Found("steps.dial", "from", photometry.Percentage(*read.FromPercent), "percent", photometry.Percentage(read.Percent), "kelvin", kelvin, "runs", runs, "flickers", read.Flickers)
}

// level is a level of the surface for a sentence.
func (p *planner) level(v float64) photometry.Level {
	return photometry.Level{Value: v, Quantity: p.Surface.Survey.Quantity}
}

// after is the surface with lamps at shares.
func (p *planner) after(shares map[string]float64) *Prediction {
	now, _ := p.Trims.At(p.today())
	state, edge := p.Trims.At(shares)
	change := photometry.Stops(state.Mean, now.Mean)
	out := &Prediction{MeanChangeStops: &change, ToEdge: edge, SpreadStops: state.SpreadStops, IntervalStops: state.SpreadInterval, AllowedStops: p.Trims.Limits.Total(), Evenness: state.Verdict.Evenness}
	if p.list.Intent == schema.IntentMatch && !p.AloneToday {
		offset, pattern := p.Trims.DifferenceAt(shares)
		t := p.Match.Tolerance
		out.DayBeforeStops = &DayBefore{offset, pattern, math.Abs(offset) <= t.OffsetStops && pattern <= t.PatternStops}
	}
	return out
}

// hasScrims tells whether a lamp's row has scrims, or says that it takes them.
func hasScrims(row *setup.Lamp) bool {
	return row.Scrims != "" && !strings.EqualFold(row.Scrims, "none") && row.Scrims != "–"
}

// changing are the codes of advice of a surface that change the light.
var changing = map[string]bool{"tell_apart": true, "lower_side": true, "block_light": true, "cover_floor": true, "center_lamp": true, "level_height": true, "spread_beams": true, "move_back": true, "shade_spot": true, "clear_shadow": true, "let_settle": true}

// change takes what the likely causes of a surface ask for: the first change of the
// light alone, since what another one brings after it is not known before it was read.
func (p *planner) change() {
	changed := false
	for _, f := range p.Surface.Advice {
		if !changing[f.Code] || changed && f.PredictedSpread != nil {
			continue
		}
		changed = changed || f.PredictedSpread != nil
		step := Step{Finding: photometry.Found("steps.change", "what", f.Finding)}
		if c := f.Change; c != nil && c.Stops > 0 {
			stops := -c.Stops
			step.ChangeStops = &stops
		}
		if f.PredictedSpread != nil && f.PredictedInterval != nil {
			allowed := p.Surface.Limits.Total()
			step.After = &Prediction{SpreadStops: *f.PredictedSpread, IntervalStops: f.PredictedInterval, AllowedStops: allowed,
				Evenness: uncertainty.Judge(f.PredictedInterval[0], f.PredictedInterval[1], allowed)}
		}
		p.add(step)
	}
}

// restore undoes what changed since the day before, and nothing else.
func (p *planner) restore() {
	shares := p.today()
	for _, f := range p.Match.Steps {
		lamp, _ := f.Values["lamp"].(string)
		switch f.Code {
		case match.StepMeterAgain, match.StepKeep:
		case match.StepReadAgain:
			if f.Key == "match.read_again" && len(p.list.Steps) == 0 {
				p.say("steps.change", "what", f)
			}
		case match.StepGel:
			p.add(p.gelBack(lamp, f))
		case match.StepOneLamp, match.StepTrim:
			if l, known := p.Match.Lamps[lamp]; known && l.Percent != nil && p.Trims != nil && !p.AloneToday {
				shares = with(shares, lamp, 1)
				p.setLamp(lamp, 1, shares)
				continue
			}
			p.say("steps.change", "what", f)
		default:
			p.say("steps.change", "what", f)
		}
	}
}

// gelBack is the step that brings a lamp's color back, by gels of the bag where there
// is one.
func (p *planner) gelBack(lamp string, f photometry.Finding) Step {
	step := Step{Finding: photometry.Found("steps.change", "what", f), Lamp: lamp}
	l := p.Match.Lamps[lamp].Color
	if l == nil || p.Gels == nil {
		return step
	}
	c, err := colorimetry.Correct(colorimetry.CCT{Kelvin: l.CCT, Duv: l.Duv}, colorimetry.CCT{Kelvin: l.CCTBefore, Duv: l.DuvBefore}, p.Gels, colorimetry.Options{})
	if err != nil || len(c.Stacks) == 0 || len(c.Stacks[0].Gels) == 0 {
		return step
	}
	best := c.Stacks[0]
	step.Finding = photometry.Found("steps.hang", "lamp", lamp, "gels", best, "loss", photometry.Loss(best.LossStops), "within", best.Within,
		"mired", photometry.Mired(l.MiredShift), "duv", photometry.Duv(l.DuvShift))
	return step
}

// gel matches the lamps' colors where color is out of tolerance: a gel that hangs and
// should not comes off before another is added.
func (p *planner) gel() {
	s := p.Surface
	if s.Verdict.Color != uncertainty.Fail {
		return
	}
	for _, f := range s.Advice {
		if f.Code == "match_color" {
			p.say("steps.change", "what", f.Finding)
		}
	}
}
