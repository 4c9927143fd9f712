package plan

import (
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// muchBeside is the share of the mean on the surface, or of a lamp's own light
// where there is no surface, beyond which what passes beside a frame is worth a
// warning.
const muchBeside = 0.02

// warnPastFrames warns of lamps that light more than the frame in front of them.
func (s *Scene) warnPastFrames() {
	for i := range s.Fixtures {
		f := &s.Fixtures[i]
		if f.Kind != setup.Frame || f.spill == 0 || !(f.FluxLM > 0) {
			continue
		}
		for n, k := range f.Lit {
			lamp := &s.Fixtures[k]
			if n >= len(f.sheets) || lamp.source == nil {
				continue // a frame or bounce sends light everywhere
			}
			// What falls on the frame is what its sheet got.
			share := f.through * (1 - f.straight)
			if share == 0 || !(lamp.FluxLM*lamp.Output > 0) {
				continue
			}
			misses := 1 - f.sheets[n].flux()/share/(lamp.FluxLM*lamp.Output)
			if misses < muchBeside {
				continue
			}
			var ofMean any
			if s.options.Surface != nil {
				percent := s.besideOnSurface(k)
				if percent < 100*muchBeside {
					continue
				}
				ofMean = photometry.Percentage(percent)
			}
			s.warn("past_frame", "misses", photometry.Percentage(100*misses), "lamp", lamp.Name, "frame", f.Name, "of_mean", ofMean)
		}
	}
}

// besideOnSurface is the part of the mean on the surface that a lamp adds
// directly, in percent, by a few places.
func (s *Scene) besideOnSurface(lamp int) float64 {
	const n = 6
	box := s.options.Surface
	own, all := 0.0, 0.0
	for j := range n {
		for i := range n {
			at := r3.Vec{X: box.X0 + (float64(i)+0.5)/n*box.Width(), Y: box.Y0 + (float64(j)+0.5)/n*box.Height()}
			for k := range s.emitters {
				e := &s.emitters[k]
				lux := s.lux(e, at, toCamera)
				if all += lux; e.fixture == lamp {
					own += lux
				}
			}
		}
	}
	if all == 0 {
		return 0
	}
	return 100 * own / all
}
