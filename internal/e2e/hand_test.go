package e2e

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// hand works as a person does: it looks for a second before it presses anything, takes 160 ms a
// stroke, and counts what it does.
type hand struct {
	*page
	presses, strokes int
	began            time.Time
}

func (h *hand) look() { time.Sleep(time.Second) }

func (h *hand) press(selector string) {
	h.T.Helper()
	h.look()
	h.Tap(selector)
	h.presses++
}

func (h *hand) pressAt(x, y float64) {
	h.T.Helper()
	h.look()
	h.PressAt(x, y)
	h.presses++
}

// pull drags a thing to a place.
func (h *hand) pull(selector string, x, y float64) {
	h.T.Helper()
	h.look()
	x0, y0 := h.At(selector)
	h.Drag(x0, y0, x-x0, y-y0)
	h.presses++
}

// pick takes an entry of a list: one press opens it, one takes the entry.
func (h *hand) pick(selector, value string) {
	h.T.Helper()
	h.look()
	h.Choose(selector, value)
	h.presses += 2
	h.look()
}

func (h *hand) stroke(key string, mods ...chromedp.Modifier) {
	h.T.Helper()
	h.Key(key, mods...)
	time.Sleep(160*time.Millisecond - browser.Dwell)
	h.strokes++
}

func (h *hand) write(text string) {
	h.T.Helper()
	for _, r := range text {
		h.stroke(string(r))
	}
}

func (h *hand) told(what string) {
	h.T.Logf("%s: %d presses, %d strokes, %.0f s", what, h.presses, h.strokes, time.Since(h.began).Seconds())
}

// emptyFolder opens the real program on an empty folder, and the page of it.
func emptyFolder(t *testing.T) (*hand, string) {
	t.Helper()
	s := newProgram(t)
	s.opens = filepath.Join(s.dir, "corner-bar")
	if err := os.Mkdir(s.opens, 0o755); err != nil {
		t.Fatal(err)
	}
	s.start()
	p := open(t, browser.Profile(t), s.address, 1440, 900)
	p.Until("the first field to have the keyboard", `document.activeElement.dataset.key==="bg-length"`, 20*time.Second)
	return &hand{page: p, began: time.Now()}, filepath.Join(s.opens, "shoot.yaml")
}

// answer takes what is proposed once its question is there.
func (h *hand) answer(question string) {
	h.T.Helper()
	h.Until("the question of the "+question,
		`document.querySelector(".bgst.cur h3").textContent.startsWith("`+question+`")`, 10*time.Second)
	h.look()
}

// TestHandBegins makes a shoot in an empty folder by keyboard alone: the room is typed, the other
// answers are taken as they are proposed. The first picture comes, and the shoot is on disk.
func TestHandBegins(t *testing.T) {
	long(t)
	browser.Path(t)
	h, file := emptyFolder(t)
	h.look()
	h.write("6.2")
	h.stroke(kb.Tab)
	h.write("4.1")
	h.stroke(kb.Tab)
	h.write("2.8")
	h.stroke(kb.Enter)
	h.answer("Camera")
	h.stroke(kb.Enter)
	h.answer("Sitter")
	for range 5 {
		if h.Str(`document.activeElement.dataset.key`) == "bg-stature" {
			break
		}
		h.stroke(kb.Tab)
	}
	h.write("1.82")
	h.stroke(kb.Enter)
	h.look()
	h.stroke(kb.Enter, chromedp.ModifierCtrl)
	h.Until("the desk with readings and a picture",
		ready+` && `+picture+` && document.getElementById("page").dataset.begin===""`, 60*time.Second)
	h.told("beginning")
	if h.presses > 0 {
		t.Error("a press was needed")
	}
	h.Until("the word that it is saved", `document.querySelector(".sv").textContent.startsWith("saved")`, 30*time.Second)
	if src, err := os.ReadFile(file); err != nil || !strings.Contains(string(src), "[6.2 m, 4.1 m, 2.8 m]") ||
		!strings.Contains(string(src), "1.82 m") {
		t.Errorf("the file: %v\n%s", err, src)
	}
	h.Clean()
}

// TestHandCornerBar makes an L-shaped bar from an empty folder without a line of YAML: six walls by
// their lengths, two windows, a door, a counter, a mirror and a chair, three surfaces.
func TestHandCornerBar(t *testing.T) {
	long(t)
	browser.Path(t)
	h, file := emptyFolder(t)
	h.look()
	h.stroke(kb.Enter, chromedp.ModifierCtrl)
	h.Until("the desk", `document.getElementById("page").dataset.begin===""`, 60*time.Second)
	h.press(`[data-act=pane][data-arg=edit]`)
	h.press(`[data-key="placing-walls"]`)
	h.Until("what to do", `document.querySelector(".palh")?.textContent.includes("drag a rectangle")`, 5*time.Second)
	h.rested()
	spot := func(x, y float64) (float64, float64) { // metres into pixels, by the drawing's twelve by nine metres
		r := func(what string) float64 {
			return h.number(`document.getElementById("roomplan").getBoundingClientRect().` + what)
		}
		k := max(8, min((r("width")-60)/12, (r("height")-60)/9))
		return r("left") + (r("width")-12*k)/2 + x*k, r("top") + (r("height")+9*k)/2 - y*k
	}
	h.pressAt(spot(0.5, 0.5))
	for _, w := range []struct {
		x, y   float64
		length string
	}{{7, 0.5, "7"}, {7.5, 3, "3.2"}, {5, 3.7, "3"}, {4.5, 6, "3"}, {1, 6.7, "4"}} {
		x, y := spot(w.x, w.y)
		h.Mouse("mouseMoved", x, y)
		h.Until("the field for a length to have the keyboard", `document.activeElement.dataset.key==="typedwall"`,
			5*time.Second)
		h.look()
		h.write(w.length)
		h.stroke(kb.Enter)
	}
	h.Until("six corners", `document.querySelector(".palh").textContent.includes("6 corners")`, 5*time.Second)
	h.stroke(kb.Enter)
	h.written("outline: [[0.5, 0.5], [7.5, 0.5], [7.5, 3.7], [4.5, 3.7], [4.5, 6.7], [0.5, 6.7]]")
	h.Until("the walls", `document.querySelectorAll("#roomplan .wall").length===6`, 15*time.Second)
	wall := func(n string) (float64, float64) { return h.Middle(`#roomplan [data-hold=wall][data-n="` + n + `"]`) }
	for _, n := range []string{"0", "1"} {
		x, y := wall(n)
		h.pull(`[data-key="placing-window"]`, x, y)
		h.written("{name: window" + map[string]string{"0": ", wall: 1,", "1": " 2, wall: 2,"}[n])
	}
	h.press(`[data-key="placing-door"]`)
	x, y := wall("5")
	h.pressAt(x, y)
	h.written("{name: door, wall: 6,")
	h.pick(`[data-key=pl-things]`, "thing:counter")
	x, y = wall("4")
	h.pressAt(x, y+22)
	h.written("kind: counter")
	h.pick(`[data-key=pl-things]`, "thing:mirror")
	x, y = wall("2")
	h.pressAt(x, y+6)
	h.written("kind: mirror")
	h.pick(`[data-key=pl-things]`, "thing:chair")
	x, y = wall("0")
	h.pressAt(x-60, y-40)
	h.written("kind: chair")
	h.press(`[data-key="placing-surfaces"]`)
	h.Until("swatches", `document.querySelectorAll(".swl button").length>20`, 15*time.Second)
	h.press(`.swl [data-arg="dark wood"]`)
	h.written("walls: dark wood")
	for _, part := range []string{"floor", "ceiling"} {
		h.pick(`[data-key=painting]`, part)
		name := map[string]string{"floor": "lino grey", "ceiling": "white emulsion"}[part]
		h.press(`.swl [data-arg="` + name + `"]`)
		h.written(part + ": " + name)
	}
	h.press(`[data-act=pane][data-arg=desk]`)
	h.Until("a picture of it", ready+` && `+picture+` && /^picture (\d+ of|fine)/.test(`+
		`document.querySelector(".pr").textContent.trim())`, 60*time.Second)
	h.told("an L-shaped bar")
	h.Shot("corner-bar")
	if n := h.number(`[...document.querySelectorAll("#err .error,.errwrap b")].length`); n > 0 {
		t.Errorf("the room has mistakes: %s", h.Str(`document.getElementById("err").textContent`))
	}
	h.Until("the word that it is saved", `document.querySelector(".sv").textContent.startsWith("saved")`, 30*time.Second)
	if src, err := os.ReadFile(file); err != nil || strings.Count(string(src), "name: window") != 2 {
		t.Errorf("the file: %v\n%s", err, src)
	}
	h.Clean()
}
