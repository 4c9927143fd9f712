package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/plots/document"
)

// ratioSentences are what is found of the lights at marks, and what to do about it.
var ratioSentences = sentences{
	// What to do.
	"read_first":     atMark(template("Read what is missing first; without it {of:spaced} cannot be judged.")),
	"read_key_alone": atMark(template("Read the key alone, with the fill off or flagged: the difference of two readings is too rough here.")),
	"needs":          atMark(template("Bring the {light} to {level}: that reaches the {of:spaced} that is wanted.")),
	"ratio.conflict": "The {role} at {mark} was read {readings} times first: say which of them counts, or read it again.",
	"spill_over":     atMark(template("The spill is {over} over its limit: flag it off, dim what causes it, or move away from it.")),
	"reach_all": func(w document.Words, v photometry.Values) string {
		return fill(w, "At all {marks} marks: ", v) + strings.Join(Sentences(w, v["ways"].([]photometry.Finding)), "; or ") + "."
	},
	"none_serves":       noneServes,
	"sum.read_again":    atMark(template("Read key plus fill again first: the verdict changes with it.")),
	"lights.read_again": atMark(readLightsAgain),
	"hidden.read_again": atMark(template("The readings' own scatter of {scatter:.2f stop} hides the answer: steady the meter, or note its true repeatability.")),
	"zero.read_again":   atMark(template("Read the {light} again on a lower range: it is less than the meter shows.")),
	"limit.read_again":  atMark(template("The {of:spaced} is right at the tolerance, where more readings hardly help: change the light a little.")),
	"reach": atMark(func(w document.Words, v photometry.Values) string {
		return capital(strings.Join(Sentences(w, v["ways"].([]photometry.Finding)), "; or ")) + "."
	}),
	"change": changeLight,

	// What was taken from elsewhere, or assumed.
	"note_from":            "{note} {text} from {file}",
	"read_at_iso_100":      "f-numbers and EV were read at ISO 100, since no note says",
	"ambient_f_continuous": "f-numbers of ambient light and practicals are of continuous light at {shutter}",
	"tolerance_in_all":     "the tolerance is in all, ±{half} stop on each side",

	// What is wrong or missing.
	"no_shutter": "Flash and continuous light meet here: a note shutter is needed to compare them.",
	"lights_unread": func(w document.Words, v photometry.Values) string {
		return fill(w, "Not read yet: {lights}", v) + either(v["more"] == 0, "", fill(w, " and {more} more", v)) + "."
	},
	"no_key":       "Neither key nor fill was read here, so there is no ratio.",
	"fill_missing": fillMissing,
	"rough.fill_missing": func(w document.Words, v photometry.Values) string {
		return fillMissing + " Key plus fill less the key leaves " + either(v["none"] == true, "at most", fill(w, "{least} to", v)) + fill(w, " {most}: too rough to rely on.", v)
	},
	"none_left.key_missing": "Key plus fill is no more than the fill, so no key is left: read the key alone.",
	"key_missing":           "The key alone is missing, so there is neither ratio. Read it with the fill off, or key and fill together as key+fill.",
	"key_by_difference":     "The key was not read alone: it is key plus fill less the fill.",
	"key_below_fill":        "The key is {under} below the fill. Nothing was swapped: if the two rows are, change them in the table.",
	"key_unproved":          keyUnproved,
	"zero":                  readsZero,
	"others.zero":           "No stops for what reads 0: {lights}.",
	"receptor_mixed":        "Key and fill were read with different receptors: a dome takes light from the side that a flat one does not.",
	"expose_for_missing":    "There is no {role} here to expose for; the exposure is for another light.",
	"shutter_too_long":      "A shutter of {shutter} does not fit into a frame at {rate} frames a second.",
	"target_unread":         "A target is set for the {role}, which was not read.",
	"sum_off":               sumOff,
	"sum.light_on":          "It fits the {role} ({level}) being on as well.",
	"sum.light_off":         "It fits the {light} ({level}) being off.",
	"sum.ambient_in_each":   "It fits the ambient light ({level}) being in each reading alone: take it off them.",
	"sum.too_much":          "Usual causes: another light left on, the meter turned, or a dome for a flat receptor. Or a light was read alone before it was warm or charged.",
	"sum.too_little":        "Usual causes: lamps that dim each other on one circuit, a flash not fully charged, another light left on. Else the meter was turned, or had a flat receptor for a dome.",

	// What is assumed.
	"target_convention": "the target is key to fill; write “lighting ratio” behind it for key plus fill to fill",
	"same_lamps":        "key and fill are the same lamps at all marks, since none is named; a column lamp says otherwise",
	"scatter_assumed":   "readings repeat within 2 %, an assumption; note repeatability, or read some lights twice",

	// Shutters and cautions.
	"safe_shutters":  safeShutters,
	"flash":          "Eyes: warn people before flashes; they can harm photosensitive people.",
	"flicker":        "Flicker that a camera sees may also trouble photosensitive people.",
	"ratio.heat":     "Lamps and scrims are hot: wear gloves, and let a lamp cool before it is moved.",
	"ratio.stands":   "Moved stands need sandbags and safety bonds; local codes and licensed people come first.",
	"ratio.estimate": "Changes are computed, distances for lamps small for them; a dimmed filament goes warmer. Meter again after each.",
}

const fillMissing = "The fill alone is missing, so there is neither ratio. Read it with the key off or flagged, the others as they are."

// atMark puts the name of the mark before a sentence, where it has one.
func atMark(say variants) variants {
	return func(w document.Words, v photometry.Values) string {
		if mark, _ := v["mark"].(string); mark != "" {
			return mark + ": " + say(w, v)
		}
		return say(w, v)
	}
}

// template is a sentence without variants where one with them is asked for.
func template(text string) variants {
	return func(w document.Words, v photometry.Values) string { return fill(w, text, v) }
}

// spaced is a code in words: key to fill.
func spaced(code any) string { return strings.ReplaceAll(fmt.Sprint(code), "_", " ") }

// readLightsAgain names the two lights that a figure rests on.
func readLightsAgain(w document.Words, v photometry.Values) string {
	lights := ""
	switch of := v["of"]; of {
	case ratio.KeyToFillConvention:
		lights = "key and fill"
	case ratio.LightingConvention:
		lights = "key plus fill and the fill"
	default:
		lights = fmt.Sprintf("the %s and the key", of)
	}
	return "Read " + lights + fill(w, " {times} times each: the interval reaches over the tolerance.", v)
}

// changeLight says a change as people do it on the set.
func changeLight(w document.Words, v photometry.Values) string {
	change := v["change"].(photometry.Stop)
	size := photometry.FormatStops(math.Abs(float64(change)))
	factor := photometry.FormatFigure(v["factor"].(float64)) + " times its distance"
	if to, ok := v["distance"].(photometry.Length); ok {
		factor += " (" + w.Figure(float64(to)) + ")"
	}
	text := ""
	switch flash := v["flash"] == true; {
	case change >= 0:
		text = fill(w, "give the {light} ", v) + size + " more: " + fill(w, "{percent} of its ", v) + either(flash, "power", "output") + " now, or " + factor
	case flash:
		text = "take " + size + fill(w, " off the {light}: {percent} of its power, or ", v) + factor
	default:
		text = "take " + size + fill(w, " off the {light}: ", v)
		if v["scrims"] != "" {
			text += fill(w, "{scrims} ({scrims_stops}), ", v)
		}
		text += fill(w, "a dimmer at {percent} of now, or ", v) + factor
	}
	if all, ok := v["with_key"].(photometry.Stop); ok {
		text += " (" + inAll(float64(all)) + " where the key is changed and not the fill)"
	}
	return text
}

// noneServes is that no one change of a light that marks share is right at all.
func noneServes(w document.Words, v photometry.Values) string {
	return "No one change of " + strings.Join(v["lights"].([]string), " or ") +
		fill(w, " serves all marks: {of:spaced} runs over {runs} from mark to mark, ±{tolerance:.2f} stop allowed. A lamp farther back falls off less.{unnamed| Where each mark has lights of its own, name them in a column lamp.|}", v)
}

// keyUnproved is that a key by difference may be none.
func keyUnproved(w document.Words, v photometry.Values) string {
	most := fill(w, "{most}", v)
	if end, ok := v["ratio"].(float64); ok {
		most += ", " + ratio.Format(end) + " to the fill"
	}
	return "Key plus fill less the fill leaves a key of at most " + most + ": it cannot be told from none. Read the key alone."
}

// readsZero is a reading of 0 as the bound that it is.
func readsZero(w document.Words, v photometry.Values) string {
	end, ok := v["ratio"].(float64)
	if !ok {
		return fill(w, "The {role} reads 0, so no ratio can be formed with it.", v)
	}
	return fill(w, "The {role} reads 0, less than {below} as these readings are written: key to fill is at ", v) + either(v["role"] == "fill", "least ", "most ") + ratio.Format(end) + "."
}

// inAll is a change in stops together with that of the key.
func inAll(stops float64) string {
	by := photometry.FormatStops(math.Abs(stops))
	switch {
	case math.Abs(stops) <= ratio.Negligible:
		return "nothing"
	case stops > 0:
		return by + " more in all"
	}
	return by + " off in all"
}

// sumOff is that lights together are not the sum of the lights alone.
func sumOff(w document.Words, v photometry.Values) string {
	off := float64(v["off"].(photometry.Stop))
	text := fill(w, "{role} reads ", v) + photometry.FormatStops(math.Abs(off)) + either(off < 0, " less", " more") +
		fill(w, " than its parts add up to ({read} read, {added} added). {cause}", v)
	if facing := v["facing"].([]string); len(facing) > 1 {
		text += " The meter faced different ways (" + strings.Join(facing, ", ") + ")."
	}
	if v["receptors"] == true {
		text += " Lights together and alone were read with different receptors."
	}
	if v["decides"] == true {
		text += " Until it is read again, the lighting ratio and the exposure rest on what was read."
	}
	return text
}

// safeShutters says which shutters are safe under one mains frequency, or what is
// to be said of the one that is set.
func safeShutters(_ document.Words, v photometry.Values) string {
	text := fmt.Sprintf("%g Hz: ", v["mains"])
	list := "no shutter is safe at this frame rate"
	if times := texts(v["shutters"].([]ratio.SafeShutter), func(s ratio.SafeShutter) string {
		return strings.TrimSuffix(photometry.FormatShutter(s.ShutterS), " s") + shutterAngle(s)
	}); len(times) > 0 {
		list = "safe are " + strings.Join(times, ", ")
	}
	switch v["judged"] {
	case "no_shutter":
		return text + list
	case "shutter":
		return text + "the shutter is safe"
	case "frame_rate":
		text += fmt.Sprintf("steady while %g frames a second keep step with the mains", v["rate"])
	default:
		text += "lamps may flicker"
	}
	nearest := v["nearest"].(*ratio.SafeShutter)
	if nearest == nil {
		return text + "; " + list
	}
	return text + fmt.Sprintf("; %s%s is safe at any phase, %+.2f stop", photometry.FormatShutter(nearest.ShutterS), shutterAngle(*nearest), v["change"])
}

// shutterAngle is a shutter's angle in brackets, where the frame rate is known.
func shutterAngle(s ratio.SafeShutter) string {
	if s.AngleDeg == nil {
		return ""
	}
	return fmt.Sprintf(" (%.4g°)", *s.AngleDeg)
}
