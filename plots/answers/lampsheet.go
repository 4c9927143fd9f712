package answers

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/plots/document"
)

// The columns of the sheet behind the lamp.
const (
	sheetPlace = iota
	sheetAim
	sheetHead
	sheetSet
	sheetFront
	sheetColor
	sheetNote
	sheetColumns
)

// sheetLines are the columns of a table of lamps of which the sheet has a line each,
// as it says them.
var sheetLines = []struct {
	at             int
	column, format string
}{
	{sheetAim, "rotate", "turned %s°"},
	{sheetHead, "power", "%s W"}, {sheetHead, "flux", "%s lm"}, {sheetHead, "intensity", "%s cd"}, {sheetHead, "E", "%s"}, {sheetHead, "E (fc)", "%s"},
	{sheetHead, "at", "at %s"}, {sheetHead, "E at", "E %s"}, {sheetHead, "beam", "beam %s°"}, {sheetHead, "spot or flood", "focus: %s"}, {sheetHead, "file", "file: %s"},
	{sheetSet, "dimmer", "dimmer %s %%"}, {sheetSet, "trim", "trim: %s"}, {sheetSet, "scrims", "scrims: %s"},
	{sheetFront, "gel", "gel: %s"}, {sheetFront, "diffusion", "diffusion: %s"}, {sheetFront, "behind", "lit by %s"}, {sheetFront, "material", "material: %s"},
	{sheetFront, "transmission", "passes %s %%"}, {sheetFront, "undiffused", "%s %% of it straight on"}, {sheetFront, "spill", "spill %s %%"},
	{sheetFront, "lobe m", "lobe m %s"}, {sheetFront, "reflectance", "reflects %s %%"},
	{sheetColor, "CCT", "%s K"}, {sheetColor, "Duv", "Duv %s"}, {sheetNote, "note", "%s"},
}

// asTypedColumns hold what somebody typed, which may be broken between words.
var asTypedColumns = map[string]bool{"E at": true, "spot or flood": true, "file": true, "trim": true, "scrims": true,
	"gel": true, "diffusion": true, "behind": true, "material": true, "note": true}

// LampSheet is all that it takes to put the lamps of a table back; r is what is known
// of them in space, nil for nothing.
func LampSheet(file string, lamps []setup.Lamp, r *plan.Result, floorY *float64, w document.Words) *document.Document {
	d := document.New(w)
	text := "Places count from the lower left corner of the surface: x to camera right, y up, z toward the camera. Pan 0 and tilt 0 look straight at the surface; pan turns toward camera right, tilt up."
	if floorY != nil {
		text += fmt.Sprintf(" The floor is at y %s.", w.Length(*floorY))
	}
	d.Add(document.Paragraph(text))
	var lines document.Lines
	for i, l := range lamps {
		s := lampSheet{Words: w}
		s.fill(l, i, r)
		lines = append(lines, document.Line{Key: fmt.Sprintf("%s (%s)", l.Name, l.Kind), Texts: []string{strings.Join(slices.Concat(s.cells[:]...), "; ")}})
	}
	d.Add(document.Paragraph("From "+file+":"), lines)
	return d
}

// lampSheet is a lamp's row of the sheet while it is made: in each cell what belongs
// together on the set, a line each.
type lampSheet struct {
	document.Words
	cells [sheetColumns][]string
}

// typed adds a line of what somebody typed, where there is something.
func (s *lampSheet) typed(at int, format, text string) {
	if text != "" {
		s.cells[at] = append(s.cells[at], fmt.Sprintf(format, text))
	}
}

// figure is typed for a figure, which stays on a line with its name and its unit.
func (s *lampSheet) figure(at int, format, text string) {
	if text != "" {
		s.cells[at] = append(s.cells[at], unbroken.Replace(fmt.Sprintf(format, text)))
	}
}

// unbroken puts spaces that do not break between words and figures, and leaves those
// after a comma.
var unbroken = strings.NewReplacer(", ", ", ", " ", "\u00a0")

// mostUnsure is how wide the interval of a lamp's level may be, in percent of its
// plan, to be said among what the lamp is set to.
const mostUnsure = 40

// fill makes the row of lamp i.
func (s *lampSheet) fill(l setup.Lamp, i int, r *plan.Result) {
	var placed plan.Lamp
	if r != nil && i < len(r.Lamps) {
		placed = r.Lamps[i]
	}
	s.figure(sheetPlace, "%s", s.spot(l.X, l.Y, l.Z))
	if s.figure(sheetPlace, "stand %s high", s.span(l.StandHeight)); !l.StandHeight.Set && placed.OverFloorM != nil {
		s.typed(sheetPlace, "%s over the floor", s.Length(*placed.OverFloorM))
	}
	s.figure(sheetAim, "at %s", s.spot(l.AimX, l.AimY, l.AimZ))
	switch {
	case l.Pan.Set || l.Tilt.Set:
		s.figure(sheetAim, "pan %s°", cmp.Or(l.Pan.String(), "0"))
		s.figure(sheetAim, "tilt %s°", cmp.Or(l.Tilt.String(), "0"))
	case placed.PanDeg != nil && !l.Rotate.Set:
		s.figure(sheetAim, "%s", fmt.Sprintf("pan %s°, tilt %s°", signed(*placed.PanDeg, 0), signed(*placed.TiltDeg, 0)))
	}
	if l.Width.Set || l.Height.Set {
		s.figure(sheetHead, "%s", orDash(s.span(l.Width))+" × "+orDash(s.span(l.Height)))
	}
	texts := s.cellTexts(l)
	for _, line := range sheetLines {
		if asTypedColumns[line.column] {
			s.typed(line.at, line.format, texts[line.column])
		} else {
			s.figure(line.at, line.format, texts[line.column])
		}
	}
	if r == nil || r.Score == nil || !r.Score.Explained {
		return
	}
	for _, found := range r.Score.Lamps {
		if strings.EqualFold(found.Name, l.Name) && found.Low != nil && found.High != nil && *found.High-*found.Low < mostUnsure {
			s.typed(sheetSet, "read at %s", ofPlan(found, "this"))
		}
	}
}

// cellTexts are a row's cells by column, lengths and illuminances in the reader's
// units.
func (s *lampSheet) cellTexts(l setup.Lamp) map[string]string {
	texts := map[string]string{}
	for _, c := range l.Cells() {
		texts[c.Column] = c.Text
	}
	texts["at"] = s.span(l.At)
	texts["E"], texts["E (fc)"] = s.illuminance(l.E, 1, "lx"), s.illuminance(l.EFootcandles, photometry.LuxPerFootcandle, "fc")
	if l.CCT != 0 {
		texts["CCT"] = fmt.Sprintf("%.0f", float64(l.CCT))
	}
	if l.Duv != nil {
		texts["Duv"] = signed(*l.Duv, 4)
	}
	return texts
}

// spot is a place in space, with one unit for all three where none is free.
func (s *lampSheet) spot(x, y, z setup.Range) string {
	switch {
	case !x.Set && !y.Set && !z.Set:
		return ""
	case x.Free() || y.Free() || z.Free() || !x.Set || !y.Set || !z.Set:
		return fmt.Sprintf("x %s, y %s, z %s", orDash(s.span(x)), orDash(s.span(y)), orDash(s.span(z)))
	}
	return fmt.Sprintf("x %s, y %s, z %s", s.Bare(x.At), s.Bare(y.At), s.Length(z.At))
}

// span is a cell that holds a length.
func (s *lampSheet) span(c setup.Range) string {
	switch {
	case !c.Set:
		return ""
	case c.Free():
		return fmt.Sprintf("%s (free, %s to %s)", s.Length(c.At), s.Bare(c.Low), s.Length(c.High))
	}
	return s.Length(c.At)
}

// illuminance is a cell that holds one, as it is written where no other unit is
// wanted.
func (s *lampSheet) illuminance(c setup.Range, lux float64, unit string) string {
	switch {
	case !c.Set:
		return ""
	case c.Free() || s.Unit == photometry.NoUnit:
		return c.String() + " " + unit
	}
	return s.Level(photometry.Level{Value: c.At * lux, Quantity: photometry.Illuminance})
}

func orDash(text string) string { return cmp.Or(text, "–") }
