package e2e

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"
)

// TestScreens writes a picture of each screen at each size where HALFSTOP_SCREENS names a folder: they are made to be looked at.
func TestScreens(t *testing.T) {
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		t.Skip("set HALFSTOP_SCREENS to a folder to have the screens drawn")
	}
	for _, size := range [][2]int64{{1440, 900}, {1180, 820}, {390, 844}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			address, _ := serve(t, "127.0.0.1:0")
			p := open(t, browse(t), address, size[0], size[1])
			s := &screens{page: p, size: fmt.Sprintf("%dx%d", size[0], size[1]), phone: size[0] < 721, tabs: size[0] < 1241 && size[0] > 720}
			p.until("readings", ready, 60*time.Second)
			p.until("a calm picture", `Number(document.getElementById("page").dataset.film)>=8`, 90*time.Second)
			s.desk()
			s.beside()
			s.setups()
			s.others()
			s.edit()
		})
	}
}

// screens goes through the page at one size.
type screens struct {
	*page
	size        string
	phone, tabs bool
}

// act presses what does something.
func (s *screens) act(what, arg string) {
	s.t.Helper()
	sel := `[data-act="` + what + `"]`
	if arg != "" {
		sel += `[data-arg="` + arg + `"]`
	}
	s.run(fmt.Sprintf(`(()=>{const e=document.querySelector(%q);if(!e)throw new Error("nothing to press: %s %s");e.click()})()`, sel, what, arg))
}

// part shows a part of the desk, where it does not show by itself.
func (s *screens) part(x string) {
	if s.phone {
		s.act("phone", x)
	}
	if s.tabs && (x == "plan" || x == "lights") {
		s.act("side", x)
	}
}

// draw lets what is fading come to rest, then writes the picture.
func (s *screens) draw(name string) {
	time.Sleep(700 * time.Millisecond)
	s.shot(name + "-" + s.size)
}

func (s *screens) desk() {
	s.draw("desk")
	s.act("theme", "paper")
	s.draw("desk-paper")
	s.act("theme", "booth")
	s.act("frame", "stops")
	s.draw("stops")
	s.act("frame", "light")
	s.draw("light-alone")
	s.act("frame", "picture")
	for _, x := range []string{"ladder", "plan", "lights"} {
		s.part(x)
		if s.phone || s.tabs && x != "ladder" {
			s.draw(x)
		}
	}
	s.act("spread", "")
	s.part("ladder")
	s.draw("ladder-spread")
	s.act("spread", "")
	s.part("plan")
	s.until("the plan", `document.querySelector('[data-act=contours]')`, 10*time.Second)
	s.act("contours", "meter")
	s.until("contours on plan and section", `document.querySelectorAll(".contours:not(.old) .ct").length>0 && document.querySelector('[data-key="contours-section"]')`, 60*time.Second)
	s.draw("contours")
	s.act("contours", "off")
	s.part("lights")
	s.run(`document.querySelector('.lr [data-act=light]').click()`)
	s.draw("light-open")
	s.run(`(()=>{const s=document.querySelector('select[data-arg=modifier]');s.value="softbox 60x90";s.dispatchEvent(new Event("change",{bubbles:true}))})()`)
	s.until("a tried part", `document.querySelector(".try p[role=status] b")`, 60*time.Second)
	s.draw("swap")
	s.part("frame")
	s.until("its picture", `!document.getElementById("still").hidden`, 60*time.Second)
	s.draw("swap-picture")
	s.act("tryleave", "")
	s.act("pick", "")
	s.until("the chart", `document.querySelector("#chart .locus")`, 20*time.Second)
	s.draw("colour")
	s.act("unpick", "")
	s.key(kb.Escape)
	s.part("frame")
}

func (s *screens) beside() {
	s.act("tool", "crop")
	s.draw("crop")
	s.act("tool", "cover")
	s.until("the cover's fields", `document.querySelector("[data-act=cover][data-arg=on]")`, 10*time.Second)
	s.act("cover", "on")
	s.until("the cover", `document.querySelector(".type")`, 20*time.Second)
	s.draw("cover")
	s.run(`document.querySelector("[data-act=undo]").click()`)
	s.act("tool", "cover")
	s.settled()
	s.key("q")
	s.until("the keyboard on the picture", `document.activeElement.id==="frame"`, 10*time.Second)
	s.key(kb.ArrowDown)
	s.key(kb.Enter)
	s.until("a spot", `document.querySelector(".spot")`, 60*time.Second)
	s.draw("spot")
	s.key(kb.Escape)
	s.key("b")
	s.draw("judge")
	s.key(kb.Escape)
}

func (s *screens) setups() {
	s.act("pane", "setups")
	s.until("small pictures", `document.querySelectorAll(".card .pic img").length===3`, 120*time.Second)
	s.draw("setups")
	for i, name := range []string{"", "window-bench", "folding-table"} {
		if name == "" {
			continue
		}
		s.act("pane", "desk")
		s.act("setup", fmt.Sprint(i))
		s.until("its picture", fmt.Sprintf(`document.querySelectorAll(".setups button")[%d].className==="on" && `, i)+ready+` && Number(document.getElementById("page").dataset.film)>=4`, 120*time.Second)
		s.draw(name)
	}
	s.act("setup", "1")
	s.until("the window", ready+` && document.querySelectorAll(".setups button")[1].className==="on"`, 60*time.Second)
	s.run(`(()=>{const e=document.querySelector('[data-act=scrub]');e.value=Number(e.value)+45;e.dispatchEvent(new Event("input",{bubbles:true}))})()`)
	s.draw("hour")
	s.act("assumes", "")
	s.draw("hour-assumes")
	s.act("assumes", "")
	s.act("pane", "checks")
	s.draw("checks-other-hour")
	s.act("pane", "desk")
	s.act("hour", "")
	s.act("setup", "0")
	s.until("the aisle", ready+` && document.querySelectorAll(".setups button")[0].className==="on"`, 60*time.Second)
	s.run(`(()=>{const c=document.querySelector('[data-act=compare]');c.value="1";c.dispatchEvent(new Event("change",{bubbles:true}))})()`)
	s.until("a setup beside", `document.getElementById("wipe") && !document.getElementById("other").hidden`, 60*time.Second)
	s.draw("wipe")
	s.key(kb.Escape)
}

func (s *screens) others() {
	s.key("w")
	s.until("ways with pictures", `document.querySelectorAll(".way .cut img").length>3`, 120*time.Second)
	s.key(kb.ArrowDown)
	s.draw("ways")
	s.act("pane", "checks")
	s.draw("checks")
	s.act("pane", "text")
	s.until("the text", `document.getElementById("text").value.length>100`, 20*time.Second)
	s.draw("text")
	s.act("pane", "desk")
	s.act("help", "")
	s.draw("keys")
	s.act("help", "")
}

func (s *screens) edit() {
	s.act("pane", "edit")
	s.until("the form", `document.querySelector("#ednav .d0")`, 20*time.Second)
	for _, x := range []string{"shoot", "house", "kit", "room"} {
		s.run(`document.querySelector('#ednav [data-path=` + x + `]').click()`)
		s.draw("edit-" + x)
	}
	s.run(`document.querySelector('#ednav [data-path=setups]').click()`)
	for _, x := range []string{`#ednav [data-path="setups[0]"]`, `#ednav [data-path="setups[0].lights"]`} {
		s.click(x)
	}
	s.draw("edit-lights")
	s.act("edbeside", "plan")
	s.until("the lights in the plan", `document.querySelectorAll("#roomplan .sett").length>3`, 20*time.Second)
	s.draw("edit-plan")
	s.act("edlengths", "feet")
	s.act("edclock", "12")
	s.draw("edit-feet")
	s.act("pane", "desk")
	s.part("plan")
	s.draw("plan-feet")
	s.act("pane", "edit")
	s.act("edlengths", "metres")
	s.act("edclock", "24")
	s.act("edbeside", "text")
	s.until("the text", `document.getElementById("text").value.length>100`, 20*time.Second)
	s.run(`(()=>{const a=document.getElementById("text");a.value=a.value.replace(/ceiling: /,"ceilng: ");a.dispatchEvent(new Event("input",{bubbles:true}))})()`)
	s.until("the message", `document.querySelector("#textsays .error")`, 20*time.Second)
	s.draw("edit-broken")
}
