package e2e

import (
	"fmt"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// TestWays takes a way out of what the demonstration's look misses, sees the plan change, and takes it back.
func TestWays(t *testing.T) {
	if testing.Short() {
		t.Skip("searches for tens of seconds")
	}
	p := desk(t)
	p.settled()
	p.run(`[...document.querySelectorAll(".rung .hit")].find(e=>e.getAttribute("aria-label").includes("hair edge:")).dispatchEvent(new MouseEvent("click",{bubbles:true}))`)
	p.run(`document.querySelector('[data-act=pane][data-arg=ways]').click()`)
	p.until("ways out", `document.querySelectorAll("#ways .way").length>1`, 90*time.Second)
	// What is missed at the selected rung comes first.
	if s := p.str(`document.querySelector("#ways .missed").textContent`); !strings.HasPrefix(s, "hair edge") {
		t.Errorf("with the hair's edge selected the ways begin with %q", s)
	}
	// Each way shows the plan as it is and with the way taken, in its turn.
	p.until("before and after of the first way", `document.querySelectorAll("#ways .way:not(.none) .pair")[0]?.querySelectorAll("img").length===2`, 90*time.Second)
	p.shot("ways-1440x900")
	state := `JSON.stringify([...document.querySelectorAll("#lights .set")].map(e=>e.textContent))+document.querySelectorAll("#lights .lr").length+document.querySelector(".cam").textContent`
	was := p.str(state)
	p.run(`document.querySelector("#ways .take").click()`)
	p.until("something to undo", `!document.querySelector("[data-act=undo]").disabled`, 20*time.Second)
	p.settled()
	p.run(`document.querySelector('[data-act=pane][data-arg=desk]').click()`)
	time.Sleep(200 * time.Millisecond)
	if now := p.str(state); now == was {
		t.Error("taking a way changed no setting, light or camera value on screen")
	}
	p.run(`document.querySelector("[data-act=undo]").click()`)
	p.until("everything as before", fmt.Sprintf("(%s)===%q", state, was), 20*time.Second)
	p.clean()
}

// TestDragLatency measures from a pointer's move to a reading of that place on screen, over a long drag of the key, and the page's heap
// before and after. It writes figures down; the bound is wide because the machine is shared: a drag that takes a second is broken.
func TestDragLatency(t *testing.T) {
	if testing.Short() {
		t.Skip("measures for a quarter of a minute")
	}
	p := desk(t)
	p.settled()
	x, y := p.middle(`.plan-g .light[data-path="setups[0].lights[0]"] .hit0`)
	p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	shown := `document.getElementById("page").dataset.readings.split(" ")[0]`
	heap := func() float64 { return p.number(`performance.memory ? performance.memory.usedJSHeapSize/1e6 : 0`) }
	h0 := heap()
	var ms, server []float64
	for i := range 40 {
		before := p.str(shown)
		begin := time.Now()
		p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+10+float64(i%20)*3, y+4, chromedp.ButtonLeft))
		for p.str(shown) == before && time.Since(begin) < 3*time.Second {
			time.Sleep(4 * time.Millisecond)
		}
		ms = append(ms, float64(time.Since(begin).Microseconds())/1000)
		server = append(server, p.number(`document.getElementById("page").dataset.millis`))
	}
	p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x+60, y+4, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	p.settled()
	sort.Float64s(ms)
	sort.Float64s(server)
	t.Logf("drag to reading over %d moves: median %.0f ms, p95 %.0f ms, worst %.0f ms, of which the server median %.0f ms; heap %.1f to %.1f MB", len(ms), ms[len(ms)/2], ms[len(ms)*95/100], ms[len(ms)-1], server[len(server)/2], h0, heap())
	if ms[len(ms)/2] > 1000 {
		t.Errorf("the median from drag to reading is %.0f ms", ms[len(ms)/2])
	}
	p.clean()
}
