package answers

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/plots/document"
)

// correctSentences are what takes lights to a color.
var correctSentences = sentences{
	"correct.approved": "The set-up's light is approved: these gels would change it. Hang them only where that light is to be given up.",
	// What to hang, and what it costs.
	"correct.needs":            "Needs {mired and cc}{gels?, about {gels}}.",
	"cc_shifts_mired":          "The {color} filter alone would shift this light by about {shift:+.0f} mired; the conversion filter takes that back.",
	"correct.within_tolerance": "Already within {mired:g} mired{duv? and {duv:g} Duv} of the target; leave it.",
	"empty_bag":                "No gel in the bag can be tried on this light.",
	"no_useful_gel":            "No gel in the bag brings this light usefully nearer to the target. The nearest, {nearest}, reads {reading}, {steps:.1f} steps off against {without:.1f} without it.",
	"best_stack":               "Hang {best}: reads {reading}, {steps:.1f} steps from the target, for {loss}.",
	"correct.loss":             "On the lamp it costs that lamp alone {loss}; on the lens it costs the exposure {loss} and shifts every lamp.",
	"correct.on_lamp.loss":     "On the lamp it costs that lamp alone {loss}.",
	"correct.on_lens.loss":     "On the lens it costs the exposure {loss} and shifts every lamp.",
	"camera_instead":           "If this is the only light, no gel is needed: {setting}.",

	// Of a table of lamps.
	"correct.read_duv":  "Read Duv or a green–magenta index of {lamps} as well: kelvins alone do not show a green or magenta light.",
	"gel_on":            "{lamp} carries {gel} and was metered with it: take that off and meter again before you add to it.",
	"correct.camera":    "With the lamps at {target}, {setting}.",
	"correct.most.loss": "Each gel costs its own lamp; most is lost at {lamp}, {loss}. Balance the levels again after gelling.",
	"correct.lens":      "On the lens, {filter} takes {group} to {reading}. It costs the exposure {loss} and shifts every lamp.",
	"lens_of_no_use":    "{group}: already within {mired:g} mired{duv? and {duv:g} Duv} of the target. A filter on the lens shifts all lamps alike and cannot bring them together; gel the lamps that differ.",
	"correct.shared":    "All lamps share a shift of {mired and duv} to the target. One filter on the lens, or the camera's own setting, does that for all of them; gels are then needed only for what differs.{lens}{camera}",
	"shared_on_lens":    " On the lens it costs {loss} of exposure.",
	"shared_in_camera":  " In the camera it costs nothing: {setting}.",

	// What limits the answer.
	"beyond_model":              "The light is {light}; what gels do to it cannot be predicted from a reading alone. The shifts stand; try gels and meter.",
	"beyond_filters":            "No conversion filter with a CC filter takes this light all the way to the target.",
	"correct.not_reached":       "Nothing in the bag lands within {mired:g} mired{duv? and {duv:g} Duv} of the target; this is the nearest that is worth its loss.",
	"correct.lamps.not_reached": "Not within {mired:g} mired and {duv:g} Duv of the target with this bag: {lamps}.",
	"lamp_ends":                 "{lamp} (ends at {after})",
	"no_majority":               "No majority of the lamps agrees; the target is the largest group, {group}.",
	"no_two.no_majority":        "No two lamps agree within {mired:g} mired and {duv:g} Duv; the target is {nearest}, the nearest to all the others.",
	"correct.heat":              "Gel burns: keep it at the distance that the lamp's maker gives.",
	"correct.estimate":          "Predicted for a smooth spectrum; LED and discharge lamps can land elsewhere. Meter again with the gel on.",
	"nominal_gels":              "Nominal gels are estimates; a maker's sheet is better.",
	"gel_transmission_high":     "gel {gel:q}: at {transmission} transmission it would have to add light at some wavelengths; check the sheet",
	"gel_sheet_disagrees":       "gel {gel:q}: its chromaticity is a shift of {shift:+.0f} mired at {source}, its stated shift {stated:+.0f}; the chromaticity was used",
}

// idealFilters are a conversion and a CC filter.
func idealFilters(_ document.Words, v photometry.Values) string {
	parts := miredParts(v["mired"].(float64))
	if cc := v["cc"].(colorimetry.CC); cc != 0 {
		parts = append(parts, cc.String())
	}
	return strings.Join(parts, " and ")
}

// sharedShift is what all lamps need alike.
func sharedShift(_ document.Words, v photometry.Values) string {
	parts := miredParts(v["mired"].(float64))
	if duv := v["duv"].(float64); duv != 0 {
		parts = append(parts, signed(duv, 4)+" Duv")
	}
	return strings.Join(parts, " and ")
}

// miredParts is a shift with its direction; there is none below half a mired.
func miredParts(shift float64) []string {
	size := math.Round(math.Abs(shift))
	if size == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%.0f mired of %s", size, either(shift > 0, "warming", "cooling"))}
}

// stackName names the gels of a stack: quarter CTB with half minus green.
func stackName(s colorimetry.Stack) string { return cmp.Or(strings.Join(s.Gels, " with "), "nothing") }

// cameraSetting says what to set, to the tens of kelvins and halves of tint that
// cameras are set in: set B to 5600 K, tint 2.5 toward magenta.
func cameraSetting(s colorimetry.CameraSetting) string {
	tint, words := math.Round(s.Tint*2)/2, "no tint"
	switch {
	case s.TintUnknown:
		words = "tint not known without Duv"
	case tint != 0:
		words = fmt.Sprintf("tint %g toward %s", math.Abs(tint), either(tint > 0, "magenta", "green"))
	}
	return fmt.Sprintf("set %s to %.0f K, %s", cmp.Or(s.Camera, "the camera"), math.Round(s.Kelvin/10)*10, words)
}
