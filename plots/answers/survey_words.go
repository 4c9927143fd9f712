package answers

import (
	"cmp"
	"fmt"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// surveySentences are what came up while the readings of a surface, a series or
// lamps alone were read.
var surveySentences = sentences{
	"no_duv":               "{places} {places|place has|places have} a color temperature but an empty Duv or CC: {places|it has|they have} no color here.",
	"colors_disagree":      "In {rows} {rows|row|rows}, first on line {line}, the color temperature is not that of the chromaticity beside it; the chromaticity counts.",
	"color_without_level":  "{places} {places|place has|places have} a color but no level and {places|is|are} left out.",
	"outside_surface":      "{places} {places|place is|places are} outside the surface of {width} × {height}: check the origin (lower left corner) and the unit of length.",
	"reference_unread":     "The reference {reference} is not read yet; until then zero is the mean.",
	"grid_size":            "The note says a grid of {columns} × {rows}, the readings make {read_columns} × {read_rows}.",
	"no_mark":              "No f-stops of the scale, so read as typed: {typed}. An f-stop and tenths of a stop are written 8 5/10.",
	"mark_unit":            "The mark {mark} is in {unit}, as the distances are: write {mark}m for meters.",
	"flag_lengths":         "Plain lengths on the command line are in {unit}: --length m or --length ft says otherwise.",
	"repeats_disagree":     "The readings at {place} disagree: {readings}. Read it again.",
	"repeats_agree":        "Repeat readings agree to the digit: they show the display's step, not how the meter scatters. 2 % is assumed.",
	"copied_file":          "{file} has the same readings as {of}: they count once.",
	"copied_in_unit":       "{file} has the readings of {of} in another unit, to their rounding: they count once.",
	"block.copied_in_unit": "Lines {first} to {last} of {file} have the readings of lines {of_first} to {of_last} in another unit, to their rounding: they count once.",
	"copied_rows":          "Lines {first} to {last} of {file} are the same in every cell as lines {of_first} to {of_last} of {of}: they count once. Readings taken again get a time or a remark of their own.",
	"status_own":           "The column status has words of its own ({words}): they answer nothing and are not used.",
	"conflict":             "{place} was read twice first, {readings}: say which of them counts, or read it again.",
	"places_left_out":      "{left_out} of {places} places {left_out|was|were} not read with every lamp alone and {left_out|is|are} left out.",
	"names_no_lamp":        "{file} names no lamp: it is taken as the lamp {lamp}.",
	"sum.names_no_lamp":    "{file} names no lamp: it is taken as all lamps together, since the others add up to it.",

	// How files were understood, and what was assumed of them.
	"of_file":               "{file}: {what}",
	"dialect":               "{dialect}",
	"area_unit":             "the note area is in {unit}, as the width is; the note length unit says otherwise",
	"assumed_lux":           "“{column}” without a unit is taken in lx",
	"not_used":              "not used for a {series|series|surface}: {columns}",
	"status_left_out":       "{rows} {rows|reading does|readings do} not count, as the column status has it (again, out)",
	"rows_without_level":    "{rows} {rows|row|rows} without a level left out",
	"distances_in_units":    "distances in several units, each as its cell says ({cell} on line {line})",
	"size_from_readings":    "the surface is taken as {width:written} × {height:written} from where the readings are; the notes width and height say otherwise",
	"labels_make_grid":      "the labels make a grid of {columns} × {rows} places; the note grid says otherwise",
	"reference_by_repeats":  "{place} is the reference: it was read {readings} times; the note reference says otherwise",
	"f_continuous":          "f-numbers are of continuous light at {shutter}, ISO {iso:.0f}, C = {constant:.0f}",
	"f_flash":               "f-numbers are of flash at ISO {iso:.0f}, C = {constant:.0f} (light: continuous says otherwise)",
	"f_rounded":             "f-numbers are rounded when read: the note resolution (0.1 stop, say) lets the interval know",
	"ev_read_at":            "exposure values are at ISO {iso:.0f}, C = {constant:.0f}",
	"shutter_180":           "a 180° shutter at the frame rate: {shutter}",
	"all.names_no_lamp":     "{file} names no lamp: it is taken as all lamps together",
	"light_between":         "between readings of the reference the light stays, runs, warms up or makes one step: faster swings are not seen",
	"assumed_repeatability": "repeatability 2 % of one reading to the next, an assumption: repeat a few readings or give a note to replace it",
	"assumed_color":         "color repeats to {mired} mired and {duv} Duv from one reading to the next, an assumption: repeat a few colors to replace it",
	"step_level":            "readings are good to {step of the display} (the note resolution says otherwise)",
	"step_stops":            "readings are good to the {step:step} that they are written in (the note resolution says otherwise)",

	// What a suspect would have been.
	"meant_footcandles":  "{fc} fc = {lx} lx",
	"meant_lux":          "{lx} lx = {fc} fc",
	"meant_level":        "{level}",
	"clear_of_the_light": "read again from the side, clear of the light",
	"turn_rows":          "turn rows {rows} around: the scatter about a smooth surface falls from {typed:.2f} to {turned:.2f} stops",
}

// stepName is a step of the scale of stops.
func stepName(step photometry.Stop) string {
	return cmp.Or(map[photometry.Stop]string{0.1: "tenth of a stop", 0.5: "half stop", 1: "full stop"}[step], "third of a stop")
}

// displayStep is the step of a display, as it was written or in the reader's unit.
func displayStep(w document.Words, v photometry.Values) string {
	step, written := float64(v["step"].(photometry.Figure)), v["unit"].(photometry.Unit)
	size, err := photometry.Meter{}.Level(step, written)
	if _, symbol := size.In(w.Unit); err == nil && w.Unit != photometry.NoUnit && symbol != "" && symbol != written.String() {
		return photometry.FormatLevel(size, w.Unit) + ", their step as written in " + written.String()
	}
	return fmt.Sprintf("the %v %v that they are written in", step, written)
}
