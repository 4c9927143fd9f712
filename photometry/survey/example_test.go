package survey_test

import (
	"fmt"
	"strings"

	"evenfall/photometry/survey"
)

// A sheet with labels of a grid and the size of the cloth in its notes is a survey
// with places in meters, from the lower left corner.
func ExampleRead() {
	sheet := `# surface: green cloth
# width: 4.8
# height: 2.4
label,E (lx)
A1,742
A2,765
A3,1105
B1,810
B2,842
B3,116 fc
`
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(sheet)}}, survey.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i := range s.Len() {
		fmt.Printf("%s at %.1f, %.1f m: %.0f %s\n", s.Name(i), s.X[i], s.Y[i], s.Level[i], s.Quantity.Unit())
	}
	// Output:
	// A1 at 0.8, 1.8 m: 742 lx
	// A2 at 2.4, 1.8 m: 765 lx
	// A3 at 4.0, 1.8 m: 1105 lx
	// B1 at 0.8, 0.6 m: 810 lx
	// B2 at 2.4, 0.6 m: 842 lx
	// B3 at 4.0, 0.6 m: 1249 lx
}
