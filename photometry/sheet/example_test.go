package sheet_test

import (
	"errors"
	"fmt"
	"strings"

	"evenfall/photometry/sheet"
)

// A title and an average are left out and named; places are words.
func ExampleRead() {
	typed := `Cloth before the show

spot,lux
up left,742
up right,765
low left,655
low right,701
Average,716
`
	tables, err := sheet.Read(strings.NewReader(typed), "cloth.csv", nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	low, high, places, unit := tables[0].Figures()
	fmt.Println(low, "to", high, unit, "at", places, "places")
	fmt.Println(tables[0].Spots)
	fmt.Println("left out:", tables[0].LeftOut)
	// Output:
	// 655 to 765 lx at 4 places
	// [A1 A2 B1 B2]
	// left out: [Cloth before the show Average]
}

// Small numbers may be of several units, by which the spread differs.
func ExampleQuestion() {
	_, err := sheet.Read(strings.NewReader("spot,reading\nA1,8\nA2,9\nB1,8\nB2,8\n"), "cloth.csv", nil)
	var question *sheet.Question
	if !errors.As(err, &question) {
		fmt.Println("understood:", err)
		return
	}
	fmt.Println("about the", question.Code)
	for _, o := range question.Options[:3] {
		fmt.Printf("--level-unit %s: %s\n", o.Answer, o.Gives)
	}
	// Output:
	// about the unit
	// --level-unit EV: 8 to 9 EV, 4 places, spread 1.00 stop
	// --level-unit f: 8 to 9 f, 4 places, spread 0.34 stop
	// --level-unit lx: 8 to 9 lx, 4 places, spread 0.17 stop
}
