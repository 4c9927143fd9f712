package report

import (
	"fmt"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/plots/document"
)

// lampSheet is all that it takes to put the lamps back.
func (p *paper) lampSheet() {
	if len(p.Lamps) == 0 {
		return
	}
	text := "Places count from the lower left corner of the surface: x to camera right, y up, z toward the camera. Pan 0 and tilt 0 look straight at the surface; pan turns toward camera right, tilt up."
	if p.plan != nil && p.plan.views.FloorY != nil {
		text += fmt.Sprintf(" The floor is at y %s.", p.Length(*p.plan.views.FloorY))
	}
	p.Add(document.Paragraph(text))
	rows := [][]string{{"lamp", "stands at", "aims", "head", "set to", "in front", "color", "note"}}
	for i, l := range p.Lamps {
		x := p.lampParts(i, p.Words)
		row := []string{l.Name + " (" + l.Kind + ")"}
		for _, lines := range [][]string{x.stands, x.aims, x.head, x.set, x.front, x.color, x.note} {
			row = append(row, strings.Join(lines, "\n"))
		}
		rows = append(rows, row)
	}
	p.Add(document.Table{Caption: "Lamps and what stands before them (" + p.lampsFile + ")", Rows: rows, Text: []int{0, 1, 2, 3, 4, 5, 6, 7}, Stacked: true})
}

// lampParts is a row of the table of lamps for people: what stands together on
// the set stands in one cell, a line each.
type lampParts struct{ stands, aims, head, set, front, color, note []string }

func (r *Report) lampParts(i int, w document.Words) lampParts {
	l := r.Lamps[i].row
	var in *plan.Lamp
	if r.Plan != nil && i < len(r.Plan.Lamps) {
		in = &r.Plan.Lamps[i]
	}
	var p lampParts
	add := func(to *[]string, format string, values ...any) { *to = append(*to, fmt.Sprintf(format, values...)) }
	// figures is add for a name with a figure, which stay together on a line.
	figures := func(to *[]string, format string, values ...any) {
		*to = append(*to, together.Replace(fmt.Sprintf(format, values...)))
	}
	if l.X.Set || l.Y.Set || l.Z.Set {
		figures(&p.stands, "%s", spot(w, l.X, l.Y, l.Z))
	}
	switch {
	case l.StandHeight.Set:
		figures(&p.stands, "stand %s high", span(w, l.StandHeight))
	case in != nil && in.OverFloorM != nil:
		add(&p.stands, "%s over the floor", w.Length(*in.OverFloorM))
	}
	if l.AimX.Set || l.AimY.Set || l.AimZ.Set {
		figures(&p.aims, "at %s", spot(w, l.AimX, l.AimY, l.AimZ))
	}
	switch {
	case l.Pan.Set || l.Tilt.Set:
		figures(&p.aims, "pan %s°", degrees(l.Pan))
		figures(&p.aims, "tilt %s°", degrees(l.Tilt))
	case in != nil && in.PanDeg != nil && !(l.Rotate.Set):
		figures(&p.aims, "pan %s°, tilt %s°", photometry.FormatSigned(*in.PanDeg, 0), photometry.FormatSigned(*in.TiltDeg, 0))
	}
	if l.Rotate.Set {
		figures(&p.aims, "turned %s°", degrees(l.Rotate))
	}
	if l.Width.Set || l.Height.Set {
		figures(&p.head, "%s × %s", span(w, l.Width), span(w, l.Height))
	}
	if l.Power != nil {
		figures(&p.head, "%g W", *l.Power)
	}
	number := func(to *[]string, c setup.Range, format string) {
		if c.Set {
			text, _ := c.MarshalCSV()
			figures(to, format, text)
		}
	}
	number(&p.head, l.Flux, "%s lm")
	number(&p.head, l.Intensity, "%s cd")
	number(&p.head, l.E, "%s lx")
	number(&p.head, l.EFootcandles, "%s fc")
	if l.At.Set {
		figures(&p.head, "at %s", span(w, l.At))
	}
	if l.EAt != "" {
		add(&p.head, "E %s", l.EAt)
	}
	number(&p.head, l.Beam, "beam %s°")
	words := func(to *[]string, text, format string) {
		if text != "" {
			add(to, format, text)
		}
	}
	words(&p.head, l.SpotFlood, "focus: %s")
	words(&p.head, l.File, "file: %s")
	number(&p.set, l.Dimmer, "dimmer %s %%")
	words(&p.set, l.Trim, "trim: %s")
	words(&p.set, l.Scrims, "scrims: %s")
	if r.Plan != nil && r.Plan.Score != nil {
		for _, s := range r.Plan.Score.Lamps {
			if strings.EqualFold(s.Name, l.Name) && s.Low != nil && s.High != nil && *s.High-*s.Low < mostUnsure {
				add(&p.set, "read at %.0f %% of this plan (%.0f to %.0f)", s.Percent, *s.Low, *s.High)
			}
		}
	}
	words(&p.front, l.Gel, "gel: %s")
	words(&p.front, l.Diffusion, "diffusion: %s")
	words(&p.front, l.Behind, "lit by %s")
	words(&p.front, l.Material, "material: %s")
	number(&p.front, l.Transmission, "passes %s %%")
	number(&p.front, l.Undiffused, "%s %% of it straight on")
	number(&p.front, l.Spill, "spill %s %%")
	number(&p.front, l.Lobe, "lobe m %s")
	number(&p.front, l.Reflectance, "reflects %s %%")
	if l.CCT != 0 {
		figures(&p.color, "%.0f K", float64(l.CCT))
	}
	if l.Duv != nil {
		figures(&p.color, "Duv %s", photometry.FormatSigned(*l.Duv, 4))
	}
	words(&p.note, l.Note, "%s")
	return p
}

// together puts spaces that do not break between words and figures, and leaves
// those after a comma.
var together = strings.NewReplacer(", ", ", ", " ", "\u00a0")

// mostUnsure is how wide the interval of a lamp's level may be, in percent of its
// plan, to be told among what the lamp is set to.
const mostUnsure = 40

// spot is a place in space, with one unit for all three where none is free.
func spot(w document.Words, x, y, z setup.Range) string {
	if x.Free() || y.Free() || z.Free() || !x.Set || !y.Set || !z.Set {
		return fmt.Sprintf("x %s, y %s, z %s", span(w, x), span(w, y), span(w, z))
	}
	return fmt.Sprintf("x %s, y %s, z %s", w.Bare(x.At), w.Bare(y.At), w.Length(z.At))
}

// span is a cell that holds a length.
func span(w document.Words, c setup.Range) string {
	switch {
	case !c.Set:
		return "–"
	case c.Free():
		return fmt.Sprintf("%s (free, %s to %s)", w.Length(c.At), w.Bare(c.Low), w.Length(c.High))
	}
	return w.Length(c.At)
}

// degrees is a cell that holds an angle.
func degrees(c setup.Range) string {
	if !c.Set {
		return "0"
	}
	text, _ := c.MarshalCSV()
	return text
}
