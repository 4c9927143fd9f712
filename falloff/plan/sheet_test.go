package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"evenfall/photometry"
)

// Frames against a plain sum of 300 × 300 elements, each lit by the lamp by the
// inverse-square and cosine laws: within half a percent, near and far, with full
// diffusion and with lobes, with a lamp so close that the frame has a hot spot.
func TestFramesAgainstElements(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	for _, c := range []struct{ lampZ, beam, m float64 }{
		{3.5, 60, 1}, {2.5, 60, 1}, {2.3, 90, 1}, {3, 20, 1}, {3.5, 60, 4}, {2.5, 70, 10}, {3, 60, 0}, {3, 60, 2.5},
	} {
		text := row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,lobe m",
			fmt.Sprintf("a,point,0.2,0.1,%g,0,0,2,9000,%g,,,,,", c.lampZ, c.beam),
			fmt.Sprintf("f,frame,0,0,2,0.3,-0.2,0,,,1.2,0.9,a,42,%g", c.m))
		s := newScene(t, text, Options{})
		lamp := beam(vec{0.2, 0.1, c.lampZ}, vec{0, 0, 2}, 9000, c.beam)
		front := vec{0.3, -0.2, -2}.unit()
		elements := board(vec{0, 0, 2}, front, vec{0, 1, 0}, 1.2, 0.9, c.m, 300, func(p vec) float64 {
			return 0.42 * lux([]element{lamp}, p, front.times(-1))
		})
		for k := range 8 {
			at := vec{random(r, -1.5, 1.5), random(r, -1.5, 1.5), random(r, 0, 1.2)}
			if k < 2 {
				at = vec{0.1, -0.1, 1.75 - 0.1*float64(k)} // right in front of the cloth
			}
			normal := vec{random(r, -0.7, 0.7), random(r, -0.7, 0.7), 1}.unit()
			want := lux(elements, at, normal)
			if !crosses(lamp.at, at, vec{0, 0, 2}, front, 1.2, 0.9) {
				want += lux([]element{lamp}, at, normal) // past the frame
			}
			near(t, fmt.Sprintf("%+v at %.3v facing %.2v", c, at, normal), s.At(at.r3(), normal.r3()).Level, want, 0.001)
		}
	}
}

// crosses reports whether a straight way goes through a rectangle whose height
// points up.
func crosses(from, to, center, front vec, w, h float64) bool {
	front = front.unit()
	right := vec{0, 1, 0}.cross(front).unit()
	up := front.cross(right)
	a, b := from.minus(center).dot(front), to.minus(center).dot(front)
	if a*b >= 0 {
		return false
	}
	p := from.plus(to.minus(from).times(a / (a - b))).minus(center)
	return math.Abs(p.dot(right)) < w/2 && math.Abs(p.dot(up)) < h/2
}

// What of a lamp's face is seen past its frame lights the set: a panel larger
// than the frame, against a plain sum of elements; spill holds a part of it back.
func TestPanelPastFrame(t *testing.T) {
	for _, c := range []struct {
		spill string
		share float64
	}{{"", 1}, {"0", 0}, {"30", 0.3}} {
		s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,intensity,width,height,behind,transmission,spill",
			"a,panel,0,0,3,0,0,0,1000,1.5,1,,,", "f,frame,0.2,0.1,2,0,0,0,,0.8,0.6,a,60,"+c.spill), Options{})
		face := board(vec{0, 0, 3}, vec{0, 0, -1}, vec{0, 1, 0}, 1.5, 1, 1, 150, func(vec) float64 { return math.Pi * 1000 / 1.5 })
		front := vec{-0.2, -0.1, -2}
		coarse := board(vec{0, 0, 3}, vec{0, 0, -1}, vec{0, 1, 0}, 1.5, 1, 1, 40, func(vec) float64 { return math.Pi * 1000 / 1.5 })
		frame := board(vec{0.2, 0.1, 2}, front, vec{0, 1, 0}, 0.8, 0.6, 1, 60, func(p vec) float64 { return 0.6 * lux(coarse, p, front.unit().times(-1)) })
		for _, at := range []vec{{0, 0, 0}, {1, 0.5, 0}, {-1.5, 0.2, 0.3}, {0.4, -1.2, 0}, {0.2, 0.1, 1.2}} {
			var seen []element
			for _, e := range face {
				if !crosses(e.at, at, vec{0.2, 0.1, 2}, front, 0.8, 0.6) {
					seen = append(seen, e)
				}
			}
			want := lux(frame, at, vec{0, 0, 1}) + c.share*lux(seen, at, vec{0, 0, 1})
			near(t, fmt.Sprintf("spill %q at %v", c.spill, at), s.At(at.r3(), toCamera).Level, want, 0.005)
		}
		warned := slices.ContainsFunc(s.Warnings, func(w photometry.Finding) bool { return w.Code == "past_frame" })
		if warned != (c.share > 0) || s.Fixtures[0].Hidden == warned {
			t.Errorf("spill %q: %+v", c.spill, s.Warnings)
		}
	}
}

// How much of a lamp's light misses its frame, in closed form: the share of cos²
// within 45° that a round frame would catch is 1 − cos³; a square one of the same
// area catches nearly that.
func TestPastFrameIsWarnedOf(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,intensity,beam,width,height,behind,transmission",
		"key,point,1,1,3,1,1,0,1000,90,,,,", "sail,frame,1,1,2.2,1,1,0,,,0.4,0.4,key,60"), Options{Surface: box(2, 2)})
	radius := 0.4 / math.Sqrt(math.Pi)
	misses := 100 * math.Pow(0.8/math.Hypot(0.8, radius), 3)
	if w := s.Warnings; len(w) != 1 || w[0].Key != "past_frame" || w[0].Values["lamp"] != "key" || math.Abs(float64(w[0].Values["misses"].(photometry.Percentage))-misses) > 0.5 {
		t.Errorf("%.2f %%: %+v", misses, w)
	}
	// 1 m off the axis the lamp is seen past the frame: I·cos² by the cosine law.
	key := []element{{vec{1, 1, 3}, vec{0, 0, -1}, 1000, 2}}
	sail := board(vec{1, 1, 2.2}, vec{0, 0, -1}, vec{0, 1, 0}, 0.4, 0.4, 1, 40, func(p vec) float64 { return 0.6 * lux(key, p, vec{0, 0, 1}) })
	near(t, "past", s.At(r3.Vec{X: 2, Y: 1}, toCamera).Level, 1000*0.9/10*3/math.Sqrt(10)+lux(sail, vec{2, 1, 0}, vec{0, 0, 1}), 0.002)
}

// The patches of a frame are no larger than a quarter of its distance from the
// lamp, and half as large ones change nothing by more than half a percent.
func TestFramesConverge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		apart, deg := rapid.Float64Range(0.15, 4).Draw(t, "apart"), rapid.Float64Range(10, 120).Draw(t, "beam")
		m := rapid.SampledFrom([]float64{1, 3}).Draw(t, "m")
		x := rapid.Float64Range(-0.5, 0.5).Draw(t, "x")
		s, err := tryScene(row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,lobe m",
			fmt.Sprintf("a,point,%g,0,%g,%g,0,2,9000,%g,,,,,", x, 2+apart, x/2, deg),
			fmt.Sprintf("f,frame,0,0,2,0,0,0,,,1.2,0.9,a,42,%g", m)), Options{})
		if err != nil {
			t.Fatal(err)
		}
		coarse := s.Fixtures[1].sheets[0]
		if patch := max(coarse.w/float64(coarse.nx), coarse.h/float64(coarse.ny)); patch > apart/4*(1+1e-9) && coarse.nx < mostPatches/2 {
			t.Fatalf("patches of %.3f m at %.3f m", patch, apart)
		}
		fine := *coarse
		fine.even = false
		fine.grid = newGrid(&fine, 2*coarse.nx, 2*coarse.ny, coarse.fill)
		for range 3 {
			at := r3.Vec{X: rapid.Float64Range(-1, 1).Draw(t, "at x"), Y: rapid.Float64Range(-1, 1).Draw(t, "at y"), Z: rapid.Float64Range(0, 1.7).Draw(t, "at z")}
			a, b := coarse.illuminance(at, toCamera, sight{}), fine.illuminance(at, toCamera, sight{})
			if math.Abs(a-b) > 0.005*b {
				t.Fatalf("at %v: %g by %d × %d patches, %g by twice as many a side", at, a, coarse.nx, coarse.ny, b)
			}
		}
	})
}

// A frame that is lit evenly and diffuses fully is one exact polygon: a square of
// side a at distance a on its axis has the factor F = 4/π·x·atan(x), x = ½/√(1+¼)
// (four quarters of the parallel rectangle opposite a corner, V6 of SOURCES.md).
func TestEvenFrameIsExact(t *testing.T) {
	const far = 500.0
	s := newScene(t, row("name,kind,x,y,z (m),aim x,aim y,aim z,intensity,beam,width,height,behind,transmission",
		fmt.Sprintf("a,point,0,0,%g,0,0,1,%g,10,,,,", far+1, 1000*far*far), "f,frame,0,0,1,0,0,0,,,1,1,a,50"), Options{})
	if !s.Fixtures[1].sheets[0].even {
		t.Fatal("not even")
	}
	x := 0.5 / math.Sqrt(1.25)
	near(t, "even frame", s.At(r3.Vec{}, toCamera).Level, 500*4/math.Pi*x*math.Atan(x), 1e-4)
	over, mean, ok := s.Fixtures[1].sheets[0].hotSpot()
	if !ok || over > 1e-3 || mean > 1e-3 {
		t.Errorf("hot spot %v %v %v", over, mean, ok)
	}
}

// The hot spot of a frame on the axis of a cos^m lamp is log2 of its middle over
// its corner, cos^(m+3) of the corner's angle.
func TestHotSpot(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission",
		"a,point,0,0,2,0,0,1,1000,60,,,,", "f,frame,0,0,1,0,0,0,,,1.2,0.8,a,50"), Options{})
	over, _, ok := s.Fixtures[1].sheets[0].hotSpot()
	m := math.Log(0.5) / math.Log(math.Cos(math.Pi/6))
	corner := 1 / math.Sqrt(1+0.36+0.16)
	near(t, "hot spot", over, -(m+3)*math.Log2(corner), 1e-9)
	if !ok {
		t.Error("a corner is dark")
	}
}

// The undiffused share goes straight on from the lamp, and past the frame's edge
// there is none where the spill is held back: exact.
func TestStraightThrough(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused"
	bare := newScene(t, row(header, "a,point,0,0,3,0,0,0,1000,90,,,,,"), Options{})
	s := newScene(t, row(header+",spill", "a,point,0,0,3,0,0,0,1000,90,,,,,,", "f,frame,0,0,2,0,0,0,,,1,0.6,a,60,100,0"), Options{})
	for _, c := range []struct {
		x, y float64
		in   bool
	}{{0, 0, true}, {1.49, 0, true}, {1.51, 0, false}, {0, 0.89, true}, {0, -0.91, false}, {1.4, 0.8, true}} {
		at := r3.Vec{X: c.x, Y: c.y}
		want := 0.0
		if c.in {
			want = 0.6 * bare.At(at, toCamera).Level
		}
		if got := s.At(at, toCamera).Level; math.Abs(got-want) > 1e-9*bare.At(at, toCamera).Level {
			t.Errorf("at %v, %v: %g, want %g", c.x, c.y, got, want)
		}
	}
	// Two frames in a row take both shares.
	two := newScene(t, row(header, "a,point,0,0,3,0,0,0,1000,90,,,,,", "f,frame,0,0,2,0,0,0,,,1,0.6,a,60,100", "g,frame,0,0,1,0,0,0,,,2,2,f,50,100"), Options{})
	near(t, "two frames", two.At(r3.Vec{}, toCamera).Level, 0.3*bare.At(r3.Vec{}, toCamera).Level, 1e-9)
}

// A bounce against a plain sum of elements, lit by a lamp and by a frame.
func TestBounceAgainstElements(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,reflectance"
	front := vec{-1, 0.1, -0.8}
	for _, by := range []string{"a", "f"} {
		rows := []string{"a,point,-1,1,3,1.5,0.5,2,9000,50,,,,,", "b,bounce,1.5,0.5,2,0.5,0.6,1.2,,,1,1.4," + by + ",,80"}
		lamp := []element{beam(vec{-1, 1, 3}, vec{1.5, 0.5, 2}, 9000, 50)}
		if by == "f" {
			rows = append(rows, "f,frame,-0.4,0.9,2.8,1.5,0.5,2,,,0.8,0.8,a,40,")
			through := vec{1.9, -0.4, -0.8}.unit()
			lamp = board(vec{-0.4, 0.9, 2.8}, through, vec{0, 1, 0}, 0.8, 0.8, 1, 40, func(p vec) float64 {
				return 0.4 * lux([]element{beam(vec{-1, 1, 3}, vec{1.5, 0.5, 2}, 9000, 50)}, p, through.times(-1))
			})
		}
		s := newScene(t, row(header, rows...), Options{})
		elements := board(vec{1.5, 0.5, 2}, front, vec{0, 1, 0}, 1, 1.4, 1, 60, func(p vec) float64 { return 0.8 * lux(lamp, p, front.unit()) })
		for range 6 {
			at := vec{random(r, -1, 1), random(r, -1, 1), random(r, 0, 1.2)}
			normal := vec{random(r, 0, 1), random(r, -0.3, 0.3), random(r, 0.3, 1)}.unit()
			got := 0.0
			for i := range s.emitters {
				if e := &s.emitters[i]; s.Fixtures[e.fixture].Name == "b" {
					got += s.lux(e, at.r3(), normal.r3())
				}
			}
			near(t, fmt.Sprintf("bounce by %s at %.2v", by, at), got, lux(elements, at, normal), 0.005)
		}
	}
}
