package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Dwell is how long a button or a key stays down: between the 80 and 300 ms that people take.
const Dwell = 90 * time.Millisecond

// Mouse sends one event of the pointer at a place, in CSS pixels.
func (p *Page) Mouse(kind input.DispatchMouseEventType, x, y float64) {
	p.T.Helper()
	opts := []chromedp.MouseOption{chromedp.ButtonLeft, chromedp.ClickCount(1)}
	if kind == input.DispatchMouseEventTypeMouseMoved {
		opts = nil
	}
	p.Do(chromedp.MouseEvent(kind, x, y, opts...))
}

// PressAt presses the pointer's button at a place and lets it go.
func (p *Page) PressAt(x, y float64) {
	p.T.Helper()
	p.Mouse(input.DispatchMouseEventTypeMouseMoved, x, y)
	p.Mouse(input.DispatchMouseEventTypeMousePressed, x, y)
	time.Sleep(Dwell)
	p.Mouse(input.DispatchMouseEventTypeMouseReleased, x, y)
}

// At gives a place in an element where a press reaches it, once it is there, has come to rest, and
// nothing lies over it.
func (p *Page) At(selector string) (x, y float64) {
	p.T.Helper()
	js := fmt.Sprintf(`(()=>{
		const e=document.querySelector(%q);
		if(!e)return "absent";
		e.scrollIntoView({block:"nearest",inline:"nearest"});
		const r=e.getBoundingClientRect();
		if(!r.width&&!r.height)return "not shown";
		const places=[[.5,.5],[.3,.5],[.7,.5],[.5,.3],[.5,.7],[.1,.5],[.9,.5],[.2,.2],[.8,.8]];
		for(const [fx,fy] of places){
			const x=r.x+r.width*fx,y=r.y+r.height*fy,t=document.elementFromPoint(x,y);
			if(t&&(t===e||e.contains(t)||t.closest("[data-act],[data-drag]")===e))return JSON.stringify([x,y])
		}
		const o=document.elementFromPoint(r.x+r.width/2,r.y+r.height/2);
		return "covered by "+(o?o.outerHTML.slice(0,120):"nothing")
	})()`, selector)
	last, said := "", ""
	for end := time.Now().Add(Patience * 15 * time.Second); time.Now().Before(end); time.Sleep(40 * time.Millisecond) {
		said = p.Str(js)
		var v []float64
		if json.Unmarshal([]byte(said), &v) == nil && len(v) == 2 && said == last {
			return v[0], v[1]
		}
		last = said
	}
	p.Shot("failed-" + strings.ReplaceAll(p.T.Name(), "/", "-"))
	p.T.Fatalf("%s cannot be pressed: %s", selector, said)
	return 0, 0
}

// Tap presses an element.
func (p *Page) Tap(selector string) {
	p.T.Helper()
	x, y := p.At(selector)
	p.PressAt(x, y)
}

// Act presses what names an action.
func (p *Page) Act(name, more string) { p.T.Helper(); p.Tap(`[data-act="` + name + `"]` + more) }

// Key presses one key, as the keyboard names it.
func (p *Page) Key(name string, mods ...chromedp.Modifier) {
	p.T.Helper()
	for _, r := range name {
		for _, k := range kb.Encode(r) {
			for _, m := range mods {
				k.Modifiers |= int64(m)
			}
			if k.Type == kb.KeyChar && k.Modifiers&^int64(chromedp.ModifierShift) != 0 {
				continue
			}
			if k.Type == kb.KeyUp {
				time.Sleep(Dwell)
			}
			e := *k
			p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
				_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, e)
				return err
			}))
		}
	}
}

// Write types a text, stroke by stroke.
func (p *Page) Write(text string) {
	p.T.Helper()
	for _, r := range text {
		p.Do(chromedp.KeyEvent(string(r)))
		time.Sleep(25 * time.Millisecond)
	}
}

// Fill presses into a field, types over what stands there, and takes it by Enter.
func (p *Page) Fill(selector, text string) {
	p.T.Helper()
	p.Tap(selector)
	p.Key("a", chromedp.ModifierCtrl)
	if text == "" {
		p.Key(kb.Delete)
	}
	p.Write(text)
	p.Key(kb.Enter)
}

// Choose takes an entry of a list. The list that a browser opens for it is the system's own, so the
// entry is set from inside.
func (p *Page) Choose(selector, value string) {
	p.T.Helper()
	p.Until(selector, fmt.Sprintf(`document.querySelector(%q)`, selector), 10*time.Second)
	p.Run(fmt.Sprintf(
		`const e=document.querySelector(%q);e.focus();e.value=%q;e.dispatchEvent(new Event("change",{bubbles:true}))`,
		selector, value))
}

// Reload loads the page anew, unsaved or not, and waits until the old one is gone: asked whether it
// may go, the answer is yes. A page that goes while it is asked something may never answer: it goes
// a moment later.
func (p *Page) Reload() {
	p.T.Helper()
	ctx, stop := context.WithCancel(p.Ctx)
	defer stop()
	if err := chromedp.Listen(ctx, func(ev any) {
		if _, ok := ev.(*page.EventJavascriptDialogOpening); ok {
			go chromedp.Do(ctx, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
				_, err := cdp.Call(ctx, t, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
				return err
			}))
		}
	}); err != nil {
		p.T.Fatal(err)
	}
	p.Run(`window.old=true;setTimeout(()=>location.reload(),50)`)
	p.Until("another page", `!window.old && document.readyState!=="loading"`, 30*time.Second)
}

// Rub lets the keyboard go from whatever has it.
func (p *Page) Rub() { p.Run(`document.activeElement?.blur()`) }

// Drag presses at a place, moves in steps and lets go.
func (p *Page) Drag(x, y, dx, dy float64) {
	p.T.Helper()
	p.Mouse(input.DispatchMouseEventTypeMouseMoved, x, y)
	p.Mouse(input.DispatchMouseEventTypeMousePressed, x, y)
	time.Sleep(Dwell)
	const steps = 8
	for i := 1; i <= steps; i++ {
		f := float64(i) / steps
		p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+dx*f, y+dy*f, chromedp.ButtonLeft))
		time.Sleep(40 * time.Millisecond)
	}
	time.Sleep(Dwell)
	p.Mouse(input.DispatchMouseEventTypeMouseReleased, x+dx, y+dy)
}

// Drop drops files of this disk at the middle of an element, as a hand that brings them from a
// window of files.
func (p *Page) Drop(selector string, paths ...string) {
	p.T.Helper()
	x, y := p.At(selector)
	data := &input.DragData{Items: []*input.DragDataItem{}, Files: paths, DragOperationsMask: 1}
	for _, kind := range []input.DispatchDragEventType{input.DispatchDragEventTypeDragEnter,
		input.DispatchDragEventTypeDragOver, input.DispatchDragEventTypeDrop} {
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, input.DispatchDragEvent,
				input.DispatchDragEventParams{Type: kind, X: x, Y: y, Data: data})
			return err
		}))
		time.Sleep(Dwell)
	}
}

// Pick presses what opens the window of files, and takes files in it.
func (p *Page) Pick(selector string, paths ...string) {
	p.T.Helper()
	opened := make(chan cdp.BackendNodeID, 1)
	ctx, stop := context.WithCancel(p.Ctx)
	defer stop()
	if err := chromedp.Listen(ctx, func(ev any) {
		if e, ok := ev.(*page.EventFileChooserOpened); ok {
			select {
			case opened <- e.BackendNodeID:
			default:
			}
		}
	}); err != nil {
		p.T.Fatal(err)
	}
	intercept := func(on bool) {
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, page.SetInterceptFileChooserDialog,
				page.SetInterceptFileChooserDialogParams{Enabled: on})
			return err
		}))
	}
	intercept(true)
	defer intercept(false)
	p.Tap(selector)
	select {
	case id := <-opened:
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, dom.SetFileInputFiles,
				dom.SetFileInputFilesParams{Files: paths, BackendNodeID: id})
			return err
		}))
	case <-time.After(Patience * 15 * time.Second):
		p.T.Fatalf("%s opened no window of files", selector)
	}
}

// PressAll presses every button that is shown in a part of the page, takes the last entry of every
// list and writes into every field what stands there, each once; those with a word of last in their
// key at the end, in that order, those with one of never not at all. It gives what was pressed;
// after each the part must still show something, and a button must have changed what the part
// shows, what is said of it, what has the keyboard, or have asked the program for something. rest
// says that what was pressed is done.
func (p *Page) PressAll(root, rest string, last, never []string) (pressed []string) {
	p.T.Helper()
	done := map[string]bool{}
	for {
		var found []string
		list := p.Str(fmt.Sprintf(`JSON.stringify([...document.querySelectorAll("#%s :is(button,select,input)[data-key]")]`+
			`.filter(e=>e.getClientRects().length&&!e.disabled&&e.type!=="file").map(e=>e.dataset.key))`, root))
		if err := json.Unmarshal([]byte(list), &found); err != nil {
			p.T.Fatal(list, err)
		}
		rank := func(key string) int {
			for i, word := range last {
				if strings.Contains(key, word) {
					return i + 1
				}
			}
			return 0
		}
		next := ""
		for _, f := range found {
			if !done[f] && !slices.ContainsFunc(never, func(w string) bool { return strings.Contains(f, w) }) &&
				(next == "" || rank(f) < rank(next)) {
				next = f
			}
		}
		if next == "" {
			return pressed
		}
		done[next] = true
		if p.Str(fmt.Sprintf(`document.querySelector('#%s [data-key=%q]')!==null`, root, next)) != "true" {
			continue // what was pressed before it took it away
		}
		pressed = append(pressed, next)
		state := fmt.Sprintf(`[document.getElementById(%q).outerHTML,document.querySelector(".toast")?.textContent,`+
			`performance.getEntriesByType("resource").length,document.activeElement.dataset.key].join().replace(%q,"")`,
			root, ","+next)
		at := fmt.Sprintf(`#%s [data-key=%q]`, root, next)
		switch what := p.Str(fmt.Sprintf(`document.querySelector(%q).tagName+" "+document.querySelector(%q).value`, at,
			at)); {
		case strings.HasPrefix(what, "SELECT"):
			p.Choose(at, p.Str(fmt.Sprintf(`document.querySelector(%q).lastElementChild.value`, at)))
		case strings.HasPrefix(what, "INPUT"):
			p.Fill(at, strings.TrimPrefix(what, "INPUT "))
		default:
			on := p.Str(fmt.Sprintf(`document.querySelector(%q).getAttribute("aria-pressed")==="true"`, at)) == "true"
			p.At(at) // scrolls
			p.Run(`window.before=` + state)
			p.Tap(at)
			if !on { // what is chosen already may stay as it is
				p.Until("what "+next+" does", `window.before!==`+state, 5*time.Second)
			}
		}
		time.Sleep(100 * time.Millisecond)
		p.Until("rest after "+next, rest, time.Minute)
		if p.Str(fmt.Sprintf(`document.querySelector("#%s")?.textContent.trim().length>20`, root)) != "true" {
			p.T.Fatalf("after %q nothing is shown in %s", next, root)
		}
	}
}
