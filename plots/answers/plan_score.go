package answers

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"evenfall/falloff/plan"
)

// score is the answer for a plan that was held to readings.
func (p *planPage) score() {
	c := p.r.Score
	p.headline(either(c.Explained, "EXPLAINED", "NOT YET"), passed(c.Explained), fmt.Sprintf("the plan fits %d readings within %.3f stop rms; a reading scatters ±%.3f by itself", c.Readings, c.RMSStops, c.ScatterStops))
	p.Line("worst", fmt.Sprintf("%+.2f stop at %s: %s read, %s by the plan", c.WorstStops, p.errorPlace(c.Worst), p.level(c.Worst.Measured), p.level(c.Worst.Predicted)))
	told, _ := part(c.Lamps, plan.LampScore.Told) // a note has the others
	p.Line("lamps", texts(told, lampScoreText)...)
	p.predicted()
	p.Line("ambient", p.ambient(c))
	if c.AloneStops != nil {
		with := known(c.AmbientInAlone, func(in bool) string { return either(in, ", with", ", without") + " the ambient light," })
		p.Line("alone", fmt.Sprintf("readings of single lamps%s are %s stop on those of all together, on the whole", with, signed(*c.AloneStops, 2)))
	}
	p.Line("as planned", fmt.Sprintf("%.3f stop rms without fitting, readings %+.2f stop over the plan on the whole", c.AsPlanned.RMSStops, c.AsPlanned.OffsetStops))
	p.Line("color", known(c.RMSMired, func(mired float64) string {
		return fmt.Sprintf("within %.1f mired rms", mired) + Optional(" and %.4f Duv", c.RMSDuv)
	}))
	leftOut := texts(c.Excluded, func(e plan.Error) string {
		return fmt.Sprintf("%s, probably a data-entry error: %s read, %s by the plan", p.errorPlace(e), p.level(e.Measured), p.level(e.Predicted))
	})
	if !p.full {
		leftOut = leftOut[:min(3, len(leftOut))]
	}
	p.Line("left out", leftOut...)
	p.findings("note", c.Warnings)
}

func (p *planPage) errorPlace(e plan.Error) string { return cmp.Or(e.Label, p.Place(e.X, e.Y)) }

func lampScoreText(l plan.LampScore) string {
	return l.Name + either(len(l.Through) > 0, " through "+strings.Join(l.Through, " and "), "") + ": " + ofPlan(l, "its")
}

// ofPlan is how much of its plan a lamp gives, the interval rounded outward.
func ofPlan(l plan.LampScore, whose string) string {
	return fmt.Sprintf("%.0f %% of %s plan (%.0f to %.0f)", l.Percent, whose, math.Floor(*l.Low), math.Ceil(*l.High))
}

// ambient is the light that is in no row.
func (p *planPage) ambient(c *plan.Score) string {
	text := p.level(c.Ambient.Value)
	if c.Ambient.Value < 1e-3*c.Worst.Measured {
		text = "none"
	}
	switch {
	case c.Ambient.High == nil:
		return text
	case *c.Ambient.Low > 0:
		return text + fmt.Sprintf(" (%s to %s)", p.level(*c.Ambient.Low), p.level(*c.Ambient.High))
	}
	return text + ", at most " + p.level(*c.Ambient.High)
}
