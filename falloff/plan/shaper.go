package plan

import (
	"fmt"
	"math"
	"strings"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/setup"
)

// size reads the face of a fixture.
func (b *builder) size(i int) bool {
	l, f := &b.rows[i], &b.Fixtures[i]
	f.w, f.h = l.Width.At, l.Height.At
	switch {
	case !l.Width.Set && l.Height.Set && l.Kind == setup.Disc:
		f.w = f.h
	case !l.Width.Set:
		b.fail(i, "source width", "the width of the face in meters")
		return false
	case !l.Height.Set && l.Kind == setup.Disc:
		f.h = f.w
	case !l.Height.Set:
		b.fail(i, "source height", "the height of the face in meters")
		return false
	case l.Kind == setup.Disc && math.Abs(f.w-f.h) > 1e-6*f.w && !free(l.Width, l.Height):
		b.fail(i, "source height", "the same as the width for a disc, or an empty cell")
		return false
	}
	f.Corners = f.pose.corners(f.w, f.h)
	return true
}

// shape gives each fixture its own light or its figures as a sheet.
func (b *builder) shape() {
	for i := range b.rows {
		if b.kept[i] || b.failed(i) {
			continue // a lamp without a place has no light to speak of
		}
		l, f := &b.rows[i], &b.Fixtures[i]
		f.Output = l.Dimmer.Or(100) / 100
		if loss, ok := scrimLoss(l.Scrims); ok {
			f.Output *= photometry.Factor(-loss)
		} else {
			b.fail(i, "scrims", "single, double, single + double, or stops such as 1/2 stop")
		}
		if l.CCT != 0 {
			light := colorimetry.CCT{Kelvin: float64(l.CCT)}
			if l.Duv != nil {
				light.Duv = *l.Duv
			}
			if xy, err := light.XY(); err == nil {
				f.color, f.hasColor = xy, true
			}
		}
		if l.Kind.Shapes() {
			b.shaper(i)
		} else {
			b.lamp(i)
		}
	}
}

// shaper reads what passes or comes back from a frame, bounce, flag or net.
func (b *builder) shaper(i int) {
	l, f := &b.rows[i], &b.Fixtures[i]
	for _, c := range []struct {
		name string
		r    setup.Range
	}{{"flux", l.Flux}, {"intensity", l.Intensity}, {"E", l.E}, {"E (fc)", l.EFootcandles}} {
		if c.r.Set {
			b.fail(i, c.name, fmt.Sprintf("an empty cell: a %s has only the light that falls on it", l.Kind))
		}
	}
	if !b.size(i) {
		return
	}
	m, named := MaterialNamed(l.Kind, l.Material)
	if need, ok := needs[l.Kind]; ok && !need.cell(l).Set && !named {
		if l.Material != "" {
			b.fail(i, "material", "one of "+materialNames(l.Kind)+", or figures of its own")
			return
		}
		b.fail(i, need.column, need.what+" in percent, or a material: "+materialNames(l.Kind))
	}
	if l.Spill.Set && l.Kind != setup.Frame {
		b.fail(i, "spill", "an empty cell: only past a frame is a share of its lamp's light held back")
	}
	share := func(r setup.Range, nominal float64) float64 {
		if r.Set {
			return r.At / 100
		}
		f.nominal = f.nominal || named
		return nominal
	}
	switch l.Kind {
	case setup.Frame:
		f.through, f.straight, f.spill = share(l.Transmission, m.Transmission), share(l.Undiffused, m.Undiffused), share(l.Spill, 1)
		f.lobe = 1
		if l.Lobe.Set {
			f.lobe = l.Lobe.At
		} else if named {
			f.lobe, f.nominal = m.Lobe, true
		}
	case setup.Bounce:
		f.reflect, f.lobe = share(l.Reflectance, m.Reflectance), 1
	case setup.Net, setup.Flag:
		f.through, f.straight = share(l.Transmission, m.Transmission), 1
	}
	if f.lobe > 0 {
		f.BeamDeg = falloff.BeamDeg(f.lobe)
	}
	if f.nominal {
		b.assume("nominal_material", "lamp", l.Name, "material", m.Name)
	}
}

// needs are the cells that a row rests on where it names no material.
var needs = map[setup.LampKind]struct {
	column, what string
	cell         func(*setup.Lamp) setup.Range
}{
	setup.Frame:  {"transmission", "what the diffusion lets through", func(l *setup.Lamp) setup.Range { return l.Transmission }},
	setup.Bounce: {"reflectance", "what the board sends back", func(l *setup.Lamp) setup.Range { return l.Reflectance }},
	setup.Net:    {"transmission", "what the net lets through", func(l *setup.Lamp) setup.Range { return l.Transmission }},
}

// scrimLoss is what scrims take, in stops.
func scrimLoss(text string) (stops float64, ok bool) {
	for part := range strings.FieldsFuncSeq(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune("+,;&", r) }) {
		switch part = strings.TrimSpace(part); part {
		case "", "none":
		case "single", "a single", "single scrim":
			stops += photometry.SingleScrimStops
		case "double", "a double", "double scrim":
			stops += photometry.DoubleScrimStops
		default:
			v, err := photometry.ParseStops(part, nil)
			if err != nil || v < 0 || v > 20 {
				return 0, false
			}
			stops += v
		}
	}
	return stops, true
}
