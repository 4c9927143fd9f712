package answers

import (
	"fmt"
	"math"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// surfaceSentences are what is found on a surface, and what to do about it.
var surfaceSentences = sentences{
	// While a lamp is trimmed.
	"trim.good":      "Good, hold there",
	"trim.off":       "Take off a little more: {stops:.1f stop}",
	"trim.on":        "Give a little more: {stops:.1f stop}",
	"trim.back_up":   "Too far: give back {stops:.1f stop}",
	"trim.back_down": "Too far: take off {stops:.1f stop}",
	"trim.over":      "{off:.2f stop} over its goal",
	"trim.under":     "{off:.2f stop} under its goal",
	"trim.within":    "within",

	// Causes.
	"side_bright":         "Camera {bright} is {size} over camera {dark}: its light is too strong or too near.",
	"top_bright":          "The top is {size} over the bottom: the lamps are, or aim, too near to the top.",
	"bottom_bright":       "The bottom is {size} over the top: the lamps are, or aim, too near to the bottom.",
	"middle_bright":       "The middle is {size} over the edges: the beams meet there.",
	"edges_bright":        "The edges are {size} over the middle: the lamps are close in from the sides.",
	"one_lamp":            "One lamp alone, or far over the others, makes {size} of the spread.",
	"surface.other_light": "Light from beyond {side:edge} adds up to {size} there: a window or spill.",
	"bounce":              "Light from the floor adds up to {size} at the bottom.",
	"hot_spot":            "A patch of light around {place} is {size} over the rest: a beam's center or spill.",
	"dark_spot":           "A patch around {place} is {size} under the rest: something shades it.",
	"shadow":              "Something shades {side:edge}, by up to {size}.",
	"one_reading":         "{place} alone is {size} {darker|under|over} what the rest suggests: your own shadow, or an entry error?",
	"drift":               "The light got {change|brighter|darker} by {change:abs} while you read.",
	"meter_scatter":       "The differences are no larger than the meter's own scatter.",
	"warmer_side":         "The light gets warmer toward {toward}, by {size:.0f} mired in all.",
	"greener_side":        "The light gets greener toward {toward}, by {size:.4f} Duv in all.",
	"lamp_color":          "“{lamp}” is {offset:toward} than the middle of the lamps, and the surface follows its share of the light.",

	// Their rivals.
	"rival.side_bright":   "the lamp on camera {bright}",
	"rival.one_lamp":      "one lamp alone",
	"rival.top_bright":    "lamps too high",
	"rival.bottom_bright": "lamps too low",
	"rival.edges_bright":  "lamps close in from the sides",
	"rival.middle_bright": "beams that meet in the middle",
	"rival.other_light":   "light from beyond {side:edge}",
	"rival.bounce":        "light from the floor",
	"rival.hot_spot":      "a patch of light around {place}",
	"rival.dark_spot":     "a patch of shadow around {place}",
	"rival.shadow":        "a shadow at {side:edge}",
	"rival.drift":         "a light that changed while you read",
	"rival.one_reading":   "the reading at {place} alone",

	// What tells them apart.
	"test.switch_off":  "switch the lamp on camera {side} off and read {place}: much light left there is another's",
	"test.cloth_down":  "lay black cloth on the floor and read {place} again: what is gone came from there",
	"test.shade_edge":  "shade the surface from above and read {place} again: if it stays, it is the lamps",
	"test.others_off":  "switch all lamps but the strongest off and read {place}: if little changes, it is alone",
	"test.first_again": "read {place}, where you began, again: if it changed, so did the light",
	"test.read_beside": "read {place} again, and half a step beside it: a patch is there too",
	"test.read_at":     "read {place}, between the places: {if_cause} speaks for {cause}, {if_rival} for {rival}",
	"test.read_there":  "read {place} again: if it stays, it is the light",

	// Readings that would help most.
	"next.suspect": "Read {place} again: about {expected} makes it an entry error, {found} a true spot.",
	"next.test":    "{test:^}.",
	"next.unread":  "Read {place}: the light is expected to run {off:.1f stop} from there to {near}.",
	"next.extreme": "Read {place} again {times}: means of brightest and darkest {limit:.2f stop} or more apart prove a fail.",

	// The evidence for them.
	"evidence_model":       "explains {explains:.2f stop}, weight {weight} among all models",
	"evidence_drift":       "{readings} readings of the reference, {rate:+.4f} stop a minute",
	"evidence_scatter":     "spread {spread:.2f stop}, {readings} readings of ±{scatter:.3f} stop each",
	"evidence_color_plane": "a plane through the shifts of all places; readings of each lamp alone would show which lamp",
	"evidence_share":       "its share, {low:.0f} to {high:.0f} % of the light, explains {explained:.0f} % of the shifts at {places} places",

	// What to do, in set units: stops first, then what makes them.
	"tell_apart":      "First {test}.",
	"lower_side":      "Take {loss:tenths} off camera {side} (dim it to {loss:dimmed} of what it gives): {brings}.",
	"block_light":     "Block the light from {side:edge}: {brings}.",
	"cover_floor":     "Lay black cloth on the floor: {brings}.",
	"center_lamp":     "Put the lamp in front of the middle, {times:.3g} times as far off: {brings}.",
	"level_height":    "{lower|Lower|Raise} the lamps to the middle's height: {brings}.",
	"spread_beams":    "Aim each lamp {share} of the way from the middle to its {far|far|near} edge: {brings}.",
	"move_back":       "Move the lamps {times:.3g} times as far from the surface: {brings}.",
	"shade_spot":      "Net or flag what hits {place}: {brings}. Shade the lamps one by one to find which.",
	"clear_shadow":    "Find what makes {where}, a stand, flag, fold or cable, and clear it: {brings}.",
	"read_there":      "Read {place} again: without it, {brings}.",
	"let_settle":      "Let the lamps warm up and the supply settle. Read the reference every five readings until two in a row agree, then every ten.",
	"brings":          brings,
	"match_color":     "Read the color of each lamp alone at the surface. Match the odd one out with a gel{worst?, starting with the lamp nearest to {worst}}.",
	"read_colors":     "Read color temperature and Duv at more places: those that have none may be off.",
	"few_references":  "Read the reference every five readings until two in a row agree, then every ten: {readings} readings of it do not exclude that the light changed.",
	"repeat_color":    "Read the color at the reference and where it is farthest off three times: read once it is good to ±{mired} mired and ±{duv} Duv, by assumption.",
	"read_duv":        "Read Duv or a green–magenta index as well: kelvins alone do not show a green or magenta light.",
	"read_again":      "{rows?Check in which direction each row was walked, and read one row again|Read {places:few} again} first: the verdict may change with it.",
	"repeat_some":     "So few repeats say little about how readings scatter: read four more places twice, or note the repeatability of your meter.",
	"at_the_limit":    "The surface is at the limit of the tolerance: more readings would hardly settle it. Make it a little more even instead.",
	"too_wide":        "The readings' own scatter of {scatter:.2f stop} hides the answer: steady the meter, or note its true repeatability.",
	"repeat_all":      "Read every place {times} and give all the readings: their means should prove the pass.",
	"repeat_extremes": "Read only {brightest} and {darkest} again, {times} each: if the difference stays, it is a fail.",
	"read_finer":      "Steps of {step:.2f} stop on the display are too coarse to prove {tolerance:.2f stop}, however often you read: set the meter to lux or to finer steps.",
	"needs_repeats":   "With readings good to {scatter:.2f} stop, {tolerance:.2f stop} allowed needs about {readings} readings at each of {places} places to pass.",
	"read_rest":       "{places} planned {places|place is|places are} not read yet and may be the darkest. Read the rest.",
	"read_over":       "Read {places} again on a higher range, or through a neutral density filter: the light was over the range there.",
	"read_under":      "Read {places} again on a lower range: the light was under what the meter shows there.",
	"settle_conflict": "Say which of the first readings counts, or read that place again.",
	"read_five":       "Read at least {least} places that span both directions: so few do not {failed|show why it is uneven|prove a pass}.",
	"read_closer":     "The readings are up to {spacing} apart; {advised} or less is advised for this size.",
	"dome_on_surface": "Read it with the flat receptor for a verdict: a dome also sees light that passes along the surface.",
	"read_edges":      "Read the edges and corners as well: readings at the middle of cells miss part of a fall-off.",
	"keep":            "Within tolerance: keep the lights as they are and note their places.",

	// What limits the answer.
	"outside_drift":             "{readings} {readings|reading was|readings were} taken long before or after those of the reference: how the light changed meanwhile is not known and not taken out there. Read the reference again beside them.",
	"untimed":                   "{places} {places|place has|places have} no time and {places|was|were} not corrected for the drift.",
	"far_off":                   "{place} ({level}) is far off the places around it and nothing explains it: read it again.",
	"all_equal":                 "All readings are equal, as on a coarse or stuck display: read in finer steps, or note the resolution.",
	"missing":                   "{missing} of {places} places {missing|was|were} not read: the verdict is about the others.",
	"too_bright":                "{level} is more than direct sun: check the unit of the levels.",
	"tiny":                      "All places are within {size:small}: check the unit of the positions (chromaticities go under cie x and cie y).",
	"unlit":                     "{unlit} of {places} places {unlit|gets|get} no light at all: their level in stops does not exist.",
	"repeats_scatter":           "Repeat readings scatter by {seen:.1f} %, the notes say {stated:.1f} %: the verdict rests on the notes.",
	"color_reference":           "Color is not judged: {why}.",
	"reference.color_off_white": "The reference has no color temperature ({why}): only distances in u', v' are given.",
	"color_missing":             "{missing} of {places} places {missing|has|have} no color.",
	"color_off_white":           "{places} {places|place is|places are} too far from white for a color temperature and {places|counts|count} in u', v' only.",
	"color_far_off":             "The color at {place} is far off all others: read it again.",
	"color_unjudged":            "No place has a color temperature: color is not judged.",
}

// colorShift is the size and the direction of a shift of color: 12 mired warmer.
func colorShift(shift any) string {
	if duv, ok := shift.(photometry.Duv); ok {
		return fmt.Sprintf("%.4f Duv %s", math.Abs(float64(duv)), either(duv < 0, "more magenta", "greener"))
	}
	mired := shift.(photometry.Mired)
	return fmt.Sprintf("%.0f mired %s", math.Abs(float64(mired)), either(mired < 0, "cooler", "warmer"))
}

// edgeName is a side of the surface: of lamps and light a camera side.
func edgeName(side string) string {
	switch side {
	case "left", "right":
		return "camera " + side
	case "top", "bottom":
		return "the " + side
	}
	return "the " + side + " corner"
}

// brings is the spread before and after a change; how sure that is depends on where the
// tolerance lies.
func brings(w document.Words, v photometry.Values) string {
	lo, hi, allowed := v["lo"].(photometry.Stop), v["hi"].(photometry.Stop), v["allowed"].(photometry.Stop)
	end := ""
	switch {
	case lo > allowed:
		end = ", more than allowed"
	case hi > allowed:
		end = ", which may be more than allowed"
	}
	return fill(w, "spread {edge|with the edge |}{before:.2f} → about {spread:.2f stop} ({lo:.2f}–{hi:.2f})", v) + end
}
