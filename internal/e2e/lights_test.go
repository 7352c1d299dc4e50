package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestLights: solo shows one light's share of every point and changes nothing of the shoot; off takes its light away; a locked light is left
// alone by balance; keys do the same.
func TestLights(t *testing.T) {
	p := desk(t)
	p.fine()
	face, feet := p.level("face key side"), p.level("back wall left")
	p.run(`document.querySelector('.lr [data-act=solo]').click()`)
	p.until("the face by the key alone", fmt.Sprintf(`document.querySelector('.lr [data-act=solo]').getAttribute("aria-pressed")==="true" && (()=>{const m=[...document.querySelectorAll(".rung .hit")].find(e=>e.getAttribute("aria-label").includes("back wall left:")).getAttribute("aria-label").match(/: ([+\u2212]?[\d.]+) stops/);return Number(m[1].replace("\u2212","-"))<%f})()`, feet-0.5), 5*time.Second)
	if v := p.level("face key side"); v > face || v < face-0.3 {
		t.Errorf("with the key alone, which gives nearly all there, the face reads %+.1f, before %+.1f", v, face)
	}
	if p.str(`document.querySelector("[data-act=undo]").disabled`) != "true" {
		t.Error("solo has changed the shoot")
	}
	p.run(`document.querySelector('.lr [data-act=solo]').click();document.activeElement.blur()`)
	// The key off, by keyboard.
	p.key("k")
	p.until("the key selected", `document.querySelector(".lr.sel .ro").textContent==="Key"`, 5*time.Second)
	p.key("o")
	p.until("the key off", `document.querySelector(".lr.sel .set").firstChild.textContent==="off"`, 15*time.Second)
	p.settled()
	if v := p.level("face key side"); v > face-1 {
		t.Errorf("without the key the face reads %+.1f, before %+.1f", v, face)
	}
	p.key("o")
	p.until("the key on", `document.querySelector(".lr.sel .set").firstChild.textContent!=="off"`, 15*time.Second)
	p.key("l")
	p.until("the key locked", `document.querySelector('.lr.sel [data-act=lock]').getAttribute("aria-pressed")==="true"`, 15*time.Second)
	p.fine()
	setting := p.str(`document.querySelector(".lr.sel .set").firstChild.textContent`)
	p.key("r")
	p.until("balance to have answered", `document.querySelector("[data-act=undo]").title==="Undo: balance" || document.querySelector(".toast")`, 40*time.Second)
	p.settled()
	if now := p.str(`document.querySelector(".lr.sel .set").firstChild.textContent`); now != setting {
		t.Errorf("balance has moved the locked key from %s to %s", setting, now)
	}
	if s := p.str(`document.querySelector("[data-act=undo]").title`); s != "Undo: balance" {
		t.Errorf("balance moved nothing: %q, %q", s, p.str(`document.querySelector(".toast")?.textContent`))
	}
	p.clean()
}

// TestSwap tries another modifier: what it does is said and shown before it is taken, it can be left, and taking it is one step of undo.
func TestSwap(t *testing.T) {
	p := desk(t)
	p.until("a picture", picture, 60*time.Second)
	p.fine()
	p.run(`document.activeElement.blur()`)
	p.key("k")
	p.until("the parts", `document.querySelector('select[data-arg=modifier]')`, 5*time.Second)
	choose := func(v string) {
		p.run(fmt.Sprintf(`const s=document.querySelector('select[data-arg=modifier]');s.focus();s.value=%q;s.dispatchEvent(new Event("change",{bubbles:true}))`, v))
	}
	choose("")
	p.until("what the bare head would do", `/[+\u2212]\d\.\d/.test(document.querySelector(".try p b")?.textContent||"")`, 30*time.Second)
	p.until("its picture", `!document.getElementById("still").hidden && document.getElementById("still").complete`, 60*time.Second)
	p.shot("swap-1440x900")
	if p.str(`document.querySelector("[data-act=undo]").disabled`) != "true" {
		t.Error("trying has changed the shoot")
	}
	p.run(`document.querySelector("[data-act=tryleave]").click()`)
	p.until("nothing tried", `!document.querySelector(".try") && !document.getElementById("wipe") && document.querySelector('select[data-arg=modifier]').value==="octa 90"`, 5*time.Second)
	choose("softbox 60x90")
	p.until("what the softbox would do", `document.querySelector(".try p[role=status]")`, 30*time.Second)
	p.run(`document.activeElement.blur()`)
	p.do(chromedp.KeyEvent(kb.Enter))
	p.until("the softbox in the light", `document.querySelector(".lr.sel em").textContent.includes("softbox 60x90") && !document.querySelector(".try")`, 20*time.Second)
	if u := p.str(`document.querySelector("[data-act=undo]").title`); u != "Undo: modifier of key: softbox 60x90" {
		t.Errorf("undo is called %q", u)
	}
	p.clean()
}
