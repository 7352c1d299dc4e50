package e2e

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
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

	"halfstop/internal/demo"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// chromium finds the browser. Without one the tests are
// skipped loudly; where CI=true that is a failure.
func chromium(t *testing.T) string {
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

// serve starts the demonstration and returns its address.
func serve(t *testing.T, listen string) (string, func()) {
	t.Helper()
	return serveOptions(t, server.Options{
		Shoot: &store.Shoot{Name: demo.Name, Src: demo.Shoot()}, Demo: true, Listen: listen,
		Files: func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) },
	})
}

// page is one open page and what went wrong in it.
type page struct {
	t   *testing.T
	ctx context.Context
	mu  sync.Mutex
	bad []string
	own string // address that requests may go to
}

var one struct {
	once sync.Once
	ctx  context.Context
	err  error
	end  func()
}

// leftover are folders that all tests share.
var leftover []string

// TestMain ends the browser that the tests share. As many of them run at a time as there are cores:
// half of what a test does is to wait, for a finger to come up or for the program.
func TestMain(m *testing.M) {
	code := m.Run()
	if one.end != nil {
		one.end()
	}
	for _, dir := range leftover {
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

// browse gives a profile of its own in the browser that all
// tests share: nothing of one test is seen by another.
func browse(t *testing.T) context.Context {
	t.Helper()
	path := chromium(t)
	one.once.Do(func() {
		dir, err := os.MkdirTemp("", "halfstop-e2e")
		if err != nil {
			one.err = err
			return
		}
		opts := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
		opts = append(opts, chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
			chromedp.UserDataDir(filepath.Join(dir, "profile")),
			chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
			chromedp.Flag("hide-scrollbars", true),
			chromedp.Flag("enable-unsafe-swiftshader", true), chromedp.WSURLReadTimeout(60*time.Second))
		alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
		ctx, cancel := chromedp.NewContext(alloc)
		one.ctx, one.err = ctx, chromedp.Do(ctx)
		one.end = func() { cancel(); stop(); os.RemoveAll(dir) }
	})
	if one.err != nil {
		t.Fatalf("chromium did not start: %v", one.err)
	}
	ctx, cancel := chromedp.NewContext(one.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// open opens the page at a size in a tab of its own.
func open(t *testing.T, browser context.Context, address string, w, h int64) *page {
	t.Helper()
	tab, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	most := 6 * time.Minute
	if whole || os.Getenv("HALFSTOP_LONG") != "" {
		most = 30 * time.Minute
	}
	ctx, cancel2 := context.WithTimeout(tab, most)
	t.Cleanup(cancel2)
	host, _, _ := strings.Cut(address, "/")
	p := &page{t: t, ctx: ctx, own: host}
	p.do(chromedp.EmulateViewport(w, h), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		// others may lie over it
		_, err := cdp.Call(ctx, t, emulation.SetFocusEmulationEnabled,
			emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
	err := chromedp.Listen(ctx, func(ev any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := ev.(type) {
		case *runtime.EventConsoleAPICalled:
			if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
				var words []string
				for _, a := range e.Args {
					words = append(words, string(a.Value)+a.Description)
				}
				p.bad = append(p.bad, "console: "+strings.Join(words, " "))
			}
		case *runtime.EventExceptionThrown:
			words := e.ExceptionDetails.Text
			if x := e.ExceptionDetails.Exception; x != nil {
				words += " " + x.Description
			}
			p.bad = append(p.bad, "thrown: "+words)
		case *log.EventEntryAdded:
			if e.Entry.Level == log.EntryLevelError || strings.Contains(e.Entry.Text, "Content Security Policy") {
				p.bad = append(p.bad, "log: "+e.Entry.Text+" "+e.Entry.URL)
			}
		case *network.EventRequestWillBeSent:
			u, err := url.Parse(e.Request.URL)
			if err == nil && u.Scheme != "data" && u.Scheme != "blob" && u.Host != p.own && u.Scheme != "about" {
				p.bad = append(p.bad, "request to elsewhere: "+e.Request.URL)
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	p.do(chromedp.Navigate("http://" + address + "/"))
	return p
}

func (p *page) do(a ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, a...); err != nil {
		p.t.Fatal(err)
	}
}

// run evaluates statements for what they do.
func (p *page) run(js string) { p.t.Helper(); p.str("(()=>{" + js + "})()") }

// str evaluates an expression to text.
func (p *page) str(expr string) string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Evaluate[string]("String("+expr+")"))
	if err != nil {
		p.t.Fatalf("%s: %v", expr, err)
	}
	return s
}

// until waits for an expression to be true; what it
// waited for is told when it is not within the time.
func (p *page) until(what, expr string, most time.Duration) {
	p.t.Helper()
	end := time.Now().Add(most)
	for {
		// What is not there yet is not so yet, nor is anything in
		// a page that is just being replaced by another.
		if so, err := chromedp.Run(p.ctx,
			chromedp.Evaluate[bool]("(()=>{try{return Boolean("+expr+")}catch{return false}})()")); err == nil && so {
			return
		} else if err != nil && p.ctx.Err() != nil {
			p.t.Fatalf("%s: %v", expr, err)
		}
		if time.Now().After(end) {
			p.shot("failed-" + strings.ReplaceAll(p.t.Name(), "/", "-"))
			p.t.Fatalf("waited %v for %s; focus %q, opening, revision %s, readings %q, toast %q, faults %q", most,
				what, p.str(`document.activeElement?.outerHTML.slice(0,120)`),
				p.str(`document.getElementById("page").dataset.revision`),
				p.str(`document.getElementById("page").dataset.readings`),
				p.str(`document.querySelector(".toast")?.textContent`), last(p.faults(), 5))
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// last gives the end of a list: the same is often said very many times.
func last(list []string, n int) []string { return list[max(0, len(list)-n):] }

func (p *page) faults() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string(nil), p.bad...)
}

// clean fails on anything the browser complained of.
func (p *page) clean(allowed ...string) {
	p.t.Helper()
next:
	for _, b := range p.faults() {
		for _, a := range allowed {
			if strings.Contains(b, a) {
				continue next
			}
		}
		p.t.Error(b)
	}
}

// shot writes a screenshot beside the other pictures of
// the run, where HALFSTOP_SCREENS names a folder.
func (p *page) shot(name string) {
	dir := os.Getenv("HALFSTOP_SCREENS")
	if dir == "" {
		return
	}
	b, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.t.Log(err)
		return
	}
	os.MkdirAll(dir, 0o755)
	if err := os.WriteFile(filepath.Join(dir, name+".png"), b, 0o644); err != nil {
		p.t.Log(err)
	}
}

// middle gives the middle of an element's box, of its drawn part named by sub where given.
func (p *page) middle(selector string) (x, y float64) {
	p.t.Helper()
	s := p.str(
		fmt.Sprintf(
			`(()=>{const e=document.querySelector(%q);if(!e)return "null";const r=e.getBoundingClientRect();return JSON.stringify([r.x+r.width/2,r.y+r.height/2])})()`, selector))
	var v []float64
	if json.Unmarshal([]byte(s), &v) != nil || len(v) != 2 {
		p.t.Fatalf("there is no %s in the page", selector)
	}
	return v[0], v[1]
}
