package plan

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// each calls f for 0 to n−1 on all processors, each of which takes a few at a time.
func each(n, few int, f func(i int)) {
	var taken atomic.Int64
	var group sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), (n+few-1)/few) {
		group.Go(func() {
			for {
				to := int(taken.Add(int64(few)))
				for i := to - few; i < min(to, n); i++ {
					f(i)
				}
				if to >= n {
					return
				}
			}
		})
	}
	group.Wait()
}
