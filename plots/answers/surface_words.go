package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// surfaceSentences are what is found on a surface, and what to do about it.
var surfaceSentences = sentences{
	// Causes.
	"side_bright":   "Camera {bright} is {size} over camera {dark}: its light is too strong or too near.",
	"top_bright":    "The top is {size} over the bottom: the lamps are, or aim, too near to the top.",
	"bottom_bright": "The bottom is {size} over the top: the lamps are, or aim, too near to the bottom.",
	"middle_bright": "The middle is {size} over the edges: the beams meet there.",
	"edges_bright":  "The edges are {size} over the middle: the lamps are close in from the sides.",
	"hot_spot":      "Around {place} the level is {size} over the smooth run of the rest: a beam's center or spill falls there.",
	"dark_spot":     "Around {place} the level is {size} under the smooth run of the rest: something shades it.",
	"drift":         drifted,
	"meter_scatter": "The differences are no larger than the meter's own scatter.",
	"warmer_side":   "The light gets warmer toward {toward}, by {size:.0f} mired in all.",
	"greener_side":  "The light gets greener toward {toward}, by {size:.4f} Duv in all.",
	"lamp_color":    oddLamp,

	// The evidence for them.
	"evidence_across":      "slope {slope:+} across, smooth over all rows",
	"evidence_up":          "{rise:+} from bottom to top, smooth over all columns",
	"evidence_bow":         "curvature {bow:+}, smooth over the surface",
	"evidence_spot":        neighborsAgree,
	"evidence_drift":       "{readings} readings of the reference, {rate:+.4f} stop a minute",
	"evidence_scatter":     "spread {spread:.2f stop}, {readings} readings of ±{scatter:.3f} stop each",
	"evidence_color_plane": "a plane through the shifts of all places; readings of each lamp alone would show which lamp",
	"evidence_share":       "its share, {low:.0f} to {high:.0f} % of the light, explains {explained:.0f} % of the shifts at {places} places",

	// What to do, in set units: stops first, then what makes them.
	"lower_side":      lowerSide,
	"level_height":    levelHeight,
	"spread_beams":    "Lower the middle by {loss}: aim each lamp at the far edge, flood it, or move it out and back.",
	"move_back":       "Raise the middle by {gain}: move the side lamps farther from the surface, or aim them nearer to the middle.",
	"shade_spot":      shadeSpot,
	"clear_shadow":    "Find what shades the patch ({under} down): a stand, flag, fold or cable; else bring a beam nearer to it.",
	"let_settle":      "Let the lamps warm up and the supply settle. Read the reference every five readings until two in a row agree, then every ten.",
	"slope_or_drift":  "The slope from {way} runs along with the time of the walk: it may be the light changing. Read one place again now and then to tell them apart.",
	"match_color":     matchColor,
	"read_duv":        "Read Duv or a green–magenta index as well: kelvins alone do not show a green or magenta light.",
	"read_again":      readAgain,
	"repeat_some":     "So few repeats say little about how readings scatter: read four more places twice, or note the repeatability of your meter.",
	"at_the_limit":    "The surface is at the limit of the tolerance: more readings would hardly settle it. Make it a little more even instead.",
	"all_equal":       "All readings are equal, as on a coarse or stuck display: read in finer steps, or note the resolution.",
	"too_wide":        "The readings' own scatter of {scatter:.2f stop} hides the answer: steady the meter, or note its true repeatability.",
	"repeat_all":      "Read every place {times} and give all the readings: their means should prove the pass.",
	"repeat_extremes": "Read only {brightest} and {darkest} again, {times} each: if the difference stays, it is a fail.",
	"read_finer":      "Steps of {step:.2f} stop on the display are too coarse to prove {tolerance:.2f stop}, however often you read: set the meter to lux or to finer steps.",
	"needs_repeats":   "With readings good to {scatter:.2f} stop, a tolerance of {tolerance:.2f stop} needs about {readings} readings at each of {places} places to prove a pass.",
	"read_rest":       "{places} planned {places|place is|places are} not read yet and may be the darkest. Read the rest.",
	"read_over":       "Read {places} again on a higher range, or through a neutral density filter: the light was over the range there.",
	"read_under":      "Read {places} again on a lower range: the light was under what the meter shows there.",
	"read_five":       "Read at least {least} places that span both directions: so few do not prove a pass.",
	"read_closer":     "The readings are up to {spacing} apart; {advised} or less is advised for this size.",
	"read_edges":      "Read the edges and corners as well: readings at the middle of cells miss part of a fall-off.",
	"keep":            "Within tolerance: keep the lights as they are and note their places.",

	// What limits the answer.
	"outside_drift":             "{readings} {readings|reading was|readings were} taken long before or after those of the reference: how the light changed meanwhile is not known and not taken out there. Read the reference again beside them.",
	"untimed":                   "{places} {places|place has|places have} no time and {places|was|were} not corrected for the drift.",
	"far_off":                   "{place} ({level}) is far off the places around it and nothing explains it: read it again.",
	"missing":                   "{missing} of {places} places {missing|was|were} not read: the verdict is about the others.",
	"dome_on_surface":           "Read with a dome, which also sees light that passes along the surface: read it with the flat receptor for a verdict.",
	"too_bright":                "{level} is more than direct sun: check the unit of the levels.",
	"tiny":                      allWithin,
	"unlit":                     "{unlit} of {places} places {unlit|gets|get} no light at all: their level in stops does not exist.",
	"repeats_scatter":           "Repeat readings scatter by {seen:.1f} %, the notes say {stated:.1f} %: the verdict rests on the notes.",
	"color_reference":           "Color is not judged: {why}.",
	"reference.color_off_white": "The reference has no color temperature ({why}): only distances in u', v' are given.",
	"color_missing":             "{missing} of {places} places {missing|has|have} no color.",
	"color_off_white":           "{places} {places|place is|places are} too far from white for a color temperature and {places|counts|count} in u', v' only.",
	"color_far_off":             "The color at {place} is far off all others: read it again.",
	"color_unjudged":            "No place has a color temperature: color is not judged.",
}

func drifted(_ document.Words, v photometry.Values) string {
	change, way := float64(v["change"].(photometry.Stop)), "brighter"
	if change < 0 {
		way = "darker"
	}
	return fmt.Sprintf("The light got %s by %s while you read.", way, photometry.FormatStops(math.Abs(change)))
}

// oddLamp names the lamp whose color is farthest from the others'.
func oddLamp(_ document.Words, v photometry.Values) string {
	offset := ""
	switch off := v["offset"].(type) {
	case photometry.Mired:
		offset = fmt.Sprintf("%.0f mired %s", math.Abs(float64(off)), either(off >= 0, "warmer", "cooler"))
	case photometry.Duv:
		offset = fmt.Sprintf("%.4f Duv %s", math.Abs(float64(off)), either(off >= 0, "greener", "more magenta"))
	}
	return fmt.Sprintf("“%s” is %s than the middle of the lamps, and the surface follows its share of the light.", v["lamp"], offset)
}

func neighborsAgree(w document.Words, v photometry.Values) string {
	const most = 4
	places := v["places"].([]photometry.Point)
	text := strings.Join(texts(places[:min(most, len(places))], func(p photometry.Point) string { return pointName(w, p) }), ", ")
	if len(places) > most {
		text += " …"
	}
	return fmt.Sprintf("%d neighboring readings agree: %s", len(places), text)
}

func lowerSide(w document.Words, v photometry.Values) string {
	return fill(w, "Take {loss} off camera {side}: ", v) + lossInSetUnits(float64(v["loss"].(photometry.Stop))) +
		fill(w, ". With one lamp only, aim it toward camera {other} instead.", v)
}

func levelHeight(w document.Words, v photometry.Values) string {
	return fill(w, "Even out {loss} from top to bottom: ", v) + either(v["end"] == "top", "lower", "raise") + fill(w, " the lamps, or shade the {end} with half scrims.", v)
}

func shadeSpot(w document.Words, v photometry.Values) string {
	loss := v["loss"].(photometry.Stop)
	return fmt.Sprintf("Net or flag what hits the patch by %s (%s); shade the lamps one by one to find which.", figure(w, loss), scrims(float64(loss)))
}

func matchColor(_ document.Words, v photometry.Values) string {
	text := "Read the color of each lamp alone at the surface and match the odd one out with a gel"
	if v["worst"] != "" {
		text += fmt.Sprintf(", starting with the lamp nearest to %s", v["worst"])
	}
	return text + "."
}

func readAgain(_ document.Words, v photometry.Values) string {
	const most = 4
	places := v["places"].([]string)
	text := "Read " + strings.Join(places[:min(most, len(places))], ", ") + " again"
	if len(places) > most {
		text += fmt.Sprintf(" and %d more", len(places)-most)
	}
	if v["rows"] == true {
		text = "Check in which direction each row was walked, and read one row again"
	}
	return text + " first: the verdict may change with it."
}

func allWithin(w document.Words, v photometry.Values) string {
	return "All places are within " + w.Small(float64(v["size"].(photometry.Length))) + ": check the unit of the positions (chromaticities go under cie x and cie y)."
}

// lossInSetUnits is a loss in stops as the scrim, dimmer setting or distance
// that makes it.
func lossInSetUnits(stops float64) string {
	return fmt.Sprintf("%s, %.0f %% of its output, or %.2f times its distance", scrims(stops), photometry.DimmerPercent(-stops), photometry.DistanceFactor(-stops))
}

// scrims names the nearest scrims, with what they leave over where that matters.
func scrims(stops float64) string {
	name, got := photometry.Scrims(stops)
	switch {
	case name == "":
		return "less than a single scrim"
	case math.Abs(got-stops) <= 0.125:
		return name
	}
	return "nearest is " + name + " (" + photometry.FormatStops(got) + ")"
}
