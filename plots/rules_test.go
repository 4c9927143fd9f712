package plots

import (
	"image"
	"image/color"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/plots/canvas"
)

// A text that has a choice crosses no line, and never what is taken.
func TestFreeSpaceKeepsOffLines(t *testing.T) {
	space := &canvas.FreeSpace{Within: canvas.Around(vg.Point{}, 100, 100)}
	space.TakeLine(vg.Point{X: -50, Y: -50}, vg.Point{X: 50, Y: 50})
	space.Take(canvas.Around(vg.Point{X: 40, Y: -40}, 5, 5))
	on, over, free := vg.Point{X: 20, Y: 20}, vg.Point{X: 40, Y: -38}, vg.Point{X: -40, Y: 40}
	half := vg.Point{X: 8, Y: 4}
	for _, test := range []struct {
		choice []vg.Point
		want   vg.Point
		free   bool
	}{
		{[]vg.Point{on, over, free}, free, true},
		{[]vg.Point{over, on}, on, true},
		{[]vg.Point{over}, over, false},
		{[]vg.Point{{X: 99}, on}, on, true}, // partly outside
	} {
		if at, ok := space.Find(half, test.choice...); at != test.want || ok != test.free {
			t.Errorf("of %v it takes %v, %v", test.choice, at, ok)
		}
	}
}

// A line is not broken behind a number.
func TestNumberStaysWithUnit(t *testing.T) {
	s := style(17, false, ink, 0, 0)
	text := "2.00 left, 5.35 out, 2.85 high; tilt 23° down; 100 %; 0.50 stop of 1/4 CTB at 12 lamps"
	for width := vg.Length(120); width < 500; width += 7 {
		lines := wrap(s, text, width)
		if strings.Join(lines, " ") != text {
			t.Fatalf("%q", lines)
		}
		for _, line := range lines {
			if strings.ContainsAny(line[len(line)-1:], "0123456789") {
				t.Errorf("%q ends in a number", line)
			}
		}
	}
}

// changed is the scene as a difference of two days without one of its places.
func changed(leftOut ...photometry.Point) *evenness.Result {
	s, r := scene()
	s.Predicted, r.Suspects = true, nil
	s.Level[at(s, "C4")] = s.Level[at(s, "C5")]
	r.Reference = evenness.Reference{Level: r.Reference.Level, Words: "the day before"}
	r.LeftOut = leftOut
	return r
}

// A place that a difference leaves out is struck, named and told.
func TestLeftOutIsStruck(t *testing.T) {
	place := photometry.Point{Label: "D3", X: 1.33, Y: 0.72}
	with, without := surface(t, changed(place), SurfaceOptions{}), surface(t, changed(), SurfaceOptions{})
	for p, want := range map[*Picture]bool{with: true, without: false} {
		texts := strings.Join(parseSVG(t, render(t, p, "svg")).texts, "\n")
		if strings.Contains(texts, "left out as suspect: D3") != want || strings.Contains(p.Alt, "Left out as suspect: D3.") != want {
			t.Errorf("left out, %v wanted: %s %s", want, texts, p.Alt)
		}
		if !strings.Contains(texts, "highest: ") || !strings.Contains(p.Alt, "Map of the change of light levels") {
			t.Errorf("no word of the change: %s %s", texts, p.Alt)
		}
	}
}

// The frame of a part in shot that reaches beyond the surface stays on the map.
func TestFrameStaysOnMap(t *testing.T) {
	var pictures [2]*image.NRGBA
	for i, far := range []float64{5.2, 60} {
		s, r := scene()
		s.Area = &spatial.Box{X0: 2, Y0: 1, X1: far, Y1: far}
		pictures[i] = decode(t, render(t, surface(t, r, SurfaceOptions{}), "png"))
	}
	if pictures[0].Bounds() != pictures[1].Bounds() {
		t.Fatalf("pictures of %v and %v", pictures[0].Bounds(), pictures[1].Bounds())
	}
	for i, v := range pictures[0].Pix {
		if y := i / pictures[0].Stride; v != pictures[1].Pix[i] && y < 140 { // above the map
			t.Fatalf("a difference in row %d", y)
		}
	}
}

// In black and white what is under has strokes and what is over has none: the share of
// pixels darker than the fill by five steps of L*.
func TestHatchInGray(t *testing.T) {
	share := func(class int) float64 {
		p := NewPicture("class", "", 200, 100, func(c draw.Canvas) {
			box := vg.Rectangle{Max: vg.Point{X: 200, Y: 100}}
			fill(c, box.Path(), classColor(Level, class))
			if class < 0 {
				c.SetColor(faded(ink, 0.55))
				c.SetLineWidth(1.2)
				c.Stroke(hatchBox(box, fullMap.hatch))
			}
		})
		img, dark := decode(t, render(t, p, "png")), 0
		for y := range 100 {
			for x := range 200 {
				if lightness(img.At(x, y)) < lightness(color.Color(classColor(Level, class)))-5 {
					dark++
				}
			}
		}
		return float64(dark) / (200 * 100)
	}
	for class := 1; class <= shades; class++ {
		if over, under := share(class), share(-class); over > 0 || under < 0.08 {
			t.Errorf("class %d: %.3f over and %.3f under are strokes", class, over, under)
		}
	}
}

// A reading without which a law fits is struck.
func TestDistanceSuspectIsStruck(t *testing.T) {
	s, r := fitted(t, frameSheet, falloff.Options{MarkM: 2})
	says := func() bool {
		return strings.Contains(string(render(t, Distance(s, r, SeriesOptions{}), "svg")), "suspect: a law fits the others")
	}
	if says() {
		t.Error("a suspect where there is none")
	}
	r.Points[3].Suspect = true
	if !says() {
		t.Error("no word of the suspect")
	}
}

// A suspect has the level that was read, as the legend has it, also where a drift is
// taken out of all.
func TestSuspectAsRead(t *testing.T) {
	s, r := scene()
	for _, v := range s.Level {
		r.Levels = append(r.Levels, 1.1*v)
	}
	want := photometry.FormatFigure(s.Level[at(s, "C4")]) + "?"
	if texts := parseSVG(t, render(t, surface(t, r, SurfaceOptions{}), "svg")).texts; !slices.Contains(texts, want) {
		t.Errorf("no %s in %q", want, texts)
	}
}
