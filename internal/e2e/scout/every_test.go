package scout

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestEveryControl presses every control of the four parts at three sizes: none breaks the page,
// and what each wrote is taken back by undo until the file is as it was.
func TestEveryControl(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int64{{1440, 900}, {820, 1180}, {390, 844}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			p, file := open(t, size[0], size[1])
			was, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			all := 0
			walk := func(part string, last ...string) {
				t.Helper()
				pressed := p.PressAll("scout", `document.getElementById("page").dataset.busy===""`, last, []string{"scpart"})
				t.Logf("%s: %s", part, strings.Join(pressed, "; "))
				all += len(pressed)
			}
			bring(p)
			p.Act("sctool-card", "")
			press(p, 25, 50)
			p.Until("the card", `document.querySelector("[data-key=card]")`, long)
			press(p, 75, 50)
			p.Until("the wall", `document.querySelector("[data-key=spot0] .scfig")`, long)
			walk("photographs", "scun", "scnocard", "scdrop")
			p.Act("scpart", `[data-arg=scan]`)
			scan := filepath.Join(t.TempDir(), "flat.obj")
			if err := os.WriteFile(scan, flat(1), 0o644); err != nil {
				t.Fatal(err)
			}
			p.Drop("[data-key=scscanempty]", scan)
			p.Until("the scan", `document.querySelector("#scanplan")`, long)
			walk("scan", "scankeep", "scanwrite", "scandrop")
			p.Act("scpart", `[data-arg=walk]`)
			p.Fill(`[data-key="walklen-0"]`, "3")
			walk("walk", "walkwrite", "walkdrop", "walkagain")
			p.Act("scpart", `[data-arg=assumed]`)
			walk("assumed")
			if all < 25 {
				t.Errorf("only %d controls were pressed", all)
			}
			for range 40 {
				if p.Str(`document.querySelector("[data-key=undo],[data-key=nundo]")?.disabled??true`) == "true" {
					break
				}
				p.Run(`document.querySelector("[data-key=undo],[data-key=nundo]").click()`)
				p.Until("the undo", `document.getElementById("page").dataset.busy===""`, long)
			}
			saved(p, file, string(was), true)
			p.Clean("422", "409")
		})
	}
}
