package e2e

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// afternoon is a room of the zoo under a clear sky, at 14:00, 50° north at the equinox, with the
// plan's north up: the wall on its left looks to the west.
func afternoon(t *testing.T, room string) string {
	t.Helper()
	text, err := os.ReadFile("../../zoo/" + room + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	for i, l := range lines {
		switch {
		case strings.HasPrefix(l, "halfstop:"):
			lines[i] += "\nshoot: {date: 2026-03-20, hours: {access: \"8:00\", out: \"19:30\"}, " +
				"place: {latitude: 50, longitude: 0.0001, zone: UTC}}"
		case strings.HasPrefix(l, "  outside:"):
			lines[i] = "  outside: {sky: clear}"
		case strings.HasPrefix(l, "    camera:"):
			lines[i] = "    time: \"14:00\"\n" + l
		}
	}
	return strings.Join(lines, "\n")
}

// TestHourStrip scrubs by hand in two rooms of the zoo: a press on the strip, a drag along it,
// keys. The sun's patch moves on the plan, strip, picture and face grow dark; checks and ways are
// of the hour shown and say it; the file stays as it is.
func TestHourStrip(t *testing.T) {
	t.Parallel()
	for _, room := range []string{"street-window", "greenhouse"} {
		address, _ := serveText(t, afternoon(t, room))
		p := open(t, browser.Profile(t), address, 1440, 900)
		p.Until("readings", ready, 60*time.Second)
		p.Until("a picture", picture, 60*time.Second)
		patch := func() string { return p.Str(`[...document.querySelectorAll(".sunlies")].map(e=>e.getAttribute("d"))`) }
		stops := func() float64 {
			return p.number(`(document.querySelector("#hours .hw b")?.textContent.match(/([+\u2212]?[\d.]+) stops/)[1]??"0")` +
				`.replace("\u2212","-")`)
		}
		face := p.level("face shadow side")
		bright, lies := p.green("picture"), patch()
		if lies == "" {
			t.Errorf("%s: at 14:00 no sun lies on the floor", room)
		}
		scrubbed := func(by string, do func()) {
			t.Helper()
			was, lay := p.Str(`document.querySelector("[data-act=scrub]").value`), patch()
			do()
			p.Until(by+": another hour, looked at by the program", fmt.Sprintf(
				`(()=>{const f=document.querySelector("[data-act=scrub]");return f.value!==%q&&f.dataset.shown===f.value})()`,
				was), 20*time.Second)
			p.settled()
			p.Until(by+": the sun's patch elsewhere", fmt.Sprintf(
				`[...document.querySelectorAll(".sunlies")].map(e=>e.getAttribute("d")).join()!==%q`, lay), 20*time.Second)
			p.Shot(room + "-hour-" + by)
		}
		x, y := p.Middle("[data-act=scrub]")
		w := p.number(`document.querySelector("[data-act=scrub]").getBoundingClientRect().width`)
		scrubbed("press", func() { p.PressAt(x+0.2*w, y) })
		scrubbed("drag", func() { p.Drag(x+0.2*w, y, 0.15*w, 2) })
		scrubbed("arrows", func() { p.Key(kb.ArrowRight); p.Key(kb.ArrowRight) })
		p.Rub()
		scrubbed("keys", func() { p.Key("."); p.Key(".") })
		p.fine()
		// About when the sun goes down. By how much, a unit test holds.
		said, now := stops(), p.level("face shadow side")
		if !(said < -1) || now > face-0.5 {
			t.Errorf("%s: the strip says %+.1f stops, the face goes from %+.1f to %+.1f", room, said, face, now)
		}
		if dark := p.green("picture"); dark > 0.97*bright {
			t.Errorf("%s: the picture's brightness %.1f is hardly under %.1f", room, dark, bright)
		}
		clock := p.Str(`document.querySelector("[data-act=clock]").value`)
		words := fmt.Sprintf(`.textContent.includes("at %s, not 14:00 as in the file")`, clock)
		p.Act("pane", "[data-arg=checks]")
		p.Until("the checks' hour", `document.querySelector("#checks")`+words, 20*time.Second)
		p.Act("pane", "[data-arg=ways]")
		p.Until("the ways' hour", `document.querySelector("#ways")`+words, 60*time.Second)
		p.Shot(room + "-hour-ways")
		p.Act("pane", "[data-arg=desk]")
		p.Act("hour", "")
		p.Until("the file's hour", `document.querySelector("[data-act=scrub]").dataset.shown==="840"`, 20*time.Second)
		if s := p.Str(`document.querySelector("[data-act=undo]")?.disabled??"no button"`); s != "true" {
			t.Errorf("%s: scrubbing changed the shoot: undo is there (%s)", room, s)
		}
		p.Clean("409") // ways that were still looked for at the other hour
	}
}
