// Package parallel runs functions on several goroutines and
// carries a fault of one of them to whoever waits.
//
// A panic in a goroutine ends the whole program, whatever its caller would
// have done. Here it is raised again where the caller waits, so that a
// server can tell of it and live on. It must not know what is computed.
package parallel

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Group is a set of goroutines. The zero value is ready; it must not be copied.
type Group struct {
	wg    sync.WaitGroup
	once  sync.Once
	fault *Fault
}

// Fault is what Wait panics with: the value that a
// goroutine panicked with, and the stack where it did.
type Fault struct {
	Value any
	Stack []byte
}

func (f *Fault) Error() string { return fmt.Sprint(f.Value) }

// Unwrap gives the value where it is an error.
func (f *Fault) Unwrap() error {
	err, _ := f.Value.(error)
	return err
}

// String is the value and the stack where it came from.
func (f *Fault) String() string { return fmt.Sprintf("%v\n%s", f.Value, f.Stack) }

// Go runs f on a goroutine of its own.
func (g *Group) Go(f func()) {
	g.wg.Go(func() {
		defer func() {
			if v := recover(); v != nil {
				fault, ok := v.(*Fault) // of a group within
				if !ok {
					fault = &Fault{v, debug.Stack()}
				}
				g.once.Do(func() { g.fault = fault })
			}
		}()
		f()
	})
}

// Wait waits until all have returned. Where one of them panicked it panics with the first *Fault.
// Check: TestFault.
func (g *Group) Wait() {
	g.wg.Wait()
	if g.fault != nil {
		panic(g.fault)
	}
}
