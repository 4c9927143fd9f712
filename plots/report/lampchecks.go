package report

import (
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// LampCheck is the reading by which a lamp of the reset sheet is checked: what it gave alone
// at a place of a surface, or else at a mark.
type LampCheck struct {
	Lamp     string
	Place    string
	AtMark   bool
	Level    photometry.Level
	CCT, Duv *float64
	Stands   string // where and how it stands, in the words of the sheet; "" where that is not on file
}

// LampChecks are those of all lamps that were read alone, in the order of the sheet, with
// the surface that they light; nil where there is none.
func (r *Report) LampChecks(w document.Words) (checks []LampCheck, of *Surface) {
	of = r.subject()
	for i := range r.Surfaces { // the one of the list, or else one that has such readings
		if other := &r.Surfaces[i]; of != nil && !of.hasLamps() && other.hasLamps() {
			of = other
		}
	}
	s := &sheet{}
	s.lamps(r, w)
	for _, l := range s.Lamps {
		if i := slices.IndexFunc(r.lampRows, func(row setup.Lamp) bool { return row.Name == l.Name }); i >= 0 {
			c := LampCheck{Lamp: l.Name, Stands: noteTexts(l.Stands, l.Set, l.Color)}
			if best, _ := of.alone(l.Name); best != nil {
				c.Place, c.Level, c.CCT, c.Duv = best.Label, photometry.Level{Value: best.Level, Quantity: of.Result.Survey.Quantity}, best.CCT, best.Duv
				checks = append(checks, c)
			} else if m := r.atMark(l.Name); m != nil {
				c.Place, c.AtMark, c.Level = m.Mark, true, photometry.Level{Value: m.Level, Quantity: m.quantity}
				checks = append(checks, c)
			}
		}
	}
	return checks, of
}

// hasLamps reports whether lamps were read alone on a surface, today or the day before.
func (of *Surface) hasLamps() bool {
	return len(of.Alone) > 0 || of.Before != nil && of.Before.read != nil && len(of.Before.read.Alone) > 0
}

// atMark is the first reading of a lamp alone at a mark, nil for none.
func (r *Report) atMark(name string) *MarkReading {
	if r.Ratios == nil {
		return nil
	}
	if i := slices.IndexFunc(r.Ratios.Readings, func(m MarkReading) bool { return strings.EqualFold(m.Lamp, name) }); i >= 0 {
		return &r.Ratios.Readings[i]
	}
	return nil
}

// noteTexts are notes in one line, without what is missing.
func noteTexts(all ...[]answers.Note) string {
	var out []string
	for _, notes := range all {
		for _, n := range notes {
			if !n.Missing {
				out = append(out, n.Text)
			}
		}
	}
	return strings.Join(out, " · ")
}
