package scout

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// TestScreens draws the four parts of the screen in rooms of the zoo, at three sizes on both
// grounds, where HALFSTOP_SCREENS names a folder: they are made to be looked at.
func TestScreens(t *testing.T) {
	if os.Getenv("HALFSTOP_SCREENS") == "" {
		t.Skip("set HALFSTOP_SCREENS to a folder to have the screens drawn")
	}
	scan := filepath.Join(t.TempDir(), "flat.obj")
	if err := os.WriteFile(scan, flat(100), 0o644); err != nil {
		t.Fatal(err)
	}
	for i, room := range []string{"greenhouse", "tiles", "office"} {
		text, err := os.ReadFile("../../../zoo/" + room + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		size := [][2]int64{{1440, 900}, {820, 1180}, {390, 844}}[i]
		p, _ := begin(t, string(text), size[0], size[1])
		look := func(name string) {
			p.T.Helper()
			p.Everywhere(room+"-"+name, "scout", modules, size[0], size[1])
		}
		bring(p)
		press(p, 75, 50)
		p.Until("the measured wall", `document.querySelector("[data-key=spot0] .scfig")`, long)
		look("photo")
		p.Act("scpart", `[data-arg=scan]`)
		p.Drop("[data-key=scscanempty]", scan)
		p.Until("the scan", `document.querySelector("#scanplan")`, long)
		look("scan")
		p.Act("scpart", `[data-arg=walk]`)
		p.Until("the walk", `document.querySelector("[data-key=walk]")`, long)
		p.Tap(`[data-key="walklen-0"]`)
		for _, s := range []string{"6.02 l", "4.5", "6"} {
			p.Write(s)
			p.Key(kb.Enter)
		}
		p.Until("three walls", `document.querySelector(".walkdraw")`, long)
		look("walk")
		p.Act("scpart", `[data-arg=assumed]`)
		p.Until("what is assumed", `document.querySelector("[data-key=assumed]")`, long)
		look("assumed")
		p.Clean()
	}
}
