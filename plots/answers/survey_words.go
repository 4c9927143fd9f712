package answers

// surveySentences are what came up while the readings of a surface, a series or
// lamps alone were read.
var surveySentences = sentences{
	"no_duv":              "{places} places have a color temperature but an empty Duv or CC: they have no color here.",
	"colors_disagree":     "In {rows} rows, first on line {line}, the color temperature is not that of the chromaticity beside it; the chromaticity counts.",
	"color_without_level": "{places} places have a color but no level and are left out.",
	"outside_surface":     "{places} places lie outside the surface of {width} × {height}: check the origin (lower left corner) and the unit of length.",
	"reference_unread":    "The reference {reference} is not read yet; until then zero is the mean.",
	"grid_size":           "The note says a grid of {columns} × {rows}, the readings make {read_columns} × {read_rows}.",
	"no_mark":             "No marks of the scale, so read as typed: {typed}. A mark and tenths of a stop are written 8 5/10.",
	"mark_unit":           "The mark {mark} is taken as {mark} {usual}, though the distances are in {unit}: write {mark}{unit} for those.",
	"repeats_disagree":    "The readings at {place} disagree: {readings}. Read it again.",
	"places_left_out":     "{left_out} of {places} places were not read with every lamp alone and are left out.",
	"names_no_lamp":       "{file} names no lamp: it is taken as the lamp {lamp}.",
	"sum.names_no_lamp":   "{file} names no lamp: it is taken as all lamps together, since the others add up to it.",
}
