package kit

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// columns is a spectrum whose file does not say of what: 10 % from 400 to 700 nm, most at 550 nm.
func columns(most float64) string {
	var b strings.Builder
	for nm := 400; nm <= 700; nm += 50 {
		v := 0.1
		if nm == 550 {
			v = most
		}
		fmt.Fprintf(&b, "%d;%.3f\n", nm, v)
	}
	return b.String()
}

// track is a spotlight that takes one of two lamps (EULUMDAT): 1,000 lm or 3,200 lm.
func track() string {
	s := "nobody\n1\n1\n1\n0\n3\n45\nreport\nshop track\n1\nf\nd\n100\n0\n80\n80\n0\n0\n0\n0\n0\n100\n64.5\n1\n0\n2\n"
	s += "1\nshort lamp\n1000\n3000K\n80\n12\n1\nlong lamp\n3200\n4000K\n80\n30\n"
	return s + strings.Repeat("0.5\n", 10) + "0\n0\n45\n90\n500\n100\n0\n"
}

// tube is a fixture with a mode of one channel, one of three, and one of none (DIN SPEC 15800).
func tube(t *testing.T) []byte {
	t.Helper()
	mode := func(name string, does ...string) string {
		s := `<DMXMode Name="` + name + `" Geometry="Body"><DMXChannels>`
		for i, d := range does {
			s += fmt.Sprintf(`<DMXChannel DMXBreak="1" Offset="%d" Geometry="Body"><LogicalChannel Attribute="%s"/>`+
				`</DMXChannel>`, i+1, d)
		}
		return s + `</DMXChannels></DMXMode>`
	}
	var z bytes.Buffer
	w := zip.NewWriter(&z)
	f, err := w.Create("description.xml")
	if err == nil {
		_, err = f.Write([]byte(`<GDTF><FixtureType Name="cellar tube"><Geometries><Beam Name="Body" ` +
			`LuminousFlux="800" BeamAngle="110" BeamRadius="0.02"/></Geometries><DMXModes>` + mode("Unnamed") +
			mode("Simple", "Dimmer") + mode("Colours", "ColorAdd_R", "ColorAdd_G", "ColorAdd_B") +
			`</DMXModes></FixtureType></GDTF>`))
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return z.Bytes()
}

// TestFilesAsk brings files that leave something open and one that is torn, and answers as a
// person does: a spectrum is of a surface, of a gel, of a head's light, of a surface after all;
// a fixture is driven in another mode, a luminaire has the other lamp. Nothing is written before
// it is taken; it is taken, undone, redone, and there after a reload; the same file once more is
// refused, since its name is there already.
func TestFilesAsk(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int64{{1440, 900}, {390, 844}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			t.Parallel()
			filesAsk(t, size[0], size[1])
		})
	}
}

func filesAsk(t *testing.T, w, h int64) {
	p := begin(t, cellar, w, h)
	dir := t.TempDir()
	put := func(name string, b []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	if w < 700 {
		p.Choose(`[data-key=npane]`, "kit")
	} else {
		p.Act("pane", `[data-arg=kit]`)
	}
	p.Act("kittab", `[data-arg=files]`)
	card := func(file string) string {
		return fmt.Sprintf(`[...document.querySelectorAll("#kit .gcard")].find(e=>`+
			`e.querySelector("h2").textContent===%q).textContent.replace(/\s+/g," ")`, file)
	}
	wall := put("found wall.csv", []byte(columns(0.5)))
	if w < 700 {
		p.Pick("#kitfiles", wall, put("too much.csv", []byte(columns(40))), put("shop track.ldt", []byte(track())),
			put("tube.gdtf", tube(t)), put("torn.gdtf", tube(t)[:200]))
	} else {
		p.Drop(".gdrop", wall, put("too much.csv", []byte(columns(40))), put("shop track.ldt", []byte(track())),
			put("tube.gdtf", tube(t)), put("torn.gdtf", tube(t)[:200]))
	}
	p.Until("the torn one", card("torn.gdtf")+`.includes("torn.gdtf")`, long)
	p.Until("the question of what it is of", card("found wall.csv")+`.includes("say what it is of")`, long)
	p.Until("the lamps, the first for the time being", card("shop track.ldt")+`.includes("lamp set 1: 1000 lm short lamp")`, long)
	p.Until("a mode without channels", card("tube.gdtf")+`.includes("its other modes: Simple, Colours")`, long)
	p.Axe("questions", modules)
	p.Shot(fmt.Sprintf("questions-%d", w))
	if p.Str(`document.querySelector("#kit [data-act=kittake]").textContent`) != "take 2 files into my kit" {
		t.Error("what has no answer yet is offered to be taken")
	}

	p.Choose(`[data-key="of-too much.csv"]`, "of transmittance")
	p.Until("a gel in per cent", card("too much.csv")+`.includes("per cent: the largest value is 40")`, long)
	p.Act("kitdrop", `[data-key="drop-too much.csv"]`)
	p.Until("one file less", `document.querySelectorAll("#kit .gcard").length===4`, long)

	// By the keyboard: one down is the surface, one more the gel. The list keeps the focus.
	of := `[data-key="of-found wall.csv"]`
	p.Run(`document.querySelector('` + of + `').focus()`)
	p.Key(kb.ArrowDown)
	p.Until("a surface", card("found wall.csv")+`.includes("surface “found wall”")`, long)
	p.Key(kb.ArrowDown)
	p.Until("a gel", card("found wall.csv")+`.includes("gel “found wall”")`, long)
	p.Choose(of, "battery head 200")
	p.Until("the light of a head", card("found wall.csv")+`.includes("head “battery head 200”")`, long)
	p.Choose(of, "of reflectance")
	p.Until("a surface again", card("found wall.csv")+`.includes("surface “found wall”")`, long)

	p.Choose(`[data-key="lamps-shop track.ldt"]`, "2")
	p.Until("the long lamp", card("shop track.ldt")+`.includes("lamp set 2: 3200 lm long lamp")&&`+
		card("shop track.ldt")+`.includes("4000 K")&&`+card("shop track.ldt")+`.includes("30 W")`, long)
	p.Choose(`[data-key="mode-tube.gdtf"]`, "Colours")
	p.Until("its colours", card("tube.gdtf")+`.includes("3 channels of the mode")`, long)
	p.Fill(`[data-key="as-tube.gdtf"]`, "found wall tube")
	p.Until("its name, and the mode still", card("tube.gdtf")+`.includes("head “found wall tube”")&&`+
		card("tube.gdtf")+`.includes("3 channels of the mode")`, long)
	p.Axe("answers", modules)
	p.Shot(fmt.Sprintf("answers-%d", w))
	if got := p.own(); strings.Contains(got, "found") {
		t.Errorf("written before it was taken:\n%s", got)
	}

	p.Act("kittake", "")
	p.Until("all of it", rows+`.includes("found wall tube")&&`+rows+`.includes("shop track")&&`+
		rows+`.split(",").includes("found wall")`, long)
	text := strings.Join(strings.Fields(p.own()), " ")
	for _, want := range []string{"lamp set: 2", `photometry: "kit/shop track.ldt"`, `{does: "green"}`,
		"# counted in May"} {
		if !strings.Contains(text, want) {
			t.Errorf("kit/own.yaml has no %q:\n%s", want, text)
		}
	}
	undo, redo := "[data-key=undo]", "[data-key=redo]"
	if w < 700 {
		undo, redo = "[data-key=nundo]", "[data-key=nredo]"
	}
	p.Tap(undo)
	p.Until("none of it", `!`+rows+`.includes("found wall")&&!`+rows+`.includes("shop track")`, long)
	if got := p.own(); strings.Contains(got, "found") || strings.Contains(got, "track") {
		t.Errorf("undo leaves it:\n%s", got)
	}
	p.Tap(redo)
	p.Until("all of it again", rows+`.includes("found wall tube")&&`+rows+`.includes("shop track")`, long)
	p.Reload()
	p.Until("all of it after a reload", rows+`.includes("found wall tube")&&`+rows+`.includes("shop track")`, long)

	// The same file once more: what is there already is not written over.
	p.Act("kittab", `[data-arg=files]`)
	p.Pick("#kitfiles", wall)
	p.Choose(of, "of reflectance")
	p.Until("the surface", card("found wall.csv")+`.includes("surface “found wall”")`, long)
	p.Act("kittake", "")
	p.Until("that it is there", `/already among its surfaces/.test(document.querySelector("#kit .gno")?.textContent)`, long)
	p.Axe("taken twice", modules)
	p.Shot(fmt.Sprintf("twice-%d", w))
	p.Clean("422")
}
