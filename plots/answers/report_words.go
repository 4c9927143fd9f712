package answers

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
	"report.ladder":             "Over {over}: a ladder held by a second person ({places?the upper places{lamps?; }}{all?all lamps|{lamps:short}}).",

	"report.plan_unexplained": "the plan does not explain the readings: what stands is not what the table says",
	"report.plan_predicted":   "predicted: spread {spread:.2f stop}, {allowed:.2f} allowed; no readings yet",
	"report.series_unsettled": "the readings do not settle how the light falls off",
	"report.meter_unsettled":  "the readings do not settle how good the meter is",
	"report.problems":         "{problems} {problems|problem|problems} with files, told below",
	"report.nothing_judged":   "Nothing was judged: there are no readings of a surface.",
	"report.worst":            "{what}: {said}{unwell?; {unwell} more below|{others?; the other {others|is well|{others} are well}}}",

	"report.plan": "The plan cannot be held to the readings: {why}.",

	"report.same_folder":   "The folder is as the report found it: {files} {files|file|files}.",
	"report.other_folder":  "{before?The folder of the day before|The folder} is not as the report found it.",
	"report.changed":       "Changed since the report: {files}.",
	"report.gone":          "Gone since the report: {files}.",
	"report.new":           "New since the report: {files}.",
	"report.same_day":      "The day before in {folder} is as the report found it: {files} {files|file|files}.",
	"report.day_not_found": "The day before was not looked at: found no folder {folder}. Name it with --before.",

	"folder.days_unsure": "Which day of {surface} is the newest is not sure: taken as {newest}, with {before} before it. Write dates such as 2026-05-02.",
	"folder.irregular":   "Not read, since they are no regular files but links, pipes or the like: {files}.",
}
