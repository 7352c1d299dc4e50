package e2e

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
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
			b := browser.Profile(t)
			address, _ := serve(t, "127.0.0.1:0")
			p := open(t, b, address, size[0], size[1])
			s := &screens{page: p, size: fmt.Sprintf("%dx%d", size[0], size[1]), phone: size[0] < 700 || size[1] < 500}
			p.Until("readings", ready, 60*time.Second)
			p.Until("a calm picture", `Number(document.getElementById("page").dataset.film)>=2`, 300*time.Second)
			s.desk()
			s.others()
			s.edit()
			p.Clean("422")
			address, _ = serveText(t, crowded(12, 30))
			p = open(t, b, address, size[0], size[1])
			s.page = p
			p.Until("readings", ready, 90*time.Second)
			p.Until("a picture", picture, 120*time.Second)
			s.part("ladder")
			s.draw("crowded")
			p.Rub()
			p.Key("u")
			s.draw("crowded-open")
			s.part("lights")
			s.draw("crowded-lights")
			address, _ = serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml"}, Demo: true,
				Begin: "/shoots/town-hall", Example: demo.Shoot()})
			p = open(t, b, address, size[0], size[1])
			s.page = p
			p.Until("the beginning", `document.activeElement.dataset.key==="bg-length"`, 20*time.Second)
			s.draw("begin")
		})
	}
}

// screens goes through the page at one size.
type screens struct {
	*page
	size  string
	phone bool
	room  string // before the names of its pictures
}

// part shows a part of the desk, where it does not show by itself.
func (s *screens) part(x string) {
	if s.phone {
		s.Act("phone", "[data-arg="+x+"]")
	}
}

// pane shows another screen.
func (s *screens) pane(x string) {
	if s.phone {
		s.Choose("[data-key=npane]", x)
	} else {
		s.Act("pane", "[data-arg="+x+"]")
	}
}

// draw lets what is fading come to rest, then writes the picture on both grounds.
func (s *screens) draw(name string) {
	s.T.Helper()
	for _, ground := range []string{"booth", "paper"} {
		s.Run(`document.documentElement.dataset.theme!=="` + ground +
			`"&&document.querySelector('[data-act=theme][data-arg=` + ground + `]')?.click()`)
		time.Sleep(600 * time.Millisecond)
		s.Shot(name + "-" + ground + "-" + s.size)
	}
	s.Run(`document.querySelector('[data-act=theme][data-arg=booth]')?.click()`)
}

func (s *screens) desk() {
	s.part("frame")
	s.draw("desk")
	s.Act("stops", "")
	s.draw("stops")
	s.Act("picture", "")
	for _, x := range []string{"ladder", "plan", "lights"} {
		if s.phone {
			s.part(x)
			s.draw(x)
		}
	}
	if !s.phone {
		s.Rub()
		s.Key("x")
		s.draw("plan")
		s.Key("a")
		s.Until("contours on plan and section",
			`document.querySelectorAll(".contours:not(.old) .ct").length>0 && document.querySelector('[data-key="contours-section"]')`, 90*time.Second)
		s.draw("contours")
		s.Act("contours", "[data-arg=off]")
		s.Key("x")
	}
	s.part("lights")
	s.Tap(".lt .ro")
	s.Act("solo", "")
	s.draw("alone")
	s.Act("solo", "")
	s.Key(kb.Escape)
	s.part("frame")
	s.Rub()
	s.Key("q")
	s.Key(kb.Enter)
	s.Until("a spot", `document.querySelector(".spot .by li")`, 60*time.Second)
	s.draw("spot")
	s.Key(kb.Escape)
	s.Key("b")
	s.draw("judge")
	s.Key(kb.Escape)
}

func (s *screens) others() {
	s.pane("setups")
	s.draw("setups")
	s.pane("desk")
	for _, x := range []string{"window-bench", "folding-table"} {
		s.Rub()
		s.Key("n")
		s.Until("its picture", ready+` && Number(document.getElementById("page").dataset.film)>=2`, 120*time.Second)
		s.draw(x)
	}
	s.Key("N")
	s.Key("N")
	s.Until("the aisle", ready, 60*time.Second)
	s.pane("ways")
	s.Until("ways", `document.querySelectorAll("#ways .way").length>1`, 150*time.Second)
	s.draw("ways")
	s.pane("checks")
	s.draw("checks")
	s.pane("text")
	s.Until("the text", `document.getElementById("text").value.length>100`, 20*time.Second)
	s.draw("text")
	s.Tap("#text")
	s.Run(`const a=document.getElementById("text"),i=a.value.indexOf("aperture:");a.setSelectionRange(i+1,i+1)`)
	s.Write("p")
	s.Until("the mistake", `document.querySelector("#err .err")`, 20*time.Second)
	s.pane("desk")
	s.draw("mistake")
	s.pane("text")
	s.Tap("#err [data-act=goto]")
	time.Sleep(400 * time.Millisecond)
	s.Write("aperture")
	s.Until("no mistake", `!document.querySelector("#err .err")`, 20*time.Second)
	s.pane("desk")
	s.Rub()
	s.Key("?")
	s.Until("the actions", `document.querySelector(".help .do")`, 10*time.Second)
	s.draw("actions")
	s.Key(kb.Escape)
}

func (s *screens) edit() {
	s.pane("edit")
	s.Until("the form", `document.querySelector("#ednav .d0")`, 20*time.Second)
	s.draw("edit-room")
	if s.phone {
		s.Act("edbeside", "[data-arg=plan]")
	}
	s.Tap(`[data-key="placing-surfaces"]`)
	s.Until("swatches", `document.querySelectorAll(".swl button").length>20`, 15*time.Second)
	s.draw("edit-surfaces")
	s.Tap(`[data-key="placing-surfaces"]`)
	s.pane("desk")
}
