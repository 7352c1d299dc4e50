package e2e

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// A hand: real events of pointer and keyboard, with time between going down and coming up.

// dwell is how long a button or a key stays down: between the 80 and 300 ms that people take.
const dwell = 90 * time.Millisecond

func (p *page) mouse(kind input.DispatchMouseEventType, x, y float64) {
	p.t.Helper()
	opts := []chromedp.MouseOption{chromedp.ButtonLeft, chromedp.ClickCount(1)}
	if kind == input.DispatchMouseEventTypeMouseMoved {
		opts = nil
	}
	p.do(chromedp.MouseEvent(kind, x, y, opts...))
}

// pressAt presses the pointer's button at a place and lets it go.
func (p *page) pressAt(x, y float64) {
	p.t.Helper()
	p.mouse(input.DispatchMouseEventTypeMouseMoved, x, y)
	p.mouse(input.DispatchMouseEventTypeMousePressed, x, y)
	time.Sleep(dwell)
	p.mouse(input.DispatchMouseEventTypeMouseReleased, x, y)
}

// at gives a place in an element where a press reaches it, once it
// is there, has come to rest, and nothing lies over it.
func (p *page) at(selector string) (x, y float64) {
	p.t.Helper()
	js := fmt.Sprintf(`(()=>{const e=document.querySelector(%q);if(!e)return "absent";e.scrollIntoView({block:"nearest",inline:"nearest"});const r=e.getBoundingClientRect();if(!r.width&&!r.height)return "not shown";
for(const [fx,fy] of [[.5,.5],[.3,.5],[.7,.5],[.5,.3],[.5,.7],[.1,.5],[.9,.5],[.2,.2],[.8,.8]]){const x=r.x+r.width*fx,y=r.y+r.height*fy,t=document.elementFromPoint(x,y);if(t&&(t===e||e.contains(t)||t.closest("[data-act],[data-drag]")===e))return JSON.stringify([x,y])}
const o=document.elementFromPoint(r.x+r.width/2,r.y+r.height/2);return "covered by "+(o?o.outerHTML.slice(0,120):"nothing")})()`, selector)
	last, said := "", ""
	for end := time.Now().Add(15 * time.Second); time.Now().Before(end); time.Sleep(40 * time.Millisecond) {
		said = p.str(js)
		var v []float64
		if json.Unmarshal([]byte(said), &v) == nil && len(v) == 2 && said == last {
			return v[0], v[1]
		}
		last = said
	}
	p.shot("failed-" + strings.ReplaceAll(p.t.Name(), "/", "-"))
	p.t.Fatalf("%s cannot be pressed: %s", selector, said)
	return 0, 0
}

// tap presses an element.
func (p *page) tap(selector string) {
	p.t.Helper()
	x, y := p.at(selector)
	p.pressAt(x, y)
}

// act presses what names an action.
func (p *page) act(name, more string) { p.t.Helper(); p.tap(`[data-act="` + name + `"]` + more) }

// key presses one key, as the keyboard names it.
func (p *page) key(name string, mods ...chromedp.Modifier) {
	p.t.Helper()
	for _, r := range name {
		for _, k := range kb.Encode(r) {
			for _, m := range mods {
				k.Modifiers |= int64(m)
			}
			if k.Type == kb.KeyChar && k.Modifiers&^int64(chromedp.ModifierShift) != 0 {
				continue
			}
			if k.Type == kb.KeyUp {
				time.Sleep(dwell)
			}
			e := *k
			p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
				_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, e)
				return err
			}))
		}
	}
}

// write types a text, stroke by stroke.
func (p *page) write(text string) {
	p.t.Helper()
	for _, r := range text {
		p.do(chromedp.KeyEvent(string(r)))
		time.Sleep(25 * time.Millisecond)
	}
}

// fill presses into a field, types over what stands there, and takes it by Enter.
func (p *page) fill(selector, text string) {
	p.t.Helper()
	p.tap(selector)
	p.key("a", chromedp.ModifierCtrl)
	if text == "" {
		p.key(kb.Delete)
	}
	p.write(text)
	p.key(kb.Enter)
}

// choose takes an entry of a list. The list that a browser opens for
// it is the system's own, so the entry is set from inside.
func (p *page) choose(selector, value string) {
	p.t.Helper()
	p.until(selector, fmt.Sprintf(`document.querySelector(%q)`, selector), 10*time.Second)
	p.run(fmt.Sprintf(
		`const e=document.querySelector(%q);e.focus();e.value=%q;e.dispatchEvent(new Event("change",{bubbles:true}))`,
		selector, value))
}

// rub lets the keyboard go from whatever has it.
func (p *page) rub() { p.run(`document.activeElement?.blur()`) }

// drag presses at a place, moves in steps and lets go.
func (p *page) drag(x, y, dx, dy float64) {
	p.t.Helper()
	p.mouse(input.DispatchMouseEventTypeMouseMoved, x, y)
	p.mouse(input.DispatchMouseEventTypeMousePressed, x, y)
	time.Sleep(dwell)
	const steps = 8
	for i := 1; i <= steps; i++ {
		f := float64(i) / steps
		p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+dx*f, y+dy*f, chromedp.ButtonLeft))
		time.Sleep(40 * time.Millisecond)
	}
	time.Sleep(dwell)
	p.mouse(input.DispatchMouseEventTypeMouseReleased, x+dx, y+dy)
}
