package parallel_test

import (
	"fmt"

	"evenfall/photometry/parallel"
)

func ExampleEach() {
	squares := make([]int, 5)
	parallel.Each(len(squares), 2, func(i int) { squares[i] = i * i })
	fmt.Println(squares)
	// Output: [0 1 4 9 16]
}
