package answers

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/plots/document"
)

// Note is a line of a cell of the reset sheet: what is on file, or what is missing.
type Note struct {
	Text    string
	Missing bool
	Strong  bool
}

// ResetLamp is a lamp's row of the reset sheet: each cell has at most two lines.
type ResetLamp struct {
	Number                     int
	Name, Below                string
	Stands, Points, Set, Color []Note
}

// Resetter writes where lamps stand as a person measures it.
type Resetter struct {
	document.Words
	Surface *spatial.Box // nil where there is none
	FloorY  *float64     // nil where it is not on file
	Gels    bool         // some lamp has a gel on file, so that the others have none
}

// Lamp is the row of a lamp; placed is the same in space, nil where it is not.
func (s Resetter) Lamp(number int, l setup.Lamp, placed *plan.Lamp) ResetLamp {
	out := ResetLamp{Number: number, Name: l.Name, Below: s.below(l)}
	out.Stands = s.stands(l)
	out.Points = s.points(l, placed)
	out.Set = s.set(l)
	out.Color = []Note{orMissing(cmp.Or(FilledIn(", ", l.Gel, l.DiffusionNamed()), either(s.Gels, "no gel", "")), "gel not on file")}
	if l.Behind == "" { // which has the color of the lamp behind it
		out.Color = append(out.Color, orMissing(lampColor(l), "color not on file"))
	}
	return out
}

func orMissing(text, missing string) Note {
	return Note{Text: cmp.Or(text, missing), Missing: text == ""}
}

// below is what the lamp is, under its name.
func (s Resetter) below(l setup.Lamp) string {
	switch {
	case l.Behind != "":
		return string(l.Kind) + ", lit by " + l.Behind
	case l.Power != nil:
		return fmt.Sprintf("%s, %g W", l.Kind, *l.Power)
	}
	return string(l.Kind)
}

// Side is how far left or right of the center line something is, as the camera sees it.
func (s Resetter) Side(x float64) string {
	if s.Surface == nil {
		return "x " + s.Coordinate(x)
	}
	off := x - (s.Surface.X0+s.Surface.X1)/2
	switch {
	case math.Abs(off) < 0.005:
		return "center"
	case off < 0:
		return s.Coordinate(-off) + " left"
	}
	return s.Coordinate(off) + " right"
}

// High is a height over the floor, or where that is not known over the lower edge of
// the surface.
func (s Resetter) High(y float64) string {
	if s.FloorY != nil {
		return s.Coordinate(y-*s.FloorY) + " high"
	}
	return s.Coordinate(y) + " over the surface's edge"
}

func (s Resetter) stands(l setup.Lamp) []Note {
	if !l.X.Set || !l.Z.Set {
		return []Note{{Text: "position not on file", Missing: true}}
	}
	height := Note{Text: "height not on file", Missing: true}
	switch {
	case l.Y.Set && (s.FloorY != nil || !l.StandHeight.Set):
		height = Note{Text: s.High(l.Y.At), Strong: true}
	case l.StandHeight.Set:
		height = Note{Text: s.Coordinate(l.StandHeight.At) + " high", Strong: true}
	}
	return []Note{{Text: s.Side(l.X.At) + " · " + s.Coordinate(l.Z.At) + " out", Strong: true}, height}
}

func (s Resetter) points(l setup.Lamp, placed *plan.Lamp) (out []Note) {
	if placed == nil {
		placed = &plan.Lamp{}
	}
	pan, tilt := angleOf(l.Pan, placed.PanDeg), angleOf(l.Tilt, placed.TiltDeg)
	if pan != nil || tilt != nil {
		out = append(out, Note{Text: turned(pan, "right", "left") + ", " + turned(tilt, "up", "down")})
	}
	if l.AimX.Set && l.AimY.Set {
		at := s.Side(l.AimX.At)
		switch {
		case l.AimZ.Set && l.AimZ.At > 0:
			at += " · " + s.Coordinate(l.AimZ.At) + " out"
		case l.AimZ.Set && l.AimZ.At == 0 && s.Surface != nil:
			at = "surface: " + at
		}
		out = append(out, Note{Text: at + " · " + s.High(l.AimY.At)})
	}
	if len(out) == 0 {
		out = []Note{{Text: "aim not on file", Missing: true}}
	}
	return out
}

// angleOf is an angle as it was written, else as the plan has it.
func angleOf(written setup.Range, planned *float64) *float64 {
	return either(written.Set, &written.At, planned)
}

// turned is an angle with its direction.
func turned(deg *float64, over, under string) string {
	switch {
	case deg == nil:
		return "–"
	case math.Round(*deg) == 0:
		return "0°"
	case *deg < 0:
		return fmt.Sprintf("%.0f° %s", -*deg, under)
	}
	return fmt.Sprintf("%.0f° %s", *deg, over)
}

func (s Resetter) set(l setup.Lamp) []Note {
	shapes := l.Kind == setup.Flag || l.Kind == setup.Net || l.Behind != "" // which has no light of its own
	scrims := !shapes && l.Scrims != "" && !strings.EqualFold(l.Scrims, "none")
	head := FilledIn(", ", l.SpotFlood, either(l.Beam.Set, "beam "+l.Beam.String()+"°", ""), either(l.Width.Set && l.Height.Set, s.Bare(l.Width.At)+" × "+s.Length(l.Height.At), ""), l.Material)
	level := FilledIn(", ", either(l.Dimmer.Set && !shapes, "dimmer "+l.Dimmer.String()+" %", ""), either(l.Trim != "" && !shapes, "trim "+l.Trim, ""), either(scrims, "scrims: "+l.Scrims, ""),
		either(l.Transmission.Set, "lets "+l.Transmission.String()+" % through", ""), either(l.Reflectance.Set, "reflects "+l.Reflectance.String()+" %", ""))
	switch {
	case head+level == "":
		return []Note{{Text: "level, focus not on file", Missing: true}}
	case shapes && level == "":
		return []Note{{Text: head}}
	}
	return []Note{orMissing(head, "focus not on file"), orMissing(level, "level not on file")}
}

// lampColor is a lamp's color as it was metered.
func lampColor(l setup.Lamp) string {
	if l.CCT == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f K", float64(l.CCT)) + known(l.Duv, func(duv float64) string { return " " + signed(duv, 4) })
}
