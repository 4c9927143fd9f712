package plan

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// Calibration is what a pair of readings, with and without the diffusion, said.
type Calibration struct {
	Frame               string  `json:"frame"`
	TransmissionPercent float64 `json:"transmission_percent"`
	LossStops           float64 `json:"loss_stops"`
	LampPercent         float64 `json:"lamp_percent"` // of its plan
}

// Calibrate takes a pair of readings at one mark, of the light of one frame
// alone: with the diffusion and with the frame taken away. It returns the scene
// with the frame's transmission and its lamp's level as they must then be.
func (s *Scene) Calibrate(frameName string, mark Mark, with, without float64) (*Scene, *Calibration, error) {
	frame, lamp, err := s.frameNamed(frameName)
	if err != nil {
		return nil, nil, err
	}
	if !(with > 0 && without > with) {
		return nil, nil, fmt.Errorf("readings of %g with and %g without the diffusion, expected less light with it", with, without)
	}
	m := s.Mark(mark)
	at, normal := r3.Vec{X: m.X, Y: m.Y, Z: m.Z}, r3.Vec{X: m.Facing[0], Y: m.Facing[1], Z: m.Facing[2]}
	through, beside, bare := 0.0, 0.0, 0.0
	for i := range s.emitters {
		switch e := &s.emitters[i]; {
		case e.fixture == frame && e.lamp == lamp:
			through += s.lux(e, at, normal)
		case e.fixture == lamp:
			beside += s.lux(e, at, normal)
		}
	}
	for i := range s.made[lamp] {
		e := s.made[lamp][i]
		e.skip = append(slices.Clone(e.skip), frame)
		bare += s.lux(&e, at, normal)
	}
	if !(through > 0 && bare > 0) {
		return nil, nil, fmt.Errorf("the light of “%s” does not reach the mark both with and without the frame", s.Fixtures[lamp].Name)
	}
	out := &Calibration{Frame: s.Fixtures[frame].Name, LossStops: photometry.Stops(without, with), LampPercent: 100 * without / bare}
	out.TransmissionPercent = 100 * s.Fixtures[frame].through * (bare*with/without - beside) / through
	if !(out.TransmissionPercent > 0) {
		return nil, nil, fmt.Errorf("more of the light of “%s” passes beside the frame than was read with it: expected a mark in its shadow, or its spill held back (spill, %%)", s.Fixtures[lamp].Name)
	}
	if out.TransmissionPercent > 100 {
		return nil, nil, fmt.Errorf("the readings make the diffusion pass %.0f %%: expected 100 %% at most; are they from the same mark, and is the lamp in its place?", out.TransmissionPercent)
	}
	rows := slices.Clone(s.rows)
	rows[frame].Transmission = setup.Fixed(out.TransmissionPercent)
	k := without / bare
	l := &rows[lamp]
	for _, r := range []*setup.Range{&l.Flux, &l.Intensity, &l.E, &l.EFootcandles} {
		if r.Set {
			*r = setup.Fixed(k * r.At)
		}
	}
	if l.EAt != "" {
		if lux, meters, ok := parseRating(l.EAt); ok {
			l.EAt = fmt.Sprintf("%g at %g", k*lux, meters)
		}
	}
	changed := make([]bool, len(rows))
	changed[frame], changed[lamp] = true, true
	there, problems := s.rebuild(rows, changed)
	if len(problems) > 0 {
		return nil, nil, fmt.Errorf("the calibrated set-up cannot stand: %s, expected %s", problems[0].column, problems[0].expected)
	}
	return there, out, nil
}
