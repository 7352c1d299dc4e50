package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

const setupNames = `[...document.querySelectorAll(".setups button")].map(e=>e.textContent).join("|")`

// TestSetups duplicates, names, moves and deletes a setup, each one step of undo, sees the small pictures, and lays one setup beside another.
func TestSetups(t *testing.T) {
	p := desk(t)
	p.until("a picture", picture, 60*time.Second)
	p.settled()
	p.run(`document.activeElement.blur()`)
	p.key("u")
	p.until("three cards", `document.querySelectorAll(".card").length===3`, 5*time.Second)
	names := func(want string) {
		t.Helper()
		p.until("the setups "+want, fmt.Sprintf(`%s===%q`, setupNames, want), 15*time.Second)
	}
	p.run(`document.querySelector('[data-act=duplicate][data-n="0"]').click()`)
	names("Aisle|Aisle 2|Window bench|Folding table")
	p.until("the name's field", `document.querySelector('.card input.name')`, 10*time.Second)
	p.run(`const e=document.querySelector('.card input.name');e.focus();e.value="";`)
	p.do(chromedp.SendKeys(`.card input.name`, "Door"+kb.Enter))
	names("Aisle|Door|Window bench|Folding table")
	p.until("the copy is shown", `document.querySelector(".setups .on").textContent==="Door" && document.querySelector(".card.sel b")?.textContent==="2 Door"`, 10*time.Second)
	p.run(`document.querySelector('[data-act=later][data-n="1"]').click()`)
	names("Aisle|Window bench|Door|Folding table")
	p.until("it stays shown", `document.querySelector(".setups .on").textContent==="Door"`, 10*time.Second)
	if u := p.str(`document.querySelector("[data-act=undo]").title`); u != "Undo: put Door later" {
		t.Errorf("undo is called %q", u)
	}
	p.run(`document.querySelector('[data-act=delsetup][data-n="2"]').click()`)
	p.until("the question", `document.querySelector('.sure [data-act=delsetup]')`, 5*time.Second)
	p.run(`document.querySelector('.sure [data-act=delsetup]').click()`)
	names("Aisle|Window bench|Folding table")
	p.run(`document.querySelector("[data-act=undo]").click()`)
	names("Aisle|Window bench|Door|Folding table")
	for range 3 {
		p.run(`document.querySelector("[data-act=undo]").click()`)
	}
	names("Aisle|Window bench|Folding table")
	p.run(`document.querySelector('.setups [data-arg="0"]').click()`)
	p.until("the small pictures", `document.querySelectorAll(".card .pic:not(.stale) img").length===3`, 90*time.Second)
	p.shot("setups-1440x900")
	// Another setup beside: an upright picture and a wide one.
	p.run(`document.querySelector('[data-act=besidesetup][data-n="1"]').click()`)
	p.until("the other picture under the wipe", `document.getElementById("wipe") && !document.getElementById("other").hidden`, 60*time.Second)
	if s := p.str(`document.querySelector(".bl").textContent+" "+document.querySelector(".br").textContent`); s != "Window bench Aisle" {
		t.Errorf("the wipe says %q", s)
	}
	shape := `(()=>{const r=document.getElementById("other");return r.width/r.height})()`
	if v := p.number(shape); v < 1.3 {
		t.Errorf("the other picture's shape is %v, want 3:2", v)
	}
	time.Sleep(2 * time.Second)
	p.shot("beside-1440x900")
	p.clean()
}
