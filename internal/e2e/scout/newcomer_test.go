package scout

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// TestNewcomer follows "A place in ten minutes" of docs/scout.md step by step, from an empty folder
// to a reading that taught something, by presses and keys alone.
func TestNewcomer(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "back-room")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	s, err := server.New(server.Options{Shoot: &store.Shoot{Name: "shoot.yaml"}, Begin: dir, Listen: "127.0.0.1:0",
		Page: server.BuiltPage(), Version: "test", Journals: t.TempDir(), Cache: t.TempDir(), Samples: 4, Fine: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	t.Cleanup(func() { cancel(); <-done })
	p := browser.Open(t, browser.Profile(t), 1440, 900, s.Address, 8*time.Minute)
	p.Do(chromedp.Navigate("http://" + s.Address + "/"))
	began := time.Now()
	file := filepath.Join(dir, "shoot.yaml")

	// 1. About how large.
	p.Until("the first field", `document.activeElement.dataset.key==="bg-length"`, long)
	p.Write("6" + kb.Tab + "5.7" + kb.Tab + "2.8")
	p.Key(kb.Enter, chromedp.ModifierCtrl)
	p.Until("the desk", `document.getElementById("page").dataset.begin===""&&`+
		`document.getElementById("page").dataset.readings`, long)
	// 2. By tape.
	p.Act("pane", `[data-arg=scout]`)
	p.Act("scpart", `[data-arg=walk]`)
	p.Tap(`[data-key="walklen-0"]`)
	for _, side := range []string{"6.02", "5.7", "2", "1.2 r", "4", "4.5"} {
		p.Write(side)
		p.Key(kb.Enter)
	}
	p.Until("the closing error", `/Closing error 2\.0 cm/.test(document.querySelector(".closing").textContent)`, long)
	p.Shot("newcomer-walk")
	p.Act("walkwrite", "")
	saved(p, file, "[4.", true)
	// Nobody has said what the room is of.
	rows := func(what, of string) {
		t.Helper()
		p.Act("scpart", `[data-arg=assumed]`)
		p.Until(what, `[...document.querySelectorAll(".scassumed th[scope=row]")].map(e=>`+
			`/^(\w+) reflectance assumed \d+ %/.exec(e.textContent)?.[1]).filter(Boolean).sort().join()===`+of, long)
	}
	rows("walls, floor and ceiling assumed", `"ceiling,floor,wall"`)
	p.Shot("newcomer-bare")
	p.Act("pane", `[data-arg=edit]`)
	p.Tap(`[data-key="placing-surfaces"]`)
	p.Choose(`[data-act=painting]`, "floor")
	p.Act("paint", `[data-arg="light wood"]`)
	saved(p, file, "floor: light wood", true)
	p.Act("pane", `[data-arg=scout]`)
	rows("the floor said", `"ceiling,wall"`)
	// 3. A window, and what is outside it.
	p.Act("pane", `[data-arg=edit]`)
	p.Until("the plan", `document.querySelectorAll("#roomplan .wall").length===6`, long)
	p.Tap(`[data-key="placing-window"]`)
	p.PressAt(p.Middle(`#roomplan [data-hold=wall][data-n="0"]`))
	saved(p, file, "windows:", true)
	p.Act("pane", `[data-arg=checks]`)
	p.Until("the word that it is black", `document.querySelector("#checks").textContent.includes("they are black")`, long)
	p.Shot("newcomer-black")
	p.Act("pane", `[data-arg=edit]`)
	p.Tap(`#ednav [data-path="room.outside"]`)
	p.Fill(`[data-key="fd-room.outside.sky"]`, "overcast")
	saved(p, file, "sky: overcast", true)
	// 4. A lamp.
	p.Tap(`#ednav [data-path="room.practicals"]`)
	p.Act("edadd", `[data-path="room.practicals"]`)
	saved(p, file, "practicals:", true)
	p.Shot("newcomer-lamp")
	// 5. A photograph: the card, the wall.
	p.Act("pane", `[data-arg=scout]`)
	p.Act("scpart", `[data-arg=photos]`)
	bring(p)
	p.Act("sctool-card", "")
	press(p, 25, 50)
	p.Until("the card", `document.querySelector("[data-key=card]")`, long)
	press(p, 75, 50)
	p.Until("the wall", `/reflected/.test(document.querySelector("[data-key=spot0]").textContent)`, long)
	p.Choose(`[data-key=sct0]`, "walls")
	p.Act("scput", "")
	saved(p, file, "walls: {diffuse", true)
	// 6. What is left open.
	rows("the walls said", `"ceiling"`)
	p.Until("what is assumed of the day", `/no date/.test(document.querySelector(".scassumed")?.textContent)`, long)
	p.Shot("newcomer-assumed")
	// 7. A reading.
	p.Act("pane", `[data-arg=kit]`)
	p.Act("kittab", `[data-arg=learned]`)
	p.Fill(`[data-act=readlog]`, "f/5.6 + 0.3")
	p.Until("what it teaches", `document.querySelector("#kit .glev")||document.querySelector("#kit .gcard")`, long)
	p.Shot("newcomer-learn")
	p.Act("learnkeep", "")
	p.Until("in force", `document.querySelector("#kit .gearpage").textContent.includes("All of it is in force")`, long)
	t.Logf("from the first key to the lesson %.0f s", time.Since(began).Seconds())
	learned, err := os.ReadFile(filepath.Join(dir, "kit", "learned.yaml"))
	if err != nil || !strings.Contains(string(learned), "battery head 500") {
		t.Errorf("what is kept: %v\n%s", err, learned)
	}
	p.Clean()
}
