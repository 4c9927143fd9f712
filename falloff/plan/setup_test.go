package plan

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
)

// A copy stand: two panels at 45° to the board, by the package and by an
// independent numerical integration, within 1 % everywhere.
func TestCopyStand(t *testing.T) {
	const d = 0.9
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,width,height,CCT",
		fmt.Sprintf("left,panel,%g,0.3,%g,0.3,0.3,0,2400,0.4,0.6,5600", 0.3-d, d),
		fmt.Sprintf("right,panel,%g,0.3,%g,0.3,0.3,0,2400,0.4,0.6,5600", 0.3+d, d)), Options{Surface: box(0.6, 0.6)})
	var elements []element
	for _, side := range []float64{-1, 1} {
		elements = append(elements, board(vec{0.3 + side*d, 0.3, d}, vec{-side, 0, -1}, vec{0, 1, 0}, 0.4, 0.6, 1, 200, func(vec) float64 { return 2400 / 0.24 })...)
	}
	is, err := s.Survey(Surface{Extent: *box(0.6, 0.6)})
	if err != nil {
		t.Fatal(err)
	}
	low, high := math.Inf(1), 0.0
	for i := range is.Level {
		want := lux(elements, vec{is.X[i], is.Y[i], 0}, vec{0, 0, 1})
		low, high = math.Min(low, want), math.Max(high, want)
		near(t, is.Name(i), is.Level[i], want, 0.01)
	}
	// One analysis serves predicted and measured surfaces.
	r, err := evenness.Analyze(is)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Evenness.SpreadStops-math.Log2(high/low)) > 0.01 {
		t.Errorf("spread %.3f, by integration %.3f", r.Evenness.SpreadStops, math.Log2(high/low))
	}
	if r.Noise.Source != "predicted" || r.ReadingCount != is.Len() {
		t.Errorf("%+v, %d readings", r.Noise, r.ReadingCount)
	}
}

// A key through a frame with a bounce for fill, on a face: by the package and by
// an independent numerical integration, within 1 % all around the face.
func TestKeyFrameAndBounce(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused,lobe m,reflectance,CCT",
		"key,point,-2.2,2.4,3.4,-1.2,2,2.4,14000,60,,,,,,,,5600",
		"frame,frame,-1.2,2,2.4,0,1.5,1,,,1.2,1.2,key,45,10,1.5,,",
		"fill,bounce,0.9,1.4,1.6,0,1.5,1,,,1,1.2,frame,,,,85,"), Options{})
	lamp := beam(vec{-2.2, 2.4, 3.4}, vec{-1.2, 2, 2.4}, 14000, 60)
	front := vec{1.2, -0.5, -1.4}.unit()
	back := front.times(-1)
	up := vec{0, 1, 0}
	frame := board(vec{-1.2, 2, 2.4}, front, up, 1.2, 1.2, 1.5, 120, func(p vec) float64 { return 0.45 * 0.9 * lux([]element{lamp}, p, back) })
	toFace := vec{-0.9, 0.1, -0.6}.unit()
	// Straight through the frame: the ray from the lamp has to cross it.
	straight := func(at, normal vec) float64 {
		right := up.cross(front).unit()
		above := front.cross(right)
		ray := at.minus(lamp.at)
		k := vec{-1.2, 2, 2.4}.minus(lamp.at).dot(front) / ray.dot(front)
		hit := lamp.at.plus(ray.times(k)).minus(vec{-1.2, 2, 2.4})
		if k <= 0 || k >= 1 || math.Abs(hit.dot(right)) > 0.6 || math.Abs(hit.dot(above)) > 0.6 {
			return 0
		}
		return 0.45 * 0.1 * lux([]element{lamp}, at, normal)
	}
	coarse := board(vec{-1.2, 2, 2.4}, front, up, 1.2, 1.2, 1.5, 40, func(p vec) float64 { return 0.45 * 0.9 * lux([]element{lamp}, p, back) })
	bounce := board(vec{0.9, 1.4, 1.6}, toFace, up, 1, 1.2, 1, 60, func(p vec) float64 { return 0.85 * (lux(coarse, p, toFace) + straight(p, toFace)) })
	for turn := -80.0; turn <= 80; turn += 20 {
		sin, cos := math.Sincos(turn * math.Pi / 180)
		normal := vec{sin, 0.1, cos}.unit()
		at := vec{0, 1.5, 1}
		want := lux(frame, at, normal) + lux(bounce, at, normal) + straight(at, normal)
		m := s.Mark(Mark{Label: "face", X: at[0], Y: at[1], Z: at[2], Facing: normal})
		near(t, fmt.Sprintf("face turned %.0f°", turn), m.Level, want, 0.01)
		near(t, "color", *m.CCT, 5600, 1e-4)
		total := 0.0
		for _, part := range m.From {
			total += part.Percent
		}
		near(t, "shares", total, 100, 1e-9)
	}
}

// Colors mix by tristimulus values, weighed by level.
func TestColorsMix(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,intensity,CCT,Duv", "a,point,-1,0,2,500,3200,0", "b,point,1,0,2,1000,5600,0.006"), Options{})
	warm, _ := colorimetry.CCT{Kelvin: 3200}.XY()
	cool, _ := colorimetry.CCT{Kelvin: 5600, Duv: 0.006}.XY()
	want, err := colorimetry.Mix(colorimetry.Light{Level: 1, XY: warm}, colorimetry.Light{Level: 2, XY: cool})
	if err != nil {
		t.Fatal(err)
	}
	c, err := want.XY.CCT()
	if err != nil {
		t.Fatal(err)
	}
	got := s.At(r3.Vec{}, toCamera)
	near(t, "CCT", got.Color.Kelvin, c.Kelvin, 1e-9)
	near(t, "Duv", got.Color.Duv, c.Duv, 1e-6)
	// One lamp without a color, and there is none.
	s = newScene(t, row("name,kind,x,y,z,intensity,CCT", "a,point,-1,0,2,500,3200", "b,point,1,0,2,1000,"), Options{Surface: box(2, 1)})
	if got := s.At(r3.Vec{}, toCamera); got.Color != nil {
		t.Errorf("a color %v", got.Color)
	}
	is, err := s.Survey(Surface{Extent: *box(2, 1)})
	if err != nil || is.HasColor() {
		t.Errorf("colors %v, %v", is.U, err)
	}
}

// Pan and tilt are the aim in degrees, and turning about the aim turns a panel.
func TestPanTiltRotate(t *testing.T) {
	for _, c := range []struct {
		pan, tilt float64
		aim       vec
	}{{0, 0, vec{0, 0, -1}}, {90, 0, vec{1, 0, 0}}, {-45, 0, vec{-1, 0, -1}}, {0, 30, vec{0, 0.5, -math.Sqrt(0.75)}}, {180, -90, vec{0, -1, 0}}} {
		if got, want := of(direction(c.pan, c.tilt)), c.aim.unit(); got.minus(want).size() > 1e-12 {
			t.Errorf("pan %g tilt %g: %v, want %v", c.pan, c.tilt, got, want)
		}
	}
	const header = "name,kind,x,y,z,aim x,aim y,aim z,pan,tilt,rotate,intensity,width,height"
	lying := newScene(t, row(header, "a,panel,0,0,1,0,0,0,,,,500,2,0.2"), Options{})
	turned := newScene(t, row(header, "a,panel,0,0,1,,,,0,0,90,500,0.2,2"), Options{})
	for _, at := range []r3.Vec{{X: 0.8}, {Y: 0.8}, {X: -0.5, Y: 0.3}} {
		near(t, "rotate", turned.At(at, toCamera).Level, lying.At(at, toCamera).Level, 1e-9)
	}
}

// Stand heights count from the floor.
func TestStandHeight(t *testing.T) {
	floor := -0.8
	s := newScene(t, row("name,kind,x,stand height,z,intensity", "a,point,0,2.3,2,500"), Options{FloorY: &floor})
	near(t, "y", s.Fixtures[0].At.Y, 1.5, 1e-12)
	s = newScene(t, row("name,kind,x,stand height,z,intensity", "a,point,0,2.3,2,500"), Options{})
	if near(t, "y", s.Fixtures[0].At.Y, 2.3, 1e-12); len(s.Inferred) == 0 {
		t.Error("the floor is assumed without a word")
	}
}

// Places of a surface: EN 12464-1 spacing at most, borders included, and the
// cells of a blank sheet where a grid is given.
func TestPlaces(t *testing.T) {
	xs, ys, err := Surface{Extent: *box(4.8, 2.4)}.Places()
	if err != nil {
		t.Fatal(err)
	}
	p := evenness.AdvisedSpacing(4.8, 2.4)
	if xs[0] != 0 || xs[len(xs)-1] != 4.8 || ys[0] != 0 || ys[len(ys)-1] != 2.4 || xs[1] > p || ys[1] > p {
		t.Errorf("%v %v, spacing %v", xs, ys, p)
	}
	xs, ys, _ = Surface{Extent: *box(4.5, 2), Columns: 9, Rows: 5, Cells: true}.Places()
	if len(xs) != 9 || len(ys) != 5 || xs[0] != 0.25 || ys[4] != 1.8 {
		t.Errorf("%v %v", xs, ys)
	}
	// The borders of the part in shot are among them.
	xs, ys, _ = Surface{Extent: *box(4.8, 2.4), Area: &spatial.Box{X0: 0.6, Y0: 0.3, X1: 4.2, Y1: 2.4}}.Places()
	for _, want := range []float64{0, 0.6, 4.2, 4.8} {
		if !slices.Contains(xs, want) {
			t.Errorf("%v has no %g", xs, want)
		}
	}
	if !slices.Contains(ys, 0.3) || ys[len(ys)-1] != 2.4 {
		t.Errorf("%v", ys)
	}
	for i := 1; i < len(xs); i++ {
		if d := xs[i] - xs[i-1]; d > p*(1+1e-9) || d <= 0 {
			t.Errorf("a step of %g, at most %g advised", d, p)
		}
	}
	for _, bad := range []Surface{{}, {Extent: *box(1, 1), Columns: 3000, Rows: 3000}, {Extent: *box(1, 1), Columns: -1}} {
		if _, _, err := bad.Places(); err == nil {
			t.Errorf("%+v: no error", bad)
		}
	}
}

// What a solver makes small is what the analysis then says of the surface.
func TestObjectiveIsTheAnalysis(t *testing.T) {
	s := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam", "a,point,-1,1,2,2,1,0,9000,60"), Options{Surface: box(4, 2)})
	for _, area := range []*spatial.Box{nil, {X0: 0.55, Y0: 0.4, X1: 3.1, Y1: 1.7}} {
		on := Surface{Extent: *box(4, 2), Area: area}
		is, err := s.Survey(on)
		if err != nil {
			t.Fatal(err)
		}
		r, err := evenness.Analyze(is)
		if err != nil {
			t.Fatal(err)
		}
		e := r.Evenness
		if area != nil {
			e = *r.Area
		}
		o, err := newObjective(s, on, 0)
		if err != nil {
			t.Fatal(err)
		}
		stops, mean := o.spread(s)
		near(t, "spread", stops, e.SpreadStops, 1e-9)
		near(t, "mean", mean, e.Mean, 1e-9)
	}
}
