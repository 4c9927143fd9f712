package plots_test

import (
	"bytes"
	"fmt"
	"image"
	_ "image/png"
	"log"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/plots"
)

// backdrop is a survey of 5 by 3 readings that falls off to camera left.
func backdrop() *survey.Survey {
	s := &survey.Survey{
		Title: "Gray backdrop", Extent: spatial.Box{X1: 3, Y1: 1.8}, Reference: -1, ReadingCount: 15,
		Lattice: &spatial.Lattice{
			Xs: []float64{0.3, 0.9, 1.5, 2.1, 2.7}, Ys: []float64{0.3, 0.9, 1.5},
			Index: []int32{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}, Even: true,
		},
		Level: []float64{560, 610, 660, 700, 720, 600, 655, 710, 750, 770, 580, 635, 690, 730, 745},
	}
	for _, y := range s.Lattice.Ys {
		for _, x := range s.Lattice.Xs {
			s.X, s.Y = append(s.X, x), append(s.Y, y)
		}
	}
	return s
}

func ExampleTerminal() {
	s := backdrop()
	r, err := evenness.Analyze(s)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Print(plots.Terminal(r, plots.TerminalOptions{Width: 60}))
	// Output:
	// 1       2       3       4       5
	// A   -0.2    -0.1     0.0    +0.1    +0.1
	//
	// B   -0.2     0.0    +0.1    +0.2    +0.2^
	//
	// C   -0.3v   -0.1     0.0    +0.1    +0.1
	//   <- camera left           camera right ->
	//   ^ brightest 770 lx   v darkest 560 lx
	//   stops from the mean, 674 lx; within 0.50 stop: -0.27 to
	//   +0.23, 560 to 792 lx
}

func ExampleSurface() {
	s := backdrop()
	r, err := evenness.Analyze(s)
	if err != nil {
		log.Fatal(err)
	}
	p, err := plots.Surface(r, plots.SurfaceOptions{})
	if err != nil {
		log.Fatal(err)
	}
	var out bytes.Buffer
	if err := p.Write(&out, "png"); err != nil {
		log.Fatal(err)
	}
	_, format, err := image.DecodeConfig(&out)
	fmt.Println(p.Title, format, err)
	// Output:
	// Gray backdrop, level, as read png <nil>
}

func ExampleNewPicture() {
	p := plots.NewPicture("A line", "A line from lower left to upper right.", 100, 50, func(c draw.Canvas) {
		c.StrokeLines(draw.LineStyle{Width: 2}, []vg.Point{{X: 10, Y: 10}, {X: 90, Y: 40}})
	})
	p.ID = "line"
	var svg bytes.Buffer
	if err := p.Write(&svg, "svg"); err != nil {
		log.Fatal(err)
	}
	for _, line := range bytes.Split(svg.Bytes(), []byte("\n"))[1:5] {
		fmt.Printf("%s\n", line)
	}
	// Output:
	// <title id="line-title">A line</title>
	// <desc id="line-desc">A line from lower left to upper right.</desc>
	// <rect width="100%" height="100%" fill="#ffffff"/>
	// <path d="M10 40L90 10" fill="none" stroke="#000000" stroke-width="2"/>
}

func ExampleChromaticity() {
	s := backdrop()
	for i := range s.X {
		uv, err := colorimetry.CCT{Kelvin: 5600 - 60*s.X[i], Duv: 0.002}.UV()
		if err != nil {
			log.Fatal(err)
		}
		s.U, s.V = append(s.U, uv.UVPrime().U), append(s.V, uv.UVPrime().V)
	}
	s.DuvRead = true
	r, err := evenness.Analyze(s)
	if err != nil {
		log.Fatal(err)
	}
	p, err := plots.Chromaticity(r, false, false)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(p.Title)
	// Output:
	// Gray backdrop, color in u′, v′, as read
}
