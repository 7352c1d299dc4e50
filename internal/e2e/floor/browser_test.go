package floor

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"halfstop/internal/demo"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// at is the hour that the demonstration's day is played from: its first picture is under way.
var at = time.Date(2026, 2, 14, 17, 47, 18, 0, time.Local)

// desk is the program with its floor shared on loopback.
type desk struct {
	t     *testing.T
	s     *server.Server
	dir   string
	phone string // address that phones use, 'HOST:PORT'
	end   func()
}

// start runs the program on a copy of the demonstration; where dir is given, on what is there.
func start(t *testing.T, dir, listen, phones string, plain bool) *desk {
	t.Helper()
	if dir == "" {
		dir = t.TempDir()
		if err := os.CopyFS(dir, demo.FS()); err != nil {
			t.Fatal(err)
		}
	}
	sh, err := store.Read(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	o := server.Options{Shoot: sh, Listen: listen, Page: server.BuiltPage(), Version: "test",
		Journals: filepath.Join(dir, "cache"), Clock: func() time.Time { return at.Add(time.Since(began)) },
		Files: func(name string) ([]byte, error) { return fs.ReadFile(os.DirFS(dir), name) }}
	var s *server.Server
	for range 50 { // the port of the run before may take a moment to be free
		if s, err = server.New(o); err == nil {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Share(server.ShareSet{On: true, Plain: plain, Address: phones}); err != nil {
		s.Close()
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	d := &desk{t: t, s: s, dir: dir}
	_, rest, _ := strings.Cut(s.ShareState().URL, "://")
	d.phone = strings.TrimSuffix(rest, "/")
	var once sync.Once
	d.end = func() { once.Do(func() { cancel(); <-done }) }
	t.Cleanup(d.end)
	return d
}

func (d *desk) code(role string) server.CodeView {
	d.t.Helper()
	c, err := d.s.NewCode(server.CodeAsk{Role: role})
	if err != nil {
		d.t.Fatal(err)
	}
	return c
}

var one struct {
	once sync.Once
	ctx  context.Context
	err  error
	end  func()
}

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) {
	code := m.Run()
	if one.end != nil {
		one.end()
	}
	os.Exit(code)
}

// page is one phone.
type page struct {
	t   *testing.T
	ctx context.Context
	mu  sync.Mutex
	bad []string
}

// phone opens a page of a phone's size with a profile of its own. Without a browser the tests are
// skipped loudly; where CI=true that is a failure.
func phone(t *testing.T, w, h int64) *page {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("no chromium on this machine, and CI=true asks for one")
		}
		t.Skip("=== NO CHROMIUM: THE FLOOR IS NOT TESTED ===")
	}
	one.once.Do(func() {
		dir, err := os.MkdirTemp("", "halfstop-floor")
		if err != nil {
			one.err = err
			return
		}
		opts := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
		opts = append(opts, chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
			chromedp.UserDataDir(filepath.Join(dir, "profile")), chromedp.Flag("ignore-certificate-errors", true),
			chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
			chromedp.Flag("hide-scrollbars", true), chromedp.WSURLReadTimeout(60*time.Second))
		alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
		ctx, cancel := chromedp.NewContext(alloc)
		one.ctx, one.err = ctx, chromedp.Do(ctx)
		one.end = func() { cancel(); stop(); os.RemoveAll(dir) }
	})
	if one.err != nil {
		t.Fatalf("chromium did not start: %v", one.err)
	}
	browser, cancel := chromedp.NewContext(one.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(browser); err != nil {
		t.Fatal(err)
	}
	ctx, cancel2 := context.WithTimeout(browser, 3*time.Minute)
	t.Cleanup(cancel2)
	p := &page{t: t, ctx: ctx}
	p.do(chromedp.EmulateViewport(w, h), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetFocusEmulationEnabled,
			emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
	err = chromedp.Listen(ctx, func(ev any) {
		p.mu.Lock()
		defer p.mu.Unlock()
		switch e := ev.(type) {
		case *runtime.EventExceptionThrown:
			words := e.ExceptionDetails.Text
			if x := e.ExceptionDetails.Exception; x != nil {
				words += " " + x.Description
			}
			p.bad = append(p.bad, "thrown: "+words)
		case *network.EventRequestWillBeSent:
			p.bad = append(p.bad, elsewhere(e.Request.URL)...)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// elsewhere complains of a request that leaves this machine.
func elsewhere(url string) []string {
	_, rest, _ := strings.Cut(url, "://")
	host, _, _ := strings.Cut(rest, "/")
	if h, _, err := net.SplitHostPort(host); err == nil && net.ParseIP(h).IsLoopback() ||
		strings.HasPrefix(url, "data:") || strings.HasPrefix(url, "about:") {
		return nil
	}
	return []string{"request to elsewhere: " + url}
}

func (p *page) do(a ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, a...); err != nil {
		p.t.Fatal(err)
	}
}

// str evaluates an expression to text.
func (p *page) str(expr string) string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Evaluate[string]("String("+expr+")"))
	if err != nil {
		p.t.Fatalf("%s: %v", expr, err)
	}
	return s
}

// until waits for an expression to be true.
func (p *page) until(what, expr string) {
	p.t.Helper()
	end := time.Now().Add(60 * time.Second)
	for {
		if so, err := chromedp.Run(p.ctx,
			chromedp.Evaluate[bool]("(()=>{try{return Boolean("+expr+")}catch{return false}})()")); err == nil && so {
			return
		} else if err != nil && p.ctx.Err() != nil {
			p.t.Fatalf("%s: %v", expr, err)
		}
		if time.Now().After(end) {
			p.shot("failed-" + strings.ReplaceAll(p.t.Name(), "/", "-"))
			p.t.Fatalf("waited for %s; the page shows:\n%s\n%v", what, p.str(`document.body.innerText`), p.bad)
		}
		time.Sleep(40 * time.Millisecond)
	}
}

// press presses what a finger would: the middle of an element, which must be there and be large
// enough.
func (p *page) press(selector string) {
	p.t.Helper()
	p.until("a press on "+selector, fmt.Sprintf(`(()=>{const e=document.querySelector(%q);`+
		`if(!e||e.disabled)return false;`+
		`e.scrollIntoView({block:"center"});const r=e.getBoundingClientRect();`+
		`const at=document.elementFromPoint(r.x+r.width/2,r.y+r.height/2);`+
		`if(at!==e&&!e.contains(at))return false;e.click();return true})()`, selector))
}

// types puts text into a field, key by key.
func (p *page) types(selector, text string) {
	p.t.Helper()
	p.str(fmt.Sprintf(`(()=>{const e=document.querySelector(%q);e.focus();e.value="";return 1})()`, selector))
	p.do(chromedp.SendKeys(selector, text))
}

// pair pairs by the address of the square that the desk shows.
func (p *page) pair(c server.CodeView, name string) {
	p.t.Helper()
	p.do(chromedp.Navigate(c.URL))
	p.until("the form", `document.getElementById("code")?.value`)
	p.types("#name", name)
	p.press("[data-act=pair]")
	p.until("the day", `document.getElementById("page").dataset.link==="live" && document.querySelector(".li")`)
}

func (p *page) clean() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, b := range p.bad {
		p.t.Error(b)
	}
}

// shot writes a screenshot where HALFSTOP_SCREENS names a folder.
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

// post asks the desk's own API.
func post(t *testing.T, d *desk, path, body string) {
	t.Helper()
	r, err := http.Post("http://"+d.s.Address+path, "application/json", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if b, _ := io.ReadAll(r.Body); r.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d %s", path, r.StatusCode, b)
	}
}
