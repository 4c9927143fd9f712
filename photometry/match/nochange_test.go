package match

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
)

// Where nothing changed, lamps of different colors are not said to have changed
// theirs: the level of each is known to a few percent only, and that shifts the mix
// just as a gel does.
func TestNoColorWhereNothingChanged(t *testing.T) {
	runs := simulated(20, 200)
	for _, kelvins := range [][3]float64{{5600, 5600, 5600}, {5600, 5500, 5000}, {5600, 5600, 3200}} {
		wrong := 0
		for seed := range uint64(runs) {
			g := twoSides(100 + seed).with(func(pointLamps []pointLamp) {
				for i := range pointLamps {
					pointLamps[i].light = colorimetry.CCT{Kelvin: kelvins[i], Duv: 0.002}
				}
			})
			before := g.survey(t)
			r := mustMatchWith(before, g.survey(t), Options{Lamps: g.alone(t, before, somePlaces)})
			told := func(f photometry.Finding) bool { return strings.HasPrefix(f.Code, "color_") || f.Code == StepGel }
			if slices.ContainsFunc(r.Warnings, told) || slices.ContainsFunc(r.Steps, told) {
				wrong++
			}
		}
		atMost(t, fmt.Sprintf("lamps of %v K: a color named", kelvins), wrong, runs, falseClaims)
	}
}
