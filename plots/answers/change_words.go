package answers

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// changeSentences are the differences of two days' tables of a set-up.
var changeSentences = sentences{
	"change.missing": "{lamp} is not in today's table of lamps.",
	"change.added":   "{lamp} is in today's table of lamps and was not the day before.",
	"change.kind":    "{lamp} was a {from} and is a {to}.",
	"change.height": func(w document.Words, v photometry.Values) string {
		up := v["up"].(photometry.Length)
		return fmt.Sprintf("%s stands %s %s than the day before.", v["lamp"], asTyped(w, photometry.Length(math.Abs(float64(up)))), either(up > 0, "higher", "lower"))
	},
	"change.moved": func(w document.Words, v photometry.Values) string {
		ways := ways([]photometry.Length{v["right"].(photometry.Length), v["up"].(photometry.Length), v["away"].(photometry.Length)},
			func(l photometry.Length) string { return asTyped(w, l) }, []string{"toward camera right", "up", "away from the surface"}, []string{"toward camera left", "down", "toward the surface"})
		return fmt.Sprintf("%s stands %s from where it stood: %s.", v["lamp"], asTyped(w, v["by"]), strings.Join(ways, ", "))
	},
	"change.turned": func(w document.Words, v photometry.Values) string {
		ways := ways([]photometry.Degrees{v["right"].(photometry.Degrees), v["up"].(photometry.Degrees)},
			func(d photometry.Degrees) string { return figure(w, d) }, []string{"toward camera right", "up"}, []string{"toward camera left", "down"})
		return fmt.Sprintf("%s aims %s against the day before.", v["lamp"], strings.Join(ways, " and "))
	},
	"change.aim": func(w document.Words, v photometry.Values) string {
		at := func(place any) string {
			var axes []string
			for _, l := range place.([]photometry.Length) {
				axes = append(axes, strings.TrimSuffix(asTyped(w, l), " "+w.LengthUnit()))
			}
			return strings.Join(axes, ", ") + " " + w.LengthUnit()
		}
		return fill(w, "{lamp} aims {angle} off where it aimed: at ", v) + at(v["to"]) + ", then at " + at(v["from"]) + "."
	},
	"change.words": func(w document.Words, v photometry.Values) string {
		switch {
		case v["from"] == "":
			return fill(w, "{lamp} has {what} “{to}” today and had none.", v)
		case v["to"] == "":
			return fill(w, "{lamp} had {what} “{from}” and has none today.", v)
		}
		return fill(w, "{lamp}: {what} “{from}” the day before, “{to}” today.", v)
	},
	"change.number": func(w document.Words, v photometry.Values) string {
		from, to := asTyped(w, v["from"]), asTyped(w, v["to"])
		switch {
		case from == "":
			return fill(w, "{lamp}: {what} ", v) + to + " today, not written down the day before."
		case to == "":
			return fill(w, "{lamp}: {what} ", v) + from + " the day before, not written down today."
		}
		return fill(w, "{lamp}: {what} ", v) + from + " the day before, " + to + " today."
	},
	"change.setting": func(_ document.Words, v photometry.Values) string {
		return fmt.Sprintf("%s: %s the day before, %s today.", v["key"], orWord(v["from"], "not given"), orWord(v["to"], "not given"))
	},
}

// ways are the parts of a move or turn that are not zero, each with the word of its
// direction.
func ways[T ~float64](by []T, size func(T) string, plus, minus []string) (all []string) {
	for i, v := range by {
		if v != 0 {
			all = append(all, size(max(v, -v))+" "+either(v > 0, plus[i], minus[i]))
		}
	}
	return all
}

// asTyped is a value of a table as people type it: a length to the centimeter (or
// hundredth of a foot) at most, all else as it was written.
func asTyped(w document.Words, value any) string {
	l, ok := value.(photometry.Length)
	if !ok {
		return figure(w, value)
	}
	meters := float64(l)
	if w.Feet {
		meters /= 0.3048
	}
	return twoDecimals(meters) + " " + w.LengthUnit()
}

// twoDecimals is a number to two decimals at most.
func twoDecimals(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
