package plots

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// SetView is the direction from which a set is drawn.
type SetView uint8

// The views of a set.
const (
	FromAbove   SetView = iota // plan view: the surface at the top, the camera below
	FromTheSide                // elevation: the surface at the left, seen from camera right
)

// SetOptions are the options of a picture of a set.
type SetOptions struct {
	Surface *spatial.Box // nil where there is none
	Area    *spatial.Box // the part in shot
	Marks   []plan.Mark
	FloorY  *float64 // nil: the surface stands on the floor
	Feet    bool     // lengths in feet
}

// The size of a drawing of a set, in pixels.
const setWidth, setHeight = 1080.0, 760.0

// Set draws the lamps, frames, bounces and flags of a scene to scale: position, aim
// and beam of each, the surface with its part in shot, and the marks; in the
// elevation also the stands on the floor. Both axes have the same scale.
func Set(s *plan.Scene, view SetView, opt SetOptions) *Picture {
	m := &setPicture{scene: s, view: view, opt: opt}
	if opt.FloorY != nil {
		m.floor = *opt.FloorY
	}
	m.setExtent()
	m.layOut()
	return NewPicture(m.title(), m.alt(), int(m.width), int(m.height), m.paint)
}

// setPicture is the picture of a set, laid out for any format.
type setPicture struct {
	scene *plan.Scene
	view  SetView
	opt   SetOptions
	floor float64

	box spatial.Box // what the axes show, m
	pageLayout
}

// project is a position as the view shows it: across and up, or down for the plan view,
// whose axis runs toward the camera.
func (m *setPicture) project(p r3.Vec) point {
	if m.view == FromAbove {
		return point{p.X, p.Z}
	}
	return point{p.Z, p.Y}
}

// viewDirection is the direction of view.
func (m *setPicture) viewDirection() r3.Vec {
	if m.view == FromAbove {
		return r3.Vec{Y: 1}
	}
	return r3.Vec{X: 1}
}

// setExtent finds the range of the axes.
func (m *setPicture) setExtent() {
	var across, up []float64
	add := func(p r3.Vec) {
		q := m.project(p)
		across, up = append(across, q.x), append(up, q.y)
	}
	for i := range m.scene.Fixtures {
		f := &m.scene.Fixtures[i]
		add(f.At)
		for _, c := range f.Corners {
			add(c)
		}
		if m.view == FromTheSide {
			add(r3.Vec{X: f.At.X, Y: m.floor, Z: f.At.Z})
		}
	}
	for _, mark := range m.opt.Marks {
		add(r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z})
	}
	if b := m.opt.Surface; b != nil {
		add(r3.Vec{X: b.X0, Y: b.Y0})
		add(r3.Vec{X: b.X1, Y: b.Y1})
	}
	m.box, _ = spatial.BoxOf(across, up)
	longer := max(m.box.Width(), m.box.Height(), 0.5)
	m.box = m.box.Grow(0.09*longer, 0.09*longer)
	// Keep some height even where all is at one height.
	thin := func(size float64) float64 { return max(0, longer/3-size) / 2 }
	m.box = m.box.Grow(thin(m.box.Width()), thin(m.box.Height()))
}

func (m *setPicture) layOut() {
	perMeter := min(setWidth/m.box.Width(), setHeight/m.box.Height())
	w, h := math.Round(perMeter*m.box.Width()), math.Round(perMeter*m.box.Height())
	const left, right = margin + 68, margin + 16
	m.begin(max(left+w+right, 900), m.title(), "", "", 0)
	m.addText(&m.headings, m.subtitle(), 17, 29, false, true)
	m.fromTop += 24
	m.data = m.rect(left+(m.width-left-right-w)/2, m.fromTop, w, h)
	m.fromTop += h + 74
	m.finish(m.describeSymbols())
	m.width = math.Ceil(m.width)
}

func (m *setPicture) title() string {
	if m.view == FromAbove {
		return "Plan view of the set"
	}
	return "Elevation of the set"
}

func (m *setPicture) subtitle() string {
	if m.view == FromAbove {
		return "from above; the surface at the top, the camera side below"
	}
	return "from camera right; the surface at the left, the camera side to the right"
}

// describeSymbols explains the symbols in the picture.
func (m *setPicture) describeSymbols() string {
	parts := []string{"Yellow: lamp; dashed: where it aims; pale: its beam, to half intensity"}
	for _, kind := range []struct {
		kind setup.LampKind
		text string
	}{{setup.Frame, "Thick blue: frame of diffusion"}, {setup.Bounce, "Thick orange: bounce"}, {setup.Flag, "Thick black: flag"}, {setup.Net, "Thick gray: net"}} {
		if slices.ContainsFunc(m.scene.Fixtures, func(f plan.Fixture) bool { return f.Kind == kind.kind }) {
			parts = append(parts, kind.text)
		}
	}
	if m.opt.Surface != nil {
		parts = append(parts, "Heavy line at z = 0: the surface"+map[bool]string{true: ", heavier in shot"}[m.opt.Area != nil])
	}
	if len(m.opt.Marks) > 0 {
		parts = append(parts, "Cross: mark")
	}
	if m.view == FromTheSide {
		floor := "Lowest line: the floor, with the stands"
		if m.opt.FloorY == nil {
			floor += " (taken at the surface's lower edge)"
		}
		parts = append(parts, floor)
	}
	return strings.Join(parts, ". ") + "."
}

// alt describes the position of each thing for those who cannot see the picture.
func (m *setPicture) alt() string {
	var b strings.Builder
	b.WriteString(m.title() + ", " + m.subtitle() + ".")
	if s := m.opt.Surface; s != nil {
		fmt.Fprintf(&b, " The surface is %s × %s %s.", formatLength(s.Width(), m.opt.Feet), formatLength(s.Height(), m.opt.Feet), lengthUnit(m.opt.Feet))
	}
	at := func(x, y, z float64) string {
		return fmt.Sprintf("x %s, y %s, z %s %s", formatLength(x, m.opt.Feet), formatLength(y, m.opt.Feet), formatLength(z, m.opt.Feet), lengthUnit(m.opt.Feet))
	}
	for i := range m.scene.Fixtures {
		f := &m.scene.Fixtures[i]
		fmt.Fprintf(&b, " %s (%s) at %s.", f.Name, f.Kind, at(f.At.X, f.At.Y, f.At.Z))
	}
	for _, mark := range m.opt.Marks {
		fmt.Fprintf(&b, " Mark %s at %s.", mark.Label, at(mark.X, mark.Y, mark.Z))
	}
	return b.String()
}

// paint draws the picture.
func (m *setPicture) paint(c draw.Canvas) {
	m.paintTexts(c)
	unit, size := lengthUnit(m.opt.Feet), m.data.Size()
	x := axis{m.box.X0, m.box.X1, "z (" + unit + "), toward the camera →", lengthTicks(m.opt.Feet, size.X), nil}
	y := axis{m.box.Y0, m.box.Y1, "y (" + unit + ")", lengthTicks(m.opt.Feet, size.Y), nil}
	if m.view == FromAbove {
		x.label, y.label = "← camera left · x ("+unit+") · camera right →", "z ("+unit+")"
		y.scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
	}
	drawAxes(c, m.data, x, y, m.plot)
}
