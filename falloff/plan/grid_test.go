package plan

import (
	"math"
	"testing"
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
