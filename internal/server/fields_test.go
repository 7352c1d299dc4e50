package server

import (
	"context"
	"encoding/json"
	"fmt"
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

// TestFields: a point of 1000 cd gives 1000/d² lx to a meter turned to it, within the hundredth of a stop that is sent; the setting does
// not come in; fields that were there once come back at once.
func TestFields(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, lampText)})
	v := c.fields("/api/setup/0/fields?z=1&meter=turned")
	if v.NX < 5 || v.NY < 5 || len(v.Layers) != 1 || v.Layers[0].Name != "lamp" || len(v.Layers[0].Stops) != v.NX*v.NY || v.Upright || v.At != 1 || v.Constant != 250 {
		t.Fatalf("%d × %d, z %g, constant %g", v.NX, v.NY, v.At, v.Constant)
	}
	for n, s := range v.Layers[0].Stops {
		x, y := v.X+float64(n%v.NX)*v.DX, v.Y+float64(n/v.NX)*v.DY
		if want := 100 * math.Log2(1000/(x*x+y*y+1)); math.Abs(float64(s)-want) > 1 { // half a hundredth of rounding, 0.2 of the fold's table
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
	if res, b = c.do("POST", "/api/edit", `{"revision":2,"edits":[{"set":"setups[0].lights[0].at","value":"[0.5, 0, 2]"}]}`); res.StatusCode != 200 {
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

// TestFieldsGiveWay: readings of a change do not wait for contours, and a request that is given up leaves no work behind.
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
	c.do("POST", "/api/edit", fmt.Sprintf(`{"revision":%d,"edits":[{"set":"setups[2].lights[0].at","value":"[6.2, 3.3]"}]}`, st.Revision))
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

// TestHours: the clock of a setup with a window; a spot and a balance at another hour see the other daylight.
func TestHours(t *testing.T) {
	c := start(t, Options{})
	_, b := c.do("GET", "/api/setup/0", nil)
	var v SetupView
	if err := json.Unmarshal(b, &v); err != nil {
		t.Fatal(err)
	}
	h := v.Hours
	if h == nil || h.At != 17*60+40 || len(h.Sun) != len(h.Stops) || len(h.Sun) != (h.To-h.From)/h.Step+1 || !strings.Contains(strings.Join(h.Says, " "), "Overcast scale") {
		t.Fatalf("%+v", h)
	}
	spot := func(q string) float64 { // the window's part of a spot near it
		res, b := c.do("GET", "/api/setup/0/spot?x=0.1&y=0.35"+q, nil)
		var s SpotView
		if res.StatusCode != 200 || json.Unmarshal(b, &s) != nil || s.Reading.Stops == nil {
			t.Fatalf("%d %s", res.StatusCode, b)
		}
		return *s.Reading.Stops
	}
	if day, file := spot("&daylight=10"), spot(""); !(day > file+1) {
		t.Errorf("with daylight ten stops up the spot reads %+.2f, as in the file %+.2f", day, file)
	}
	for _, bad := range []string{"x", "99", "NaN"} {
		if res, _ := c.do("GET", "/api/setup/0/spot?x=0.5&y=0.5&daylight="+bad, nil); res.StatusCode != 400 {
			t.Errorf("daylight=%s: %d", bad, res.StatusCode)
		}
	}
	// With so much daylight the face is past what the look asks, so the answer is another.
	ask := func(d float64) string {
		res, b := c.do("POST", "/api/setup/1/balance", fmt.Sprintf(`{"revision":1,"daylight_stops":%g}`, d))
		var v BalanceView
		if res.StatusCode != 200 || json.Unmarshal(b, &v) != nil {
			t.Fatalf("%d %s", res.StatusCode, b)
		}
		return fmt.Sprint(v.Edits)
	}
	if plain, day := ask(0), ask(7); plain == day {
		t.Errorf("seven stops more daylight leave the settings at %s", plain)
	}
	if res, _ := c.do("POST", "/api/setup/0/balance", `{"revision":1,"daylight_stops":99}`); res.StatusCode != 400 {
		t.Errorf("99 stops of daylight: %d", res.StatusCode)
	}
}
