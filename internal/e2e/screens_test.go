package e2e

import (
	"os"
	"testing"
	"time"
)

// TestScreens writes a picture of each screen where HALFSTOP_SCREENS names a folder: they are made to be looked at.
func TestScreens(t *testing.T) {
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		t.Skip("set HALFSTOP_SCREENS to a folder to have the screens drawn")
	}
	address, _ := serve(t, "127.0.0.1:0")
	b := browse(t)
	p := open(t, b, address, 1440, 900)
	p.until("readings", `document.getElementById("page").dataset.readings`, 40*time.Second)
	p.until("a picture", `Number(document.getElementById("page").dataset.film)>=1`, 60*time.Second)
	time.Sleep(8 * time.Second)
	p.shot("desk-1440x900")
	p.run(`document.querySelector('[data-act=theme][data-arg=paper]').click()`)
	time.Sleep(time.Second)
	p.shot("desk-paper-1440x900")
	p.run(`document.querySelector('[data-act=theme][data-arg=booth]').click();document.querySelector('[data-act=frame][data-arg=stops]').click();document.querySelector('.lr [data-act=light]').click()`)
	time.Sleep(time.Second)
	p.shot("desk-stops-1440x900")
	p.run(`document.querySelector('[data-act=pane][data-arg=text]').click()`)
	time.Sleep(time.Second)
	p.shot("text-1440x900")
	p.run(`document.querySelector('[data-act=pane][data-arg=checks]').click()`)
	time.Sleep(time.Second)
	p.shot("checks-1440x900")
	p.run(`document.querySelector('[data-act=pane][data-arg=desk]').click();document.querySelector('[data-act=help]').click()`)
	time.Sleep(500 * time.Millisecond)
	p.shot("keys-1440x900")
	p.run(`document.querySelector('.bar [data-act=help]').click();document.querySelector('[data-act=pane][data-arg=edit]').click()`)
	time.Sleep(time.Second)
	p.shot("edit-1440x900")
	p.run(`document.querySelector('#ednav [data-path=setups]').click()`)
	p.click(`#ednav [data-path="setups[0]"]`)
	p.click(`#ednav [data-path="setups[0].lights"]`)
	p.click(`.rows [data-path="setups[0].lights[1]"]`)
	p.click(`[data-act=pick]`)
	time.Sleep(time.Second)
	p.shot("colour-1440x900")
	p.click(`[data-act=unpick]`)
	tab := open(t, b, address, 1180, 820)
	tab.until("readings", `document.getElementById("page").dataset.readings`, 40*time.Second)
	time.Sleep(6 * time.Second)
	tab.shot("desk-1180x820")
	tab.run(`document.querySelector('[data-act=side][data-arg=plan]').click()`)
	time.Sleep(500 * time.Millisecond)
	tab.shot("plan-1180x820")
	tab.run(`document.querySelector('[data-act=pane][data-arg=edit]').click()`)
	time.Sleep(time.Second)
	tab.shot("edit-1180x820")
	ph := open(t, b, address, 390, 844)
	ph.until("readings", `document.getElementById("page").dataset.readings`, 40*time.Second)
	time.Sleep(6 * time.Second)
	for _, part := range []string{"frame", "ladder", "plan", "lights"} {
		ph.run(`document.querySelector('[data-act=phone][data-arg=` + part + `]').click()`)
		time.Sleep(500 * time.Millisecond)
		ph.shot(part + "-390x844")
	}
	ph.run(`document.querySelector('[data-act=pane][data-arg=edit]').click()`)
	time.Sleep(time.Second)
	ph.shot("edit-390x844")
}
