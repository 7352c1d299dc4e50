package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestKeys works the desk without a pointer: what the list of actions says is what the keys do, the
// list does it too, and single keys rest while a field is open.
func TestKeys(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.settled()
	p.Rub()
	does := func(key, what, expr string) {
		t.Helper()
		p.Key(key)
		p.Until(fmt.Sprintf("%s after %q", what, key), expr, 10*time.Second)
	}
	does("?", "the list of actions, with the keyboard in its field",
		`document.querySelectorAll(".help .do").length>40 && document.activeElement.classList.contains("seek")`)
	// What a photographer calls otherwise is found; the list is gone through by keys alone.
	p.Write("iris")
	p.Until("the aperture", `/^aperture/.test(document.querySelector(".help .do").textContent)`, 5*time.Second)
	p.Key("a", chromedp.ModifierCtrl)
	p.Write("golden")
	p.Until("the hour", `[...document.querySelectorAll(".help .do")].some(x=>/^hour shown/.test(x.textContent))`,
		5*time.Second)
	p.Key("a", chromedp.ModifierCtrl)
	p.Write("imperial")
	p.Until("metres or feet, which the Edit screen has",
		`/metres or feet.*on the Edit screen/.test(document.querySelector(".help .do").textContent)`, 5*time.Second)
	does(kb.ArrowDown, "the first of the list", `document.activeElement.classList.contains("do")`)
	does(kb.ArrowUp, "the field again", `document.activeElement.classList.contains("seek")`)
	p.Key(kb.ArrowDown)
	does(kb.Enter, "the keyboard on metres or feet, on its screen",
		`document.getElementById("page").dataset.pane==="edit" && document.activeElement.dataset.act==="edlengths"`)
	does("y", "the desk", `document.getElementById("page").dataset.pane==="desk"`)
	p.Rub()
	does("?", "the list", `document.activeElement.classList.contains("seek")`)
	p.Write("mid-grey")
	p.Until("one action", `document.querySelectorAll(".help .do").length===1`, 5*time.Second)
	does(kb.Enter, "it done, and the list gone",
		`document.documentElement.dataset.neutral==="1" && !document.querySelector(".help")`)
	does("b", "everything", `document.documentElement.dataset.neutral===""`)
	does("2", "the second point", `document.querySelector('.lrow.sel .n').textContent==="2"`)
	does(kb.ArrowDown, "the third", `document.querySelector('.lrow.sel .n').textContent==="3"`)
	does("u", "all points", `document.querySelectorAll("#lad .lrow").length>10`)
	does("u", "wished points", `document.querySelector("#lad .fold")`)
	does("s", "stops", `document.querySelector('[data-act=stops]').getAttribute("aria-pressed")==="true"`)
	does("p", "the picture", `document.querySelector('[data-act=picture]').getAttribute("aria-pressed")==="true"`)
	p.Key("2", chromedp.ModifierAlt)
	p.Until("the second light alone",
		`document.querySelectorAll('button[data-act=alone]')[1].getAttribute("aria-pressed")==="true" && document.querySelector(".capt").textContent.includes("alone")`, 5*time.Second)
	p.Key("p")
	does("d", "paper", `document.documentElement.dataset.theme==="paper"`)
	does("d", "booth", `document.documentElement.dataset.theme==="booth"`)
	does("0", "no points on the picture", `document.querySelectorAll(".pd").length===0`)
	does("0", "points on the picture", `document.querySelectorAll(".pd").length>5`)
	does("]", "a wider aperture", `document.querySelector('.cam [data-arg=aperture]').value==="f/3.5"`)
	does("h", "a change of what is held", `/^Undo: (hold|free) /.test(document.querySelector("[data-key=undo]").title)`)
	p.settled()
	p.Key("z", chromedp.ModifierCtrl)
	p.undoSays("set aperture f/3.5")
	for _, x := range [][2]string{{"S", "setups"}, {"c", "checks"}, {"t", "text"}} {
		does(x[0], x[1], fmt.Sprintf(`document.getElementById("page").dataset.pane===%q`, x[1]))
		does(x[0], "the desk", `document.getElementById("page").dataset.pane==="desk"`)
	}
	does("n", "the next setup", `document.querySelector(".setups .on").textContent==="Window bench"`)
	does("N", "the setup before", `document.querySelector(".setups .on").textContent==="Aisle"`)
	p.settled()
	p.Until("the numbers of before",
		`[...document.querySelectorAll("#lad .lrow .n")].map(e=>e.textContent).filter(Boolean).join()==="1,2,3,4"`,
		10*time.Second)
	p.settled()
	does("1", "the face", `document.querySelector('.lrow.sel .nm').textContent==="Face key side"`)
	want := p.ring("face key side")
	p.Key(kb.ArrowLeft)
	p.Until("another level asked", `document.querySelector("[data-key=undo]").title.startsWith("Undo: ask ")`,
		20*time.Second)
	p.settled()
	if got := p.ring("face key side"); got > want || got < want-0.25 {
		t.Errorf("one press left moves the ring from %+.1f to %+.1f, want a tenth", want, got)
	}
	// Tab goes through bar, stage, column, camera and hour, in this order, and everything on the
	// way has a name.
	if s := p.Str(
		`(()=>{const at=(e)=>[...document.querySelectorAll("#bar,#stage,#side,#cam,#hours")].findIndex(x=>x.contains(e));const list=[...document.querySelectorAll("a,button,input,select,textarea,[tabindex]")].filter(e=>e.tabIndex===0&&at(e)>=0&&e.getClientRects().length);const bad=list.filter((e,i)=>i&&at(e)<at(list[i-1])||!(e.getAttribute("aria-label")||e.textContent.trim()||e.labels?.length));return list.length>60?bad.map(e=>e.outerHTML.slice(0,90)).join("; "):"only "+list.length})()`); s != "" {
		t.Errorf("out of order or without a name: %s", s)
	}
	// In a field letters are letters.
	p.Tap(`.cam [data-arg=iso]`)
	p.Key("b")
	time.Sleep(200 * time.Millisecond)
	if p.Str(`document.documentElement.dataset.neutral`) != "" {
		t.Error("a letter typed into a field did what it does outside")
	}
	p.Key(kb.Escape)
	p.Until("the field as it was",
		`document.querySelector('.cam [data-arg=iso]').value==="400" && document.activeElement.tagName==="BODY"`,
		5*time.Second)
	p.Clean()
}
