package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A sheet's cells are the same whether they were filled before or when they are
// asked for, and in whatever order: levels agree to the last bit.
func TestCellsFilledWhenAskedFor(t *testing.T) {
	table := row("name,kind,x,y,z,aim x,aim y,aim z,flux,beam,width,height,behind,transmission,undiffused,lobe m,reflectance",
		"key,point,2,3,4.5,2,2,3,9000,60,,,,,,,", "silk,frame,2,2.4,3,2,1,0,,,1.2,1.2,key,45,10,1.5,",
		"side,point,3.5,1,2.5,1.5,1,1.5,4000,60,,,,,,,", "board,bounce,1.5,1,1.5,2,1.2,1.8,,,1,1,side,,,,85", "flag,flag,2.5,1.8,2.4,2,1.5,1,,,0.6,0.6,,,,,")
	lazy, full := newScene(t, table, Options{Surface: box(4, 2)}), newScene(t, table, Options{Surface: box(4, 2)})
	filled, cells := 0, 0
	for i := range full.Fixtures {
		for _, s := range full.Fixtures[i].sheets {
			for level := range deepest {
				for range s.all(level) {
					filled++
				}
			}
		}
	}
	on := Surface{Extent: *box(4, 2), Columns: 9, Rows: 5}
	a, err := lazy.Survey(on)
	if err != nil {
		t.Fatal(err)
	}
	b, err := full.Survey(on)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Len() {
		if math.Float64bits(a.Level[i]) != math.Float64bits(b.Level[i]) {
			t.Errorf("place %d: %v where cells are filled when asked for, %v where all are", i, a.Level[i], b.Level[i])
		}
	}
	mark := Mark{X: 2.2, Y: 1.3, Z: 1.6}
	if x, y := lazy.Mark(mark).Level, full.Mark(mark).Level; math.Float64bits(x) != math.Float64bits(y) || !(x > 0) {
		t.Errorf("mark: %v where cells are filled when asked for, %v where all are", x, y)
	}
	for i := range lazy.Fixtures {
		for _, s := range lazy.Fixtures[i].sheets {
			for level := range s.levels {
				for k := range s.levels[level].cells {
					if s.levels[level].cells[k].Load() != nil {
						cells++
					}
				}
			}
		}
	}
	if cells == 0 || cells > filled/4 {
		t.Errorf("%d of %d cells were filled, expected a quarter at most", cells, filled)
	}
}

// A sheet of many cells, lit unevenly and in hard shadows, looks from anywhere as it does
// by each of its cells, with and without a net before it, within the thousandth or two
// that four elements are good for.
func TestSummedCells(t *testing.T) {
	s := newScene(t, row(flagHeader, "a,point,0.2,0.1,2.15,0,0,2,9000,90,,,,,", "f,frame,0,0,2,0.3,-0.2,0,,,1.2,0.9,a,42,1",
		"b,point,-0.6,0.9,4,0,0,2,9000,90,,,,,", "g,frame,0.1,0,1.8,0,0,0,,,1.5,1.5,b,50,3", "k,flag,0,0.3,2.4,0,0,0,,,0.3,0.4,,,", "l,net,0.2,-0.4,0.9,0,0,0,,,0.6,0.8,,40,"), Options{})
	r := rand.New(rand.NewPCG(17, 2))
	for _, i := range []int{1, 3} {
		summed := s.Fixtures[i].sheets[0]
		if len(summed.sums) == 0 {
			t.Fatalf("%d × %d cells, expected many", summed.nx, summed.ny)
		}
		cells, g := *summed, *summed.grid
		g.sums, cells.grid = nil, &g
		worst := 0.0
		for range 60 {
			at := r3.Vec{X: random(r, -2, 2), Y: random(r, -2, 2), Z: random(r, -3, 1.5)}
			normal := r3.Unit(r3.Vec{X: random(r, -0.7, 0.7), Y: random(r, -0.7, 0.7), Z: 1})
			for _, flags := range [][]*occluder{nil, {newOccluder(5, s.Fixtures[5].pose, 0.6, 0.8, 0.4, 1)}} {
				shade := sight{cones: cones(flags, at)}
				if a, b := summed.illuminance(at, normal, shade), cells.illuminance(at, normal, shade); b > 0 {
					worst = math.Max(worst, math.Abs(a/b-1))
				}
			}
		}
		if t.Logf("%d × %d cells: off by %.2g", cells.nx, cells.ny, worst); worst > 1.5e-3 {
			t.Errorf("“%s”: off by %.2g of the light", s.Fixtures[i].Name, worst)
		}
	}
}
