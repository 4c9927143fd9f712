package falloff_test

import (
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/survey"
)

// A lamp read at six distances: where the inverse square starts, how strong the
// light is, and how deep the zone about two meters is.
func ExampleFitDistance() {
	series := []falloff.Reading{
		{DistanceM: 0.5, Level: 2010},
		{DistanceM: 1, Level: 802},
		{DistanceM: 1.5, Level: 398},
		{DistanceM: 2, Level: 236},
		{DistanceM: 3, Level: 107},
		{DistanceM: 5, Level: 39.7},
	}
	d, err := falloff.FitDistance(series, falloff.Options{MarkM: 2, Repeatability: 0.02})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("settled:", d.Settled)
	fmt.Printf("inverse square from %.1f m\n", d.InverseSquareFromM)
	fmt.Printf("%.1f stops lost from 2 to 5 m\n", d.Lost.Stops)
	fmt.Printf("within a third of a stop from %.2f to %.2f m\n", d.Depth.NearM, *d.Depth.FarM)
	fmt.Printf("%.0f cd, source %.1f m across\n", *d.IntensityCD, 2*d.SourceRadiusM)
	// Output:
	// settled: true
	// inverse square from 5.0 m
	// 2.6 stops lost from 2 to 5 m
	// within a third of a stop from 1.77 to 2.26 m
	// 986 cd, source 1.0 m across
}

// Repeats, angles and filters: what a meter's own errors are.
func ExampleCheckMeter() {
	m, err := falloff.CheckMeter(falloff.MeterReadings{
		Repeats: [][]float64{{820, 811, 826, 815, 822, 808}},
		Angles: []falloff.AngleReading{
			{AngleDeg: -75, Level: 240}, {AngleDeg: -60, Level: 480}, {AngleDeg: -30, Level: 860},
			{AngleDeg: 0, Level: 1000}, {AngleDeg: 30, Level: 862}, {AngleDeg: 60, Level: 482}, {AngleDeg: 75, Level: 242},
		},
	}, falloff.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.RepeatabilityNote)
	fmt.Printf("f2 %.1f %% to %.0f°\n", *m.F2Percent, *m.F2ToDeg)
	// Output:
	// # repeatability: 0.84 %
	// f2 1.9 % to 75°
}

// A panel 1.2 m wide seen from a receiver that looks along the wall, so that
// half of the panel is below its horizon.
func ExamplePolygon_Illuminance() {
	panel, err := falloff.Rectangle(r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1.2, 0.8, 1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("facing: %.1f lx\n", panel.Illuminance(r3.Vec{Z: 1}, r3.Vec{Z: -1}))
	fmt.Printf("turned by 90°: %.1f lx\n", panel.Illuminance(r3.Vec{Z: 1}, r3.Vec{X: 1}))
	// Output:
	// facing: 717.5 lx
	// turned by 90°: 97.2 lx
}

// A softbox front 1 m across, on its axis and to the side.
func ExampleDisc_Illuminance() {
	front := falloff.Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.5, Luminance: 1000}
	fmt.Printf("%.1f lx\n", front.Illuminance(r3.Vec{Z: 1}, r3.Vec{Z: -1}))
	fmt.Printf("%.1f lx\n", front.Illuminance(r3.Vec{X: 1, Z: 1}, r3.Vec{Z: -1}))
	// Output:
	// 628.3 lx
	// 207.0 lx
}

// What 1000 lm make at 3 m when they go into a 60° beam.
func ExampleNewBeam() {
	lamp, err := falloff.NewBeam(r3.Vec{}, r3.Vec{Z: 1}, 1000, 60)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f cd, %.1f lx at 3 m\n", lamp.PeakIntensity, lamp.Illuminance(r3.Vec{Z: 3}, r3.Vec{Z: -1}))
	// Output:
	// 926 cd, 102.9 lx at 3 m
}

// A flash head read in f-numbers: where f/11 is, and whether the inverse square
// is settled.
func ExampleFitSeries() {
	file := "# lamp: flash head\n# iso: 100\ndistance (ft),f\n3,22\n5,13\n8,8\n12,5.6\n20,3.2\n30,2.2\n"
	s, err := survey.ReadSeries(survey.Input{Name: "flash.csv", Reader: strings.NewReader(file)}, survey.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	wanted, err := s.ParseLevel("f/11")
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := falloff.FitSeries(s, falloff.Options{WantedLevel: wanted})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Answer.Code)
	fmt.Printf("f/11 at %.1f ft\n", *d.Wanted.DistanceM/0.3048)
	// Output:
	// inverse_square_unsettled
	// f/11 at 5.8 ft
}

// Six readings of one light, as they stand in a notebook.
func ExampleCheckSeries() {
	file := "E (lx)\n820\n811\n826\n815\n822\n808\n"
	s, err := survey.ReadSeries(survey.Input{Name: "again.csv", Reader: strings.NewReader(file)}, survey.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := falloff.CheckSeries(s, falloff.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.RepeatabilityNote, m.Settled)
	// Output:
	// # repeatability: 0.84 % true
}
