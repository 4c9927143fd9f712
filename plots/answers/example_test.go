package answers_test

import (
	"fmt"

	"evenfall/photometry"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// A finding is a code with values; its sentence is in the reader's units.
func ExampleSentence() {
	found := photometry.Found("read_closer", "spacing", photometry.Length(0.8), "advised", photometry.Length(0.4))
	fmt.Println(answers.Sentence(answers.SI, found))
	fmt.Println(answers.Sentence(document.Words{Feet: true}, found))
	// Output:
	// The readings are up to 0.80 m apart; 0.40 m or less is advised for this size.
	// The readings are up to 2.62 ft apart; 1.31 ft or less is advised for this size.
}
