package e2e

import (
	"context"
	"fmt"
	"io/fs"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

// serveAs starts the demonstration with journals in a folder, so that
// another start finds what was done, and with a word before each task.
func serveAs(t *testing.T, listen, journals string, before func(string)) (string, func()) {
	t.Helper()
	o := server.Options{
		Shoot: &store.Shoot{Name: demo.Name, Src: demo.Shoot()}, Demo: true, Listen: listen, Page: server.BuiltPage(),
		Version: "test", Journals: journals, Before: before,
		Files: func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) },
	}
	var s *server.Server
	var err error
	for range 40 { // the port of the run before may take a moment to be free
		if s, err = server.New(o); err == nil {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	stop := func() { cancel(); <-done }
	t.Cleanup(stop)
	return s.Address, stop
}

// TestLostLink ends the program under an open page: the page says so and keeps what is shown; a
// change made meanwhile waits; when the program is back at the same address the word goes by
// itself, the change is made, and everything lives on.
func TestLostLink(t *testing.T) {
	t.Parallel()
	address, stop := serveAs(t, "127.0.0.1:0", "", nil)
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	p.Until("a picture", picture, 60*time.Second)
	stop()
	p.Until("the word that the link is lost",
		`document.querySelector(".lost")?.textContent.includes("Connection lost") && document.querySelector(".sv").textContent.includes("no connection")`, 15*time.Second)
	p.Shot("lost-1440x900")
	if p.Str(`document.getElementById("picture").hidden || document.querySelectorAll(".lrow").length===0`) != "false" {
		t.Error("what was known is no longer shown")
	}
	p.Act("dial-iso", `[data-by="1"]`)
	p.Until("the word that a change waits", `document.querySelector(".lost")?.textContent.includes("1 change waits")`,
		5*time.Second)
	serveAs(t, address, "", nil)
	p.Until("the link to be back by itself",
		`document.getElementById("page").dataset.link==="live" && !document.querySelector(".lost")`, 30*time.Second)
	p.Until("the change to be made",
		`document.querySelector("[data-key=undo]").title==="Undo: set ISO 500" && document.querySelector('.cam [data-arg=iso]').value==="500"`, 30*time.Second)
	p.settled()
	p.Tap("[data-key=undo]")
	p.Until("undo to work", `document.querySelector('.cam [data-arg=iso]').value==="400"`, 20*time.Second)
	p.Until("a picture of the new run", picture, 60*time.Second)
	for _, f := range p.Faults() {
		if !strings.Contains(f, "ERR_CONNECTION") && !strings.Contains(f, "ERR_INCOMPLETE") &&
			!strings.Contains(f, "ERR_EMPTY") {
			t.Error(f)
		}
	}
}

// TestFault makes the computing of a picture break: the page shows what was said and the last good
// picture, the rest lives on, and trying again gives a picture.
func TestFault(t *testing.T) {
	t.Parallel()
	var breaks atomic.Bool
	address, _ := serveAs(t, "127.0.0.1:0", "", func(task string) {
		if breaks.Load() && task == "film 0" {
			panic("made to break by a test")
		}
	})
	p := open(t, browser.Profile(t), address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	p.Until("a picture", picture, 60*time.Second)
	was := p.green("picture")
	breaks.Store(true)
	p.Act("lens", `[data-by="1"]`) // another focal length must be computed anew
	p.Until("the word on the fault",
		`document.querySelector("#fault p[role=alert]")?.textContent.includes("made to break by a test")`,
		30*time.Second)
	p.Shot("fault-1440x900")
	if now := p.green("picture"); p.Str(`document.getElementById("picture").hidden`) != "false" || now < was-2 ||
		now > was+2 {
		t.Errorf("the last good picture is gone: mean green %.1f, before %.1f", now, was)
	}
	p.settled() // readings come all the same
	breaks.Store(false)
	p.Tap("#fault [data-act=again]")
	p.Until("a picture of the longer lens",
		fmt.Sprintf(
			`!document.querySelector("#fault p") && document.getElementById("page").dataset.film && Math.abs(%f-%s)>0.5`, was, `(()=>{const c=document.createElement("canvas");c.width=24;c.height=36;const x=c.getContext("2d");x.drawImage(document.getElementById("picture"),0,0,24,36);const d=x.getImageData(0,0,24,36).data;let s=0;for(let i=1;i<d.length;i+=4)s+=d[i];return s/(d.length/4)})()`), 60*time.Second)
	p.Clean()
}
