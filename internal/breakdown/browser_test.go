package breakdown

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestPage drives the page from its file in a browser without a network: it mixes the layers, each
// light can be turned off by keyboard, the teaching form opens when every question is answered,
// nothing is asked of any network, and axe finds nothing.
func TestPage(t *testing.T) {
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no chromium on this machine, and CI=true asks for one")
		}
		t.Skip("=== NO CHROMIUM: THE PAGE IS NOT TESTED ===")
	}
	axe, err := os.ReadFile("../../web/node_modules/axe-core/axe.min.js")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("axe-core is not installed: npm ci --ignore-scripts in web")
		}
		t.Log("=== NO AXE-CORE: THE PAGE IS NOT CHECKED FOR ACCESSIBILITY ===")
	}
	w := workOf(t)
	w.Teach = true
	made, err := HTML(w)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, made.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	opts := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	opts = append(opts, chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.UserDataDir(filepath.Join(t.TempDir(), "profile")), chromedp.Flag("disable-component-update", true),
		// The network is off.
		chromedp.Flag("proxy-server", "127.0.0.1:1"), chromedp.Flag("proxy-bypass-list", "<-loopback>"),
		chromedp.WSURLReadTimeout(60*time.Second))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	defer stop()
	tab, cancel := chromedp.NewContext(alloc)
	defer cancel()
	ctx, cancel := context.WithTimeout(tab, 2*time.Minute)
	defer cancel()
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium did not start: %v", err)
	}
	var mu sync.Mutex
	var bad []string
	err = chromedp.Listen(ctx, func(e any) {
		mu.Lock()
		defer mu.Unlock()
		switch e := e.(type) {
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; !strings.HasPrefix(u, "file:") && !strings.HasPrefix(u, "data:") {
				bad = append(bad, "asked for "+u)
			}
		case *log.EventEntryAdded: // what the page's own policy forbids, too
			bad = append(bad, fmt.Sprintf("%.200s", e.Entry.Text))
		case *runtime.EventExceptionThrown:
			bad = append(bad, "thrown: "+e.ExceptionDetails.Text)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	eval := func(js string) string {
		t.Helper()
		v, err := chromedp.Run(ctx, chromedp.Evaluate[string]("(async () => String(await ("+js+")))()",
			chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatalf("%s: %v", js, err)
		}
		return v
	}
	until := func(js string) {
		t.Helper()
		for end := time.Now().Add(time.Minute); eval(js) != "true"; time.Sleep(30 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("waited a minute for %s", js)
			}
		}
	}
	// press acts as a person at the keyboard: what has the focus gets the key.
	press := func(selector, key string) {
		t.Helper()
		eval(`document.querySelector('` + selector + `').focus()`)
		if err := chromedp.Do(ctx, chromedp.KeyEvent(key)); err != nil {
			t.Fatal(err)
		}
	}
	mean := func(of string) (v float64) {
		t.Helper()
		_, _ = fmt.Sscan(eval(`(() => { const e = document.getElementById("`+of+`");
			const c = document.createElement("canvas");
			c.width = e.width; c.height = e.height;
			const g = c.getContext("2d"); g.drawImage(e, 0, 0, c.width, c.height);
			const d = g.getImageData(0, 0, c.width, c.height).data; let s = 0;
			for (let i = 0; i < d.length; i += 4) s += d[i] + d[i + 1] + d[i + 2];
			return s / d.length * 4 / 3 })()`), &v)
		return v
	}
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+file)); err != nil {
		t.Fatal(err)
	}
	until(`document.documentElement.dataset.mixed === "1" && document.getElementById("still").hidden`)
	// The still picture is of the same light: both are developed by one rendering. Small pictures
	// as JPEG: 3 %.
	all := mean("mix")
	if still := mean("still"); all < 10 || all/still < 0.97 || all/still > 1.03 {
		t.Errorf("mixed the picture has a mean of %.1f, developed %.1f", all, still)
	}
	press("[data-light] [type=checkbox]", " ")
	until(`Number(document.documentElement.dataset.mixed) >= 2 &&
		document.querySelector("[data-light] output").textContent === "off"`)
	if off := mean("mix"); off >= all {
		t.Errorf("with a light off the mean is %.2f, %.2f before", off, all)
	}
	press("[data-light]:nth-of-type(2) [type=range]", kb.ArrowRight)
	until(`[...document.querySelectorAll("[data-light] output")].some(o => o.textContent === "+0.1 st")`)
	press("#all", kb.Enter)
	until(`[...document.querySelectorAll("[data-light] output")].every(o => o.textContent === "as shot")`)
	// The teaching form.
	hidden := `document.querySelector("[data-hidden]").hidden`
	if eval(hidden) != "true" {
		t.Error("the settings are to be seen before they are guessed")
	}
	if press("#reveal", kb.Enter); eval(hidden) != "true" {
		t.Error("the settings come out with questions open")
	}
	eval(`document.querySelectorAll("#quiz select").forEach(s => { s.value = s.dataset.is })`)
	press("#reveal", kb.Enter)
	until(`!` + hidden + ` && /^(\d+) of \1 right$/.test(document.getElementById("score").textContent)`)
	if axe != nil {
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[string](string(axe)+";''")); err != nil {
			t.Fatal(err)
		}
		if found := eval(`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => v.id + ": " +
			v.nodes.slice(0, 3).map(n => n.target.join(" ")).join("; ")).join("\n"))`); found != "" {
			t.Errorf("axe finds:\n%s", found)
		}
	}
	mu.Lock()
	defer mu.Unlock()
	if len(bad) > 0 {
		t.Errorf("%v", bad)
	}
}
