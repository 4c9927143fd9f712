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

// sheetLines are the lines of a lamp in their order, by the column of the table or what is
// made of several, and as they are said. What somebody typed may be broken between words;
// a figure stays with its name and its unit.
var sheetLines = []struct {
	column, format string
	typed          bool
}{
	{"place", "%s", false}, {"stand height", "stand %s high", false}, {"over the floor", "%s over the floor", true},
	{"aim", "at %s", false}, {"pan", "pan %s°", false}, {"tilt", "tilt %s°", false}, {"angles", "%s", false}, {"rotate", "turned %s°", false},
	{"size", "%s", false}, {"power", "%s W", false}, {"flux", "%s lm", false}, {"intensity", "%s cd", false}, {"E", "%s", false}, {"E (fc)", "%s", false},
	{"at", "at %s", false}, {"E at", "E %s", true}, {"beam", "beam %s°", false}, {"spot or flood", "focus: %s", true}, {"file", "file: %s", true},
	{"dimmer", "dimmer %s %%", false}, {"trim", "trim: %s", true}, {"scrims", "scrims: %s", true}, {"of plan", "read at %s", true},
	{"gel", "gel: %s", true}, {"diffusion", "diffusion: %s", true}, {"behind", "lit by %s", true}, {"material", "material: %s", true},
	{"transmission", "passes %s %%", false}, {"undiffused", "%s %% of it straight on", false}, {"spill", "spill %s %%", false},
	{"lobe m", "lobe m %s", false}, {"reflectance", "reflects %s %%", false},
	{"CCT", "%s K", false}, {"Duv", "Duv %s", false}, {"note", "%s", true},
}

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
		var placed plan.Lamp
		if r != nil && i < len(r.Lamps) {
			placed = r.Lamps[i]
		}
		on := lampSheet{w}.texts(l, placed, r)
		var texts []string
		for _, line := range sheetLines {
			if on[line.column] == "" {
				continue
			}
			text := fmt.Sprintf(line.format, on[line.column])
			texts = append(texts, either(line.typed, text, unbroken.Replace(text)))
		}
		lines = append(lines, document.Line{Key: fmt.Sprintf("%s (%s)", l.Name, l.Kind), Texts: []string{strings.Join(texts, "; ")}})
	}
	d.Add(document.Paragraph("From "+file+":"), lines)
	return d
}

// lampSheet writes what is known of a lamp in the reader's units.
type lampSheet struct{ document.Words }

// unbroken puts spaces that do not break between words and figures, and leaves those
// after a comma.
var unbroken = strings.NewReplacer(", ", ", ", " ", "\u00a0")

// mostUnsure is how wide the interval of a lamp's level may be, in percent of its
// plan, to be said among what the lamp is set to.
const mostUnsure = 40

// texts are what is known of a lamp, by the columns of sheetLines.
func (s lampSheet) texts(l setup.Lamp, placed plan.Lamp, r *plan.Result) map[string]string {
	texts := map[string]string{}
	for _, c := range l.Cells() {
		texts[c.Column] = c.Text
	}
	texts["place"], texts["stand height"], texts["aim"] = s.spot(l.X, l.Y, l.Z), s.span(l.StandHeight), s.spot(l.AimX, l.AimY, l.AimZ)
	if !l.StandHeight.Set {
		texts["over the floor"] = known(placed.OverFloorM, s.Length)
	}
	texts["pan"], texts["tilt"] = "", ""
	switch {
	case l.Pan.Set || l.Tilt.Set:
		texts["pan"], texts["tilt"] = cmp.Or(l.Pan.String(), "0"), cmp.Or(l.Tilt.String(), "0")
	case placed.PanDeg != nil && !l.Rotate.Set:
		texts["angles"] = fmt.Sprintf("pan %s°, tilt %s°", signed(*placed.PanDeg, 0), signed(*placed.TiltDeg, 0))
	}
	if l.Width.Set || l.Height.Set {
		texts["size"] = orDash(s.span(l.Width)) + " × " + orDash(s.span(l.Height))
	}
	texts["at"] = s.span(l.At)
	texts["E"], texts["E (fc)"] = s.illuminance(l.E, 1, "lx"), s.illuminance(l.EFootcandles, photometry.LuxPerFootcandle, "fc")
	if l.CCT != 0 {
		texts["CCT"] = fmt.Sprintf("%.0f", float64(l.CCT))
	}
	if l.Duv != nil {
		texts["Duv"] = signed(*l.Duv, 4)
	}
	if r == nil || r.Score == nil || !r.Score.Explained {
		return texts
	}
	if at := slices.IndexFunc(r.Score.Lamps, func(of plan.LampScore) bool { return strings.EqualFold(of.Name, l.Name) }); at >= 0 {
		if of := r.Score.Lamps[at]; of.Low != nil && of.High != nil && *of.High-*of.Low < mostUnsure {
			texts["of plan"] = ofPlan(of, "this")
		}
	}
	return texts
}

// spot is a place in space, with one unit for all three where none is free.
func (s lampSheet) spot(x, y, z setup.Range) string {
	switch {
	case !x.Set && !y.Set && !z.Set:
		return ""
	case x.Free() || y.Free() || z.Free() || !x.Set || !y.Set || !z.Set:
		return fmt.Sprintf("x %s, y %s, z %s", orDash(s.span(x)), orDash(s.span(y)), orDash(s.span(z)))
	}
	return fmt.Sprintf("x %s, y %s, z %s", s.Bare(x.At), s.Bare(y.At), s.Length(z.At))
}

// span is a cell that holds a length.
func (s lampSheet) span(c setup.Range) string {
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
func (s lampSheet) illuminance(c setup.Range, lux float64, unit string) string {
	switch {
	case !c.Set:
		return ""
	case c.Free() || s.Unit == photometry.NoUnit:
		return c.String() + " " + unit
	}
	return s.Level(photometry.Level{Value: c.At * lux, Quantity: photometry.Illuminance})
}

func orDash(text string) string { return cmp.Or(text, "–") }
