package e2e

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
)

// hitOf selects what takes a thing by its path, in the plan or the section.
func hitOf(view, what, path string) string {
	return fmt.Sprintf(`.%s-g [data-drag=%s][data-path="%s"] .hit0, .%s-g circle.hit0[data-drag=%s][data-path="%s"]`,
		view, what, path, view, what, path)
}

// large puts plan and section where the picture is.
func (p *page) large() {
	p.T.Helper()
	p.Rub()
	p.Key("x")
	p.Until("the plan in the large place", `document.querySelector("#bigplace .plan-g .cut")`, 10*time.Second)
	time.Sleep(200 * time.Millisecond)
}

// scale gives pixels of the drawing for a metre, by the
// dimension over the plan: the room is 7.2 m wide.
func (p *page) scale() float64 {
	p.T.Helper()
	p.Until("the plan", `document.querySelector(".plan-g .cut")`, 20*time.Second)
	return p.number(`document.querySelector(".plan-g .cut").getBBox().width`) / 7.2
}

// typed reads a typed dimension of what is selected, metres.
func (p *page) typed(arg string) float64 {
	p.T.Helper()
	s := ""
	end := time.Now().Add(browser.Patience * 10 * time.Second)
	for ; time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		s = p.Str(`document.querySelector('#thing [data-arg="` + arg + `"]').value`)
		if v, err := strconv.ParseFloat(strings.TrimSuffix(s, " m"), 64); err == nil {
			return v
		}
	}
	p.T.Fatalf("%s is %q", arg, s)
	return 0
}

// typeIn types a dimension of what is selected.
func (p *page) typeIn(selector, text string) {
	p.T.Helper()
	p.Fill(selector, text)
	p.rested()
}

// rested waits until no change is under way.
func (p *page) rested() {
	p.T.Helper()
	p.Until("the page to rest", `document.getElementById("page").dataset.busy===""`, 20*time.Second)
}

// TestDragAll drags every kind of thing in the plan and, where heights are, in the section: each
// lands on a tenth of a metre near where it was let go, and each drag is one step of undo.
func TestDragAll(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.large()
	k := p.scale()
	for _, x := range []struct {
		view, what, path string
		dx, dy           float64 // metres on the drawing, up positive
		arg              string  // what must change by dx or dy
		want             float64
	}{
		{"plan", "light", "setups[0].lights[1]", 0.5, -0.3, "x", 0.5},
		{"plan", "panel", "setups[0].panels[0]", 0.4, 0, "x", 0.4},
		{"plan", "sitter", "setups[0].sitter", -0.4, 0.2, "x", -0.4},
		{"plan", "camera", "setups[0].camera", 0.3, 0.2, "y", 0.2},
		{"plan", "point", "setups[0].points[1]", 0.3, 0.3, "x", 0.3},
		{"sec", "light", "setups[0].lights[1]", 0, -0.4, "z", -0.4},
		{"sec", "panel", "setups[0].panels[0]", 0, 0.2, "z", 0.2},
		{"sec", "camera", "setups[0].camera", 0, 0.2, "z", 0.2},
		{"sec", "point", "setups[0].points[1]", 0, 0.3, "z", 0.3},
	} {
		name := x.view + " " + x.what
		sel := hitOf(x.view, x.what, x.path)
		// A click selects: its dimensions stand there.
		p.press(sel)
		p.Until("the dimensions of the "+x.what, fmt.Sprintf(`document.querySelector('#thing [data-key="ty-x-%s"]')`,
			x.path), 5*time.Second)
		before := p.typed(x.arg)
		// Points move among what lies near: take them where nothing lies over them.
		px, py := p.free(sel)
		p.Drag(px, py, x.dx*k, -x.dy*k)
		p.rested()
		after := p.typed(x.arg)
		if math.Abs(after-before-x.want) > 0.11 { // snaps to 0.1 m, or to a line within 7 pixels
			t.Errorf("%s: %s went from %.3f to %.3f, want %+.2f", name, x.arg, before, after, x.want)
		}
		if u := p.Str(`document.querySelector("[data-key=undo]").title`); !strings.HasPrefix(u, "Undo: move ") {
			t.Errorf("%s: undo is %q", name, u)
		}
		p.Tap("[data-key=undo]")
		p.Until(name+": undone in one step", `document.querySelector("[data-key=undo]").disabled`, 10*time.Second)
		p.rested()
		if now := p.typed(x.arg); math.Abs(now-before) > 0.006 { // shown to a centimetre
			t.Errorf("%s: undone, %s is %.3f, before %.3f", name, x.arg, now, before)
		}
	}
	// The aim of a selected light, in both views.
	for _, view := range []string{"plan", "sec"} {
		p.press(hitOf("plan", "light", "setups[0].lights[0]"))
		sel := hitOf(view, "aim", "setups[0].lights[0]")
		p.Until("the aim's mark", fmt.Sprintf("document.querySelector(%q)", sel), 5*time.Second)
		x, y := p.free(sel)
		p.Drag(x, y, -0.6*k, -0.4*k)
		p.rested()
		if u := p.Str(`document.querySelector("[data-key=undo]").title`); u != "Undo: aim key" {
			t.Errorf("%s: undo is %q, want the aim", view, u)
		}
		p.Tap("[data-key=undo]")
		p.rested()
	}
	p.Clean("409") // a change based on the revision before an undo is refused, and sent again by the page
}

// press clicks a thing where it can be got at.
func (p *page) press(selector string) { p.T.Helper(); p.PressAt(p.free(selector)) }

// free gives a place inside an element where it lies on top.
func (p *page) free(selector string) (x, y float64) {
	p.T.Helper()
	s := p.Str(
		fmt.Sprintf(
			`(()=>{const e=document.querySelector(%q);if(!e)return "";const g=e.closest("g[data-drag]"),r=e.getBoundingClientRect();for(let n=0;n<400;n++){const a=n*2.4,d=Math.sqrt(n/400),x=r.x+r.width/2+Math.cos(a)*d*r.width/2,y=r.y+r.height/2+Math.sin(a)*d*r.height/2,h=document.elementFromPoint(x,y);if(h&&h.closest("g[data-drag]")===g)return x+" "+y}return "covered"})()`, selector))
	if _, err := fmt.Sscanf(s, "%g %g", &x, &y); err != nil {
		p.T.Fatalf("%s cannot be got at: %q", selector, s)
	}
	return x, y
}

// TestImpossible: what cannot be is said on the spot while the hand still
// moves, and a place that could not be built is not asked for.
func TestImpossible(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.large()
	k := p.scale()
	// pull takes hold and drags, without letting go, and
	// reports whether the page says what is wrong.
	pull := func(view, what, path string, dx, dy float64, want string) (x, y float64, says bool) {
		t.Helper()
		x, y = p.free(hitOf(view, what, path))
		for range 20 { // where it is drawn once numbers and lines have come to rest
			time.Sleep(150 * time.Millisecond)
			a, b := p.free(hitOf(view, what, path))
			if a == x && b == y {
				break
			}
			x, y = a, b
		}
		p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft,
			chromedp.ClickCount(1)))
		for i := 1; i <= 6; i++ {
			p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+dx*k*float64(i)/6, y-dy*k*float64(i)/6,
				chromedp.ButtonLeft))
			time.Sleep(30 * time.Millisecond)
		}
		for end := time.Now().Add(8 * time.Second); !says && time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
			says = p.Str(fmt.Sprintf(`Boolean(document.querySelector(".why-not")?.textContent.includes(%q))`,
				want)) == "true"
		}
		return
	}
	said := func(view, what, path string, dx, dy float64, want string) {
		t.Helper()
		x, y, says := pull(view, what, path, dx, dy, want)
		if !says {
			t.Fatalf("nothing says %q", want)
		}
		p.Shot("impossible-" + strings.ReplaceAll(want, " ", "-"))
		p.Mouse(input.DispatchMouseEventTypeMouseReleased, x+dx*k, y-dy*k)
		p.rested()
	}
	said("sec", "light", "setups[0].lights[0]", 0, 0.6, "above the ceiling")
	said("plan", "light", "setups[0].lights[1]", -1.8, 0, "wall 4")
	said("plan", "light", "setups[0].lights[2]", 1.0, 0.8, "on the way out")
	said("plan", "panel", "setups[0].panels[0]", 0.4, -0.8, "in the frame")
	undo := p.Str(`document.querySelector("[data-key=undo]").title`)
	said("plan", "sitter", "setups[0].sitter", 0, 2.2, "wall 3")
	if now := p.Str(`document.querySelector("[data-key=undo]").title`); now != undo &&
		!strings.Contains(now, "sitter") {
		t.Errorf("undo is %q", now)
	}
	p.Until("the sitter inside the room",
		`Number(document.querySelector('#thing [data-arg="y"]').value.replace(" m",""))<3.8`, 5*time.Second)
	if s := p.Str(`document.querySelector(".toast")?.textContent`); s != "undefined" {
		t.Errorf("a toast says %q", s)
	}
	p.settled() // it can still be built: readings come
	p.Clean()
}

// TestTyped types dimensions: metres with a comma, feet and inches,
// distance and angle at the face; nonsense is said and changes nothing.
func TestTyped(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.large()
	p.press(hitOf("plan", "light", "setups[0].lights[0]"))
	field := func(arg string) string { return `#thing [data-arg="` + arg + `"]` }
	p.Until("the key's dimensions", fmt.Sprintf("document.querySelector(%q)", field("x")), 5*time.Second)
	near := func(arg string, want float64) {
		t.Helper()
		got := p.typed(arg)
		for end := time.Now().Add(browser.Patience * 10 * time.Second); math.Abs(got-want) > 0.006 &&
			time.Now().Before(end); got = p.typed(arg) {
			time.Sleep(50 * time.Millisecond)
		}
		if math.Abs(got-want) > 0.006 {
			t.Errorf("%s is %.3f, want %.3f", arg, got, want)
		}
	}
	p.typeIn(field("x"), "4,4")
	near("x", 4.4)
	p.typeIn(field("z"), "6 ft 6 in")
	near("z", 1.98)
	z := p.typed("z")
	p.typeIn(field("far"), "1.5 m")
	near("far", 1.5)
	near("z", z)
	p.typeIn(field("side"), "left 45")
	p.Until("the angle", fmt.Sprintf(`document.querySelector(%q).value==="left 45°"`, field("side")), 20*time.Second)
	near("far", 1.5)
	x := p.typed("x")
	p.typeIn(field("x"), "over there")
	p.Until("a word about it", `document.querySelector(".toast")?.textContent.includes("is no length")`, 3*time.Second)
	near("x", x)
	p.Act("toast", "")
	// A sitter outside is refused, with the reason.
	p.press(hitOf("plan", "sitter", "setups[0].sitter"))
	p.Until("the sitter's dimensions", `document.querySelector("#thing b").textContent==="Sitter"`, 5*time.Second)
	y := p.typed("y")
	p.typeIn(field("y"), "9")
	p.Until("a word about it", `document.querySelector(".toast")?.textContent.includes("outside the room")`,
		3*time.Second)
	near("y", y)
	p.Clean()
}

// TestZoomAndSnap: wheel, keys and fit; two fingers; Alt and the button turn snapping off.
func TestZoomAndSnap(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.large()
	k := p.scale()
	x, y := p.Middle("#plan")
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseWheel, x, y,
		func(m *input.DispatchMouseEventParams) { m.DeltaX, m.DeltaY = 0.001, -400 } /* both must be there */))
	p.Until("a larger plan", fmt.Sprintf(`document.querySelector(".plan-g .cut").getBBox().width>%g`, 7.2*k*1.5),
		3*time.Second)
	p.Act("fit", "")
	p.Until("all of it", fmt.Sprintf(`Math.abs(document.querySelector(".plan-g .cut").getBBox().width-%g)<1`, 7.2*k),
		3*time.Second)
	p.Run(`document.getElementById("plan").focus()`)
	p.Key("+")
	p.Until("nearer by the key", fmt.Sprintf(`document.querySelector(".plan-g .cut").getBBox().width>%g`, 7.2*k*1.2),
		3*time.Second)
	p.Key(kb.Home)
	p.Until("fitted by the key", fmt.Sprintf(`Math.abs(document.querySelector(".plan-g .cut").getBBox().width-%g)<1`,
		7.2*k), 3*time.Second)
	// Snapped: a tenth. Free: where it is let go.
	p.press(hitOf("plan", "light", "setups[0].lights[1]"))
	sel := hitOf("plan", "light", "setups[0].lights[1]")
	a, b := p.free(sel)
	p.Drag(a, b, 0.43*k, 0)
	p.rested()
	if v := p.typed("x"); math.Abs(v*10-math.Round(v*10)) > 1e-6 {
		t.Errorf("snapped, x is %.3f", v)
	}
	p.Act("snap", "")
	a, b = p.free(sel)
	was := p.typed("x")
	p.Drag(a, b, math.Round(0.27*k), 0)
	p.rested()
	if v := p.typed("x"); math.Abs(v-was-math.Round(0.27*k)/k) > 0.012 {
		t.Errorf("free, x went from %.3f to %.3f, want %+.3f", was, v, math.Round(0.27*k)/k)
	}
	p.Clean()
}

// TestDepthBand: the band of depth of field is between the near and far limits of the textbook
// formula, and follows the aperture. H = f²/(N·c) + f; near = s(H−f)/(H+s−2f), far = s(H−f)/(H−s)
// (any optics textbook); c is 0.03 mm for full frame.
func TestDepthBand(t *testing.T) {
	t.Parallel()
	p := desk(t)
	check := func(n float64) float64 {
		t.Helper()
		near, far := p.number(`document.querySelector(".plan-g .dof").dataset.near`),
			p.number(`document.querySelector(".plan-g .dof").dataset.far`)
		s := p.number(`document.querySelector(".plan-g .dof").dataset.focus`)
		f, c := 0.05, 0.00003
		h := f*f/(n*c) + f
		wantN, wantF := s*(h-f)/(h+s-2*f), s*(h-f)/(h-s)
		// the focus is given to a millimetre, the rest is rounding of the printed aperture
		if math.Abs(near-wantN) > 0.015 || math.Abs(far-wantF) > 0.02 {
			t.Errorf("at f/%g the band is %.3f to %.3f, the formula says %.3f to %.3f", n, near, far, wantN, wantF)
		}
		return far - near
	}
	wide := check(4)
	// Larger, a third of a stop a press; which f-number that is the dial says.
	for range 3 {
		was := p.Str(`document.querySelector(".plan-g .dof").dataset.near`)
		p.Act("dial-aperture", `[data-by="1"]`)
		p.Until("another depth", fmt.Sprintf(`document.querySelector(".plan-g .dof").dataset.near!==%q`, was),
			10*time.Second)
		p.rested()
	}
	p.rested()
	narrow := check(2.8)
	if r := wide / narrow; math.Abs(r-math.Sqrt2) > 0.06 {
		t.Errorf("a stop of aperture changes the depth %.2f times, want about √2", r)
	}
	p.Clean()
}

// TestContours: contours come on at a key, are labelled with whole f-stops, follow a power change
// without asking the program, go old while a light is dragged and are measured again afterwards.
func TestContours(t *testing.T) {
	t.Parallel()
	long(t)
	p := desk(t)
	p.large()
	p.Key("a")
	p.Until("contours", `document.querySelector(".contours .ct")`, 60*time.Second)
	levels := p.Str(`document.querySelector(".contours").dataset.levels`)
	for _, l := range strings.Fields(levels) {
		if !strings.Contains(" f/0.7 f/1 f/1.4 f/2 f/2.8 f/4 f/5.6 f/8 f/11 f/16 f/22 f/32 f/45 f/64 ", " "+l+" ") {
			t.Errorf("%q is no whole f-stop", l)
		}
	}
	// The sitter's face toward the camera reads what the lines about the sitter say, within a stop.
	p.Act("contours", "[data-arg=lights]")
	p.Until("each light's contours",
		`document.querySelector(".contours .dash")&&document.querySelector(".contours .ct:not(.dash)")`, 60*time.Second)
	p.Act("contours", "[data-arg=meter]")
	p.Until("f-numbers on plan and section",
		`(()=>{const c=[...document.querySelectorAll(".contours")];return c.length===2&&c.every(x=>x.dataset.levels.includes("f/"))&&!document.getElementById("ctsay").textContent.includes("being measured")})()`, 60*time.Second)
	// Power: the lines move at once; nothing is asked of the fields' route.
	p.Run(`window.asked=0;const f=window.fetch;window.fetch=(...a)=>{if(String(a[0]).includes("/fields"))window.asked++;return f(...a)}`)
	before := p.Str(`document.querySelector(".contours").innerHTML`)
	p.Fill(`[data-key="set-setups[0].lights[0]"]`, "1/32")
	p.Until("moved contours", fmt.Sprintf(`document.querySelector(".contours")?.innerHTML!==%q`, before), 3*time.Second)
	p.rested()
	time.Sleep(500 * time.Millisecond)
	if n := p.number("window.asked"); n != 0 {
		t.Errorf("a change of power asked for the fields %v times", n)
	}
	// A drag makes them old, the rest after it new.
	x, y := p.free(hitOf("plan", "light", "setups[0].lights[0]"))
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft,
		chromedp.ClickCount(1)))
	for i := range 5 {
		p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+float64(i)*8, y+float64(i),
			chromedp.ButtonLeft))
		time.Sleep(40 * time.Millisecond)
	}
	p.Until("old contours",
		`document.querySelector(".contours.old")&&document.getElementById("ctsay").textContent.includes("old")`,
		3*time.Second)
	if n := p.number("window.asked"); n != 0 {
		t.Errorf("a drag asked for the fields %v times", n)
	}
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x+32, y+4, chromedp.ButtonLeft,
		chromedp.ClickCount(1)))
	p.Until("new contours", `document.querySelector(".contours:not(.old)")`, 60*time.Second)
	if n := p.number("window.asked"); n < 1 {
		t.Error("after the drag nothing was measured")
	}
	p.Clean()
}

// TestHour scrubs the time of day: daylight falls, readings follow
// without a change of the shoot, and the way back is there.
func TestHour(t *testing.T) {
	t.Parallel()
	long(t)
	p := desk(t)
	p.Act("setup", `[data-arg="1"]`)
	p.Until("the window bench", `document.querySelector(".setups .on").textContent==="Window bench" && `+ready,
		60*time.Second)
	p.fine()
	if s := p.Str(`document.querySelector("#hours").textContent`); !strings.Contains(s, "by sky and sun") {
		t.Errorf("the strip says %q", s)
	}
	// The window alone at the face: what the hour does to it is what the
	// strip says, at once and when the program has traced that hour.
	p.Act("solo", `[data-path="room.windows[0]"]`)
	time.Sleep(150 * time.Millisecond)
	face := p.level("face shadow side")
	scrub := func(minute int) {
		p.Run(fmt.Sprintf(
			`const f=document.querySelector("[data-act=scrub]");f.value=%d;f.dispatchEvent(new Event("input",{bubbles:true}))`, minute))
		p.Until("the program looks at that hour",
			fmt.Sprintf(`document.querySelector("[data-act=scrub]").dataset.shown==="%d"`, minute), 20*time.Second)
		p.fine()
	}
	for _, minute := range []int{16*60 + 30, 18*60 + 10} {
		scrub(minute)
		stops := p.number(
			`document.querySelector("#hours .hw b").textContent.match(/([+\u2212]?[\d.]+) stops/)[1].replace("\u2212","-")`)
		if minute < 17*60 && !(stops > 1) || minute > 18*60 && !(stops < -0.5) {
			t.Errorf("at minute %d daylight is %+.1f stops off the file's", minute, stops)
		}
		// a third of a stop: the strip weighs all that comes in alike
		if now := p.level("face shadow side"); math.Abs(now-face-stops) > 0.35 {
			t.Errorf("at minute %d daylight is %+.1f stops off and the face goes from %+.1f to %+.1f", minute, stops,
				face, now)
		}
	}
	scrub(19*60 + 10)
	// Keys, the typed time, what it assumes, and back.
	p.Rub()
	p.Key(",")
	p.Until("five minutes earlier", `document.querySelector("[data-act=clock]").value==="19:05"`, 3*time.Second)
	p.Fill("[data-act=clock]", "5:00 pm")
	p.Until("the typed time", `document.querySelector("[data-act=scrub]").value==="1020"`, 3*time.Second)
	p.Act("assumes", "")
	p.Until("what it assumes", `document.querySelector(".assumes")?.textContent.includes("IES")`, 3*time.Second)
	p.Act("hour", "")
	p.Until("the program is back", `document.querySelector("[data-act=scrub]").dataset.shown==="1075"`, 20*time.Second)
	p.fine()
	if back := p.level("face shadow side"); math.Abs(back-face) > 0.15 { // two fine readings, shown to a tenth
		t.Errorf("back at the file's hour the face reads %+.1f, before %+.1f", back, face)
	}
	if s := p.Str(`document.querySelector("[data-act=undo]")?.disabled??"no button"`); s != "true" {
		t.Errorf("scrubbing changed the shoot: undo is there (%s)", s)
	}
	p.Clean()
}

// TestTouch: on a phone a finger drags a light, two fingers zoom.
func TestTouch(t *testing.T) {
	t.Parallel()
	long(t)
	address, _ := serve(t, "127.0.0.1:0")
	p := open(t, browser.Profile(t), address, 390, 844)
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetTouchEmulationEnabled,
			emulation.SetTouchEmulationEnabledParams{Enabled: true})
		return err
	}))
	p.Until("readings", ready, 60*time.Second)
	p.Act("phone", "[data-arg=plan]")
	p.Until("the plan", `document.querySelector(".plan-g .cut")`, 10*time.Second)
	if over := p.number(`document.documentElement.scrollWidth-innerWidth`); over > 0 {
		t.Errorf("the page is %v px wider than the phone", over)
	}
	k := p.scale()
	touch := func(kind input.DispatchTouchEventType, pts ...[2]float64) {
		list := []*input.TouchPoint{}
		for i, q := range pts {
			id := float64(i)
			list = append(list, &input.TouchPoint{X: q[0], Y: q[1], ID: &id})
		}
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, input.DispatchTouchEvent,
				input.DispatchTouchEventParams{Type: kind, TouchPoints: list})
			return err
		}))
		time.Sleep(30 * time.Millisecond)
	}
	x, y := p.free(hitOf("plan", "light", "setups[0].lights[1]"))
	touch(input.DispatchTouchEventTypeTouchStart, [2]float64{x, y})
	for i := 1; i <= 6; i++ {
		touch(input.DispatchTouchEventTypeTouchMove, [2]float64{x + 5*float64(i), y})
	}
	touch(input.DispatchTouchEventTypeTouchEnd)
	p.Until("a moved light", `!document.querySelector("[data-key=undo]").disabled`, 10*time.Second)
	p.rested()
	if v := p.typed("x"); math.Abs(v-1.7-30/k) > 0.11 {
		t.Errorf("x is %.2f, want about %.2f", v, 1.7+30/k)
	}
	px, py := p.Middle("#plan")
	touch(input.DispatchTouchEventTypeTouchStart, [2]float64{px - 30, py + 60}, [2]float64{px + 30, py + 60})
	for i := 1; i <= 6; i++ {
		d := 30 + 8*float64(i)
		touch(input.DispatchTouchEventTypeTouchMove, [2]float64{px - d, py + 60}, [2]float64{px + d, py + 60})
	}
	touch(input.DispatchTouchEventTypeTouchEnd)
	p.Until("a larger plan", fmt.Sprintf(`document.querySelector(".plan-g .cut").getBBox().width>%g`, 7.2*k*1.5),
		3*time.Second)
	p.Shot("plan-pinched-390x844")
	p.Clean()
}
