package kit

import (
	"os"
	"testing"
	"time"

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
			p.T.Helper()
			p.Everywhere(room+"-"+name, "kit", modules, size[0], size[1])
		}
		show(p.Page)
		p.Until("the kit", rows+`.includes("heavy")`, long)
		look("things")
		p.Act("kitpick", `[data-arg="battery head 500"]`)
		p.Until("the head", said+`.includes("maker’s sheet")`, long)
		look("head")
		p.Act("kittab", `[data-arg=learned]`)
		p.Until("the form", `document.querySelector("#kit .gearpage")?.textContent.includes("Nothing was read yet")`, long)
		began := time.Now()
		p.Fill(`[data-act=readlog]`, "f/4 + 0.7")
		p.Until("what it teaches", `document.querySelector("#kit .glev")`, long)
		t.Logf("%s: from the reading to what it teaches %.1f s", room, time.Since(began).Seconds())
		look("learned")
	}
}

// show opens the Kit screen at any width.
func show(p *browser.Page) {
	p.T.Helper()
	p.Run(`document.querySelector("[data-act=pane][data-arg=kit]").click()`)
}
