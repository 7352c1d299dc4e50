package e2e

import (
	"context"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"halfstop/internal/e2e/browser"
)

// TestPictureLeads measures the desk of rooms unlike each other at 1440 x 900: the picture with its
// mount has 45 % of the screen, a landscape one by itself; X changes places and back; a border that
// was dragged is there after a reload.
func TestPictureLeads(t *testing.T) {
	t.Parallel()
	b := browser.Profile(t)
	const share = `.getBoundingClientRect();return 100*r.width*r.height/innerWidth/innerHeight})()`
	for _, room := range []string{"office", "stage-haze", "stairwell", "corridor", "bar", "greenhouse"} {
		address, stop := serveText(t, string(zoo(t, room)))
		p := open(t, b, address, 1440, 900)
		p.Until("a picture", picture, 90*time.Second)
		stage := p.number(`(()=>{const r=document.getElementById("stage")` + share)
		if stage < 45 {
			t.Errorf("%s: the picture with its mount has %.1f %% of the screen", room, stage)
		}
		wide := p.Str(`document.getElementById("page").dataset.shape`) == "wide"
		only := p.number(`(()=>{const r=document.getElementById("picture")` + share)
		if wide && only < 45 {
			t.Errorf("%s: its landscape picture has %.1f %% of the screen", room, only)
		}
		t.Logf("%s: %.1f %% with its mount, %.1f %% by itself", room, stage, only)
		p.Rub()
		p.Key("x")
		p.Until("the plan where the picture was", `document.querySelector("#bigplace #plan")`, 10*time.Second)
		p.Key("x")
		p.Until("the picture back", `document.querySelector("#bigplace #picture")`, 10*time.Second)
		width := `document.getElementById("stage").getBoundingClientRect().width`
		was := p.number(width)
		x, y := p.At("#split-stage")
		p.Drag(x, y, -60, 0)
		now := p.number(width)
		if now > was-50 || now < was-70 {
			t.Errorf("%s: the border dragged by 60 px took the picture's part from %.0f to %.0f px", room, was, now)
		}
		p.Reload()
		p.Until("the rows", `document.querySelector("#lad .lrow")`, 30*time.Second)
		if again := p.number(width); again < now-1.5 || again > now+1.5 {
			t.Errorf("%s: after a reload the border is at %.0f px, not %.0f", room, again, now)
		}
		p.Clean()
		stop()
	}
}

// TestLongForm rests a finger on figures and names of a phone: the long form is said and nothing
// is pressed; every one of them has it for a pointer too.
func TestLongForm(t *testing.T) {
	t.Parallel()
	address, _ := serve(t, "127.0.0.1:0")
	p := open(t, browser.Profile(t), address, 390, 844)
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetTouchEmulationEnabled,
			emulation.SetTouchEmulationEnabledParams{Enabled: true})
		return err
	}))
	p.Until("readings", ready, 90*time.Second)
	if s := p.Str(`[...document.querySelectorAll(".lt .ro,.lt .se,.lrow:not(.fold) :is(.nm,.rd,.tn)")]` +
		`.filter(e=>!e.title).map(e=>e.className+" "+e.textContent).join("; ")`); s != "" {
		t.Errorf("without a long form: %s", s)
	}
	rest := func(selector string, long time.Duration) {
		t.Helper()
		x, y := p.At(selector)
		id := 1.0
		for _, k := range []input.DispatchTouchEventType{input.DispatchTouchEventTypeTouchStart,
			input.DispatchTouchEventTypeTouchEnd} {
			pts := []*input.TouchPoint{{X: x, Y: y, ID: &id}}
			if k == input.DispatchTouchEventTypeTouchEnd {
				pts = []*input.TouchPoint{}
			}
			p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
				_, err := cdp.Call(ctx, t, input.DispatchTouchEvent,
					input.DispatchTouchEventParams{Type: k, TouchPoints: pts})
				return err
			}))
			time.Sleep(long)
		}
	}
	p.Act("phone", "[data-arg=ladder]")
	const chosen = `document.querySelector(".lrow.sel .nm")?.textContent`
	name := p.Str(`document.querySelector("#lad .lrow:not(.sel):not(.fold) .nm").dataset.key`)
	other, was := `[data-key="`+name+`"]`, p.Str(chosen)
	rest(other, 900*time.Millisecond)
	p.Until("the row in words", `/./.test(document.querySelector(".toast span")?.textContent)`,
		5*time.Second)
	if s := p.Str(chosen); s != was {
		t.Errorf("a finger that rested selected %s", s)
	}
	rest(other, 90*time.Millisecond)
	p.Until("the row that was tapped", `document.querySelector(".lrow.sel .nm").dataset.key===`+strconv.Quote(name),
		10*time.Second)
	p.Act("phone", "[data-arg=lights]")
	rest(".lt input.se", 900*time.Millisecond)
	p.Until("the setting in words", `/stops below full/.test(document.querySelector(".toast span")?.textContent)`,
		5*time.Second)
	p.Clean()
}
