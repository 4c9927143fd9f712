package answers

// reportSentences are what a report says by itself.
var reportSentences = sentences{
	// Where no plan says it of its own lamps.
	"report.stands": "Weight and height: rated stands, sandbags, safety bonds and trained riggers.",
	"report.heat":   "Heat: lamps, scrims, gels and diffusion burn; keep the lamp maker's distance.",
	"report.power":  "Electricity: leave distribution to a licensed electrician, by the local code.",
	"report.eyes":   "Eyes: nobody looks into a lamp; flash and flicker can harm photosensitive people.",

	"report.link": "{file} is a link to another file: it is not among the files that are handed over.",
}
