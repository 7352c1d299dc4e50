package server

import (
	"bufio"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

// TestDeepEdit: a path of thousands of levels, and edits that together would read gigabytes, are
// refused at once, and nobody waits meanwhile.
func TestDeepEdit(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	deep := strings.TrimSuffix(strings.Repeat("a.", 2000), ".")
	less := strings.TrimSuffix(strings.Repeat("a.", 400), ".")
	long := small + strings.Repeat("# a long remark that makes the text long\n", 25_000) // 1 MiB
	for name, x := range map[string]struct {
		status int
		edits  []Edit
	}{
		"2,000 levels":  {400, []Edit{{Set: deep, Value: "1"}}},
		"400 levels":    {422, []Edit{{Set: less, Value: "1"}}},
		"append to 400": {422, []Edit{{Append: less, Value: "1"}}},
		"a deep value": {422, []Edit{{Set: "shoot.title", Value: strings.Repeat("[", 100_000)},
			{Set: less, Value: "1"}}},
		"a thousand for long": {413, nil},
	} {
		st := c.state()
		if x.edits == nil {
			st = c.retype(long)
			for range 1000 {
				x.edits = append(x.edits, Edit{Set: "shoot.title", Value: "x"})
			}
		}
		began := time.Now()
		done := make(chan Problem, 1)
		go func() {
			done <- ask[Problem](c, x.status, "POST", "/api/edit",
				Change{Revision: st.Revision, Name: "x", Edits: x.edits})
		}()
		c.state()
		if d := time.Since(began); d > time.Second { // a read beside it: milliseconds, but this machine may be busy
			t.Errorf("%s: the state took %v meanwhile", name, d)
		}
		p := <-done
		if d := time.Since(began); d > 3*time.Second || p.Error == "" || p.Code == "" {
			t.Errorf("%s: after %v: %+v", name, d, p)
		}
	}
}

// TestSlowBody: a body that does not come is cut, whether the route takes one or not.
func TestSlowBody(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	c.s.bodyTime = 300 * time.Millisecond
	var all sync.WaitGroup
	for _, line := range []string{"POST /api/edit", "PUT /api/text", "GET /api/state", "POST /api/none", "GET /"} {
		all.Go(func() {
			conn, err := net.Dial("tcp", c.s.Address)
			if err != nil {
				t.Error(err)
				return
			}
			defer conn.Close()
			fmt.Fprintf(conn,
				"%s HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{", line,
				c.s.Address)
			began := time.Now()
			_ = conn.SetReadDeadline(began.Add(5 * time.Second))
			if _, err := io.Copy(io.Discard, bufio.NewReader(conn)); err != nil &&
				strings.Contains(err.Error(), "timeout") {
				t.Errorf("%s: the connection is still open after %v", line, time.Since(began))
			}
		})
	}
	all.Wait()
	// A body that comes in time leaves the connection as it was for what takes longer.
	st := c.state()
	st = c.edit("date", "", Edit{Set: "shoot.date", Value: "2026-03-14"})
	time.Sleep(400 * time.Millisecond)
	if again := c.state(); again.Revision != st.Revision {
		t.Error(again)
	}
}

// TestCompressed: JSON and the page go out compressed for who takes it, the same bytes otherwise;
// what is there already is not sent again.
func TestCompressed(t *testing.T) {
	c := start(t, Options{})
	for path, tag := range map[string]bool{"/api/form": true, "/api/kit": true, "/api/setup/0": false,
		"/api/tree": false} {
		plain, b := c.do("GET", path, nil, "Accept-Encoding", "identity")
		res, z := c.do("GET", path, nil, "Accept-Encoding", "br, gzip;q=0.8")
		if res.Header.Get("Content-Encoding") != "gzip" || res.Header.Get("Vary") != "Accept-Encoding" ||
			plain.Header.Get("Content-Encoding") != "" {
			t.Fatalf("%s: %v, %v", path, res.Header, plain.Header)
		}
		in, err := gzip.NewReader(strings.NewReader(string(z)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(in)
		if err != nil || len(z) > len(b)/2 {
			t.Errorf("%s: %v; %d bytes of %d", path, err, len(z), len(b))
		}
		if tag {
			if string(got) != string(b) {
				t.Errorf("%s: compressed says another thing", path)
			}
			e := res.Header.Get("ETag")
			if again, none := c.do("GET", path, nil, "If-None-Match", e); again.StatusCode != 304 || len(none) > 0 ||
				e == "" || e != plain.Header.Get("ETag") {
				t.Errorf("%s: %q again: %d", path, e, again.StatusCode)
			}
		}
	}
	if res, _ := c.do("GET", "/api/form", nil, "Accept-Encoding",
		"gzip;q=0"); res.Header.Get("Content-Encoding") != "" {
		t.Error("compressed for who does not want it")
	}
	if res, _ := c.do("GET", "/", nil); res.Header.Get("ETag") == "" {
		t.Error("the page has no tag")
	}
}

// TestManyFrames: fifty readers of the picture, each of another width, all get one, also where the
// picture of the last change does not come: then that of an earlier one.
func TestManyFrames(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	ask := func(readers int) {
		t.Helper()
		var all sync.WaitGroup
		for i := range readers {
			all.Go(func() {
				res, err := http.Get(fmt.Sprintf("http://%s/api/setup/0/frame.png?w=%d", c.s.Address, 60+i))
				if err != nil {
					t.Error(err)
					return
				}
				defer res.Body.Close()
				if b, err := io.ReadAll(res.Body); res.StatusCode != 200 || err != nil {
					t.Errorf("reader %d: %d %s %v", i, res.StatusCode, b, err)
				}
			})
		}
		all.Wait()
	}
	ask(50)
	// Something more urgent keeps the machine busy for longer than a new picture is waited for.
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	c.s.engine.queue.put(&task{key: "busy", rank: -1, keep: true,
		run: func(context.Context) bool { <-ctx.Done(); return false }})
	c.edit("move", "", Edit{Set: "setups[0].lights[0].at", Value: "[1.2, 2.5]"})
	ask(4)
}

// TestFaultInHelper: a fault beside the answering of requests is told, and the server lives on.
func TestFaultInHelper(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	in := c.events()
	told := c.s.book.changed
	c.s.book.mu.Lock()
	n := 0
	c.s.book.changed = func() {
		if n++; n == 1 {
			panic("by the test")
		}
		told()
	}
	c.s.book.mu.Unlock()
	c.edit("date", "", Edit{Set: "shoot.date", Value: "2026-03-14"})
	e := await(t, in, "the fault is told", func(e Event) bool { return e.Kind == "message" })
	if e.What != "fault" || !strings.Contains(e.Text, "by the test") {
		t.Errorf("%+v", e)
	}
	c.edit("date", "", Edit{Set: "shoot.date", Value: "2026-03-15"})
	until(t, "it is saved all the same", func() bool { return strings.Contains(c.disk(), "03-15") })
}

// TestProblemCodes: every refusal has a code of the closed set, by which pages go.
func TestProblemCodes(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	for _, x := range []struct {
		method, path, body string
		want               ProblemCode
	}{
		{"GET", "/api/none", "", ProblemNotThere},
		{"GET", "/api/setup/9", "", ProblemNotThere},
		{"POST", "/api/edit", "{", ProblemNotUnderstood},
		{"POST", "/api/undo", `{"revision":99}`, ProblemStale},
		{"POST", "/api/undo", `{"revision":1}`, ProblemImpossible},
	} {
		var body any
		if x.body != "" {
			body = x.body
		}
		_, b := c.do(x.method, x.path, body)
		var p Problem
		if json.Unmarshal(b, &p) != nil || p.Code != x.want {
			t.Errorf("%s %s: %s, want %s", x.method, x.path, b, x.want)
		}
	}
}
