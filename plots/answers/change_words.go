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
	"change.height":  "{lamp} stands {up:typed abs} {up|higher|lower} than the day before.",
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
	"change.aim":     "{lamp} aims {angle} off where it aimed: at {to:axes}, then at {from:axes}.",
	"change.words":   "{from?{to?{lamp}: {what} “{from}” the day before, “{to}” today.|{lamp} had {what} “{from}” and has none today.}|{lamp} has {what} “{to}” today and had none.}",
	"change.number":  "{lamp}: {what} {from?{from:typed} the day before, {to?{to:typed}|not written down} today.|{to:typed} today, not written down the day before.}",
	"change.setting": "{key}: {from?{from}|not given} the day before, {to?{to}|not given} today.",
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
	return twoDecimals(w.InUnit(float64(l))) + " " + w.LengthUnit()
}

// twoDecimals is a number to two decimals at most.
func twoDecimals(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }

// axes is a place in space, with one unit for all.
func axes(w document.Words, place any) string {
	all := texts(place.([]photometry.Length), func(l photometry.Length) string { return strings.TrimSuffix(asTyped(w, l), " "+w.LengthUnit()) })
	return strings.Join(all, ", ") + " " + w.LengthUnit()
}
