// Package parallel does the same for many independent things on all processors.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls f for 0 to n−1 on all processors, each of which takes a few at a time, and
// returns when all are done. Where f panics, Each does, once the others are done.
func Each(n, few int, f func(i int)) {
	var taken atomic.Int64
	var group sync.WaitGroup
	var panicked atomic.Pointer[any]
	work := func() {
		defer func() {
			if what := recover(); what != nil {
				panicked.CompareAndSwap(nil, &what)
			}
		}()
		for {
			to := int(taken.Add(int64(few)))
			for i := to - few; i < min(to, n); i++ {
				f(i)
			}
			if to >= n {
				return
			}
		}
	}
	for range min(runtime.GOMAXPROCS(0), (n+few-1)/few) {
		group.Go(work)
	}
	group.Wait()
	if what := panicked.Load(); what != nil {
		panic(*what)
	}
}
