package kit

import (
	"math"
	"strings"
	"testing"

	q "halfstop/quantity"
	"halfstop/spectrum"
)

const ownKit = `
heads:
  - {name: battery head 500, weight: 3.4 kg}
  - {name: old faithful, like: battery head 500, guide number: 52 m, rated with: standard reflector, have: 2}
  - {name: older still, like: old faithful, recycle: 4 s}
  - {name: brighter tube, like: battery head 500, energy: 800 Ws}
modifiers:
  - {name: my box, like: softbox 60x90, gain: -1.5 st, uncertainty: 0.1 st, source: own test}
gels:
  - {name: faded orange, mired: 120, loss: 0.6 st}
  - {name: house red, spectrum: [[400, 0.01], [580, 0.02], [620, 0.8], [700, 0.85]]}
  - {name: my full, like: full orange}
`

func TestMerge(t *testing.T) {
	own, list := Decode("own.yaml", []byte(ownKit))
	if len(list) > 0 {
		t.Fatal(list.Text())
	}
	k := Merge(Catalogue(), own)
	for _, p := range k.Check() {
		t.Errorf("%s %q: %s", p.List, p.Name, p.Error())
	}
	h, _ := k.FindHead("Battery  Head 500")
	if h.Weight != 3.4 || h.Energy != 500 || h.Recycle != 1.2 {
		t.Errorf("one figure overridden: %+v", h)
	}
	f, _ := k.FindHead("old faithful")
	if f.Guide != 52 || f.Energy != 0 || f.Efficacy != 0 || f.Weight != 3.4 || f.Have != 2 {
		t.Errorf("another way to say the level: %+v", f)
	}
	o, _ := k.FindHead("older still")
	if o.Guide != 52 || o.Recycle != 4 || o.Face == nil {
		t.Errorf("like of a like: %+v", o)
	}
	b, _ := k.FindHead("brighter tube")
	if b.Energy != 800 || b.Efficacy != 50 {
		t.Errorf("another energy: %+v", b)
	}
	s := resolve(t, k, Want{Head: "battery head 500", Modifier: "my box"})
	r := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector})
	within(t, "own gain", s.Axial/r.Axial, math.Exp2(-1.5), 1e-9)
	if !strings.Contains(strings.Join(s.Why, "\n"), "own test") {
		t.Errorf("own source is not told: %v", s.Why)
	}
	faded := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector, Gels: []string{"faded orange"}})
	within(t, "stated loss with 5600 K", faded.Axial/r.Axial, math.Exp2(-0.6), 0.05)
	a := resolve(t, k, Want{Head: "battery head 500", Gels: []string{"my full"}})
	c := resolve(t, k, Want{Head: "battery head 500", Gels: []string{"full orange"}})
	within(t, "gel like a gel", a.Axial, c.Axial, 1e-12)
	if n := len(k.Heads); n != len(Catalogue().Heads)+3 {
		t.Errorf("%d heads", n)
	}
}

// A sheet made from its figures moves the light it is for by its shift (2 mired) and takes its loss
// (0.01 st), and nowhere lets through more than two faces of plastic leave.
func TestShiftSheet(t *testing.T) {
	for _, c := range []struct{ mired, loss, kelvin float64 }{{159, 0.9, 5600}, {109, 0.5, 5600}, {64, 0.35, 5600},
		{-137, 1.5, 3200}, {-78, 0.9, 3200}} {
		sheet := shiftSheet(c.mired, c.loss)
		light := spectrum.White(c.kelvin)
		if st := -math.Log2(spectrum.LuminousRatio(light, sheet)); math.Abs(st-c.loss) > 0.01 {
			t.Errorf("%+g mired: loses %.3f st, want %.2f", c.mired, st, c.loss)
		}
		before, _, _ := spectrum.CCTOhno2013(light.XY())
		after, duv, ok := spectrum.CCTOhno2013(light.Mul(sheet).XY())
		if got := 1e6/after - 1e6/before; !ok || math.Abs(got-c.mired) > 2 {
			t.Errorf("%+g mired: moves %.1f", c.mired, got)
		}
		if math.Abs(duv) > 0.015 || sheet.Max() > sheetTop {
			t.Errorf("%+g mired: Duv %.4f, at most %.3f", c.mired, duv, sheet.Max())
		}
	}
}

func TestCheckFinds(t *testing.T) {
	for yaml, want := range map[string]string{
		"heads: [{name: a}]":                        "kit.kind",
		"heads: [{name: a, kind: flash}]":           "kit.level",
		"heads: [{name: a, like: battery head 50}]": "kit.unknown-like",
		"heads: [{name: a, kind: flash, guide number: 40 m, energy: 9 Ws, efficacy: 40}]":       "kit.level",
		"heads: [{name: a, kind: flash, energy: 100 Ws}]":                                       "kit.level",
		"heads: [{name: a, kind: continuous, guide number: 40 m}]":                              "kit.level",
		"heads: [{name: a, kind: flash, gives: {lux: 4000 lx}}]":                                "kit.level",
		"heads: [{name: a, kind: flash, guide number: 9, face: {shape: rectangle, size: [1]}}]": "kit.face",
		"heads: [{name: a, like: battery head 500, rated with: pan, guide number: 5 m}]":        "kit.unknown-modifier",
		"heads: [{name: a, like: battery head 500, reads: [{from: 2 m}]}]":                      "kit.reading",
		"heads: [{name: a, like: battery head 500, reads: [{from: 2 m, f-number: f/8, power: " +
			"1/4096}]}]": "kit.reading",
		"heads: [{name: a, like: led point 300, reads: [{from: 2 m, f-number: f/8}]}]": "kit.reading",
		"heads: [{name: a, kind: continuous, flux: 100 lm, colour: {primaries: [led red, led green, led " +
			"grue]}}]": "kit.primary",
		"modifiers: [{name: m}]": "kit.no-face",
		"modifiers: [{name: m, gain: 9 st, face: {shape: disc, size: 1 m}}]": "kit.gain",
		"grids: [{name: g}]": "kit.grid",
		"gels: [{name: g}]":  "kit.gel",
		"gels: [{name: g, spectrum: [[400, 20], [700, 90]]}]":                       "kit.gel",
		"gels: [{name: g, like: full oragne}]":                                      "kit.unknown-gel",
		"stands: [{name: s}, {name: S}]":                                            "kit.twice",
		"heads: [{name: a, kind: flash, photometry: spot.ies, guide number: 40 m}]": "kit.level",
	} {
		own, list := Decode("own.yaml", []byte(yaml))
		if len(list) > 0 {
			t.Errorf("%s", list.Text())
			continue
		}
		k := Merge(Catalogue(), own)
		ps := k.CheckOwn(own)
		if len(ps) == 1 && ps[0].Path(own) == "" {
			t.Errorf("%s: %s %q has no place in the file", yaml, ps[0].List, ps[0].Name)
		}
		if len(ps) != 1 || ps[0].Code != want {
			t.Errorf("%s: want one %s", yaml, want)
			for _, p := range ps {
				t.Errorf("  got %s: %s", p.Code, p.Error())
			}
		}
	}
}

func TestDial(t *testing.T) {
	flash := Dial{Flash: true, Range: 8, Step: 0.1}
	thirds := Dial{Flash: true, Range: 7, Step: 0.333}
	led := Dial{Range: q.StopsOf(100), Share: 0.01}
	fixed := Dial{}
	for _, c := range []struct {
		d    Dial
		in   string
		want q.Stops
		out  string
	}{
		{flash, "1/8 + 0.3", -2.7, "1/8 + 0.3"}, {flash, "1/1", 0, "1/1"}, {flash, "", 0, "1/1"}, {flash, "1/256", -8,
			"1/256"}, {flash, "1/4 - 0.3", -2.3, "1/4 - 0.3"},
		{flash, "50 %", -1, "1/2"}, {thirds, "1/8 + 0.3", -8.0 / 3, "1/8 + 0.3"}, {thirds, "1/8 - 0.3", -10.0 / 3,
			"1/8 - 0.3"}, {thirds, "1/128", -7, "1/128"},
		{led, "62 %", q.StopsOf(0.62), "62 %"}, {led, "1/2", -1, "50 %"}, {led, "1 %", q.StopsOf(0.01), "1 %"}, {led,
			"62.4 %", q.StopsOf(0.62), "62 %"}, {fixed, "full", 0, "100 %"},
	} {
		got, err := c.d.Parse(c.in)
		if err != nil || math.Abs(float64(got-c.want)) > 1e-6 {
			t.Errorf("%q: %v, %v, want %v", c.in, got, err, c.want)
		}
		if p := c.d.Print(got); p != c.out {
			t.Errorf("%q prints as %q, want %q", c.in, p, c.out)
		}
	}
	for _, c := range []struct {
		d  Dial
		in string
	}{{flash, "1/512"}, {flash, "2/1"}, {flash, "loud"}, {led, "0.4 %"}, {fixed, "50 %"}, {led, "120 %"}} {
		if got, err := c.d.Parse(c.in); err == nil {
			t.Errorf("%q passed as %v", c.in, got)
		}
	}
	for name, c := range map[string]struct {
		d Dial
		n int
	}{"tenths": {flash, 81}, "thirds": {thirds, 22}, "per cent": {led, 100}, "fixed": {fixed, 1}} {
		steps := c.d.Steps()
		if len(steps) != c.n {
			t.Errorf("%s: %d steps, want %d", name, len(steps), c.n)
		}
		for i, s := range steps {
			if c.d.Snap(s) != s || i > 0 && s >= steps[i-1] {
				t.Errorf("%s: step %d is %v, snaps to %v", name, i, s, c.d.Snap(s))
			}
			if back, err := c.d.Parse(c.d.Print(s)); err != nil || math.Abs(float64(back-s)) > 1e-6 {
				t.Errorf("%s: %v prints as %q and reads as %v, %v", name, s, c.d.Print(s), back, err)
			}
		}
	}
}

// A setting lowers the level by what it says, and headroom and floor are what is left.
func TestSetting(t *testing.T) {
	k := Catalogue()
	full := resolve(t, k, Want{Head: "battery head 500", Modifier: "octa 120"})
	s := resolve(t, k, Want{Head: "battery head 500", Modifier: "octa 120", Power: "1/8 + 0.3"})
	within(t, "1/8 + 0.3", s.Axial/full.Axial, math.Exp2(-2.7), 1e-9)
	if s.Headroom != 2.7 || math.Abs(float64(s.Floor-5.3)) > 1e-9 || s.Dialled != "1/8 + 0.3" ||
		s.AxialFull != full.Axial {
		t.Errorf("%+v", s)
	}
	level := q.Share(0.6)
	led := resolve(t, k, Want{Head: "led point 300", Level: &level})
	if led.Dialled != "60 %" || math.Abs(led.Axial/led.AxialFull-0.6) > 1e-9 {
		t.Errorf("60 %%: %q, %g of %g", led.Dialled, led.Axial, led.AxialFull)
	}
}

// A photometric file takes the place of beam and level; a box in front spreads its flux, a grid
// cuts it.
func TestPhotometricHead(t *testing.T) {
	k := Merge(Catalogue(), Kit{Heads: []Head{{Name: "measured", Kind: "continuous", Photometry: "cosine.ies",
		Mount: "bayonet", Weight: 1, Uncertainty: 0.1,
		Face: &Face{Shape: "disc", Size: []q.Metres{0.2}}}}})
	files := func(string) ([]byte, error) {
		return []byte(
				"TILT=NONE\n1 -1 1 19 1 1 2 0 0 0 1 1 50\n0 5 10 15 20 25 30 35 40 45 50 55 60 65 70 75 80 85 90\n0\n" +
					"1000 996.2 984.8 965.9 939.7 906.3 866 819.2 766 707.1 " +
					"642.8 573.6 500 422.6 342 258.8 173.6 87.2 0\n"),
			nil
	}
	bare := resolve(t, k, Want{Head: "measured", Files: files})
	if bare.Web == nil || math.Abs(bare.Axial-1000) > 1e-9 {
		t.Errorf("axial %g", bare.Axial)
	}
	box := resolve(t, k, Want{Head: "measured", Modifier: "softbox 60x90", Files: files})
	if box.Web != nil || box.Shape != "rectangle" {
		t.Errorf("a box in front: %+v", box)
	}
	if share := box.Axial * math.Pi / (1000 * math.Pi); share > mostKept || share < 0.2 {
		t.Errorf("the box passes %.2f", share)
	}
	cut := resolve(t, k, Want{Head: "measured", Grid: "grid 20", Files: files})
	if cut.Web == nil || cut.Web.Flux() > 0.1*bare.Web.Flux() {
		t.Errorf("a grid leaves %g of %g lm", cut.Web.Flux(), bare.Web.Flux())
	}
	if _, err := k.Resolve(Want{Head: "measured"}); err == nil {
		t.Error("a file was read from nowhere")
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(ownKit))
	f.Add([]byte("heads: [{name: a, kind: flash, guide number: 1e300 m}]"))
	f.Add([]byte("heads: [{name: a, kind: continuous, flux: 1 lm, face: {shape: tube, size: [1 m, 1 mm], beam: " +
		"1 deg}}]"))
	f.Add([]byte("heads: [{name: a, like: b}, {name: b, like: a}]"))
	f.Add([]byte("heads: [{name: a, like: battery head 500, reads: {from: 1 mm, f-number: f/64}}]"))
	// A small catalogue, so that a run looks at what was made up and not at the same forty heads
	// again.
	var small Kit
	full := Catalogue()
	for _, h := range []string{"battery head 500", "led point 300"} {
		x, _ := full.FindHead(h)
		small.Heads = append(small.Heads, x)
	}
	for _, m := range []string{"bare", standardReflector, "octa 90", "softbox 60x90"} {
		x, _ := full.FindModifier(m)
		small.Modifiers = append(small.Modifiers, x)
	}
	small.Grids = full.Grids
	f.Fuzz(func(t *testing.T, src []byte) {
		own, _ := Decode("f", src)
		k := Merge(small, own)
		k.Check()
		for _, h := range own.Heads {
			s, err := k.Resolve(Want{Head: h.Name, Modifier: "octa 90", Grid: "egg crate 40"})
			if err == nil && (!(s.Axial > 0) || math.IsInf(s.Axial, 0)) {
				t.Fatalf("axial %g from %+v", s.Axial, h)
			}
		}
	})
}
