package floor

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"halfstop/internal/daylog"
)

// fit holds a page as it stands to the rules of accessibility and to a phone's screen and thumbs.
func (p *page) fit(where string) {
	p.T.Helper()
	p.Axe(where, "../../../web/node_modules")
	// Every target is large enough for a thumb, and nothing lies beyond the screen's edge.
	if f := p.Str(`[...document.querySelectorAll("button,input")].filter(e=>{const r=e.getBoundingClientRect();` +
		`return r.width>0&&(r.width<44||r.height<44)}).map(e=>e.outerHTML.slice(0,80)+" "+` +
		`e.getBoundingClientRect().width+` +
		`"x"+e.getBoundingClientRect().height).join("\n")`); f != "" {
		p.T.Errorf("%s: too small for a thumb: %s", where, f)
	}
	if f := p.Str(`document.documentElement.scrollWidth>innerWidth||[...document.querySelectorAll("nav.act button")]` +
		`.some(e=>e.getBoundingClientRect().bottom>innerHeight+1)`); f != "false" {
		p.T.Errorf("%s: something lies beyond the screen", where)
	}
}

// TestScreens draws every screen at two sizes on both grounds, to be looked at, and holds each to
// the rules of accessibility and to targets for a thumb.
func TestScreens(t *testing.T) {
	d := start(t, "", "127.0.0.1:0", "127.0.0.1:0", false)
	for _, size := range []struct {
		name string
		w, h int64
	}{{"390x844", 390, 844}, {"320x568", 320, 568}} {
		p := phone(t, size.w, size.h)
		p.Do(chromedp.Navigate("https://" + d.phone + "/"))
		p.until("the form", `document.getElementById("code")`)
		p.fit("pairing " + size.name)
		p.Shot("pair-" + size.name)
		p.pair(d.code("lead"), "Ann")
		p.until("predictions", workedIn(0))
		for _, ground := range []string{"", "-paper"} {
			if ground != "" {
				p.press("[data-act=more]")
				p.press("[data-act=theme]")
				p.press("[data-act=main]")
			}
			for _, s := range [][2]string{{"main", ""}, {"pad", "[data-act=pad]"}, {"plan", "[data-act=plan]"},
				{"more", "[data-act=more]"}} {
				if s[1] != "" {
					p.press(s[1])
				}
				p.until(s[0], fmt.Sprintf(`document.getElementById("page").dataset.screen===%q`, s[0]))
				p.fit(s[0] + ground + " " + size.name)
				p.Shot(s[0] + ground + "-" + size.name)
				if s[1] != "" {
					p.press("nav [data-act=main]")
				}
			}
		}
		if size.w == 390 { // on its side all that is pressed is on the screen too
			p.Do(chromedp.EmulateViewport(size.h, size.w))
			p.fit("main on its side")
			p.Shot("main-844x390")
			p.press("[data-act=pad]")
			p.until("the pad", `document.getElementById("page").dataset.screen==="pad"`)
			p.fit("pad on its side")
			p.Shot("pad-844x390")
		}
		p.clean()
	}
}

// entries reads the log of a desk.
func (d *desk) entries(kind daylog.Kind) []daylog.Entry {
	d.t.Helper()
	l, err := daylog.Open(context.Background(), filepath.Join(d.dir, daylog.Name))
	if err != nil {
		d.t.Fatal(err)
	}
	defer l.Close()
	list, err := l.List(context.Background(), daylog.Filter{Kind: kind, All: true})
	if err != nil {
		d.t.Fatal(err)
	}
	return list
}

const sentAll = `document.getElementById("page").dataset.waiting==="0"`

// workedIn asks a page whether predictions and proposal rest on so many readings.
func workedIn(readings int) string {
	return fmt.Sprintf(`document.getElementById("page").dataset.readings==="%d"`, readings)
}

// log reads f/2 and so many tenths at the key side of the face, with all lights on.
func (p *page) log(tenths int) {
	p.T.Helper()
	p.press("[data-act=pad]")
	p.until("the point", `(()=>{if(document.querySelector(".pt h2").textContent.trim().startsWith("face key side"))`+
		`return true;document.querySelector("[data-act=step][data-by='1']").click();return false})()`)
	p.press("[data-act=alone][data-arg='']")
	p.press("[data-act=key][data-arg='2']")
	p.press(fmt.Sprintf("[data-act=tenth][data-arg='%d']", tenths))
	p.press("[data-act=keep]")
}

// TestTwoPhones plays two phones and the desk: they pair, each may do what its role may; both read
// one point and see both values; the program is stopped while one goes on logging, reloads and
// logs on; when it is back all of it is there, once and in order. Then one phone is taken out.
func TestTwoPhones(t *testing.T) {
	d := start(t, "", "127.0.0.1:0", "127.0.0.1:0", false)
	ann, bob := phone(t, 390, 844), phone(t, 390, 844)
	ann.pair(d.code("crew"), "Ann")
	bob.pair(d.code("look"), "Bob")
	ann.until("predictions", workedIn(0))
	bob.until("predictions", workedIn(0))
	if bob.Str(`document.querySelector('[data-act=pad]').disabled&&`+
		`document.querySelector('[data-act=dial]').disabled`) != "true" {
		t.Error("who may only look has buttons to press")
	}
	// The reading that settles most opens with what it is predicted to be.
	next := strings.TrimSpace(ann.Str(`document.querySelector(".go b").textContent`))
	ann.press("[data-act=readnext]")
	ann.until("the reading that was asked for", fmt.Sprintf(`%q.startsWith(document.querySelector(".pt h2")`+
		`.firstChild.textContent.trim())&&document.querySelector(".pr").textContent.includes("predicted")`, next))
	ann.press("[data-act=alone]:nth-child(2)")
	ann.until("what one light alone is to read", `/alone,\s*predicted/.test(document.querySelector(".pr").textContent)`)
	ann.press("nav [data-act=main]")
	// Past its page as well.
	bob.Str(`(()=>{window.st=0;fetch("/api/say",{method:"POST",` +
		`headers:{"Content-Type":"application/json","Halfstop-Device":` +
		`localStorage.getItem("half")},body:JSON.stringify({sent:1,entries:[]})}).then(r=>{window.st=r.status})})()`)
	bob.until("an answer", `window.st>0`)
	if status := bob.Str(`window.st`); status != "403" {
		t.Errorf("who may only look says something: %s", status)
	}
	// The code that was used holds no second time, and one of the desk pairs as another role.
	bob.Str(`(()=>{localStorage.removeItem("half")})()`)
	bob.pair(d.code("lead"), "Bob")
	ann.log(3)
	ann.until("it is sent", sentAll)
	bob.until("that Ann's reading is worked in", workedIn(1))
	bob.log(6)
	bob.until("it is sent", sentAll)
	bob.press("[data-act=pad]")
	bob.until("both values", `document.querySelectorAll(".both").length===2`)
	bob.Shot("both-390x844")
	bob.press("[data-act=reverse]")
	bob.until("one is struck", `document.querySelectorAll(".both").length<2`)
	bob.press("nav [data-act=main]")
	bob.until("a proposal", workedIn(1)+` && document.querySelector("[data-act=take]")`)
	bob.Shot("proposal-390x844")
	if ann.Str(`document.querySelector("[data-act=take]")===null`) != "true" {
		t.Error("crew is offered to take settings")
	}
	bob.press("[data-act=take]")
	ann.until("the new setting", `[...document.querySelectorAll(".li small")]`+
		`.some(e=>/^was |^new/.test(e.textContent))`)
	ann.Shot("new-dial-390x844")
	// The link goes.
	phones, journals := d.phone, d.dir
	d.end()
	ann.until("that the link is lost", `document.getElementById("page").dataset.link==="lost"`)
	ann.press("[data-act=dial]")
	ann.log(1)
	ann.Shot("lost-390x844")
	if n := ann.Str(`document.getElementById("page").dataset.waiting`); n != "2" {
		t.Errorf("%s entries wait", n)
	}
	d2 := start(t, journals, "127.0.0.1:0", phones, false)
	if d2.phone != phones {
		t.Fatalf("the phones' address is another: %s", d2.phone)
	}
	ann.until("all is sent", sentAll+` && document.getElementById("page").dataset.link==="live"`)
	list := d2.entries(daylog.Reading)
	said := []string{}
	for _, e := range list {
		said = append(said, fmt.Sprintf("%s %.3f", e.Who, *e.Value))
	}
	if got := strings.Join(said, ", "); got != "Ann 2.219, Bob 2.462, Ann 2.071" {
		t.Errorf("readings: %s", got)
	}
	if n := len(d2.entries(daylog.Dial)); n != 1 {
		t.Errorf("%d dials are logged", n)
	}
	// One is taken out, at once.
	for _, x := range d2.s.ShareState().Devices {
		if x.Name == "Ann" {
			post(t, d2, "/api/share/revoke", fmt.Sprintf(`{"id":%q}`, x.ID))
		}
	}
	ann.until("that she is out", `document.getElementById("page").dataset.screen==="pair"`)
	bob.until("that he is not", `document.getElementById("page").dataset.link==="live"`)
	ann.clean()
	bob.clean()
}

// TestCutAndReload cuts a phone's own link, logs, reloads the page, logs on, and heals it: what was
// said before the reload comes first, all of it once.
func TestCutAndReload(t *testing.T) {
	d := start(t, "", "127.0.0.1:0", "127.0.0.1:0", true)
	p := phone(t, 390, 844)
	p.pair(d.code("crew"), "Ann")
	p.until("predictions", workedIn(0))
	p.log(1)
	p.until("it is sent", sentAll)
	d.end()
	p.until("that the link is lost", `document.getElementById("page").dataset.link==="lost"`)
	p.log(2)
	p.log(3)
	p.until("they wait", `document.getElementById("page").dataset.waiting==="2"`)
	kept := p.Str(`Object.keys(localStorage).filter(k=>k.startsWith("outbox")).map(k=>localStorage.getItem(k)).join()`)
	if strings.Count(kept, `"reading"`) != 2 {
		t.Fatalf("kept on the phone: %s", kept)
	}
	// The page is gone (a dead battery); it is opened again when the program is back.
	p.Do(chromedp.Navigate("about:blank"))
	time.Sleep(100 * time.Millisecond)
	d2 := start(t, d.dir, "127.0.0.1:0", d.phone, true)
	p.Do(chromedp.Navigate("http://" + d2.phone + "/"))
	p.until("the day", `document.getElementById("page").dataset.link==="live" && `+sentAll)
	p.until("that all of it is worked in", workedIn(3))
	p.log(4)
	p.until("it is sent", sentAll)
	var got []string
	for _, e := range d2.entries(daylog.Reading) {
		got = append(got, fmt.Sprintf("%d: %.3f", e.Number, *e.Value))
	}
	if s := strings.Join(got, ", "); s != "1: 2.071, 2: 2.144, 3: 2.219, 4: 2.297" {
		t.Errorf("in the log: %s", s)
	}
	p.clean()
}

// sizes takes a screen at the sizes of phones, where pictures are asked for.
func (p *page) sizes(name string) {
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		return
	}
	for _, s := range [][2]int64{{320, 568}, {844, 390}, {390, 844}} {
		p.Do(chromedp.EmulateViewport(s[0], s[1]))
		p.Shot(fmt.Sprintf("%s-%dx%d", name, s[0], s[1]))
	}
}

// TestDesk looks at the desk's own screens: sharing, a code whose square is drawn, a phone that is
// listed, the folder of test frames and a frame in it beside its prediction.
func TestDesk(t *testing.T) {
	d := start(t, "", "127.0.0.1:0", "127.0.0.1:0", true)
	p := phone(t, 390, 844)
	p.Do(chromedp.Navigate("http://" + d.s.Address + "/floor/"))
	p.until("the day", `document.getElementById("page").dataset.link==="live" && document.querySelector(".li")`)
	p.press("[data-act=more]")
	p.until("what is shared", `document.querySelector("[data-act=code]")`)
	p.press("[data-act=code][data-arg=crew]")
	p.until("the square", `document.querySelector(".qr")?.naturalWidth>100`)
	p.fit("the desk shares")
	p.Shot("desk-share")
	p.sizes("share")
	in := t.TempDir()
	p.types("#folder", in+"none")
	p.press("[data-act=folder]")
	p.until("that there is none", `document.querySelector("[role=alert]").textContent.includes("no such folder")`)
	p.types("#folder", in)
	p.press("[data-act=folder]")
	p.until("the folder", fmt.Sprintf(`document.body.innerText.includes(%q)`, in))
	src, err := os.ReadFile("../../../docs/gallery/aisle.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(in, "frame1.jpg"), src, 0o644); err != nil {
		t.Fatal(err)
	}
	p.press("[data-act=frames]")
	p.until("the frame beside its prediction", `[...document.querySelectorAll(".shots img")]`+
		`.filter(e=>e.naturalWidth>100).length===3`)
	p.fit("a test frame")
	p.Shot("desk-frame")
	p.sizes("frame")
	// A point is marked by hand a little beside where it was found: the frame is placed anew near
	// to that, and says by whose mark. How it is placed is held in internal/floor.
	marked := p.Str(`document.querySelector("[data-act=markof]").dataset.arg`)
	p.press("[data-act=markof]")
	p.until("the photograph takes a press", `document.querySelector("button[data-act=mark]")`)
	p.pressAt("button[data-act=mark]", `[parseFloat(document.querySelector(".shots circle.on")`+
		`.getAttribute("cx"))/100+.02,parseFloat(document.querySelector(".shots circle.on").getAttribute("cy"))/100]`)
	p.until("the frame is placed by the mark", fmt.Sprintf(`document.body.innerText.includes(%q)&&`+
		`document.querySelectorAll(".shots circle").length>0&&!document.querySelector("button[data-act=mark]")`,
		marked+" is marked in a test frame, by desk"))
	p.Shot("desk-marked")
	if len(d.entries(daylog.Frame)) != 1 {
		t.Error("the frame is not in the log")
	}
	// A sitter reads over the shoulder: no code, address, name, folder or frame is on the screen.
	p.press("nav [data-act=more]")
	p.until("the code", `document.querySelector(".qr~b")`)
	code := p.Str(`document.querySelector(".qr~b").textContent`)
	p.press("[data-act=people]")
	p.until("people mode", `!document.querySelector(".qr")`)
	for _, x := range []string{strings.Trim(code, `"`), d.phone, in, "frame1"} {
		if p.Str(fmt.Sprintf(`document.body.innerText.includes(%q)`, x)) != "false" {
			t.Errorf("in people mode the desk shows %q", x)
		}
	}
	if p.Str(`document.querySelector("[data-act=code],[data-act=revoke],#folder,#why,[data-act=late]")===null`) != "true" {
		t.Error("in people mode the desk shows codes, phones, folders or lateness")
	}
	p.fit("the desk in people mode")
	p.Shot("desk-people")
	p.press("[data-act=people]")
	p.until("the code again", `document.querySelector(".qr")`)
	if os.Getenv("HALFSTOP_SCREENS") != "" {
		p.press("[data-act=send]")
		p.until("what would be sent", `document.querySelectorAll(".words b,.th").length>0`)
		p.fit("sending")
		p.sizes("send")
		p.press("nav [data-act=more]")
		p.press("[data-act=people]")
		p.sizes("people-more")
		p.press("nav [data-act=main]")
		p.sizes("people-main")
	}
	p.clean()
}
