package setup

import (
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
)

// shown is a level as a meter showed it.
type shown struct {
	meter photometry.Meter // its unit that of the cell
	level photometry.Level
	text  string  // with a decimal point
	times float64 // the meter's unit in one of the text
	role  ratio.Role
}

// displayStep finds the step of the display that levels were read from, where no note
// gives one, and says so: of f-numbers and exposure values the one that all of them fit;
// of levels the last decimal that any was written to, in stops at the darkest that is
// judged. A table in several units has the coarsest. A step that adds less than a fifth
// of a percent to the scatter, or a tenth of a repeatability that is noted, is left out.
func (n *ratioNotes) displayStep() {
	if n.input.Resolution > 0 {
		return
	}
	of := map[photometry.Unit][]shown{}
	for _, x := range n.shown {
		if x.level.Value > 0 {
			of[x.meter.Unit] = append(of[x.meter.Unit], x)
		}
	}
	var told photometry.Remark
	for _, unit := range slices.Sorted(maps.Keys(of)) {
		all := of[unit]
		if !slices.ContainsFunc(all, func(x shown) bool { return x.role.Has(ratio.KeyRole) || x.role.Has(ratio.FillRole) }) {
			continue // another meter's
		}
		stops, remark := n.stepOfStops(unit, all)
		if _, proportional := unit.Scale(); proportional {
			stops, remark = n.stepOfLevels(unit, all)
		}
		if stops > n.input.Resolution {
			n.input.Resolution, told = stops, remark
		}
	}
	if n.input.Resolution > 0 {
		n.taken = append(n.taken, told)
	}
}

// stepOfStops is the step of f-numbers or exposure values in stops.
func (n *ratioNotes) stepOfStops(unit photometry.Unit, all []shown) (float64, photometry.Remark) {
	var stops []float64
	step := 0.0
	for _, x := range all {
		for part, size := range map[string]float64{"/10": 0.1, "/3": 1. / 3} {
			if strings.Contains(x.text, part) {
				step = max(step, size)
			}
		}
		v := x.meter.Written(x.level.Value)
		if unit == photometry.FStop {
			v = 2 * math.Log2(v)
		}
		stops = append(stops, v)
	}
	if step == 0 {
		step = photometry.StopStep(stops, unit, n.meter.Marks)
	}
	return step, photometry.Remarked("step_stops", "step", photometry.Stop(step))
}

var decimals = regexp.MustCompile(`^[^0-9]*[0-9]+(?:\.([0-9]+))?`)

// stepOfLevels is the step of levels in stops at the darkest that is judged, 0 where it
// does not matter.
func (n *ratioNotes) stepOfLevels(unit photometry.Unit, all []shown) (float64, photometry.Remark) {
	judged := func(r ratio.Role) bool {
		return r.Has(ratio.KeyRole) || r.Has(ratio.FillRole) || slices.ContainsFunc(n.input.AreaTargets, func(t ratio.AreaTarget) bool { return t.Role == r })
	}
	step, least := math.Inf(1), math.Inf(1)
	for _, x := range all {
		if part := decimals.FindStringSubmatch(x.text); part != nil {
			step = min(step, x.times*math.Pow10(-len(part[1])))
		}
		if judged(x.role) {
			least = min(least, x.meter.Written(x.level.Value))
		}
	}
	finest := photometry.FinestStep
	if r := n.input.Repeatability; r != nil {
		finest = min(finest, *r/10)
	}
	if step/math.Sqrt(12) < finest*least || step >= least {
		return 0, photometry.Remark{}
	}
	return math.Log2((least + step/2) / (least - step/2)), photometry.Remarked("step_level", "step", photometry.Figure(step), "unit", unit)
}
