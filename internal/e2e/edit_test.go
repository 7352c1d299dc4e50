package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// editor opens the demonstration's edit screen.
func editor(t *testing.T) *page {
	t.Helper()
	p := desk(t)
	p.click(`[data-act=pane][data-arg=edit]`)
	p.Until("the form of the room", `document.querySelector('[data-key="fd-room.ceiling"]')`, 15*time.Second)
	return p
}

func (p *page) click(selector string) { p.T.Helper(); p.Tap(selector) }

// enter types a value into a field and takes it.
func (p *page) enter(key, value string) { p.T.Helper(); p.Fill(`[data-key="`+key+`"]`, value) }

// says reads the shoot file's text from the program.
func (p *page) says() string {
	p.T.Helper()
	p.Run(`window.said=null;fetch("/api/text").then(r=>r.json()).then(t=>{window.said=t.text})`)
	p.Until("the text", `window.said!==null`, 10*time.Second)
	return p.Str(`window.said`)
}

// written waits until the file says something.
func (p *page) written(what string) {
	p.T.Helper()
	end := time.Now().Add(browser.Patience * 15 * time.Second)
	for !strings.Contains(p.says(), what) {
		if time.Now().After(end) {
			p.T.Fatalf("the file does not come to say %q:\n%s", what, p.says())
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// TestEditRoom changes the room by fields, by a typed length, by the
// plan, and adds a window: each is one named step of undo.
func TestEditRoom(t *testing.T) {
	t.Parallel()
	p := editor(t)
	p.enter("fd-room.ceiling", "3,1")
	p.written("ceiling: 3.1 m")
	p.undoSays("set ceiling of room")
	p.Until("the plan's walls", `document.querySelectorAll("#roomplan .wall").length===4`, 10*time.Second)
	p.enter("wall1", "4.20 m") // wall 2, at x = 7.2 m: the wall behind it moves
	p.written("outline: [[0, 0], [7.2, 0], [7.2, 4.2], [0, 4.2]]")
	p.Until("the new length in the plan",
		`[...document.querySelectorAll("#roomplan .dist")].some(e=>e.textContent==="4.20 m")`, 15*time.Second)
	// A corner is dragged; however many steps it takes, one undo takes it back.
	x, y := p.Middle(`#roomplan [data-hold=corner][data-n="2"]`)
	p.Drag(x, y, -60, 0)
	p.undoSays("move corner 3")
	if s := p.says(); strings.Contains(s, "[7.2, 4.2]") || !strings.Contains(s, "[7.2, 0]") {
		t.Errorf("the corner was not moved alone:\n%s", s)
	}
	p.Until("the drag to end", `document.getElementById("page").dataset.busy===""`, 20*time.Second)
	p.click("[data-key=undo]")
	p.written("[7.2, 4.2]")
	// A window's far side is dragged along its wall (4:
	// downwards on the sheet): it grows by that much.
	was := p.number(
		`document.querySelector("#roomplan .window .hold0").getAttribute("aria-label").match(/, ([\d.]+) m wide/)[1]`)
	x, y = p.Middle(`#roomplan [data-hold=end1][data-path="room.windows[0]"]`)
	p.Drag(x, y, 0, 30)
	p.undoSays("width of street window")
	p.Until("a wider window",
		fmt.Sprintf(
			`document.querySelector("#roomplan .window .hold0").getAttribute("aria-label").match(/, ([\d.]+) m wide/)[1]>%f`, was+0.1), 15*time.Second)
	p.Until("the drag to end", `document.getElementById("page").dataset.busy===""`, 20*time.Second)
	p.click(`#ednav [data-path="room.windows"]`)
	p.click(`[data-act=edadd][data-path="room.windows"]`)
	p.written("{name: window, wall: 1,")
	p.Until("the new window's form", `document.querySelector('[data-key="fd-room.windows[1].width"]')`, 10*time.Second)
	p.enter("fd-room.windows[1].width", "150 cm")
	p.written("width: 150 cm")
	p.undoSays("set width of window")
	p.click(`.crumbs [data-act=edremove]`)
	p.Until("one window", `document.querySelectorAll(".rows li").length===1`, 10*time.Second)
	p.undoSays("remove window")
	p.Clean("422") // a window that was just made too wide
}

// TestEditMistakes: a wrong value is told at its field, in the list of
// parts, and in the text beside, and the last good text stays in force.
func TestEditMistakes(t *testing.T) {
	t.Parallel()
	p := editor(t)
	for _, f := range [][2]string{{"room.ceiling", "high"}, {"room.skirting", "9 m"}} {
		key := f[0]
		p.enter("fd-"+key, f[1]) // its message moves the form: the next field is pressed once it stands
		p.Until("the message at "+key,
			fmt.Sprintf(
				`document.querySelector('[data-key="fr-%s"] .fmsg.error') && document.querySelector('[data-key="fd-%s"]').getAttribute("aria-invalid")==="true"`, key, key), 15*time.Second)
	}
	p.Until("the count at the room",
		`document.querySelector('#ednav [data-path=room] small').textContent==="2 wrong"`, 5*time.Second)
	p.click(`[data-act=edbeside][data-arg=text]`)
	p.Until("the same two messages beside", `document.querySelectorAll("#textsays .error").length===2`, 10*time.Second)
	p.Shot("edit-mistakes-1440x900")
	p.enter("fd-room.ceiling", "2.75 m")
	p.Until("its message gone, which moves the form", `!document.querySelector('[data-key="fr-room.ceiling"] .fmsg.error')`,
		15*time.Second)
	p.enter("fd-room.skirting", "0.1 m")
	p.Until("no message", `!document.querySelector(".fmsg.error") && !document.querySelector("#textsays .error")`,
		15*time.Second)
	// A key that is none of the file's is shown too, and spelled as proposed.
	p.Until("the text beside", `document.getElementById("text").value.includes("skirting: 0.1 m")`, 10*time.Second)
	p.Run(`const a=document.getElementById("text");a.value=a.value.replace("skirting:","skriting:");a.dispatchEvent(new Event("input",{bubbles:true}))`)
	p.click(`[data-act=edrename][data-arg=skirting]`)
	p.written("  skirting: 0.1 m")
	p.Until("no message", `!document.querySelector(".fmsg.error") && !document.querySelector("#textsays .error")`,
		15*time.Second)
	p.Until("the text beside", `document.getElementById("text").value.includes("skirting: 0.1 m")`, 10*time.Second)
	// A text that cannot be read at all says where, here too.
	p.Run(`const a=document.getElementById("text");a.value=a.value.replace("room:","room: [");a.dispatchEvent(new Event("input",{bubbles:true}))`)
	p.Until("the message at the line",
		`document.querySelector("#textsays .error button")?.textContent.startsWith("line ") && document.querySelector("#edform .fmsg.error")`, 15*time.Second)
	p.Run(`const a=document.getElementById("text");a.value=a.value.replace("room: [","room:");a.dispatchEvent(new Event("input",{bubbles:true}))`)
	p.Until("no message", `!document.querySelector(".fmsg.error")`, 15*time.Second)
	p.Clean()
}

// TestEditUnits: feet and a 12-hour clock are shown and understood, and kept on the device.
func TestEditUnits(t *testing.T) {
	t.Parallel()
	p := editor(t)
	p.click(`[data-act=edlengths][data-arg=feet]`)
	// 2.75 m is 108.27 in
	p.Until("the ceiling in feet", `document.querySelector('[data-key="fd-room.ceiling"]').value==="9 ft \u00bc in"`,
		5*time.Second)
	p.enter("fd-room.ceiling", "9 ft 6 in")
	p.written("ceiling: 9 ft 6 in")
	p.click(`[data-act=edclock][data-arg="12"]`)
	p.click(`#ednav [data-path=shoot]`)
	p.Until("the access hour", `document.querySelector('[data-key="fd-shoot.hours.access"]')?.value==="4:30 pm"`,
		5*time.Second)
	p.enter("fd-shoot.hours.access", "4:45 pm")
	p.written("16:45")
	p.Reload()
	p.Until("readings", `document.getElementById("page")?.dataset.readings`, 60*time.Second)
	p.click(`[data-act=pane][data-arg=edit]`)
	p.Until("feet again", `document.querySelector('[data-key="fd-room.ceiling"]')?.value==="9 ft 6 in"`, 15*time.Second)
	p.Clean()
}

// TestPickColour picks a colour on the chart: inside the head's
// primaries it is made, outside the nearest and its distance are said.
func TestPickColour(t *testing.T) {
	t.Parallel()
	long(t)
	p := desk(t)
	p.Tap(`[data-key="name-setups[0].lights[1]"]`)
	p.click(`.lt.sel [data-act=pick]`)
	p.Until("the chart with the head's primaries",
		`document.querySelectorAll("#chart .prim").length===4 && document.querySelector("#chart .locus")`,
		10*time.Second)
	at := func(u, v float64) {
		s := p.Str(
			fmt.Sprintf(
				`(()=>{const r=document.getElementById("chart").getBoundingClientRect();return (r.x+r.width*(%f+0.065)/0.745)+" "+(r.y+r.height*(1-(%f+0.03)/0.655))})()`, u, v))
		var x, y float64
		fmt.Sscan(s, &x, &y)
		p.Drag(x, y, 1, 0)
	}
	at(0.25, 0.35)
	p.Until("a colour that it makes",
		`document.querySelector(".colourpick .pw").textContent.includes("makes it") && /^colour of /.test(document.querySelector("[data-key=undo]").title.replace("Undo: ",""))`, 10*time.Second)
	p.Until("a chromaticity in the file",
		`/In the file: x, y 0\.\d+, 0\.\d+/.test(document.querySelector(".colourpick").textContent)`, 10*time.Second)
	at(0.08, 0.30)
	p.Until("what is out of reach and how far",
		`/Out of reach of rgb panel 300. The nearest is 0\.\d\d\d away/.test(document.querySelector(".colourpick .far")?.textContent)`, 10*time.Second)
	p.Shot("colour-1440x900")
	p.enter("pickk", "3200 K")
	p.written("3200 K")
	p.Tap(`[data-act=picktake][data-arg="like practicals.sign"]`)
	p.written("like practicals.sign")
	p.click(`[data-act=unpick]`)
	p.Until("no chart", `!document.querySelector(".colourpick")`, 5*time.Second)
	p.Clean()
}

// TestTwoTypers: two pages type in the text at once; what does not touch the same lines is joined,
// what does is asked.
func TestTwoTypers(t *testing.T) {
	t.Parallel()
	address, _ := serve(t, "127.0.0.1:0")
	b := browser.Profile(t)
	one, two := open(t, b, address, 1180, 820), open(t, b, address, 1180, 820)
	for _, p := range []*page{one, two} {
		p.Until("readings", ready, 60*time.Second)
		p.click(`[data-act=pane][data-arg=text]`)
		p.Until("the text", `document.getElementById("text").value.includes("halfstop: 1")`, 10*time.Second)
	}
	typing := func(p *page, from, to string) {
		p.Run(fmt.Sprintf(
			`const a=document.getElementById("text");a.value=a.value.replace(%q,%q);a.dispatchEvent(new Event("input",{bubbles:true}))`, from, to))
	}
	typing(one, "Launderette at dusk", "One was here")
	typing(two, "ceiling: 2.75 m", "ceiling: 2.85 m")
	one.written("ceiling: 2.85 m")
	one.written("One was here")
	two.Until("both in the other page", `document.getElementById("text").value.includes("One was here")`,
		15*time.Second)
	two.Until("nothing unsent", `document.getElementById("texthead").textContent.indexOf("sending")<0`, 15*time.Second)
	one.Until("both here", `document.getElementById("text").value.includes("2.85 m")`, 15*time.Second)
	typing(one, "One was here", "First")
	typing(two, "One was here", "Second")
	asked := func() *page {
		for range 200 {
			for _, p := range []*page{one, two} {
				if p.Str(`Boolean(document.querySelector("[data-act=clash]"))`) == "true" {
					return p
				}
			}
			time.Sleep(50 * time.Millisecond)
		}
		t.Fatal("neither page asks")
		return nil
	}()
	mine := asked.Str(`document.getElementById("text").value.includes("First")?"First":"Second"`)
	asked.Until("the line to say that it waits", `/not saved/.test(document.querySelector(".sv").textContent)`,
		5*time.Second)
	asked.click(`[data-act=clash][data-arg=mine]`)
	asked.written("title: " + mine)
	asked.Clean("409")
}

// TestTypedIntoAnUndo types on in the text before the answer to an undo is there, in the line
// that it takes back: which of the two stands is asked, and until then nothing claims to be saving.
func TestTypedIntoAnUndo(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, bareShoot())
	p := open(t, browser.Profile(t), address, 1180, 820)
	p.Until("readings", ready, 60*time.Second)
	p.click(`[data-act=pane][data-arg=text]`)
	p.Until("the text", `document.getElementById("text").value.includes("Try")`, 10*time.Second)
	p.Run(`const a=document.getElementById("text"),i=a.value.indexOf("Try");a.focus();a.setSelectionRange(i,i+3)`)
	p.Write("Dusk")
	p.written("title: Dusk")
	p.still()
	p.late(time.Second)
	p.Act("undo", "")
	p.Run(`const a=document.getElementById("text"),i=a.value.indexOf("Dusk");a.focus();a.setSelectionRange(i,i+4)`)
	p.Write("Dawn")
	p.Until("to be asked", `document.querySelector("[data-act=clash]")`, 15*time.Second)
	p.Until("the line to say that it waits", `/not saved/.test(document.querySelector(".sv").textContent)`,
		5*time.Second)
	p.click(`[data-act=clash][data-arg=mine]`)
	p.written("title: Dawn")
	p.Until("saved or in memory", `!/saving|not saved/.test(document.querySelector(".sv").textContent)`, 15*time.Second)
	p.Clean("409")
}

// TestManyMistakes types several mistakes into the text: of writing, then of
// meaning; all are told, each at its line, and its button goes there.
func TestManyMistakes(t *testing.T) {
	t.Parallel()
	long(t)
	p := desk(t)
	p.click(`[data-act=pane][data-arg=text]`)
	p.Until("the text", `document.getElementById("text").value.includes("halfstop: 1")`, 10*time.Second)
	whole := p.Str(`document.getElementById("text").value`)
	typing := func(pairs ...string) (lines []int) {
		s := whole
		for i := 0; i < len(pairs); i += 2 {
			at := strings.Index(s, pairs[i])
			if at < 0 {
				t.Fatalf("%q is not in the text", pairs[i])
			}
			lines = append(lines, strings.Count(s[:at], "\n")+1)
			s = s[:at] + pairs[i+1] + s[at+len(pairs[i]):]
		}
		p.Run(fmt.Sprintf(
			`const a=document.getElementById("text");a.value=%q;a.dispatchEvent(new Event("input",{bubbles:true}))`, s))
		return lines
	}
	told := func(lines []int) {
		t.Helper()
		for _, l := range lines {
			p.Until(fmt.Sprintf("the message at line %d", l),
				fmt.Sprintf(
					`[...document.querySelectorAll("#textsays .error button")].some(e=>e.textContent==="line %d") && document.querySelectorAll("#gutter span")[%d]?.className==="error"`, l, l-1), 15*time.Second)
		}
	}
	told(typing("ceiling: 2.75 m", "ceiling: 2.75 m: high", "aperture: f/4", "aperture: f/4: wide"))
	meaning := typing("ceiling: 2.75 m", "ceiling: -2 m", "skirting: 0.1 m", "skriting: 0.1 m", "aperture: f/4",
		"aperture: open", "glass: single clear", "glass: single clear, glas: none")
	told(meaning)
	p.Until("how many", `/has [4-9] errors/.test(document.getElementById("texthead").textContent)`, 10*time.Second)
	p.Shot("many-mistakes-1440x900")
	p.Run(fmt.Sprintf(
		`[...document.querySelectorAll("#textsays .error button")].find(e=>e.textContent==="line %d").click()`,
		meaning[2]))
	p.Until("the cursor at the place",
		fmt.Sprintf(
			`(()=>{const a=document.getElementById("text");return document.activeElement===a && a.value.slice(0,a.selectionStart).split("\n").length===%d && a.value.slice(a.selectionStart,a.selectionEnd)==="open"})()`, meaning[2]), 10*time.Second)
	typing()
	p.Until("no error", `!document.querySelector("#textsays .error")`, 15*time.Second)
	p.Clean()
}

// TestSaveAs saves the demonstration into a new folder from the page, by the button; changes then
// go to that file; and again under another name, by Enter.
func TestSaveAs(t *testing.T) {
	t.Parallel()
	p := editor(t)
	dir := t.TempDir()
	p.click(`#ednav [data-path=shoot]`)
	saved := func(folder string) {
		t.Helper()
		p.Until("the word that it is saved",
			`document.querySelector(".toast")?.textContent.includes("Saved as") && document.querySelector("#edform").textContent.includes("everything is saved")`, 10*time.Second)
		p.Until("an empty field", `document.querySelector("[data-key=savename]").value===""`, 10*time.Second)
		if _, err := os.Stat(filepath.Join(dir, folder, "shoot.yaml")); err != nil {
			t.Error(err)
		}
	}
	p.click("[data-key=savename]")
	p.Write(filepath.Join(dir, "mine"))
	time.Sleep(300 * time.Millisecond)
	p.click("[data-act=edsave]")
	saved("mine")
	p.enter("fd-shoot.title", "Mine now")
	end := time.Now().Add(browser.Patience * 10 * time.Second)
	for {
		b, err := os.ReadFile(filepath.Join(dir, "mine", "shoot.yaml"))
		if err == nil && strings.Contains(string(b), "title: Mine now") {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("the new file: %v\n%s", err, b)
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.Until("the word gone", `!document.querySelector(".toast")`, 30*time.Second)
	p.click("[data-key=savename]")
	p.Write(filepath.Join(dir, "twice") + kb.Enter)
	saved("twice")
	p.Clean()
}
