package steps_test

import (
	"fmt"
	"strings"

	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/plots/answers"
	"evenfall/plots/steps"
)

// A surface of which nothing else is known is read on before anything is changed.
func Example() {
	sheet := "# surface: cloth\n# width: 3 m\n# height: 2 m\nlabel,E (lx)\nA1,600\nA3,612\nB2,605\n"
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(sheet)}}, survey.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, step := range steps.Make(steps.Inputs{Surface: r}).Steps {
		fmt.Println(answers.Sentence(answers.SI, step.Finding))
	}
	// Output: Read at least 5 places that span both directions: so few do not prove a pass.
}
