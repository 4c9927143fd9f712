package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

const flagHeader = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,lobe m"

// A flag takes the light of a point behind it and none beside it; a net takes its
// share; two in a row take both.
func TestFlagAndNet(t *testing.T) {
	bare := newScene(t, row(flagHeader, "a,point,0,0,2,0,0,0,1000,90,,,,,"), Options{})
	for _, c := range []struct {
		row  string
		left func(x, y float64) float64
	}{
		{"k,flag,0.2,0,1,0.2,0,0,,,0.2,0.4,,,", func(x, y float64) float64 { return inside(x > 0.2 && x < 0.6 && math.Abs(y) < 0.4, 0) }},
		{"k,net,0.2,0,1,0.2,0,5,,,0.2,0.4,,71,", func(x, y float64) float64 { return inside(x > 0.2 && x < 0.6 && math.Abs(y) < 0.4, 0.71) }},
		{"k,net,0.2,0,1,0.2,0,0,,,0.2,0.4,,71,\nl,net,0.2,0,0.5,0.2,0,0,,,3,3,,50,", func(x, y float64) float64 {
			return inside(x > 0.2 && x < 0.6 && math.Abs(y) < 0.4, 0.71) * 0.5
		}},
		// Behind the lamp and beyond the receiver it is in nobody's way.
		{"k,flag,0,0,2.5,0,0,0,,,3,3,,,", func(x, y float64) float64 { return 1 }},
		{"k,flag,0,0,-0.5,0,0,5,,,3,3,,,", func(x, y float64) float64 { return 1 }},
	} {
		s := newScene(t, row(flagHeader, "a,point,0,0,2,0,0,0,1000,90,,,,,", c.row), Options{})
		for x := -1.03; x < 1; x += 0.1 {
			for y := -1.03; y < 1; y += 0.1 {
				at := r3.Vec{X: x, Y: y}
				want := c.left(x, y) * bare.At(at, toCamera).Level
				if got := s.At(at, toCamera).Level; math.Abs(got-want) > 1e-9 {
					t.Errorf("%s at %.2f, %.2f: %g, want %g", c.row, x, y, got, want)
				}
			}
		}
	}
}

func inside(in bool, left float64) float64 {
	if in {
		return left
	}
	return 1
}

// The penumbra of every kind of source against elements whose rays are tested one by
// one: within half a percent of the level without the occluders.
func TestPenumbraAgainstElements(t *testing.T) {
	flags := []string{"k,flag,0.3,0.1,1,0.2,0.4,0,,,0.5,0.7,,,,", "l,net,-0.2,0,0.6,-0.2,0.2,0,,,0.6,0.6,,40,,"}
	type cover struct {
		at, front vec
		w, h, tau float64
	}
	covers := []cover{{vec{0.3, 0.1, 1}, vec{-0.1, 0.3, -1}, 0.5, 0.7, 0}, {vec{-0.2, 0, 0.6}, vec{0, 0.2, -0.6}, 0.6, 0.6, 0.4}}
	left := func(from, to vec) float64 {
		share := 1.0
		for _, c := range covers {
			n := c.front.unit()
			right := vec{0, 1, 0}.cross(n).unit()
			up := n.cross(right)
			a, b := from.minus(c.at).dot(n), to.minus(c.at).dot(n)
			if a*b >= 0 {
				continue
			}
			hit := from.plus(to.minus(from).times(a / (a - b))).minus(c.at)
			if math.Abs(hit.dot(right)) < c.w/2 && math.Abs(hit.dot(up)) < c.h/2 {
				share *= c.tau
			}
		}
		return share
	}
	const n = 150 // elements a side
	front := vec{0.1, -0.2, -2}.unit()
	rectangle := func(m float64, exitance func(vec) float64) []element {
		return board(vec{0, 0, 2}, front, vec{0, 1, 0}, 1, 0.8, m, n, exitance)
	}
	disc := func(m, width float64) (out []element) {
		for _, e := range board(vec{0, 0, 2}, front, vec{0, 1, 0}, width, width, m, n, func(vec) float64 { return 1000 }) {
			if e.at.minus(vec{0, 0, 2}).size() < width/2 {
				out = append(out, e)
			}
		}
		return out
	}
	beamOf := func(deg float64) float64 { return math.Log(0.5) / math.Log(math.Cos(deg/2*math.Pi/180)) }
	even := func(vec) float64 { return 1000 }
	behind := func(at vec) func(vec) float64 {
		lamp := beam(at, vec{0, 0, 2}, 3000, 70)
		return func(p vec) float64 { return 0.5 * lux([]element{lamp}, p, front.times(-1)) }
	}
	before := beam(vec{0.4, 0.9, 1.2}, vec{0, 0, 2}, 3000, 70)
	for name, c := range map[string]struct {
		rows     []string
		elements []element
	}{
		"panel":                 {[]string{"a,panel,0,0,2,0.1,-0.2,0,800,,1,0.8,,,,"}, rectangle(1, even)},
		"panel with a lobe":     {[]string{"a,panel,0,0,2,0.1,-0.2,0,800,,1,0.8,,,4,"}, rectangle(4, even)},
		"panel with a beam":     {[]string{"a,panel,0,0,2,0.1,-0.2,0,800,40,1,0.8,,,,"}, rectangle(beamOf(40), even)},
		"disc":                  {[]string{fmt.Sprintf("a,disc,0,0,2,0.1,-0.2,0,%.9g,,1,,,,,", 1000*math.Pi/4)}, disc(1, 1)},
		"disc with a beam":      {[]string{fmt.Sprintf("a,disc,0,0,2,0.1,-0.2,0,%.9g,60,1,,,,,", 1000*math.Pi/4)}, disc(beamOf(60), 1)},
		"disc, narrow":          {[]string{fmt.Sprintf("a,disc,0,0,2,0.1,-0.2,0,%.9g,25,1,,,,,", 1000*math.Pi/4)}, disc(beamOf(25), 1)},
		"disc, small":           {[]string{fmt.Sprintf("a,disc,0,0,2,0.1,-0.2,0,%.9g,60,0.25,,,,,", 1000*math.Pi*0.125*0.125)}, disc(beamOf(60), 0.25)},
		"frame":                 {[]string{"a,point,-0.2,0.1,3,0,0,2,3000,70,,,,,,", "f,frame,0,0,2,0.1,-0.2,0,,,1,0.8,a,50,,0"}, rectangle(1, behind(vec{-0.2, 0.1, 3}))},
		"frame with lobes":      {[]string{"a,point,-0.2,0.1,3,0,0,2,3000,70,,,,,,", "f,frame,0,0,2,0.1,-0.2,0,,,1,0.8,a,50,3,0"}, rectangle(3, behind(vec{-0.2, 0.1, 3}))},
		"frame with a hot spot": {[]string{"a,point,-0.1,0.1,2.3,0,0,2,3000,70,,,,,,", "f,frame,0,0,2,0.1,-0.2,0,,,1,0.8,a,50,2,0"}, rectangle(2, behind(vec{-0.1, 0.1, 2.3}))},
		"bounce": {[]string{"a,point,0.4,0.9,1.2,0,0,2,3000,70,,,,,,", "f,bounce,0,0,2,0.1,-0.2,0,,,1,0.8,a,,,"}, rectangle(1, func(p vec) float64 {
			return 0.8 * left(before.at, p) * lux([]element{before}, p, front)
		})},
	} {
		header := flagHeader + ",spill"
		rows := append(slices.Clone(c.rows), flags...)
		if name == "bounce" {
			header += ",reflectance"
			for i := range rows {
				rows[i] += map[bool]string{true: ",80", false: ","}[i == 1]
			}
		}
		s := newScene(t, row(header, rows...), Options{})
		r := rand.New(rand.NewPCG(11, uint64(len(name)))) // the same places whatever the order
		worst := 0.0
		for range 8 {
			at := vec{random(r, -1, 1), random(r, -1, 1), random(r, 0, 0.3)}
			normal := vec{0, 0, 1}
			want, open, got := 0.0, 0.0, 0.0
			for _, e := range c.elements {
				v := lux([]element{e}, at, normal)
				open += v
				want += v * left(e.at, at)
			}
			for i := range s.emitters {
				if e := &s.emitters[i]; e.fixture == 0 == (len(c.rows) == 1) {
					got += s.lux(e, at.r3(), normal.r3())
				}
			}
			off := (got - want) / open
			if worst = math.Max(worst, math.Abs(off)); math.Abs(off) > 0.005 {
				t.Errorf("%s at %.3v: %g, want %g of %g without flags", name, at, got, want, open)
			}
		}
		t.Logf("%s: within %.2f %% of the level without flags", name, 100*worst)
	}
}

// The rule of six nodes is exact to the fourth degree: ∫ xⁱyʲ over the triangle of
// corners (0,0), (1,0) and (0,1) is i!·j!/(i+j+2)!.
func TestTriangleNodes(t *testing.T) {
	for i := range 5 {
		for j := range 5 - i {
			sum, want := 0.0, math.Gamma(float64(i+1))*math.Gamma(float64(j+1))/math.Gamma(float64(i+j+3))
			for _, n := range triangleNodes {
				sum += n.weight * math.Pow(n.a, float64(i)) * math.Pow(n.b, float64(j)) / 2
			}
			near(t, fmt.Sprintf("x^%d y^%d", i, j), sum, want, 1e-12)
		}
	}
}

// Half of a Lambertian panel behind a flag's straight edge leaves exactly half on
// its axis, by symmetry.
func TestHalfCovered(t *testing.T) {
	bare := newScene(t, row(flagHeader, "a,panel,0,0,2,0,0,0,1000,,1,1,,,"), Options{})
	s := newScene(t, row(flagHeader, "a,panel,0,0,2,0,0,0,1000,,1,1,,,", "k,flag,-5,0,1,-5,0,0,,,10,10,,,"), Options{})
	near(t, "half", s.At(r3.Vec{}, toCamera).Level, bare.At(r3.Vec{}, toCamera).Level/2, 1e-12)
}

// A frame is in the way of other lamps: only what goes straight on passes.
func TestFrameShadesOthers(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused"
	bare := newScene(t, row(header, "a,point,0,0,3,0,0,0,1000,90,,,,,"), Options{})
	s := newScene(t, row(header, "a,point,0,0,3,0,0,0,1000,90,,,,,", "b,point,3,0,3,0,0,2,1,20,,,,,", "f,frame,0,0,2,0,0,0,,,1,1,b,60,30"), Options{})
	got := 0.0
	for i := range s.emitters {
		if e := &s.emitters[i]; e.lamp == 0 {
			got += s.lux(e, r3.Vec{}, toCamera)
		}
	}
	near(t, "another lamp through a frame", got, 0.18*bare.At(r3.Vec{}, toCamera).Level, 1e-9)
}

// Edges of shadows that only just touch give no trouble: levels stay finite,
// never negative and never above what there is without flags.
func TestShadowsNeverAdd(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 1))
	for range 300 {
		lamp := fmt.Sprintf("a,panel,0,0,2,%g,0,0,1000,,1,1,,,", random(r, -0.5, 0.5))
		flag := fmt.Sprintf("k,flag,%g,%g,%g,%g,%g,%g,,,%g,%g,,,", random(r, -1, 1), random(r, -1, 1), random(r, 0.1, 3), random(r, -1, 1), random(r, -1, 1), random(r, -1, 3), random(r, 0.1, 3), random(r, 0.1, 3))
		bare, s := newScene(t, row(flagHeader, lamp), Options{}), newScene(t, row(flagHeader, lamp, flag), Options{})
		for range 10 {
			at := r3.Vec{X: random(r, -1, 1), Y: random(r, -1, 1)}
			a, b := s.At(at, toCamera).Level, bare.At(at, toCamera).Level
			if !(a >= 0 && a <= b*(1+1e-9)) {
				t.Fatalf("%s\n%s\nat %v: %g with the flag, %g without", lamp, flag, at, a, b)
			}
		}
	}
}
