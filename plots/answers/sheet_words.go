package answers

import (
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// sheetSentences are what was assumed of a sheet that is not in the plain form.
var sheetSentences = sentences{
	"sheet.no_unit":     "no unit given: compared with each other only; a unit adds the exposure (--level-unit lx)",
	"sheet.unit_said":   "levels in {unit}, as {text} says",
	"sheet.mixed_units": "{cells} {cells|cell|cells} in {from} {cells|is|are} converted to {to}",
	"sheet.odd_head":    "the head {head} is no number as the others are, and is taken as a name",
	"sheet.decimal":     "{example} has decimals, since else it would be far off the others",
	"sheet.thousands":   "{example} has thousands, since else it would be far off the others",
	"sheet.twice":       "{place} twice, {missing} never",
	"sheet.length_unit": "lengths without a unit are in m",
	"sheet.again":       "{name} is {place} read again",
	"sheet.in_grid":     "size not given: notes width and height add positions",
	"sheet.nowhere":     "no map, since the places are names alone",
	"sheet.ranges":      "ranges are read at their middle",
	"sheet.stage":       "stage left is the performer's left, so camera right",
	"sheet.kind":        "no kinds given: each is a point, or with a size a panel",
}

// readAs says in one line how a sheet was read, nil for one in the plain form: how many
// places, from which columns, what is left out and what was assumed.
func (p *page) readAs(as *photometry.ReadAs, n int, of string) {
	if as == nil {
		return
	}
	text := fmt.Sprintf("%d %s%s", n, of, plural(n))
	if as.Sheet != "" {
		text += " of sheet " + quoted(as.Sheet)
	}
	if len(as.Columns) > 0 {
		text += "; levels from " + and(texts(as.Columns, quoted))
	}
	named := slices.DeleteFunc(slices.Clone(as.LeftOut), func(text string) bool { return text == as.Title })
	if out := p.short(texts(named, leftOut), 4); len(out) > 0 {
		text += "; left out: " + strings.Join(out, ", ")
	}
	for _, assumed := range Remarks(p.Words, as.Assumed) {
		text += "; " + assumed
	}
	p.Line("read as", text)
}

// Taken is who took readings, and where, "" where nobody says.
func Taken(t photometry.Taken) string {
	return FilledIn(", ", strings.TrimSuffix("by "+t.Operator, "by "), strings.TrimSuffix("at "+t.Location, "at "))
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
	text := strings.TrimSpace(p.where(s, b.Label, b.X, b.Y) + either(b.Over, " more than ", " less than ") + p.Level(photometry.Level{Value: b.Level, Quantity: s.Quantity}))
	return text + either(s.InShot(b.X, b.Y), "", ", out of shot: it does not count")
}

// doubt is a reading that was marked as doubtful.
func (p *page) doubt(s *survey.Survey, d survey.Doubt) string {
	return strings.TrimSpace(p.where(s, d.Label, d.X, d.Y) + " " + p.Level(photometry.Level{Value: d.Level, Quantity: s.Quantity}) + " (counts as good to 5 %)")
}

// where is a place by its label, or its position where it has none.
func (p *page) where(s *survey.Survey, label string, x, y float64) string {
	if label == "" && s.Placing == survey.InMeters {
		return "at " + p.Place(x, y)
	}
	return label
}
