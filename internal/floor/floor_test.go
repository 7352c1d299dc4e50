package floor

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/daylog"
	"halfstop/internal/share"
	"halfstop/shoot"
)

// small is a room of one bounce or two: it is metered in a second.
const small = `
halfstop: 1
shoot: {title: Small room, hours: {access: '9:00', sitter: '9:20', out: '13:00'}}
room: {size: [4, 5, 2.7], surfaces: {all: white emulsion}}
setups:
  - name: First
    camera: {at: [2, 0.6], height: 1.4 m, aim: sitter.face, lens: 85 mm, aperture: f/4, shutter: 1/125 s, iso: 100}
    sitter: {at: [2, 3.4], faces: camera}
    lights:
      - {role: key, head: mains head 500, modifier: softbox 60x90, at: [1.0, 2.2], height: 1.9 m, power: 1/8}
      - {role: hair, head: mains head 250, modifier: strip 30x90, at: [3.2, 4.4], height: 2.1 m,
         aim: sitter.hair, power: 1/32}
    look:
      - {point: face key side, reads: f/5.6, priority: must}
      - {point: hair edge, above: face key side, by: 0.5 st}
  - name: Second
    camera: {at: [2, 0.6], height: 1.4 m, aim: sitter.face, lens: 85 mm, aperture: f/4, shutter: 1/125 s, iso: 100}
    sitter: {at: [2, 3.4], faces: camera}
    lights:
      - {role: key, head: mains head 500, modifier: octa 90, at: [3.0, 2.2], height: 1.9 m, power: 1/8}
    look: [{point: face key side, reads: f/5.6}]
`

func parse(t testing.TB, text string) *answer.Job {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(text), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	return &answer.Job{File: f, Doc: doc}
}

var (
	ann = share.Device{ID: "a1", Name: "Ann", Role: share.Crew}
	bob = share.Device{ID: "b2", Name: "Bob", Role: share.Lead}
	eve = share.Device{ID: "e3", Name: "Eve", Role: share.Look}
)

func start(t testing.TB, dir string, clock func() time.Time) *Floor {
	t.Helper()
	return startWith(t, dir, clock, parse(t, small))
}

func startWith(t testing.TB, dir string, clock func() time.Time, job *answer.Job) *Floor {
	t.Helper()
	f := New(Options{Shoot: func() (*answer.Job, int) { return job, 1 }, Dir: func() string { return dir },
		Clock: clock, FrameBudget: time.Hour,
		Devices: func() []share.Device { return []share.Device{ann, bob, eve} },
		Fault:   func(what string, v any) { t.Errorf("%s: %v", what, v) }})
	t.Cleanup(f.Close)
	return f
}

// until waits for a view that is as wanted.
func until(t testing.TB, f *Floor, what string, ok func(v *View) bool) View {
	t.Helper()
	end := time.Now().Add(4 * time.Minute) // only what never comes takes that long, whatever else runs
	v := f.View(context.Background(), bob)
	for !ok(&v) {
		if time.Now().After(end) {
			b, _ := json.MarshalIndent(v, "", " ")
			t.Fatalf("waited for %s:\n%s", what, b)
		}
		if err := f.Wait(context.Background(), bob, v.Run, v.Version, time.Second); err != nil {
			t.Fatal(err)
		}
		v = f.View(context.Background(), bob)
	}
	return v
}

// ready reports whether a view's proposal is there and rests on so many readings, none of them
// still being worked in.
func ready(v *View, readings int) bool {
	return v.Proposal != nil && !v.Proposal.Old && v.Proposal.From == readings
}

func num(v float64) *float64 { return &v }

func point(v *View, name string) Point {
	for _, p := range v.Points {
		if p.Name == name {
			return p
		}
	}
	return Point{}
}

func dial(v *View, name string) Dial {
	for _, d := range v.Dials {
		if d.Light == name {
			return d
		}
	}
	return Dial{}
}

// TestDay plays a day on the floor: predictions, two phones that read one point, a proposal, what
// is taken and set, undo, a call, lateness, a plan anew and who saw it, the next setup.
func TestDay(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	now := time.Date(2026, 3, 14, 9, 30, 0, 0, time.Local)
	f := start(t, dir, func() time.Time { return now })
	v := until(t, f, "predictions", func(v *View) bool { return ready(v, 0) && point(v, "face key side").F > 0 })
	on := v.Setups[v.Setup].Name // the plan says which is first
	if v.Title != "Small room" || len(v.Tasks) < 4 || v.Me.Role != "lead" {
		t.Fatalf("%+v", v)
	}
	if len(v.Proposal.Dials) > 0 || v.Proposal.Next == "" {
		t.Fatalf("before a reading: %+v", v.Proposal)
	}
	was := point(&v, "face key side").F
	// Ann reads a stop under the prediction.
	low := was / math.Sqrt2
	say := func(d share.Device, e ...Entry) Taken {
		t.Helper()
		out, err := f.Say(ctx, d, Entries{Sent: time.Now().UnixMilli(), Entries: e})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	first := Entry{Number: 1, Kind: "reading", Setup: on, Subject: "face key side", Value: &low, Unit: "f",
		Said: time.Now().UnixMilli()}
	if got := say(ann, first); got.Upto != 1 {
		t.Fatalf("%+v", got)
	}
	v = until(t, f, "a proposal", func(v *View) bool { return ready(v, 1) && len(v.Proposal.Dials) > 0 })
	if p := point(&v, "face key side"); p.F >= was || len(p.Readings) != 1 || p.Readings[0].Who != "Ann" ||
		p.SD > 0.3 {
		t.Errorf("the reading did not correct: %+v", p)
	}
	// Sent again it is there once.
	say(ann, first)
	// Bob reads the same point two tenths higher.
	say(bob, Entry{Number: 1, Kind: "reading", Setup: on, Subject: "face key side",
		Value: num(low * math.Exp2(0.1)), Unit: "f", Said: time.Now().UnixMilli()})
	v = until(t, f, "both values", func(v *View) bool {
		return len(point(v, "face key side").Readings) == 2 && ready(v, 2)
	})
	if p := point(&v, "face key side"); !p.Differ || p.Readings[0].Who != "Bob" || !p.Readings[0].Mine ||
		p.Readings[1].Mine {
		t.Errorf("%+v", p)
	}
	// Bob takes his back.
	say(bob, Entry{Number: 2, Kind: "reversal", Undo: 1, Said: time.Now().UnixMilli()})
	v = until(t, f, "one value", func(v *View) bool {
		return !point(v, "face key side").Differ && ready(v, 1) && len(v.Proposal.Dials) > 0
	})
	// A proposal that is not the one shown is not taken.
	var no *share.Refusal
	if err := f.Accept(ctx, bob, Accept{ID: "another", Lights: []string{"key"}}); !errors.As(err, &no) ||
		no.Status != 409 {
		t.Error(err)
	}
	to := v.Proposal.Dials[0]
	if err := f.Accept(ctx, bob, Accept{ID: v.Proposal.ID, Lights: []string{to.Light}}); err != nil {
		t.Fatal(err)
	}
	v = until(t, f, "the dial", func(v *View) bool { return dial(v, to.Light).Want == to.Now })
	if d := dial(&v, to.Light); d.Set != nil || d.Taken.Who != "Bob" || len(d.For) == 0 {
		t.Errorf("%+v", d)
	}
	say(ann, Entry{Number: 2, Kind: "dial", Setup: on, Subject: to.Light, Text: to.Now, Said: time.Now().UnixMilli()})
	v = until(t, f, "it is set", func(v *View) bool { return dial(v, to.Light).Set != nil })
	if d := dial(&v, to.Light); d.Set.Who != "Ann" || !point(&v, "face key side").Readings[0].Old {
		t.Errorf("%+v", d)
	}
	// A call, and its answer.
	say(ann, Entry{Number: 3, Kind: "note", Text: "sandbag to the hair light", Call: true,
		Said: time.Now().UnixMilli()})
	v = until(t, f, "the call", func(v *View) bool { return len(v.Calls) == 1 })
	say(bob, Entry{Number: 3, Kind: "tick", Subject: fmt.Sprint("call ", v.Calls[0].Seq),
		Said: time.Now().UnixMilli()})
	until(t, f, "the answer", func(v *View) bool { return len(v.Calls) == 0 })
	// Late: said, planned anew, seen by one.
	say(ann, Entry{Number: 4, Kind: "late", Value: num(20), Unit: "min", Said: time.Now().UnixMilli()})
	v = until(t, f, "how late it is", func(v *View) bool { return v.Plan.Late == 20 })
	now = now.Add(20 * time.Minute)
	if err := f.Replan(ctx, bob, Replan{Why: "van in traffic"}); err != nil {
		t.Fatal(err)
	}
	v = until(t, f, "the plan anew", func(v *View) bool {
		return v.Plan.Number > 0 && len(v.Tasks) > 0 && v.Tasks[0].Start >= 9*3600+50*60
	})
	if v.Plan.Late != 0 || len(v.Plan.Unseen) != 3 || !strings.Contains(v.Plan.Why, "van in traffic") {
		t.Errorf("%+v", v.Plan)
	}
	if err := f.Ack(ctx, eve, Ack{v.Plan.Number}); err != nil {
		t.Fatal(err)
	}
	v = until(t, f, "that it was seen", func(v *View) bool { return len(v.Plan.Seen) == 1 })
	if v.Plan.Seen[0] != "Eve" || f.Ack(ctx, eve, Ack{v.Plan.Number + 7}) == nil {
		t.Errorf("%+v", v.Plan)
	}
	// The first picture is taken: the second setup is on.
	say(bob, Entry{Number: 4, Kind: "tick", Subject: on + ": shoot", Setup: on, Said: time.Now().UnixMilli()})
	until(t, f, "the second setup", func(v *View) bool {
		return v.Setup >= 0 && v.Setups[v.Setup].Name != on && point(v, "face key side").F > 0
	})
	// Another run of the program knows all of it, and the numbers of the phones.
	f.Close()
	g := start(t, dir, func() time.Time { return now })
	v = until(t, g, "the same in another run", func(v *View) bool {
		return v.Setup >= 0 && v.Setups[v.Setup].Name != on && v.Plan.Number > 0
	})
	if n := g.View(ctx, ann).Me.Next; n != 5 {
		t.Errorf("Ann's next number is %d", n)
	}
	l, err := daylog.Open(ctx, filepath.Join(dir, daylog.Name))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	list, err := l.List(ctx, daylog.Filter{Kind: daylog.Reading, All: true})
	if err != nil || len(list) != 2 {
		t.Errorf("%d readings in the log, %v", len(list), err)
	}
}

// TestRoles walks every route with every role.
func TestRoles(t *testing.T) {
	f := start(t, t.TempDir(), nil)
	want := map[string]share.Role{ // by hand, so that a route that opens too far is seen
		"GET /api/floor": share.Look, "POST /api/seen": share.Look, "POST /api/say": share.Crew,
		"POST /api/accept": share.Lead,
		"POST /api/replan": share.Lead, "GET /api/frame": share.Look, "POST /api/assign": share.Lead,
		"POST /api/camera": share.Lead, "POST /api/mark": share.Lead, "POST /api/stopframe": share.Lead,
	}
	for _, r := range f.Routes() {
		name := r.Method + " " + r.Path
		if r.Least != want[name] || r.Least == share.Anyone {
			t.Errorf("%s is for %q", name, r.Least)
		}
		for _, role := range []share.Role{share.Anyone, share.Look, share.Crew, share.Lead} {
			order := map[share.Role]int{share.Anyone: 0, share.Look: 1, share.Crew: 2, share.Lead: 3}
			if role.May(r.Least) != (order[role] >= order[want[name]]) {
				t.Errorf("%s at %s", role, name)
			}
		}
	}
}

// TestSayBad: what can never be taken does not hold up what follows; what is no entry is refused.
func TestSayBad(t *testing.T) {
	ctx := context.Background()
	f := start(t, t.TempDir(), nil)
	said := time.Now().UnixMilli()
	out, err := f.Say(ctx, ann, Entries{Sent: said, Entries: []Entry{
		{Number: 1, Kind: "reading", Subject: "x", Value: num(-4), Unit: "f", Said: said},
		{Number: 2, Kind: "reversal", Undo: 77, Said: said},
		{Number: 3, Kind: "frame", Subject: "x", Said: said},
		{Number: 4, Kind: "note", Text: "all is well", Said: 1 << 62},
		{Number: 5, Kind: "note", Text: "all is well", Said: said}}})
	if err != nil || out.Upto != 5 || len(out.Refused) != 4 {
		t.Fatalf("%+v %v", out, err)
	}
	// Sent again after a lost answer: the same.
	again, err := f.Say(ctx, ann, Entries{Sent: said,
		Entries: []Entry{{Number: 1, Kind: "reading", Subject: "x", Value: num(-4), Unit: "f", Said: said},
			{Number: 5, Kind: "note", Text: "all is well", Said: said}}})
	if err != nil || again.Upto != 5 {
		t.Errorf("%+v %v", again, err)
	}
	for name, e := range map[string]Entry{"a gap": {Number: 9, Kind: "note", Text: "x", Said: said},
		"no number": {Kind: "note", Text: "x", Said: said}, "another entry of the same number": {Number: 5,
			Kind: "note", Text: "y", Said: said}} {
		if _, err := f.Say(ctx, ann, Entries{Sent: said, Entries: []Entry{e}}); err == nil {
			t.Error(name, "was taken")
		}
	}
	if _, err := f.Say(ctx, ann, Entries{Entries: make([]Entry, mostEntries+1)}); err == nil {
		t.Error("too many entries")
	}
	if err := f.Replan(ctx, bob, Replan{Why: strings.Repeat("x", 300)}); err == nil {
		t.Error("a reason without end")
	}
}

// TestLogUnusable: a log of something else is said, kept, and nothing is taken; once it is away
// everything works.
func TestLogUnusable(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, daylog.Name)
	if err := os.WriteFile(file, bytes.Repeat([]byte("no database "), 100), 0o644); err != nil {
		t.Fatal(err)
	}
	f := start(t, dir, nil)
	until(t, f, "the trouble", func(v *View) bool {
		return len(v.Troubles) > 0 &&
			strings.Contains(v.Troubles[0], "no database") && !strings.Contains(v.Troubles[0], dir)
	})
	e := Entries{Entries: []Entry{{Number: 1, Kind: "note", Text: "x", Said: time.Now().UnixMilli()}}}
	var no *share.Refusal
	if _, err := f.Say(context.Background(), ann, e); !errors.As(err, &no) || no.Status != 503 ||
		strings.Contains(no.Text, dir) { // a phone reads nothing of the machine
		t.Error(err)
	}
	if err := os.Rename(file, file+".away"); err != nil {
		t.Fatal(err)
	}
	if out, err := f.Say(context.Background(), ann, e); err != nil || out.Upto != 1 {
		t.Error(out, err)
	}
	until(t, f, "no trouble", func(v *View) bool { return len(v.Troubles) == 0 })
}

// seeds are a body for each route that takes one: TestRoutesAreFuzzed fails for a route without.
var seeds = map[string]string{
	"/api/say":    `{"sent":1,"entries":[{"number":1,"kind":"reading","subject":"a","value":4,"unit":"f","said":1}]}`,
	"/api/accept": `{"id":"x","lights":["key"]}`, "/api/seen": `{"plan":1}`, "/api/replan": `{"why":"\u0000"}`,
	"/api/assign": `{"frame":"x","setup":"First"}`, "/api/camera": `{"behind":120}`,
	"/api/mark": `{"frame":"x","point":"face","x":0.5,"y":0.5}`, "/api/stopframe": `{"frame":"x","on":true}`,
}

// TestRoutesAreFuzzed: FuzzSay has a seed for every route that takes a body, and it gets past the
// reading of the body.
func TestRoutesAreFuzzed(t *testing.T) {
	l := start(t, t.TempDir(), nil)
	for _, r := range l.Routes() {
		body, ok := seeds[r.Path]
		if r.Method == "GET" {
			continue
		}
		req := httptest.NewRequest(r.Method, "http://x"+r.Path, strings.NewReader(body))
		req.Header.Set("Content-Type", "application/json")
		var x *share.Refusal
		err := r.Do(httptest.NewRecorder(), req, bob)
		if !ok || errors.As(err, &x) && x.Status == http.StatusBadRequest {
			t.Errorf("%s: its seed is %q: %v", r.Path, body, err)
		}
	}
}

// FuzzSay puts anything into every route that takes a body.
func FuzzSay(f *testing.F) {
	for _, body := range seeds {
		f.Add(body)
	}
	f.Add(`{"entries":[{"number":1,"kind":"reversal","undo":-1,"said":9223372036854775807}]}`)
	l := start(f, f.TempDir(), nil)
	f.Fuzz(func(t *testing.T, body string) {
		for _, r := range l.Routes() {
			if r.Method != "POST" {
				continue
			}
			w := httptest.NewRecorder()
			req := httptest.NewRequest("POST", "http://x"+r.Path, strings.NewReader(body))
			req.Header.Set("Content-Type", "application/json")
			err := r.Do(w, req, ann)
			var x *share.Refusal
			if err != nil && errors.As(err, &x) && x.Status == http.StatusServiceUnavailable {
				t.Fatalf("%s %q: %v", r.Path, body, err)
			}
		}
	})
}

// ExampleNew shows what a phone sees before anything is planned.
func ExampleNew() {
	f := New(Options{Shoot: func() (*answer.Job, int) { return nil, 0 }, Dir: func() string { return "" }})
	defer f.Close()
	v := f.View(context.Background(), share.Device{ID: "a", Name: "Ann", Role: share.Crew})
	fmt.Println(v.Me.Name, v.Me.Next, len(v.Tasks))
	// Output: Ann 1 0
}
