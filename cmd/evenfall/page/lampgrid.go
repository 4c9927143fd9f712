package page

import (
	"bytes"
	"math"
	"strings"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// lendGrid gives readings of lamps alone at some places the grid of the surface that they
// are named after, cloth-lamps.csv that of cloth.csv, where the two say of the same size and
// of no place that it is elsewhere: a few labels do not tell how many there are across.
func (st *store) lendGrid(b *editor) {
	if b == nil || b.lights != nil || len(b.lamps) < 2 || b.readings("") > 0 || b.form.GridColumns == 0 {
		return
	}
	for name := stem(b.name); strings.ContainsAny(name, "-_ "); {
		name = name[:strings.LastIndexAny(name, "-_ ")]
		content, _, err := st.read(name + ".csv")
		if err != nil {
			continue
		}
		of, err := survey.ReadForm(survey.Input{Name: name + ".csv", Reader: bytes.NewReader(content)})
		if err == nil && b.within(of) {
			b.form.GridColumns, b.form.GridRows, b.form.Settings.Edges = of.GridColumns, of.GridRows, of.Settings.Edges
			b.places, b.byKey, b.quick = nil, map[string]int{}, 0
			b.findPlaces()
		}
		return
	}
}

// within reports whether all places are of the grid of another form.
func (b *editor) within(of *survey.Form) bool {
	if of.GridColumns < b.form.GridColumns || of.GridRows < b.form.GridRows || of.WidthM != b.form.WidthM || of.HeightM != b.form.HeightM {
		return false
	}
	for _, p := range b.places {
		column, row, ok := spatial.ParseGridLabel(p.label)
		if !ok {
			return false
		}
		if x, y := of.Position(column, row); p.placed() && (math.Abs(x-p.x) > 0.01 || math.Abs(y-p.y) > 0.01) {
			return false
		}
	}
	return true
}
