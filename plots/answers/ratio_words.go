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
	"read_first":        atMark + "Read what is missing first; without it {of:spaced} cannot be judged.",
	"read_key_alone":    atMark + "Read the key alone, with the fill off or flagged: the difference of two readings is too rough here.",
	"needs":             atMark + "Bring the {light} to {level}: that reaches the {of:spaced} that is wanted.",
	"ratio.conflict":    "The {role} at {mark} was read {readings} times first: say which of them counts, or read it again.",
	"spill_over":        atMark + "The spill is {over} over its limit: flag it off, dim what causes it, or move away from it.",
	"reach_all":         "At all {marks} marks: {ways:; or }.",
	"none_serves":       "No one change of {lights: or } serves all marks: {of:spaced} runs over {runs} from mark to mark, ±{tolerance:.2f} stop allowed. A lamp farther back falls off less.{unnamed| Where each mark has lights of its own, name them in a column lamp.|}",
	"sum.read_again":    atMark + "Read key plus fill again first: the verdict changes with it.",
	"lights.read_again": atMark + "Read {lights of} {times} times each: the interval reaches over the tolerance.",
	"hidden.read_again": atMark + "The readings' own scatter of {scatter:.2f stop} hides the answer: steady the meter, or note its true repeatability.",
	"zero.read_again":   atMark + "Read the {light} again on a lower range: it is less than the meter shows.",
	"limit.read_again":  atMark + "The {of:spaced} is right at the tolerance, where more readings hardly help: change the light a little.",
	"reach":             atMark + "{ways:^; or }.",
	"change": "{change|give the {light} {change:abs} more: {percent} of its {flash|power|output} now|take {change:abs} off the {light}: {flash?{percent} of its power|{scrims?{scrims} ({scrims_stops}), }a dimmer at {percent} of now}}" +
		", or {factor:figure} times its distance{distance? ({distance:written})}{with_key? ({with_key:in all} where the key is changed and not the fill)}",

	// What was taken from elsewhere, or assumed.
	"note_from":            "{note} {text} from {file}",
	"read_at_iso_100":      "f-numbers and EV were read at ISO 100, since no note says",
	"ambient_f_continuous": "f-numbers of ambient light and practicals are of continuous light at {shutter}",
	"tolerance_in_all":     "the tolerance is in all, ±{half} stop on each side",

	// What is wrong or missing.
	"no_shutter":            "Flash and continuous light meet here: a note shutter is needed to compare them.",
	"lights_unread":         "Not read yet: {lights}{more? and {more} more}.",
	"no_key":                "Neither key nor fill was read here, so there is no ratio.",
	"fill_missing":          fillMissing,
	"rough.fill_missing":    fillMissing + " Key plus fill less the key leaves {none?at most|{least} to} {most}: too rough to rely on.",
	"none_left.key_missing": "Key plus fill is no more than the fill, so no key is left: read the key alone.",
	"key_missing":           "The key alone is missing, so there is neither ratio. Read it with the fill off, or key and fill together as key+fill.",
	"key_by_difference":     "The key was not read alone: it is key plus fill less the fill.",
	"key_below_fill":        "The key is {under} below the fill. Nothing was swapped: if the two rows are, change them in the table.",
	"key_unproved":          "Key plus fill less the fill leaves a key of at most {most}{ratio?, {ratio:ratio} to the fill}: it cannot be told from none. Read the key alone.",
	"zero":                  "The {role} reads 0, {ratio?less than {below} as these readings are written: key to fill is {role:bound} {ratio:ratio}|so no ratio can be formed with it}.",
	"others.zero":           "No stops for what reads 0: {lights}.",
	"receptor_mixed":        "Key and fill were read with different receptors: a dome takes light from the side that a flat one does not.",
	"expose_for_missing":    "There is no {role} here to expose for; the exposure is for another light.",
	"shutter_too_long":      "A shutter of {shutter} does not fit into a frame at {rate} frames a second.",
	"target_unread":         "A target is set for the {role}, which was not read.",
	"sum_off":               "{role} reads {off:abs} {off|more|less} than its parts add up to ({read} read, {added} added). {cause}{facing?{facing|| The meter faced different ways ({facing:, }).}}{receptors? Lights together and alone were read with different receptors.}{decides? Until it is read again, the lighting ratio and the exposure rest on what was read.}",
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

// atMark is the name of the mark before a sentence, where it has one.
const atMark = "{mark?{mark}: }"

// ratioBound is on which side key to fill is known where a light reads 0.
func ratioBound(role string) string { return either(role == "fill", "at least", "at most") }

// spaced is a code in words: key to fill.
func spaced(code any) string { return strings.ReplaceAll(fmt.Sprint(code), "_", " ") }

// lightsOf are the two lights that a figure rests on.
func lightsOf(_ document.Words, v photometry.Values) string {
	switch of := v["of"]; of {
	case ratio.KeyToFillConvention:
		return "key and fill"
	case ratio.LightingConvention:
		return "key plus fill and the fill"
	default:
		return fmt.Sprintf("the %s and the key", of)
	}
}

// inAll is a change in stops together with that of the key.
func inAll(change photometry.Stop) string {
	stops := float64(change)
	by := photometry.FormatStops(math.Abs(stops))
	switch {
	case math.Abs(stops) <= ratio.Negligible:
		return "nothing"
	case stops > 0:
		return by + " more in all"
	}
	return by + " off in all"
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
func shutterAngle(s ratio.SafeShutter) string { return Optional(" (%.4g°)", s.AngleDeg) }
