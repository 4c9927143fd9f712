package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// Sweep asks where a frame of diffusion does best between its lamp and a
// subject on its axis, with nothing else on the set.
type Sweep struct {
	Frame string
	// ToLampM and ToSubjectM are the first and last distance of the frame from
	// its lamp and from the subject. Each is gone through at Steps even places; 0
	// takes a step that a tape measure has.
	ToLampM, ToSubjectM [2]float64
	Steps               int
	// SecondM is how far behind the subject a second person stands, 1 m where
	// it is 0, and EdgeM how far from the subject the edge stands whose shadow
	// is told, 0.1 m where it is 0: about a nose or a brim.
	SecondM, EdgeM float64
	// What is asked; zero for nothing. HotSpotStops and LossStops are the most,
	// Level and PenumbraM the least.
	HotSpotStops, LossStops, Level, PenumbraM float64
}

// Diffusion is a frame at one pair of distances.
type Diffusion struct {
	ToLampM    float64 `json:"to_lamp_m"`
	ToSubjectM float64 `json:"to_subject_m"`
	// HotSpotStops is the brightest part of the frame over its darkest, corners
	// included; absent where a corner gets no light. OverMeanStops is the
	// brightest over the mean.
	HotSpotStops  *float64 `json:"hot_spot_stops,omitempty"`
	OverMeanStops float64  `json:"hot_spot_over_mean_stops"`
	// LossStops is what the subject loses to the diffusion, Level what it gets.
	LossStops float64 `json:"loss_stops"`
	Level     float64 `json:"level"`
	// FalloffStopsPerM is the loss a meter farther at the subject, and
	// SecondStops what a second person behind gets less.
	FalloffStopsPerM float64 `json:"fall_off_stops_per_m"`
	SecondStops      float64 `json:"second_stops"`
	// PenumbraM is how wide the edge's shadow on the subject runs from 10 to
	// 90 % of the light.
	PenumbraM float64 `json:"penumbra_m"`
	// Meets reports whether all that was asked is met; absent where nothing was.
	Meets *bool `json:"meets,omitempty"`
}

// SweepInfo is what the entries of a sweep rest on.
type SweepInfo struct {
	Frame               string  `json:"frame"`
	Lamp                string  `json:"lamp"`
	TransmissionPercent float64 `json:"transmission_percent"`
	UndiffusedPercent   float64 `json:"undiffused_percent"`
	LobeExponent        float64 `json:"lobe_exponent"` // m of the cosᵐ lobe
	Nominal             bool    `json:"nominal,omitempty"`
	SecondM             float64 `json:"second_m"`
	EdgeM               float64 `json:"edge_m"`
	// Asked says in words what was asked; Best is the entry that meets it with
	// the most light.
	Asked []photometry.Remark `json:"asked,omitempty"`
	Best  *Diffusion          `json:"best,omitempty"`
}

// SweepFrame goes through the distances of a frame.
func (s *Scene) SweepFrame(w Sweep) ([]Diffusion, *SweepInfo, error) {
	frame, lamp, err := s.frameNamed(w.Frame)
	if err != nil {
		return nil, nil, err
	}
	if err := w.complete(); err != nil {
		return nil, nil, err
	}
	f := &s.Fixtures[frame]
	info := &SweepInfo{
		Frame: f.Name, Lamp: s.Fixtures[lamp].Name, TransmissionPercent: 100 * f.through, UndiffusedPercent: 100 * f.straight,
		LobeExponent: f.lobe, Nominal: f.nominal, SecondM: w.SecondM, EdgeM: w.EdgeM, Asked: w.asked(s.Quantity),
	}
	var out []Diffusion
	for _, toLamp := range steps(w.ToLampM, w.Steps) {
		bench, err := s.bench(frame, lamp, toLamp)
		if err != nil {
			return nil, nil, err
		}
		for _, toSubject := range steps(w.ToSubjectM, w.Steps) {
			bench.effort.spent.Store(0) // each distance has its own
			d, ok := bench.at(toSubject, w)
			if err := bench.TooMuch(); err != nil {
				return nil, nil, err
			}
			if !ok {
				return nil, nil, fmt.Errorf("no light of “%s” reaches a subject on the axis of “%s”", info.Lamp, info.Frame)
			}
			if len(info.Asked) > 0 {
				meets := d.meets(w)
				d.Meets = &meets
			}
			out = append(out, d)
		}
	}
	info.Best = brightestThatMeets(out)
	return out, info, nil
}

// complete fills in what is not said and refuses distances that no frame can have.
func (w *Sweep) complete() error {
	if w.Steps < 0 || w.Steps > 100 {
		return fmt.Errorf("%d steps, expected 2 to 100", w.Steps)
	}
	if w.SecondM <= 0 {
		w.SecondM = 1
	}
	if w.EdgeM <= 0 {
		w.EdgeM = 0.1
	}
	for _, r := range [][2]float64{w.ToLampM, w.ToSubjectM} {
		if !(r[0] > 0.01 && r[0] <= r[1] && r[1] <= 1000) {
			return fmt.Errorf("distances from %g to %g m, expected the nearer first and more than a centimeter", r[0], r[1])
		}
	}
	return nil
}

// brightestThatMeets is the entry with the most light of those that meet what was
// asked, nil where none does.
func brightestThatMeets(all []Diffusion) (best *Diffusion) {
	for _, d := range all {
		if d.Meets != nil && *d.Meets && (best == nil || d.Level > best.Level) {
			best = &d
		}
	}
	return best
}

// frameNamed finds a frame and the lamp behind it.
func (s *Scene) frameNamed(name string) (frame, lamp int, err error) {
	var names []string
	frame = -1
	for i := range s.Fixtures {
		if s.Fixtures[i].Kind == setup.Frame {
			names = append(names, s.Fixtures[i].Name)
			if strings.EqualFold(s.Fixtures[i].Name, strings.TrimSpace(name)) || name == "" {
				frame = i
			}
		}
	}
	switch {
	case len(names) == 0:
		return 0, 0, fmt.Errorf("no frame in the table, expected a row of kind frame")
	case frame < 0 || name == "" && len(names) > 1:
		return 0, 0, fmt.Errorf("found %q, expected one of the frames %s", name, photometry.FormatList(names))
	}
	for _, k := range s.Fixtures[frame].Lit {
		if s.Fixtures[k].source != nil {
			return frame, k, nil
		}
	}
	return 0, 0, fmt.Errorf("no lamp of its own stands behind “%s”", s.Fixtures[frame].Name)
}

// steps are the distances from the first to the last: n even ones, or without n
// those of the step of a tape measure that makes four to seven of them.
func steps(r [2]float64, n int) []float64 {
	span := r[1] - r[0]
	if span == 0 || n == 1 {
		return []float64{r[0]}
	}
	step := span / float64(max(n-1, 1))
	if n == 0 {
		step = math.Pow(10, math.Floor(math.Log10(span)))
		for _, k := range []float64{1, 0.5, 0.25, 0.2, 0.1} {
			if span/(k*step) > 2.9 {
				step *= k
				break
			}
		}
	}
	var out []float64
	for i := 0; ; i++ {
		d := r[0] + float64(i)*step
		if d > r[1]-0.3*step {
			break
		}
		out = append(out, math.Round(d*1e6)/1e6)
	}
	return append(out, r[1])
}

// bench is a lamp and a frame on one axis: the frame at the origin facing −z,
// the lamp at +z.
type bench struct {
	*Scene        // of both
	bare   *Scene // of the lamp alone
	lampZ  float64
}

func (s *Scene) bench(frame, lamp int, apart float64) (*bench, error) {
	l, f := s.rows[lamp], s.rows[frame]
	for _, r := range []*setup.Lamp{&l, &f} {
		r.X, r.Y, r.StandHeight, r.Pan, r.Tilt = setup.Fixed(0), setup.Fixed(0), setup.Range{}, setup.Range{}, setup.Range{}
		r.AimX, r.AimY = setup.Fixed(0), setup.Fixed(0)
	}
	l.Z, l.AimZ = setup.Fixed(apart), setup.Fixed(0)
	f.Z, f.AimZ = setup.Fixed(0), setup.Fixed(-1)
	f.Behind = l.Name
	l.Behind = ""
	o := Options{Distribution: s.options.Distribution}
	both, problems := build([]setup.Lamp{l, f}, o, s.Quantity)
	bare, more := build([]setup.Lamp{l}, o, s.Quantity)
	if problems = append(problems, more...); len(problems) > 0 {
		return nil, fmt.Errorf("“%s” and “%s” cannot stand %.2f m apart: %s: expected %s", l.Name, f.Name, apart, problems[0].column, problems[0].expected)
	}
	return &bench{both, bare, apart}, nil
}

// level is what a subject b meters in front of the frame gets, facing it, at x
// meters beside the axis.
func (b *bench) level(s *Scene, distance, x float64) float64 {
	sum := 0.0
	for i := range s.emitters {
		sum += s.lux(&s.emitters[i], r3.Vec{X: x, Z: -distance}, toCamera)
	}
	return sum
}

// at is the frame at a distance from the subject; false where the subject gets no
// light, with or without it.
func (b *bench) at(distance float64, w Sweep) (d Diffusion, ok bool) {
	d = Diffusion{ToLampM: b.lampZ, ToSubjectM: distance, Level: b.level(b.Scene, distance, 0)}
	bare := b.level(b.bare, distance, 0)
	if !(d.Level > 0 && bare > 0) {
		return d, false
	}
	d.LossStops = photometry.Stops(bare, d.Level)
	const step = 1e-3
	d.FalloffStopsPerM = photometry.Stops(b.level(b.Scene, distance*(1-step), 0), b.level(b.Scene, distance*(1+step), 0)) / (2 * step * distance)
	d.SecondStops = photometry.Stops(d.Level, b.level(b.Scene, distance+w.SecondM, 0))
	over, mean, lit := b.Fixtures[1].sheets[0].hotSpot()
	if d.OverMeanStops = mean; lit {
		d.HotSpotStops = &over
	}
	d.PenumbraM = b.penumbra(distance, math.Min(w.EdgeM, distance/2))
	return d, true
}

// penumbra is how wide the shadow of a straight edge runs on the subject from 10
// to 90 % of the light that there is without the edge.
func (b *bench) penumbra(distance, edge float64) float64 {
	// A flag that covers everything to the left of the axis.
	f := &b.Fixtures[1]
	wide := 100 * (f.w + f.h + distance + b.lampZ)
	flag := newOccluder(-1, newPose(r3.Vec{X: -wide / 2, Z: edge - distance}, r3.Vec{Z: -1}, 0), wide, wide, 0, 1)
	shaded := *b.Scene
	shaded.occluders = append(slices.Clone(b.occluders), flag)
	share := func(x float64) float64 { return b.level(&shaded, distance, x) / b.level(b.Scene, distance, x) }
	reach := 1.01*edge/(distance-edge)*math.Max(f.w, f.h)/2 + 1e-6
	cross := func(level float64) float64 {
		low, high := -reach, reach
		for range 50 {
			if mid := (low + high) / 2; share(mid) < level {
				low = mid
			} else {
				high = mid
			}
		}
		return (low + high) / 2
	}
	return cross(0.9) - cross(0.1)
}

// asked says what was asked.
func (w Sweep) asked(quantity photometry.Quantity) (out []photometry.Remark) {
	if w.HotSpotStops > 0 {
		out = append(out, photometry.Remarked("asked_hot_spot", "most", photometry.Stop(w.HotSpotStops)))
	}
	if w.LossStops > 0 {
		out = append(out, photometry.Remarked("asked_loss", "most", photometry.Stop(w.LossStops)))
	}
	if w.Level > 0 {
		out = append(out, photometry.Remarked("asked_level", "least", photometry.Level{Value: w.Level, Quantity: quantity}))
	}
	if w.PenumbraM > 0 {
		out = append(out, photometry.Remarked("asked_penumbra", "least", photometry.Length(w.PenumbraM)))
	}
	return out
}

// meets reports whether an entry is what was asked.
func (d Diffusion) meets(w Sweep) bool {
	return (w.HotSpotStops <= 0 || d.HotSpotStops != nil && *d.HotSpotStops <= w.HotSpotStops) &&
		(w.LossStops <= 0 || d.LossStops <= w.LossStops) && d.Level >= w.Level && d.PenumbraM >= w.PenumbraM
}
