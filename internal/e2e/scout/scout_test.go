package scout

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfstop/internal/e2e/browser"
	"halfstop/internal/server"
	"halfstop/internal/store"
	"halfstop/picture"
	"halfstop/scout"
	"halfstop/spectrum"
)

// high is the camera's height, 1.5 m, to the hundredth of a metre that a press leaves.
var high = regexp.MustCompile(`1\.(4[89]|5[01]) m high`)

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) { os.Exit(browser.Main(m, nil)) }

// shop is a room whose walls nobody stated.
const shop = `halfstop: 1
shoot: {title: Shop}
room:
  size: [5, 4, 2.7]
  practicals:
    - {name: sign, emitter: {shape: rectangle, size: [1 m, 0.4 m], luminance: 90 cd/m2}, at: [2.5, 3.95, 2.2],
       aim: [2.5, 0, 2.2], colour: 3000 K}
setups:
  - name: Counter
    camera: {at: [2.5, 1.0], height: 1.4, aim: [2.5, 4, 1.4], lens: 35 mm, aperture: f/2.8, shutter: 1/60 s, iso: 800}
    points: [{name: middle, at: [2.5, 2, 1.2], facing: up}]
`

// photograph is a wall, a card and a patch twice as bright as the card, f/2.8, 1/60 s, ISO 800,
// 24 mm, as a camera's standard tones show them.
func photograph(t *testing.T) []byte { return enlarged(t, 1) }

// enlarged is the photograph with so many times the pixels a side.
func enlarged(t *testing.T, by int) []byte {
	t.Helper()
	w, h := 600*by, 400*by
	grey := func(scene float64) color.Gray {
		return color.Gray{Y: uint8(math.Round(255 * spectrum.Encode(picture.Standard(0).Tone(scene))))}
	}
	m := image.NewGray(image.Rect(0, 0, w, h))
	wall, card, patch := grey(0.1), grey(0.18), grey(0.36)
	for i := range m.Pix {
		c := wall
		switch x, y := i%w/by, i/w/by; {
		case x > 100 && x < 200 && y > 150 && y < 250:
			c = card
		case x > 400 && x < 500 && y > 150 && y < 250:
			c = patch
		}
		m.Pix[i] = c.Y
	}
	var pic, b bytes.Buffer
	if err := jpeg.Encode(&pic, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) } // EXIF 2.3
	b.WriteString("Exif\x00\x00II*\x00")
	put(uint32(8))
	put(uint16(1))
	put([]uint16{0x8769, 4, 1, 0})
	put([]uint32{26, 0})
	put(uint16(4)) // at 26, ends at 26+2+48+4 = 80
	put([]uint16{0x829A, 5, 1, 0})
	put(uint32(80))
	put([]uint16{0x829D, 5, 1, 0})
	put(uint32(88))
	put([]uint16{0x8827, 3, 1, 0, 800, 0, 0xA405, 3, 1, 0, 24, 0})
	put([]uint32{0, 1, 60, 28, 10})
	seg := append([]byte{0xFF, 0xE1, byte((b.Len() + 2) >> 8), byte(b.Len() + 2)}, b.Bytes()...)
	return append(append(append([]byte{}, pic.Bytes()[:2]...), seg...), pic.Bytes()[2:]...)
}

// modules is where axe-core is, seen from here.
const modules = "../../../web/node_modules"

// long is how long is waited for what is computed; only what never comes takes that long.
const long = time.Minute

// open serves the shop, and gives its page with the Scout screen open and the shoot's file.
func open(t *testing.T, w, h int64) (p *browser.Page, shoot string) {
	t.Helper()
	return begin(t, shop, w, h)
}

// begin serves a text as a shoot, and gives its page with the Scout screen open and its file.
func begin(t *testing.T, text string, w, h int64) (p *browser.Page, shoot string) {
	t.Helper()
	dir := t.TempDir()
	shoot = filepath.Join(dir, "shoot.yaml")
	if err := os.WriteFile(shoot, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	sh, err := store.Read(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := server.New(server.Options{Shoot: sh, Listen: "127.0.0.1:0", Page: server.BuiltPage(), Version: "test",
		Files:    func(name string) ([]byte, error) { return sh.ReadFile(name, 1<<28) }, // as open does
		Journals: t.TempDir(), Cache: t.TempDir(), Samples: 4, Fine: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); s.Serve(ctx) }()
	t.Cleanup(func() { cancel(); <-done })
	p = browser.Open(t, browser.Profile(t), w, h, s.Address, 8*time.Minute)
	p.Do(chromedp.Navigate("http://" + s.Address + "/"))
	p.Until("the desk", `document.getElementById("page").dataset.readings`, long)
	if w < 700 {
		p.Choose(`[data-key=npane]`, "scout")
	} else {
		p.Act("pane", `[data-arg=scout]`)
	}
	p.Until("the Scout screen", `document.querySelector("#scout .schead")`, long)
	return p, shoot
}

// press presses a place of the photograph, per cent from its top left.
func press(p *browser.Page, x, y float64) {
	p.T.Helper()
	var at [4]float64
	js := `(()=>{const r=document.querySelector("#scpic image").getBoundingClientRect();` +
		`return [r.x,r.y,r.width,r.height].join(" ")})()`
	if _, err := fmt.Sscan(p.Str(js), &at[0], &at[1], &at[2], &at[3]); err != nil {
		p.T.Fatal(err)
	}
	p.PressAt(at[0]+at[2]*x/100, at[1]+at[3]*y/100)
}

// bring chooses the photograph.
func bring(p *browser.Page) {
	p.T.Helper()
	pic := photograph(p.T)
	path := filepath.Join(p.T.TempDir(), "wall.jpg")
	if err := os.WriteFile(path, pic, 0o644); err != nil {
		p.T.Fatal(err)
	}
	p.Drop("[data-key=scempty]", path)
	p.Until("the photograph", `document.querySelector("#scpic image") && !document.querySelector("[data-key=scsay]")`+
		`.textContent`, long)
}

// saved waits until the file on disk holds a text, or does not any more.
func saved(p *browser.Page, file, text string, holds bool) {
	p.T.Helper()
	for end := time.Now().Add(browser.Patience * long); ; time.Sleep(50 * time.Millisecond) {
		b, err := os.ReadFile(file)
		if err == nil && strings.Contains(string(b), text) == holds {
			return
		}
		if time.Now().After(end) {
			p.T.Fatalf("waited for %q in the shoot file (%t):\n%s", text, holds, b)
		}
	}
}

// TestPhotograph: a card and a wall are pressed in a photograph; the screen says what the room
// scout says of the same places; the wall is put in by one step of undo; four corners, one named
// from the list and three on the plan, find the camera, lay the photograph under the frame and
// stand the setup's camera there. The corners are where 24 mm sees them from 2.5, 0.4, 1.5 m.
func TestPhotograph(t *testing.T) {
	p, file := open(t, 1440, 900)
	bring(p)
	p.Act("sctool-card", "")
	press(p, 25, 50)
	p.Until("the card in the photograph", `document.querySelector("[data-key=card]")`, long)
	press(p, 75, 50)
	p.Until("the measured wall", `/reflected/.test(document.querySelector("[data-key=spot0]").textContent)`, long)
	ph, err := scout.Open(photograph(t))
	if err != nil {
		t.Fatal(err)
	}
	want, err := scout.Read(ph, scout.Ask{Card: &scout.Card{X: 25, Y: 50, Known: 0.18},
		Spots: []scout.Spot{{X: 75, Y: 50}}})
	if err != nil {
		t.Fatal(err)
	}
	said := p.Str(`document.querySelector("[data-key=spot0]").textContent`)
	for _, w := range []string{fmt.Sprintf("%.3g cd/m²", *want.Spots[0].Luminance), want.Spots[0].Colour,
		fmt.Sprintf("%.0f %%", 100**want.Spots[0].Reflectance)} {
		if !strings.Contains(said, w) {
			t.Errorf("the screen does not say %q: %s", w, said)
		}
	}
	p.Choose(`[data-key=sct0]`, "wall 3")
	p.Act("scput", "")
	saved(p, file, "wall 3: {diffuse: '"+want.Spots[0].Colour+"'}", true)
	p.Axe("spots", modules)
	p.Shot("spots-1440x900")
	p.Tap("[data-key=undo]")
	saved(p, file, "diffuse", false)
	p.Until("that it may be put in again", `document.querySelector("[data-key=scput0]").textContent==="put in again"`,
		long)
	p.Act("scput", "")
	saved(p, file, "wall 3: {diffuse: '"+want.Spots[0].Colour+"'}", true)
	p.Tap("[data-key=undo]")
	saved(p, file, "diffuse", false)

	// What was pressed is there after the page is loaded anew, with its name and its figures.
	p.Do(chromedp.Reload())
	p.Until("the spot after loading anew", `document.querySelector("[data-key=sct0]").value==="wall 3"&&`+
		`document.querySelector("[data-key=card]")&&document.querySelector("[data-key=spot0]").textContent.includes(`+
		fmt.Sprintf("%q)", fmt.Sprintf("%.3g cd/m²", *want.Spots[0].Luminance)), long)

	p.Act("sctool-corner", "")
	for i, c := range []struct {
		x, y  float64
		place string
	}{{96.3, 91.67, "corner 3, floor"}, {96.3, 16.67, "corner 3, ceiling"}, {3.7, 91.67, "corner 4, floor"},
		{3.7, 16.67, "corner 4, ceiling"}} {
		press(p, c.x, c.y)
		p.Until("the corner", fmt.Sprintf(`document.querySelector("[data-key=corner%d]")`, i), long)
		if i == 0 {
			p.Choose(`[data-key=scplace0]`, c.place)
		} else {
			p.Tap(fmt.Sprintf(`[data-act=scname][data-arg=%q]`, c.place))
		}
		p.Until("its name", fmt.Sprintf(`document.querySelector("[data-key=scplace%d]").value===%q`, i,
			c.place), long)
	}
	p.Until("the photograph under the frame", `[...document.querySelectorAll("#scunder img")]`+
		`.filter(e=>e.naturalWidth>0).length===2`, long)
	if said := p.Str(`document.querySelector("[data-key=scstation]").textContent`); !high.MatchString(said) {
		t.Errorf("the camera: %s", said)
	}
	p.Axe("station", modules)
	p.Shot("station-1440x900")
	p.Act("scstand", "")
	saved(p, file, "lens: 24", true)
	p.Tap("[data-key=undo]")
	saved(p, file, "lens: 24", false)
	p.Clean()
}

// TestWalk: a room is walked by the keyboard alone; its error of 2 cm is said and spread, and it is
// written over the room that stands there; what is assumed of it is listed.
func TestWalk(t *testing.T) {
	p, file := open(t, 390, 844)
	p.Act("scpart", `[data-arg=assumed]`)
	p.Until("what is assumed", `/reflectance assumed/.test(document.querySelector(".scassumed tbody")?.textContent)`, long)
	p.Axe("assumed", modules)
	p.Shot("assumed-390x844")
	p.Act("scpart", `[data-arg=walk]`)
	p.Tap(`[data-key="walklen-0"]`)
	for i, s := range []string{"6.02 l", "4.5", "6", "4.5"} {
		p.Until("the field of the next side", fmt.Sprintf(`document.activeElement.dataset.key==="walklen-%d"`,
			i), long)
		p.Write(s)
		p.Key(kb.Enter)
	}
	p.Until("the closing error", `/Closing error 2\.0 cm/.test(document.querySelector(".closing").textContent)`, long)
	p.Axe("walk", modules)
	p.Shot("walk-390x844")
	p.Act("walkwrite", "")
	saved(p, file, "outline: [[0, 0], [6.01, 0], [6.01, 4.5], [0, 4.5]]", true)
	saved(p, file, "size: [5, 4, 2.7]", false)
	p.Clean()
}
