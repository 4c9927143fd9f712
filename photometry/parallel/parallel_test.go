package parallel_test

import (
	"sync/atomic"
	"testing"

	"evenfall/photometry/parallel"
)

// Every one is done once, and a panic reaches who called.
func TestEach(t *testing.T) {
	done := make([]atomic.Int32, 1000)
	parallel.Each(len(done), 7, func(i int) { done[i].Add(1) })
	for i := range done {
		if n := done[i].Load(); n != 1 {
			t.Errorf("%d was done %d times", i, n)
		}
	}
	defer func() {
		if what := recover(); what != "seven" {
			t.Errorf("found the panic %v, expected seven", what)
		}
	}()
	parallel.Each(20, 1, func(i int) {
		if i == 7 {
			panic("seven")
		}
	})
	t.Error("the panic was lost")
}
