package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/setup"
)

// connect finds which lamps light each frame and bounce, and hides those behind
// frames of whose light nothing passes beside the frame.
func (b *builder) connect() {
	byName := map[string]int{}
	hidden := make([]bool, len(b.rows))
	for i := range b.rows {
		byName[strings.ToLower(b.rows[i].Name)] = i
	}
	for i := range b.rows {
		l, f := &b.rows[i], &b.Fixtures[i]
		f.Lit = nil
		if l.Kind != setup.Frame && l.Kind != setup.Bounce {
			if l.Behind != "" {
				b.fail(i, "behind", "an empty cell: only a frame or a bounce is lit by a lamp")
			}
			continue
		}
		names := []string{l.Behind}
		if _, whole := byName[strings.ToLower(l.Behind)]; !whole {
			names = strings.FieldsFunc(l.Behind, func(r rune) bool { return strings.ContainsRune("+;&", r) })
		}
		if len(names) == 0 || l.Behind == "" {
			b.fail(i, "behind", fmt.Sprintf("the name of the lamp that lights the %s", l.Kind))
		}
		for _, name := range names {
			if name = strings.TrimSpace(name); name == "" {
				continue
			}
			k, ok := byName[strings.ToLower(name)]
			switch {
			case !ok:
				b.fail(i, "behind", "the name of a lamp in this table")
			case k == i:
				b.fail(i, "behind", "another lamp than itself")
			case b.rows[k].Kind == setup.Flag || b.rows[k].Kind == setup.Net:
				b.fail(i, "behind", "a lamp, a frame or a bounce; a "+string(b.rows[k].Kind)+" gives no light")
			default:
				f.Lit = append(f.Lit, k)
				if l.Kind == setup.Frame && f.spill == 0 {
					hidden[k] = true
				}
			}
		}
	}
	b.findRings()
	for i := range b.Fixtures {
		b.Fixtures[i].Hidden = hidden[i]
	}
}

// obstruct sets up what obstructs light.
func (b *builder) obstruct() {
	for i := range b.Fixtures {
		switch f := &b.Fixtures[i]; f.Kind {
		case setup.Frame, setup.Flag, setup.Net:
			b.screens = append(b.screens, newScreen(i, f.pose, f.w, f.h, f.through*f.straight, 1))
		case setup.Bounce:
			b.screens = append(b.screens, newScreen(i, f.pose, f.w, f.h, 0, 1))
		}
	}
}

// findRings refuses frames and bounces that light each other in a ring.
func (b *builder) findRings() {
	state := make([]int, len(b.Fixtures)) // 1 on the way, 2 done
	var visit func(i int)
	visit = func(i int) {
		state[i] = 1
		for _, k := range b.Fixtures[i].Lit {
			if state[k] == 1 {
				b.fail(i, "behind", "a lamp at the end: frames and bounces here light each other in a ring")
			} else if state[k] == 0 {
				visit(k)
			}
		}
		state[i] = 2
	}
	for i := range b.Fixtures {
		if state[i] == 0 {
			visit(i)
		}
	}
}

// shine makes the emitters: each lamp, and each frame and bounce once for every
// lamp whose light it passes on, so that colors stay apart.
func (b *builder) shine() {
	made := b.made
	done := slices.Clone(b.kept)
	var visit func(i int)
	visit = func(i int) {
		if done[i] {
			return
		}
		done[i] = true
		f := &b.Fixtures[i]
		for _, k := range f.Lit {
			visit(k)
		}
		switch f.Kind {
		case setup.Frame, setup.Bounce:
			for _, k := range f.Lit {
				for n := range made[k] {
					made[i] = append(made[i], b.passOn(i, &made[k][n])...)
				}
			}
			if len(b.Fixtures[i].sheets) > 0 && !(f.FluxLM > 0) {
				b.warn("frame.unlit", "lamps", b.names(f.Lit), "frame", f.Name)
			}
		case setup.Flag, setup.Net:
		default:
			e := emitter{light: f.source, fixture: i, lamp: i, skip: []int{i}}
			if f.hasColor {
				e.unit = f.color.XYZ(1)
			}
			made[i] = append(made[i], e)
		}
	}
	for i := range b.Fixtures {
		visit(i)
	}
	for i := range made {
		if !b.Fixtures[i].Hidden {
			b.emitters = append(b.emitters, b.beside(i, made[i])...)
		}
	}
	for i := range b.emitters {
		b.colored = b.colored && b.emitters[i].unit.Y > 0
	}
	if len(b.emitters) == 0 {
		b.fail(0, "kind", "at least one lamp that gives light")
	}
}

// beside is what of a fixture's light passes beside the frames that it lights:
// all of it where it lights none. What crosses a frame is the frame's own light.
func (b *builder) beside(i int, made []emitter) []emitter {
	var frames []int
	for k := range b.Fixtures {
		if b.Fixtures[k].Kind == setup.Frame && slices.Contains(b.Fixtures[k].Lit, i) {
			frames = append(frames, k)
		}
	}
	if len(frames) == 0 {
		return made
	}
	out := slices.Clone(made)
	for n := range out {
		e := &out[n]
		e.skip, e.own = slices.Clone(e.skip), slices.Clone(e.own)
		for _, k := range frames {
			f := &b.Fixtures[k]
			e.skip, e.own = append(e.skip, k), append(e.own, newScreen(k, f.pose, f.w, f.h, 0, f.spill))
		}
	}
	return out
}

// passOn is what a frame or a bounce makes of one emitter's light.
func (b *builder) passOn(i int, from *emitter) []emitter {
	f := &b.Fixtures[i]
	receiver := r3.Scale(-1, f.pose.front)
	share := f.through * (1 - f.straight)
	if f.Kind == setup.Bounce {
		receiver, share = f.pose.front, f.reflect
	}
	out := emitter{fixture: i, lamp: from.lamp, unit: from.unit, skip: []int{i}}
	if f.hasColor {
		out.unit = f.color.XYZ(1)
	}
	lit := *from
	lit.skip = append(slices.Clone(from.skip), i)
	fill := func(p r3.Vec) float64 { return share * b.lux(&lit, p, receiver) }
	s := newSheet(f.pose, f.w, f.h, f.lobe, distanceTo(f, from.outline()), fill)
	f.sheets = append(f.sheets, s)
	full := s.flux()
	f.FluxLM += full
	f.IntensityCD += falloff.PeakIntensity(full, f.lobe)
	out.light = s.scaled(f.Output)
	made := []emitter{out}
	if straight := f.through * f.straight * f.Output; f.Kind == setup.Frame && straight > 0 {
		// The undiffused part still comes from the lamp itself.
		on := *from
		on.fixture, on.unit = i, out.unit
		on.own = append(slices.Clone(from.own), newScreen(i, f.pose, f.w, f.h, straight, 0))
		on.skip = lit.skip
		made = append(made, on)
		front := b.lux(&lit, f.At, receiver)
		f.FluxLM += f.through * f.straight * front * f.w * f.h // near enough for people
	}
	return made
}

// distanceTo is from how far a sheet is lit: the distance from the nearest
// point of an outline to its plane, but not less than a fiftieth of its size.
func distanceTo(f *Fixture, outline []r3.Vec) float64 {
	d := math.Inf(1)
	for _, p := range outline {
		d = math.Min(d, math.Abs(r3.Dot(f.pose.front, r3.Sub(p, f.At))))
	}
	return math.Max(d, math.Max(f.w, f.h)/50)
}

func (b *builder) names(fixtures []int) []string {
	var names []string
	for _, k := range fixtures {
		names = append(names, b.Fixtures[k].Name)
	}
	return names
}

// lux is the illuminance by one emitter at a place toward a unit normal, past all
// that obstructs it.
func (s *Scene) lux(e *emitter, at, normal r3.Vec) float64 {
	var room [6]cone
	return e.lux(at, normal, s.cones(room[:0], at))
}

// cones adds all screens as they are seen from a place.
func (s *Scene) cones(to []cone, at r3.Vec) []cone {
	for i := range s.screens {
		to = append(to, s.screens[i].from(at))
	}
	return to
}

// lux is Scene.lux with the screens as they are seen from that place.
func (e *emitter) lux(at, normal r3.Vec, screens []cone) float64 {
	var inTheWay []cone
	outline := e.outline()
	for i := range screens {
		if c := &screens[i]; !slices.Contains(e.skip, c.row) && !c.misses(outline) {
			inTheWay = append(inTheWay, *c)
		}
	}
	for i := range e.own {
		inTheWay = append(inTheWay, e.own[i].from(at))
	}
	if len(inTheWay) == 0 {
		return e.full(at, normal)
	}
	return e.seen(at, normal, inTheWay)
}

// Light is the level and color at one place.
type Light struct {
	Level float64 // lx, or lx·s of flash
	// Color is absent where no light comes, or where some lamp's color is not
	// known.
	Color *colorimetry.CCT
	// XYZ are the tristimulus values, zero without a color.
	XYZ colorimetry.XYZ
}

// At is the light at a place on a flat receptor that faces along normal, any
// length but zero.
func (s *Scene) At(at, normal r3.Vec) Light {
	sum := s.mixture(at, r3.Unit(normal))
	out := Light{Level: sum.level}
	if s.colored {
		out.XYZ = sum.color
	}
	if out.XYZ.Y > 0 {
		if c, err := out.XYZ.XY().CCT(); err == nil {
			out.Color = &c
		}
	}
	return out
}

// muchSpill is the share of a frame's own light beyond which light of other
// lamps on its back is worth a warning.
const muchSpill = 0.1

// warnOfSpill warns of lamps that shine on the back of a frame that is not
// theirs: the frame would pass that on too, which is not predicted.
func (s *Scene) warnOfSpill() {
	for i := range s.Fixtures {
		f := &s.Fixtures[i]
		if f.Kind != setup.Frame {
			continue
		}
		back := r3.Scale(-1, f.pose.front)
		own := 0.0
		for _, sheet := range f.sheets {
			if share := f.through * (1 - f.straight); share > 0 {
				own += sheet.fill(f.At) / share
			}
		}
		for n := range s.emitters {
			e := s.emitters[n]
			if e.fixture == i || own == 0 || slices.Contains(f.Lit, e.fixture) {
				continue
			}
			e.skip = append(slices.Clone(e.skip), i)
			if lux := s.lux(&e, f.At, back); lux > muchSpill*own {
				s.warn("spill_on_frame", "lamp", s.Fixtures[e.fixture].Name, "frame", f.Name, "share", photometry.Percentage(100*lux/own))
			}
		}
	}
}
