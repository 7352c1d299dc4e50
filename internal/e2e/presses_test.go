package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// late makes every answer of the program come this much later, as from a busy machine.
func (p *page) late(by time.Duration) {
	p.T.Helper()
	p.Run(fmt.Sprintf(
		`const f=window.fetch;window.fetch=async(...a)=>{const r=await f(...a);await new Promise(d=>setTimeout(d,%d));return r}`, by.Milliseconds()))
}

// still waits until every press has had its effect.
func (p *page) still() {
	p.T.Helper()
	p.Until("all that was pressed to be done",
		`(()=>{const d=document.getElementById("page").dataset;return d.busy==="" && d.link==="live"})()`,
		20*time.Second)
}

// bareShoot is a small shoot that is soon computed.
func bareShoot() string {
	return "halfstop: 1\nshoot: {title: Try}\n" + bareRoom + "setups:\n  - name: One\n" +
		fmt.Sprintf(bareCamera, "sitter.face") + bareSitter + fmt.Sprintf(bareKey, "sitter.face")
}

// TestPresses presses faster than the program answers: no press of undo, redo, of a switch or of a
// step is lost, and their order is kept.
func TestPresses(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, bareShoot())
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	p.Until("the kit", `document.querySelectorAll(".lt").length===1`, 10*time.Second)
	first := p.says()
	p.late(160 * time.Millisecond)
	value := func(arg string) string {
		return p.Str(fmt.Sprintf(`document.querySelector('.cam [data-arg=%q]').value`, arg))
	}
	more := func(act string) (float64, float64) { return p.At(`[data-act="` + act + `"][data-by="1"]`) }

	// Three steps of sensitivity and of white balance, as quickly as a finger goes.
	x, y := more("dial-iso")
	for range 3 {
		p.PressAt(x, y)
	}
	x, y = more("wb")
	for range 2 {
		p.PressAt(x, y)
	}
	p.still()
	if v := value("iso"); v != "800" {
		t.Errorf("three presses of + took ISO 400 to %s", v)
	}
	// A switch pressed twice is where it was; three times, it is not.
	p.Rub()
	p.Key("k")
	for range 3 {
		p.Key("o")
	}
	p.Key("l")
	p.Key("l")
	p.still()
	p.written("off: true")
	steps := p.number(`document.querySelectorAll(".lt.off").length`)
	if steps != 1 {
		t.Errorf("three presses of O left %v lights off, want one", steps)
	}
	last := p.says()
	// Undo and redo: the button moves under no finger, whatever it is called by now.
	ux, uy := p.At("[data-key=undo]")
	for range 8 { // more than there are steps
		p.PressAt(ux, uy)
	}
	p.still()
	p.Until("nothing left to undo", undo+`.disabled`, 10*time.Second)
	if s := p.says(); s != first {
		t.Errorf("all undone, the text is\n%s", s)
	}
	x, y = p.At("[data-key=redo]")
	for range 8 {
		p.PressAt(x, y)
	}
	p.still()
	if s := p.says(); s != last {
		t.Errorf("all done again, the text is\n%s", s)
	}
	// There and back: in the order in which they were pressed.
	for _, k := range []bool{false, false, true, false, true, true} {
		if k {
			p.PressAt(x, y)
		} else {
			p.PressAt(ux, uy)
		}
	}
	p.still()
	if s := p.says(); s != last {
		t.Errorf("undone and done again, the text is\n%s", s)
	}
	// A change and its undo at once: the undo is of that change.
	dx, dy := more("dial-iso")
	p.PressAt(dx, dy)
	p.Key("z", chromedp.ModifierCtrl)
	p.still()
	if s := p.says(); s != last {
		t.Errorf("a step and its undo, and the text is\n%s", s)
	}
	p.Clean()
}

// TestTyping types while the page is drawn anew under the hand: what is typed stays where it is
// typed, and no letter of it is a shortcut.
func TestTyping(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, bareShoot())
	b := browser.Profile(t)
	p, q := open(t, b, address, 1440, 900), open(t, b, address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	q.Until("readings in the other page", ready, 60*time.Second)
	p.Act("pane", "[data-arg=edit]")
	p.Tap(`#ednav [data-path="setups"]`)
	p.Tap(`#edform [data-key="go-setups[0]"]`)
	p.Tap(`#ednav [data-path="setups[0].lights"]`)
	p.Tap(`[data-key="go-setups[0].lights[0]"]`)
	p.Until("the form", `document.querySelector('#edform input[data-path="setups[0].lights[0].name"]')`, 10*time.Second)
	p.Tap(`#edform input[data-path="setups[0].lights[0].name"]`)
	before := p.says()
	// All letters that are shortcuts somewhere, while another page changes, takes back and adds.
	const letters = "kolidnbtwcsyaxpjqvmurefgh"
	for i, r := range letters {
		p.Do(chromedp.KeyEvent(string(r)))
		switch i % 6 {
		case 1:
			q.Key("}")
		case 3:
			q.Act("add", "")
		case 5:
			q.Key("z", chromedp.ModifierCtrl)
		}
	}
	if v := p.Str(`document.activeElement?.value`); v != letters {
		t.Fatalf("the field that is typed into holds %q, want %q", v, letters)
	}
	if s := p.Str(`document.getElementById("page").dataset.pane`); s != "edit" {
		t.Errorf("typing into a field opened %s", s)
	}
	p.Key(kb.Enter)
	p.written(letters)
	if now := p.says(); now == before {
		t.Error("what was typed is not in the text")
	}
	// Both pages change the shoot at once: whose change comes second is told so, and sends it anew.
	p.Clean("409")
	q.Clean("409")
}
