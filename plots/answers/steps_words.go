package answers

// stepSentences are the steps of the one list of what to do.
var stepSentences = sentences{
	"steps.read_again":  "Read {places} again: the verdict may change with it.",
	"steps.marks":       "{what}",
	"steps.change":      "{what}",
	"steps.read":        "{what}",
	"steps.off":         "Switch {lamp} off.",
	"steps.down":        bringTo + "That is {down} down" + by,
	"steps.up":          bringTo + "That is {up} up" + by,
	"steps.weak":        "{lamp} has {up} too little with its dimmer at {dimmer}: look whether it was moved, refocused, set to another output, or is still warming up. " + bringTo + "If it cannot: nearer, spot in, or a scrim out.",
	"steps.dial_linear": "dimmer about {percent}, as if it were linear.",
	"steps.dial":        "dimmer {from} to {percent}{kelvin?, {kelvin:abs} {kelvin|cooler|warmer}; the light there then runs {runs:abs} {kelvin|less|more}}.{flickers? It may flicker there.}",
	"steps.relate":      "Read {lamp} alone at {place}: about {level} is expected. If it is more or less, set {others} by the same factor more or less.",
	"steps.hang":        "Hang {gels} on {lamp}, which is {mired} and {duv} Duv off the day before; it costs {loss}.{within?| The bag has nothing nearer.}",
	"steps.prove":       "Read all {places} places again{suspects?, {suspects:few} first}{match?, and match once more}.",
	"steps.short": "{match?The light of the day before had {spread} of spread, {allowed} allowed: matching does not make it more even.|" +
		"This brings {spread}, {allowed} allowed. For more move or aim a lamp; evenfall plan finds where.}",

	// What the list is for.
	"steps.nothing_to_match": "there is no earlier day to match, so the steps make the surface more even",
	"steps.intent_given":     "the steps are to {intent}, as asked",
	"steps.approved":         "{day} is approved: the steps bring its light back and change nothing else",
	"steps.not_approved":     "the light of {day} is not approved. To get it back instead, note “approved: yes” there or “intent: match” in setup.csv",
	"steps.one_day":          "the steps make the surface more even",
}

const (
	// bringTo is the reading that a lamp is set to.
	bringTo = "{level?Set {lamp} alone, the others off, to {level} at {place}; today it gives about {today} there. |Set {lamp}. }"
	// by is how a change is made.
	by = "{dial?: {dial}|{scrims?: nearest {scrims}}.}"
)
