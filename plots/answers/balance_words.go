package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/falloff/balance"
	"evenfall/photometry"
	"evenfall/plots/document"
)

// balanceSentences are what is found of lamps that are trimmed, and what to do.
var balanceSentences = sentences{
	// What to do.
	"balance.read_again": "Read {places:few} again first: the trims leave that out.",
	"balance.keep":       "Within tolerance as it is: the lamps can stay as they are.",
	"no_gain":            "Trims gain {gain}, no more than the scatter of the readings: leave the lamps as they are.",
	"trim":               "{is taken off}{others?; and trim {others|{others}|{others:count} more} as listed|, and leave the others as they are}.",
	"keep_light":         "The most even trims {lit|cost {loss} at the darkest place|switch every lamp off}. With --min {least as typed} the best spread is {spread:.2f} stop, by the trims beside.",
	"not_enough":         "{optimal|No trims reach|The trims found do not reach} the tolerance of {tolerance}: the shapes of the lamps' light do not fit together. Move or re-aim them, or light {darkest}.",
	"open_up":            "The mean falls by {loss}: open up by that, or give it back in {flash|ISO|shutter or ISO}.",

	// What limits the answer.
	"no_light_here":     "{lamp} gives no light where it counts, so its trim is all the same.",
	"lamps_one_sided":   "{readings} {readings|reading was|readings were} over or under range: nothing passes before they are read again, on another range or through a neutral density filter.",
	"does_not_add_up":   "At {place} all lamps together read {together}, the lamps alone add up to {added}: one of these readings is a data-entry error, and the place is left out.",
	"less_than_the_sum": "All lamps together read {less} less than the lamps alone add up to: a lamp changed in between{ambient|, or the readings of lamps alone hold the ambient light (--with-ambient)|}.",
	"more_than_the_sum": "All lamps together read {more} more than the lamps alone add up to, by the same factor everywhere: the light changed in between; the shares hold all the same.",
	"other_light":       "All lamps together read {more} more than the lamps alone add up to: the rest, {mean} on the mean, is other light, which no trim changes.",
	"not_proved":        "{steps|The search for trims in steps ended before it was through|That no trims do better is not proved}: at best they could be {gap} more even.",
	"read_nine_alone":   "Read each lamp alone at {places} places, corners and edge middles of the part in shot among them: fewer prove no pass.",
	"shares_untested":   "Each lamp's share of the light is interpolated from {places} places, too few to tell how well: read each lamp alone at one place more.",
	"shares":            "Each lamp's share of the light is interpolated from {places} places, good to {error:.1f} % of the light; the levels after are good to {levels:.2f} stop, but for a flag's shadow between those places.",
	"color_runs":        "With these trims the lamps' colors run out of tolerance over the surface: match them with gels first.",
	"color_stays":       "The lamps' colors differ by more than the tolerance allows, and trims do not change that: match them with gels.",
	"tungsten_warms":    tungstenWarms + ".",
	"tungsten_too_warm": tungstenWarms + ", more than the {allowed:figure} mired allowed: use scrims, nets or ND, which keep the color.",
	"scrims_keep_color": "{lamp} is tungsten: scrims keep its color. A dimmer at {percent} would warm it from {from:.0f} to about {after}, {shift}.",
	"tungsten_unread":   "{lamp} is tungsten: dimmed to {percent} it usually warms by about {shift}, from {from:.0f} to {after}. It was read without color, so what that does to the surface is not judged: read CCT too, or use scrims, which keep the color.",
	"may_be_tungsten":   "If {lamps} is tungsten, a dimmer warms it: {lamp} to about {after}. Use scrims, nets or ND where color matters, or say --tungsten to see what it does.",

	// What is assumed.
	"no_ambient":           "no light but that of the lamps: ambient light was neither read nor given",
	"ambient_in_alone":     "the readings of lamps alone hold the ambient light, which is taken off them",
	"ambient_not_in_alone": "the readings of lamps alone hold no ambient light (--with-ambient says that they do)",
	"ambient_filled":       "ambient light was read at {read} of {places} places; the others are taken as their mean, {mean}",

	// What has to be heeded.
	"balance.estimate": "The surface after is computed, not read: trim, then meter again.",
	"hot":              "Lamps and scrims are hot: wear gloves.",
}

const tungstenWarms = "{lamp} is tungsten: dimmed to {percent} it warms from {from:.0f} to about {after}, {shift}"

// takenOff says the largest trim in set units.
func takenOff(_ document.Words, v photometry.Values) string {
	t := v["trim"].(balance.Trim)
	if t.Stops == nil {
		return fmt.Sprintf("Switch %s off", v["lamp"])
	}
	return fmt.Sprintf("Take %s off %s: %s", photometry.FormatStops(-*t.Stops), v["lamp"], setBy(t, v["scrims_only"] == true))
}

// setBy is a trim as a scrim and a dimmer setting, or without the dimmer.
func setBy(t balance.Trim, scrimsOnly bool) string {
	dimmer := fmt.Sprintf("dim it to %.0f %%", t.Percent)
	switch {
	case t.Scrim == "":
		return dimmer
	case scrimsOnly:
		return t.Scrim
	case math.Abs(t.ScrimStops+*t.Stops) < 0.05:
		return t.Scrim + ", or " + dimmer
	}
	return fmt.Sprintf("%s, or nearest %s (%s)", dimmer, t.Scrim, photometry.FormatStops(t.ScrimStops))
}

// leastTyped is a least level as it can be typed back.
func leastTyped(w document.Words, v photometry.Values) string {
	least := v["least"].(photometry.Level)
	if v["percent"] == true {
		return photometry.FormatFigure(100*least.Value) + "%"
	}
	return strings.ReplaceAll(w.Level(least), " ", "")
}
