package plan

import (
	"testing"

	"evenfall/photometry/evenness"
)

// BenchmarkPredict predicts 200 × 100 places with four panels and a frame.
func BenchmarkPredict(b *testing.B) {
	s := newScene(b, row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,CCT",
		"a,panel,-1,2,2,1.5,1,0,5000,,0.6,0.6,,,5600", "b,panel,-1,0.5,2,1.5,1,0,5000,,0.6,0.6,,,5600", "c,panel,5,2,2,2.5,1,0,5000,,0.6,0.6,,,3200", "d,panel,5,0.5,2,2.5,1,0,5000,,0.6,0.6,,,3200",
		"key,point,2,3,4,2,2,3,9000,60,,,,,5600", "f,frame,2,2,3,2,1,0,,,1.2,1.2,key,42,"), Options{Surface: box(4, 2)})
	on := Surface{Extent: *box(4, 2), Columns: 200, Rows: 100}
	b.Run("200x100", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Survey(on); err != nil {
				b.Fatal(err)
			}
		}
	})
	is, err := s.Survey(on)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("analyze", func(b *testing.B) {
		for b.Loop() {
			if _, err := evenness.Analyze(is); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkPolygons evaluates a panel's exact polygon a million times.
func BenchmarkPolygons(b *testing.B) {
	s := newScene(b, row("name,kind,x,y,z,aim x,aim y,aim z,flux,width,height", "a,panel,1,1,2,1.5,1,0,5000,0.6,0.6"), Options{})
	on := Surface{Extent: *box(4, 2), Columns: 1000, Rows: 1000}
	for b.Loop() {
		if _, err := s.Survey(on); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMark builds a scene from its table and predicts one mark near a
// bounce: of a lamp, a frame, a bounce and a flag, and with the frame so close to
// the lamp that it has a hot spot.
func BenchmarkMark(b *testing.B) {
	const header = "name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused,lobe m,reflectance"
	for name, rows := range map[string][]string{
		"frame apart": {"key,point,2,3,4,2,2,3,9000,60,,,,,,,", "silk,frame,2,2.5,3.2,2,1,0,,,1.2,1.2,key,45,10,1.5,",
			"board,bounce,0.5,1,1.5,2,1.4,1.6,,,1,1,silk,,,,85", "flag,flag,2.1,2,2.6,2,1.5,1,,,0.6,0.6,,,,,"},
		"frame close": {"key,point,2,3,3.4,2,2,3,9000,60,,,,,,,", "silk,frame,2,2.9,3.2,2,1,0,,,1.2,1.2,key,45,10,1.5,",
			"board,bounce,1.5,1,1.5,2,1.4,1.6,,,1,1,silk,,,,85", "flag,flag,2.1,2,2.6,2,1.5,1,,,0.6,0.6,,,,,"},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				s := newScene(b, row(header, rows...), Options{Surface: box(4, 2)})
				if m := s.Mark(Mark{X: 2, Y: 1.4, Z: 1.6}); !(m.Level > 0) {
					b.Fatal("no light at the mark")
				}
			}
		})
	}
}

// BenchmarkPenumbra predicts 100 × 50 places with a disc behind a flag.
func BenchmarkPenumbra(b *testing.B) {
	s := newScene(b, row("name,kind,x,y,z,aim x,aim y,aim z,flux,width,height",
		"a,disc,2,1,3,2,1,0,5000,0.8,", "cut,flag,2,1,1.5,2,1,0,,1,1"), Options{Surface: box(4, 2)})
	on := Surface{Extent: *box(4, 2), Columns: 100, Rows: 50}
	for b.Loop() {
		if _, err := s.Survey(on); err != nil {
			b.Fatal(err)
		}
	}
}
