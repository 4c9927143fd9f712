package answers

// dimmerSentences are what is found of lamps over their dimmers.
var dimmerSentences = sentences{
	"dimmer.scatter_assumed": "each reading scatters by 2 %, since neither repeats nor a note say otherwise",
	"dimmer.color_assumed":   "color repeats to {mired} mired and {duv} Duv from one reading to the next, an assumption",
	"dimmer.one_row":         "One setting says nothing of the others: read four, from the lowest that you use to 100 %.",
	"dimmer.few_rows":        "{rows} settings do not show how the dial bends: between two of them any level is possible. Read four or more.",
	"dimmer.glows":           "At 0 % it still gives {level}: the dial does not switch it off.",
	"dimmer.from_outside":    "{from} was not read: the readings are from {low} to {high}.",
	"dimmer.too_much":        "{level} is more than it gives: {most} at {at}, the highest setting that was read.",
	"dimmer.too_little":      "{level} is less than was read of it: {least} at {at}, the lowest setting. Use a scrim, or read lower settings.",
	"dimmer.other_quantity":  "{wanted} cannot be compared with readings of {read}.",
	"dimmer.flickers":        "Flicker was seen at {at} and may be at this setting: check it through the camera, or use a scrim.",
	"dimmer.flicker_caution": "Dimmed LED and discharge lamps may flicker for the camera and for photosensitive people: test before anybody looks long.",
	"dimmer.limits_caution":  "Dimmers are set by people who know the lamp's limits. Nobody looks into the beam.",
}
