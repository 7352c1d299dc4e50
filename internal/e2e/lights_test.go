package e2e

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"
)

// TestLights: alone shows one light's share of every point, changes
// nothing of the shoot and says that it is on; off takes its light away;
// a locked light is left alone by balance; keys do the same.
func TestLights(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.fine()
	face, wall := p.level("face key side"), p.level("back wall left")
	p.Tap(`.lt [data-act=solo]`)
	p.Until("the wall by the key alone",
		fmt.Sprintf(
			`document.querySelector('.lt [data-act=solo]').getAttribute("aria-pressed")==="true" && (()=>{const m=%s.find(e=>e.getAttribute("aria-label").includes("back wall left:")).getAttribute("aria-label").match(/: ([+\u2212]?[\d.]+) stops/);return Number(m[1].replace("\u2212","-"))<%f})()`, rows, wall-0.5), 5*time.Second)
	p.Until("the word that it is alone, in the line of state and on the picture, and no shortfall counted",
		`document.querySelector(".al") && document.querySelector(".capt")?.textContent.includes("alone") && !document.querySelector(".lrow.two")`, 10*time.Second)
	if v := p.level("face key side"); v > face || v < face-0.3 {
		t.Errorf("with the key alone, which gives nearly all there, the face reads %+.1f, before %+.1f", v, face)
	}
	if p.Str(undo+`.disabled`) != "true" {
		t.Error("alone has changed the shoot")
	}
	p.Act("unsolo", "")
	p.Until("all lights", `!document.querySelector(".al")`, 5*time.Second)
	p.Rub()
	set := `(document.querySelector(".lt.sel .se").value??document.querySelector(".lt.sel .se").textContent)`
	p.Key("k")
	p.Until("the key selected", `document.querySelector(".lt.sel .ro").textContent==="Key"`, 5*time.Second)
	p.Key("o")
	p.Until("the key off", set+`==="off"`, 15*time.Second)
	p.Until("the face without the key",
		fmt.Sprintf(
			`Number(%s.find(e=>e.getAttribute("aria-label").includes("face key side:")).getAttribute("aria-label").match(/: ([+\u2212]?[\d.]+) stops/)[1].replace("\u2212","-"))<%f`, rows, face-1), 20*time.Second)
	p.Key("o")
	p.Until("the key on", set+`!=="off"`, 15*time.Second)
	p.Key("l")
	p.Until("the key locked",
		`document.querySelector('.lt.sel [data-act=lock]').getAttribute("aria-pressed")==="true"`, 15*time.Second)
	p.fine()
	was := p.Str(set)
	p.Key("r")
	p.Until("balance to have answered", undo+`.title==="Undo: balance" || document.querySelector(".toast")`,
		40*time.Second)
	p.settled()
	if now := p.Str(set); now != was {
		t.Errorf("balance has moved the locked key from %s to %s", was, now)
	}
	if s := p.Str(undo + `.title`); s != "Undo: balance" {
		t.Errorf("balance moved nothing: %q, %q", s, p.Str(`document.querySelector(".toast")?.textContent`))
	}
	p.Clean()
}

// TestSwap tries another modifier: what it does is said and shown before
// it is taken, it can be left, and taking it is one step of undo.
func TestSwap(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.fine()
	p.Rub()
	p.Key("k")
	const list = `select[data-arg=modifier]`
	p.Until("the parts", `document.querySelector('`+list+`')`, 5*time.Second)
	p.Choose(list, "")
	p.Until("what the bare head would do",
		`/[+\u2212]\d\.\d/.test(document.querySelector(".try p b")?.textContent||"")`, 30*time.Second)
	p.Until("its picture", `!document.getElementById("still").hidden && document.getElementById("still").complete`,
		60*time.Second)
	p.Shot("swap-1440x900")
	if p.Str(undo+`.disabled`) != "true" {
		t.Error("trying has changed the shoot")
	}
	p.Act("tryleave", "")
	p.Until("nothing tried",
		`!document.querySelector(".try") && !document.getElementById("wipe") && document.querySelector('`+list+`').value==="octa 90"`, 5*time.Second)
	p.Choose(list, "softbox 60x90")
	p.Until("what the softbox would do", `document.querySelector(".try p[role=status]")`, 30*time.Second)
	p.Rub()
	p.Key(kb.Enter)
	p.Until("the softbox in the light",
		`document.querySelector(".lt.sel .hw").textContent.includes("softbox 60x90") && !document.querySelector(".try")`, 20*time.Second)
	p.undoSays("modifier of key: softbox 60x90")
	p.Clean()
}
