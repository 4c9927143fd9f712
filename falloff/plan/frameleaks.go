package plan

import (
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// muchBeside is the share of the mean on the surface, or of a lamp's own light
// where there is no surface, beyond which what passes beside a frame is worth a
// warning.
const muchBeside = 0.02

// warnPastFrames tells of lamps that light more than the frame in front of them. A
// frame or bounce sends light everywhere, which is no news.
func (s *Scene) warnPastFrames() {
	direct := sync.OnceValue(s.shareOfSurface)
	for i := range s.Fixtures {
		f := &s.Fixtures[i]
		if f.Kind != setup.Frame || f.spill == 0 || !(f.FluxLM > 0) || f.diffused() == 0 {
			continue
		}
		for n, k := range f.Lit {
			if n < len(f.sheets) {
				s.warnPastFrame(f, n, k, direct)
			}
		}
	}
}

// warnPastFrame tells of a lamp much of whose light passes beside a frame, by what
// the frame's sheet got of it; direct is what each fixture gives the surface itself.
func (s *Scene) warnPastFrame(f *Fixture, sheet, k int, direct func() []float64) {
	lamp := &s.Fixtures[k]
	sent := lamp.FluxLM * lamp.Output
	if lamp.source == nil || !(sent > 0) {
		return
	}
	misses := 1 - f.sheets[sheet].flux()/f.diffused()/sent
	if misses < muchBeside {
		return
	}
	var ofMean any
	if s.options.Surface != nil {
		shares := direct()
		if shares == nil || shares[k] < muchBeside {
			return
		}
		ofMean = photometry.Percentage(100 * shares[k])
	}
	s.warn("past_frame", "misses", photometry.Percentage(100*misses), "lamp", lamp.Name, "frame", f.Name, "of_mean", ofMean)
}

// shareOfSurface is the part of the mean on the surface that each fixture gives, by a
// few places; nil for a surface without a size.
func (s *Scene) shareOfSurface() []float64 {
	x, y, _, err := Surface{Extent: *s.options.Surface, Columns: 6, Rows: 6, Cells: true}.grid()
	if err != nil {
		return nil
	}
	var places []r3.Vec
	for i := range x {
		places = append(places, r3.Vec{X: x[i], Y: y[i]})
	}
	return s.parts(places, toCamera)
}

// muchSpill is the share of a frame's or board's own light beyond which that of other
// lamps, frames and boards on it is worth a warning.
const muchSpill = 0.1

// warnOfSpill tells of light on a frame or a board by what is not in its row: it would
// be sent on too, which is not predicted. On a frame's front that is at most what does not
// pass.
func (s *Scene) warnOfSpill() {
	for i := range s.Fixtures {
		f := &s.Fixtures[i]
		lit, sends := r3.Scale(-1, f.pose.front), f.diffused()
		if f.Kind == setup.Bounce {
			lit, sends = f.pose.front, f.reflect
		}
		own := 0.0
		for _, sheet := range f.sheets {
			own += sheet.fill(f.At, nil) / sends
		}
		if !(own > 0) || sends == 0 {
			continue
		}
		for n := range s.emitters {
			e := s.emitters[n]
			if e.fixture == i || slices.Contains(f.Lit, e.fixture) {
				continue
			}
			e.skip = append(slices.Clone(e.skip), i)
			lamp, share := s.Fixtures[e.fixture].Name, s.lux(&e, f.At, lit)/own
			thrown := s.lux(&e, f.At, f.pose.front) / own * (1 - f.through) / sends
			switch {
			case f.Kind == setup.Bounce && share > muchSpill:
				s.warn("spill_on_board", "lamp", lamp, "board", f.Name, "share", photometry.Percentage(100*share))
			case f.Kind == setup.Bounce:
			case share > muchSpill:
				s.warn("spill_on_frame", "lamp", lamp, "frame", f.Name, "share", photometry.Percentage(100*share))
			case thrown > muchSpill:
				s.warn("front.spill_on_frame", "lamp", lamp, "frame", f.Name, "share", photometry.Percentage(100*thrown))
			}
		}
	}
}

// fiveTimes is how many times its largest dimension away a source may be taken as a
// point, within a percent (the five-times rule).
const fiveTimes = 5.0

// warnNearFile tells of lamps by a file of intensities that are nearer to the surface
// than five times their opening: intensities are measured from farther away.
func (s *Scene) warnNearFile() {
	box := s.options.Surface
	if box == nil {
		return
	}
	for i := range s.Fixtures {
		at := s.Fixtures[i].At
		nearest := r3.Vec{X: math.Max(box.X0, math.Min(box.X1, at.X)), Y: math.Max(box.Y0, math.Min(box.Y1, at.Y))}
		s.Warnings = append(s.Warnings, s.nearFile(i, nearest, "")...)
	}
}

// nearFile is a warning where a place, of a mark or of the surface, is near for a file
// of intensities.
func (s *Scene) nearFile(i int, place r3.Vec, mark string) []photometry.Finding {
	f := &s.Fixtures[i]
	d := r3.Norm(r3.Sub(f.At, place))
	if d >= fiveTimes*f.opening {
		return nil
	}
	return []photometry.Finding{photometry.Found("near_file", "lamp", f.Name, "mark", mark, "distance", photometry.Length(d), "from", photometry.Length(fiveTimes*f.opening))}
}
