package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/internal/e2e/browser"
)

// TestRoomScreens goes through the desk on rooms of the zoo, at three sizes and on both grounds,
// and writes a picture of each screen where HALFSTOP_SCREENS names a folder. On each screen axe
// finds nothing, nothing is wider than the screen, and the browser complains of nothing.
// HALFSTOP_ROOMS names the rooms, HALFSTOP_SIZES the sizes; else all of them. crowded:12x30 is a
// hall of twelve lights and thirty points under long names in several scripts.
func TestRoomScreens(t *testing.T) {
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		long(t)
	}
	rooms, _ := filepath.Glob("../../zoo/*.yaml")
	if want := os.Getenv("HALFSTOP_ROOMS"); want != "" {
		rooms = nil
		for _, r := range strings.Fields(want) {
			rooms = append(rooms, "../../zoo/"+r+".yaml")
		}
	} else {
		rooms = append(rooms, "crowded:12x30", "crowded:40x60", "crowded:1x0")
	}
	sizes := os.Getenv("HALFSTOP_SIZES")
	if sizes == "" {
		sizes = "1440x900 820x1180 390x844 844x390"
	}
	whole = true
	t.Cleanup(func() { whole = false })
	b := browser.Profile(t)
	for _, room := range rooms {
		name, src := roomText(t, room)
		address, stop := serveText(t, src)
		for _, size := range strings.Fields(sizes) {
			t.Run(name+"/"+size, func(t *testing.T) {
				var w, h int64
				fmt.Sscanf(size, "%dx%d", &w, &h)
				s := &screens{page: open(t, b, address, w, h), size: size, phone: w < 700 || h < 500, room: name + "-"}
				s.Until("readings", ready, 120*time.Second)
				s.Until("a picture", picture, 120*time.Second)
				s.walk()
				s.Clean()
			})
		}
		stop()
	}
}

// roomText gives the name and the text of a room of the zoo, or of a crowded hall.
func roomText(t *testing.T, path string) (name, text string) {
	t.Helper()
	name = strings.TrimSuffix(filepath.Base(path), ".yaml")
	var lights, points int
	if n, _ := fmt.Sscanf(name, "crowded:%dx%d", &lights, &points); n == 2 {
		return strings.Replace(name, ":", "-", 1), crowded(lights, points)
	}
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return name, string(src)
}

// low lists what is there to press and is lower or narrower than a finger; marks in a drawing lie
// closer.
const low = `[...document.querySelectorAll("button,select,input,summary,a[href],[role=button]")].filter(e=>{` +
	`const r=e.getBoundingClientRect(),t=document.elementFromPoint(r.x+r.width/2,r.y+r.height/2);` +
	`return r.width&&!e.closest("svg")&&!e.disabled&&t&&(e===t||e.contains(t))&&(r.height<43.5||r.width<43.5)})` +
	`.map(e=>{const r=e.getBoundingClientRect();return (e.dataset.key||e.className||e.tagName)+" "+` +
	`Math.round(r.width)+" x "+Math.round(r.height)}).join("; ")`

// see draws a screen and holds it to what every screen is held to.
func (s *screens) see(name string) {
	s.T.Helper()
	for _, ground := range []string{"booth", "paper"} {
		s.Run(`document.documentElement.dataset.theme!=="` + ground +
			`"&&document.querySelector('[data-act=theme][data-arg=` + ground + `]')?.click()`)
		s.Until("the ground", `document.documentElement.dataset.theme==="`+ground+`"`, 10*time.Second)
		s.Until("no motion", `document.getAnimations().every(a=>a.playState!=="running"||a.effect.getTiming().iterations===Infinity)`,
			10*time.Second)
		s.Axe(s.room+name+" "+ground+" "+s.size, "../../web/node_modules")
		if over := s.number(`document.documentElement.scrollWidth-innerWidth`); over > 0 {
			s.T.Errorf("%s%s %s: %.0f px wider than the screen", s.room, name, ground, over)
		}
		s.Shot(s.room + name + "-" + ground + "-" + s.size)
		if what := s.Str(low); s.phone && what != "" {
			s.T.Errorf("%s%s %s: smaller than a finger: %s", s.room, name, ground, what)
		}
	}
	s.Run(`document.querySelector('[data-act=theme][data-arg=booth]')?.click()`)
}

// walk goes through the screens of a room as a person does that sees it for the first time.
func (s *screens) walk() {
	s.T.Helper()
	s.see("desk")
	if s.phone {
		for _, x := range []string{"ladder", "plan", "lights"} {
			s.part(x)
			s.see(x)
		}
	} else {
		s.Rub()
		s.Key("x")
		s.see("plan")
		s.Key("x")
	}
	s.part("lights")
	s.Tap(".lt .ro")
	s.see("light")
	s.Act("solo", "")
	s.Until("a light alone", `document.querySelector("#state .al")`, 10*time.Second)
	s.see("alone")
	s.Act("solo", "")
	for _, pane := range []string{"setups", "checks", "edit", "day", "ways", "kit", "scout", "library", "text"} {
		s.pane(pane)
		s.Until(pane, `document.getElementById("page").dataset.pane==="`+pane+`"`, 20*time.Second)
		switch pane {
		case "setups":
			s.Until("small pictures", `[...document.querySelectorAll(".card")].every(c=>c.querySelector("img"))`, 20*time.Second)
		case "ways":
			s.Until("ways with their pictures, or that there are none",
				`/ranked/.test(document.querySelector("#ways .hd [role=status]").textContent) && `+
					`document.querySelector("#ways .list").children.length>0 && `+
					`![...document.querySelectorAll("#ways .pair span")].some(x=>x.textContent==="being computed")`,
				150*time.Second)
		case "text":
			s.Until("the text", `document.getElementById("text").value.length>100`, 20*time.Second)
		case "edit":
			s.Until("the form", `document.querySelector("#ednav .d0")`, 20*time.Second)
		}
		s.see(pane)
	}
	s.pane("desk")
}
