package e2e

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
)

// software opens a browser of its own whose page may use a graphics processor that is computed on
// the processor.
func software(t *testing.T) context.Context {
	t.Helper()
	ctx, stop, err := browser.Start(browser.Path(t), t.TempDir(), chromedp.Flag("enable-unsafe-webgpu", true),
		chromedp.Flag("use-webgpu-adapter", "swiftshader"), chromedp.Flag("disable-gpu-watchdog", true))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stop)
	return ctx
}

// layerMeans reads the program's picture until a pass of so many samples and gives each layer's
// mean luminance.
func layerMeans(t *testing.T, address string, setup, samples int) []float64 {
	t.Helper()
	res, err := http.Get(fmt.Sprintf("http://%s/api/setup/%d/layers?w=300&samples=%d", address, setup, samples))
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	in := bufio.NewReader(res.Body)
	var means []float64
	for {
		line, err := in.ReadBytes('\n')
		if err == io.EOF {
			return means
		}
		var head server.LayersHead
		if err != nil || json.Unmarshal(line, &head) != nil {
			t.Fatalf("%v: %s", err, line)
		}
		means = means[:0]
		for _, l := range head.Layers {
			means = append(means, l.Mean[1]*l.Scale)
		}
		if _, err := in.Discard(head.Bytes); err != nil {
			t.Fatal(err)
		}
	}
}

// TestLivePicture: the page's own tracer gives every layer the light that the program's gives it.
// In CI on the software adapter in one room; with HALFSTOP_LONG=1 in more. A layer's mean is held
// to 4 standard errors, as its two halves tell them, and 5 %: the cells of both sides stray by 2
// to 3 % of each other.
func TestLivePicture(t *testing.T) {
	t.Parallel()
	rooms := []string{"corridor"}
	if os.Getenv("HALFSTOP_LONG") != "" {
		rooms = append(rooms, "tiles", "bar", "office", "stairwell", "street-window", "stage-haze",
			"backdrop", "roof-bounce", "cove")
	}
	rooms = append(rooms, "corridor half") // as a slow processor has it: half as many windows of the spectrum
	browser := software(t)
	for _, room := range rooms {
		how := "check"
		if r, ok := strings.CutSuffix(room, " half"); ok {
			room, how = r, "half"
		}
		text, err := os.ReadFile("../../zoo/" + room + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		address, _ := serveText(t, string(text))
		p := open(t, browser, address, 1440, 900)
		p.Do(chromedp.Navigate("http://" + address + "/?live=" + how))
		p.Until("the page to have traced it",
			`["millis","why"].some((k)=>document.getElementById("livepic").dataset[k])`, 200*time.Second)
		if why := p.Str(`document.getElementById("livepic").dataset.why`); why != "undefined" && why != "" {
			t.Errorf("%s: no live picture: %s: %s; halves %s", room, why,
				p.Str(`document.getElementById("livepic").dataset.truth`),
				p.Str(`document.getElementById("livepic").dataset.check`))
			continue
		}
		var halves [][]float64
		if err := json.Unmarshal([]byte(p.Str(`document.getElementById("livepic").dataset.check`)),
			&halves); err != nil {
			t.Fatal(err)
		}
		want := layerMeans(t, address, 0, 16)
		if len(want) != len(halves) {
			t.Fatalf("%s: %d layers here, %d there", room, len(halves), len(want))
		}
		held := 0
		var told []string
		for l, h := range halves {
			if len(h) != 2 || want[l] == 0 {
				continue // a light that the page has no code for, or that does not reach the frame
			}
			mean, se := (h[0]+h[1])/2, math.Abs(h[0]-h[1])/2
			told = append(told, fmt.Sprintf("%.3f ± %.3f", mean/want[l], se/want[l]))
			if math.Abs(mean-want[l]) > 4*se+0.05*want[l] {
				t.Errorf("%s: layer %d is %.3f ± %.3f of the program's", room, l, mean/want[l], se/want[l])
			}
			held++
		}
		t.Logf("%s: %s", room, strings.Join(told, ", "))
		if held == 0 {
			t.Errorf("%s: no layer was traced", room)
		}
		if p.Str(`document.getElementById("livepic").dataset.truth`) == "" {
			t.Errorf("%s: not held against the program's picture before its use", room)
		}
		if how == "check" {
			p.livesWith("sitter")
		}
		p.Clean("WebGPU", "swiftshader", "SwiftShader")
	}
}

// livesWith drags a thing on the plan: while the hand holds it, the page traces it where it is.
func (p *page) livesWith(what string) {
	p.T.Helper()
	x, y, ok := p.grip(what)
	if !ok {
		p.T.Errorf("no %s can be taken hold of", what)
		return
	}
	was := p.Str(`document.getElementById("page").dataset.readings.split(" ")[0]`)
	p.Mouse(input.DispatchMouseEventTypeMousePressed, x, y)
	for i := range 6 {
		time.Sleep(120 * time.Millisecond)
		p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+4*float64(i+1), y+2*float64(i+1),
			chromedp.ButtonLeft))
	}
	p.Until("the "+what+" traced where the hand has it",
		`(c=>!c.hidden&&Number(c.dataset.revision)>`+was+`)(document.getElementById("livepic"))`, 60*time.Second)
	p.Mouse(input.DispatchMouseEventTypeMouseReleased, x+24, y+12)
	p.Until("the program's picture in its place", `document.getElementById("livepic").hidden`, 120*time.Second)
	if why := p.Str(`document.getElementById("livepic").dataset.why`); why != "undefined" && why != "" {
		p.T.Errorf("%s dragged: no live picture any more: %s", what, why)
	}
}
