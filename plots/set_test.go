package plots

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff/plan"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// testSet is a set with one of each: lamps, a panel, a frame, a bounce, a flag
// and a net; invented.
func testSet(t testing.TB) (*plan.Scene, SetOptions) {
	t.Helper()
	const text = `name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,reflectance,dimmer,gel
left,point,-1.5,1.8,3,3,1,0,20000,60,,,,,,80,
right,panel,5.4,1.6,2.4,2,1,0,9000,,0.6,0.9,,,,,
key,point,0.3,2.7,4.2,1.2,2,3,9000,50,,,,,,100,quarter blue
frame,frame,1.2,2,3,2.4,1,1.2,,,1.2,1.2,key,42,,,
fill,bounce,4.2,1.2,3.2,2.4,1,1.2,,,1,1.2,frame,,80,,
flag,flag,0.2,2.2,1.6,0.2,2.2,3,,,0.6,0.9,,,,,
net,net,4.6,2,1.4,4.6,2,3,,,0.5,0.5,,70,,,
`
	surface, area, floor := spatial.Box{X1: 4.8, Y1: 2.4}, spatial.Box{X0: 0.6, Y0: 0.3, X1: 4.2, Y1: 2.2}, -0.4
	return setOf(t, text, plan.Options{Surface: &surface, FloorY: &floor}), SetOptions{Surface: &surface, Area: &area, FloorY: &floor, Marks: []plan.Mark{{Label: "puppet", X: 2.4, Y: 1, Z: 1.2}}}
}

// setOf is the set of a table of lamps.
func setOf(t testing.TB, table string, o plan.Options) *plan.Scene {
	t.Helper()
	lamps, err := setup.ReadLamps(strings.NewReader(table), "lamps.csv")
	if err != nil {
		t.Fatal(err)
	}
	s, err := plan.NewScene(lamps, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSetPictures(t *testing.T) {
	s, opt := testSet(t)
	samePicture(t, "set.png", Set(s, opt))
	opt.Narrow = true
	samePicture(t, "set-narrow.png", Set(s, opt))
}

// As many lamps as a table may have are drawn too, though their names have no room, in a
// picture that can still be looked at; a name as long as a book takes some lines of its
// list.
func TestSetOfManyLamps(t *testing.T) {
	var table strings.Builder
	table.WriteString("name,kind,x,y,z,flux\n")
	for i := range schema.MostRows(schema.LampsFile) {
		name := fmt.Sprintf("lamp %d", i)
		if i%2 == 0 && i < 20 {
			name += strings.Repeat(" and so on", 50*i)
		}
		fmt.Fprintf(&table, "%s,point,%g,%g,4,9000\n", name, 0.1*float64(i%40), 0.1*float64(i/40))
	}
	s := setOf(t, table.String(), plan.Options{})
	p := Set(s, SetOptions{})
	if !strings.Contains(p.Alt, "lamp 999 (point): ") {
		t.Errorf("the text does not mention the last lamp: %.300s", p.Alt)
	}
	if p.Height > 8*p.Width {
		t.Errorf("the picture is %d pixels high", p.Height)
	}
	var svg bytes.Buffer
	if err := p.Write(&svg, "svg"); err != nil {
		t.Fatal(err)
	}
	if text := svg.String(); !strings.Contains(text, "lamp 19 (point): ") || !strings.Contains(text, " more, which the table of lamps has") {
		t.Error("the list under the picture goes from a long name no further, or does not say that it ends")
	}
}

// Lamps that stand free are named beside their numbers, however many before them stand in
// a crowd where names have no room.
func TestLampsBesideACrowdAreNamed(t *testing.T) {
	var table strings.Builder
	table.WriteString("name,kind,x,y,z,flux\n")
	for i := range 45 {
		fmt.Fprintf(&table, "lamp %d,point,%g,1,4,9000\n", i, 0.05*float64(i))
	}
	for i := range 5 {
		fmt.Fprintf(&table, "free %d,point,%g,2,%g,9000\n", i, 4+0.9*float64(i), 1+0.5*float64(i))
	}
	s := setOf(t, table.String(), plan.Options{})
	var svg bytes.Buffer
	if err := Set(s, SetOptions{}).Write(&svg, "svg"); err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		if label := fmt.Sprintf(">free %d<", i); !strings.Contains(svg.String(), label) {
			t.Errorf("%s is not in the plan", label)
		}
	}
}

// What stands over the lamps of an elevation does not overlap, however many there are.
func TestColumnsOverLampsStandApart(t *testing.T) {
	for _, opt := range []SetOptions{{}, {Narrow: true}} {
		for n := 2; n < 40; n++ {
			var table strings.Builder
			table.WriteString("name,kind,x,y,z,flux\n")
			for i := range n {
				fmt.Fprintf(&table, "lamp %d,point,%g,1,4,9000\n", i, 0.1*float64(i))
			}
			s := setOf(t, table.String(), plan.Options{})
			m := &setPicture{scene: s, rows: s.Rows(), placed: s.Describe(nil), opt: opt, look: either(opt.Narrow, narrowSet, fullSet)}
			m.number()
			m.setExtent()
			m.layOut()
			for _, l := range m.columns {
				for _, text := range l.lines {
					if textWidth(style(m.look.label, false, ink, 0, 0), text) > l.width {
						t.Fatalf("narrow %t: of %d lamps %q has %.0f pixels", opt.Narrow, n, text, l.width)
					}
				}
			}
		}
	}
}

// A picture of a set says where everything stands as a person measures it, and is drawn
// in every format, with feet and with nothing but lamps as well.
func TestSetFormats(t *testing.T) {
	s, opt := testSet(t)
	for _, o := range []SetOptions{opt, {Feet: true}, {}, {Narrow: true, Before: s}} {
		p := Set(s, o)
		for _, f := range s.Fixtures {
			if !strings.Contains(p.Alt, f.Name+" ("+string(f.Kind)+"): ") {
				t.Errorf("the text does not mention %s: %s", f.Name, p.Alt)
			}
		}
		for _, format := range Formats {
			var b bytes.Buffer
			if err := p.Write(&b, format); err != nil || b.Len() < 1000 {
				t.Errorf("%s: %d bytes, %v", format, b.Len(), err)
			}
		}
	}
	// By hand: the middle is at x 2.4, the floor at y −0.4. From (−1.5, 1.8, 3) to
	// (3, 1, 0): pan atan(4.5/3), tilt −asin(0.8/5.467).
	for _, want := range []string{
		"1 left (point): 3.90 left, 3.00 out, 2.20 high; aims 0.60 right, 1.40 high; pan 56° right, tilt 8° down; 80 %; no gel.", "level not on file; no gel. 3 key", "100 %; quarter blue.",
		"4 frame (frame): 1.20 left, 3.00 out, 2.40 high;", "lit by key", " flag (flag): 2.20 left", "Mark puppet: center, 1.20 out, 1.40 high.",
	} {
		if p := Set(s, opt); !strings.Contains(p.Alt, want) {
			t.Errorf("%q is missing in %s", want, p.Alt)
		}
	}
	if p := Set(s, SetOptions{Surface: opt.Surface, FloorY: opt.FloorY, Feet: true}); !strings.Contains(p.Alt, "12.80 left, 9.84 out, 7.22 high") {
		t.Errorf("in feet: %s", p.Alt)
	}
}

// A meter is as long across as up in both views, and both have one x.
func TestSetToScale(t *testing.T) {
	s, opt := testSet(t)
	m := &setPicture{scene: s, rows: s.Rows(), placed: s.Describe(nil), opt: opt, look: narrowSet, middle: 2.4, floor: -0.4}
	m.number()
	m.setExtent()
	m.layOut()
	for _, p := range []r3.Vec{{X: 1, Y: 2, Z: 3}, {X: 4, Y: 0.5, Z: 1}} {
		above, front := m.above(p), m.front(p)
		if above.X != front.X {
			t.Errorf("%v lies at %v above and at %v below", p, above.X, front.X)
		}
	}
	a, b := m.above(r3.Vec{}), m.above(r3.Vec{X: 1, Z: 1})
	c, d := m.front(r3.Vec{}), m.front(r3.Vec{X: 1, Y: 1})
	across := float64(b.X - a.X)
	for name, up := range map[string]float64{"out": float64(a.Y - b.Y), "up": float64(d.Y - c.Y)} {
		if math.Abs(across-up) > 1e-9 {
			t.Errorf("%.2f pixels a meter across, %.2f %s", across, up, name)
		}
	}
}

// BenchmarkPredictedMap draws a predicted map of 200 × 100 places, which takes
// longer than predicting it.
func BenchmarkPredictedMap(b *testing.B) {
	s, opt := testSet(b)
	on := plan.Surface{Extent: *opt.Surface, Columns: 200, Rows: 100}
	is, err := s.Survey(on)
	if err != nil {
		b.Fatal(err)
	}
	r, err := evenness.Analyze(is)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("predict", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Survey(on); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("draw", func(b *testing.B) {
		for b.Loop() {
			p, err := Surface(r, SurfaceOptions{})
			if err != nil {
				b.Fatal(err)
			}
			var out bytes.Buffer
			if err := p.Write(&out, "png"); err != nil {
				b.Fatal(err)
			}
		}
	})
}
