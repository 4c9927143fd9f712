package causes_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/causes"
	"evenfall/photometry/spatial"
)

// scene is a surface of known lamps with one fault. Lights are those of package
// falloff: beams, and faces by their exact forms; shadows are cast by bodies.
type scene struct {
	w, h       float64
	key        []*source // what the surface is meant to be lit by
	extra      []falloff.Source
	bodies     []body
	drift, tau float64 // stops
	slipAt     float64 // which reading is off, as a share of all
	slip       float64 // stops
}

// source is a lamp on a stand.
type source struct {
	at, aim   r3.Vec
	output    float64
	beamDeg   float64 // 0 for a panel
	size      float64
	shadowers []r3.Vec // points of it that cast shadows
	lit       falloff.Source
}

// body is a rectangle or a disc close to the surface that lets a part of the light past.
type body struct {
	x, y, z, halfW, halfH float64
	round                 bool
	passes                float64
}

func (b body) shades(from, to r3.Vec) bool {
	k := (from.Z - b.z) / (from.Z - to.Z)
	x, y := from.X+k*(to.X-from.X)-b.x, from.Y+k*(to.Y-from.Y)-b.y
	if b.round {
		return math.Hypot(x, y) <= b.halfW
	}
	return math.Abs(x) <= b.halfW && math.Abs(y) <= b.halfH
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// prepare turns a lamp into what shines, and the points of it.
func (l *source) prepare() {
	axis := r3.Unit(r3.Sub(l.aim, l.at))
	if l.beamDeg > 0 {
		l.lit = must(falloff.NewBeam(l.at, axis, l.output, l.beamDeg))
	} else {
		l.lit = must(falloff.Rectangle(l.at, axis, r3.Vec{Y: 1}, l.size, l.size, l.output/(math.Pi*l.size*l.size)))
	}
	l.shadowers = nil
	for i := range 5 {
		for j := range 5 {
			l.shadowers = append(l.shadowers, r3.Add(l.at, r3.Vec{X: l.size * (float64(i) - 2) / 5, Y: l.size * (float64(j) - 2) / 5}))
		}
	}
}

func (s *scene) prepare() {
	for _, l := range s.key {
		l.prepare()
	}
}

// copy is the scene with lamps of its own.
func (s *scene) copy() *scene {
	out := *s
	out.key = nil
	for _, l := range s.key {
		own := *l
		out.key = append(out.key, &own)
	}
	return &out
}

// level is the light at a place, but for what time and slips do.
func (s *scene) level(x, y float64) float64 {
	at, camera := r3.Vec{X: x, Y: y}, r3.Vec{Z: 1}
	sum := 0.0
	for _, l := range s.key {
		open := 1.0
		for _, b := range s.bodies {
			hit := 0.0
			for _, p := range l.shadowers {
				if b.shades(p, at) {
					hit += 1 / float64(len(l.shadowers))
				}
			}
			open *= 1 - hit*(1-b.passes)
		}
		sum += open * l.lit.Illuminance(at, camera)
	}
	for _, l := range s.extra {
		sum += l.Illuminance(at, camera)
	}
	return sum
}

// truth is what a simulated surface is known to have.
type truth struct {
	fault string
	name  causes.Name
	scene *scene
	bare  *scene // without the fault; nil where all that is uneven is the fault
}

var faults = []string{
	"side strong", "side near", "one lamp", "window", "lamp beyond the side", "floor", "high", "low", "edges", "middle",
	"hot spot", "dark spot", "edge in shadow", "corner in shadow", "warm-up", "one reading off",
}

// random draws from a seed.
type random struct{ *rand.Rand }

func (r random) in(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func (r random) side() (float64, string) {
	if r.IntN(2) == 0 {
		return -1, "left"
	}
	return 1, "right"
}

// evenPair is a cloth that two like lamps light well.
func (r random) evenPair() *scene {
	s := &scene{w: r.in(2, 6)}
	s.h = s.w * r.in(0.45, 0.75)
	out, away, up := r.in(0.75, 1.1), r.in(0.7, 1.2), r.in(0.4, 0.6)
	beamDeg, size := r.in(60, 110), r.in(0.1, 0.3)
	if r.IntN(3) == 0 {
		beamDeg, size = 0, r.in(0.4, 1)
	}
	past := r.in(0, 0.4) // the lamps aim past the center, as is good practice
	for _, side := range []float64{-1, 1} {
		s.key = append(s.key, &source{at: r3.Vec{X: s.w * (0.5 + side*out), Y: s.h * up, Z: s.w * away},
			aim: r3.Vec{X: s.w * (0.5 - side*past*0.5), Y: s.h / 2}, output: 10000, beamDeg: beamDeg, size: size})
	}
	return s
}

// simulate makes a surface with a fault, "" for none.
func (r random) simulate(fault string) truth {
	s := r.evenPair()
	t := truth{fault: fault, scene: s, bare: s.copy()}
	side, way := r.side()
	k := 0
	if side > 0 {
		k = 1
	}
	name := func(code, side string) { t.name = causes.Name{Code: code, Side: side, Place: -1} }
	switch fault {
	case "side strong":
		name(causes.SideBright, way)
		more := r.in(0.5, 1.6)
		s.key[k].output *= math.Exp2(more)
	case "side near":
		name(causes.SideBright, way)
		near := r.in(0.55, 0.8)
		l := s.key[k]
		l.at = r3.Vec{X: s.w/2 + (l.at.X-s.w/2)*near, Y: l.at.Y, Z: l.at.Z * near}
	case "one lamp":
		name(causes.OneLamp, "")
		t.bare = nil
		s.key = s.key[:1]
		s.key[0].at = r3.Vec{X: s.w * r.in(0, 1), Y: s.h * r.in(0.3, 1.3), Z: s.w * r.in(0.45, 1)}
		s.key[0].aim = r3.Vec{X: s.w / 2, Y: s.h / 2}
	case "window":
		name(causes.OtherLight, way)
		z0, depth, tall := r.in(0.2, 0.6), r.in(0.8, 2), r.in(1, 2)
		at := r3.Vec{X: s.w * (0.5 + side*(0.5+r.in(0.08, 0.4))), Y: s.h * r.in(0.3, 0.7), Z: z0 + depth/2}
		s.extra = append(s.extra, must(falloff.Rectangle(at, r3.Vec{X: -side}, r3.Vec{Y: 1}, depth, tall, 1)))
	case "lamp beyond the side":
		name(causes.OtherLight, way)
		at := r3.Vec{X: s.w * (0.5 + side*(0.5+r.in(0.1, 0.4))), Y: s.h * r.in(0.3, 0.7), Z: s.w * r.in(0.12, 0.3)}
		s.extra = append(s.extra, must(falloff.NewBeam(at, r3.Vec{X: -side, Y: 0, Z: -r.in(0, 0.4)}, 1000, r.in(60, 110))))
	case "floor":
		name(causes.Bounce, "bottom")
		depth := r.in(0.8, 2)
		at := r3.Vec{X: s.w * r.in(0.4, 0.6), Y: -r.in(0.05, 0.4), Z: depth/2 + r.in(0, 0.2)}
		s.extra = append(s.extra, must(falloff.Rectangle(at, r3.Vec{Y: 1}, r3.Vec{Z: 1}, s.w*r.in(0.7, 1.2), depth, 1)))
	case "high", "low":
		name(causes.TopBright, "")
		up := s.h * r.in(0.7, 1.6)
		if fault == "low" {
			name(causes.BottomBright, "")
			up = -up
		}
		near := r.in(0.6, 0.9)
		for _, l := range s.key {
			l.at.Z *= near
			l.at.Y, l.aim.Y = s.h/2, s.h/2
		}
		t.bare = s.copy()
		aim := up * r.in(0, 0.3)
		for _, l := range s.key {
			l.at.Y, l.aim.Y = s.h/2+up, s.h/2+aim
		}
	case "edges":
		name(causes.EdgesBright, "")
		t.bare = nil
		for i, side := range []float64{-1, 1} {
			s.key[i].at.X, s.key[i].at.Z = s.w*(0.5+side*r.in(0.55, 0.7)), s.w*r.in(0.3, 0.45)
			s.key[i].aim.X = s.w / 2
		}
		s.key[1].at.Z = s.key[0].at.Z
		s.key[1].at.X = s.w - s.key[0].at.X
	case "middle":
		name(causes.MiddleBright, "")
		t.bare = nil
		for _, l := range s.key {
			l.aim.X, l.beamDeg, l.size = s.w/2, r.in(25, 45), 0.2
		}
		s.key[1].beamDeg = s.key[0].beamDeg
	case "hot spot":
		name(causes.HotSpot, "")
		at := r3.Vec{X: s.w * r.in(-0.2, 1.2), Y: s.h * r.in(0.5, 1.5), Z: s.w * r.in(0.8, 1.5)}
		to := r3.Vec{X: s.w * r.in(0.15, 0.85), Y: s.h * r.in(0.15, 0.85)}
		s.extra = append(s.extra, must(falloff.NewBeam(at, r3.Sub(to, at), 100, r.in(7, 14))))
	case "dark spot":
		name(causes.DarkSpot, "")
		s.bodies = append(s.bodies, body{x: s.w * r.in(0.15, 0.85), y: s.h * r.in(0.15, 0.85), z: s.w * r.in(0.02, 0.05),
			halfW: s.w * r.in(0.06, 0.12), round: true, passes: r.in(0.1, 0.6)})
	case "edge in shadow", "corner in shadow":
		b := body{x: s.w / 2, y: s.h / 2, z: s.w * r.in(0.02, 0.06), halfW: 3 * s.w, halfH: 3 * s.h, passes: r.in(0.3, 0.7)}
		share := r.in(0.2, 0.45)
		up, upWay := r.side()
		upWay = map[string]string{"left": "bottom", "right": "top"}[upWay]
		switch across := r.IntN(2) == 0; {
		case fault == "corner in shadow":
			b.x += side * (3*s.w + s.w*(0.5-share))
			b.y += up * (3*s.h + s.h*(0.5-r.in(0.25, 0.5)))
			name(causes.Shadow, upWay+" "+way)
		case across:
			b.x += side * (3*s.w + s.w*(0.5-share))
			name(causes.Shadow, way)
		default:
			b.y += up * (3*s.h + s.h*(0.5-share))
			name(causes.Shadow, upWay)
		}
		s.bodies = append(s.bodies, b)
	case "warm-up":
		name(causes.Drift, "")
		s.drift, s.tau = r.in(0.35, 0.8)*(1-2*float64(r.IntN(2))), r.in(0.2, 1)
	case "one reading off":
		name(causes.OneReading, "")
		s.slipAt, s.slip = r.Float64(), r.in(0.35, 0.9)*(1-2*float64(r.IntN(2)))
	}
	s.prepare()
	if t.bare != nil {
		t.bare.prepare()
	}
	// A light on top is as strong as the fault is to be seen.
	if len(s.extra) > 0 {
		s.scaleExtra(r.in(0.4, 1.3))
	}
	return t
}

// scaleExtra makes the light on top so strong that it adds so many stops where it is
// strongest.
func (s *scene) scaleExtra(stops float64) {
	ratio := 0.0
	extra := s.extra
	for i := range 15 {
		for j := range 9 {
			x, y := s.w*(float64(i)+0.5)/15, s.h*(float64(j)+0.5)/9
			s.extra = nil
			base := s.level(x, y)
			s.extra = extra
			ratio = max(ratio, s.level(x, y)/base-1)
		}
	}
	for i := range s.extra {
		s.extra[i] = scaled{s.extra[i], (math.Exp2(stops) - 1) / ratio}
	}
}

type scaled struct {
	falloff.Source
	by float64
}

func (s scaled) Illuminance(at, normal r3.Vec) float64 {
	return s.by * s.Source.Illuminance(at, normal)
}

// walk reads a scene at columns × rows places, jittered, in one of four orders, with
// a scatter of 1 to 3 %.
func (r random) walk(s *scene, columns, rows int) causes.Surface {
	var places []r3.Vec
	order := r.IntN(4)
	outer, inner := rows, columns
	if order%2 == 1 {
		outer, inner = columns, rows
	}
	for a := range outer {
		for b := range inner {
			if order >= 2 && a%2 == 1 {
				b = inner - 1 - b
			}
			i, j := b, rows-1-a
			if order%2 == 1 {
				i, j = a, rows-1-b
			}
			x, y := (float64(i)+0.5)/float64(columns), (float64(j)+0.5)/float64(rows)
			if columns*rows == 9 { // on the border, as a new sheet of nine has them
				x, y = float64(i)/2, float64(j)/2
			}
			x += r.in(-0.1, 0.1) / float64(columns)
			y += r.in(-0.1, 0.1) / float64(rows)
			places = append(places, r3.Vec{X: s.w * min(max(x, 0), 1), Y: s.h * min(max(y, 0), 1)})
		}
	}
	scatter := r.in(0.01, 0.03)
	out := causes.Surface{Extent: spatial.Box{X1: s.w, Y1: s.h}, Frame: spatial.Box{X1: s.w, Y1: s.h}, Scatter: scatter / math.Ln2}
	for n, p := range places {
		t := float64(n) / float64(len(places)-1)
		stops := math.Log2(s.level(p.X, p.Y)) + s.after(t) + r.NormFloat64()*scatter/math.Ln2
		if s.slip != 0 && n == int(s.slipAt*float64(len(places))) {
			stops += s.slip
		}
		out.X, out.Y, out.Stops, out.Order = append(out.X, p.X), append(out.Y, p.Y), append(out.Stops, stops), append(out.Order, t)
	}
	return out
}

// after is how the light has changed at a time of the walk.
func (s *scene) after(t float64) float64 {
	if s.drift == 0 {
		return 0
	}
	return s.drift * (1 - math.Exp(-t/s.tau)) / (1 - math.Exp(-1/s.tau))
}
