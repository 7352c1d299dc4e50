package library

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"halfstop/answer"
	"halfstop/internal/e2e/browser"
	"halfstop/internal/records"
	"halfstop/internal/server"
	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/record"
	"halfstop/render"
	"halfstop/shoot"
)

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) { os.Exit(browser.Main(m, nil)) }

// den is what was recorded: a small dark room with two lights.
const den = `halfstop: 1
shoot: {title: Den, date: 2026-02-01}
room: {size: [5, 4, 2.6], surfaces: {walls: mid grey, floor: dark wood, ceiling: white emulsion}}
setups:
  - name: Chair
    camera: {at: [3.6, 2.0, 1.3], aim: sitter.eyes, lens: 60 mm, aperture: f/4, shutter: 1/60 s, iso: 400}
    sitter: {at: [1.6, 2.0], faces: camera, turn: 10 deg}
    lights:
      - {role: key, head: battery head 200, modifier: softbox 60x90, at: [2.6, 3.2, 1.9], power: 1/32}
      - {role: edge, head: battery head 200, modifier: standard reflector, grid: grid 20, at: [0.6, 0.7, 2.2],
         aim: sitter.hair, power: 1/64}
`

// attic is the room that it is lit again in: pale and low.
const attic = `halfstop: 1
shoot: {title: Attic}
room: {size: [6, 4.4, 2.3], surfaces: {walls: white emulsion, floor: light wood, ceiling: white emulsion}}
setups:
  - name: Window side
    camera: {at: [4.4, 2.0, 1.4], aim: sitter.eyes, lens: 50 mm, aperture: f/4, shutter: 1/60 s, iso: 400}
    sitter: {at: [1.8, 2.0], faces: camera}
    lights:
      - {role: key, head: battery head 200, modifier: umbrella white 85, at: [3, 3.2, 2.0], power: 1/16}
`

// folder makes a shoot in its folder, and a record of another below it.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "shoot.yaml"), []byte(attic), 0o644); err != nil {
		t.Fatal(err)
	}
	f, doc, list := shoot.Parse("shoot.yaml", []byte(den), shoot.Options{})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	job, ctx := &answer.Job{File: f, Doc: doc}, context.Background()
	made, list, err := record.Make(ctx, job, 0, record.Work{Meter: meter.Work{Seed: 1, Error: 0.1, Samples: 1 << 10}})
	if err != nil || made == nil {
		t.Fatal(err, list.Text())
	}
	frame, list, err := job.Frame(ctx, 0, answer.FrameWork{
		Work: render.Work{Width: 240, Height: 160, Samples: 4, Seed: 1}})
	if err == nil && frame != nil {
		err = frame.Denoise(ctx)
	}
	if err != nil || frame == nil {
		t.Fatal(err, list.Text())
	}
	files, err := records.Pictures(made.Record, frame)
	if err != nil {
		t.Fatal(err)
	}
	files = append(files, records.File{Name: records.DialledName, Data: []byte(den)},
		records.File{Name: records.PlannedName, Data: []byte(den)},
		records.File{Name: records.RecordName, Data: made.Record.Encode()})
	if _, err := records.Write(filepath.Join(dir, "records"), "2026-02-01-chair", files); err != nil {
		t.Fatal(err)
	}
	return dir
}

// modules is where axe-core is, seen from here.
const modules = "../../../web/node_modules"

// long is how long is waited for what is computed; only what never comes takes that long.
const long = 2 * time.Minute

// small looks at the screen as it stands on a tablet and two phones, on one ground and the other:
// nothing is wider than the screen, what is pressed is large enough for a thumb, and axe finds
// nothing. Where pictures are asked for, each is on both grounds.
func small(p *browser.Page, name string) {
	p.T.Helper()
	turn := len(name)
	for _, w := range []int64{820, 390, 320} {
		h := map[int64]int64{820: 1180, 390: 844, 320: 640}[w]
		p.Do(chromedp.EmulateViewport(w, h))
		grounds := []string{"paper", "booth"}
		if turn++; os.Getenv("HALFSTOP_SCREENS") == "" {
			grounds = grounds[turn%2 : turn%2+1]
		}
		for _, ground := range grounds {
			at := fmt.Sprintf("%s-%s-%dx%d", name, ground, w, h)
			theme := `document.documentElement.dataset.theme`
			p.Run(theme + `!=="` + ground + `"&&document.querySelector('[data-act=theme][data-arg=` + ground +
				`]')?.click()`)
			p.Until("the ground", theme+`==="`+ground+`"`, long)
			p.Until("the size", fmt.Sprintf(`innerWidth===%d`, w), long)
			if over := p.Str(`document.documentElement.scrollWidth-innerWidth`); over != "0" {
				p.T.Errorf("%s: the page is %s px wider than the screen", at, over)
			}
			if wide := p.Str(`[...document.querySelectorAll("#library *")].filter(e=>{const r=e.getBoundingClientRect();` +
				`return r.width>0&&r.right>innerWidth+1&&!e.closest(".facets,.wide")})` +
				`.slice(0,3).map(e=>e.tagName+"."+e.className+" "+e.textContent.slice(0,30)).join("; ")`); wide != "" {
				p.T.Errorf("%s: past the edge: %s", at, wide)
			}
			if tiny := p.Str(`[...document.querySelectorAll("#library button,#library input")].filter(e=>{` +
				`const r=e.getBoundingClientRect();return r.width>0&&r.height<44})` +
				`.slice(0,3).map(e=>e.tagName+" "+e.textContent.slice(0,30)).join("; ")`); tiny != "" {
				p.T.Errorf("%s: under 44 px: %s", at, tiny)
			}
			p.Axe(at, modules)
			p.Shot(at)
		}
	}
	p.Do(chromedp.EmulateViewport(1440, 900))
	p.Until("the desk's size", `innerWidth===1440`, long)
}

// TestLibrary drives the Library as a person would: contact sheets come with their numbers, words
// and facets narrow them, two are held against each other with what made one softer, the record is
// lit again in this room beside its old frame and taken into the shoot, in one step of undo.
func TestLibrary(t *testing.T) {
	dir := folder(t)
	sh, err := store.Read(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := server.New(server.Options{Shoot: sh, Listen: "127.0.0.1:0", Page: server.BuiltPage(), Version: "test",
		Journals: t.TempDir(), Cache: t.TempDir(), Samples: 4, Fine: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	t.Cleanup(func() { cancel(); <-done })
	p := browser.Open(t, browser.Profile(t), 1440, 900, s.Address, 8*time.Minute)
	p.Do(chromedp.Navigate("http://" + s.Address + "/"))
	p.Until("the desk", `document.getElementById("page").dataset.readings`, long)

	p.Act("pane", `[data-arg=library]`)
	cards := `document.querySelectorAll("#library .cs").length`
	p.Until("both setups", cards+`===2`, long)
	p.Until("the record's picture", `document.querySelector("#library .csp img")?.naturalWidth===240`, long)
	record := p.Str(`[...document.querySelectorAll("#library .cs")]` +
		`.find(e=>e.querySelector("b").textContent==="Chair").textContent`)
	for _, want := range []string{"2 lights", ":1", "loop", "60 mm", "ceiling 2.60 m", "20 m²", "Den", "record"} {
		if !strings.Contains(record, want) {
			t.Errorf("the record's card does not say %q: %s", want, record)
		}
	}
	p.Axe("library", modules)
	p.Shot("library-1440x900")
	small(p, "library")

	p.Fill(`[data-act=libfind]`, "umbrella")
	p.Until("the umbrella first", `document.querySelector("#library .cs b")?.textContent==="Window side"`, long)
	p.Fill(`[data-act=libfind]`, "")
	p.Until("both again", cards+`===2`, long)
	p.Act("libpick", `[data-arg="lights=2"]`)
	p.Until("one by its facet", cards+`===1 && document.querySelector("#library .cs b").textContent==="Chair"`, long)
	p.Act("libpick", `[data-arg="lights=2"]`)
	p.Until("both again", cards+`===2`, long)
	p.Act("liblike", `[data-arg="Chair"]`)
	p.Until("what looks alike", cards+`===1 && document.querySelector("#library .cs b").textContent==="Window side"`,
		long)
	p.Act("liball", "")
	p.Until("both again", cards+`===2`, long)

	p.Act("libmark", `[data-arg="Chair"]`)
	p.Act("libdesk", "")
	p.Until("the differences", `document.querySelectorAll("#library .libwork tbody tr").length>2`, long)
	if text := p.Str(`document.querySelector("#library .diff").textContent`); !strings.Contains(text, "st") {
		t.Errorf("the differences say %q", text)
	}
	p.Act("libwhy", `[data-arg=softer]`)
	p.Until("what made it softer", `document.querySelectorAll("#library .libwork table").length===2`, long)
	p.Axe("compare", modules)
	p.Shot("compare-1440x900")
	small(p, "compare")
	p.Act("libclose", "")

	p.Act("librelight", "")
	p.Until("the new frame beside the old",
		`[...document.querySelectorAll("#library .twoframes img")].filter(e=>e.naturalWidth>0).length===2`, long)
	tables := p.Str(`[...document.querySelectorAll("#library .libwork caption")].map(e=>e.textContent.trim()).join()`)
	if tables != "What remains by point,What remains by region" {
		t.Errorf("the tables are %s", tables)
	}
	p.Axe("relight", modules)
	p.Shot("relight-1440x900")
	small(p, "relight")
	p.Act("libtake", "")
	chair := `[...document.querySelectorAll("#bar .setups button")].some(e=>e.textContent==="Chair")`
	p.Until("the setup in the shoot", chair, long)
	p.Tap("[data-key=undo]")
	p.Until("the shoot as it was", "!"+chair, long)
	p.Clean()
}
