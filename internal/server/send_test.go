package server

import (
	"bytes"
	"encoding/json"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"halfstop/dmx"
	"halfstop/internal/store"
)

const networked = `
halfstop: 1
room: {size: [4, 5, 2.7]}
kit:
  heads:
    - name: tube
      like: rgb tube
      channels: [{does: dimmer, fine: true}, {does: red}, {does: green}, {does: blue}, {does: strobe, rest: 0}]
setups:
  - name: One
    camera: {at: [2, 0.6], height: 1.4 m, aim: [2, 3.4, 1.2], lens: 50 mm, aperture: f/4, shutter: 1/60 s, iso: 400}
    lights:
      - {role: accent, head: tube, at: [1.7, 3.1, 2.2], aim: [2, 3.4, 1], level: 60 %, patch: {universe: 1, address: 21}}
  - name: Two
    lights:
      - {role: accent, head: tube, at: [1.7, 3.1, 2.2], aim: [2, 3.4, 1], level: 20 %, patch: {universe: 1, address: 21}}
`

// TestSendPanel arms a look from the desk and listens as a head does: a jump over the limit is
// refused until it is meant; the levels arrive; a second look fades from the first, not from dark;
// stopping leaves it, and says so. What cannot be is refused, and nothing is sent.
func TestSendPanel(t *testing.T) {
	head, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	defer head.Close()
	c := start(t, Options{Shoot: &store.Shoot{Name: "shoot.yaml", Src: []byte(networked)}, Journals: t.TempDir()})
	ask := func(path string, body any) (v SendView, status int, text string) {
		t.Helper()
		r, b := c.do("POST", path, body)
		_ = json.Unmarshal(b, &v)
		return v, r.StatusCode, string(b)
	}
	a := SendAsk{Setup: "One", To: head.LocalAddr().String(), Minutes: 5, Fade: 0.1, End: "hold", Priority: 100,
		Limit: 50}
	if _, code, text := ask("/api/send", a); code != http.StatusConflict || !strings.Contains(text, "over the limit") {
		t.Fatal(code, text)
	}
	for name, bad := range map[string]func(*SendAsk){"no time": func(a *SendAsk) { a.Minutes = 0 },
		"a year": func(a *SendAsk) { a.Minutes = 1e6 }, "no address": func(a *SendAsk) { a.To = "" },
		"a name": func(a *SendAsk) { a.To = "localhost" }, "no setup": func(a *SendAsk) { a.Setup = "Three" },
		"an end": func(a *SendAsk) { a.End = "blackout" }, "priority": func(a *SendAsk) { a.Priority = 201 },
		"a fade": func(a *SendAsk) { a.Fade = -1 }} {
		x := a
		x.Over = true
		bad(&x)
		if v, code, text := ask("/api/send", x); code < 400 || v.Sending != "" {
			t.Error(name, code, text)
		}
	}
	a.Over = true
	v, code, text := ask("/api/send", a)
	if code != 200 || v.Sending != "One" || v.Live || len(v.Heads) != 1 {
		t.Fatal(code, text)
	}
	want := v.Heads[0].Slots
	// hear reads packets until one has the levels that are waited for; none may be below least.
	hear := func(want []int, least int) {
		t.Helper()
		b := make([]byte, 2048)
		_ = head.SetReadDeadline(time.Now().Add(time.Minute))
		for {
			n, err := head.Read(b)
			if err != nil {
				t.Fatalf("%v: the levels never came", err)
			}
			p, err := dmx.Parse(b[:n])
			if err != nil || !p.Preview || p.Universe != 1 {
				t.Fatalf("%+v %v", p, err)
			}
			got := []int{}
			for _, x := range p.Slots[20 : 20+len(want)] {
				got = append(got, int(x))
			}
			if got[0] < least {
				t.Fatalf("the dimmer goes to %d on its way", got[0])
			}
			if x, _ := json.Marshal(got); bytes.Equal(x, must(json.Marshal(want))) {
				return
			}
		}
	}
	hear(want, 0)
	a.Setup, a.Over = "Two", false
	v, code, text = ask("/api/send", a)
	if code != 200 || v.Sending != "Two" || v.Heads[0].Jump < 30 || v.Heads[0].Jump > 50 || len(v.Heads[0].Was) == 0 {
		t.Fatal(code, text)
	}
	hear(v.Heads[0].Slots, v.Heads[0].Slots[0])
	v, code, _ = ask("/api/send/stop", SendStop{Setup: "Two"})
	if code != 200 || v.Sending != "" || !strings.Contains(v.Left, "keep the last look") || v.Heads[0].Jump != 0 {
		t.Errorf("%d %+v", code, v)
	}
}

func must(b []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return b
}
