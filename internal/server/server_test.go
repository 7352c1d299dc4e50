package server

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"halfstop/internal/demo"
	"halfstop/internal/store"
)

var page = fstest.MapFS{"index.html": {Data: []byte("<!doctype html><title>t</title>")},
	"assets/a-1.js": {Data: []byte("1")}}

// client talks to a server under test.
type client struct {
	t    testing.TB
	s    *Server
	stop func()       // fails where the end is not clean
	end  func() error // gives what the end says
}

// start serves a shoot; a nil shoot is the demonstration.
func start(t testing.TB, o Options) *client {
	t.Helper()
	if o.Shoot == nil {
		o.Shoot, o.Demo = &store.Shoot{Name: demo.Name, Src: demo.Shoot()}, true
		o.Files = func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }
	}
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	o.Page = page
	s, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx) }()
	once := false
	end := func() error {
		if once {
			return nil
		}
		once = true
		cancel()
		return <-ended
	}
	stop := func() {
		if err := end(); err != nil {
			t.Errorf("end: %v", err)
		}
	}
	t.Cleanup(stop)
	return &client{t, s, stop, end}
}

func (c *client) do(method, path string, body any, head ...string) (*http.Response, []byte) {
	c.t.Helper()
	var r io.Reader
	if b, ok := body.(string); ok {
		r = strings.NewReader(b)
	} else if body != nil {
		b, err := json.Marshal(body)
		if err != nil {
			c.t.Fatal(err)
		}
		r = bytes.NewReader(b)
	}
	q, err := http.NewRequest(method, "http://"+c.s.Address+path, r)
	if err != nil {
		c.t.Fatal(err)
	}
	if body != nil {
		q.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i+1 < len(head); i += 2 {
		if head[i] == "Host" {
			q.Host = head[i+1]
			continue
		}
		q.Header.Set(head[i], head[i+1])
	}
	res, err := http.DefaultClient.Do(q)
	if err != nil {
		c.t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	return res, b
}

// try asks for the state, or makes a change of the text,
// and gives an error where no whole answer comes.
func (c *client) try(change ...TextChange) (st State, err error) {
	method, path, body := "GET", "/api/state", []byte(nil)
	if len(change) > 0 {
		method, path = "PUT", "/api/text"
		body, _ = json.Marshal(change[0])
	}
	q, err := http.NewRequest(method, "http://"+c.s.Address+path, bytes.NewReader(body))
	if err != nil {
		return st, err
	}
	q.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(q)
	if err != nil {
		return st, err
	}
	defer res.Body.Close()
	if err = json.NewDecoder(res.Body).Decode(&st); err == nil && res.StatusCode != 200 {
		err = fmt.Errorf("status %d", res.StatusCode)
	}
	return st, err
}

// ask does a request and reads the answer, which must have the status.
func ask[T any](c *client, status int, method, path string, body any) T {
	c.t.Helper()
	res, b := c.do(method, path, body)
	if res.StatusCode != status {
		c.t.Fatalf("%s %s: %d %s, want %d", method, path, res.StatusCode, b, status)
	}
	var v T
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		c.t.Fatalf("%s %s: %v in %.300s", method, path, err, b)
	}
	return v
}

func (c *client) state() State { c.t.Helper(); return ask[State](c, 200, "GET", "/api/state", nil) }

func (c *client) edit(name, merge string, edits ...Edit) State {
	c.t.Helper()
	return ask[State](c, 200, "POST", "/api/edit", Change{Revision: c.state().Revision, Name: name, Merge: merge,
		Edits: edits})
}

// events listens; the channel closes when the server ends.
func (c *client) events() <-chan Event {
	c.t.Helper()
	res, err := http.Get("http://" + c.s.Address + "/api/events")
	if err != nil {
		c.t.Fatal(err)
	}
	if t := res.Header.Get("Content-Type"); t != "text/event-stream" {
		c.t.Fatalf("events come as %q", t)
	}
	c.t.Cleanup(func() { res.Body.Close() })
	out := make(chan Event, 1000)
	in := bufio.NewScanner(res.Body)
	in.Buffer(nil, 1<<24) // readings of many layers are long lines
	ready := make(chan bool)
	go func() {
		defer close(out)
		first := true
		for in.Scan() {
			if d, ok := strings.CutPrefix(in.Text(), "data: "); ok {
				var e Event
				if json.Unmarshal([]byte(d), &e) == nil {
					out <- e
				}
				if first {
					close(ready)
					first = false
				}
			}
		}
	}()
	<-ready
	return out
}

func await(t testing.TB, in <-chan Event, what string, ok func(Event) bool) Event {
	t.Helper()
	limit := time.After(30 * time.Second)
	for {
		select {
		case e, open := <-in:
			if !open {
				t.Fatalf("events ended before: %s", what)
			}
			if ok(e) {
				return e
			}
		case <-limit:
			t.Fatalf("no event in 30 s: %s", what)
		}
	}
}

// small is a laboratory shoot that renders at once.
const small = `halfstop: 1
shoot: {title: Bench}   # a remark that must stay
room: {size: [4, 5, 2.7]}
setups:
  - name: One
    camera: {at: [1, 1, 1.5], aim: [2, 4, 1.2], aperture: f/4}
    lights:
      - {role: key, head: battery head 500, modifier: softbox 60x90, at: [1.5, 2.5], height: 2 m, aim: [2, 4, 1.2], power: 1/8}
    points:
      - {name: bench, at: [2, 4, 1.2], facing: y-}
    look:
      - {point: bench, reads: f/4}
`

func onDisk(t *testing.T, text string) *store.Shoot {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shoot.yaml")
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := store.Read(path, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func (c *client) disk() string {
	c.t.Helper()
	b, err := os.ReadFile(c.s.book.file.Path)
	if err != nil {
		c.t.Fatal(err)
	}
	return string(b)
}

// until asks again for ten seconds.
func until(t testing.TB, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(10 * time.Millisecond) {
		if ok() {
			return
		}
	}
	t.Fatalf("not within ten seconds: %s", what)
}

func TestDemonstration(t *testing.T) {
	c := start(t, Options{})
	st := c.state()
	if !st.Demo || st.Saved || st.Draft || len(st.Setups) != 3 || st.Setups[0].Name != "Aisle" || st.Undo != "" ||
		len(st.Messages) != 0 {
		t.Errorf("state %+v", st)
	}
	for i := range st.Setups {
		v := ask[SetupView](c, 200, "GET", fmt.Sprintf("/api/setup/%d", i), nil)
		if !v.Built || v.Camera == nil || v.Sitter == nil || len(v.Lights) < 3 || len(v.Points) < 9 ||
			len(v.Look) < 3 || len(v.Room.Outline) != 4 {
			t.Errorf("setup %d: %+v", i, v)
		}
		for _, l := range v.Lights {
			if !l.House && (len(l.Dial) < 2 || l.At == nil || l.Aim == nil || l.SettingPath == "" || l.Layer < 0) {
				t.Errorf("%s: %+v", l.Name, l)
			}
			if l.House && l.Fixed == "" {
				t.Errorf("%s belongs to the house and does not say why it is fixed", l.Name)
			}
		}
	}
	k := ask[KitView](c, 200, "GET", "/api/kit", nil)
	if len(k.Heads) < 3 || len(k.Modifiers) < 3 || len(k.Gels) < 3 {
		t.Errorf("kit %d heads, %d modifiers, %d gels", len(k.Heads), len(k.Modifiers), len(k.Gels))
	}
}

func TestReadings(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	r := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?word=fine", nil)
	if r.Word != "fine" || len(r.Readings.Points) != 1 || len(r.Units) != 1 {
		t.Fatalf("%+v", r)
	}
	// The parts weigh up to the reading, as the contract says.
	v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	h := 0.0
	for l, x := range r.Units[0].Incident {
		h += x[1] * v.Lights[l].K * 1 // flash at a shutter below sync
	}
	p := r.Readings.Points[0]
	if n := h * v.Camera.ISO.Value / r.Units[0].Constant; !near(n, p.FNumber*p.FNumber, 1e-5) {
		t.Errorf("the parts give N² = %g, the reading is f/%g", n, p.FNumber)
	}
	// A stop more power is a stop more light: weighed anew, not traced.
	c.edit("power", "", Edit{Set: v.Lights[0].SettingPath, Value: "1/4"})
	r2 := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?wait=1", nil)
	if r2.Word != "fine" || !near(r2.Readings.Points[0].LuxSeconds, 2*p.LuxSeconds, 1e-6) {
		t.Errorf("twice the power: %g lx·s (%s), before %g", r2.Readings.Points[0].LuxSeconds, r2.Word, p.LuxSeconds)
	}
	if len(r2.Look) != 1 || r2.Look[0].Wants[0].Predicted == nil ||
		!near(*r2.Look[0].Wants[0].Predicted, r2.Readings.Points[0].FNumber, 1e-9) {
		t.Errorf("look %+v", r2.Look)
	}
}

func near(a, b, share float64) bool { return a-b <= share*b && b-a <= share*b }

func TestMovedLightAlone(t *testing.T) {
	// What a drag gets at first must be what a full measurement gives, within the error of both.
	c := start(t, Options{})
	ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?wait=1", nil)
	c.edit("move", "d", Edit{Set: "setups[0].lights[0].at", Value: "[4.5, 1.2]"})
	r := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?wait=1", nil)
	m := c.s.book.snapshot()
	s, _ := c.s.engine.current(m, c.s.engine.setup(0))
	full, err := timed(context.Background(), s, workOf(0.03), time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	want := readingsOf(m, 0, s, full, "fine", 0.03)
	for i, p := range r.Readings.Points {
		w := want.Readings.Points[i]
		// Five of both errors (0.1 st asked, in a drag capped by time) and
		// the shadow that the moved body throws on other lights.
		if d := stopsBetween(p.FNumber, w.FNumber); d > 5*(p.Error+w.Error)+0.1 {
			t.Errorf("%s: first f/%.2f, traced whole f/%.2f: %.2f st", p.Name, p.FNumber, w.FNumber, d)
		}
	}
}
