package page_test

import (
	"fmt"
	"strings"

	"evenfall/cmd/evenfall/page"
)

// The smallest code has 21 modules a side, with a border of four (ISO/IEC 18004).
func ExampleCodeText() {
	code, err := page.CodeText("http://a:1", false)
	if err != nil {
		fmt.Println(err)
		return
	}
	lines := strings.Split(strings.TrimSpace(code), "\n")
	fmt.Println(len(lines), "lines of", len(lines[0])/2, "modules")
	// Output:
	// 29 lines of 29 modules
}
