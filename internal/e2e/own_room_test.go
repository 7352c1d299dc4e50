package e2e

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// TestOwnRoom makes a room of one's own without a line of YAML: walls by a drag, then drawn corner
// by corner with a typed length; a window dragged onto a wall, a door pressed there, a table put
// against one, a surface by its swatch. Nothing of somebody else's must be cleared first.
func TestOwnRoom(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, "halfstop: 1\nshoot: {title: Mine}\nsetups:\n  - name: One\n"+fmt.Sprintf(bareCamera,
		"sitter.face")+bareSitter+fmt.Sprintf(bareKey, "sitter.face"))
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	p.Act("pane", "[data-arg=edit]")
	p.Until("the word that there is no room",
		`document.querySelector("#roomplan")?.textContent.includes("no room yet")`, 20*time.Second)
	spot := func(x, y float64) (float64, float64) { // metres into pixels, by the same twelve by nine metres
		w, h := p.number(`document.getElementById("roomplan").getBoundingClientRect().width`),
			p.number(`document.getElementById("roomplan").getBoundingClientRect().height`)
		l, top := p.number(`document.getElementById("roomplan").getBoundingClientRect().left`),
			p.number(`document.getElementById("roomplan").getBoundingClientRect().top`)
		k := max(8, min((w-60)/12, (h-60)/9))
		return l + (w-12*k)/2 + x*k, top + (h+9*k)/2 - y*k
	}
	p.Tap(`[data-key="placing-walls"]`)
	p.Until("what to do", `document.querySelector(".palh")?.textContent.includes("drag a rectangle")`, 5*time.Second)
	p.rested()
	time.Sleep(500 * time.Millisecond) // the words above the plan have found their place
	x, y := spot(0, 0)
	x1, y1 := spot(6, 5)
	p.Drag(x, y, x1-x, y1-y)
	p.written("outline: [[0, 0], [6, 0], [6, 5], [0, 5]]")
	p.undoSays("draw the walls")
	// A window is dragged from its word onto the wall, a door is pressed there.
	p.Until("the walls", `document.querySelectorAll("#roomplan .wall").length===4`, 15*time.Second)
	time.Sleep(300 * time.Millisecond)
	x, y = p.At(`[data-key="placing-window"]`)
	x1, y1 = p.At(`#roomplan [data-hold=wall][data-n="2"]`)
	p.Drag(x, y, x1-x, y1-y)
	p.written("{name: window, wall: 3,")
	p.Tap(`[data-key="placing-door"]`)
	x1, y1 = p.Middle(`#roomplan [data-hold=wall][data-n="1"]`)
	p.PressAt(x1-8, y1)
	p.written("{name: door, wall: 2,")
	p.Choose(`[data-key=pl-things]`, "thing:table")
	x1, y1 = p.Middle(`#roomplan [data-hold=wall][data-n="0"]`)
	p.PressAt(x1, y1-20)
	p.written("kind: table, box: {at: [")
	if s := p.says(); !strings.Contains(s, ", 0], size: [1.2, 0.7, 0.75]}") {
		t.Errorf("the table does not stand against the lower wall:\n%s", s)
	}
	p.Tap(`[data-key="placing-surfaces"]`)
	p.Until("swatches", `document.querySelectorAll(".swl button").length>20`, 15*time.Second)
	p.Shot("own-room-1440x900")
	p.Tap(`.swl [data-arg="lino grey"]`)
	p.written("walls: lino grey")
	p.Tap(`[data-key="placing-surfaces"]`)
	// Another room over it, corner by corner: six metres are typed.
	p.Tap(`[data-key="placing-walls"]`)
	time.Sleep(200 * time.Millisecond)
	for _, c := range [][2]float64{{1, 1}, {4, 1.05}} {
		p.PressAt(spot(c[0], c[1]))
	}
	// The hand shows the way, and a length is typed at once: its field has the keyboard by itself.
	typing := `document.activeElement.dataset.key==="typedwall"`
	x, y = spot(4.05, 4)
	p.Mouse("mouseMoved", x, y)
	p.Until("the field for a length to have the keyboard", typing, 5*time.Second)
	p.Write("5 m" + kb.Enter)
	p.Until("three corners", `document.querySelector(".palh").textContent.includes("3 corners")`, 5*time.Second)
	p.Act("backwall", "")
	p.Until("one corner less, and the keyboard",
		`document.querySelector(".palh").textContent.includes("2 corners") && `+typing, 5*time.Second)
	p.Mouse("mouseMoved", x, y)
	p.Write("6 m" + kb.Enter)
	p.Until("three corners again, and an empty field",
		`document.querySelector(".palh").textContent.includes("3 corners") && `+typing+
			` && document.activeElement.value===""`, 5*time.Second)
	x, y = spot(1, 7)
	p.PressAt(x, y)
	p.Until("four corners", `document.querySelector(".palh").textContent.includes("4 corners")`, 5*time.Second)
	p.Until("the keyboard for another length", typing, 5*time.Second)
	p.Key(kb.Enter) // nothing typed: the room is closed
	p.written("outline: [[1, 1], [4, 1], [4, 7], [1, 7]]")
	p.Until("a picture of it", picture, 60*time.Second)
	p.Clean("422")
}
