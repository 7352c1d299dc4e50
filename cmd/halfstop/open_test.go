package main

import (
	"bytes"
	"context"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

// slow is a writer that another goroutine may read.
type slow struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *slow) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *slow) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// open prints the address, answers there with the page, and ends cleanly.
func TestOpen(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	var out, errs slow
	ended := make(chan int)
	go func() { ended <- execute(ctx, []string{"open", "--no-browser"}, strings.NewReader(""), &out, &errs) }()
	for end := time.Now().Add(10 * time.Second); !strings.Contains(out.String(),
		"\n"); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("no address within ten seconds: %s", errs.String())
		}
	}
	address := strings.TrimSpace(out.String())
	res, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != 200 || !strings.HasPrefix(res.Header.Get("Content-Type"), "text/html") {
		t.Errorf("%s: %s, %s", address, res.Status, res.Header.Get("Content-Type"))
	}
	port := strings.TrimSuffix(strings.TrimPrefix(address, "http://"), "/")
	if code, _, e := cli(t, "", "open", "--no-browser", "--listen", port); code != exitInput ||
		!strings.Contains(e, "another program uses this port") {
		t.Errorf("a port that is taken: exit %d, %s", code, e)
	}
	stop()
	if code := <-ended; code != exitOK || errs.String() != "" {
		t.Errorf("Ctrl-C: exit %d, %s", code, errs.String())
	}
}
