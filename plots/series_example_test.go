package plots_test

import (
	"bytes"
	"fmt"
	"log"
	"strings"

	"evenfall/falloff"
	"evenfall/photometry/survey"
	"evenfall/plots"
)

// A curve of how a light falls, with what it shows in words.
func ExampleDistance() {
	file := "# lamp: small panel\n# repeatability: 2 %\ndistance (m),E (lx)\n1,402\n1.5,177\n2,101\n3,44.2\n5,16.1\n"
	s, err := survey.ReadSeries(survey.Input{Name: "panel.csv", Reader: strings.NewReader(file)}, survey.ReadOptions{})
	if err != nil {
		log.Fatal(err)
	}
	r, err := falloff.FitSeries(s, falloff.Options{MarkM: 2})
	if err != nil {
		log.Fatal(err)
	}
	p := plots.Distance(s, r, plots.SeriesOptions{})
	var out bytes.Buffer
	fmt.Println(p.Title)
	fmt.Println(p.Alt[strings.Index(p.Alt, "The zone"):])
	fmt.Println(p.Write(&out, "svg"), out.Len() > 1000)
	// Output:
	// small panel, level against distance, as read
	// The zone within ±0.33 stop of the mark at 2 m runs from 1.78 to 2.24 m. No reading is farther than 0.01 stop from the fitted law.
	// <nil> true
}
