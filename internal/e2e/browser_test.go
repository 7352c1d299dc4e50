package e2e

import (
	"context"
	"io/fs"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// serve starts the demonstration and returns its address.
func serve(t *testing.T, listen string) (string, func()) {
	t.Helper()
	return serveOptions(t, server.Options{
		Shoot: &store.Shoot{Name: demo.Name, Src: demo.Shoot()}, Demo: true, Listen: listen,
		Files: func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) },
	})
}

// page is one open page of the workbench.
type page struct{ *browser.Page }

// leftover are folders that all tests share.
var leftover []string

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) { os.Exit(browser.Main(m, &leftover)) }

// open opens the page at a size in a tab of its own.
func open(t *testing.T, profile context.Context, address string, w, h int64) *page {
	t.Helper()
	most := 9 * time.Minute
	if whole || os.Getenv("HALFSTOP_LONG") != "" {
		most = 30 * time.Minute
	}
	return openFor(t, profile, address, w, h, most)
}

// openFor opens the page for no longer than most.
func openFor(t *testing.T, profile context.Context, address string, w, h int64, most time.Duration) *page {
	t.Helper()
	host, _, _ := strings.Cut(address, "/")
	p := &page{browser.Open(t, profile, w, h, host, most)}
	p.State = `JSON.stringify({focus:document.activeElement?.outerHTML.slice(0,120),` +
		`...document.getElementById("page").dataset,toast:document.querySelector(".toast")?.textContent})`
	p.Do(chromedp.Navigate("http://" + address + "/"))
	return p
}
