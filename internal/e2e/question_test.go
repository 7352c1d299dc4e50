package e2e

import (
	"context"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"halfstop/internal/e2e/browser"
)

// TestQuestionOfTypings types into a line that an undo takes back, and leaves the question which
// stands open. Meanwhile Ctrl+Z takes nothing else back and says why, what is typed on waits on the
// device, a page that crashes has lost nothing, and what was set by a key
// meanwhile stays.
func TestQuestionOfTypings(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, bareShoot())
	b := browser.Profile(t)
	p := open(t, b, address, 1180, 820)
	p.Until("readings", ready, 60*time.Second)
	p.Key("]")
	p.still()
	p.click(`[data-act=pane][data-arg=text]`)
	p.Until("the text", `document.getElementById("text").value.includes("Try")`, 10*time.Second)
	p.mark("Try")
	p.Write("Dusk")
	p.written("title: Dusk")
	p.still()
	p.late(time.Second)
	p.Act("undo", "")
	p.mark("Dusk")
	p.Write("Dawn")
	p.Until("to be asked", `document.querySelector("[data-act=clash]")`, 15*time.Second)
	p.Until("what waits to be said",
		`document.querySelector("[data-key=clash]").textContent.includes("Dawn")`, 5*time.Second)
	p.Write(" at sea")
	p.Until("all of it on the device", `JSON.stringify({...localStorage}).includes("Dawn at sea")`, 5*time.Second)

	p.Rub()
	was := p.says()
	for _, key := range []string{"z", "y"} {
		p.Key(key, chromedp.ModifierCtrl)
		p.Until("a word why not",
			`document.querySelector(".toast")?.textContent.includes("First say which lines stand")`, 10*time.Second)
		p.Act("toast", "")
		p.Until("the word to go", `!document.querySelector(".toast")`, 10*time.Second)
	}
	if now := p.says(); now != was {
		t.Errorf("with the question open Ctrl+Z changed the shoot:\n%s", now)
	}

	// The page crashes as a whole.
	ctx, stop := context.WithTimeout(p.Ctx, 2*time.Second)
	_ = chromedp.Do(ctx, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, cdpage.Crash, cdp.Empty{})
		return err
	}))
	stop()
	p = open(t, b, address, 1180, 820)
	p.Until("to be asked again", `document.querySelector("[data-act=clash]")`, 30*time.Second)
	p.Until("readings", ready, 60*time.Second)
	if p.Str(`document.getElementById("text").value.includes("title: Dawn at sea")?"":"lost"`) != "" {
		t.Error("what waited is not in the text")
	}
	p.Run(`window.before=document.getElementById("page").dataset.revision`)
	p.Key("[")
	p.Until("another aperture", `document.getElementById("page").dataset.revision!==window.before`, 10*time.Second)
	p.still()
	dial := line(p.says(), "aperture")
	if dial == line(was, "aperture") {
		t.Fatal("the camera cannot be set while the question is open")
	}
	p.click(`[data-act=clash][data-arg=mine]`)
	p.written("title: Dawn at sea")
	if now := line(p.says(), "aperture"); now != dial {
		t.Errorf("my lines stand, and the aperture goes back from %q to %q", dial, now)
	}
	p.Until("nothing to wait on the device",
		`!Object.keys(localStorage).some(k=>k.startsWith("unsent"))`, 10*time.Second)
	p.Key("z", chromedp.ModifierCtrl)
	p.written("title: Try")
	p.Clean("409")
}

// line gives the line of a text that holds a word.
func line(text, word string) string {
	for l := range strings.Lines(text) {
		if strings.Contains(l, word) {
			return l
		}
	}
	return ""
}

// mark selects a word of the text, as a double press on it does.
func (p *page) mark(word string) {
	p.T.Helper()
	p.Run(`const a=document.getElementById("text"),i=a.value.indexOf("` + word + `");a.focus();` +
		`a.setSelectionRange(i,i+"` + word + `".length)`)
}

// TestLateText has an answer with an older text come after one with a newer: the newer stays.
func TestLateText(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, bareShoot())
	p := open(t, browser.Profile(t), address, 1180, 820)
	p.Until("readings", ready, 60*time.Second)
	p.Key("[")
	p.still()
	was := p.says()
	p.Run(`const f=window.fetch;window.held=[];window.fetch=async(...a)=>{const r=await f(...a);` +
		`if(String(a[0]).endsWith("/api/text")&&!(a[1]?.method==="PUT")&&window.held&&!window.free)` +
		`await new Promise(d=>window.held.push(d));return r}`)
	p.click(`[data-act=pane][data-arg=text]`)
	p.Until("the text to be asked for", `window.held.length>0`, 10*time.Second)
	p.Run(`window.free=true`)
	p.Key("z", chromedp.ModifierCtrl)
	p.Until("the text", `document.getElementById("text").value.includes("halfstop: 1")`, 15*time.Second)
	p.still()
	first := p.says()
	if first == was {
		t.Fatal("nothing was undone")
	}
	p.Until("the newer text", `document.getElementById("text").value===`+strconv.Quote(first), 10*time.Second)
	p.Run(`for(const d of window.held)d()`)
	time.Sleep(300 * time.Millisecond)
	p.Until("the newer text still", `document.getElementById("text").value===`+strconv.Quote(first), time.Second)
	p.Clean()
}
