package answers

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// sheetSentences are what was assumed of a sheet that is not in the plain form.
var sheetSentences = sentences{
	"sheet.no_unit":     "levels without a unit are parts of a whole",
	"sheet.decimal":     "{example} has decimals, since else it would be far off the others",
	"sheet.thousands":   "{example} has thousands, since else it would be far off the others",
	"sheet.twice":       "{place} twice, {missing} never",
	"sheet.length_unit": "lengths without a unit are in m",
	"sheet.in_grid":     "places in rows and columns without lengths (the notes width and height say more)",
	"sheet.nowhere":     "no map, since the places are names alone",
	"sheet.ranges":      "ranges are read at their middle",
}

// readAs says in one line how a sheet was read: how many places, from which columns,
// what is left out and what was assumed.
func (p *page) readAs(r *evenness.Result) string {
	as := r.ReadAs
	n := r.Points + len(r.Bounds)
	text := fmt.Sprintf("%d place%s", n, plural(n))
	if as.Sheet != "" {
		text += " of sheet " + quoted(as.Sheet)
	}
	if len(as.Columns) > 0 {
		text += "; levels from " + and(texts(as.Columns, quoted))
	}
	if out := p.short(texts(as.LeftOut, leftOut), 4); len(out) > 0 {
		text += "; left out: " + strings.Join(out, ", ")
	}
	for _, assumed := range Remarks(p.Words, as.Assumed) {
		text += "; " + assumed
	}
	return text
}

func quoted(text string) string { return "“" + text + "”" }

// leftOut is what was left out, as typed in quotes, or as a line, a column or a sheet.
func leftOut(name string) string {
	for _, kind := range []string{"line ", "column ", "row ", "sheet ", "table "} {
		if rest, ok := strings.CutPrefix(name, kind); ok {
			if kind == "line " || kind == "column " && len(rest) == 1 {
				return name
			}
			return kind + quoted(rest)
		}
	}
	return quoted(name)
}

// bound is a reading that is known to one side.
func (p *page) bound(s *survey.Survey, b survey.Bound) string {
	side := "less than "
	if b.Over {
		side = "more than "
	}
	if b.Label == "" && s.Placing == survey.InMeters {
		b.Label = "at " + p.Place(b.X, b.Y)
	}
	return strings.TrimSpace(b.Label + " " + side + p.Level(photometry.Level{Value: b.Level, Quantity: s.Quantity}))
}
