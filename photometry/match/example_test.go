package match_test

import (
	"fmt"
	"strings"

	"evenfall/photometry/match"
	"evenfall/photometry/survey"
)

// Two lamps, each read alone on the first day; on the second the left one is at
// half.
func ExampleRead() {
	in := func(name, text string) survey.Input {
		return survey.Input{Name: name, Reader: strings.NewReader("# width: 4\n# height: 1\n# repeatability: 0.5 %\nlabel,E (lx)\n" + text)}
	}
	r, err := match.Read(match.Files{
		Before: []survey.Input{in("monday.csv", "A1,500\nA2,350\nA3,300\nA4,350\n")},
		After:  []survey.Input{in("tuesday.csv", "A1,300\nA2,250\nA3,250\nA4,325\n")},
		Lamps:  []survey.Input{in("left.csv", "A1,400\nA2,200\nA3,100\nA4,50\n"), in("right.csv", "A1,100\nA2,150\nA3,200\nA4,300\n")},
	}, match.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f stop, %s\n", r.OffsetStops, r.Verdict.Overall)
	for _, name := range r.LampOrder {
		l := r.Lamps[name]
		fmt.Printf("%s: %.0f %% (%.0f to %.0f)\n", name, *l.Percent, *l.Low, *l.High)
	}
	fmt.Println(r.Steps[0].Code, r.Steps[0].Values["lamp"], r.Steps[0].Values["level"])
	// Output:
	// -0.40 stop, fail
	// left: 50 % (49 to 51)
	// right: 100 % (99 to 101)
	// one_lamp left {400 illuminance}
}
