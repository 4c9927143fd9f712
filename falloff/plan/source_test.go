package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/parallel"
	"evenfall/testdata"
)

// Panels and discs of a table against the closed forms of testdata
// (falloff_sources.csv): the table's intensity is L·A.
func TestClosedForms(t *testing.T) {
	n := 0
	for _, f := range testdata.Sources() {
		var text string
		switch f.Shape {
		case "rectangle":
			text = row("name,kind,x,y,z,aim x,aim y,aim z,intensity (cd),width,height",
				fmt.Sprintf("a,panel,0,0,0,0,0,5,%.15g,%.15g,%.15g", f.Luminance*f.WidthM*f.HeightM, f.WidthM, f.HeightM))
		case "disc":
			text = row("name,kind,x,y,z,aim x,aim y,aim z,intensity (cd),width",
				fmt.Sprintf("a,disc,0,0,0,0,0,5,%.15g,%.15g", f.Luminance*math.Pi*f.RadiusM*f.RadiusM, 2*f.RadiusM))
		default:
			continue
		}
		s := newScene(t, text, Options{})
		got := s.At(vec(f.At).r3(), vec(f.Normal).r3()).Level
		near(t, f.Name, got, f.Expected, math.Max(f.RelativeTolerance, 1e-9))
		n++
	}
	if n < 4 {
		t.Errorf("only %d figures", n)
	}
}

// A lamp's level by flux, by intensity and by E at a distance is one lamp.
// cos^m: 60° is 926.0974 cd per klm (checks of falloff, computed twice).
func TestLevels(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,beam,flux,intensity,E (lx),at (m),E (lx) at (m),width,height"
	at, facing := r3.Vec{}, r3.Vec{Z: 1}
	for _, text := range []string{
		"a,point,0,0,2,0,0,0,60,1000,,,,,,",
		"a,point,0,0,2,0,0,0,60,,926.0974,,,,,",
		"a,point,0,0,2,0,0,0,60,,,231.52435,2,,,",
		"a,point,0,0,2,0,0,0,60,,,,,231.52435 at 2,,",
		"a,point,0,0,2,0,0,0,60,,,,,21.509306 fc @ 2 m,,",
		"a,point,0,0,2,0,0,0,60,1000,926.1,231.5,2,,,",
	} {
		s := newScene(t, row(header, text), Options{})
		near(t, text, s.At(at, facing).Level, 926.0974/4, 1e-4)
		near(t, text+" flux", s.Fixtures[0].FluxLM, 1000, 1e-4)
		near(t, text+" beam", s.Fixtures[0].BeamDeg, 60, 1e-9)
	}
	// E is what a meter reads there, also close to a large face.
	for _, text := range []string{
		"a,panel,0,0,0.7,0,0,0,,,,800,0.7,,1.2,0.8", "a,panel,0,0,0.7,0,0,0,50,,,800,0.7,,1.2,0.8",
		"a,disc,0,0,0.7,0,0,0,,,,800,0.7,,1,", "a,disc,0,0,0.7,0,0,0,50,,,800,0.7,,1,1",
	} {
		s := newScene(t, row(header, text), Options{})
		near(t, text, s.At(at, facing).Level, 800, 1e-9)
		// And far away its intensity on the axis.
		near(t, text+" far", 1e4*s.At(r3.Vec{Z: 0.7 - 100}, facing).Level, s.Fixtures[0].IntensityCD, 1e-3)
	}
	// A bare bulb: Φ/4π all around.
	s := newScene(t, row("name,kind,x,y,z,flux", "a,point,0,0,2,1256.637061"), Options{})
	near(t, "bulb", s.At(r3.Vec{Z: 4}, r3.Vec{Z: -1}).Level, 25, 1e-9)
	near(t, "bulb", s.At(r3.Vec{}, r3.Vec{Z: 1}).Level, 25, 1e-9)
}

// Dimmer and scrims leave their share; nominal scrims are half a stop and a
// stop (common practice, no source).
func TestOutput(t *testing.T) {
	for cells, want := range map[string]float64{"50,": 0.5, ",single": math.Sqrt2 / 2, "100,double": 0.5, "80,single + double": 0.8 / math.Pow(2, 1.5), ",1/3 stop": math.Pow(2, -1./3)} {
		s := newScene(t, row("name,kind,x,y,z,intensity,dimmer,scrims", "a,point,0,0,2,400,"+cells), Options{})
		near(t, cells, s.At(r3.Vec{}, r3.Vec{Z: 1}).Level, 100*want, 1e-9)
		near(t, cells, s.Fixtures[0].IntensityCD, 400, 1e-9) // at full
	}
}

// What leaves a lamp arrives on the walls of a closed box: energy.
func TestClosedBox(t *testing.T) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused,lobe m,reflectance"
	for name, c := range map[string]struct {
		rows []string
		flux func(s *Scene) float64
	}{
		"beam":         {[]string{"a,point,2,1.5,2,3,1,0,1000,60,,,,,,,"}, nil},
		"spot":         {[]string{"a,point,2,1.5,2,3,1,0,1000,12,,,,,,,"}, nil},
		"bulb":         {[]string{"a,point,2,1.5,2,,,,1000,,,,,,,,"}, nil},
		"panel":        {[]string{"a,panel,2,1.5,2,3,1,0,1000,,1.2,0.8,,,,,"}, nil},
		"narrow panel": {[]string{"a,panel,2,1.5,2,3,1,0,1000,50,1.2,0.8,,,,,"}, nil},
		"disc":         {[]string{"a,disc,2,1.5,2,3,1,0,1000,,0.9,,,,,,"}, nil},
		"narrow disc":  {[]string{"a,disc,2,1.5,2,3,1,0,1000,40,0.9,,,,,,"}, nil},
		// All of the beam meets the frame, which lets 40 % through.
		"frame": {[]string{"a,point,2,1.5,1.8,2,1.5,0,1000,20,,,,,,,", "f,frame,2,1.5,1.2,2,1.5,0,,,1.5,1.5,a,40,0,1,"}, func(*Scene) float64 { return 400 }},
		"frame with lobes": {[]string{"a,point,2,1.5,1.8,2,1.5,0,1000,20,,,,,,,", "f,frame,2,1.5,1.2,2,1.5,0,,,1.5,1.5,a,40,0,6,"},
			func(*Scene) float64 { return 400 }},
		"half diffused": {[]string{"a,point,2,1.5,1.8,2,1.5,0,1000,20,,,,,,,", "f,frame,2,1.5,1.2,2,1.5,0,,,1.5,1.5,a,40,50,2,"},
			func(*Scene) float64 { return 400 }},
		// What a bounce keeps is lost; the lamp's own light ends on it.
		"bounce": {[]string{"a,point,2,1.5,1.8,2,1.5,0,1000,20,,,,,,,", "b,bounce,2,1.5,1.2,2,1.5,3,,,1.5,1.5,a,,,,80"}, func(*Scene) float64 { return 800 }},
		"flag":   {[]string{"a,point,2,1.5,1.8,2,1.5,0,1000,20,,,,,,,", "b,flag,2,1.5,1.2,2,1.5,3,,,1.5,1.5,,25,,,"}, func(*Scene) float64 { return 250 }},
	} {
		s := newScene(t, row(header, c.rows...), Options{})
		want := 1000.0
		if c.flux != nil {
			want = c.flux(s)
		}
		near(t, name, boxFlux(s, 60), want, 0.005)
	}
}

// boxFlux is what arrives on the walls of a box of 4 × 3 × 3 m, n places a side.
func boxFlux(s *Scene, n int) float64 {
	size := vec{4, 3, 3}
	sums := make([]float64, 6*n)
	parallel.Each(6*n, 1, func(k int) {
		axis, far, i := k/n%3, k/n/3, k%n
		b, c := (axis+1)%3, (axis+2)%3
		for j := range n {
			var p, normal vec
			p[b], p[c] = size[b]*(float64(i)+0.5)/float64(n), size[c]*(float64(j)+0.5)/float64(n)
			normal[axis] = 1
			if far == 1 {
				p[axis], normal[axis] = size[axis], -1
			}
			sums[k] += s.At(p.r3(), normal.r3()).Level * size[b] * size[c] / float64(n*n)
		}
	})
	total := 0.0
	for _, v := range sums {
		total += v
	}
	return total
}

// Panels and discs with lobes against a plain sum of elements.
func TestLobesAgainstElements(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for _, deg := range []float64{30, 60, 90} {
		m := math.Log(0.5) / math.Log(math.Cos(deg/2*math.Pi/180))
		panel := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height", fmt.Sprintf("a,panel,0,0,2,0.3,-0.4,0,1000,%g,1.2,0.8", deg)), Options{})
		elements := board(vec{0, 0, 2}, vec{0.3, -0.4, -2}, vec{0, 1, 0}, 1.2, 0.8, m, 300, func(vec) float64 { return 1000 / 0.96 })
		disc := newScene(t, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width", fmt.Sprintf("a,disc,0,0,2,0.3,-0.4,0,1000,%g,1", deg)), Options{})
		var round []element
		for _, e := range board(vec{0, 0, 2}, vec{0.3, -0.4, -2}, vec{0, 1, 0}, 1, 1, m, 400, func(vec) float64 { return 1 }) {
			if e.at.minus(vec{0, 0, 2}).size() <= 0.5 {
				round = append(round, e)
			}
		}
		for i := range round {
			round[i].peak = 1000 * (m + 1) / (2 * math.Pi) / float64(len(round))
		}
		for range 6 {
			at := vec{random(r, -1, 1), random(r, -1, 1), random(r, 0, 1.3)}
			normal := vec{random(r, -0.5, 0.5), random(r, -0.5, 0.5), 1}.unit()
			near(t, fmt.Sprintf("panel %g° at %v", deg, at), panel.At(at.r3(), normal.r3()).Level, lux(elements, at, normal), 0.005)
			near(t, fmt.Sprintf("disc %g° at %v", deg, at), disc.At(at.r3(), normal.r3()).Level, lux(round, at, normal), 0.005)
		}
	}
}
