package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestKeys works the desk without a pointer: what the overview lists does what it says, and single keys rest while a field has the focus.
func TestKeys(t *testing.T) {
	p := desk(t)
	p.until("a picture", picture, 60*time.Second)
	p.settled()
	p.run(`document.activeElement.blur()`)
	does := func(key, what, expr string) {
		t.Helper()
		p.key(key)
		p.until(fmt.Sprintf("%s after %q", what, key), expr, 10*time.Second)
	}
	does("?", "the overview", `document.querySelectorAll(".help dt").length>30`)
	does(kb.Escape, "no overview", `!document.querySelector(".help")`)
	does("2", "the second point", `document.querySelector('.rung.sel .hit').getAttribute("aria-label").startsWith("2 ")`)
	does("s", "stops", `document.querySelector('[data-act=frame][data-arg=stops]').getAttribute("aria-pressed")==="true"`)
	does("p", "the picture", `document.querySelector('[data-act=frame][data-arg=picture]').getAttribute("aria-pressed")==="true"`)
	p.do(chromedp.KeyEvent("2", chromedp.KeyModifiers(chromedp.ModifierAlt)))
	p.until("the second light alone", `document.querySelectorAll('[data-act=frame][data-arg=light]')[1].getAttribute("aria-pressed")==="true"`, 5*time.Second)
	p.key("p")
	does("b", "nothing but the picture", `document.documentElement.dataset.neutral==="1" && getComputedStyle(document.getElementById("c2")).display==="none"`)
	p.shot("judge-1440x900")
	does("b", "everything", `document.documentElement.dataset.neutral==="" && getComputedStyle(document.getElementById("c2")).display!=="none"`)
	does("d", "paper", `document.documentElement.dataset.theme==="paper"`)
	does("d", "booth", `document.documentElement.dataset.theme==="booth"`)
	does("0", "no points on the picture", `document.querySelectorAll(".pd").length===0`)
	does("0", "points on the picture", `document.querySelectorAll(".pd").length>5`)
	does("z", "the ladder spread", `[...document.querySelectorAll(".wn")].length<8`)
	does("z", "the whole ladder", `[...document.querySelectorAll(".wn")].length>10`)
	does("]", "a wider aperture", `document.querySelector('.cam [data-arg=aperture][data-act=camera]').value==="f/3.5"`)
	does("h", "a change of what is held", `/^Undo: (hold|free) /.test(document.querySelector("[data-act=undo]").title)`)
	p.settled()
	p.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	p.until("the hold undone", `document.querySelector("[data-act=undo]").title==="Undo: set aperture f/3.5"`, 15*time.Second)
	for _, x := range [][2]string{{"u", "setups"}, {"c", "checks"}, {"t", "text"}} {
		does(x[0], x[1], fmt.Sprintf(`document.getElementById("page").dataset.pane===%q`, x[1]))
		does(x[0], "the desk", `document.getElementById("page").dataset.pane==="desk"`)
	}
	does("n", "the next setup", `document.querySelector(".setups .on").textContent==="Window bench"`)
	does("N", "the setup before", `document.querySelector(".setups .on").textContent==="Aisle"`)
	p.settled()
	// The ring of the selected point.
	p.key("6")
	p.until("the face selected", `document.querySelector('.rung.sel .hit').getAttribute("aria-label").startsWith("6 face key side")`, 5*time.Second)
	want := p.ring("face key side")
	p.key(kb.ArrowDown)
	p.until("another level asked", `document.querySelector("[data-act=undo]").title.startsWith("Undo: ask ")`, 20*time.Second)
	p.settled()
	if got := p.ring("face key side"); got > want || got < want-0.25 {
		t.Errorf("one press down moves the ring from %+.1f to %+.1f, want a tenth", want, got)
	}
	// Tab goes through bar, picture, ladder, plan and lights, in this order, and everything on the way has a name.
	if s := p.str(`(()=>{const at=(e)=>[...document.querySelectorAll("#bar,#c1,#c2,#c3")].findIndex(x=>x.contains(e));const list=[...document.querySelectorAll("a,button,input,select,textarea,[tabindex]")].filter(e=>e.tabIndex===0&&at(e)>=0&&e.getClientRects().length);const bad=list.filter((e,i)=>i&&at(e)<at(list[i-1])||!(e.getAttribute("aria-label")||e.textContent.trim()||e.labels?.length));return list.length>60?bad.map(e=>e.outerHTML.slice(0,90)).join("; "):"only "+list.length})()`); s != "" {
		t.Errorf("out of order or without a name: %s", s)
	}
	// In a field letters are letters.
	p.run(`document.querySelector('.cam [data-arg=iso][data-act=camera]').focus()`)
	p.key("b")
	time.Sleep(200 * time.Millisecond)
	if p.str(`document.documentElement.dataset.neutral`) != "" {
		t.Error("a letter typed into a field did what it does outside")
	}
	p.clean()
}
