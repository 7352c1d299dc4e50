package server

import (
	"context"
	"flag"
	"fmt"
	"net/http"
	"os"
	"runtime"
	"runtime/pprof"
	"sync"
	"testing"
	"time"

	"halfstop/yamltext"
)

var (
	dragging = flag.Duration("dragging", 0, "how long TestMemory drags; 0: it is skipped")
	heapTo   = flag.String("heapto", "", "file for the heap's profile at the end of TestMemory")
)

// TestStorm sends edits from four hands at once, as fast as they are answered, while pictures are
// being asked for: the queue holds no more than one task of a kind and setup, the last text gets
// its readings within a few seconds, and nothing is left running.
func TestStorm(t *testing.T) {
	c := start(t, Options{})
	in := c.events()
	ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	await(t, in, "first readings", func(e Event) bool { return e.Kind == "readings" })
	go func() {
		for range in { // read on, that the page is not cut off
		}
	}()
	before := runtime.NumGoroutine()
	ctx, stop := context.WithCancel(context.Background())
	var pages sync.WaitGroup
	for i := range 3 {
		pages.Go(func() {
			r, _ := http.NewRequestWithContext(ctx, "GET",
				"http://"+c.s.Address+fmt.Sprintf("/api/setup/%d/layers?w=200", i), nil)
			if res, err := http.DefaultClient.Do(r); err == nil {
				b := make([]byte, 1<<16)
				for err == nil {
					_, err = res.Body.Read(b)
				}
				res.Body.Close()
			}
		})
	}
	longest := 0
	var hands sync.WaitGroup
	for hand := range 4 {
		hands.Go(func() {
			for i := range 12 {
				m := c.s.book.snapshot()
				_ = c.s.book.change(m.rev, "", "storm", "", func(doc *yamltext.Doc) ([]byte, error) {
					return edited(doc, doc.Source(),
						[]Edit{{Set: fmt.Sprintf("setups[%d].lights[0].at", hand%3),
							Value: fmt.Sprintf("[4.%d, 1.%d]", i, hand+4)}})
				})
				c.s.engine.queue.mu.Lock()
				longest = max(longest, len(c.s.engine.queue.wait))
				c.s.engine.queue.mu.Unlock()
				time.Sleep(2 * time.Millisecond)
			}
		})
	}
	hands.Wait()
	last := c.s.book.snapshot().rev
	h := c.s.engine.setup(0)
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		h.mu.Lock()
		done := h.readings != nil && h.readings.Revision >= last
		h.mu.Unlock()
		if done {
			break
		}
		if time.Now().After(end) {
			t.Fatal("no readings of the last text within twenty seconds")
		}
	}
	if most := 4 * 3; longest > most { // first, better, fine and film of three setups
		t.Errorf("%d tasks waited at once, want %d at most", longest, most)
	}
	stop()
	pages.Wait()
	http.DefaultClient.CloseIdleConnections()
	// what traces, and the connections of this test
	for end := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > before+12; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			pprof.Lookup("goroutine").WriteTo(os.Stderr, 1)
			t.Fatalf("%d goroutines before the storm, %d after it", before, runtime.NumGoroutine())
		}
	}
}

// TestMemory drags a light, a sitter and a camera through the API while a picture is shown, for as
// long as -dragging says, and tells the heap; the second half of the time may add no more than a
// tenth and four megabytes to it: each change adds a step to the history, of five hundred at most.
func TestMemory(t *testing.T) {
	if *dragging == 0 {
		t.Skip("-dragging is not given")
	}
	c := start(t, Options{Memory: 256 << 20})
	in := c.events()
	ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	await(t, in, "first readings", func(e Event) bool { return e.Kind == "readings" })
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go func() {
		for ctx.Err() == nil { // as a page does: a new stream where the old one is stale
			r, _ := http.NewRequestWithContext(ctx, "GET", "http://"+c.s.Address+"/api/setup/0/layers?w=320", nil)
			if res, err := http.DefaultClient.Do(r); err == nil {
				b := make([]byte, 1<<16)
				for err == nil {
					_, err = res.Body.Read(b)
				}
				res.Body.Close()
			}
		}
	}()
	heap := func() float64 {
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc) / (1 << 20)
	}
	var seen []float64
	const parts = 8
	n := 0
	for part := range parts {
		for end := time.Now().Add(*dragging / parts); time.Now().Before(end); n++ {
			e := [3]Edit{{Set: "setups[0].lights[0].at", Value: fmt.Sprintf("[4.%d, 1.05]", n%50+20)},
				{Set: "setups[0].sitter.at", Value: fmt.Sprintf("[2.%d, 2.2]", n%30+20)},
				{Set: "setups[0].camera.at", Value: fmt.Sprintf("[5.%d, 2.6]", n%20+10)}}[n/40%3]
			st := c.edit("move", fmt.Sprintf("drag-%d", n/40), e)
			await(t, in, "readings", func(e Event) bool { return e.Kind == "readings" && e.Revision >= st.Revision })
		}
		seen = append(seen, heap())
		t.Logf("after %v: %d changes, heap %.1f MiB, %d goroutines",
			(*dragging * time.Duration(part+1) / parts).Round(time.Second), n, seen[part], runtime.NumGoroutine())
	}
	if *heapTo != "" {
		f, err := os.Create(*heapTo)
		if err != nil {
			t.Fatal(err)
		}
		pprof.WriteHeapProfile(f)
		f.Close()
	}
	if a, b := seen[parts/2-1], seen[parts-1]; b > 1.1*a+4 {
		t.Errorf("the heap grew from %.1f to %.1f MiB in the second half", a, b)
	}
}
