package answers

import (
	"strings"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// reportSentences are what a report says by itself.
var reportSentences = sentences{
	// Where no plan says it of its own lamps.
	"report.stands": "Weight and height: rated stands, sandbags, safety bonds and trained riggers.",
	"report.heat":   "Heat: lamps, scrims, gels and diffusion burn; keep the lamp maker's distance.",
	"report.power":  "Electricity: leave distribution to a licensed electrician, by the local code.",
	"report.eyes":   "Eyes: nobody looks into a lamp; flash and flicker can harm photosensitive people.",

	"report.sheet_not_approved": "the steps make the surface more even. To get the light of {day} back instead: set each lamp to what it reads alone in the table",
	"report.sheet_gel":          "Its light is {duv} Duv off the day before: does its {gel} hang?",
	"report.sheet_measured":     "Left, right: of the surface's center, seen from the camera. Out: surface to lens or frame. Pan 0°: straight at it.",
	"report.sheet_caution":      "Rated stands, sandbags, safety bonds. Hot lamps, gels, diffusion: gloves. Nobody looks into a beam; flash and dimmed lamps may flicker. Rigging, electricity: licensed people, local codes. Meter again what is computed (≈).",
	"report.ladder": func(w document.Words, v photometry.Values) string {
		var what []string
		if v["places"].(bool) {
			what = append(what, "the upper places")
		}
		switch lamps := v["lamps"].([]string); {
		case len(lamps) > 2 && v["all"].(bool):
			what = append(what, "all lamps")
		case len(lamps) > 0:
			what = append(what, and(shortened(lamps)))
		}
		return fill(w, "Over {over}: a ladder held by a second person (", v) + strings.Join(what, "; ") + ")."
	},

	"report.plan_unexplained": "the plan does not explain the readings: what stands is not what the table says",
	"report.plan_predicted":   "predicted: spread {spread:.2f stop}, {allowed:.2f} allowed; no readings yet",
	"report.series_unsettled": "the readings do not settle how the light falls off",
	"report.meter_unsettled":  "the readings do not settle how good the meter is",
	"report.problems":         "{problems} {problems|problem|problems} with files, told below",
	"report.nothing_judged":   "Nothing was judged: there are no readings of a surface.",
	"report.worst":            worstOfAll,

	"report.plan": "The plan cannot be held to the readings: {why}.",

	"report.same_folder":  "The folder is as the report found it: {files} {files|file|files}.",
	"report.other_folder": "The folder is not as the report found it.",
	"report.changed":      "Changed since the report: {files}.",
	"report.gone":         "Gone since the report: {files}.",
	"report.new":          "New since the report: {files}.",

	"folder.irregular": "Not read, since they are no regular files but links, pipes or the like: {files}.",
}

func worstOfAll(w document.Words, v photometry.Values) string {
	text := fill(w, "{what}: {said}", v)
	switch {
	case v["unwell"] != 0:
		return text + fill(w, "; {unwell} more below", v)
	case v["others"] == 1:
		return text + "; the other is well"
	case v["others"] != 0:
		return text + fill(w, "; the other {others} are well", v)
	}
	return text
}
