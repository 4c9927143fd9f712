package answers

import (
	"fmt"
	"math"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/plots/document"
)

// planSentences are what a plan says of its lamps, and of the readings that it is
// compared with.
var planSentences = sentences{
	// What the lamps' table leaves open, or has that was perhaps not meant.
	"unsolved":             "{free} free {free|cell|cells} taken at the present value or the middle of the range: nothing was asked that could choose. --level with --at or --size, or --size alone, would.",
	"nothing_free":         "Nothing is free, so this only predicts: a cell with a range, such as 1.5..3.0, would be solved for the level.",
	"stopped":              "Ended before the search was through: this is the best that it had found.",
	"skipped_values":       "Part of the ranges was not tried: there the light takes too many looks at parts of lights.",
	"skipped_sensitivity":  "Not computed how carefully {lamps:short} {lamps|has|have} to be placed: a little off, that takes too many looks at parts of lights.",
	"no_sensitivity":       "Ended before it was known how carefully each stand has to be placed.",
	"from_middle":          "A range without a present value starts from its middle, so “before” is not the set-up as it is: write the present value before the range, 60 (40..100), to compare.",
	"behind_surface":       "“{lamp}” stands behind the plane of the surface and gives it nothing.",
	"file":                 "“{lamp}”: {note}",
	"near_file":            "“{lamp}” is {distance} from {mark?{mark}|the surface}; its file is measured from {from} or more, five times its opening. Nearer it is taken as evenly bright.",
	"frame.unlit":          "No light of “{lamps}” falls on “{frame}”: check its side and its aim.",
	"spill_on_frame":       "“{lamp}” shines on the back of “{frame}” too, {share:part} what is meant to: flag that off, or the frame gives more than is predicted.",
	"front.spill_on_frame": "“{lamp}” shines on the front of “{frame}”. What the frame throws back, up to {share:part} what it gives, is not predicted: flag that off.",
	"spill_on_board":       "“{lamp}” shines on “{board}” too, {share:part} what is meant to. What the board sends on of that is not predicted: name both in its row, or flag it off.",
	"past_frame":           "{misses} of the light of “{lamp}” passes beside “{frame}” and counts.{of_mean? It makes {of_mean} of the mean on the surface.} Close its doors or flag it off. Write the spill (%) that is left, 0 for none, in the frame's row.",

	// What was assumed.
	"bare_bulb":          "“{lamp}” has no beam and shines evenly in all directions, as a bare bulb does",
	"surface_on_floor":   "the surface is on the floor: stand heights count from its lower edge (floor y says otherwise)",
	"nominal_material":   "“{lamp}”: nominal figures of {material}, common practice; readings with and without it would replace them",
	"alone_with_ambient": "the lamps read alone were read {on|with the ambient light on|without the ambient light}: so the readings fit better",

	// What readings say.
	"plan.unlit":     "The plan gives no light at {places} places that were read: they took no part.",
	"ambient_alone":  "The readings cannot tell whether the lamps read alone hold the ambient light; taken without it. Read the ambient light by itself (lamp ambient).",
	"cannot_tell":    "The readings cannot tell {lamps} from the other lamps: read {lamps|it|each} alone at a few places.",
	"gives_nothing":  "By the plan {lamp}" + through + " gives the places that were read nothing{read|, but it was read alone: check its place, its aim and what is before it.|: the readings say nothing of it.}",
	"lamp_dark":      "The readings show no light of {lamp}" + through + " ({most} of its plan at most): is it on, and where the table says?",
	"lamp_level":     "{lamp:^}" + through + " gives {percent} of its plan ({change:+.1f} stop): its dimmer, scrims, age or figures are other than the table says.",
	"plan.ambient":   "{level} of ambient light or spill that is in no row, {share} of the mean.",
	"lamp_elsewhere": "{lamp:^} as planned cannot explain the readings: that it {is elsewhere} would explain {explained} of the error.",
	"not_explained":  "The readings scatter more about the plan (±{rms:.2f} stop) than a meter does (±{scatter:.2f}): walls, spill or a lamp that is in no row; most at {worst}.",

	// What a sweep asks for, and how far a stand is off.
	"asked_hot_spot": "hot spot at most {most}",
	"asked_loss":     "loss at most {most}",
	"asked_level":    "level at least {least}",
	"asked_penumbra": "penumbra at least {least:in or cm}",
	"off_by":         "{distance:whole in or cm}",
	"turned_by":      "{degrees:.0f}°",

	// What has to be heeded.
	"plan.stands":   "Rated stands, sandbags, safety bonds and trained riggers ({tall?{tall:short} over {height:written}{sails?, }}{sails?{sails:short} a sail}).",
	"close.heat":    "Heat: {frames} is within {within:written} of its lamp; keep the lamp maker's distance.",
	"plan.heat":     "Heat: keep the lamp maker's distance to gels and diffusion.",
	"plan.power":    "Power: {watts:figure} W in all, more than a household circuit carries; a licensed electrician spreads it, by the local code.",
	"flash.eyes":    "Eyes: warn people before flashes, above all photosensitive ones; nobody looks into a lamp.",
	"bright.eyes":   "Eyes: nobody looks into {lamps:short}; dimmed lamps may flicker (photosensitive people).",
	"glare":         "Eyes: {most} and more at {marks:, } is too bright to look into for long.",
	"plan.estimate": "An estimate: meter again before relying on it.",
}

// through are the frames that a lamp's light passes.
const through = "{through? (through {through})}"

// elsewhere says by how much a stand seems to be off.
func elsewhere(w document.Words, v photometry.Values) string {
	off := float64(v["distance"].(photometry.Length))
	far, turned := smallWhole(w, math.Abs(off)), fmt.Sprintf("%.0f°", math.Abs(v["degrees"].(float64)))
	switch v["by"] {
	case "x":
		return "stands about " + far + " farther to camera " + either(off > 0, "right", "left")
	case "y":
		return "stands about " + far + either(off > 0, " higher", " lower")
	case "z":
		return "stands about " + far + either(off > 0, " farther from", " nearer to") + " the surface"
	case "pan":
		return "is panned about " + turned + " farther to camera " + either(off > 0, "right", "left")
	}
	return "is tilted about " + turned + " farther " + either(off > 0, "up", "down")
}

// inOrCm is a short length in inches or centimeters.
func inOrCm(w document.Words, meters float64, write func(float64) string) string {
	return either(w.Feet, write(meters/0.0254)+" in", write(100*meters)+" cm")
}

// smallWhole is a short length in whole centimeters or inches, as a tape is read.
func smallWhole(w document.Words, meters float64) string {
	return inOrCm(w, meters, func(v float64) string { return fmt.Sprintf("%.0f", v) })
}

// smallFigure is a short length as it was asked for.
func smallFigure(w document.Words, meters float64) string {
	return inOrCm(w, meters, photometry.FormatFigure)
}

// shortened is a list of names with at most three of them.
func shortened(names []string) string {
	if len(names) > 3 {
		names = []string{names[0], names[1], "the others"}
	}
	return and(names)
}

// moveText is a move in words of the set: lengths go in meters to the centimeter.
func moveText(w document.Words, m plan.Move) string {
	middle := either(m.FromMiddle, " (middle)", "")
	switch m.Unit {
	case "m":
		return fmt.Sprintf("%s %s%s to %s", m.Field, w.Length(m.From), middle, w.Length(m.To))
	case "deg":
		return fmt.Sprintf("%s %.1f°%s to %.1f°", m.Field, m.From, middle, m.To)
	case "%":
		return fmt.Sprintf("%s %.0f %%%s to %.0f %%", m.Field, m.From, middle, m.To)
	}
	return fmt.Sprintf("%s %s%s to %s %s", m.Field, photometry.FormatFigure(m.From), middle, photometry.FormatFigure(m.To), m.Unit)
}
