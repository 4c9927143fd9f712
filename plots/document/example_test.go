package document_test

import (
	"fmt"
	"os"

	"evenfall/photometry"
	"evenfall/plots/document"
)

// One document is laid out for a terminal, where long lines are broken, and as Markdown.
func Example() {
	d := document.New(document.Words{Unit: photometry.FC, Feet: true})
	d.Add(document.Headline{Word: "PASS", Tone: document.Good, Text: "green cloth: spread 0.2 stop"})
	d.Line("brightest", "B3 at "+d.Length(1.2192)+" from the wall, read without the lamps of the audience")
	d.Line("suspect") // without a text no line

	fmt.Print(document.Terminal{Width: 50, Unicode: true}.Text(d))
	fmt.Println("----")
	if err := document.Markdown(os.Stdout, d); err != nil {
		fmt.Println(err)
	}
	// Output:
	// PASS       green cloth: spread 0.2 stop
	// brightest  B3 at 4.00 ft from the wall, read
	//            without the lamps of the audience
	// ----
	// **PASS** green cloth: spread 0.2 stop
	//
	// - **Brightest:** B3 at 4.00 ft from the wall, read without the lamps of the audience
}
