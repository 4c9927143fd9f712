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
		return survey.Input{Name: name, Reader: strings.NewReader("# width: 4\n# height: 1\n# repeatability: 0.5 %\n# resolution: 0.001 stop\nlabel,E (lx)\n" + text)}
	}
	r, err := match.Read(match.Files{
		Before: []survey.Input{in("monday.csv", "A1,503.5\nA2,351.1\nA3,303.4\nA4,351.0\n")},
		After:  []survey.Input{in("tuesday.csv", "A1,302.4\nA2,250.3\nA3,252.9\nA4,324.9\n")},
		Lamps:  []survey.Input{in("left.csv", "A1,402.3\nA2,201.7\nA3,101.1\nA4,52.3\n"), in("right.csv", "A1,101.2\nA2,149.4\nA3,202.3\nA4,298.7\n")},
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
	// one_lamp left {402.3 illuminance}
}
