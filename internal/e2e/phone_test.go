package e2e

import (
	"fmt"
	"testing"
	"time"

	"halfstop/internal/e2e/browser"
)

// TestSideways holds a phone on its side: what is saved and computed is in sight on every part,
// a refusal is read, the dimensions of the plan are whole, and no row of the list of actions or of
// the camera is lower than a finger.
func TestSideways(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, bareShoot())
	p := open(t, browser.Profile(t), address, 844, 390)
	p.Until("readings", ready, 60*time.Second)
	// Where the middle of an element is, that element is seen.
	seen := func(sel string) string {
		return fmt.Sprintf(`(()=>{const e=document.querySelector(%q),r=e.getBoundingClientRect(),`+
			`t=document.elementFromPoint(r.x+r.width/2,r.y+r.height/2);return r.width>20&&e.contains(t)})()`, sel)
	}
	for _, part := range []string{"ladder", "plan", "lights", "frame"} {
		p.Act("phone", "[data-arg="+part+"]")
		p.Until(part+": what is saved, and what is computed", `document.getElementById("page").dataset.phone==="`+part+
			`" && /memory|saved/.test(document.querySelector(".sv").textContent) && `+seen(".sv")+` && `+seen(".pr"),
			10*time.Second)
		if part == "plan" {
			p.Until("whole dimensions", `(()=>{const s=document.getElementById("plan").getBoundingClientRect(),`+
				`l=[...document.querySelectorAll("#plan .dim text")].map(e=>e.getBoundingClientRect());`+
				`return l.length>2&&l.every(r=>r.top>=s.top&&r.bottom<=s.bottom)})()`, 10*time.Second)
		}
	}
	p.Fill(`.cam [data-arg="aperture"]`, "wide")
	p.Until("what was not understood", seen(".toast span"), 10*time.Second)
	p.Shot("sideways-844x390")
	p.Act("toast", "")
	if s := p.Str(`[...document.querySelectorAll("#cam button,#phone button,.narrow :is(button,select)")].filter(e=>{` +
		`const r=e.getBoundingClientRect();return r.width&&(r.height<43.5||r.width<43.5)}).map(e=>e.outerHTML.slice(0,80)).join("; ")`); s != "" {
		t.Errorf("smaller than a finger: %s", s)
	}
	p.Act("help", "[data-key=nhelp]")
	p.Until("the list of actions, its rows as high as a finger",
		`[...document.querySelectorAll(".help .do")].length>40 && [...document.querySelectorAll(".help .do")].every(e=>e.offsetHeight>=44)`,
		10*time.Second)
	p.Clean()
}
