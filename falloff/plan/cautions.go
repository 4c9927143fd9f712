package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// When cautions apply; common practice, no source.
const (
	tallStand   = 2.0    // m above the floor, beyond which a stand is rigged
	sail        = 1.0    // m², from which wind and drafts can take a frame
	closeHeat   = 1.0    // m from a lamp, within which diffusion and gels get hot
	muchPower   = 1500.0 // W together, about what one household circuit carries
	brightBeam  = 5000.0 // cd, beyond which nobody should look into a lamp
	brightPlace = 10000.0
)

// Cautions are what has to be heeded where these lamps are rigged. The last one
// always applies.
func (s *Scene) Cautions() []photometry.Finding {
	out := slices.Concat(s.cautionStands(), s.cautionHeat(), s.cautionPower(), s.cautionEyes())
	return append(out, photometry.Found("plan.estimate"))
}

// named are the fixtures that a caution is about, in the order of the table.
func (s *Scene) named(is func(i int, f *Fixture) bool) (names []string) {
	for i := range s.Fixtures {
		if f := &s.Fixtures[i]; is(i, f) {
			names = append(names, f.Name)
		}
	}
	return names
}

func (s *Scene) cautionStands() []photometry.Finding {
	tall := s.named(func(_ int, f *Fixture) bool { return f.At.Y-s.floor() > tallStand })
	sails := s.named(func(_ int, f *Fixture) bool { return f.Kind.Shapes() && f.w*f.h >= sail })
	if tall == nil && sails == nil {
		return nil
	}
	return []photometry.Finding{photometry.Found("plan.stands", "tall", tall, "height", photometry.Length(tallStand), "sails", sails)}
}

func (s *Scene) cautionHeat() []photometry.Finding {
	hot := s.named(func(_ int, f *Fixture) bool {
		return f.Kind == setup.Frame && slices.ContainsFunc(f.Lit, func(k int) bool { return r3.Norm(r3.Sub(s.Fixtures[k].At, f.At)) < closeHeat })
	})
	warm := s.named(func(i int, f *Fixture) bool { return f.Kind == setup.Frame || s.rows[i].Gel != "" && f.source != nil })
	switch {
	case hot != nil:
		return []photometry.Finding{photometry.Found("close.heat", "frames", hot, "within", photometry.Length(closeHeat))}
	case warm != nil:
		return []photometry.Finding{photometry.Found("plan.heat")}
	}
	return nil
}

func (s *Scene) cautionPower() []photometry.Finding {
	power := 0.0
	for i := range s.rows {
		if w := s.rows[i].Power; w != nil {
			power += *w
		}
	}
	if power <= muchPower {
		return nil
	}
	return []photometry.Finding{photometry.Found("plan.power", "watts", power)}
}

func (s *Scene) cautionEyes() []photometry.Finding {
	if s.Quantity == photometry.LuminousExposure {
		return []photometry.Finding{photometry.Found("flash.eyes")}
	}
	bright := s.named(func(_ int, f *Fixture) bool { return f.source != nil && f.IntensityCD*f.Output > brightBeam })
	if bright == nil {
		return nil
	}
	return []photometry.Finding{photometry.Found("bright.eyes", "lamps", bright)}
}

// glare is a caution where people at marks get very much light.
func (s *Scene) glare(marks []Mark) []photometry.Finding {
	var names []string
	most := 0.0
	for _, m := range marks {
		if m.Level > brightPlace {
			names, most = append(names, m.Label), math.Max(most, m.Level)
		}
	}
	if names == nil {
		return nil
	}
	return []photometry.Finding{photometry.Found("glare", "most", photometry.Level{Value: most, Quantity: s.Quantity}, "marks", names)}
}
