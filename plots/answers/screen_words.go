package answers

// screenSentences are what is found of a screen.
var screenSentences = sentences{
	"screen.scatter_assumed": "each reading scatters by 2 %, since no note says otherwise",
	"screen.no_card":         "light and luminance meter agree, since no card was read: hold one of stated reflectance at a place",
	"screen.over_one":        "{place} has a reflectance of {reflectance}, more than any surface: glare, or a level in another unit. Read it again{without|; the reflectance of the whole is without it|}.",
	"screen.spill_differs":   "At {mark} {read} of spill was read and {computed} comes of the screen. {more|Other light reaches it too, such as a lamp behind the subject|The receptor was shaded, or does not see all of the lit part}.",
	"screen.spills_left":     "What comes of the screen is figured at the first {marks} of {all} marks that have a distance to it.",
	"screen.caution":         "Spill is an estimate for a matt cloth: meter it again before you rely on it. Nobody looks into the beam.",
}
