package parallel

import (
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
)

func TestFault(t *testing.T) {
	odd := errors.New("odd")
	var done atomic.Int32
	defer func() {
		f, ok := recover().(*Fault)
		if !ok || !errors.Is(f, odd) || !strings.Contains(f.String(), "parallel_test.go") || done.Load() != 7 {
			t.Errorf("%v, %d done", f, done.Load())
		}
	}()
	var outer Group
	outer.Go(func() {
		var g Group
		for i := range 8 {
			g.Go(func() {
				if i == 3 {
					panic(odd)
				}
				done.Add(1)
			})
		}
		g.Wait()
		t.Error("the fault was swallowed")
	})
	outer.Wait()
	t.Error("the fault was swallowed")
}

func ExampleGroup() {
	var sum atomic.Int64
	var g Group
	for i := range 4 {
		g.Go(func() { sum.Add(int64(i)) })
	}
	g.Wait()
	fmt.Println(sum.Load())
	// Output: 6
}
