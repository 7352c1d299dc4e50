package e2e

import (
	"bytes"
	"cmp"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"halfstop/internal/demo"
	"halfstop/internal/e2e/browser"
)

// program is the real binary on a shoot of its own, to be killed and started again.
type program struct {
	t       *testing.T
	binary  string
	dir     string
	address string
	opens   string // other than its file
	cmd     *exec.Cmd
}

// built builds the program once for all tests; the file goes with the browser's folder.
var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "halfstop-e2e-program")
	if err != nil {
		return "", err
	}
	leftover = append(leftover, dir)
	path := filepath.Join(dir, "halfstop-under-test")
	if out, err := exec.Command("go", "build", "-o", path, "halfstop/cmd/halfstop").CombinedOutput(); err != nil {
		return "", fmt.Errorf("%v\n%s", err, out)
	}
	return path, nil
})

func newProgram(t *testing.T) *program {
	t.Helper()
	p := &program{t: t, dir: t.TempDir()}
	binary, err := built()
	if err != nil {
		t.Fatal(err)
	}
	p.binary = binary
	if err := os.WriteFile(p.file(), demo.Shoot(), 0o644); err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p.address = l.Addr().String()
	l.Close()
	t.Cleanup(p.kill)
	return p
}

func (p *program) file() string { return filepath.Join(p.dir, "shoot.yaml") }

func (p *program) start() {
	p.t.Helper()
	p.cmd = exec.Command(p.binary, "open", cmp.Or(p.opens, p.file()), "--no-browser", "--listen", p.address)
	p.cmd.Env = append(os.Environ(), "HOME="+p.dir, "XDG_CACHE_HOME="+filepath.Join(p.dir, "cache"))
	if err := p.cmd.Start(); err != nil {
		p.t.Fatal(err)
	}
	for range 200 {
		if c, err := net.Dial("tcp", p.address); err == nil {
			c.Close()
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.t.Fatal("the program does not answer")
}

// kill ends it without a word, as a crash or an empty battery does.
func (p *program) kill() {
	if p.cmd != nil && p.cmd.Process != nil {
		_ = p.cmd.Process.Kill()
		_, _ = p.cmd.Process.Wait()
		p.cmd = nil
	}
}

func (p *program) disk() string {
	b, err := os.ReadFile(p.file())
	if err != nil {
		p.t.Fatal(err)
	}
	return string(b)
}

// TestKilledMidEdit kills the program with a change taken, and makes more changes and types while
// it is away: when it is back everything is there, once, and the file was never half written.
func TestKilledMidEdit(t *testing.T) {
	t.Parallel()
	browser.Path(t)
	s := newProgram(t)
	s.start()
	p := open(t, browser.Profile(t), s.address, 1440, 900)
	p.Until("readings", ready, 60*time.Second)
	p.Act("pane", "[data-arg=edit]")
	p.enter("fd-room.ceiling", "3.05 m")
	p.undoSays("set ceiling of room")
	s.kill() // within the quarter second before it is saved, or after: both must do
	p.Until("the page to say that the link is lost",
		`document.querySelector(".lost")?.textContent.includes("Connection lost")`, 15*time.Second)
	p.enter("fd-room.skirting", "0.15 m")
	p.click(`[data-act=edadd][data-path="room.windows"]`) // an addition: sent twice it would be there twice
	p.click(`[data-act=edbeside][data-arg=text]`)
	p.Run(`const a=document.getElementById("text");if(a.value){a.value=a.value.replace("Launderette at dusk","Typed in the dark");a.dispatchEvent(new Event("input",{bubbles:true}))}`)
	p.Until("what waits to be kept on the device", `JSON.stringify({...localStorage}).includes("room.windows")`,
		15*time.Second)
	if disk := s.disk(); !bytes.Equal([]byte(disk), demo.Shoot()) && !strings.Contains(disk, "ceiling: 3.05 m") {
		t.Errorf("the file is neither what it was nor what was changed:\n%s", disk)
	}
	s.start()
	p.Until("the page to heal",
		`!document.querySelector(".lost") && document.getElementById("page").dataset.link==="live"`, 30*time.Second)
	for _, what := range []string{"ceiling: 3.05 m", "skirting: 0.15 m", "{name: window, wall: 1,"} {
		p.written(what)
	}
	if n := strings.Count(p.says(), "name: window,"); n != 1 {
		t.Errorf("the added window is there %d times", n)
	}
	p.Until("nothing waits on the device",
		`!Object.keys(localStorage).some(k=>k.startsWith("unsent"))`, 10*time.Second)
	end := time.Now().Add(browser.Patience * 10 * time.Second)
	for !strings.Contains(s.disk(), "skirting: 0.15 m") {
		if time.Now().After(end) {
			t.Fatalf("the file does not come to hold it:\n%s", s.disk())
		}
		time.Sleep(50 * time.Millisecond)
	}
	// What is still to be saved would come over the other editor's file.
	p.Until("it says saved", `document.querySelector(".sv").textContent.startsWith("saved")`, 15*time.Second)
	// Another editor changes the file while a field's change is under way: both are there.
	theirs := strings.Replace(s.disk(), "title: Launderette at dusk", "title: From elsewhere", 1)
	if err := os.WriteFile(s.file(), []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	p.enter("fd-room.windows[1].width", "1.35 m")
	p.written("title: From elsewhere")
	p.written("width: 1.35 m")
	p.Clean("net::ERR_", "Failed to load resource")
}

// TestTypedWhileAway types into the text while the program is away,
// closes the page, and finds the typing when both are back.
func TestTypedWhileAway(t *testing.T) {
	t.Parallel()
	long(t)
	browser.Path(t)
	s := newProgram(t)
	s.start()
	b := browser.Profile(t)
	p := open(t, b, s.address, 1180, 820)
	p.Until("readings", ready, 60*time.Second)
	p.click(`[data-act=pane][data-arg=text]`)
	p.Until("the text", `document.getElementById("text").value.includes("halfstop: 1")`, 10*time.Second)
	s.kill()
	for _, word := range []string{"T", "Ty", "Typed in the dark"} {
		p.Run(fmt.Sprintf(
			`const a=document.getElementById("text");a.value=a.value.replace(/title: .*/,"title: %s");a.dispatchEvent(new Event("input",{bubbles:true}))`, word))
		time.Sleep(60 * time.Millisecond)
	}
	p.Until("it is kept on the device", `JSON.stringify({...localStorage}).includes("Typed in the dark")`, 10*time.Second)
	s.start()
	// A page of its own comes first, with what the other kept.
	again := open(t, b, s.address, 1180, 820)
	again.written("title: Typed in the dark")
	p.Until("this page knows that it was taken",
		`!Object.keys(localStorage).some(k=>k.startsWith("unsent"))`, 15*time.Second)
	if n := strings.Count(again.says(), "Typed in the dark"); n != 1 {
		t.Errorf("it is there %d times", n)
	}
	p.Clean("net::ERR_", "Failed to load resource")
}
