package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/match"
	"evenfall/plots/document"
)

// matchSentences are how the light of two days differs, and what restores the first.
var matchSentences = sentences{
	// A lamp alone at its check place, in the morning.
	"lamp.good":  "As it was; {from} to {to} will do.",
	"lamp.trim":  "{off:abs} {off|over|under}: trim it to {from} to {to}.",
	"lamp.place": "{off:abs} {off|over|under}: check its place, aim, scrims and gel first, then read it again.",
	"lamp.color": "Its color is off by {mired:+.0f} mired, {duv:+.4f} Duv: check its gel and its dimmer first, then read it again.",
	"lamp.off":   "It gives nothing: check that it is on. {from} to {to} will do.",

	// What may differ.
	"match.tolerance":           "the surface's tolerance of {stops}: all of it for the pattern, half of it either way for the offset",
	"match.tolerance_each_side": "the surface's tolerance of ±{stops}: that much either way for the offset, twice that for the pattern",
	"match.tolerance_ratios":    "the tolerance of the ratios: that much either way for the offset, and for each light off it",

	// What is odd about the two days.
	"match.tolerances_differ":        "The two days state different tolerances: that of the day before counts.",
	"match.other_surface":            "The surfaces have different names: “{before}” and “{today}”.",
	"match.other_size":               "The surfaces have different sizes: {before_width:bare} × {before_height} the day before, {width:bare} × {height} today.",
	"match.other_area":               "The areas in shot differ: that of the day before counts.",
	"match.dates_swapped":            "The day before ({before}) is later than today ({today}): are the two swapped?",
	"match.same_readings":            "Both days have the very same readings: is it one file twice?",
	"match.other_receptor":           "The receptor was {before} the day before and is {today} today: they read light from the side differently.",
	"match.labels_elsewhere":         "{labels} {labels|label is|labels are} at another place today, such as {label} at {before:place} and now {today:place}: they count by their positions.",
	"match.one_place":                "Only one place is common to both days: it gives an offset and no pattern.",
	"match.few_common":               "Only {common} places are common to both days, of {before} the day before and {today} today.",
	"match.none_in_shot":             "No place in shot is common to both days: the figures are of the whole surface.",
	"match.all_doubtful":             "Every place common to both days has a suspect reading: the figures include them.",
	"match.before.surface_unmatched": "“{surface}” of the day before has no partner today.",
	"match.today.surface_unmatched":  "“{surface}” of today has no partner the day before.",
	"match.warned":                   "{day:^day}: {what}",

	// What was assumed.
	"match.same_hundred":   "the relative levels of both days count from the same 100 %",
	"match.same_meter":     "the same meter on both days, or two that agree: repeatability does not cover a difference of meters",
	"match.lamp_new":       "{lamp} was read alone today only: the day before does not have it",
	"match.light_added":    "light was added since, {level} everywhere, that no lamp of the day before gives",
	"match.no_light_added": "no light that was not there the day before",
	"match.inferred":       "{day:day}: {what}",
	"match.drift_taken":    "{day:day}: a drift of {drift:+.2f stop} is taken out, to the level at which the light was left",
	"match.held":           "{lamps:few}, too weak here to measure, is taken to give from nothing to twice the day before",
	"match.lamps_add_up":   "all lamps together read {off:abs} {off|more|less} than the lamps alone add up to the day before: the light changed in between, and each lamp's share of it counts",

	// What limits what is found of lamps.
	"match.quantity.lamps_untold": "The lamps were read as {lamps}, the surface as {surface}: the lamps are excluded.",
	"match.none.lamps_untold":     "Which lamp changed stays open: no lamp was read alone.",
	"match.many.lamps_untold":     "Which lamp changed stays open: {wrong}.",
	"match.few.lamps_untold":      "Which lamp changed stays open: the lamp “{lamp}” was read alone at {places} places. Read it at three or more set apart, better six.",
	"match.places.lamps_untold":   "Which lamp changed stays open: {places} places of both days do not separate {lamps} lamps.",
	"match.lamp_doubtful":         "{lamp} alone, {place} ({found}): suspect, excluded.",
	"match.lamp_moved_unknown":    "A lamp was moved or re-aimed, or light was added; the readings do not show which. Levels alone leave {residual} rms, scatter {noise}.",
	"match.not_explained":         "Something else than the lamps' levels changed as well: they leave {residual} rms, scatter {noise}.",
	"match.other_light":           "All lamps together read {off} more than their sum the day before: the rest is taken as other light.",
	"match.not_apart":             "the places read do not separate it from the others",
	"match.too_little":            "too little of the light here to measure",
	"match.alike":                 "the places read do not separate it from {lamps}",

	// Color.
	"match.one_sided":                 "{readings} {readings|reading was|readings were} over or under range: the pattern does not pass before they are read again, on another range or through a neutral density filter.",
	"match.green_not_read":            "Warm and cool are within tolerance; green–magenta was not read.",
	"match.meters_disagree":           "Two meters may differ by {duv:.3f} Duv, as much as the color shifted: unsure unless both days note the same meter.",
	"match.color_missing":             "{missing} of {places} places have no color on one of the days.",
	"match.lamp_colorless":            "which lamp changed its color stays open: the color of {lamp} alone was not read",
	"match.few_colors":                "which lamp changed its color stays open: too few places with a color today",
	"match.either.color_lamp_unknown": "The color of {lamp} or of {other} changed; the readings do not show which.",
	"match.color_lamp_unknown":        "Color changed; the readings do not show whether that of one lamp or of all light.",
	"match.color_of_all":              "Color changed by the same everywhere: that of all lamps (their supply), or the meter's.",
	"match.color_off_white":           "{lamp} changed to a color too far from white for a color temperature.",

	// What to do: position, color, level, and the meter again.
	"match.read_again":        "Read {places:few} again first: excluded here.",
	"match.before.read_again": "Look up what was written for {places:few} the day before: excluded here.",
	"match.changed.position":  "{change} Put that back first.",
	"match.added.position":    "{change} Take it away first, or switch it off.",
	"match.missing.position":  "{change} Set it up again first, or write it into the table.",
	"match.position":          reAim,
	"match.table.gel":         "{change} Put it as it was.",
	"match.gel":               "{is shifted}: give it {gel}, or look which gel it lost or got{because? ({because})}.",
	"match.little.gel":        "{is shifted}: less than an eighth of any gel takes back{because? ({because})}.",
	"match.dimmed.gel":        "{is shifted}: a dimmed tungsten lamp does that. Bring its level back first, then read its color.",
	"match.one_lamp":          "{lamp} alone, the others off, at {place}: set it to {level}{today?; today it gives about {today} there}{trim?. {trim}| with the gel of today; put the gel right first.}",
	"match.trim":              "Bring {lamp} back. {trim}",
	"match.by_how_much": "{stops?That is {stops:abs} {stops|down ({stops:scrims})|up}: it gives {of the day before}{because? ({because})}.|" +
		"{lamp} emits {of the day before}: it is off. Look at its switch, its dimmer and its supply{because? ({because})}.}",
	"match.in_table":        "in the table: {what:spaced} {from?{from}|none}, then {to?{to}|none}",
	"match.group.trim":      "{lamps:few} together give {of the day before}: check each, since the places read do not separate them.",
	"match.table.trim":      "{change}",
	"match.all.find_lamp":   "All of it is {offset:abs} {offset|over|under}, evenly: look at what the lamps share (the master dimmer, the supply, diffusion, the meter).",
	"match.expose":          "{offset|Stop down|Open up} by {offset:abs} if it must be shot as it is.",
	"match.side.find_lamp":  "{right|Camera left|Camera right} lost {right:abs} against {right|camera right|camera left}: " + lookAtLamp,
	"match.end.find_lamp":   "{up|The bottom|The top} lost {up:abs} against {up|the top|the bottom}: " + lookAtLamp,
	"match.place.find_lamp": "{place} changed most, by {change:+.2f stop}: " + lookAtLamp,
	"match.mired.find_lamp": "Color changed most at {place} ({shift:+.0f} mired): look at the gel of the lamp that lights it.",
	"match.duv.find_lamp":   "Color changed most at {place} ({shift:+.4f} Duv): look at the gel of the lamp that lights it.",
	"match.alone.find_lamp": "Readings of each lamp alone at six places (--lamp) would find it.",
	"match.meter_again":     "Then read the same places again and match once more.",
	"match.changed.keep":    "The light changed, within the tolerance: leave it, or bring it back where more must match.",
	"match.keep":            "The light is as it was: leave it.",
	"match.places.settle":   "Read more places, the same on both days: five at least, and half of those planned or read before.",
	"match.duv.settle":      "Read Duv too on both days: color temperatures alone settle no color.",
	"match.meter.settle":    "Note the meter on both days (meter: NAME), or read one place with both meters.",
	"match.color.settle":    "Read the color of some places again, several times on both days: the scatter of colors is too large to settle.",
	"match.scatter.settle":  "More readings of today hardly settle it: those of the day before scatter as well. Note the true repeatability of your meter.",
	"match.settle":          "Read the places again, today {times}, and keep all readings: their means should settle it.",

	// The same at marks.
	"match.marks.keep":        "The lights at the marks are as they were: leave them.",
	"match.mark.one_lamp":     "{light}: bring it {change|down|up} by {change:abs}, from {today} to {before}.",
	"match.marks.one_lamp":    "{more} more lights changed by {change} or more.",
	"match.mark.gel":          "{is shifted}: look at its gel and its dimmer.",
	"match.switched.one_lamp": "{light}: switch it {today|off, it gives {today} and was off|on, it is off and gave {before}}.",
	"match.units.settle":      "Look whether the levels of {day:day} are in footcandles: {off:+.2f stop} is the factor to lux. If so, write fc into the head of their column and match again.",
	"match.conflict.settle":   "Say which of the first readings counts, or read that place again.",
	"match.marks.meter_again": "Then read the same lights again and match once more.",

	"match.stands": "Moving lamps: rated stands, sandbags, safety bonds, trained riggers.",
	"match.heat":   "Lamps, scrims and gel are hot: wear gloves, keep the lamp maker's distance, and do not look into the beam.",
}

const lookAtLamp = "look at the lamp that lights it (aim, dimmer, scrim, gel)."

// dayOf is what one of the two days is called.
func dayOf(day any) string { return either(day == match.DayBefore, "the day before", "today") }

// few are names for a sentence, at most four of them.
func few(names []string) string {
	if len(names) > 4 {
		return strings.Join(names[:3], ", ") + fmt.Sprintf(" and %d more", len(names)-3)
	}
	return and(names)
}

// reAim says where a lamp's light lies now.
func reAim(w document.Words, v photometry.Values) string {
	var where []string
	for _, way := range []struct {
		by          photometry.Stop
		plus, minus string
	}{{v["right"].(photometry.Stop), "camera right", "camera left"}, {v["up"].(photometry.Stop), "the top", "the bottom"}} {
		if size := math.Abs(float64(way.by)); size >= 0.05 {
			where = append(where, photometry.FormatStops(size)+" more toward "+either(way.by < 0, way.minus, way.plus))
		}
	}
	return fill(w, "Re-aim {lamp}, or put it back where it stood: its light falls ", v) + strings.Join(where, " and ") + ", across the places read."
}

// ofTheDayBefore is a percentage of the day before with its interval.
func ofTheDayBefore(_ document.Words, v photometry.Values) string {
	return fmt.Sprintf("%.0f %% of what it gave the day before (95 %% CI %s)", v["percent"], wholePercents(float64(v["low"].(photometry.Percentage)), float64(v["high"].(photometry.Percentage))))
}

// wholePercents is an interval in whole percents that includes it.
func wholePercents(low, high float64) string {
	return fmt.Sprintf("%.0f–%.0f", math.Floor(low), math.Ceil(high))
}

// dimmedTo is the setting of a linear dimmer for a loss.
func dimmedTo(loss photometry.Stop) string {
	return fmt.Sprintf("%.0f %%", photometry.DimmerPercent(-float64(loss)))
}

// scrimOrDim is a loss as a scrim where one makes it, and as a dimmer's setting.
func scrimOrDim(loss photometry.Stop) string {
	stops := float64(loss)
	text := "dim it to " + dimmedTo(loss)
	if name, got := photometry.Scrims(stops); name != "" && math.Abs(got-stops) <= 0.125 {
		return name + ", or " + text
	}
	return text
}

// isShifted says how a lamp's color changed.
func isShifted(_ document.Words, v photometry.Values) string {
	var parts []string
	if math.Abs(float64(v["duv"].(photometry.Duv))) >= 0.0005 {
		parts = append(parts, colorShift(v["duv"]))
	}
	if math.Abs(float64(v["mired"].(photometry.Mired))) >= 1 || len(parts) == 0 {
		parts = append(parts, colorShift(v["mired"]))
	}
	return fmt.Sprintf("%s is %s than the day before", v["lamp"], strings.Join(parts, " and "))
}
