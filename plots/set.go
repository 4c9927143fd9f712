package plots

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/plot/vg"

	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// SetOptions are the options of a picture of a set.
type SetOptions struct {
	Title   string       // of the set; empty is "Set"
	Date    string       // of the state on file; empty where not known
	Surface *spatial.Box // nil where there is none
	Area    *spatial.Box // the part in shot
	Marks   []plan.Mark
	FloorY  *float64 // nil: not known, heights count from the surface's lower edge
	Feet    bool     // lengths in feet
	// Before is the scene of the same lamps before they were moved; nil for none.
	Before *plan.Scene
	// Narrow draws the two views alone, 480 pixels wide, with type that reads on a phone
	// and in print at 100 mm: without title and list, which the caller shows elsewhere.
	Narrow bool
}

// setLook is the sizes of a picture of a set in pixels, as mapLook.
type setLook struct{ width, beside, high, label, gap float64 }

var (
	fullSet   = setLook{width: pictureWidth, beside: 110, high: 860, label: 17, gap: 38}
	narrowSet = setLook{width: narrowWidth, beside: 84, high: 290, label: 15, gap: 26}
)

// Set draws the lamps, frames, bounces and flags of a scene to scale: the plan view from
// above, with the surface at the top and the camera below, and under it the front
// elevation from the camera, on one x. Lamps, frames and bounces have the numbers of
// their rows, flags and nets left out, and stand with their distance left or right of
// the surface's middle, out from it and above the floor. A line leads to where each
// aims, short dashes are the edges of its beam to half intensity. Places before a move
// are hollow.
func Set(s *plan.Scene, opt SetOptions) *Picture {
	m := &setPicture{scene: s, rows: s.Rows(), placed: s.Describe(nil), opt: opt, look: fullSet}
	if opt.Narrow {
		m.look = narrowSet
	}
	if opt.FloorY != nil {
		m.floor = *opt.FloorY
	}
	if b := opt.Surface; b != nil {
		m.middle, _ = b.Center()
	}
	m.number()
	m.setExtent()
	m.layOut()
	return m.picture(m.alt(), m.paint)
}

// setPicture is the picture of a set, laid out for any format: data is the plan view,
// under the elevation.
type setPicture struct {
	scene         *plan.Scene
	rows          []setup.Lamp
	placed        []plan.Lamp
	opt           SetOptions
	look          setLook
	floor, middle float64
	numbers       []string // of the fixtures; "" for flags and nets
	numbered      int
	gels          bool // whether the table says of any that it has one

	from, to r3.Vec   // corners of all that is drawn
	perMeter float64  // pixels
	columns  []column // above the elevation
	pageLayout
}

// number numbers what gives light, and looks for gels.
func (m *setPicture) number() {
	m.gels = slices.ContainsFunc(m.rows, func(l setup.Lamp) bool { return l.Gel != "" })
	for _, f := range m.scene.Fixtures {
		text := ""
		if f.Kind != setup.Flag && f.Kind != setup.Net {
			m.numbered++
			text = strconv.Itoa(m.numbered)
		}
		m.numbers = append(m.numbers, text)
	}
}

// setExtent finds the corners of all that is drawn.
func (m *setPicture) setExtent() {
	points := []r3.Vec{{X: m.middle, Y: m.floor}}
	for _, s := range []*plan.Scene{m.scene, cmp.Or(m.opt.Before, m.scene)} {
		for _, f := range s.Fixtures {
			points = append(append(points, f.At), f.Corners...)
		}
	}
	for _, mark := range m.opt.Marks {
		points = append(points, r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z})
	}
	if b := m.opt.Surface; b != nil {
		points = append(points, r3.Vec{X: b.X0, Y: b.Y0}, r3.Vec{X: b.X1, Y: b.Y1})
	}
	m.from, m.to = points[0], points[0]
	for _, p := range points {
		m.from = r3.Vec{X: min(m.from.X, p.X), Y: min(m.from.Y, p.Y), Z: min(m.from.Z, p.Z)}
		m.to = r3.Vec{X: max(m.to.X, p.X), Y: max(m.to.Y, p.Y), Z: max(m.to.Z, p.Z)}
	}
}

func (m *setPicture) layOut() {
	look := m.look
	m.typeSize, m.narrow = look.label, m.opt.Narrow
	state := either(m.opt.Before != nil, "solved, with the places before", "as on file")
	m.begin(headingOf(cmp.Or(m.opt.Title, "Set"), "plan and elevation", m.opt.Date, state), "", "", 24)
	list := pageLayout{width: m.width, narrow: m.narrow}
	m.addList(&list)
	size := r3.Sub(m.to, m.from)
	wide, high := look.width-2*look.beside, min(look.high, max(400, 1110-list.fromTop)) // with the list it fits a page
	m.perMeter = min(wide/max(size.X, 0.5), high/max(size.Y+size.Z, 1))
	w := m.perMeter * size.X
	left := (look.width - w) / 2
	m.fromTop += look.gap + 8
	m.data = m.rect(left, m.fromTop, w, m.perMeter*size.Z)
	m.under = m.data
	m.setColumns()
	m.fromTop += m.perMeter*size.Z + 2*look.gap + 16 + float64(m.overElevation())
	m.under = m.rect(left, m.fromTop, w, m.perMeter*size.Y)
	m.fromTop += m.perMeter*size.Y + 30
	m.addList(&m.pageLayout)
	m.fromTop += either(m.narrow, 0.0, 10)
	m.finish(m.describeSymbols())
}

// mostListed is how many lines the list of a set's fixtures may have: a picture with a
// thousand would be fifty times as high as it is wide.
const mostListed = 250

// addList adds what is said of each fixture to a layout, as far as it has room.
func (m *setPicture) addList(to *pageLayout) {
	before := len(to.texts)
	for i := range m.scene.Fixtures {
		if len(to.texts)-before >= mostListed {
			to.addText(fmt.Sprintf("and %d more, which the table of lamps has", len(m.scene.Fixtures)-i), 17, 25, false, false)
			return
		}
		to.addText(m.describe(i), 17, 25, false, false)
	}
}

// length prints a length to the centimeter, with its unit.
func (m *setPicture) length(meters float64) string {
	return m.bare(meters) + " " + lengthUnit(m.opt.Feet)
}

func (m *setPicture) bare(meters float64) string {
	return strconv.FormatFloat(meters/lengthScale(m.opt.Feet), 'f', 2, 64)
}

// side is how far left or right of the middle a place is, as seen from the camera.
func (m *setPicture) side(x float64) string {
	if m.opt.Surface == nil { // of whose middle nothing is on file
		return "x " + m.bare(x)
	}
	switch off := x - m.middle; {
	case off < -0.005:
		return m.bare(-off) + " left"
	case off > 0.005:
		return m.bare(off) + " right"
	}
	return "center"
}

// high is how high a place is above the floor, or above the surface's lower edge where
// the floor is not on file.
func (m *setPicture) high(y float64) string { return m.bare(y-m.floor) + " high" }

// describe says how a fixture stands and is set, as a person measures it.
func (m *setPicture) describe(i int) string {
	f, row := &m.scene.Fixtures[i], &m.rows[i]
	parts := []string{fmt.Sprintf("%s, %s out, %s", m.side(f.At.X), m.bare(f.At.Z), m.high(f.At.Y))}
	if pan, tilt := m.turned(i); pan != "" {
		aim := m.aim(i)
		text := "aims " + m.side(aim.X)
		if aim.Z > 0.005 {
			text += ", " + m.bare(aim.Z) + " out"
		}
		parts = append(parts, text+", "+m.high(aim.Y), "pan "+pan+", tilt "+tilt)
	}
	parts = append(parts, m.settings(i)...)
	if row.Behind != "" {
		parts = append(parts, "lit by "+cleanText(row.Behind))
	}
	name := fmt.Sprintf("%s (%s): ", cleanText(f.Name), f.Kind)
	if m.numbers[i] != "" {
		name = m.numbers[i] + " " + name
	}
	return name + strings.Join(parts, "; ")
}

// turned is how far a fixture is panned and tilted, "" for one that aims nowhere.
func (m *setPicture) turned(i int) (pan, tilt string) {
	if f, placed := &m.scene.Fixtures[i], &m.placed[i]; f.Aimed && f.Kind != setup.Flag && f.Kind != setup.Net {
		return degrees(*placed.PanDeg, "right", "left"), degrees(*placed.TiltDeg, "up", "down")
	}
	return "", ""
}

// settings are the level of a lamp with its focus and scrims, and its gel, or the front of
// what shapes light.
func (m *setPicture) settings(i int) []string {
	row := &m.rows[i]
	level, gel := m.levelAndGel(i)
	if level == "" {
		if front := cleanText(cmp.Or(row.DiffusionNamed(), row.Material, row.Gel)); front != "" {
			return []string{front}
		}
		return nil
	}
	for _, with := range []string{row.SpotFlood, row.Scrims} {
		if with = cleanText(with); with != "" && with != "none" {
			level += ", " + with
		}
	}
	return []string{level, gel}
}

// levelAndGel are the level and the gel of a lamp, "" for what only shapes light.
func (m *setPicture) levelAndGel(i int) (level, gel string) {
	if m.scene.Fixtures[i].Kind.Shapes() {
		return "", ""
	}
	level, gel = "level not on file", cleanText(m.rows[i].Gel)
	if dimmer := &m.rows[i].Dimmer; dimmer.Set {
		level = dimmer.String() + " %"
	}
	if gel == "" {
		gel = either(m.gels, "no gel", "gel not on file")
	}
	return level, gel
}

// degrees prints a turn by its direction: 58° right.
func degrees(v float64, positive, negative string) string {
	if math.Round(v) < 0 {
		positive = negative
	}
	return fmt.Sprintf("%.0f° %s", math.Abs(v), positive)
}

// describeSymbols explains the symbols in the picture.
func (m *setPicture) describeSymbols() string {
	text := "Lengths in " + either(m.opt.Feet, "feet", "meters") +
		": " + either(m.opt.Surface == nil, "x as in the table", "left or right of the surface's center from the camera") + ", out from the surface, high above the floor"
	if m.opt.FloorY == nil {
		text = strings.Replace(text, "above the floor", "above the surface's lower edge (where the floor is, is not on file)", 1)
	}
	text += ". × and number: where it aims; short dashes: edges of the beam to half intensity"
	for _, of := range []struct {
		kind setup.LampKind
		text string
	}{{setup.Flag, "; black bars: flags"}, {setup.Net, "; gray bars: nets"}} {
		if slices.ContainsFunc(m.scene.Fixtures, func(f plan.Fixture) bool { return f.Kind == of.kind }) {
			text += of.text
		}
	}
	text += "."
	if m.opt.Before != nil {
		text += " Hollow: the place before."
	}
	return text
}

// alt describes where each thing stands for those who cannot see the picture.
func (m *setPicture) alt() string {
	var b strings.Builder
	b.WriteString("Plan view and front elevation of a set.")
	if s := m.opt.Surface; s != nil {
		fmt.Fprintf(&b, " The surface is %s × %s.", m.bare(s.Width()), m.length(s.Height()))
	}
	for i := range m.scene.Fixtures {
		b.WriteString(" " + m.describe(i) + ".")
	}
	for _, mark := range m.opt.Marks {
		fmt.Fprintf(&b, " Mark %s: %s, %s out, %s.", mark.Label, m.side(mark.X), m.bare(mark.Z), m.high(mark.Y))
	}
	fmt.Fprintf(&b, " Lengths in %s.", lengthUnit(m.opt.Feet))
	return b.String()
}

// aim is where a fixture aims: the point on file, or where its axis meets the frame that
// it lights or the surface, or a place a part of the picture ahead.
func (m *setPicture) aim(i int) r3.Vec {
	f, row := &m.scene.Fixtures[i], &m.rows[i]
	if row.AimX.Set && row.AimY.Set && row.AimZ.Set {
		return r3.Vec{X: row.AimX.At, Y: row.AimY.At, Z: row.AimZ.At}
	}
	far := 0.35 * max(m.to.X-m.from.X, m.to.Z-m.from.Z)
	if f.Aim.Z < -1e-6 && m.opt.Surface != nil {
		far = min(-f.At.Z/f.Aim.Z, 2*(m.to.X-m.from.X))
	}
	for k := range m.scene.Fixtures {
		g := &m.scene.Fixtures[k]
		if ahead := r3.Dot(f.Aim, g.Aim); slices.Contains(g.Lit, i) && math.Abs(ahead) > 1e-6 {
			if d := r3.Dot(g.Aim, r3.Sub(g.At, f.At)) / ahead; d > 0 {
				far = min(far, d)
			}
		}
	}
	return r3.Add(f.At, r3.Scale(far, f.Aim))
}

// above and front are a place in the plan view and in the elevation.
func (m *setPicture) above(p r3.Vec) vg.Point {
	return vg.Point{X: m.data.Min.X + vg.Length(m.perMeter*(p.X-m.from.X)), Y: m.data.Max.Y - vg.Length(m.perMeter*(p.Z-m.from.Z))}
}

func (m *setPicture) front(p r3.Vec) vg.Point {
	return vg.Point{X: m.under.Min.X + vg.Length(m.perMeter*(p.X-m.from.X)), Y: m.under.Min.Y + vg.Length(m.perMeter*(p.Y-m.from.Y))}
}
