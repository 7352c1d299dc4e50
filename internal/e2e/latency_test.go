package e2e

import (
	"fmt"
	"os"
	"sort"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// long skips a test that takes its time, unless HALFSTOP_LONG asks for it.
func long(t *testing.T) {
	t.Helper()
	if os.Getenv("HALFSTOP_LONG") == "" {
		t.Skip("takes a minute and more on a busy machine: HALFSTOP_LONG is not set")
	}
}

// TestDragLatency measures from a pointer's move to a reading of that place on screen, over a long
// drag of the key, and the page's heap before and after. The machine is shared, so the bound is
// made of what the server itself took in the same run: three times that, and a fifth of a second
// for the page and the wire. That the bound can be broken is tried with a slow wire.
func TestDragLatency(t *testing.T) {
	full(t)
	long(t)
	p := desk(t)
	p.settled()
	h0 := p.heap()
	took, server := p.dragLatency(40)
	bound := 3*server + 200
	t.Logf("drag to reading: median %.0f ms, of which the server %.0f ms, bound %.0f ms; heap %.1f to %.1f MB",
		took, server, bound, h0, p.heap())
	if took > bound {
		t.Errorf("the median from drag to reading is %.0f ms, over %.0f ms", took, bound)
	}
	// Each request half as long again as the bound on its way: the same measure must find it out.
	p.Run(fmt.Sprintf(`const ask=window.fetch;
		window.fetch=async(...a)=>{await new Promise(r=>setTimeout(r,%.0f));return ask(...a)}`, 1.5*bound))
	if slow, server := p.dragLatency(6); slow <= 3*server+200 {
		t.Errorf("with a wire that takes %.0f ms the median is %.0f ms, under the bound of %.0f ms: "+
			"the measure measures nothing", 1.5*bound, slow, 3*server+200)
	}
	p.Clean()
}

// heap is what the page's objects take, MB.
func (p *page) heap() float64 {
	return p.number(`performance.memory ? performance.memory.usedJSHeapSize/1e6 : 0`)
}

// dragLatency drags the key of the first setup and gives the medians, in milliseconds, from a move
// to a reading on screen, and of the server's part.
func (p *page) dragLatency(moves int) (took, server float64) {
	p.T.Helper()
	x, y := p.Middle(`.plan-g .light[data-path="setups[0].lights[0]"] .hit0`)
	at := func(kind input.DispatchMouseEventType, dx float64) {
		p.Do(chromedp.MouseEvent(kind, x+dx, y+4, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	}
	at(input.DispatchMouseEventTypeMousePressed, 0)
	shown := `document.getElementById("page").dataset.readings.split(" ")[0]`
	var ms, own []float64
	for i := range moves {
		before := p.Str(shown)
		begin := time.Now()
		at(input.DispatchMouseEventTypeMouseMoved, 10+float64(i%20)*3)
		for p.Str(shown) == before && time.Since(begin) < 8*time.Second {
			time.Sleep(4 * time.Millisecond)
		}
		ms = append(ms, float64(time.Since(begin).Microseconds())/1000)
		own = append(own, p.number(`document.getElementById("page").dataset.millis`))
	}
	at(input.DispatchMouseEventTypeMouseReleased, 60)
	p.settled()
	sort.Float64s(ms)
	sort.Float64s(own)
	return ms[len(ms)/2], own[len(own)/2]
}
