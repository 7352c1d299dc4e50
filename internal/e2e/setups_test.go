package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"
)

const setupNames = `[...document.querySelectorAll(".setups button")].map(e=>e.textContent).join("|")`

// TestSetups duplicates, names, moves and deletes a setup, each one step of undo, sees the small
// pictures, and lays one setup beside another. What is typed after 'duplicate' and 'rename' goes
// into the name, however soon, and runs no shortcut.
func TestSetups(t *testing.T) {
	t.Parallel()
	long(t)
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.settled()
	p.Rub()
	p.Key("S")
	p.Until("three cards", `document.querySelectorAll(".card").length===3`, 5*time.Second)
	names := func(want string) {
		t.Helper()
		p.Until("the setups "+want, fmt.Sprintf(`%s===%q`, setupNames, want), 15*time.Second)
	}
	p.Act("duplicate", `[data-n="0"]`)
	p.Write("Door, lane" + kb.Enter) // at once: the field comes when the program has answered
	names("Aisle|Door, lane|Window bench|Folding table")
	p.Act("naming", `[data-n="1"]`)
	p.Write("Door" + kb.Enter)
	names("Aisle|Door|Window bench|Folding table")
	p.Until("the copy is shown",
		`document.querySelector(".setups .on").textContent==="Door" && document.querySelector(".card.sel b")?.textContent==="2 Door"`, 10*time.Second)
	p.undoSays("rename Door, lane")
	p.Act("later", `[data-n="1"]`)
	names("Aisle|Window bench|Door|Folding table")
	p.Until("it stays shown", `document.querySelector(".setups .on").textContent==="Door"`, 10*time.Second)
	p.undoSays("put Door later")
	p.Act("delsetup", `[data-n="2"]`)
	p.Tap(`.sure [data-act=delsetup]`)
	names("Aisle|Window bench|Folding table")
	p.Tap("[data-key=undo]")
	names("Aisle|Window bench|Door|Folding table")
	for range 4 {
		p.Tap("[data-key=undo]")
	}
	names("Aisle|Window bench|Folding table")
	p.Tap(`.setups [data-arg="0"]`)
	p.Until("the small pictures", `document.querySelectorAll(".card .pic:not(.stale) img").length===3`, 90*time.Second)
	p.Shot("setups-1440x900")
	// Another setup beside: an upright picture and a wide one.
	p.Act("beside", `[data-key=beside1]`)
	p.Until("the other picture under the wipe",
		`document.getElementById("wipe") && !document.getElementById("other").hidden`, 60*time.Second)
	if s := p.Str(
		`document.querySelector(".bl").textContent+" "+document.querySelector(".br").textContent`); s != "Window bench Aisle" {
		t.Errorf("the wipe says %q", s)
	}
	shape := `(()=>{const r=document.getElementById("other");return r.width/r.height})()`
	if v := p.number(shape); v < 1.3 {
		t.Errorf("the other picture's shape is %v, want 3:2", v)
	}
	p.Shot("beside-1440x900")
	p.Clean()
}
