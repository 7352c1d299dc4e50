package parallel_test

import (
	"fmt"
	"sync/atomic"

	"halfstop/parallel"
)

func Example() {
	var g parallel.Group
	var sum atomic.Int64
	for i := range 10 {
		g.Go(func() { sum.Add(int64(i)) })
	}
	g.Wait()
	fmt.Println(sum.Load())
	// Output:
	// 45
}
