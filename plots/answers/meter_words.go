package answers

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// meterSentences are what is said of a meter.
var meterSentences = sentences{
	// What to be careful of.
	"resolution_hides": "All repeats agree to the last digit shown: the display is coarser than the meter. Note the step as a resolution instead.",
	"scatter_hides":    "Readings that scatter by {percent} hide a tenth of a stop: read each place several times, or note the true repeatability.",
	"few_repeats":      "Too few repeats to go by (anything from {least:.3g} to {most:.3g} % would do): until there are five or more readings of one light, the larger of this and 2 % counts.",
	"one_sided":        "Angles on one side alone cannot tell a tilted receptor from a directional error: read the other side too.",
	"angles.dome":      "These readings follow a dome, not a flat receptor, and no f2 is given: a dome reads about (1 + cos)/2. At {angle:.3g}° that is {dome:.2f} of the light head-on, a flat receptor {flat:.2f}, {more:.2f} stop less.",
	"f2_short":         "f2 stops at {angle:.3g}°, {sides|the largest angle read|the largest angle read on both sides of the axis}; the index proper runs to 85° and is larger.",
	"bent":             "With the distances as written the meter shows {shown:.2f} of every stop. No other place of the source explains the ladder as well.",
	"not_the_meter":    "{law:^} explains the ladder better than a fault of the meter: take ambient light away, keep five source diameters off, or use filters.",
	"offset_or_meter":  "The ladder is linear only if the source is {offset:abs} {offset|behind|in front of} where the distances count from. With the distances as written the meter shows {shown:.2f} of every stop and is off by up to {off:.2g} stop. Measure from the source itself, five of its diameters off or more. Or read filters of known density before one fixed light. Either separates the two.",
	"filter_density":   "A filter's own density counts as the meter's fault here: use filters of known density.",

	// How good the meter is, and what to do.
	"directional":              "At {angle:.3g}° the meter reads {size:.1f} % {high|high|low} of the cosine law: light from the side counts wrong by that much.",
	"cosine":                   "The meter follows the cosine law within the scatter of the readings, to {angle:.3g}°.",
	"not_linear":               "Over {range:.1f} stops of level the meter is off by up to {largest:.2g} stop, more than its repeatability explains.",
	"linear":                   "Over {range:.1f} stops of level the meter is linear within its repeatability (largest deviation {largest:.2g} stop).",
	"note":                     "Paste this line at the head of a survey: {line}",
	"turn_to_light":            "Light that comes from beyond {beyond:.3g}° reads wrong by more than a tenth of a stop: turn the receptor to such a light and read it alone.",
	"everywhere.turn_to_light": "Light that comes from anywhere off its axis reads wrong by more than a tenth of a stop: turn the receptor to such a light and read it alone.",

	// How a file was read.
	"meter_parts": meterParts,
}

func meterParts(w document.Words, v photometry.Values) string {
	var all []string
	add := func(n int, what string) {
		if n > 0 {
			all = append(all, fmt.Sprintf("%d %s", n, what))
		}
	}
	add(v["repeats"].(int), "as repeats of "+lightCount(v["lights"].(int)))
	add(v["angles"].(int), "by angle")
	add(v["distances"].(int), "by distance")
	add(v["filters"].(int), "by filter")
	return fill(w, "{readings} readings, ", v) + strings.Join(all, ", ")
}

// lightCount is how many lights were read.
func lightCount(n int) string { return either(n == 1, "one light", fmt.Sprintf("%d lights", n)) }
