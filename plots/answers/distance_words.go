package answers

import (
	"math"

	"evenfall/falloff"
	"evenfall/photometry"
)

// distanceSentences are what is said of a distance series.
var distanceSentences = sentences{
	// From where on the inverse square holds, counted from where, and what light
	// there is besides.
	falloff.HoldsAllTheWay:              "Inverse square at every distance read, {read}, within 1 %{counted}{besides}.",
	falloff.HoldsFrom:                   "Inverse square from {from} on ({sure:ci}), within 1 %{counted}{besides}.",
	falloff.HoldsBeyond:                 "Inverse square only from {from} on ({sure:ci}), farther than was read, within 1 %{counted}{besides}.",
	falloff.HoldsBy:                     "Inverse square from {latest} on at the latest, within 1 %{counted}{besides}.",
	falloff.HoldsUnsettled:              "Inverse square from {latest} on at the latest; nearer than that is not settled{counted}{besides}.",
	"anywhere.inverse_square_unsettled": "Where the inverse square begins cannot be told from these readings{besides}.",
	falloff.NoLawFits:                   "No law fits these readings.",
	"suspect.no_law_fits":               "{suspect:^} is suspect; with it no law fits these readings.",
	falloff.NoInverse:                   "No inverse square: the level rises with distance.",
	"counted":                           ", counted from {offset:abs} {offset|behind|ahead of} the tape's zero",
	"besides":                           "; ambient light or bounce adds more than 1 % everywhere",
	"beyond.besides":                    "; ambient light or bounce adds more than 1 % beyond {beyond}",

	// What readings are called that have no name.
	"by_line":   "line {line}",
	"by_number": "reading {number}",

	// What to be careful of.
	"few_readings":               "Readings at {distances} distances cannot tell one law from another: read at {least} or more.",
	"short_range":                "From {near} to {far} the distance changes by a factor of {factor:.3g} only: too little to see how the light falls.",
	"no_model_fits":              "The readings scatter {times:.3g} times more about the best law than their repeatability of {percent:.3g} % allows. The intervals are that much wider.",
	"unsettled":                  "These readings, good to {percent:.2g} %, do not settle {what:and}.",
	"what_intensity":             "the intensity",
	"what_inverse_square":        "where the inverse square begins",
	"what_depth":                 "the ends of the even zone",
	"what_ambient":               "the ambient light",
	"rising":                     "The level rises by {rise:.3g} stop from {from} to {to}. A light alone falls with distance: look for a light that is focused farther out, another light, the meter's own shadow, or two readings swapped.",
	"everywhere.rising":          "The level rises by {rise:.3g} stop from {from} to {to}. A light alone falls with distance: look for columns swapped, distances measured from the wrong end, or another light behind the meter.",
	"outlier":                    "{reading:^} ({level} at {at}) is {off:+.3g stop} off the law of all the others: read it again.{slips:}",
	"slip_units":                 " Lux and footcandles, or meters and feet, swapped would do that.",
	"slip_decimal":               " A misplaced decimal point would do that.",
	"slip_decimal_distance":      " A misplaced decimal point in the distance would do that.",
	"slip_centimeters":           " A distance in centimeters taken for meters would do that.",
	"mark.extrapolated":          "The mark at {mark} is outside what was read, {near} to {far}: what is said about it is extrapolated.",
	"far.extrapolated":           "The far end of the zone, {end}, is beyond the farthest reading ({farthest}).",
	"near.extrapolated":          "The near end of the zone, {end}, is nearer than the nearest reading ({nearest}).",
	"wanted.extrapolated":        "The wanted level is at {at}, outside what was read ({near} to {far}).",
	"mark_behind_source":         "The light seems to start {ahead} ahead of where distances are measured from, beyond the mark at {mark}: there is no zone to give.",
	"no_far_end":                 "Ambient light holds the level up: behind the mark it never falls by {within:.2f stop}.",
	"level_out_of_reach":         "The wanted level {level} is more than this light gives at any distance.",
	"ambient.level_out_of_reach": "The wanted level {level} is below the ambient light of {ambient}: no distance gives it.",
	"ambient_dominates":          "At {mark} ambient light is more than the source's own: the reading there says little about the source.",
	"repeatability_assumed":      "A repeatability of {percent:.3g} % is assumed. Repeat a few readings, or note your meter's own.",
	"dome":                       "A dome takes in light from the sides and behind: it counts more ambient light than a flat receptor would.",

	// What was assumed.
	"luminance_of_card": "luminance is taken as that of a card that the light falls on; that of the light itself does not change with distance",

	// Why the light falls as it does.
	"inverse_square":      "These readings show nothing that bends the inverse square.",
	"size.inverse_square": "These readings show nothing that bends the inverse square; a source too small to show could, nearer than {nearer}.",
	"source_size":         "The source looks {across} across: nearer than {nearer} its light falls more gently than the inverse square.",
	"origin_behind":       "The light falls as if it started {offset} behind the tape's zero, as behind a lens or a reflector.",
	"origin_ahead":        "The light falls as if it started {offset} ahead of the tape's zero: a lens that crosses its rays there, or a tape laid from farther back.",
	"ambient":             "About {ambient} of every reading does not fall with distance: ambient or bounce, {share_near:.3g} % of the level at {near} and {share_far:.3g} % at {far}.",

	// What to do next.
	"suspect.read_again": "Read {suspect} again first: all of this may change with it.",
	"check_tape":         "Check that the tape's zero is where the light starts. If it is not, measure again from there. Then note tape: checked, but for a lens, behind which light starts; {settles}.",
	"read_at":            "Read at {at} as well, about {expected} is expected; {settles}.",
	"would_settle":       "that settles {what}",
	"helps_most":         "that helps most, though it may not settle everything",
	"series.read_again":  "No single reading settles it: read the whole series again from {near} to {far}, several times at each place.",
	"range.read_again":   "Read at {far} as well, and at {near}: twice as far and half as near.",
	"gap.read_again":     "Read at {gap} as well, in the widest gap, and at {far}.",
	"read_ambient":       "To be sure of the ambient light, read once with the light off: about {ambient} is expected. More than that is bounce: a flag or a black drape takes it away.",
	"measure_from":       "Measured from {offset:abs} {offset|behind|ahead of} the present zero, distances obey the inverse square.",
	"depth":              "Within ±{within:.2f stop} of the level at {mark} there are {deep} of depth, from {near} to {far}. Twice the distance gives about twice the depth.",
}

// lawNames are the laws in a sentence.
var lawNames = map[falloff.LawName]string{
	falloff.LawDisc: "a disc", falloff.LawAmbient: "a point with ambient light", falloff.LawOffsetAmbient: "a point with an offset and ambient light",
	falloff.LawDiscAmbient: "a disc with ambient light",
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
