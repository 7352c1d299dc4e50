package e2e

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/demo"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// TestScreens writes a picture of each screen at four sizes on both grounds
// where HALFSTOP_SCREENS names a folder: they are made to be looked at.
func TestScreens(t *testing.T) {
	full(t)
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		t.Skip("set HALFSTOP_SCREENS to a folder to have the screens drawn")
	}
	for _, size := range [][2]int64{{1440, 900}, {1180, 820}, {390, 844}, {844, 390}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			b := browse(t)
			address, _ := serve(t, "127.0.0.1:0")
			p := open(t, b, address, size[0], size[1])
			s := &screens{page: p, size: fmt.Sprintf("%dx%d", size[0], size[1]), phone: size[0] < 700 || size[1] < 500}
			p.until("readings", ready, 60*time.Second)
			p.until("a calm picture", `Number(document.getElementById("page").dataset.film)>=2`, 300*time.Second)
			s.desk()
			s.others()
			s.edit()
			p.clean("422")
			address, _ = serveText(t, crowded(12, 30))
			p = open(t, b, address, size[0], size[1])
			s.page = p
			p.until("readings", ready, 90*time.Second)
			p.until("a picture", picture, 120*time.Second)
			s.part("ladder")
			s.draw("crowded")
			p.rub()
			p.key("u")
			s.draw("crowded-open")
			s.part("lights")
			s.draw("crowded-lights")
			address, _ = serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml"}, Demo: true,
				Begin: "/shoots/town-hall", Example: demo.Shoot()})
			p = open(t, b, address, size[0], size[1])
			s.page = p
			p.until("the beginning", `document.activeElement.dataset.key==="bg-length"`, 20*time.Second)
			s.draw("begin")
		})
	}
}

// screens goes through the page at one size.
type screens struct {
	*page
	size  string
	phone bool
}

// part shows a part of the desk, where it does not show by itself.
func (s *screens) part(x string) {
	if s.phone {
		s.act("phone", "[data-arg="+x+"]")
	}
}

// pane shows another screen.
func (s *screens) pane(x string) {
	if s.phone {
		s.choose("[data-key=npane]", x)
	} else {
		s.act("pane", "[data-arg="+x+"]")
	}
}

// draw lets what is fading come to rest, then writes the picture on both grounds.
func (s *screens) draw(name string) {
	s.t.Helper()
	for _, ground := range []string{"booth", "paper"} {
		s.run(`document.documentElement.dataset.theme!=="` + ground +
			`"&&document.querySelector('[data-act=theme][data-arg=` + ground + `]')?.click()`)
		time.Sleep(600 * time.Millisecond)
		s.shot(name + "-" + ground + "-" + s.size)
	}
	s.run(`document.querySelector('[data-act=theme][data-arg=booth]')?.click()`)
}

func (s *screens) desk() {
	s.part("frame")
	s.draw("desk")
	s.act("stops", "")
	s.draw("stops")
	s.act("picture", "")
	for _, x := range []string{"ladder", "plan", "lights"} {
		if s.phone {
			s.part(x)
			s.draw(x)
		}
	}
	if !s.phone {
		s.rub()
		s.key("x")
		s.draw("plan")
		s.key("a")
		s.until("contours on plan and section",
			`document.querySelectorAll(".contours:not(.old) .ct").length>0 && document.querySelector('[data-key="contours-section"]')`, 90*time.Second)
		s.draw("contours")
		s.act("contours", "[data-arg=off]")
		s.key("x")
	}
	s.part("lights")
	s.tap(".lt .ro")
	s.act("solo", "")
	s.draw("alone")
	s.act("solo", "")
	s.key(kb.Escape)
	s.part("frame")
	s.rub()
	s.key("q")
	s.key(kb.Enter)
	s.until("a spot", `document.querySelector(".spot .by li")`, 60*time.Second)
	s.draw("spot")
	s.key(kb.Escape)
	s.key("b")
	s.draw("judge")
	s.key(kb.Escape)
}

func (s *screens) others() {
	s.pane("setups")
	s.draw("setups")
	s.pane("desk")
	for _, x := range []string{"window-bench", "folding-table"} {
		s.rub()
		s.key("n")
		s.until("its picture", ready+` && Number(document.getElementById("page").dataset.film)>=2`, 120*time.Second)
		s.draw(x)
	}
	s.key("N")
	s.key("N")
	s.until("the aisle", ready, 60*time.Second)
	s.pane("ways")
	s.until("ways", `document.querySelectorAll("#ways .way").length>1`, 150*time.Second)
	s.draw("ways")
	s.pane("checks")
	s.draw("checks")
	s.pane("text")
	s.until("the text", `document.getElementById("text").value.length>100`, 20*time.Second)
	s.draw("text")
	s.tap("#text")
	s.run(`const a=document.getElementById("text"),i=a.value.indexOf("aperture:");a.setSelectionRange(i+1,i+1)`)
	s.write("p")
	s.until("the mistake", `document.querySelector("#err .err")`, 20*time.Second)
	s.pane("desk")
	s.draw("mistake")
	s.pane("text")
	s.tap("#err [data-act=goto]")
	time.Sleep(400 * time.Millisecond)
	s.write("aperture")
	s.until("no mistake", `!document.querySelector("#err .err")`, 20*time.Second)
	s.pane("desk")
	s.rub()
	s.key("?")
	s.until("the actions", `document.querySelector(".help .do")`, 10*time.Second)
	s.draw("actions")
	s.key(kb.Escape)
}

func (s *screens) edit() {
	s.pane("edit")
	s.until("the form", `document.querySelector("#ednav .d0")`, 20*time.Second)
	s.draw("edit-room")
	if s.phone {
		s.act("edbeside", "[data-arg=plan]")
	}
	s.tap(`[data-key="placing-surfaces"]`)
	s.until("swatches", `document.querySelectorAll(".swl button").length>20`, 15*time.Second)
	s.draw("edit-surfaces")
	s.tap(`[data-key="placing-surfaces"]`)
	s.pane("desk")
}
