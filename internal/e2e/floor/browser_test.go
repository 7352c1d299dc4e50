package floor

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
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

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) { os.Exit(browser.Main(m, nil)) }

// page is one phone.
type page struct{ *browser.Page }

// phone opens a page of a phone's size with a profile of its own.
func phone(t *testing.T, w, h int64) *page {
	t.Helper()
	return &page{browser.Open(t, browser.Profile(t), w, h, "", 8*time.Minute)}
}

// until waits for an expression to be true.
func (p *page) until(what, expr string) {
	p.T.Helper()
	p.Until(what, expr, 3*time.Minute) // only what never comes takes that long
}

// press presses an element as a finger does, once it is there and may be pressed.
func (p *page) press(selector string) {
	p.T.Helper()
	p.until("a press on "+selector, fmt.Sprintf(`(e=>e&&!e.disabled)(document.querySelector(%q))`, selector))
	p.Tap(selector)
}

// pressAt presses a place of an element, shares of its width and height that an expression gives,
// with the browser's own pointer, as long as a hand does.
func (p *page) pressAt(selector, share string) {
	p.T.Helper()
	at := p.Str(fmt.Sprintf(`(()=>{const e=document.querySelector(%q);e.scrollIntoView({block:"center"});`+
		`const r=e.getBoundingClientRect(),s=%s;return (r.x+s[0]*r.width)+" "+(r.y+s[1]*r.height)})()`, selector, share))
	var x, y float64
	if _, err := fmt.Sscan(strings.Trim(at, `"`), &x, &y); err != nil {
		p.T.Fatal(at, err)
	}
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft,
		chromedp.ClickCount(1)))
	time.Sleep(120 * time.Millisecond)
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x, y, chromedp.ButtonLeft,
		chromedp.ClickCount(1)))
}

// types puts text into a field, key by key.
func (p *page) types(selector, text string) {
	p.T.Helper()
	p.Str(fmt.Sprintf(`(()=>{const e=document.querySelector(%q);e.focus();e.value="";return 1})()`, selector))
	p.Do(chromedp.SendKeys(selector, text))
}

// pair pairs by the address of the square that the desk shows.
func (p *page) pair(c server.CodeView, name string) {
	p.T.Helper()
	p.Do(chromedp.Navigate(c.URL))
	p.until("the form", `document.getElementById("code")?.value`)
	p.types("#name", name)
	p.press("[data-act=pair]")
	p.until("the day", `document.getElementById("page").dataset.link==="live" && document.querySelector(".li")`)
}

// clean fails on what the browser complained of, but for requests without an answer (the tests cut
// links and are refused) and for the phone's buzz, which asks for a real finger.
func (p *page) clean() {
	p.T.Helper()
	p.Clean("log: Failed to load resource", "net::ERR_", "navigator.vibrate")
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
