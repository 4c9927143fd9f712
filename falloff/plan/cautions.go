package plan

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// When cautions apply; common practice, no source.
const (
	tallStand   = 2.0    // m above the floor, beyond which a stand is rigged
	closeHeat   = 1.0    // m from a lamp, within which diffusion and gels get hot
	muchPower   = 1500.0 // W together, about what one household circuit carries
	brightBeam  = 5000.0 // cd, beyond which nobody should look into a lamp
	brightPlace = 10000.0
)

// Cautions are what has to be heeded where these lamps are rigged. The last one
// always applies.
func (s *Scene) Cautions() []photometry.Finding {
	var out []photometry.Finding
	floor := 0.0
	if s.options.FloorY != nil {
		floor = *s.options.FloorY
	}
	var tall, sails, hot, gelled, bright []string
	power := 0.0
	for i := range s.Fixtures {
		f, l := &s.Fixtures[i], &s.rows[i]
		if f.At.Y-floor > tallStand {
			tall = append(tall, f.Name)
		}
		if f.Kind.Shapes() && f.w*f.h >= 1 {
			sails = append(sails, f.Name)
		}
		for _, k := range f.Lit {
			if f.Kind == setup.Frame && r3.Norm(r3.Sub(s.Fixtures[k].At, f.At)) < closeHeat {
				hot = append(hot, f.Name)
			}
		}
		if l.Gel != "" && f.source != nil {
			gelled = append(gelled, f.Name)
		}
		if f.source != nil && f.IntensityCD*f.Output > brightBeam {
			bright = append(bright, f.Name)
		}
		if l.Power != nil {
			power += *l.Power
		}
	}
	if len(tall) > 0 || len(sails) > 0 {
		var why []string
		if len(tall) > 0 {
			why = append(why, joined(shortened(tall))+" over "+s.lengthText(tallStand))
		}
		if len(sails) > 0 {
			why = append(why, joined(shortened(sails))+" a sail")
		}
		out = append(out, finding("stands", "Rated stands, sandbags, safety bonds and trained riggers (%s).", strings.Join(why, ", ")))
	}
	switch {
	case len(hot) > 0:
		out = append(out, finding("heat", "Heat: %s is within %s of its lamp; keep the lamp maker's distance.", joined(hot), s.lengthText(closeHeat)))
	case len(gelled) > 0 || s.hasFrame():
		out = append(out, finding("heat", "Heat: keep the lamp maker's distance to gels and diffusion."))
	}
	if power > muchPower {
		out = append(out, finding("power", "Power: %s W in all, more than a household circuit carries; a licensed electrician spreads it, by the local code.", photometry.FormatFigure(power)))
	}
	switch {
	case s.Quantity == photometry.LuminousExposure:
		out = append(out, finding("eyes", "Eyes: warn people before flashes, above all photosensitive ones; nobody looks into a lamp."))
	case len(bright) > 0:
		out = append(out, finding("eyes", "Eyes: nobody looks into %s; dimmed lamps may flicker (photosensitive people).", joined(shortened(bright))))
	}
	return append(out, finding("estimate", "An estimate: meter again before relying on it."))
}

func (s *Scene) hasFrame() bool {
	return slices.ContainsFunc(s.Fixtures, func(f Fixture) bool { return f.Kind == setup.Frame })
}

// shortened is a list of names with at most three of them.
func shortened(names []string) []string {
	if len(names) <= 3 {
		return names
	}
	return []string{names[0], names[1], "the others"}
}

// glare adds a caution where people at marks get very much light.
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
	return []photometry.Finding{finding("glare", "Eyes: %s and more at %s is too bright to look into for long.", s.levelText(most), strings.Join(names, ", "))}
}
