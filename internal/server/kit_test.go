package server

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"halfstop/internal/store"
)

// TestKitOnDisk: a file of kit that comes, or changes, while the program
// runs is there without a new start; a broken one says so and mends.
func TestKitOnDisk(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	in := c.events()
	dir := filepath.Join(filepath.Dir(c.s.book.file.Path), "kit")
	put := func(text string) {
		t.Helper()
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "own.yaml"), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	has := func(name string) bool {
		k := ask[KitView](c, 200, "GET", "/api/kit", nil)
		return slices.ContainsFunc(k.Heads, func(h KitHead) bool { return h.Name == name })
	}
	put("heads: [{name: bench lamp, like: battery head 500}]\n")
	await(t, in, "the kit is told", func(e Event) bool { return e.Kind == "state" && e.What == "kit" })
	if st := c.state(); st.Draft {
		t.Fatalf("the kit is not taken: %+v", st.Messages)
	}
	if !has("bench lamp") {
		t.Error("the new head is not in the kit")
	}
	put("heads: [{name: bench lamp, kind: candle}]\n")
	until(t, "the mistake is told", func() bool { return c.state().Draft })
	put("heads: []\n")
	until(t, "it is mended", func() bool { return !c.state().Draft })
	if has("bench lamp") {
		t.Error("the head is still in the kit")
	}
}

// TestKitOnScreen: a thing is copied, a sheet's figure typed, a lesson kept: each is written with
// the remarks that stand there, narrows what the head is known to, and is one step of undo; what
// another program wrote in the meantime stays.
func TestKitOnScreen(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	dir := filepath.Join(filepath.Dir(c.s.book.file.Path), "kit")
	path := filepath.Join(dir, "own.yaml")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	const mine = "# counted in May\nstands:\n  - {name: heavy, like: low stand} # ours\n"
	if err := os.WriteFile(path, []byte(mine), 0o644); err != nil {
		t.Fatal(err)
	}
	until(t, "the file is read", func() bool {
		return len(ask[OwnKitView](c, 200, "GET", "/api/kit/own?q=heavy", nil).Own) == 1
	})
	const thing = "/api/kit/thing?list=heads&name=battery+head+500"
	was := ask[GearView](c, 200, "GET", thing, nil)
	if was.Levels[0].State != "catalogue" || was.Sheet == nil || !(was.Sheet.Then < was.Sheet.Now) {
		t.Fatalf("before: %+v, %+v", was.Levels, was.Sheet)
	}
	set := KitSet{"heads", "battery head 500", []KitSetting{{"guide number", "58 m"}, {"rated with", "softbox 60x90"}}}
	st := ask[State](c, 200, "POST", "/api/kit/set", set)
	now := ask[GearView](c, 200, "GET", thing, nil)
	if now.Levels[0].State != "maker" || now.Levels[0].SD != was.Sheet.Then ||
		st.Undo != "guide number of battery head 500" {
		t.Errorf("after: %+v, undo %q", now.Levels, st.Undo)
	}
	read := func() string {
		b, _ := os.ReadFile(path)
		return string(b)
	}
	if got := read(); !strings.HasPrefix(got, mine) || !strings.Contains(got, "58 m") {
		t.Errorf("the file holds:\n%s", got)
	}
	ask[Problem](c, 422, "POST", "/api/kit/set", KitSet{"heads", "battery head 500", []KitSetting{{"weight", "heavy"}}})
	ask[Problem](c, 422, "POST", "/api/kit/add", KitAdd{"battery head 500", "heads", "battery head 500"})
	ask[State](c, 200, "POST", "/api/kit/add", KitAdd{"softbox 60x60", "modifiers", "patched"})
	with := read() + "# and a word of mine\n"
	if err := os.WriteFile(path, []byte(with), 0o644); err != nil {
		t.Fatal(err)
	}
	st = ask[State](c, 200, "POST", "/api/undo", Step{c.state().Revision})
	if got := read(); strings.Contains(got, "patched") || !strings.Contains(got, "a word of mine") {
		t.Errorf("undo leaves:\n%s", got)
	}
	ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
	if got := ask[GearView](c, 200, "GET", thing, nil); got.Levels[0].State != "catalogue" {
		t.Errorf("undone: %+v", got.Levels)
	}
	// Another program takes out the list that a step has changed: the step is left out, with words.
	ask[State](c, 200, "POST", "/api/kit/set", KitSet{"stands", "heavy", []KitSetting{{"have", "3"}}})
	if err := os.WriteFile(path, []byte("stands:\n  - {name: heavy, like: low stand, have: 7}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	p := ask[Problem](c, 409, "POST", "/api/undo", Step{c.state().Revision})
	if !strings.Contains(p.Error, "own.yaml") || !strings.Contains(read(), "have: 7") {
		t.Errorf("%q; the file:\n%s", p.Error, read())
	}
}

// TestKitInMemory: the kit of a shoot in memory is kept there, and goes into the folder that it is
// saved in.
func TestKitInMemory(t *testing.T) {
	c := start(t, Options{Shoot: &store.Shoot{Name: "shoot.yaml", Src: []byte(small)}, Demo: true})
	ask[State](c, 200, "POST", "/api/kit/add", KitAdd{"battery head 500", "heads", "my 500"})
	if v := ask[OwnKitView](c, 200, "GET", "/api/kit/own", nil); len(v.Own) != 1 {
		t.Fatalf("own: %+v", v.Own)
	}
	to := filepath.Join(t.TempDir(), "new")
	ask[State](c, 200, "POST", "/api/save", SaveAs{c.state().Revision, to})
	b, err := os.ReadFile(filepath.Join(to, "kit", "own.yaml"))
	if err != nil || !strings.Contains(string(b), "my 500") {
		t.Errorf("%s, %v", b, err)
	}
}

// TestLearnOnScreen: a reading is logged with the settings as they stand, teaches, is kept,
// forgotten, and taken back and put back.
func TestLearnOnScreen(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	ask[Problem](c, 422, "POST", "/api/learn/read", LearnAsk{"One", "bench", "key", "f/eight"})
	ask[Problem](c, 422, "POST", "/api/learn/keep", struct{}{})
	ask[Done](c, 200, "POST", "/api/learn/read", LearnAsk{"One", "bench", "key", "f/8"})
	c.edit("dim", "", Edit{Set: "setups[0].lights[0].power", Value: "1/32"})
	v := ask[LearnView](c, 200, "GET", "/api/learn", nil)
	if len(v.Reads) != 1 || v.Reads[0].State != "fits" || v.Unkept != 1 ||
		len(v.Factors) == 0 || !(v.After < v.Before) {
		t.Fatalf("%+v", v)
	}
	off := v.Reads[0].Off
	c.edit("dim", "", Edit{Set: "setups[0].lights[0].power", Value: "1/8"})
	// what was read stays what was read, whatever the lights are set to since
	if v = ask[LearnView](c, 200, "GET", "/api/learn", nil); math.Abs(v.Reads[0].Off-off) > 0.02 {
		t.Errorf("off by %+.3f st, and %+.3f st at another setting", off, v.Reads[0].Off)
	}
	ask[State](c, 200, "POST", "/api/learn/keep", struct{}{})
	v = ask[LearnView](c, 200, "GET", "/api/learn", nil)
	if !v.Reads[0].Kept || v.Unkept != 0 || v.Factors[0].InForce == nil {
		t.Errorf("kept: %+v", v)
	}
	st := ask[State](c, 200, "POST", "/api/learn/forget", LearnForget{v.Factors[0].What})
	if v = ask[LearnView](c, 200, "GET", "/api/learn", nil); v.Lessons != 0 {
		t.Errorf("forgotten: %+v", v)
	}
	ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
	for _, again := range []bool{false, true} {
		ask[Done](c, 200, "POST", "/api/learn/back", LearnBack{v.Reads[0].Seq, again})
		if v = ask[LearnView](c, 200, "GET", "/api/learn", nil); v.Reads[0].State != map[bool]string{false: "back",
			true: "fits"}[again] {
			t.Errorf("again %v: %+v", again, v.Reads)
		}
	}
}
