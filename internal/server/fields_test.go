package server

import (
	"context"
	"encoding/json"
	"fmt"
	"halfstop/internal/store"
	"io/fs"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"
)

const lampText = `halfstop: 1
setups:
  - name: lamp
    camera: {at: [3, 0, 1], aim: [0, 0, 1], shutter: 1/60 s, iso: 100}
    sitter: {at: [1, 1]}
    lights:
      - {name: lamp, at: [0, 0, 2], emitter: {shape: point, intensity: 1000 cd}}
`

func (c *client) fields(path string) FieldsView {
	c.t.Helper()
	res, b := c.do("GET", path, nil)
	var v FieldsView
	if res.StatusCode != http.StatusOK || json.Unmarshal(b, &v) != nil {
		c.t.Fatalf("%s: %d %s", path, res.StatusCode, b)
	}
	return v
}

// TestFields: a point of 1000 cd gives 1000/d² lx to a meter turned to it, within the hundredth of
// a stop that is sent; the setting does not come in; fields that were there once come back at once.
func TestFields(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, lampText)})
	v := c.fields("/api/setup/0/fields?z=1&meter=turned")
	if v.NX < 5 || v.NY < 5 || len(v.Layers) != 1 || v.Layers[0].Name != "lamp" ||
		len(v.Layers[0].Stops) != v.NX*v.NY || v.Upright || v.At != 1 || v.Constant != 250 {
		t.Fatalf("%d × %d, z %g, constant %g", v.NX, v.NY, v.At, v.Constant)
	}
	for n, s := range v.Layers[0].Stops {
		x, y := v.X+float64(n%v.NX)*v.DX, v.Y+float64(n/v.NX)*v.DY
		// half a hundredth of rounding, 0.2 of the fold's table
		if want := 100 * math.Log2(1000/(x*x+y*y+1)); math.Abs(float64(s)-want) > 1 {
			t.Fatalf("at %.2f, %.2f: %d hundredths of a stop, want %.1f", x, y, s, want)
		}
	}
	// Upright through the lamp's own y, half a metre off.
	up := c.fields("/api/setup/0/fields?y=0.5&meter=turned")
	if !up.Upright || up.At != 0.5 || up.NY < 5 {
		t.Fatalf("upright %v at %g, %d rows", up.Upright, up.At, up.NY)
	}
	for n, s := range up.Layers[0].Stops {
		x, z := up.X+float64(n%up.NX)*up.DX, up.Y+float64(n/up.NX)*up.DY
		if want := 100 * math.Log2(1000/(x*x+0.25+(z-2)*(z-2))); math.Abs(float64(s)-want) > 1 {
			t.Fatalf("upright at %.2f, %.2f: %d hundredths of a stop, want %.1f", x, z, s, want)
		}
	}
	// Half the power: the same light at full.
	res, b := c.do("POST", "/api/edit", `{"revision":1,"edits":[{"set":"setups[0].lights[0].level","value":"50 %"}]}`)
	if res.StatusCode != 200 {
		t.Fatalf("%d %s", res.StatusCode, b)
	}
	began := time.Now()
	w := c.fields("/api/setup/0/fields?z=1&meter=turned")
	if w.Revision != 2 || fmt.Sprint(w.Layers) != fmt.Sprint(v.Layers) {
		t.Error("another power gives another light at full setting")
	}
	t.Logf("kept fields came back after %v", time.Since(began))
	// A moved light gives another.
	if res, b = c.do("POST", "/api/edit",
		`{"revision":2,"edits":[{"set":"setups[0].lights[0].at","value":"[0.5, 0, 2]"}]}`); res.StatusCode != 200 {
		t.Fatalf("%d %s", res.StatusCode, b)
	}
	if w = c.fields("/api/setup/0/fields?z=1&meter=turned"); fmt.Sprint(w.Layers) == fmt.Sprint(v.Layers) {
		t.Error("a moved light leaves the fields as they were")
	}
	for _, bad := range []string{"z=x", "z=-1", "z=NaN", "meter=moon"} {
		if res, _ := c.do("GET", "/api/setup/0/fields?"+bad, nil); res.StatusCode != 400 {
			t.Errorf("%s: %d", bad, res.StatusCode)
		}
	}
}

// TestFieldsGiveWay: readings of a change do not wait for contours,
// and a request that is given up leaves no work behind.
func TestFieldsGiveWay(t *testing.T) {
	c := start(t, Options{})
	c.do("GET", "/api/setup/2/readings?wait=1", nil)
	ctx, giveUp := context.WithCancel(context.Background())
	defer giveUp()
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		r, _ := http.NewRequestWithContext(ctx, "GET", "http://"+c.s.Address+"/api/setup/2/fields?meter=camera", nil)
		if res, err := http.DefaultClient.Do(r); err == nil {
			res.Body.Close()
		}
	}()
	time.Sleep(100 * time.Millisecond)
	st := c.state()
	c.do("POST", "/api/edit",
		fmt.Sprintf(`{"revision":%d,"edits":[{"set":"setups[2].lights[0].at","value":"[6.2, 3.3]"}]}`, st.Revision))
	began := time.Now()
	res, b := c.do("GET", "/api/setup/2/readings?wait=1", nil)
	var v ReadingsView
	if res.StatusCode != 200 || json.Unmarshal(b, &v) != nil || v.Revision != st.Revision+1 {
		t.Fatalf("%d %.200s", res.StatusCode, b)
	}
	t.Logf("readings %v after the change, %0.f ms by the server's clock", time.Since(began), v.Millis)
	giveUp()
	<-gone
	q := c.s.engine.queue
	for end := time.Now().Add(5 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		q.mu.Lock()
		left := q.running != nil && strings.HasPrefix(q.running.key, "fields")
		for k := range q.wait {
			left = left || strings.HasPrefix(k, "fields")
		}
		q.mu.Unlock()
		if !left {
			break
		}
		if time.Now().After(end) {
			t.Fatal("a request given up five seconds ago is still worked on")
		}
	}
}

// TestHours: a setup in whose window the sun stands is looked at at another hour. Readings are
// those of a file that says that hour, the sun lies where trigonometry puts it, balance and spot
// are of it, the text is untouched, and the way back gives what there was.
func TestHours(t *testing.T) {
	const sunny = `halfstop: 1
shoot: {date: 2026-03-20, place: {latitude: 50, longitude: 0.0001, zone: UTC}}
room:
  size: [4, 6, 3]
  outside: {sky: clear}
  windows: [{name: front, wall: 1, from: 1, width: 2, sill: 1, head: 2.5, glass: "0.8"}]
setups:
  - name: s
    time: "%s"
    camera: {at: [2, 5.8, 1.4], aim: [2, 2, 0], lens: 35 mm, aperture: f/4, shutter: 1/60, iso: 100}
    look: [{point: near, stops: 0, priority: must}]
    may: {aperture: [f/1.4, f/22], iso: [100, 6400]}
    points: [{name: near, at: [2, 2, 0], facing: up}, {name: far, at: [2, 5.5, 0], facing: up}]
`
	open := func(at string) *client {
		return start(t, Options{Shoot: &store.Shoot{Name: "s.yaml", Src: fmt.Appendf(nil, sunny, at)}, Demo: true,
			Files: func(string) ([]byte, error) { return nil, fs.ErrNotExist }})
	}
	lux := func(c *client) []float64 {
		v := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?wait=1&word=fine", nil)
		return []float64{v.Readings.Points[0].Lux, v.Readings.Points[1].Lux}
	}
	c, noon := open("16:00"), open("12:00")
	want := lux(noon)
	text := ask[TextView](c, 200, "GET", "/api/text", nil).Text
	h := ask[SetupView](c, 200, "GET", "/api/setup/0", nil).Hours
	if h == nil || h.At != 16*60 || h.Shown != h.At || len(h.Sun) != len(h.Stops) ||
		len(h.Stops) != (h.To-h.From)/h.Step+1 {
		t.Fatalf("%+v", h)
	}
	spot := func() float64 { // of the floor in the picture's middle
		return *ask[SpotView](c, 200, "GET", "/api/setup/0/spot?x=0.5&y=0.5", nil).Reading.Stops
	}
	balance := func() string {
		return fmt.Sprint(ask[BalanceView](c, 200, "POST", "/api/setup/0/balance",
			BalanceAsk{Revision: c.state().Revision}).Edits)
	}
	spot16, balance16 := spot(), balance()
	st := ask[State](c, 200, "POST", "/api/setup/0/hour", `{"minute":720}`)
	if st.Revision < 2 || st.Good != st.Revision || st.Undo != "" || st.Draft {
		t.Errorf("state after looking at noon: %+v", st)
	}
	for i, x := range lux(c) {
		if off := math.Log2(x / want[i]); math.Abs(off) > 0.06 { // two fine readings of 0.03 st
			t.Errorf("point %d: %.0f lx at noon, %.0f in a file of noon (%+.2f st)", i, x, want[i], off)
		}
	}
	v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	if v.Hours.Shown != 720 || v.Hours.At != 960 || v.Time != "16:00" || len(v.Hours.Patches) != 1 {
		t.Fatalf("%+v", v.Hours)
	}
	// At noon the sun stands at (90 - 50)° but for the
	// equinox's moment and refraction: the patch ends at
	// 2.5 m / tan 40° from the window.
	far := 0.0
	for _, p := range v.Hours.Patches[0].Floor {
		far = max(far, p[1])
	}
	if want := 2.5 / math.Tan(40*math.Pi/180); math.Abs(far-want) > 0.05 {
		t.Errorf("the patch ends %.2f m from the window, want %.2f", far, want)
	}
	if s := spot(); math.Abs(s-spot16) < 0.3 {
		t.Errorf("the spot reads %+.2f at noon and %+.2f at 16:00", s, spot16)
	}
	if b := balance(); b == balance16 {
		t.Errorf("balance gives %s at both hours", b)
	}
	if now := ask[TextView](c, 200, "GET", "/api/text", nil).Text; now != text {
		t.Error("the text was changed")
	}
	// An edit keeps the hour; a wrong minute is refused.
	c.edit("iso", "", Edit{Set: "setups[0].camera.iso", Value: "200"})
	if v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil); v.Hours.Shown != 720 {
		t.Errorf("after an edit it is %d that is shown", v.Hours.Shown)
	}
	for _, bad := range []string{`{"minute":1440}`, `{"minute":-1}`, `{"minute":"x"}`} {
		if res, _ := c.do("POST", "/api/setup/0/hour", bad); res.StatusCode != 400 {
			t.Errorf("%s: %d", bad, res.StatusCode)
		}
	}
	ask[State](c, 200, "POST", "/api/setup/0/hour", `{"minute":null}`)
	if v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil); v.Hours.Shown != 960 || len(v.Hours.Patches) != 1 ||
		fmt.Sprint(v.Hours.Stops) != fmt.Sprint(h.Stops) {
		t.Errorf("back at 16:00: %+v", v.Hours)
	}
}
