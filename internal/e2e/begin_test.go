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

// TestBegin makes a shoot in an empty folder by keyboard alone: four answers, each taken or typed
// over; the file is written, the first picture comes, the key is set for the aperture. What cannot
// stand is said at its answer. The demonstration is one press away and touches nothing.
func TestBegin(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "town-hall")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	address, _ := serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml"}, Demo: true, Begin: dir,
		Example: demo.Shoot()})
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("the first field to have the keyboard", `document.activeElement.dataset.key==="bg-length"`, 20*time.Second)
	began := time.Now()
	p.Shot("begin-1440x900")
	p.Write("6,5" + kb.Tab + "13 ft" + kb.Enter)
	p.Until("the second answer", `document.querySelector(".bgst.cur h3").textContent.startsWith("Camera")`,
		5*time.Second)
	p.Write("9")
	p.Until("the word that the camera stands outside",
		`document.querySelector(".bgbad")?.textContent.includes("outside the room") && document.querySelector("[data-make]").disabled`, 5*time.Second)
	p.Key("a", chromedp.ModifierCtrl)
	p.Write("5" + kb.Enter)
	p.Until("all well, at the third",
		`!document.querySelector(".bgbad") && document.querySelector(".bgst.cur h3").textContent.startsWith("Sitter")`, 5*time.Second)
	p.Key(kb.Enter, chromedp.ModifierCtrl)
	p.Until("the desk with readings and a picture",
		ready+` && `+picture+` && document.getElementById("page").dataset.begin===""`, 60*time.Second)
	t.Logf("from the first stroke to the picture: %.1f s", time.Since(began).Seconds())
	src, err := os.ReadFile(filepath.Join(dir, "shoot.yaml"))
	// 13 ft are 3.9624 m; the file has centimetres
	if err != nil || !strings.Contains(string(src), "[6.5 m, 3.96 m, 2.75 m]") ||
		!strings.Contains(string(src), "title: Town hall") {
		t.Fatalf("the file: %v\n%s", err, src)
	}
	p.Until("the key set for the aperture, and that saved",
		`document.querySelector("[data-key=undo]").title==="Undo: balance" && document.querySelector(".sv").textContent.startsWith("saved")`, 30*time.Second)
	p.fine()
	if s := p.Str(`document.querySelector(".lrow .wy").textContent`); !strings.HasPrefix(s, "as asked") {
		t.Errorf("with the key set the face is %q", s)
	}
	p.Shot("begun-1440x900")
	p.Clean()
	// The demonstration, on a phone, in another folder.
	other := t.TempDir()
	address, _ = serveOptions(t, server.Options{Shoot: &store.Shoot{Name: "shoot.yaml"}, Demo: true, Begin: other,
		Example: demo.Shoot()})
	p = open(t, browser.Profile(t), address, 390, 844)
	p.Until("the beginning",
		`document.querySelector("#begin [data-demo]") && document.documentElement.scrollWidth<=390`, 20*time.Second)
	p.Shot("begin-390x844")
	p.Tap("#begin [data-demo]")
	p.Until("the demonstration", `document.title.includes("Launderette") && `+ready, 60*time.Second)
	if list, _ := os.ReadDir(other); len(list) != 0 {
		t.Errorf("the folder was touched: %v", list)
	}
	p.Clean()
}
