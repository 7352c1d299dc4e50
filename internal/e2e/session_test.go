package e2e

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// reachable lists what a hand could go for now: buttons, things to drag and fields that are in
// sight, not covered, each with a place and what it is called. What leaves the shoot's file alone
// for good, as saving under another name does, is left out.
const reachable = `JSON.stringify((()=>{const out=[],no=/^(saveas|edsave|disk|writeback|both|edaddkit)$/;
const add=(kind,e)=>{const r=e.getBoundingClientRect();if(r.width<2||r.height<2)return;
 const x=r.x+r.width/2,y=r.y+r.height/2;if(x<0||y<0||x>=innerWidth||y>=innerHeight)return;
 const t=document.elementFromPoint(x,y);if(!t||!(t===e||e.contains(t)||t.closest("[data-drag],[data-hold]")===e))return;
 out.push([kind,x,y,e.getAttribute("data-key")||e.getAttribute("data-drag")||e.getAttribute("data-hold")||e.id])};
for(const e of document.querySelectorAll("button[data-act]"))if(!e.disabled&&!no.test(e.dataset.act))add("press",e);
for(const e of document.querySelectorAll("#plan [data-drag],#lad [data-drag=ring],#roomplan [data-hold]"))add("drag",e);
for(const e of document.querySelectorAll("input[type=text][data-act],input:not([type])[data-act]"))add("type",e);
return out})())`

var (
	sessionFor  = flag.Duration("sessionfor", 5*time.Minute, "how long each of TestSessions goes on")
	sessionSeed = flag.Int("sessionseed", 100, "seed of the first of TestSessions")
)

// typings are what a hand writes into any field: what fits, what does not, and nothing.
var typings = []string{"1.5", "2,25 m", "f/5.6", "-1.2", "60 %", "1/8 + 0.3", "200", "abc", "", "7 ft 10 in",
	"выход 2", "1/125 s", "5200 K"}

// strokes are keys that a hand presses, as likely as not while something else goes on.
var strokes = []string{"o", "l", "h", "k", "f", "u", "s", "p", "x", "n", "a", "0", "1", "2", "3", "[", "]", "{",
	"}", "m", kb.ArrowUp, kb.ArrowDown, kb.ArrowLeft, kb.ArrowRight, kb.Escape, kb.Tab, kb.Enter, " "}

// session is a hand at work on a room of the zoo, over the real program.
type session struct {
	*page
	s    *program
	r    *rand.Rand
	did  []string
	name string
}

// step does one thing that comes to mind.
func (h *session) step() {
	h.T.Helper()
	r := h.r
	note := func(format string, args ...any) {
		h.did = append(h.did, fmt.Sprintf(format, args...))
	}
	switch n := r.IntN(100); {
	case n < 18:
		k := strokes[r.IntN(len(strokes))]
		note("key %q", k)
		h.Key(k)
		return
	case n < 32:
		note("undo")
		h.Key("z", chromedp.ModifierCtrl)
		return
	case n < 38:
		note("redo")
		h.Key("y", chromedp.ModifierCtrl)
		return
	case n < 40:
		note("reload")
		h.still()
		h.Reload()
		h.Until("the page again", ready+`!==undefined`, 30*time.Second)
		return
	}
	var all [][4]any
	if json.Unmarshal([]byte(h.Str(reachable)), &all) != nil || len(all) == 0 {
		h.Key(kb.Escape)
		return
	}
	// Each kind is as likely as the others, however many there are of it.
	kind := []string{"press", "drag", "type"}[r.IntN(3)]
	var some [][4]any
	for _, a := range all {
		if a[0] == kind {
			some = append(some, a)
		}
	}
	if len(some) == 0 {
		return
	}
	a := some[r.IntN(len(some))]
	x, y := a[1].(float64), a[2].(float64)
	note("%s %v", kind, a[3])
	switch kind {
	case "press":
		h.PressAt(x, y)
	case "drag":
		h.Drag(x, y, float64(r.IntN(160)-80), float64(r.IntN(80)-40))
	case "type":
		h.PressAt(x, y)
		h.Key("a", chromedp.ModifierCtrl)
		text := typings[r.IntN(len(typings))]
		note("  %q", text)
		h.Write(text)
		h.Key([]string{kb.Enter, kb.Tab, kb.Escape}[r.IntN(3)])
	}
}

// agree checks that page, program and file say the same.
func (h *session) agree() {
	h.T.Helper()
	h.still()
	h.Until("what is here to be saved, or said why not",
		`!/saving/.test(document.querySelector(".sv").textContent)`, 20*time.Second)
	text := h.says()
	if h.Str(`document.querySelector(".sv").textContent`) != "" &&
		strings.HasPrefix(h.Str(`document.querySelector(".sv").textContent`), "saved") && h.s.disk() != text {
		h.fail("it says saved, and file and program differ")
	}
	// A page hears of a program that was started anew within a moment.
	end := time.Now().Add(browser.Patience * 10 * time.Second)
	for {
		h.Run(`window.same=null;fetch("/api/state").then(r=>r.json()).then(s=>{
			window.same=s.good_revision+" "+document.getElementById("page").dataset.revision},()=>{window.same="- -"})`)
		h.Until("the program's own word", `window.same!==null`, 10*time.Second)
		var want, got string
		fmt.Sscan(h.Str(`window.same`), &want, &got)
		if want == got {
			break
		}
		if time.Now().After(end) {
			h.fail(fmt.Sprintf("the page shows revision %s, the program has %s", got, want))
		}
		time.Sleep(100 * time.Millisecond)
	}
	for _, b := range h.Faults() {
		if !strings.Contains(b, "409") && !strings.Contains(b, "422") && !strings.Contains(b, "404") &&
			!strings.Contains(b, "net::ERR_") {
			h.fail(b)
		}
	}
}

// crash ends the program without a word, starts it again, and looks that nothing is lost.
func (h *session) crash() {
	h.T.Helper()
	h.agree()
	was := h.says()
	h.s.kill()
	h.s.start()
	h.Until("the page to heal",
		`!document.querySelector(".lost") && document.getElementById("page").dataset.link==="live"`,
		30*time.Second)
	h.still()
	if now := h.says(); now != was {
		h.fail("killed and started again, the text is another:\n" + now)
	}
	h.did = append(h.did, "kill -9")
}

func (h *session) fail(what string) {
	h.T.Helper()
	h.Shot("session-" + h.name)
	h.T.Fatalf("%s\nafter %s", what, strings.Join(h.did[max(0, len(h.did)-30):], "; "))
}

// zoo reads a room of the zoo.
func zoo(t *testing.T, room string) []byte {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "zoo", room+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return src
}

// work goes on for a time in a shoot.
func work(t *testing.T, room string, src []byte, seed uint64, during time.Duration) {
	s := newProgram(t)
	if err := os.WriteFile(s.file(), src, 0o644); err != nil {
		t.Fatal(err)
	}
	s.start()
	h := &session{page: open(t, browser.Profile(t), s.address, 1440, 900), s: s, r: rand.New(rand.NewPCG(seed, 1)),
		name: fmt.Sprintf("%s-%d", room, seed)}
	defer func() {
		if t.Failed() {
			t.Logf("room %s, seed %d, after %s", room, seed, strings.Join(h.did[max(0, len(h.did)-30):], "; "))
		}
	}()
	h.Until("readings", ready, 60*time.Second)
	began, looked, killed := time.Now(), time.Now(), time.Now()
	for time.Since(began) < during {
		h.step()
		if time.Since(looked) > 10*time.Second {
			h.agree()
			looked = time.Now()
		}
		if time.Since(killed) > time.Minute {
			h.crash()
			killed = time.Now()
		}
	}
	h.crash()
	t.Logf("%d things done", len(h.did))
}

// TestSession works a room of the zoo as a hand does that has no plan: it presses, drags, types,
// takes back and reloads at random, in an order that the seed gives. No console error, page and
// program and file agree, and a program killed at the end has lost nothing.
func TestSession(t *testing.T) {
	t.Parallel()
	browser.Path(t)
	work(t, "bar", zoo(t, "bar"), 7, 8*time.Second)
}

// TestSessions are twelve of them, five minutes each, and three of rooms with twelve lights and
// thirty points under long names in a script of their own.
func TestSessions(t *testing.T) {
	long(t)
	browser.Path(t)
	for i, room := range []string{"bar", "office", "corridor", "stairwell", "greenhouse", "car", "mirrors", "tiles",
		"street-window", "backdrop", "stage-haze", "curtain"} {
		t.Run(room, func(t *testing.T) { work(t, room, zoo(t, room), uint64(*sessionSeed+i), *sessionFor) })
	}
	for i, x := range scripts {
		t.Run(x.name, func(t *testing.T) { work(t, x.name, x.shoot(12, 30), uint64(*sessionSeed+20+i), *sessionFor) })
	}
}

// script holds long names of one script, each with a number after it.
type script struct{ name, title, setup, light, point string }

var scripts = []script{
	{"greek", "Πορτρέτα στο παλιό εργοστάσιο κλωστοϋφαντουργίας", "Ομαδική φωτογραφία μπροστά στη σκηνή",
		"Προβολέας πίσω από την κολόνα", "Θέση δεύτερου βιολιού κοντά στο παράθυρο"},
	{"arabic", "صور شخصية في مصنع النسيج القديم", "صورة جماعية أمام المسرح الكبير",
		"كشاف خلف العمود", "مقعد الكمان الثاني قرب النافذة"},
	{"japanese", "古い織物工場での肖像写真", "舞台の前での集合写真、全員", "柱の後ろのスポットライト",
		"窓際の第二ヴァイオリンの席"},
}

// shoot is a shoot of so many lights and points under these names.
func (x script) shoot(lights, points int) []byte {
	var s strings.Builder
	fmt.Fprintf(&s, "halfstop: 1\nshoot: {title: %q}\nroom: {size: [9 m, 7 m, 3.6 m]}\nsetups:\n  - name: %q\n"+
		"    camera: {at: [7, 3.4], height: 1.5 m, aim: sitter.face, lens: 50 mm, aperture: f/4, shutter: 1/100 s, "+
		"iso: 400}\n    sitter: {at: [3.4, 3.4], stature: 1.7 m}\n    lights:\n", x.title, x.setup)
	for k := range lights {
		fmt.Fprintf(&s, "      - {name: %q, role: %s, head: battery head 500, modifier: octa 90, at: [%.2f, %.2f], "+
			"height: 2.2 m, aim: sitter.face, power: 1/32}\n", fmt.Sprintf("%s %d", x.light, k+1),
			[]string{"key", "fill", "edge", "accent"}[k%4], 1+0.6*float64(k), 0.8+5.4*float64(k%2))
	}
	s.WriteString("    points:\n")
	for k := range points {
		fmt.Fprintf(&s, "      - {name: %q, at: [%.2f, %.2f, 1.2], receptor: flat, facing: camera}\n",
			fmt.Sprintf("%s %d", x.point, k+1), 1.2+0.2*float64(k%15), 1.4+2*float64(k/15))
	}
	fmt.Fprintf(&s, "    look:\n      - {point: %q, reads: f/4}\n      - {point: %q, stops: -1 st}\n",
		fmt.Sprintf("%s %d", x.point, 1), fmt.Sprintf("%s %d", x.point, 8))
	return []byte(s.String())
}
