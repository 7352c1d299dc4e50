package e2e

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestWays takes a way out of what the demonstration's look
// misses, sees the plan change, and takes it back.
func TestWays(t *testing.T) {
	t.Parallel()
	long(t)
	if testing.Short() {
		t.Skip("searches for tens of seconds")
	}
	p := desk(t)
	p.settled()
	p.Tap(p.row("hair edge") + " .nm")
	p.Act("pane", "[data-key=foot-ways]")
	p.Until("ways out", `document.querySelectorAll("#ways .way").length>1`, 90*time.Second)
	// What is missed at the selected point comes first.
	if s := p.Str(`document.querySelector("#ways .missed").textContent`); !strings.HasPrefix(s, "hair edge") {
		t.Errorf("with the hair's edge selected the ways begin with %q", s)
	}
	p.Until("before and after of the first way",
		`document.querySelectorAll("#ways .way:not(.none) .pair")[0]?.querySelectorAll("img").length===2`,
		90*time.Second)
	p.Shot("ways-1440x900")
	state := setting +
		`+document.querySelectorAll("#lights .lt").length+[...document.querySelectorAll(".cam input")].map(e=>e.value).join()+document.querySelectorAll("#plan .light").length+document.querySelector("#plan").innerHTML.length`
	was := p.Str(state)
	p.Tap("#ways .take")
	p.Until("something to undo", `!`+undo+`.disabled`, 20*time.Second)
	p.settled()
	p.Act("pane", "[data-arg=desk]")
	time.Sleep(200 * time.Millisecond)
	if now := p.Str(state); now == was {
		t.Error("taking a way changed no setting, light, place or camera value on screen")
	}
	p.Tap("[data-key=undo]")
	p.Until("everything as before", fmt.Sprintf("(%s)===%q", state, was), 20*time.Second)
	p.Clean()
}
