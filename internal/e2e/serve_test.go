package e2e

import (
	"context"
	"sync"
	"testing"
	"time"

	"halfstop/internal/server"
	"halfstop/internal/store"
)

// whole has pictures and readings made as fine as for a person; without it they end early and the
// pictures are small, since these tests are about the page.
var whole bool

// full asks for whole pictures and readings while a test measures or draws screens.
func full(t *testing.T) {
	whole = true
	t.Cleanup(func() { whole = false })
}

// serveOptions starts a server with these options and the built page, and returns its address.
func serveOptions(t *testing.T, o server.Options) (string, func()) {
	t.Helper()
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	o.Page, o.Version = server.BuiltPage(), "test"
	if o.Demo && o.Journals == "" {
		o.Journals = t.TempDir() // several are open at a time
	}
	if !whole {
		o.Samples, o.Fine, o.Side = 4, 0.1, 160
	}
	s, err := server.New(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	var once sync.Once
	stop := func() {
		once.Do(func() {
			cancel()
			select {
			case <-done:
			case <-time.After(10 * time.Second):
				t.Error("the server did not stop within ten seconds")
			}
		})
	}
	t.Cleanup(stop)
	return s.Address, stop
}

// serveText starts a shoot of the given text, in memory, and returns its address.
func serveText(t *testing.T, text string) (string, func()) {
	t.Helper()
	return serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml", Src: []byte(text)}, Demo: true})
}
