package server

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"
)

// TestFivePages: five pages of one browser, which opens six connections to an
// address for all of them (as the usual ones do for HTTP/1.1), follow each other
// while their pictures grow: each holds one for its events and none for its picture.
func TestFivePages(t *testing.T) {
	c := start(t, Options{})
	browser := &http.Client{Transport: &http.Transport{MaxConnsPerHost: 6}}
	ctx, stop := context.WithTimeout(context.Background(), 60*time.Second)
	defer stop()
	get := func(path string) *http.Response {
		r, _ := http.NewRequestWithContext(ctx, "GET", "http://"+c.s.Address+path, nil)
		res, err := browser.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	heard := make(chan int, 1000)
	for range 5 {
		res := get("/api/events")
		defer res.Body.Close()
		go func() {
			lines := bufio.NewScanner(res.Body)
			lines.Buffer(nil, 1<<20)
			for lines.Scan() {
				if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
					var e Event
					if json.Unmarshal([]byte(data), &e) == nil && e.Kind == "state" {
						heard <- e.Revision
					}
				}
			}
		}()
	}
	picture := func(since int, key string) (LayersHead, int) {
		res := get(fmt.Sprintf("/api/setup/0/layers?w=64&once=1&since=%d&key=%s", since, key))
		defer res.Body.Close()
		b, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		line, rest, _ := bytes.Cut(b, []byte("\n"))
		var h LayersHead
		if err := json.Unmarshal(line, &h); err != nil {
			t.Fatal(err)
		}
		return h, len(rest)
	}
	var h LayersHead
	for page := 0; h.End != "" || h.Samples == 0; page++ {
		var n int
		if h, n = picture(0, ""); h.End == "" && n != h.Bytes {
			t.Fatalf("%d bytes, announced %d", n, h.Bytes)
		}
		if h.End != "" && h.End != "none" {
			t.Fatalf("the picture ended with %q", h.End)
		}
		time.Sleep(20 * time.Millisecond)
	}
	if again, n := picture(h.Pass, h.Key); again.End == "" && again.Pass == h.Pass || again.End == "none" && n != 0 {
		t.Errorf("pass %d came twice, or bytes without a pass", h.Pass)
	}
	st := ask[State](c, 200, "GET", "/api/state", nil)
	b, _ := json.Marshal(Change{Revision: st.Revision,
		Edits: []Edit{{Set: "setups[0].lights[0].at", Value: "[4.1, 1.2]"}}})
	res, err := browser.Post("http://"+c.s.Address+"/api/edit", "application/json", bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	for n := 0; n < 5; {
		select {
		case rev := <-heard:
			if rev > st.Revision {
				n++
			}
		case <-ctx.Done():
			t.Fatalf("%d of five pages heard of the change", n)
		}
	}
	if now, _ := picture(h.Pass, h.Key); now.End != "stale" {
		t.Errorf("after a light moved the old picture's key gives %q, want 'stale'", now.End)
	}
}
