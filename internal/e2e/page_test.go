package e2e

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"halfstop/internal/e2e/browser"
)

const (
	ready   = `document.getElementById("page").dataset.readings`
	picture = `Number(document.getElementById("page").dataset.film)>=1`
	undo    = `document.querySelector("[data-key=undo]")`
	rows    = `[...document.querySelectorAll("#lad .nm[data-act]")]`
	setting = `[...document.querySelectorAll(".lt .se")].map(e=>e.value??e.textContent).join("|")`
)

// level reads the predicted level of a point from its row's words.
func (p *page) level(point string) float64 {
	p.T.Helper()
	return p.number(fmt.Sprintf(
		`%s.find(e=>e.getAttribute("aria-label").includes(%q)).getAttribute("aria-label").match(/: ([+\u2212]?[\d.]+) stops/)[1].replace("\u2212","-")`, rows, point+":"))
}

// row gives the selector of a point's row.
func (p *page) row(point string) string {
	p.T.Helper()
	return `[data-key="` + p.Str(
		fmt.Sprintf(`%s.find(e=>e.getAttribute("aria-label").includes(%q)).closest(".lrow").dataset.key`, rows,
			point+":")) + `"]`
}

// ring reads where the ring of a point stands.
func (p *page) ring(point string) float64 {
	p.T.Helper()
	return p.number(fmt.Sprintf(
		`document.querySelector('.handle[aria-label="Wanted at %s"]').getAttribute("aria-valuenow")`, point))
}

func (p *page) number(expr string) float64 {
	p.T.Helper()
	s := p.Str(expr)
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		p.T.Fatalf("%s gave %q, not a number", expr, s)
	}
	return v
}

// settled waits until no change is under way and the readings are those of the shown revision.
func (p *page) settled() {
	p.T.Helper()
	p.Until("readings of the shown revision",
		`(()=>{const d=document.getElementById("page").dataset;return d.busy==="" && d.readings.split(" ")[0]===d.revision})()`, 60*time.Second)
}

// fine waits for settled readings: quick ones may still be a few tenths off, and say so.
func (p *page) fine() {
	p.T.Helper()
	p.Until("settled readings of the shown revision",
		`(()=>{const d=document.getElementById("page").dataset;return d.busy==="" && d.readings===d.revision+" fine"})()`, 150*time.Second)
}

func desk(t *testing.T) *page {
	t.Helper()
	address, _ := serve(t, "127.0.0.1:0")
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	return p
}

func (p *page) undoSays(what string) {
	p.T.Helper()
	p.Until("undo called "+what, fmt.Sprintf(`%s.title===%q`, undo, "Undo: "+what), 15*time.Second)
}

// TestPage opens the demonstration: title, setups, readings, picture; nothing from elsewhere, no
// complaint; and a reload comes back to where one was.
func TestPage(t *testing.T) {
	t.Parallel()
	begin := time.Now()
	p := desk(t)
	first := time.Since(begin)
	p.Until("a picture", picture, 60*time.Second)
	t.Logf("readings on screen %v and picture %v after the start of server and tab (shared machine)",
		first.Round(10*time.Millisecond), time.Since(begin).Round(10*time.Millisecond))
	if n := p.number(`document.querySelectorAll(".setups button").length`); n != 3 {
		t.Errorf("%v setups are shown, want 3", n)
	}
	if s := p.Str("document.title"); !strings.Contains(s, "Launderette") {
		t.Errorf("title %q", s)
	}
	// The picture is one: many tones, neither black nor one flat grey.
	tones := p.number(
		`(()=>{const c=document.createElement("canvas");c.width=64;c.height=64;const x=c.getContext("2d");x.drawImage(document.getElementById("picture"),0,0,64,64);const d=x.getImageData(0,0,64,64).data,s=new Set();for(let i=0;i<d.length;i+=4)s.add(d[i]>>3);return s.size})()`)
	if tones < 8 {
		t.Errorf("the picture has %v different tones, want many", tones)
	}
	p.Act("stops", "")
	p.Act("setup", `[data-arg="1"]`)
	p.Until("the second setup", `document.querySelector(".setups .on").textContent==="Window bench" && `+ready,
		60*time.Second)
	p.Act("pane", `[data-arg=checks]`)
	p.Do(chromedp.Reload())
	p.Until("the setup and the screen of before",
		`document.querySelector(".setups .on")?.textContent==="Window bench" && document.getElementById("page").dataset.pane==="checks"`, 30*time.Second)
	p.Clean()
}

// TestDragLight moves the key away from the face: the level there
// must fall, as the inverse square says at least in sense.
func TestDragLight(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.fine()
	before := p.level("face key side")
	p.Key("x") // the plan large
	p.Until("the plan in the large place", `document.querySelector("#bigplace #plan")`, 5*time.Second)
	k := p.scale()
	x, y := p.free(hitOf("plan", "light", "setups[0].lights[0]"))
	p.Drag(x, y, 0.75*k, 0.25*k) // away from the sitter, into the room
	p.fine()
	p.Until("a lower level at the face",
		fmt.Sprintf(
			`(()=>{const m=%s.find(e=>e.getAttribute("aria-label").includes("face key side:")).getAttribute("aria-label").match(/: ([+\u2212]?[\d.]+) stops/);return Number(m[1].replace("\u2212","-"))<%f})()`, rows, before-0.2), 20*time.Second)
	p.undoSays("move key")
	// One drag is one step of undo.
	p.Tap("[data-key=undo]")
	p.Until("nothing left to undo", undo+`.disabled`, 10*time.Second)
	p.fine()
	// both are shown to a tenth, each settled to a few hundredths
	if after := p.level("face key side"); math.Abs(after-before) > 0.15 {
		t.Errorf("after undo the face reads %+.1f, before %+.1f", after, before)
	}
	// What a drag drew by changing what differs is what a new page draws.
	p.Key("x")
	p.Act("unthing", "")
	p.Until("nothing selected", `!document.querySelector(".lt.sel") && document.querySelector("#low #plan")`,
		5*time.Second)
	drawn := `(()=>{const tell=e=>e.nodeName+JSON.stringify([...e.attributes].map(a=>a.name+"="+a.value).sort())+[...e.childNodes].map(c=>c.nodeType===1?tell(c):c.nodeValue).join("");return tell(document.getElementById("plan"))+tell(document.getElementById("lad"))})()`
	time.Sleep(300 * time.Millisecond)
	was := p.Str(drawn)
	p.Do(chromedp.Reload())
	p.Until("readings", ready, 60*time.Second)
	p.fine()
	if now := p.Str(drawn); now != was {
		k := 0
		for k < min(len(now), len(was)) && now[k] == was[k] {
			k++
		}
		t.Errorf(
			"after a drag the plan and the ladder are drawn otherwise than by a new page: %.200q, a new page: %.200q",
			was[k:], now[k:])
	}
	p.Clean()
}

// TestDragRing asks for a darker face: the light's setting must change
// and the prediction meet the ring; the same wish is typed.
func TestDragRing(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.fine()
	was := p.Str(setting)
	before := p.level("face key side")
	order := rows + `.map(e=>e.textContent).join("|")`
	names := p.Str(order)
	x, y := p.At(`.handle[aria-label="Wanted at face key side"]`)
	pps := p.number(
		`(()=>{const t=[...document.querySelectorAll("#ladhead text")].filter(e=>e.textContent==="0"||e.textContent==="\u22121").map(e=>{const r=e.getBoundingClientRect();return r.x+r.width/2});return Math.abs(t[1]-t[0])})()`)
	p.Drag(x, y, -pps/2, 0) // half a stop down: the key has no more than 0.8 to give
	p.fine()
	if now := p.Str(setting); now == was {
		t.Error("no light's setting changed")
	}
	got, want := p.level("face key side"), p.ring("face key side")
	if math.Abs(got-want) > 0.25 { // a dial step of a tenth, a tenth of rounding on each side
		t.Errorf("the ring asks for %+.1f and the prediction is %+.1f (before %+.1f)", want, got, before)
	}
	if got > before-0.25 {
		t.Errorf("asked for half a stop less, the level went from %+.1f to %+.1f", before, got)
	}
	if now := p.Str(order); now != names {
		t.Errorf("the rows were %s and are %s", names, now)
	}
	// Undo names the value that the drag ended with.
	// The wish is of a meter's reading, so the ring may come to stand a tenth beside.
	title := p.Str(undo + `.title`)
	var ends float64
	_, err := fmt.Sscanf(strings.ReplaceAll(title, "\u2212", "-"), "Undo: ask %f at face key side", &ends)
	if err != nil || math.Abs(ends-want) > 0.15 {
		t.Errorf("undo is called %q, the drag ended at %+.1f", title, want)
	}
	p.Tap("[data-key=undo]")
	p.Until("the settings of before", fmt.Sprintf("%s===%q", setting, was), 15*time.Second)
	p.settled()
	// Typed: what the meter shall read.
	p.Fill(p.row("face key side")+" .wt", "f/3.4")
	p.Until("a step of undo for it", undo+`.title.startsWith("Undo: ask ")`, 20*time.Second)
	p.written("reads: f/2.8 + 0.5") // f/3.4 is half a stop over f/2.8
	p.Fill(p.row("face key side")+" .wt", "bright")
	p.Until("a word on what was not understood",
		`document.querySelector(".toast")?.textContent.includes("is no wish")`, 5*time.Second)
	p.Clean()
}

// TestText breaks the YAML and sees the message at its line, the banner over the desk and the
// picture marked as of the plan before; mends it and goes on.
func TestText(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.Act("pane", `[data-arg=text]`)
	p.Until("the text", `document.getElementById("text").value.includes("halfstop: 1")`, 10*time.Second)
	line := p.number(`document.getElementById("text").value.split("\n").findIndex(l=>l.includes("aperture:"))+1`)
	// The cursor before the word, and a letter too much.
	p.Tap("#text")
	p.Run(`const a=document.getElementById("text"),i=a.value.indexOf("aperture:");a.setSelectionRange(i+1,i+1)`)
	p.Write("p")
	p.Until("the message at its line",
		fmt.Sprintf(
			`document.querySelector("#textsays .error button")?.textContent==="line %d" && document.querySelector("#gutter .error")?.textContent.includes("%d")`, int(line), int(line)), 15*time.Second)
	if s := p.Str(`document.getElementById("textsays").textContent`); !strings.Contains(s, "apperture") ||
		!strings.Contains(s, "aperture") {
		t.Errorf("the message says %q", s)
	}
	p.Act("pane", `[data-arg=desk]`)
	p.Until("the banner, and the picture marked",
		fmt.Sprintf(
			`document.querySelector("#err .err")?.textContent.includes("line %d") && document.querySelector(".capt")?.textContent.includes("before the mistake") && document.querySelector(".sv").textContent.startsWith("not saved")`, int(line)), 10*time.Second)
	p.Shot("stale-1440x900")
	p.Tap("#err [data-act=goto]")
	p.Until("the cursor at the mistake",
		fmt.Sprintf(
			`(()=>{const a=document.activeElement;return a?.id==="text" && a.value.slice(0,a.selectionStart).split("\n").length===%d})()`, int(line)), 10*time.Second)
	p.Write("aperture")
	p.Until("no error, no banner, no mark",
		`!document.querySelector("#textsays .error") && !document.querySelector("#err .err") && !document.querySelector(".capt")`, 15*time.Second)
	p.Clean()
}

// TestTwoPages: what one page does, the other shows.
func TestTwoPages(t *testing.T) {
	t.Parallel()
	address, _ := serve(t, "127.0.0.1:0")
	b := browser.Profile(t)
	one, two := open(t, b, address, 1440, 900), open(t, b, address, 1180, 820)
	one.Until("readings", ready, 60*time.Second)
	two.Until("readings", ready, 60*time.Second)
	one.Fill(`[data-key="set-setups[0].lights[0]"]`, "1/32")
	two.Until("the other page to follow",
		`document.querySelector('[data-key="set-setups[0].lights[0]"]').value==="1/32"`, 15*time.Second)
	one.undoSays("set key 1/32")
	one.Clean()
	two.Clean()
}

// TestAxe: no fault of accessibility of any level on any screen, in both
// grounds. The rules are axe-core's, read from web/node_modules.
func TestAxe(t *testing.T) {
	t.Parallel()
	p := desk(t)
	check := func(screen string) { t.Helper(); p.Axe(screen, "../../web/node_modules") }
	for _, ground := range []string{"booth", "paper"} {
		p.Act("theme", `[data-arg=`+ground+`][data-key^=theme]`)
		for _, pane := range []string{"desk", "text", "checks", "edit"} {
			p.Act("pane", `[data-arg=`+pane+`]`)
			p.Until(pane, `document.getElementById("page").dataset.pane==="`+pane+`"`, 10*time.Second)
			check(ground + " " + pane)
		}
		p.Tap(`#ednav [data-path=setups]`)
		p.Tap(`#ednav [data-path="setups[0]"]`)
		p.Tap(`#ednav [data-path="setups[0].lights"]`)
		p.Tap(`.rows [data-path="setups[0].lights[1]"]`)
		p.Tap(`#edform [data-act=pick]`)
		p.Until("the chart", `document.querySelector("#chart .prim")`, 10*time.Second)
		check(ground + " light and colour")
		p.Act("unpick", "")
		p.Act("pane", `[data-arg=setups]`)
		p.Act("crop", "")
		p.Until("the cards", `document.querySelector(".card") && document.querySelector(".knob")`, 10*time.Second)
		check(ground + " setups and crop")
		p.Act("coverview", "")
		p.Choose(`[data-key=v-beside]`, "1")
		p.Until("the wipe", `document.getElementById("wipe")`, 60*time.Second)
		p.PressAt(p.unmarked())
		p.Until("a spot under the wipe", `document.getElementById("wipe") && document.querySelector(".spot")`,
			60*time.Second)
		check(ground + " wipe, cover and spot")
		p.Act("unspot", "")
		p.Choose(`[data-key=v-beside]`, "-1")
		p.Act("coverview", "")
		p.Act("pane", `[data-arg=desk]`)
		p.Tap(`.lt .ro`)
		p.Act("help", "[data-key=help]")
		p.Until("the actions", `document.querySelector(".help .do")`, 10*time.Second)
		check(ground + " actions, a light open")
		p.Act("help", "[data-key=help-close]")
		p.Tap(`.lt .ro`)
		p.Act("exchange", "")
		check(ground + " plan large")
		p.Act("exchange", "")
	}
	// A phone: half of its screens on each ground.
	p.Do(chromedp.EmulateViewport(390, 844))
	part := func(ground, name, there string, presses ...string) {
		t.Helper()
		for _, x := range presses {
			p.Tap(x)
		}
		p.Until(name, `document.documentElement.scrollWidth<=390 && `+there, 10*time.Second)
		check(ground + " phone " + name)
	}
	phone := func(x string) string { return `[data-act=phone][data-arg=` + x + `]` }
	part("paper", "frame", `document.getElementById("stage").offsetHeight>0`, phone("frame"))
	part("paper", "ladder", `document.getElementById("lad").offsetHeight>0`, phone("ladder"))
	p.Run(`document.documentElement.dataset.was=""`)
	p.Key("d")
	part("booth", "plan", `document.getElementById("plan").clientHeight>200`, phone("plan"))
	part("booth", "lights", `document.getElementById("lights").offsetHeight>300`, phone("lights"))
	p.Choose(`[data-key=npane]`, "edit")
	part("booth", "plan of the place",
		`document.querySelector("#roomplan .wall") && document.getElementById("roomplan").clientHeight>300`,
		`[data-act=edbeside][data-arg=plan]`)
	part("booth", "form", `document.getElementById("edform").offsetHeight>0`, `[data-act=edpart]`)
}
