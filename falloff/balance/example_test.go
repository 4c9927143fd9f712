package balance_test

import (
	"context"
	"fmt"
	"strings"

	"evenfall/falloff/balance"
	"evenfall/photometry/survey"
)

// Two lamps from the sides of a wall, read at three places each: the left one is
// the stronger by three.
func ExampleMinSpreadProblem_Solve() {
	left := []float64{1200, 600, 300}
	right := []float64{100, 200, 400}
	got, err := balance.MinSpreadProblem{Maps: [][]float64{left, right}}.Solve(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("left %.0f %%, right %.0f %%: %.2f stop, proved: %v\n", 100*got.Shares[0], 100*got.Shares[1], got.SpreadStops, got.Optimal)
	// Output: left 33 %, right 100 %: 0.32 stop, proved: true
}

// Three places prove no pass: another may be darker.
func ExampleSolve() {
	file := func(name, text string) survey.LampInput {
		return survey.LampInput{Input: survey.Input{Name: name, Reader: strings.NewReader(text)}}
	}
	set, err := survey.ReadLampSet([]survey.LampInput{
		file("left.csv", "# repeatability: 1 %\nx (m),y (m),E (lx)\n0,0,1200\n1,0,600\n2,0,300\n"),
		file("right.csv", "x (m),y (m),E (lx)\n0,0,100\n1,0,200\n2,0,400\n"),
	}, survey.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := balance.Solve(context.Background(), set, balance.Options{StepStops: balance.HalfStep})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, name := range r.Lamps {
		fmt.Printf("%s: %.1f stops\n", name, *r.Trims[name].Stops)
	}
	fmt.Printf("%.2f to %.2f stop: %s\n", r.Before.SpreadStops, r.After.SpreadStops, r.After.Verdict.Evenness)
	// Output:
	// left: -1.5 stops
	// right: 0.0 stops
	// 0.89 to 0.35 stop: unsure
}
