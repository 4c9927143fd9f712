package plan

import (
	"fmt"
	"iter"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
)

// shine makes the emitters: each lamp, and each frame and bounce once for every
// lamp whose light it passes on, so that colors stay apart.
func (b *builder) shine() {
	done := slices.Clone(b.kept)
	for i := range b.Fixtures {
		b.makeEmitters(i, done)
	}
	b.emitters = make([]emitter, 0, len(b.Fixtures))
	var frames []int
	for i := range b.Fixtures {
		if b.Fixtures[i].Kind == setup.Frame {
			frames = append(frames, i)
		}
	}
	for i, made := range b.made {
		if !b.Fixtures[i].Hidden {
			b.emitters = append(b.emitters, b.beside(i, made, frames)...)
		}
	}
	for i := range b.emitters {
		b.colored = b.colored && b.emitters[i].unit.Y > 0
	}
	if len(b.emitters) == 0 {
		b.fail(0, "kind", "at least one lamp that gives light")
	}
}

// makeEmitters makes what leaves a fixture, after what lights it.
func (b *builder) makeEmitters(i int, done []bool) {
	if done[i] {
		return
	}
	done[i] = true
	f := &b.Fixtures[i]
	if f.source != nil {
		e := emitter{light: f.source, around: around(f.source.outline()), fixture: i, lamp: i, skip: []int{i}}
		if f.hasColor {
			e.unit = f.color.XYZ(1)
		}
		b.made[i] = append(b.made[i], e)
	}
	for _, k := range f.Lit {
		b.makeEmitters(k, done)
		for n := range b.made[k] {
			b.made[i] = append(b.made[i], b.passOn(i, &b.made[k][n])...)
		}
	}
	if len(f.sheets) > 0 && !(f.FluxLM > 0) {
		b.warn("frame.unlit", "lamps", b.names(f.Lit), "frame", f.Name)
	}
}

// beside is what of a fixture's light passes beside those of the frames that it lights:
// all of it where it lights none. What crosses a frame is the frame's own light.
func (b *builder) beside(i int, made []emitter, all []int) []emitter {
	var frames []int
	for _, k := range all {
		if slices.Contains(b.Fixtures[k].Lit, i) {
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
			e.skip, e.own = append(e.skip, k), append(e.own, newOccluder(k, f.pose, f.w, f.h, 0, f.spill))
		}
	}
	return out
}

// passOn is what a frame or a bounce makes of one emitter's light.
func (b *builder) passOn(i int, from *emitter) []emitter {
	f := &b.Fixtures[i]
	receiver := r3.Scale(-1, f.pose.front)
	share := f.diffused()
	if f.Kind == setup.Bounce {
		receiver, share = f.pose.front, f.reflect
	}
	out := emitter{around: around(f.Corners), fixture: i, lamp: from.lamp, unit: from.unit, skip: []int{i}}
	if f.hasColor {
		out.unit = f.color.XYZ(1)
	}
	lit := *from
	lit.skip = append(slices.Clone(from.skip), i)
	between := between(lit.outline(), f.Corners, b.occluders)
	fill := func(p r3.Vec, t *tally) float64 {
		return share * lit.luxPast(between, p, receiver, t)
	}
	s := newSheet(f.pose, f.w, f.h, f.lobe, distanceTo(f, from.outline()), b.effort, fill)
	if b.effort.over() {
		b.fail(i, "behind", fmt.Sprintf("no more than %d million looks at parts of lights: fewer frames and boards, or farther from their lights", schema.MostLooks/1_000_000))
		return nil
	}
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
		on.own = append(slices.Clone(from.own), newOccluder(i, f.pose, f.w, f.h, straight, 0))
		on.skip = lit.skip
		made = append(made, on)
		front := b.lux(&lit, f.At, receiver)
		f.FluxLM += f.through * f.straight * front * f.w * f.h // near enough to tell people
	}
	return made
}

// diffused is the share of the light on a frame that leaves it diffused.
func (f *Fixture) diffused() float64 { return f.through * (1 - f.straight) }

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

// lux is what one emitter gives at a place toward a unit normal, past all that
// stands in the way.
func (s *Scene) lux(e *emitter, at, normal r3.Vec) float64 {
	t := tally{of: s.effort}
	defer t.close()
	return e.luxPast(s.occluders, at, normal, &t)
}

// lights is what each emitter gives at a place, as [Scene.lux] has it: each of those that
// of picks, nil for all.
func (s *Scene) lights(at, normal r3.Vec, of func(*emitter) bool) iter.Seq2[*emitter, float64] {
	return func(yield func(*emitter, float64) bool) {
		t := tally{of: s.effort}
		defer t.close()
		t.add(len(s.occluders))
		past := sight{cones(s.occluders, at), &t}
		for i := range s.emitters {
			e := &s.emitters[i]
			if (of == nil || of(e)) && !yield(e, e.lux(at, normal, past)) {
				return
			}
		}
	}
}

// lux is Scene.lux past occluders as they are seen from that place.
func (e *emitter) lux(at, normal r3.Vec, past sight) float64 {
	if past.over() {
		return 0
	}
	past.add(1 + len(past.cones)/8) // most are a quick look
	var inTheWay []*cone
	for _, c := range past.cones {
		of := c.covered(e.around)
		if of == coversNone || slices.Contains(e.skip, c.row) {
			continue
		}
		if of == coversAll && c.inside == 0 {
			return 0
		}
		if of == coversAll || !c.misses(e.outline()) {
			inTheWay = append(inTheWay, c)
		}
	}
	return e.illuminance(at, normal, sight{append(inTheWay, cones(e.own, at)...), past.tally})
}

// luxPast is Scene.lux past some occluders; a point of light needs no cones of them.
func (e *emitter) luxPast(occluders []*occluder, at, normal r3.Vec, t *tally) float64 {
	outline := e.outline()
	if len(outline) > 1 {
		near := e.sieve(occluders, at)
		t.add(len(near))
		return e.lux(at, normal, sight{cones(near, at), t})
	}
	t.add(1 + len(occluders)/4)
	left := 1.0
	for _, s := range occluders {
		if s.inside != 1 && s.hides(outline[0], at) && !slices.Contains(e.skip, s.row) {
			left *= s.inside
		}
	}
	if left == 0 {
		return 0
	}
	return left * e.illuminance(at, normal, sight{cones(e.own, at), t})
}

// sieve leaves out occluders that are too far from all ways from a place to the light.
func (e *emitter) sieve(occluders []*occluder, at r3.Vec) (out []*occluder) {
	way := r3.Sub(e.around.center, at)
	length2 := r3.Norm2(way)
	for _, s := range occluders {
		to := r3.Sub(s.center, at)
		if length2 > 0 {
			to = r3.Sub(to, r3.Scale(math.Max(0, math.Min(1, r3.Dot(to, way)/length2)), way))
		}
		if reach := s.radius + e.around.radius + margin; r3.Norm2(to) < reach*reach {
			out = append(out, s)
		}
	}
	return out
}
