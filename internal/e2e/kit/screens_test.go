package kit

import (
	"fmt"
	"os"
	"testing"

	"halfstop/internal/e2e/browser"
)

// TestScreens draws the screen in rooms of the zoo, at three sizes on both grounds, where
// HALFSTOP_SCREENS names a folder: they are made to be looked at.
func TestScreens(t *testing.T) {
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		t.Skip("set HALFSTOP_SCREENS to a folder to have the screens drawn")
	}
	for i, room := range []string{"bar", "office", "stage-haze"} {
		text, err := os.ReadFile("../../../zoo/" + room + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		size := [][2]int64{{1440, 900}, {1180, 820}, {390, 844}}[i]
		p := begin(t, string(text), size[0], size[1])
		look := func(name string) {
			p.Shot(fmt.Sprintf("%s-%s-%d", room, name, size[0]))
			p.Axe(room+" "+name, modules)
			if wide := p.Str(`document.getElementById("kit").scrollWidth-innerWidth`); wide > "0" && wide[0] != '-' {
				t.Errorf("%s %s: it is %s px wider than the screen", room, name, wide)
			}
			small := p.Str(`innerWidth<1240 ? [...document.querySelectorAll("#kit button,#kit select,#kit input")]` +
				`.filter(e=>e.getClientRects().length&&e.getBoundingClientRect().height<44).map(e=>e.dataset.key)` +
				`.join():""`)
			if small != "" {
				t.Errorf("%s %s: lower than 44 px: %s", room, name, small)
			}
		}
		show(p.Page)
		p.Until("the kit", rows+`.includes("heavy")`, long)
		look("things")
		if i > 0 {
			p.Run(`document.querySelector("[data-act=theme][data-arg=paper]")?.click()`)
		}
		p.Act("kitpick", `[data-arg="battery head 500"]`)
		p.Until("the head", said+`.includes("maker’s sheet")`, long)
		look("head")
		p.Act("kittab", `[data-arg=learned]`)
		p.Until("the form", `document.querySelector("#kit .gearpage")?.textContent.includes("Nothing was read yet")`, long)
		p.Fill(`[data-act=readlog]`, "f/4 + 0.7")
		p.Until("what it teaches", `document.querySelector("#kit .glev")`, long)
		look("learned")
	}
}

// show opens the Kit screen at any width.
func show(p *browser.Page) {
	p.T.Helper()
	p.Run(`document.querySelector("[data-act=pane][data-arg=kit]").click()`)
}
