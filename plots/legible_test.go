package plots

import (
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"evenfall/photometry/spatial"
	"evenfall/plots/canvas"
)

// An axis has at least two figures, whatever its range and length: one has no scale.
func TestAxisHasScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo, pixels := rapid.Float64Range(-9, -0.01).Draw(t, "lo"), rapid.Float64Range(60, 900).Draw(t, "pixels")
		hi := rapid.Float64Range(0, 9).Draw(t, "hi")
		if ticks := evenTicks(vg.Length(pixels), 60, nil).Ticks(lo, hi); len(ticks) < 2 {
			t.Errorf("%v to %v in %.0f pixels: %v", lo, hi, pixels, ticks)
		}
	})
}

// No figure of a reading is struck out by the edge of the surface or the part in shot.
func TestFiguresOffFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(1, 12).Draw(t, "w"), rapid.Float64Range(1, 5).Draw(t, "h")
		s := lattice(rapid.IntRange(2, 15).Draw(t, "columns"), rapid.IntRange(2, 9).Draw(t, "rows"), w, h, func(x, y float64) float64 { return 500 + 90*x + 40*y })
		c, err := newMapValues(resultOf(s), Level)
		if err != nil {
			t.Fatal(err)
		}
		m := &surfaceMap{mapValues: c, scale: c.scale(), opt: SurfaceOptions{Narrow: rapid.Bool().Draw(t, "narrow")}, look: narrowMap}
		m.high, m.low = c.extremes()
		m.setExtent()
		m.layOut("")
		at := func(x, y float64) vg.Point {
			size := m.data.Size()
			return vg.Point{X: m.data.Min.X + size.X*vg.Length((x-m.box.X0)/m.box.Width()), Y: m.data.Min.Y + size.Y*vg.Length((y-m.box.Y0)/m.box.Height())}
		}
		in := rapid.Float64Range(0.02, 0.3).Draw(t, "in")
		shot := spatial.Box{X0: in * w, Y0: in * h, X1: w - in*w, Y1: h - in*h}
		frame := closedOutline(vg.Rectangle{Min: at(shot.X0, shot.Y0), Max: at(shot.X1, shot.Y1)})
		drawn := canvas.Along(frame...)
		for _, n := range m.placeNumbers(m.data, [][]vg.Point{frame}, nil, nil, nil, nil, func(i int) vg.Point { return at(s.X[i], s.Y[i]) }) {
			half := textWidth(style(n.size, n.bold, ink, 0, 0), n.text) / 2
			if !n.bold && canvas.Overlaps(canvas.Around(n.at, half, vg.Length(0.37*n.size)), drawn) > 0 {
				t.Errorf("%s is on the frame", n.text)
			}
		}
	})
}

// A long entry of a legend is broken into lines, and nothing of it is cut.
func TestLegendIsWhole(t *testing.T) {
	text := "brightest without suspects: x 4.12 m, y 1.14 m, +0.70 stop, 484 lx"
	p := pageLayout{width: narrowWidth, narrow: true, typeSize: 16}
	p.addToRow(text, markerSample(upward))
	var lines []string
	for _, e := range p.legend {
		lines = append(lines, e.text)
		if right := float64(e.at.X + textWidth(p.legendStyle(), e.text)); right > narrowWidth {
			t.Errorf("%q ends at %.0f", e.text, right)
		}
	}
	if got := strings.Join(lines, " "); got != text || len(lines) < 2 {
		t.Errorf("legend: %q", lines)
	}
}

// One place with a name of its own does not take the names of rows and columns away.
func TestNamesOfMostPlaces(t *testing.T) {
	s := lattice(9, 5, 4.8, 2.4, func(x, y float64) float64 { return 500 })
	s.Label = make([]string, s.Len())
	s.Label[0] = "the seam beside the moon"
	if rows, cols := latticeNames(s, s.Lattice); strings.Join(rows, "") != "EDCBA" || strings.Join(cols, "") != "123456789" {
		t.Errorf("rows %v, columns %v", rows, cols)
	}
	for i := range s.Label {
		s.Label[i] = strings.Repeat("x", i%20+9)
	}
	if rows, cols := latticeNames(s, s.Lattice); rows != nil || cols != nil {
		t.Errorf("of other names: rows %v, columns %v", rows, cols)
	}
}

// The line from a label to what it names passes no other text.
func TestLeaderPassesNoText(t *testing.T) {
	m := &setPicture{look: narrowSet}
	space := &canvas.FreeSpace{Within: canvas.Around(vg.Point{}, 300, 300)}
	for _, p := range []vg.Point{{X: -35}, {X: 35}, {Y: 26}, {Y: -26}, {X: -30, Y: 26}, {X: 30, Y: 26}} {
		space.Take(canvas.Around(p, 12, 8))
	}
	l, free := m.label(space, setLabel{lines: []string{"1.10 left", "4.40 out"}})
	from, to, _ := l.leader()
	for _, part := range canvas.Along(from, to) {
		if !free || space.IsTaken(part) {
			t.Fatalf("label at %v, free %v", l.box, free)
		}
	}
}
