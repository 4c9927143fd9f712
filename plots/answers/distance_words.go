package answers

import (
	"fmt"
	"math"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/plots/document"
)

// distanceSentences are what is said of a distance series.
var distanceSentences = sentences{
	// Whether the inverse square holds: the subject, where it does, how exactly,
	// and what light there is besides.
	"holds":                "the inverse square holds",
	"by_itself.holds":      "for the light by itself the inverse square holds",
	"seems":                "the inverse square seems to hold",
	"by_itself.seems":      "for the light by itself the inverse square seems to hold",
	"whether_holds":        "whether the inverse square holds",
	"in_doubt":             "{suspect} is in doubt; with it {said}",
	falloff.HoldsAllTheWay: "{holds:^} all the way, {read}{exactly}{besides}.",
	falloff.HoldsFrom:      "{holds:^} from {from} on ({sure}), within 1 %{besides}.",
	falloff.HoldsBeyond:    "{holds:^} only from {from} on ({sure}), farther than was read, within 1 %{besides}.",
	falloff.HoldsElsewhere: "{holds:^} with distances from {offset:abs} {offset|behind|ahead of} the present zero; as they are measured, only from {from} on, within 1 %{besides}.",
	falloff.NoLawFits:      "{whether:^} cannot be told: no law fits these readings{besides}.",
	falloff.NoInverse:      "No inverse square: the level rises with distance.",
	"exactly":              ", within 1 %",
	"few.exactly":          ", as far as so few readings tell",
	"nowhere.exactly":      ", as far as these readings tell; to 1 % that is sure nowhere",
	"from.exactly":         ", as far as these readings tell; to 1 % that is sure from {from} on",
	"besides":              "; ambient light or bounce adds more than 1 % everywhere",
	"beyond.besides":       "; ambient light or bounce adds more than 1 % beyond {beyond}",

	// What readings are called that have no name.
	"by_line":   "line {line}",
	"by_number": "reading {number}",

	// What to be careful of.
	"few_readings":               "Readings at {distances} distances cannot tell one law from another: read at {least} or more.",
	"unchecked.few_readings":     "Only {spare} reading more than the law has parameters: nothing checks it.",
	"short_range":                "From {near} to {far} the distance changes by a factor of {factor:.3g} only: too little to see how the light falls.",
	"no_model_fits":              "The readings scatter {times:.3g} times more about the best law than their repeatability of {percent:.3g} % allows: no model here is the whole story, and the intervals are stretched to match.",
	"rival_model":                "{rival:^} fits about as well (score {score:.1f} against {best_score:.1f}) and would put {moves}.",
	"moved_intensity":            movedIntensity,
	"moved_start":                "the start of the inverse square at {to} instead of {from}",
	"moved_near_end":             "the near end of the zone at {to} instead of {from}",
	"moved_far_end":              "the far end of the zone at {to} instead of {from}",
	"gained_far_end":             "the far end of the zone at {to}",
	"lost_far_end":               "no far end to the zone",
	"rising":                     "The level rises by {rise:.3g} stop from {from} to {to}. A light alone falls with distance: look for a light that is focused farther out, another light, the meter's own shadow, or two readings swapped.",
	"everywhere.rising":          "The level rises by {rise:.3g} stop from {from} to {to}. A light alone falls with distance: look for columns swapped, distances measured from the wrong end, or another light behind the meter.",
	"outlier":                    outlier,
	"slip_units":                 " Lux and footcandles, or meters and feet, swapped would do that.",
	"slip_decimal":               " A misplaced decimal point would do that.",
	"slip_decimal_distance":      " A misplaced decimal point in the distance would do that.",
	"slip_centimeters":           " A distance in centimeters taken for meters would do that.",
	"mark.extrapolated":          "The mark at {mark} is outside what was read, {near} to {far}: what is said about it is extrapolated.",
	"far.extrapolated":           "The far end of the zone, {end}, is beyond the farthest reading ({farthest}).",
	"near.extrapolated":          "The near end of the zone, {end}, is nearer than the nearest reading ({nearest}).",
	"wanted.extrapolated":        "The wanted level stands at {at}, outside what was read ({near} to {far}).",
	"mark_behind_source":         "The light seems to start {ahead} ahead of where distances are measured from, beyond the mark at {mark}: there is no zone to give.",
	"no_far_end":                 noFarEnd,
	"level_out_of_reach":         "The wanted level {level} is more than this light gives at any distance.",
	"ambient.level_out_of_reach": "The wanted level {level} is below the ambient light of {ambient}: no distance gives it.",
	"ambient_dominates":          "At {mark} ambient light is more than the source's own: the reading there says little about the source.",
	"repeatability_assumed":      "A repeatability of {percent:.3g} % is assumed. Repeat a few readings, or note your meter's own.",
	"dome":                       "A dome takes in light from the sides and behind: it counts more ambient light than a flat receptor would.",

	// What was assumed.
	"luminance_of_card": "luminance is taken as that of a card that the light falls on; that of the light itself does not change with distance",

	// Why the light falls as it does.
	"inverse_square":      "The source's own light follows the inverse square at every distance read.",
	"size.inverse_square": "The source's own light follows the inverse square at every distance read. A source too small to show could still bend it nearer than {nearer}.",
	"source_size":         "The source looks {across} across: nearer than {nearer} its light falls more gently than the inverse square.",
	"origin_behind":       "The light falls as if it started {offset} behind the point that distances are measured from, as behind a lens or a reflector.",
	"origin_ahead":        "The light falls as if it started {offset} ahead of the point that distances are measured from: a lens that crosses its rays there, or a tape laid from farther back.",
	"ambient":             "About {ambient} of every reading does not fall with distance: ambient or bounce, {share_near:.3g} % of the level at {near} and {share_far:.3g} % at {far}.",
	"source_size_unclear": "A source {across} across fits a little better than a point, but anything from none to {most} would do.",
	"origin_unclear":      "An origin {offset} off fits a little better than none, but anything from {least} to {most} would do.",
	"ambient_unclear":     "Ambient light of {ambient} fits a little better than none, but anything from none to {most} would do.",

	// What to do next.
	"suspect.read_again": "Read {suspect} again first: all of this may change with it.",
	"rival.read_again":   tellApart,
	"series.read_again":  "No single reading tells {best} from {rival}: read the whole series again from {near} to {far}, several times at each place.",
	"range.read_again":   "Read at {far} as well, and at {near}: twice as far and half as near.",
	"gap.read_again":     "Read at {gap} as well, in the widest gap, and at {far}.",
	"read_ambient":       "To be sure of the ambient light, read once with the light off: about {ambient} is expected. What stays above that with the light on is bounce, and a flag or a black drape takes it away.",
	"measure_from":       "Measured from {offset:abs} {offset|behind|ahead of} the present zero, distances obey the inverse square.",
	"depth":              depthOfZone,
}

// lawNames are the laws in a sentence.
var lawNames = map[falloff.LawName]string{
	falloff.ModelPoint: "a point", falloff.ModelOffset: "a point with an offset", falloff.ModelDisc: "a disc",
	falloff.ModelPointAmbient: "a point with ambient light", falloff.ModelOffsetAmbient: "a point with an offset and ambient light", falloff.ModelDiscAmbient: "a disc with ambient light",
}

// movedIntensity has the unit that levels times square meters have.
func movedIntensity(_ document.Words, v photometry.Values) string {
	unit := map[photometry.Quantity]string{photometry.Illuminance: " cd", photometry.LuminousExposure: " cd·s"}[v["levels"].(photometry.Quantity)]
	candela := func(intensity float64) string {
		if intensity >= 999.5 {
			return fmt.Sprintf("%.0f%s", intensity, unit)
		}
		return fmt.Sprintf("%.3g%s", intensity, unit)
	}
	return "the intensity at " + candela(v["to"].(float64)) + " instead of " + candela(v["from"].(float64))
}

// outlier names a reading, and each data-entry error that would explain it.
func outlier(w document.Words, v photometry.Values) string {
	text := fill(w, "{reading:^} ({level} at {at}) is {off:.3g} stop off the law of all the others: read it again.", v)
	for _, slip := range v["slips"].([]photometry.Finding) {
		text += Sentence(w, slip)
	}
	return text
}

func tellApart(w document.Words, v photometry.Values) string {
	who := "A reading"
	if v["readings"].(int) > 1 {
		who = fill(w, "{readings} readings", v)
	}
	return who + fill(w, " at {at} would tell {best} ({here} expected) from {rival} ({there}).", v)
}

func depthOfZone(w document.Words, v photometry.Values) string {
	return "Within ±" + fraction(v["within"].(photometry.Stop)) + fill(w, " of the level at {mark} there are {deep} of depth, from {near} to {far}. Twice the distance gives about twice the depth.", v)
}

func noFarEnd(_ document.Words, v photometry.Values) string {
	return "Ambient light holds the level up: behind the mark it never falls by " + fraction(v["within"].(photometry.Stop)) + "."
}

// fraction is the half width of a zone, in a usual fraction of a stop where it is
// one.
func fraction(width photometry.Stop) string {
	for text, stops := range map[string]float64{"1/3": 1.0 / 3, "1/2": 0.5, "1/4": 0.25, "2/3": 2.0 / 3, "1": 1} {
		if math.Abs(float64(width)-stops) < 1e-3 {
			return text + " stop"
		}
	}
	return fmt.Sprintf("%.3g stop%s", float64(width), either(width > 1, "s", ""))
}

// between writes an interval: 1.2 to 3.4 m, with open ends in words. It is empty
// where both are open.
func between(i falloff.Interval, write func(float64) string) string {
	low, high := math.IsInf(i.Lo, -1), math.IsInf(i.Hi, 1)
	switch {
	case low && high:
		return ""
	case high:
		return "at least " + write(i.Lo)
	case low:
		return "at most " + write(i.Hi)
	}
	return photometry.FromTo(i.Lo, i.Hi, write)
}
