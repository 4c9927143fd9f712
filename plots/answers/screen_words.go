package answers

// screenSentences are what is found of a screen.
var screenSentences = sentences{
	"screen.scatter_assumed": "each reading scatters by 2 %, since no note says otherwise",
	"screen.no_card":         "light and luminance meter agree, since no card was read: hold one of stated reflectance at a place",
	"screen.over_one":        "{place} has a reflectance of {reflectance}, more than any surface: glare, or a level in another unit. Read it again.",
	"screen.spill_differs":   "At {mark} {read} of spill was read and {computed} comes of the screen: {more|other light reaches it as well, such as a lamp behind the subject|the receptor was shaded, or not all of the lit part is in its view}.",
	"screen.caution":         "Spill is an estimate for a matt cloth: meter it again before you rely on it. Nobody looks into the beam.",
}
