package plots

import (
	"bytes"
	"strings"
	"testing"

	"evenfall/falloff/plan"
	"evenfall/photometry/evenness"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// testSet is a set with one of each: lamps, a panel, a frame, a bounce, a flag
// and a net; invented.
func testSet(t testing.TB) (*plan.Scene, SetOptions) {
	t.Helper()
	const text = `name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,reflectance
left,point,-1.5,1.8,3,3,1,0,20000,60,,,,,
right,panel,5.4,1.6,2.4,2,1,0,9000,,0.6,0.9,,,
key,point,0.3,2.7,4.2,1.2,2,3,9000,50,,,,,
frame,frame,1.2,2,3,2.4,1,1.2,,,1.2,1.2,key,42,
fill,bounce,4.2,1.2,3.2,2.4,1,1.2,,,1,1.2,frame,,80
flag,flag,0.2,2.2,1.6,0.2,2.2,3,,,0.6,0.9,,,
net,net,4.6,2,1.4,4.6,2,3,,,0.5,0.5,,70,
`
	lamps, err := setup.ReadLamps(strings.NewReader(text), "lamps.csv")
	if err != nil {
		t.Fatal(err)
	}
	surface, area, floor := spatial.Box{X1: 4.8, Y1: 2.4}, spatial.Box{X0: 0.6, Y0: 0.3, X1: 4.2, Y1: 2.2}, -0.4
	s, err := plan.NewScene(lamps, plan.Options{Surface: &surface, FloorY: &floor})
	if err != nil {
		t.Fatal(err)
	}
	return s, SetOptions{Surface: &surface, Area: &area, FloorY: &floor, Marks: []plan.Mark{{Label: "puppet", X: 2.4, Y: 1, Z: 1.2}}}
}

func TestSetPictures(t *testing.T) {
	s, opt := testSet(t)
	samePicture(t, "set-above.png", Set(s, FromAbove, opt))
	samePicture(t, "set-side.png", Set(s, FromTheSide, opt))
}

// A picture of a set describes the position of everything, and is drawn in every
// format, with feet and with nothing but lamps as well.
func TestSetFormats(t *testing.T) {
	s, opt := testSet(t)
	for _, view := range []SetView{FromAbove, FromTheSide} {
		for _, o := range []SetOptions{opt, {Feet: true}, {}} {
			p := Set(s, view, o)
			for _, f := range s.Fixtures {
				if !strings.Contains(p.Alt, f.Name+" ("+string(f.Kind)+") at x ") {
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
	}
	if p := Set(s, FromAbove, opt); !strings.Contains(p.Alt, "Mark puppet at x 2.4, y 1, z 1.2 m") {
		t.Error(p.Alt)
	}
}

// A meter is as long across as up.
func TestSetToScale(t *testing.T) {
	s, opt := testSet(t)
	for _, view := range []SetView{FromAbove, FromTheSide} {
		m := &setPicture{scene: s, view: view, opt: opt}
		m.setExtent()
		m.layOut()
		size := m.data.Size()
		across, up := float64(size.X)/m.box.Width(), float64(size.Y)/m.box.Height()
		if across < up*0.995 || across > up*1.005 {
			t.Errorf("view %d: %.2f pixels a meter across, %.2f up", view, across, up)
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
