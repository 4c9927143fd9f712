package plan

import (
	"testing"

	"evenfall/photometry/survey"
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
			if _, err := survey.Analyze(is); err != nil {
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
