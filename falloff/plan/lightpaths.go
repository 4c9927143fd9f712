package plan

import (
	"fmt"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
)

// connect finds which lamps light each frame and bounce, and hides those behind
// frames of whose light nothing passes beside the frame.
func (b *builder) connect() {
	for i := range b.rows {
		b.Fixtures[i].Hidden = false
	}
	for i := range b.rows {
		f := &b.Fixtures[i]
		f.Lit = b.litBy(i)
		if b.rows[i].Kind == setup.Frame && f.spill == 0 {
			for _, k := range f.Lit {
				b.Fixtures[k].Hidden = true
			}
		}
	}
	b.findRings()
}

// litBy is the fixtures that light a frame or a bounce, by the cell of its row: a
// name, or several joined by + ; or &.
func (b *builder) litBy(i int) (lit []int) {
	l := &b.rows[i]
	if l.Kind != setup.Frame && l.Kind != setup.Bounce {
		if l.Behind != "" {
			b.fail(i, "behind", "an empty cell: only a frame or a bounce is lit by a lamp")
		}
		return nil
	}
	names := []string{l.Behind}
	if _, whole := b.byName[strings.ToLower(l.Behind)]; !whole {
		names = strings.FieldsFunc(l.Behind, func(r rune) bool { return strings.ContainsRune("+;&", r) })
	}
	if len(names) == 0 {
		b.fail(i, "behind", fmt.Sprintf("the name of the lamp that lights the %s", l.Kind))
	}
	for _, name := range names {
		if name = strings.TrimSpace(name); name == "" {
			continue
		}
		k, ok := b.byName[strings.ToLower(name)]
		switch {
		case !ok:
			b.fail(i, "behind", "the name of a lamp in this table")
		case k == i:
			b.fail(i, "behind", "another lamp than itself")
		case b.rows[k].Kind == setup.Flag || b.rows[k].Kind == setup.Net:
			b.fail(i, "behind", "a lamp, a frame or a bounce; a "+string(b.rows[k].Kind)+" gives no light")
		default:
			lit = append(lit, k)
		}
	}
	return lit
}

// limitPassedOn refuses more lights than frames and boards may send on together.
func (b *builder) limitPassedOn() {
	sent := map[int]float64{} // lights that leave a fixture
	var passed func(i int) float64
	leaving := func(i int) float64 {
		if _, known := sent[i]; !known {
			f := &b.Fixtures[i]
			if sent[i] = passed(i); f.Kind == setup.Frame && f.straight > 0 {
				sent[i] *= 2
			}
			if f.source != nil {
				sent[i]++
			}
		}
		return sent[i]
	}
	passed = func(i int) (sum float64) {
		for _, k := range b.Fixtures[i].Lit {
			sum += leaving(k)
		}
		return sum
	}
	sum := 0.0
	for i := range b.Fixtures {
		if sum += passed(i); sum > schema.MostPassedOn {
			b.fail(i, "behind", fmt.Sprintf("no more than %d lights that frames and boards pass on, each lamp through each frame one: with this row there are %.0f", schema.MostPassedOn, sum))
			return
		}
	}
}

// obstruct sets up what stands in the way of light.
func (b *builder) obstruct() {
	for i := range b.Fixtures {
		switch f := &b.Fixtures[i]; f.Kind {
		case setup.Frame, setup.Flag, setup.Net:
			b.occluders = append(b.occluders, newOccluder(i, f.pose, f.w, f.h, f.through*f.straight, 1))
		case setup.Bounce:
			b.occluders = append(b.occluders, newOccluder(i, f.pose, f.w, f.h, 0, 1))
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
