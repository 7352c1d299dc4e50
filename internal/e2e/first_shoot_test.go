package e2e

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// TestFirstShoot does on the page what 'Your first shoot in ten minutes' does on the command line,
// as somebody who has never seen it: an empty folder, the questions, a wish for the shadow side,
// the ways out of its miss, the first of them taken. It logs the time of each.
func TestFirstShoot(t *testing.T) {
	t.Parallel()
	long(t)
	dir := filepath.Join(t.TempDir(), "kitchen")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	address, _ := serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml"}, Demo: true, Begin: dir,
		Example: demo.Shoot()})
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("the first field to have the keyboard", `document.activeElement.dataset.key==="bg-length"`, 20*time.Second)
	began := time.Now()
	lap := func(what string) { t.Logf("%5.1f s %s", time.Since(began).Seconds(), what) }
	p.Write("5.4" + kb.Tab + "3.6" + kb.Tab + "2.5" + kb.Enter)
	p.Until("the second answer", `document.querySelector(".bgst.cur h3").textContent.startsWith("Camera")`, 5*time.Second)
	p.Write(kb.Enter)
	p.Until("the third", `document.querySelector(".bgst.cur h3").textContent.startsWith("Sitter")`, 5*time.Second)
	p.Key(kb.Enter, chromedp.ModifierCtrl)
	p.Until("the desk with readings and a picture",
		ready+` && `+picture+` && document.getElementById("page").dataset.begin===""`, 60*time.Second)
	lap("the picture")
	p.Until("the key set for the aperture, and that saved",
		`document.querySelector("[data-key=undo]").title==="Undo: balance" && document.querySelector(".sv").textContent.startsWith("saved")`,
		30*time.Second)
	lap("the key is set and saved")
	p.Shot("first-1")
	p.Tap("#lad .fold button")
	p.Until("all points", `document.querySelectorAll("#lad .lrow").length>4`, 10*time.Second)
	p.Fill(p.row("face shadow side")+" .wt", "f/2.8")
	p.Until("the wish", undo+`.title.startsWith("Undo: ask ")`, 20*time.Second)
	p.settled()
	lap("the shadow side is asked for f/2.8")
	p.Shot("first-2")
	p.Tap(p.row("face shadow side") + " .nm")
	p.Act("pane", "[data-arg=ways]")
	p.Until("ways out", `document.querySelectorAll("#ways .way").length>1`, 90*time.Second)
	lap("ways out")
	p.Shot("first-3")
	first := p.Str(`document.querySelector("#ways .way .take")?.closest(".way").textContent`)
	if !strings.Contains(first, "white panel") {
		t.Errorf("the first way is %q", first)
	}
	p.Tap("#ways .take")
	p.settled()
	p.Act("pane", "[data-arg=desk]")
	p.fine()
	lap("the first way is taken and metered")
	p.Shot("first-4")
	s := p.Str("document.querySelector('" + p.row("face shadow side") + " .wy').textContent")
	if !strings.HasPrefix(s, "as asked") && !strings.Contains(s, "meter it first") { // within what the kit is known to
		t.Errorf("the shadow side: %q", s)
	}
	src, err := os.ReadFile(filepath.Join(dir, "shoot.yaml"))
	if err != nil || !strings.Contains(string(src), "face: white") {
		t.Errorf("no board in the file: %v\n%s", err, src)
	}
	p.Clean("409") // pictures of the other ways are refused once one is taken
}
