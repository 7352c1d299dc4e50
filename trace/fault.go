package trace

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// faults brings a panic of a worker to the goroutine that waits for it: there its caller can catch it, and a fault in one picture need
// not end the program. Check: TestFaultReachesCaller.
type faults struct {
	mu   sync.Mutex
	said string
}

// catch is deferred by each worker.
func (f *faults) catch() {
	if v := recover(); v != nil {
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.said == "" {
			f.said = fmt.Sprintf("%v\n%s", v, debug.Stack())
		}
	}
}

// raise panics where a worker did; call it when all have ended.
func (f *faults) raise() {
	if f.said != "" {
		panic(f.said)
	}
}
