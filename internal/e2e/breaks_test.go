package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

const (
	bareRoom   = "room: {size: [5 m, 4 m, 2.6 m]}\n"
	bareCamera = "    camera: {at: [4.5, 2], height: 1.4 m, aim: %s, lens: 50 mm, upright: true, aperture: f/4, " +
		"shutter: 1/100 s, iso: 400}\n"
	bareSitter = "    sitter: {at: [2, 2], stature: 1.7 m, faces: x+}\n"
	bareKey    = "    lights:\n      - {role: key, head: battery head 500, modifier: octa 90, at: [3, 1], height: " +
		"2 m, aim: %s, power: 1/32}\n"
)

// TestBare opens setups that lack something: the page says what is missing and
// how to come by it, works all the same, and complains of nothing.
func TestBare(t *testing.T) {
	t.Parallel()
	face, place := "sitter.face", "[2, 2, 1.4]"
	b := browser.Profile(t)
	for _, x := range []struct{ name, parts, there, press string }{
		{"no lights", bareRoom + "|" + fmt.Sprintf(bareCamera, face) + bareSitter,
			`document.querySelector("#onpic .empty")?.textContent.includes("No light is on") && document.querySelector("#lights .none")`, "add"},
		{"no sitter, no points", bareRoom + "|" + fmt.Sprintf(bareCamera, place) + fmt.Sprintf(bareKey, place),
			`document.querySelector("#lad .none")?.textContent.includes("No points yet") && ` + picture, "addsitter"},
		{"no camera", bareRoom + "|" + bareSitter + fmt.Sprintf(bareKey, face),
			`document.querySelector("#onpic .empty")?.textContent.includes("No camera") && document.querySelectorAll("#lad .lrow").length>3`, "addcamera"},
		{"no room", "|" + fmt.Sprintf(bareCamera, face) + bareSitter + fmt.Sprintf(bareKey, face),
			picture + ` && document.querySelectorAll("#lad .lrow").length>3`, ""},
		{"nothing at all", "|    notes: nothing yet\n",
			`document.querySelector(".nocam") && document.querySelector("#lad .none")`, "addcamera"},
	} {
		room, rest, _ := strings.Cut(x.parts, "|")
		address, stop := serveText(t, "halfstop: 1\nshoot: {title: Try}\n"+room+"setups:\n  - name: One\n"+rest)
		p := open(t, b, address, 1440, 900)
		p.Until(x.name, x.there, 60*time.Second)
		time.Sleep(500 * time.Millisecond)
		p.Until(x.name+": the link to be live",
			`document.getElementById("page").dataset.link==="live" && !document.querySelector(".lost")`, 5*time.Second)
		if x.press != "" {
			p.Act(x.press, "")
			p.Until(x.name+": it is added",
				`!document.querySelector("[data-key=undo]").disabled && !document.querySelector("#err .err")`,
				15*time.Second)
		}
		p.Clean()
		stop()
	}
}

// crowded is a shoot of many lights and points under long names.
func crowded(lights, points int) string {
	var s strings.Builder
	s.WriteString(
		"halfstop: 1\nshoot: {title: Ein langer Abend im Gemeindesaal Niederoberhausen mit Chor und " +
			"Kapelle}\nroom: {size: [12 m, 8 m, 4 m]}\nsetups:\n")
	names := []string{"Gruppenbild vor der Bühne mit allen Mitgliedern des Chores", "集合写真、舞台の前で",
		"Общий снимок у окна", "صورة جماعية"}
	for i, n := range names {
		fmt.Fprintf(&s, "  - name: %q\n", n)
		s.WriteString(
			"    camera: {at: [9, 4], height: 1.5 m, aim: sitter.face, lens: 50 mm, aperture: f/4, shutter: 1/100 " +
				"s, iso: 400}\n    sitter: {at: [5, 4], stature: 1.7 m}\n")
		n := 1
		if i == 0 {
			n = lights
		}
		s.WriteString("    lights:\n")
		for k := range n {
			fmt.Fprintf(&s,
				"      - {name: %q, role: %s, head: battery head 500, modifier: octa 90, at: [%.2f, %.2f], "+
					"height: 2.2 m, aim: sitter.face, power: 1/32}\n",
				fmt.Sprintf("Scheinwerfer %d hinter der Säule", k+1),
				[]string{"key", "fill", "edge", "accent"}[k%4], 1+float64(k%10), 0.8+6.4*float64(k%2))
		}
		if i == 0 && points > 0 {
			s.WriteString("    points:\n")
			for k := range points {
				fmt.Fprintf(&s, "      - {name: %q, at: [%.2f, %.2f, 1.2], receptor: flat, facing: camera}\n",
					fmt.Sprintf("Platz %d, %s", k+1,
						[]string{"вторая скрипка", "第二ヴァイオリン", "second violin by the pillar"}[k%3]),
					2+0.2*float64(k%20), 2+0.15*float64(k%25))
			}
			s.WriteString("    look:\n")
			for k := range 6 {
				fmt.Fprintf(&s, "      - {point: %q, stops: %+d st}\n",
					fmt.Sprintf("Platz %d, %s", 3*k+1, "вторая скрипка"), k%3-1)
			}
		}
	}
	return s.String()
}

// TestCrowded opens twelve lights and sixty points under long names in several
// scripts: every row is legible and lies by itself, no control is off the bar, a press
// on a ring takes its own, and rows stay where they are while a hand moves.
func TestCrowded(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, crowded(12, 60))
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 90*time.Second)
	p.Rub()
	if n := p.number(`document.querySelectorAll("#lad .fold").length`); n != 1 {
		t.Errorf("%v folded rows, want one", n)
	}
	p.Key("u")
	p.Until("all rows", `document.querySelectorAll("#lad .lrow").length>=60`, 10*time.Second)
	p.Shot("crowded-1440x900")
	if s := p.Str(
		`(()=>{const r=[...document.querySelectorAll("#lad .lrow")].map(e=>e.getBoundingClientRect());const bad=[];for(let i=0;i<r.length;i++){if(r[i].height<19)bad.push(i+" is "+r[i].height+" px high");if(i&&r[i].top<r[i-1].bottom-.5)bad.push(i+" lies over the one before")}return bad.join("; ")})()`); s != "" {
		t.Error(s)
	}
	if s := p.Str(
		`[...document.querySelectorAll("#bar :is(button,select)")].filter(e=>{const r=e.getBoundingClientRect();return r.width&&(r.right>innerWidth+.5||r.left<-.5)}).map(e=>e.outerHTML.slice(0,90)).join("; ")`); s != "" {
		t.Errorf("off the bar: %s", s)
	}
	if s := p.Str(
		`[...document.querySelectorAll("#lad .n")].map(e=>e.textContent).filter(Boolean).map(Number).every((v,i,a)=>i===0||v>a[i-1])`); s != "true" {
		t.Error("the rows are not in the order of their numbers")
	}
	// A ring in the middle of many.
	for _, n := range []string{"2", "5", "9"} {
		p.fine() // what a drag does goes on for a moment, and a row that is chosen says more
		sel := fmt.Sprintf(`#lad .lrow:nth-child(%s)`, n)
		key := p.Str(fmt.Sprintf(`document.querySelector(%q).dataset.key`, sel))
		order := p.Str(`[...document.querySelectorAll("#lad .lrow")].map(e=>e.dataset.key).join()`)
		x, y := p.At(sel + " .handle")
		p.Drag(x, y, 12, 0)
		if got := p.Str(`document.querySelector(".lrow.sel").dataset.key`); got != key {
			t.Errorf("a press on the ring of %s took %s", key, got)
		}
		if now := p.Str(`[...document.querySelectorAll("#lad .lrow")].map(e=>e.dataset.key).join()`); now != order {
			t.Errorf("the rows were put in another order by a drag")
		}
	}
	p.rested()
	p.Clean()
}

// TestDesk: the picture leads, one key changes places with the plan, borders are dragged and stay,
// a row under the pointer is lit up wherever it is.
func TestDesk(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Until("a picture", picture, 60*time.Second)
	share := func(sel string) float64 {
		return p.number(fmt.Sprintf(
			`(()=>{const r=document.querySelector(%q).getBoundingClientRect();return r.width*r.height/innerWidth/innerHeight})()`, sel))
	}
	if v := share("#stage"); v < 0.45 {
		t.Errorf("upright, the picture with its mount has %.1f %% of the screen", 100*v)
	}
	p.Act("setup", `[data-arg="1"]`)
	p.Until("a landscape picture",
		`document.querySelector(".setups .on").textContent==="Window bench" && `+picture+` && document.getElementById("page").dataset.shape==="wide"`, 60*time.Second)
	p.Until("its size",
		`(()=>{const r=document.getElementById("picture").getBoundingClientRect();return r.width*r.height/innerWidth/innerHeight>=.45})()`, 5*time.Second)
	p.Key("N")
	p.Until("the aisle", `document.querySelector(".setups .on").textContent==="Aisle" && `+ready, 60*time.Second)
	p.Key("x")
	p.Until("plan large, picture small with the face beside",
		`document.querySelector("#bigplace #plan") && document.querySelector("#low #picture") && document.getElementById("facepic").width>100`, 5*time.Second)
	if v := share("#plan"); v < 0.3 {
		t.Errorf("the large plan has %.1f %% of the screen", 100*v)
	}
	p.Key("x")
	p.Until("back", `document.querySelector("#bigplace #picture") && document.querySelector("#low #plan")`,
		5*time.Second)
	was := p.number(`document.getElementById("stage").getBoundingClientRect().width`)
	x, y := p.At("#split-stage")
	p.Drag(x, y, -90, 0)
	now := p.number(`document.getElementById("stage").getBoundingClientRect().width`)
	if now > was-80 || now < was-100 {
		t.Errorf("a drag of the border by 90 px took the picture's part from %.0f to %.0f px", was, now)
	}
	p.Reload()
	p.Until("the border where it was",
		fmt.Sprintf(`Math.abs(document.getElementById("stage")?.getBoundingClientRect().width-%f)<1.5`, now),
		20*time.Second)
	p.Until("the rows", `document.querySelector("#lad .lrow")`, 30*time.Second)
	// Nothing that must be compared scrolls.
	if v := p.number(
		`document.getElementById("lists").scrollHeight-document.getElementById("lists").clientHeight`); v > 1 {
		t.Errorf("ladder and lights scroll by %v px", v)
	}
	x, y = p.At(p.row("hair edge") + " .nm")
	p.Mouse("mouseMoved", x, y)
	p.Until("its label in the picture lit up",
		`(()=>{const n=[...document.querySelectorAll(".pd .plate")].filter(e=>getComputedStyle(e).fill==="rgb(249, 249, 249)");return n.some(e=>e.parentNode.getAttribute("aria-label").includes("hair edge"))})()`, 5*time.Second)
	p.Clean()
}

// TestWallOfSize drags a wall of a room that is given by its size, twice:
// the room gets an outline, and one undo a drag gives it back.
func TestWallOfSize(t *testing.T) {
	t.Parallel()
	address, _ := serveText(t, "halfstop: 1\nshoot: {title: Try}\n"+bareRoom+"setups:\n  - name: One\n"+fmt.Sprintf(
		bareCamera, "sitter.face")+bareSitter+fmt.Sprintf(bareKey, "sitter.face"))
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	p.Act("pane", "[data-arg=edit]")
	for i, d := range []float64{60, 40} {
		x, y := p.At(`#roomplan [data-hold=wall][data-n="1"]`)
		p.Drag(x, y, d, 0)
		p.Until("the drag to end",
			`document.getElementById("page").dataset.busy==="" && document.querySelectorAll("#roomplan .wall").length===4 && !document.querySelector("#roomplan [data-key=note]")`, 20*time.Second)
		if s := p.Str(`document.querySelector(".toast")?.textContent`); s != "undefined" {
			t.Fatalf("drag %d: %q", i+1, s)
		}
		p.undoSays("move wall 2")
	}
	if s := p.says(); strings.Contains(s, "size:") || !strings.Contains(s, "outline: [[0, 0], [") ||
		!strings.Contains(s, "ceiling: 2.6 m") {
		t.Errorf("the room is\n%s", s)
	}
	p.Tap("[data-key=undo]")
	p.Tap("[data-key=undo]")
	p.Until("nothing left to undo", undo+`.disabled`, 10*time.Second)
	if s := p.says(); !strings.Contains(s, "size: [5 m, 4 m, 2.6 m]") {
		t.Errorf("undone, the room is\n%s", s)
	}
	p.Clean()
}

// TestKept: what the line of state says of saving is
// true, whatever another program does to the file.
func TestKept(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "shoot.yaml")
	if err := os.WriteFile(path, demo.Shoot(), 0o644); err != nil {
		t.Fatal(err)
	}
	s, err := store.Read(path, nil)
	if err != nil {
		t.Fatal(err)
	}
	address, _ := serveOptions(t, server.Options{Shoot: s, Journals: filepath.Join(dir, "journals"),
		Files: func(string) ([]byte, error) { return nil, os.ErrNotExist }})
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	state := func(what, want string) {
		t.Helper()
		p.Until(what, fmt.Sprintf(`document.querySelector(".sv").textContent.includes(%q)`, want), 15*time.Second)
	}
	disk := func() string { b, _ := os.ReadFile(path); return string(b) }
	state("saved at first", "saved")
	p.Act("dial-iso", `[data-by="1"]`)
	p.Until("saved with its time", `/^saved \d\d:\d\d:\d\d$/.test(document.querySelector(".sv").textContent)`,
		15*time.Second)
	if !strings.Contains(disk(), "iso: 500") {
		t.Error("it says saved, and the file does not hold the change")
	}
	// A file that goes away, and comes back by a press.
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	state("that the file is gone", "gone")
	p.Shot("gone-1440x900")
	p.Act("writeback", "")
	p.Until("saved again", `/^saved/.test(document.querySelector(".sv").textContent)`, 15*time.Second)
	if !strings.Contains(disk(), "iso: 500") {
		t.Error("it says saved, and the file is not back")
	}
	// Both changed the same: nothing is lost, both are shown, one is taken.
	p.Act("dial-iso", `[data-by="1"]`)
	time.Sleep(20 * time.Millisecond)
	now := disk()                                                 // ours may be in it already
	at := regexp.MustCompile(`\n +iso: \d+`).FindStringIndex(now) // the first camera's
	theirs := now[:at[0]] + "\n      iso: 3200" + now[at[1]:]
	if err := os.WriteFile(path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	p.Until("that both differ, or that the one was followed",
		`document.querySelector(".sv").textContent.includes("differs") || document.querySelector('.cam [data-arg=iso]').value==="3200"`, 15*time.Second)
	if strings.Contains(p.Str(`document.querySelector(".sv").textContent`), "differs") {
		p.Act("both", "")
		p.Until("both texts", `document.querySelectorAll(".twotexts .new").length>=2`, 10*time.Second)
		p.Shot("both-1440x900")
		p.Act("disk", "[data-arg=theirs]")
	}
	p.Until("theirs", `document.querySelector('.cam [data-arg=iso]').value==="3200"`, 15*time.Second)
	state("saved", "saved")
	if p.says() != disk() {
		t.Error("the page's text and the file's are not the same")
	}
	p.Clean("409")
}
