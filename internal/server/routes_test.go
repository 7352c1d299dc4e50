package server

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"image/png"
	"io"
	"math"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
)

func TestStaleAndBadEdits(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	st := c.state()
	// Not understood, not possible, not the newest: nothing is changed.
	for _, x := range []struct {
		status int
		method string
		path   string
		body   string
	}{
		{400, "POST", "/api/edit", `{"revision":1,"edits":[]}`},
		{400, "POST", "/api/edit", `{"revision":1,"nonsense":1,"edits":[{"set":"shoot.title","value":"x"}]}`},
		{400, "POST", "/api/edit", `{"revision":1`},
		{400, "POST", "/api/edit", `{"revision":1,"edits":[{"set":"shoot.title","delete":"room","value":"x"}]}`},
		{400, "POST", "/api/edit", `{"revision":1,"edits":[{"value":"x"}]} {}`},
		{422, "POST", "/api/edit", `{"revision":1,"edits":[{"set":"setups[7].name","value":"x"}]}`},
		{422, "POST", "/api/edit", `{"revision":1,"edits":[{"set":"","append":"shoot.title","value":"x"}]}`},
		{422, "POST", "/api/edit",
			`{"revision":1,"edits":[{"set":"shoot.title","value":"x"},{"delete":"setups[0].lights[9]"}]}`},
		{409, "POST", "/api/edit", `{"revision":99,"edits":[{"set":"shoot.title","value":"x"}]}`},
		{409, "PUT", "/api/text", `{"revision":99,"text":"x"}`},
		{409, "POST", "/api/undo", `{"revision":99}`},
		{422, "POST", "/api/undo", `{"revision":1}`},
		{422, "POST", "/api/redo", `{"revision":1}`},
		{422, "POST", "/api/disk", `{"revision":1,"take":"theirs"}`},
		{400, "POST", "/api/disk", `{"revision":1,"take":"both"}`},
		{400, "POST", "/api/save", `{"revision":1,"path":" "}`},
		{409, "POST", "/api/setup/0/balance", `{"revision":99}`},
		{422, "POST", "/api/setup/0/balance", `{"revision":1,"held":[{"point":"moon","kind":"stops","value":1}]}`},
		{400, "POST", "/api/setup/0/balance", `{"revision":1,"held":[{"point":"bench","kind":"lumens","value":1}]}`},
		{422, "POST", "/api/setup/0/balance", `{"revision":1,"locks":["moon"]}`},
	} {
		res, b := c.do(x.method, x.path, x.body)
		var p Problem
		if res.StatusCode != x.status || json.Unmarshal(b, &p) != nil || p.Error == "" {
			t.Errorf("%s %s %s: %d %s, want %d", x.method, x.path, x.body, res.StatusCode, b, x.status)
		}
		if x.status == 409 && (p.State == nil || p.State.Revision != 1) {
			t.Errorf("%s %s: a stale change is answered without the state", x.method, x.path)
		}
	}
	for _, path := range []string{"/api/setup/1", "/api/setup/-1", "/api/setup/x/readings", "/api/none", "/none.js",
		"/../shoot.yaml"} {
		if res, _ := c.do("GET", path, nil); res.StatusCode != 404 {
			t.Errorf("GET %s: %d, want 404", path, res.StatusCode)
		}
	}
	for _, path := range []string{"/api/setup/0/layers?w=0", "/api/setup/0/layers?w=99999",
		"/api/setup/0/spot?x=2&y=0", "/api/setup/0/spot?x=NaN&y=0", "/api/setup/0/spot"} {
		if res, _ := c.do("GET", path, nil); res.StatusCode != 400 {
			t.Errorf("GET %s: %d, want 400", path, res.StatusCode)
		}
	}
	if res, _ := c.do("POST", "/api/edit", `{}`, "Content-Type", "text/plain"); res.StatusCode != 415 {
		t.Errorf("a change that is no JSON: %d, want 415", res.StatusCode)
	}
	if res, _ := c.do("PUT", "/api/text",
		`{"revision":1,"text":"`+strings.Repeat("x", 9<<20)+`"}`); res.StatusCode != 413 {
		t.Errorf("a text of 9 MiB: %d, want 413", res.StatusCode)
	}
	if now := c.state(); now.Revision != st.Revision || c.disk() != small {
		t.Errorf("something was changed: revision %d", now.Revision)
	}
}

func TestEditUndoSave(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	st := c.edit("move key", "d1", Edit{Set: "setups[0].lights[0].at", Value: "[1.6, 2.5]"})
	st = c.edit("move key", "d1", Edit{Set: "setups[0].lights[0].at", Value: "[1.7, 2.5]"})
	if st.Undo != "move key" || st.Draft {
		t.Fatalf("%+v", st)
	}
	want := strings.Replace(small, "[1.5, 2.5]", "[1.7, 2.5]", 1)
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != want {
		t.Errorf("only the place may change, and remarks stay:\n%s", x.Text)
	}
	until(t, "the change is in the file", func() bool { return c.disk() == want && c.state().Saved })
	// A drag is one step.
	st = ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != small || st.Redo != "move key" || st.Undo != "" {
		t.Errorf("undo gives %+v\n%s", st, x.Text)
	}
	st = ask[State](c, 200, "POST", "/api/redo", Step{st.Revision})
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != want {
		t.Errorf("redo gives\n%s", x.Text)
	}
	// Append and delete.
	st = c.edit("add a point", "",
		Edit{Append: "setups[0].points", Value: "{name: wall, at: [2, 4.9, 1.5], facing: y-}"},
		Edit{Delete: "setups[0].look[0]"})
	v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	if len(v.Points) != 2 || len(v.Look) != 0 || v.Points[1].Path != "setups[0].points[1]" {
		t.Errorf("points %+v, look %+v", v.Points, v.Look)
	}
}

func TestDraft(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	good := c.state()
	broken := strings.Replace(small, "aperture: f/4", "apperture: f/4", 1)
	st := ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: good.Revision, Text: broken})
	if !st.Draft || st.Good != good.Revision || len(st.Messages) != 1 || st.Messages[0].Pos.Line != 6 ||
		st.Messages[0].Fix == "" {
		t.Fatalf("%+v", st)
	}
	if v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil); !v.Built || v.Revision != good.Revision {
		t.Error("the last good text is not in force")
	}
	time.Sleep(2 * c.s.book.saveGap)
	if c.disk() != small {
		t.Error("a draft was written into the file")
	}
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != broken {
		t.Error("the draft is lost")
	}
	st = ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: st.Revision, Text: small + "# done\n"})
	if st.Draft || st.Good != st.Revision {
		t.Errorf("mended: %+v", st)
	}
	// No setup at all, and no text at all, are drafts too.
	for _, text := range []string{"halfstop: 1\nsetups: []\n", "", "\x00\xff", "a: [1"} {
		st = ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: st.Revision, Text: text})
		if !st.Draft || len(st.Messages) == 0 {
			t.Errorf("%q: %+v", text, st)
		}
	}
}

func TestSetupThatCannotBeBuilt(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	st := c.edit("odd", "", Edit{Set: "setups[0].points[0].receptor", Value: "spot"},
		Edit{Set: "setups[0].points[0].at", Value: "[1, 1, 1.5]"})
	if st.Draft {
		t.Skip("the file's own checks refuse it")
	}
	v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	if v.Built || len(v.Messages) == 0 || len(v.Lights) == 0 {
		t.Errorf("built %v, %d messages, %d lights: the last that could be built shall be shown with the messages",
			v.Built, len(v.Messages), len(v.Lights))
	}
	res, _ := c.do("GET", "/api/setup/0/readings?wait=1", nil)
	if res.StatusCode != 422 {
		t.Errorf("readings: %d", res.StatusCode)
	}
}

func TestGuards(t *testing.T) {
	c := start(t, Options{})
	_, port, _ := strings.Cut(c.s.Address, ":")
	for _, x := range []struct {
		status int
		method string
		head   []string
	}{
		{200, "GET", nil},
		{200, "GET", []string{"Host", "localhost:" + port}},
		{200, "GET", []string{"Origin", "http://" + c.s.Address}},
		{421, "GET", []string{"Host", "halfstop.example"}},
		{421, "GET", []string{"Host", "127.0.0.1.example:" + port}},
		{421, "GET", []string{"Host", "127.0.0.1:1"}},
		{403, "GET", []string{"Origin", "http://evil.example"}},
		{403, "GET", []string{"Origin", "null"}},
		{403, "GET", []string{"Sec-Fetch-Site", "cross-site"}},
		{403, "POST", []string{"Sec-Fetch-Site", "cross-site"}},
		{403, "POST", []string{"Origin", "http://127.0.0.1:1"}},
		{403, "POST", []string{"Origin", "https://" + c.s.Address}},
	} {
		path, body := "/api/state", any(nil)
		if x.method == "POST" {
			path, body = "/api/undo", `{"revision":1}`
		}
		res, b := c.do(x.method, path, body, x.head...)
		if res.StatusCode != x.status {
			t.Errorf("%s %v: %d %s, want %d", x.method, x.head, res.StatusCode, b, x.status)
		}
		for name, want := range map[string]string{"Content-Security-Policy": Policy,
			"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
			"Cross-Origin-Resource-Policy": "same-origin"} {
			if got := res.Header.Get(name); got != want {
				t.Errorf("%v: %s is %q", x.head, name, got)
			}
		}
		if res.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Error("another site is let in")
		}
	}
	if strings.Contains(Policy, "unsafe-inline") || strings.Contains(Policy, "'unsafe-eval'") ||
		strings.Contains(Policy, "*") {
		t.Error("the policy is not strict")
	}
	if res, b := c.do("GET", "/", nil); res.StatusCode != 200 || !strings.HasPrefix(res.Header.Get("Content-Type"),
		"text/html") || !strings.Contains(string(b), "<title>") {
		t.Errorf("the page: %d", res.StatusCode)
	}
	if res, _ := c.do("GET", "/assets/a-1.js", nil); !strings.HasPrefix(res.Header.Get("Content-Type"),
		"text/javascript") || !strings.Contains(res.Header.Get("Cache-Control"), "immutable") {
		t.Errorf("a script: %v", res.Header)
	}
	if res, _ := c.do("POST", "/", `{}`); res.StatusCode != 405 {
		t.Errorf("POST /: %d", res.StatusCode)
	}
}

func TestListen(t *testing.T) {
	c := start(t, Options{})
	for listen, want := range map[string]string{"0.0.0.0:0": "of this machine", ":0": "of this machine",
		"192.0.2.1:80": "of this machine", "nonsense": "write an address",
		c.s.Address: "another program uses this port"} {
		s, err := New(Options{Shoot: c.s.opt.Shoot, Demo: true, Listen: listen})
		if err == nil {
			s.Close()
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want '… %s …'", listen, err, want)
		}
	}
}

// passes reads a stream of layers.
func passes(t *testing.T, body io.Reader, each func(LayersHead, []byte) bool) {
	t.Helper()
	in := bufio.NewReader(body)
	for {
		line, err := in.ReadBytes('\n')
		if err != nil {
			return
		}
		var h LayersHead
		if err := json.Unmarshal(line, &h); err != nil {
			t.Fatalf("%v in %q", err, line)
		}
		data := make([]byte, h.Bytes)
		if _, err := io.ReadFull(in, data); err != nil {
			t.Fatal(err)
		}
		if !each(h, data) {
			return
		}
	}
}

func TestLayers(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	res, err := http.Get("http://" + c.s.Address + "/api/setup/0/layers?w=64&samples=4")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var last LayersHead
	var data []byte
	n := 0
	passes(t, res.Body, func(h LayersHead, b []byte) bool {
		n++
		if h.Bytes != len(h.Layers)*h.Width*h.Height*6 || h.Pass <= last.Pass || h.End != "" {
			t.Errorf("pass %+v", h)
		}
		if h.Samples < 2 {
			t.Errorf("a picture of %d sample is shown: without a variance the filter leaves specks", h.Samples)
		}
		last, data = h, b
		return !h.Last
	})
	if n < 2 || !last.Last || last.Width != 64 || last.Samples < 4 || len(last.Layers) != 1 {
		t.Fatalf("%d passes, the last %+v", n, last)
	}
	// The mix by the contract is the picture that the server develops.
	m := c.s.book.snapshot()
	st, _ := c.s.engine.current(m, c.s.engine.setup(0))
	px := make([]spectrum.XYZ, last.Width*last.Height)
	for i := range px {
		at := func(k int) float64 { return float64(halfOf(binary.LittleEndian.Uint16(data[6*i+2*k:]))) }
		l := last.Layers[0]
		k := l.Scale * l.K * last.Lit * last.Exposure.Factor
		px[i] = spectrum.XYZ{X: at(0) * k, Y: at(1) * k, Z: at(2) * k}
	}
	mine := picture.Develop(px, last.Width, last.Height, st.White, spectrum.SRGB, render.RenderingOf(st))
	res2, err := http.Get("http://" + c.s.Address + "/api/setup/0/frame.png")
	if err != nil {
		t.Fatal(err)
	}
	defer res2.Body.Close()
	img, err := png.Decode(res2.Body)
	if err != nil || img.Bounds() != mine.Bounds() {
		t.Fatal(err, img.Bounds())
	}
	light := 0
	for y := range last.Height {
		for x := range last.Width {
			r, g, b, _ := img.At(x, y).RGBA()
			q := mine.NRGBAAt(x, y)
			if math.Abs(float64(r>>8)-float64(q.R)) > 1 || math.Abs(float64(g>>8)-float64(q.G)) > 1 ||
				math.Abs(float64(b>>8)-float64(q.B)) > 1 {
				t.Fatalf("pixel %d, %d: %d %d %d, by the contract %v", x, y, r>>8, g>>8, b>>8, q)
			}
			light += int(g >> 8)
		}
	}
	if light == 0 {
		t.Error("the picture is black")
	}
	// The spot reading in the middle is what the picture has there: both are the
	// same light, read twice. Grain of four samples, taken out over the
	// neighbourhood, and a spot of 1° against one pixel: half a stop.
	s := ask[SpotView](c, 200, "GET", "/api/setup/0/spot?x=0.5&y=0.5", nil)
	y := px[(last.Height/2)*last.Width+last.Width/2].Y
	if s.Reading.Stops == nil || math.Abs(*s.Reading.Stops-math.Log2(y/0.18)) > 0.5 {
		t.Errorf("the spot reads %v st, the picture has %.2f st", s.Reading.Stops, math.Log2(y/0.18))
	}
	// A new power ends nothing; a moved light does.
	res3, err := http.Get("http://" + c.s.Address + "/api/setup/0/layers?w=64")
	if err != nil {
		t.Fatal(err)
	}
	defer res3.Body.Close()
	moved, ended := false, ""
	passes(t, res3.Body, func(h LayersHead, _ []byte) bool {
		if !moved {
			moved = true
			c.edit("power", "", Edit{Set: "setups[0].lights[0].power", Value: "1/2"})
			c.edit("move", "", Edit{Set: "setups[0].lights[0].at", Value: "[1.2, 2.5]"})
		}
		ended = h.End
		return h.End == ""
	})
	if ended != "stale" {
		t.Errorf("the stream of a setup that changed ended with %q", ended)
	}
}

// halfOf reads a half float by the standard's own words (IEEE
// 754-2019, 3.4), apart from the code under test.
func halfOf(h uint16) float32 {
	s := float32(1)
	if h>>15 == 1 {
		s = -1
	}
	e, m := int(h>>10&31), float64(h&1023)
	switch e {
	case 0:
		return s * float32(m/1024*math.Pow(2, -14))
	case 31:
		return float32(math.NaN())
	}
	return s * float32((1+m/1024)*math.Pow(2, float64(e-15)))
}

func TestHalf(t *testing.T) {
	// Every finite half comes back as itself, and halfway goes to even.
	for h := range uint16(0x7c00) {
		v := halfOf(h)
		if got := toHalf(v); got != h {
			t.Fatalf("%#x: %g comes back as %#x", h, v, got)
		}
		if got := toHalf(-v); h > 0 && got != h|0x8000 {
			t.Fatalf("%#x: %g comes back as %#x", h|0x8000, -v, got)
		}
		if u := float32(fromHalf(h)); u != v {
			t.Fatalf("%#x reads as %g, is %g", h, u, v)
		}
		if h+1 < 0x7c00 {
			mid := (float64(v) + float64(halfOf(h+1))) / 2
			if got := toHalf(float32(mid)); got != h+h&1 {
				t.Fatalf("halfway from %#x goes to %#x", h, got)
			}
		}
	}
	if toHalf(float32(math.Inf(1))) != 0x7bff || toHalf(1e9) != 0x7bff || toHalf(float32(math.NaN())) != 0 {
		t.Error("what is no finite half")
	}
}

func TestToneIsPictures(t *testing.T) {
	for _, r := range []picture.Rendering{picture.Standard(0), picture.Standard(1.6), picture.Plain(),
		picture.Straight()} {
		e := toneOf(r)
		for x := 0.0; x < 2; x += 0.01 {
			y := x
			if x >= e.White {
				y = 1
			} else if p := math.Pow(x, e.Sigmoid); e.Sigmoid > 0 {
				y = e.Scale * p / (p + e.Half)
			} else if x > e.Join {
				y = 1 - (1-e.Join)*math.Pow((e.White-x)/(e.White-e.Join), e.Power)
			}
			if math.Abs(y-r.Tone(x)) > 1e-12 {
				t.Fatalf("%+v: Tone(%g) = %g, the page would have %g", r, x, r.Tone(x), y)
			}
		}
	}
}

func TestBalance(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	b := ask[BalanceView](c, 200, "POST", "/api/setup/0/balance",
		BalanceAsk{Revision: 1, Held: []HoldAt{{"bench", "reads", 8}}})
	if len(b.Edits) == 0 || len(b.Balance.Lights) != 1 || !b.Balance.Lights[0].Changed {
		t.Fatalf("%+v", b)
	}
	c.edit("balance", "", b.Edits...)
	r := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?wait=1", nil)
	// The head's steps are tenths of a stop: within half of
	// one, and the tolerance of what a meter shows.
	if d := stopsBetween(r.Readings.Points[0].FNumber, 8); d > 0.1 {
		t.Errorf("asked for f/8, the balanced setup reads f/%.2f", r.Readings.Points[0].FNumber)
	}
	// A locked light stays.
	b = ask[BalanceView](c, 200, "POST", "/api/setup/0/balance",
		BalanceAsk{Revision: c.state().Revision, Held: []HoldAt{{"bench", "stops", -3}}, Locks: []string{"key"}})
	if len(b.Edits) != 0 || b.Balance.Missed != 1 {
		t.Errorf("locked: %+v", b)
	}
}

func TestTwoPages(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	a, b := c.events(), c.events()
	until(t, "both are counted", func() bool { return c.state().Pages == 2 })
	ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	st := c.edit("move", "", Edit{Set: "setups[0].lights[0].at", Value: "[1.2, 2.5]"})
	for _, in := range []<-chan Event{a, b} {
		await(t, in, "the change is told", func(e Event) bool { return e.Kind == "state" && e.Revision == st.Revision })
		await(t, in, "its readings are told",
			func(e Event) bool { return e.Kind == "readings" && e.Revision == st.Revision })
	}
	// Both change the same revision: one wins, the other is told where to start from.
	first := Change{Revision: st.Revision, Name: "a", Edits: []Edit{{Set: "shoot.title", Value: "A"}}}
	ask[State](c, 200, "POST", "/api/edit", first)
	first.Edits[0].Value = "B"
	p := ask[Problem](c, 409, "POST", "/api/edit", first)
	if p.State == nil || p.State.Revision != st.Revision+1 || p.State.Title != "A" {
		t.Errorf("%+v", p.State)
	}
	c.stop()
	for range a {
	}
}

func TestFaultInARender(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	in := c.events()
	c.s.engine.queue.put(&task{key: "fault", rank: rankFirst, run: func(ctxT) bool { panic("on purpose") }})
	e := await(t, in, "the fault is told", func(e Event) bool { return e.Kind == "message" })
	if !strings.Contains(e.Text, "on purpose") {
		t.Error(e.Text)
	}
	if r := ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?wait=1", nil); len(r.Readings.Points) != 1 {
		t.Error("the server does not render any more")
	}
}

func TestSaveAs(t *testing.T) {
	c := start(t, Options{})
	c.edit("title", "", Edit{Set: "shoot.title", Value: "Mine"})
	dir := t.TempDir() + "/mine"
	st := ask[State](c, 200, "POST", "/api/save", SaveAs{c.state().Revision, dir})
	b, err := os.ReadFile(dir + "/shoot.yaml")
	if err != nil || !strings.Contains(string(b), "title: Mine") || st.Demo || !st.Saved {
		t.Fatalf("%v %+v", err, st)
	}
	c.edit("title", "", Edit{Set: "shoot.title", Value: "Yours"})
	until(t, "later changes go there", func() bool { return strings.Contains(c.disk(), "title: Yours") })
	if res, _ := c.do("POST", "/api/save", SaveAs{c.state().Revision, dir}); res.StatusCode != 422 {
		t.Errorf("saving over what is there: %d", res.StatusCode)
	}
}

func TestGelFoldsAnew(t *testing.T) {
	// A gel traces nothing: the picture comes back with the samples it had,
	// and all of it loses what a meter in front of the light loses.
	c := start(t, Options{Shoot: onDisk(t, small)})
	luminance := func(samples string) (sum float64, first LayersHead) {
		res, err := http.Get("http://" + c.s.Address + "/api/setup/0/layers?w=64&samples=" + samples)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		passes(t, res.Body, func(h LayersHead, b []byte) bool {
			if first.Pass == 0 {
				first = h
			}
			sum = 0
			for i := 2; i < len(b); i += 6 {
				sum += float64(halfOf(binary.LittleEndian.Uint16(b[i:]))) * h.Layers[0].Scale * h.Layers[0].K
			}
			return !h.Last
		})
		return sum, first
	}
	reads := func() float64 {
		return ask[ReadingsView](c, 200, "GET", "/api/setup/0/readings?word=fine", nil).Readings.Points[0].LuxSeconds
	}
	bare, _ := luminance("8")
	lux := reads()
	c.edit("gel", "", Edit{Set: "setups[0].lights[0].gel", Value: "full orange"})
	orange, first := luminance("8")
	if first.Samples < 8 {
		t.Errorf("after the gel the picture begins again with %d samples", first.Samples)
	}
	// The room's grey is the same for both colours: equal but for the fold's rounding.
	if p, m := math.Log2(orange/bare), math.Log2(reads()/lux); math.Abs(p-m) > 0.05 || m > -0.3 {
		t.Errorf("the gel takes %.2f st from the picture, %.2f st from the meter", p, m)
	}
}
