package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// stepSentences are the steps of the one list of what to do.
var stepSentences = sentences{
	"steps.read_again": "Read {places} again: the verdict may change with it.",
	"steps.marks":      "{what}",
	"steps.change":     "{what}",
	"steps.read":       "{what}",
	"steps.off":        "Switch {lamp} off.",
	"steps.down": func(w document.Words, v photometry.Values) string {
		return bringTo(w, v) + fill(w, "That is {down} down", v) + by(w, v)
	},
	"steps.up": func(w document.Words, v photometry.Values) string {
		return bringTo(w, v) + fill(w, "That is {up} up", v) + by(w, v)
	},
	"steps.weak": func(w document.Words, v photometry.Values) string {
		return fill(w, "{lamp} has {up} too little with its dimmer at {dimmer}: look whether it was moved, refocused, set to another output, or is still warming up. ", v) +
			bringTo(w, v) + "If it cannot: nearer, spot in, or a scrim out."
	},
	"steps.dial_linear": "dimmer about {percent}, as if it were linear.",
	"steps.dial": func(w document.Words, v photometry.Values) string {
		text := fill(w, "dimmer {from} to {percent}", v)
		if k, ok := v["kelvin"].(photometry.Kelvin); ok && math.Abs(float64(k)) >= 5 {
			text += fmt.Sprintf(", %.0f K %s; the light there then runs %s %s", math.Abs(float64(k)), either(k < 0, "warmer", "cooler"),
				strings.TrimPrefix(figure(w, photometry.Mired(math.Abs(float64(v["runs"].(photometry.Mired))))), "+"), either(k < 0, "more", "less"))
		}
		return text + either(v["flickers"].(bool), ". It may flicker there.", ".")
	},
	"steps.relate": "Read {lamp} alone at {place}: about {level} is expected. If it is more or less, set {others} by the same factor more or less.",
	"steps.hang": func(w document.Words, v photometry.Values) string {
		return fill(w, "Hang {gels} on {lamp}, which is {mired} and {duv} Duv off the day before; it costs {loss}.", v) + either(v["within"].(bool), "", " The bag has nothing nearer.")
	},
	"steps.prove": func(w document.Words, v photometry.Values) string {
		text := fill(w, "Read all {places} places again", v)
		if suspects := v["suspects"].([]string); len(suspects) > 0 {
			text += ", " + few(suspects) + " first"
		}
		return text + either(v["match"].(bool), ", and match once more.", ".")
	},
	"steps.short": func(w document.Words, v photometry.Values) string {
		if v["match"].(bool) {
			return fill(w, "The light of the day before had {spread} of spread, {allowed} allowed: matching does not make it more even.", v)
		}
		return fill(w, "This brings {spread}, {allowed} allowed. For more move or aim a lamp; evenfall plan finds where.", v)
	},

	// What the list is for.
	"steps.nothing_to_match": "there is no earlier day to match, so the steps make the surface more even",
	"steps.intent_given":     "the steps are to {intent}, as asked",
	"steps.approved":         "{day} is approved: the steps bring its light back and change nothing else",
	"steps.not_approved":     "the light of {day} is not approved. To get it back instead, note “approved: yes” there or “intent: match” in setup.csv",
	"steps.one_day":          "the steps make the surface more even",
}

// bringTo is the reading that a lamp is set to.
func bringTo(w document.Words, v photometry.Values) string {
	if v["level"] == nil {
		return fill(w, "Set {lamp}. ", v)
	}
	return fill(w, "Set {lamp} alone, the others off, to {level} at {place}; today it gives about {today} there. ", v)
}

// by is how a change is made.
func by(w document.Words, v photometry.Values) string {
	switch {
	case v["dial"] != nil:
		return fill(w, ": {dial}", v)
	case v["scrims"] != nil:
		return fill(w, ": nearest {scrims}.", v)
	}
	return "."
}
