// Package browser drives a real headless browser for tests of pages: one browser a test binary, a
// profile of its own for each user, what the page complains of, and real presses of pointer and
// keys. Only tests use it.
package browser

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	goruntime "runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Path finds the browser. Without one the test is skipped loudly; where CI=true it fails.
func Path(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("no chromium on this machine, and CI=true asks for one")
	}
	t.Skip("=== NO CHROMIUM: THE PAGE IS NOT TESTED ===")
	return ""
}

// Start starts a browser with a profile in dir; flags come after those that every test has. stop
// ends it.
func Start(path, dir string, flags ...chromedp.ExecAllocatorOption) (ctx context.Context, stop func(), err error) {
	opts := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	opts = append(opts, chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.UserDataDir(filepath.Join(dir, "profile")),
		// A window's frame draws a list of proposals of its own, as a page: a second of work for
		// each window that nobody sees.
		chromedp.Flag("disable-features", "Translate,BlinkGenPropertyTrees,WebUIOmniboxPopup,WebUIOmniboxAimPopup"),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("enable-unsafe-swiftshader", true), chromedp.WSURLReadTimeout(60*time.Second))
	alloc, end := chromedp.NewExecAllocator(context.Background(), append(opts, flags...)...)
	ctx, cancel := chromedp.NewContext(alloc)
	stop = func() { cancel(); end() }
	if err := chromedp.Do(ctx); err != nil {
		stop()
		return nil, nil, fmt.Errorf("chromium did not start: %w", err)
	}
	return ctx, stop, nil
}

var shared struct {
	once sync.Once
	ctx  context.Context
	err  error
	stop func()
}

// Main runs the tests of a package and ends the browser that they share. leftover are more folders
// to remove at the end.
//
// Two tests a core run at a time, unless -parallel says otherwise: most of what a test does is to
// wait, for a finger to come up or for a picture.
func Main(m *testing.M, leftover *[]string) int {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "test.parallel" })
	if !given {
		flag.Set("test.parallel", strconv.Itoa(2*goruntime.GOMAXPROCS(0)))
	}
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	if leftover != nil {
		for _, dir := range *leftover {
			os.RemoveAll(dir)
		}
	}
	return code
}

// Profile gives a profile of its own in the browser that all tests share: nothing of one test is
// seen by another.
func Profile(t *testing.T) context.Context {
	t.Helper()
	path := Path(t)
	shared.once.Do(func() {
		dir, err := os.MkdirTemp("", "halfstop-browser")
		if err != nil {
			shared.err = err
			return
		}
		// The floor's certificate is its own.
		ctx, stop, err := Start(path, dir, chromedp.DisableGPU, chromedp.Flag("hide-scrollbars", true),
			chromedp.Flag("ignore-certificate-errors", true))
		shared.ctx, shared.err = ctx, err
		shared.stop = func() {
			if stop != nil {
				stop()
			}
			os.RemoveAll(dir)
		}
	})
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	ctx, cancel := chromedp.NewContext(shared.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// Page is one open page and what went wrong in it.
type Page struct {
	T     *testing.T
	Ctx   context.Context
	State string // expression that a failed wait reports; empty: the text of the page
	mu    sync.Mutex
	bad   []string
}

// Open opens an empty page of w × h CSS pixels in a tab of its own, which lives for most at the
// longest. host is where its requests may go, 'HOST:PORT'; empty: anywhere on this machine.
func Open(t *testing.T, profile context.Context, w, h int64, host string, most time.Duration) *Page {
	t.Helper()
	tab, cancel := chromedp.NewContext(profile)
	t.Cleanup(cancel)
	ctx, cancel2 := context.WithTimeout(tab, most)
	t.Cleanup(cancel2)
	p := &Page{T: t, Ctx: ctx}
	p.Do(chromedp.EmulateViewport(w, h), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		// The page has the focus also while another lies over it.
		_, err := cdp.Call(ctx, t, emulation.SetFocusEmulationEnabled,
			emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
	err := chromedp.Listen(ctx, func(ev any) {
		if said := complaint(ev, host); said != "" {
			p.mu.Lock()
			p.bad = append(p.bad, said)
			p.mu.Unlock()
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// complaint says what is wrong with an event of the browser; empty where nothing is.
func complaint(ev any, host string) string {
	switch e := ev.(type) {
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			var words []string
			for _, a := range e.Args {
				words = append(words, string(a.Value)+a.Description)
			}
			return "console: " + strings.Join(words, " ")
		}
	case *runtime.EventExceptionThrown:
		words := e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			words += " " + x.Description
		}
		return "thrown: " + words
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || strings.Contains(e.Entry.Text, "Content Security Policy") {
			return "log: " + e.Entry.Text + " " + e.Entry.URL
		}
	case *network.EventRequestWillBeSent:
		u, err := url.Parse(e.Request.URL)
		if err != nil || u.Scheme == "data" || u.Scheme == "blob" || u.Scheme == "about" || u.Host == host {
			return ""
		}
		if host == "" && net.ParseIP(u.Hostname()).IsLoopback() {
			return ""
		}
		return "request to elsewhere: " + e.Request.URL
	}
	return ""
}

// Do runs actions of the protocol.
func (p *Page) Do(a ...chromedp.Action[chromedp.Void]) {
	p.T.Helper()
	if err := chromedp.Do(p.Ctx, a...); err != nil {
		p.T.Fatal(err)
	}
}

// Run evaluates statements for what they do.
func (p *Page) Run(js string) { p.T.Helper(); p.Str("(()=>{" + js + "})()") }

// Str evaluates an expression to text.
func (p *Page) Str(expr string) string {
	p.T.Helper()
	s, err := chromedp.Run(p.Ctx, chromedp.Evaluate[string]("String("+expr+")"))
	if err != nil {
		p.T.Fatalf("%s: %v", expr, err)
	}
	return s
}

// Patience is by how much waits are longer than a quiet machine needs: only a test that fails takes
// longer by it, and a busy machine is no fault.
const Patience = 4

// Until waits for an expression to be true. Where it is not within Patience times the time, the
// test fails with what it waited for, the state of the page and its last complaints.
func (p *Page) Until(what, expr string, most time.Duration) {
	p.T.Helper()
	most *= Patience
	end := time.Now().Add(most)
	for {
		// What is not there yet is not so yet, nor is anything in a page that is just being
		// replaced by another.
		// What is asked of a page just as it goes may never be answered: it is asked again.
		ctx, stop := context.WithTimeout(p.Ctx, 10*time.Second)
		so, err := chromedp.Run(ctx,
			chromedp.Evaluate[bool]("(()=>{try{return Boolean("+expr+")}catch{return false}})()"))
		stop()
		if err == nil && so {
			return
		} else if err != nil && p.Ctx.Err() != nil {
			p.T.Fatalf("%s: %v", expr, err)
		}
		if time.Now().After(end) {
			p.Shot("failed-" + strings.ReplaceAll(p.T.Name(), "/", "-"))
			state := p.State
			if state == "" {
				state = "document.body.innerText"
			}
			faults := p.Faults()
			p.T.Fatalf("waited %v for %s; the page: %s; its last faults: %q", most, what, p.Str(state),
				faults[max(0, len(faults)-5):])
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// Faults are what the browser complained of so far.
func (p *Page) Faults() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string(nil), p.bad...)
}

// Clean fails on anything the browser complained of that holds none of the allowed texts.
func (p *Page) Clean(allowed ...string) {
	p.T.Helper()
next:
	for _, b := range p.Faults() {
		for _, a := range allowed {
			if strings.Contains(b, a) {
				continue next
			}
		}
		p.T.Error(b)
	}
}

// Shot writes a screenshot beside the other pictures of the run, where HALFSTOP_SCREENS names a
// folder.
func (p *Page) Shot(name string) {
	dir := os.Getenv("HALFSTOP_SCREENS")
	if dir == "" {
		return
	}
	b, err := chromedp.Run(p.Ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.T.Log(err)
		return
	}
	os.MkdirAll(dir, 0o755)
	if err := os.WriteFile(filepath.Join(dir, name+".png"), b, 0o644); err != nil {
		p.T.Log(err)
	}
}

// Everywhere draws what is shown, at three sizes on both grounds, and holds each to axe, to the
// screen's width, and below 1240 px to controls of 44 px. name is the picture's, root the id of the
// part that is looked at. The page is back at w × h on the dark ground after it.
func (p *Page) Everywhere(name, root, modules string, w, h int64) {
	p.T.Helper()
	ground := func(word string) {
		p.Run(fmt.Sprintf(`document.querySelector("[data-act=theme][data-arg=%s]")?.click()`, word))
	}
	for _, word := range []string{"paper", "booth"} {
		ground(word)
		for _, size := range [][2]int64{{1440, 900}, {820, 1180}, {390, 844}} {
			p.Do(chromedp.EmulateViewport(size[0], size[1]))
			time.Sleep(300 * time.Millisecond) // what is drawn after the size is known
			at := fmt.Sprintf("%s-%d-%s", name, size[0], word)
			p.Shot(at)
			p.Axe(at, modules)
			wide := p.Str(fmt.Sprintf(`Math.max(0,document.getElementById(%q).scrollWidth-innerWidth)`, root))
			if wide != "0" {
				p.T.Errorf("%s: it is %s px wider than the screen", at, wide)
			}
			if small := p.Str(fmt.Sprintf(`innerWidth<1240 ? [...document.querySelectorAll("#%s :is(button,select,`+
				`input,.scfile span):not(.lnk)")].filter(e=>e.getClientRects().length&&!e.classList.contains("vh")&&`+
				`e.getBoundingClientRect().height<43.5).map(e=>e.dataset.key||e.textContent).join():""`, root)); small != "" {
				p.T.Errorf("%s: lower than 44 px: %s", at, small)
			}
		}
	}
	p.Do(chromedp.EmulateViewport(w, h))
}

// Middle gives the middle of an element's box, in CSS pixels.
func (p *Page) Middle(selector string) (x, y float64) {
	p.T.Helper()
	s := p.Str(fmt.Sprintf(`(()=>{const e=document.querySelector(%q);if(!e)return "null";`+
		`const r=e.getBoundingClientRect();return JSON.stringify([r.x+r.width/2,r.y+r.height/2])})()`, selector))
	var v []float64
	if json.Unmarshal([]byte(s), &v) != nil || len(v) != 2 {
		p.T.Fatalf("there is no %s in the page", selector)
	}
	return v[0], v[1]
}

// Axe runs axe-core's rules of accessibility on the page as it stands; modules is the folder
// web/node_modules seen from the test. Without axe-core it says so loudly; where CI=true it fails.
func (p *Page) Axe(where, modules string) {
	p.T.Helper()
	src, err := os.ReadFile(filepath.Join(modules, "axe-core", "axe.min.js"))
	if err != nil {
		if os.Getenv("CI") == "true" {
			p.T.Fatal("axe-core is not installed: npm ci --ignore-scripts in web")
		}
		p.T.Log("=== NO AXE-CORE: THE RULES OF ACCESSIBILITY ARE NOT CHECKED ===")
		return
	}
	if p.Str("typeof window.axe") == "undefined" {
		p.Run(string(src) + "\n;window.axe=axe;")
	}
	p.Run(`window.found=null;axe.run(document,{resultTypes:["violations"]}).then(r=>{window.found=r.violations.map(` +
		`v=>v.id+": "+v.nodes.slice(0,3).map(n=>n.target.join(" ")+" "+` +
		`(n.any[0]?.message||n.all[0]?.message||"")).join("; ")).join("\n")})`)
	p.Until("axe", `window.found!==null`, time.Minute)
	if f := p.Str("window.found"); f != "" {
		p.T.Errorf("%s: %s", where, f)
	}
}
