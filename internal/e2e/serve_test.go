package e2e

import (
	"context"
	"testing"
	"time"

	"halfstop/internal/server"
	"halfstop/internal/store"
)

// serveOptions starts a server with these options and the built page, and returns its address.
func serveOptions(t *testing.T, o server.Options) (string, func()) {
	t.Helper()
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	o.Page, o.Version = server.BuiltPage(), "test"
	s, err := server.New(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	stop := func() {
		cancel()
		select {
		case <-done:
		case <-time.After(10 * time.Second):
			t.Error("the server did not stop within ten seconds")
		}
	}
	t.Cleanup(stop)
	return s.Address, stop
}

// serveText starts a shoot of the given text, in memory, and returns its address.
func serveText(t *testing.T, text string) (string, func()) {
	t.Helper()
	return serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml", Src: []byte(text)}, Demo: true})
}
