package report

import (
	"fmt"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/plots/document"
)

// asWritten are the filled cells of a row, by column and unit.
func asWritten(l setup.Lamp) map[string]string {
	out := map[string]string{}
	for _, c := range l.Cells() {
		if c.Text == "" || c.Column == "name" || c.Column == "kind" {
			continue
		}
		key := c.Column
		if c.Unit != "" {
			key += " (" + c.Unit + ")"
		}
		out[key] = c.Text
	}
	return out
}

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
		row := []string{l.Name + " (" + l.Kind + ")"}
		for _, cell := range p.lampCells(i) {
			row = append(row, strings.Join(cell, "\n"))
		}
		rows = append(rows, row)
	}
	p.Add(document.Table{Caption: "Lamps and what stands before them (" + p.lampsFile + ")", Rows: rows, Text: []int{0, 1, 2, 3, 4, 5, 6, 7}, Stacked: true})
}

// sheetCell is a cell of the sheet: what belongs together on the set, a line each.
type sheetCell []string

// typed adds a line of what somebody typed, where there is something.
func (c *sheetCell) typed(format, text string) {
	if text != "" {
		*c = append(*c, fmt.Sprintf(format, text))
	}
}

// figure is typed for a figure, which stays on a line with its name and its unit.
func (c *sheetCell) figure(format, text string) {
	if text != "" {
		*c = append(*c, together.Replace(fmt.Sprintf(format, text)))
	}
}

// together puts spaces that do not break between words and figures, and leaves
// those after a comma.
var together = strings.NewReplacer(", ", ", ", " ", "\u00a0")

// lampCells are the cells of a lamp's row: where it stands, where it aims, the head,
// what it is set to, what is in front, its color and the note.
func (p *paper) lampCells(i int) []sheetCell {
	l := p.Lamps[i].row
	placed := plan.Lamp{}
	if p.Plan != nil && i < len(p.Plan.Lamps) {
		placed = p.Plan.Lamps[i]
	}
	var color, note sheetCell
	if l.CCT != 0 {
		color.figure("%s K", fmt.Sprintf("%.0f", float64(l.CCT)))
	}
	if l.Duv != nil {
		color.figure("Duv %s", photometry.FormatSigned(*l.Duv, 4))
	}
	note.typed("%s", l.Note)
	return []sheetCell{p.stands(l, placed), p.aims(l, placed), p.lampHead(l), p.setTo(l), inFront(l), color, note}
}

func (p *paper) stands(l setup.Lamp, placed plan.Lamp) (c sheetCell) {
	c.figure("%s", p.spot(l.X, l.Y, l.Z))
	if c.figure("stand %s high", p.span(l.StandHeight)); !l.StandHeight.Set && placed.OverFloorM != nil {
		c.typed("%s over the floor", p.Length(*placed.OverFloorM))
	}
	return c
}

func (p *paper) aims(l setup.Lamp, placed plan.Lamp) (c sheetCell) {
	c.figure("at %s", p.spot(l.AimX, l.AimY, l.AimZ))
	switch {
	case l.Pan.Set || l.Tilt.Set:
		c.figure("pan %s°", orZero(l.Pan))
		c.figure("tilt %s°", orZero(l.Tilt))
	case placed.PanDeg != nil && !l.Rotate.Set:
		c.figure("%s", fmt.Sprintf("pan %s°, tilt %s°", photometry.FormatSigned(*placed.PanDeg, 0), photometry.FormatSigned(*placed.TiltDeg, 0)))
	}
	c.figure("turned %s°", l.Rotate.String())
	return c
}

func (p *paper) lampHead(l setup.Lamp) (c sheetCell) {
	if l.Width.Set || l.Height.Set {
		c.figure("%s", orDash(p.span(l.Width))+" × "+orDash(p.span(l.Height)))
	}
	if l.Power != nil {
		c.figure("%s W", fmt.Sprint(*l.Power))
	}
	c.figure("%s lm", l.Flux.String())
	c.figure("%s cd", l.Intensity.String())
	c.figure("%s", p.illuminance(l.E, 1, "lx"))
	c.figure("%s", p.illuminance(l.EFootcandles, photometry.LuxPerFootcandle, "fc"))
	c.figure("at %s", p.span(l.At))
	c.typed("E %s", l.EAt)
	c.figure("beam %s°", l.Beam.String())
	c.typed("focus: %s", l.SpotFlood)
	c.typed("file: %s", l.File)
	return c
}

// mostUnsure is how wide the interval of a lamp's level may be, in percent of its
// plan, to be told among what the lamp is set to.
const mostUnsure = 40

func (p *paper) setTo(l setup.Lamp) (c sheetCell) {
	c.figure("dimmer %s %%", l.Dimmer.String())
	c.typed("trim: %s", l.Trim)
	c.typed("scrims: %s", l.Scrims)
	if p.Plan == nil || p.Plan.Score == nil {
		return c
	}
	for _, s := range p.Plan.Score.Lamps {
		if strings.EqualFold(s.Name, l.Name) && s.Low != nil && s.High != nil && *s.High-*s.Low < mostUnsure {
			c.typed("%s", fmt.Sprintf("read at %.0f %% of this plan (%.0f to %.0f)", s.Percent, *s.Low, *s.High))
		}
	}
	return c
}

func inFront(l setup.Lamp) (c sheetCell) {
	c.typed("gel: %s", l.Gel)
	c.typed("diffusion: %s", l.Diffusion)
	c.typed("lit by %s", l.Behind)
	c.typed("material: %s", l.Material)
	c.figure("passes %s %%", l.Transmission.String())
	c.figure("%s %% of it straight on", l.Undiffused.String())
	c.figure("spill %s %%", l.Spill.String())
	c.figure("lobe m %s", l.Lobe.String())
	c.figure("reflects %s %%", l.Reflectance.String())
	return c
}

// spot is a place in space, with one unit for all three where none is free.
func (p *paper) spot(x, y, z setup.Range) string {
	switch {
	case !x.Set && !y.Set && !z.Set:
		return ""
	case x.Free() || y.Free() || z.Free() || !x.Set || !y.Set || !z.Set:
		return fmt.Sprintf("x %s, y %s, z %s", orDash(p.span(x)), orDash(p.span(y)), orDash(p.span(z)))
	}
	return fmt.Sprintf("x %s, y %s, z %s", p.Bare(x.At), p.Bare(y.At), p.Length(z.At))
}

// span is a cell that holds a length.
func (p *paper) span(c setup.Range) string {
	switch {
	case !c.Set:
		return ""
	case c.Free():
		return fmt.Sprintf("%s (free, %s to %s)", p.Length(c.At), p.Bare(c.Low), p.Length(c.High))
	}
	return p.Length(c.At)
}

// illuminance is a cell that holds one, as it is written where no other unit is
// wanted.
func (p *paper) illuminance(c setup.Range, lux float64, unit string) string {
	if !c.Set || c.Free() || p.Unit == photometry.NoUnit {
		if c.Set {
			return c.String() + " " + unit
		}
		return ""
	}
	return p.Level(photometry.Level{Value: c.At * lux, Quantity: photometry.Illuminance})
}

func orDash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// orZero is an angle, 0 where the cell is empty.
func orZero(c setup.Range) string {
	if !c.Set {
		return "0"
	}
	return c.String()
}
