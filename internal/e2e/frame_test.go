package e2e

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// touch sends one event of a finger.
func (p *page) touch(kind input.DispatchTouchEventType, at ...float64) {
	p.T.Helper()
	e := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
	if len(at) == 2 {
		e.TouchPoints = append(e.TouchPoints, &input.TouchPoint{X: at[0], Y: at[1]})
	}
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, e)
		return err
	}))
}

// green gives the mean green of a canvas, 0 to 255.
func (p *page) green(canvas string) float64 {
	p.T.Helper()
	return p.number(
		`(()=>{const c=document.createElement("canvas");c.width=24;c.height=36;const x=c.getContext("2d");x.drawImage(document.getElementById("` + canvas + `"),0,0,24,36);const d=x.getImageData(0,0,24,36).data;let s=0;for(let i=1;i<d.length;i+=4)s+=d[i];return s/(d.length/4)})()`)
}

// unmarked is a place in the left half of the picture, clear of the marks of points and of the bar
// of the wipe.
func (p *page) unmarked() (x, y float64) {
	p.T.Helper()
	at := p.Str(
		`(()=>{const r=document.getElementById("picture").getBoundingClientRect();for(let j=0;j<12;j++)for(let i=0;i<8;i++){const x=r.x+r.width*(.1+.04*i),y=r.y+r.height*(.85-.05*j);if(!["path","circle","text","line","g","rect","BUTTON","INPUT"].includes(document.elementFromPoint(x,y)?.tagName))return x+" "+y}return "0 0"})()`)
	fmt.Sscan(at, &x, &y)
	if x == 0 {
		p.T.Fatal("no place in the picture is clear")
	}
	return
}

// TestSpot clicks into the picture: the reading names its lights, the
// biggest first, follows a setting at once, and is kept as a point.
func TestSpot(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.fine()
	// The breast of the coat, lit by the key, clear of the marks of points.
	b := strings.Fields(p.Str(
		`(()=>{const r=document.getElementById("picture").getBoundingClientRect();return [r.x+r.width*.4,r.y+r.height*.66].join(" ")})()`))
	var x, y float64
	fmt.Sscan(strings.Join(b, " "), &x, &y)
	p.PressAt(x, y)
	p.Until("the reading", `document.querySelector(".spot .by li b")`, 20*time.Second)
	// The spot is read off the picture: it moves until that has all its samples.
	p.Until("the whole picture", `document.getElementById("page").dataset.last==="1"`, 60*time.Second)
	p.Shot("spot-1440x900")
	shares := p.Str(`JSON.stringify([...document.querySelectorAll(".by li b")].map(e=>parseInt(e.textContent)))`)
	if p.number(`(()=>{const s=`+shares+`;return s.every((v,i)=>i===0||v<=s[i-1])?s.reduce((a,b)=>a+b,0):-1})()`) < 90 {
		t.Errorf("shares %s: want the biggest first and nearly all of the light", shares)
	}
	if s := p.Str(`document.querySelector(".spot small").textContent`); !strings.Contains(s, "reflected") ||
		!strings.Contains(s, "m away") {
		t.Errorf("the reading says %q", s)
	}
	stops := `Number(document.querySelector(".spot .sh span").firstChild.textContent.match(/([+\u2212]?[\d.]+) stops/)[1].replace("\u2212","-"))`
	was := p.number(stops)
	for range 3 {
		p.Act("dial-iso", `[data-by="-1"]`)
	}
	// Three thirds of a stop of sensitivity are one stop everywhere; the picture's own reading may
	// differ by grain.
	p.Until("a reading a stop lower", fmt.Sprintf(`Math.abs(%s-(%f))<0.45`, stops, was-1), 10*time.Second)
	p.fine() // the panel is drawn anew while readings come
	p.Tap("#spotname")
	p.Until("the field to have the focus", `document.activeElement?.id==="spotname"`, 5*time.Second)
	p.Write("brow" + kb.Enter)
	p.undoSays("keep brow")
	p.Rub()
	p.Key("u")
	p.Until("one more point", rows+`.some(e=>e.getAttribute("aria-label").includes("brow:"))`, 20*time.Second)
	// With the keyboard: onto the picture, move, read.
	p.Rub()
	p.Key("q")
	time.Sleep(150 * time.Millisecond)
	p.Key(kb.Enter)
	p.Until("a reading by keyboard", `document.querySelector(".spot .by li")`, 20*time.Second)
	p.Clean()
}

// TestBefore: after a change the picture from before it lies beside
// under a wipe that mouse and keys move, and Space shows it alone.
func TestBefore(t *testing.T) {
	t.Parallel()
	long(t)
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.settled()
	p.Act("before", "")
	p.Until("the word that there is no before", `document.querySelector(".toast")`, 5*time.Second)
	p.Until("the word gone by itself", `!document.querySelector(".toast")`, 25*time.Second)
	now := p.green("picture")
	for range 6 { // two stops
		p.Act("dial-iso", `[data-by="-1"]`)
	}
	p.settled()
	p.Rub()
	p.Key("h") // holds a ring: a change that is not seen in the picture is not what before means
	p.Until("the ring held or freed", `/^Undo: (hold|free) /.test(document.querySelector("[data-key=undo]").title)`,
		10*time.Second)
	p.settled()
	p.Key("j")
	p.Until("the wipe", `document.getElementById("wipe")`, 5*time.Second)
	p.Until("the picture from before", `!document.getElementById("other").hidden`, 5*time.Second)
	before, after := p.green("other"), p.green("picture")
	if math.Abs(before-now) > 3 || after > 0.75*before {
		t.Errorf("mean green before the change %.1f, of the picture beside %.1f, now two stops down %.1f", now,
			before, after)
	}
	at := `Number(document.getElementById("wipe").getAttribute("aria-valuenow"))`
	p.Until("the wipe to have the focus", `document.activeElement.id==="wipe"`, 3*time.Second)
	p.Key(kb.ArrowLeft)
	x, y := p.Middle("#wipe")
	p.Drag(x, y, -80, 0)
	if v := p.number(at); v > 39 || v < 30 {
		t.Errorf("after a drag by 80 of about 560 pixels the wipe stands at %v %%", v)
	}
	if s := p.Str(`document.getElementById("picture").style.clipPath`); !strings.HasPrefix(s, "inset(0") ||
		s == "none" {
		t.Errorf("the picture is clipped by %q", s)
	}
	p.Shot("wipe-1440x900")
	// The same with a finger.
	x, y = p.Middle("#wipe")
	p.touch(input.DispatchTouchEventTypeTouchStart, x, y)
	for i := range 5 {
		p.touch(input.DispatchTouchEventTypeTouchMove, x+20*float64(i+1), y)
	}
	p.touch(input.DispatchTouchEventTypeTouchEnd)
	if v := p.number(at); v < 46 || v > 60 {
		t.Errorf("after a finger's drag by 100 of about 560 pixels from about 34 %% the wipe stands at %v %%", v)
	}
	p.Key(kb.Escape)
	p.Until("the wipe gone", `!document.getElementById("wipe")`, 3*time.Second)
	p.Rub()
	p.Key(" ")
	p.Until("the picture from before alone", `document.querySelector(".wipe.whole")`, 3*time.Second)
	p.Key(" ")
	p.Until("the picture of now", `!document.getElementById("wipe")`, 3*time.Second)
	p.Clean()
}

// TestCrop takes a shape, drags an edge, sees the file's crop, and
// frees it by undo; a cover's type is drawn inside it.
func TestCrop(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	p.settled()
	p.Rub()
	p.Key("C")
	p.Until("the tool", `document.querySelector(".toolp [data-act=shape]")`, 3*time.Second)
	film := p.Str(`document.getElementById("page").dataset.film`)
	p.Act("shape", `[data-arg="1"]`)
	crop := `(()=>{const k=document.getElementById("marks").dataset.crop.split(" ").map(Number);return k[2]/k[3]})()`
	p.Until("a square", `document.querySelector(".mat") && Math.abs(`+crop+`-1)<0.02`, 10*time.Second)
	p.settled()
	x, y := p.Middle(`.g-e .knob`)
	p.Drag(x, y, -60, 0)
	p.Until("a narrower crop", crop+`<0.9`, 5*time.Second)
	p.settled()
	if now := p.Str(`document.getElementById("page").dataset.film`); now < film {
		t.Errorf("a crop has the picture computed anew: %s samples, before %s", now, film)
	}
	p.Act("coverview", "")
	p.Act("cover", "[data-arg=on]")
	p.Until("the cover's type",
		`[...document.querySelectorAll(".typew")].map(e=>e.textContent).join()==="title,lines"`, 10*time.Second)
	p.Shot("cover-1440x900")
	p.Act("pane", "[data-arg=text]")
	p.Until("crop and cover in the file",
		`/crop: \[[\d., ]+\]/.test(document.getElementById("text").value) && /cover: \{lines: left\}/.test(document.getElementById("text").value)`, 10*time.Second)
	for range 3 {
		p.Run(`document.querySelector("[data-key=undo]").click()`)
		p.settled()
	}
	p.Until("no crop", `!document.querySelector(".mat")`, 10*time.Second)
	p.Clean()
}

// TestCamera types and presses the camera's settings: each is in the file's words, says what it
// does to flash and to continuous light, and what is not understood is told.
func TestCamera(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.settled()
	typed := func(key, text string) { p.Fill(`.cam [data-arg="`+key+`"]`, text) }
	shows := func(key, want string) {
		t.Helper()
		p.Until(key+" "+want, fmt.Sprintf(`document.querySelector('.cam [data-arg="%s"]').value===%q`, key, want),
			15*time.Second)
	}
	typed("aperture", "5,6")
	shows("aperture", "f/5.6")
	typed("shutter", "250")
	shows("shutter", "1/250")
	p.Until("a word on the sync time", `document.querySelector(".sync")?.textContent.includes("flash reaches")`,
		5*time.Second)
	typed("shutter", "1/60")
	shows("shutter", "1/60")
	typed("iso", "1600")
	shows("iso", "1600")
	typed("lens", "85 mm")
	shows("lens", "85")
	p.Act("lens", `[data-by="1"]`)
	shows("lens", "105")
	typed("white balance", "6000")
	shows("white balance", "6000")
	typed("aperture", "wide")
	p.Until("a word on what was not understood", `document.querySelector(".toast")?.textContent.includes("f/5.6")`,
		5*time.Second)
	s := p.Str(`[...document.querySelectorAll(".cam .ef")].slice(0,3).map(e=>e.textContent).join("; ")`)
	if s != "flash and steady light ±0.3 a step; steady light only, ±0.3 a step; "+
		"flash and steady light ±0.3 a step" {
		t.Errorf("what a step does for sensitivity, shutter, aperture: %q", s)
	}
	p.Choose(`[data-act=focus]`, "2 m")
	p.Until("focus at two metres", `document.querySelector(".cam .fo .v span").textContent==="2.00"`, 15*time.Second)
	p.Clean()
}
