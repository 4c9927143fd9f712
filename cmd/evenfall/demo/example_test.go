package demo_test

import (
	"fmt"

	"evenfall/cmd/evenfall/demo"
)

// The scatter of the readings is seeded: the set-up is the same each time.
func ExampleFiles() {
	once, err := demo.Files()
	again, _ := demo.Files()
	if err != nil || len(once) != len(again) {
		fmt.Println(err)
		return
	}
	same := true
	for i, f := range once {
		same = same && string(f.Content) == string(again[i].Content)
	}
	fmt.Println(same, once[0].Name)
	// Output:
	// true cloth.csv
}
