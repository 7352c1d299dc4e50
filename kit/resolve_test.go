package kit

import (
	"fmt"
	"math"
	"testing"

	q "halfstop/quantity"
	"halfstop/spectrum"
)

func TestCatalogueLoads(t *testing.T) {
	k, list := load()
	for _, m := range list {
		t.Errorf("%s:%d:%d: %s", m.Pos.File, m.Pos.Line, m.Pos.Col, m.Text)
	}
	if len(k.Heads) < 20 || len(k.Modifiers) < 20 || len(k.Grids) < 6 || len(k.Stands) < 8 || len(k.Panels) < 8 {
		t.Errorf("catalogue has %d heads, %d modifiers, %d grids, %d stands, %d panels", len(k.Heads),
			len(k.Modifiers), len(k.Grids), len(k.Stands), len(k.Panels))
	}
	for _, p := range k.Check() {
		t.Errorf("%s %q: %s", p.List, p.Name, p.Error())
	}
}

// finite reports what is not finite and positive in a source.
func finite(s Source) error {
	for name, v := range map[string]float64{"Axial": s.Axial, "AxialFull": s.AxialFull, "Weight": float64(s.Weight),
		"Uncertainty": float64(s.Uncertainty), "Y": s.Spectrum.XYZ().Y} {
		if !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%s is %g", name, v)
		}
	}
	if s.Shape != "point" && !(s.Width > 0) {
		return fmt.Errorf("width is %g", float64(s.Width))
	}
	if len(s.Profile) != 0 && (len(s.Profile) != 181 || math.Abs(s.Profile[0]-1) > 1e-12) {
		return fmt.Errorf("profile has %d steps and starts at %v", len(s.Profile), s.Profile[0])
	}
	for _, v := range s.Profile {
		if !(v >= 0 && v <= 1) {
			return fmt.Errorf("profile holds %g", v)
		}
	}
	return nil
}

func TestEveryHeadWithEveryModifier(t *testing.T) {
	k := Catalogue()
	for _, h := range k.Heads {
		for _, m := range k.Modifiers {
			for _, g := range append([]Grid{{}}, k.Grids...) {
				s, err := k.Resolve(Want{Head: h.Name, Modifier: m.Name, Grid: g.Name})
				if err == nil {
					err = finite(s)
				}
				if err != nil {
					t.Errorf("%s, %s, %s: %v", h.Name, m.Name, g.Name, err)
				}
			}
		}
	}
}

// What leaves a head may not be more than its lamp gives: at most mostKept of the bare lamp's light
// through any accessory. A xenon tube is taken at 50 lm/W (35 to 50, common practice, no source),
// tungsten at 27 lm/W, an LED at 110 lm per watt drawn (from memory). Tolerance 2 %: profiles have
// steps of one degree.
func TestEnergy(t *testing.T) {
	k := Catalogue()
	for _, h := range k.Heads {
		gives := 110 * float64(h.Watts)
		switch {
		case h.Kind == "flash":
			gives = 50 * float64(h.Energy)
		case h.Hot:
			gives = 27 * float64(h.Watts)
		}
		for _, m := range k.Modifiers {
			s, err := k.Resolve(Want{Head: h.Name, Modifier: m.Name})
			if err != nil {
				t.Fatal(err)
			}
			most := mostKept
			if m.Name == "bare" {
				most = 1
			}
			out := s.AxialFull * flux(s.Shape, s.Profile)
			if out > most*gives*1.02 {
				t.Errorf("%s with %s: %.0f of at most %.0f (%.0f %%)", h.Name, m.Name, out, gives, 100*out/gives)
			}
		}
	}
}

func resolve(t *testing.T, k Kit, w Want) Source {
	t.Helper()
	s, err := k.Resolve(w)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// within fails unless got is within tol stops of want.
func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if d := math.Log2(got / want); !(math.Abs(d) <= tol) {
		t.Errorf("%s: %.5g, want %.5g (%+.3f st, tolerance %g)", what, got, want, d, tol)
	}
}

// Arithmetic of the guide number. Source: reference values A6.1, A6.2, A6.4 to A6.7 (derived).
func TestGuideNumber(t *testing.T) {
	own := Kit{Heads: []Head{
		{Name: "a", Like: "battery head 500", Guide: 58, RatedWith: standardReflector},
		{Name: "b", Like: "battery head 500", Guide: 58, GuideC: 330, RatedWith: standardReflector},
		{Name: "c", Like: "battery head 500", Energy: 400, Efficacy: 45},
		{Name: "d", Like: "battery head 500", Guide: 80, GuideISO: 400, RatedWith: standardReflector},
	}}
	k := Merge(Catalogue(), own)
	within(t, "A6.1", resolve(t, k, Want{Head: "a", Modifier: standardReflector}).Axial, 8410, 1e-6)
	// A3.5: the same guide number under C = 330 is 0.400538 st more light.
	got := math.Log2(resolve(t, k, Want{Head: "b", Modifier: standardReflector}).Axial / resolve(t, k, Want{Head: "a",
		Modifier: standardReflector}).Axial)
	if math.Abs(got-0.400538) > 0.001 {
		t.Errorf("A3.5: %.6f st", got)
	}
	within(t, "A6.2", resolve(t, k, Want{Head: "b", Modifier: standardReflector}).Axial, 11101.2, 1e-6)
	bare := resolve(t, k, Want{Head: "c"})
	gn := func(s Source) float64 { return float64(s.GuideNumber(0)) }
	if got := gn(bare); math.Abs(got-23.9365) > 0.01 {
		t.Errorf("A6.4: guide number %.4f, want 23.9365", got)
	}
	// A6.5 takes a gain of 6; the catalogue's 2.6 st are 6.06.
	if got := gn(resolve(t, k, Want{Head: "c", Modifier: standardReflector})); math.Abs(got-58.6323) > 0.4 {
		t.Errorf("A6.5: guide number %.4f, want 58.63", got)
	}
	if got := gn(resolve(t, k, Want{Head: "c", Power: "1/2"})) / gn(bare); math.Abs(got-0.707107) > 1e-5 {
		t.Errorf("A6.6: half energy changes the guide number by %.5f", got)
	}
	within(t, "A6.7", resolve(t, k, Want{Head: "d", Modifier: standardReflector}).Axial, 250*40*40/100, 1e-6)
}

// 600 Ws in an ordinary reflector is about guide number 80 (metres, ISO 100) [S29]; on axis about
// 16,000 cd·s. 'About' and a reflector nobody named: a third of a stop.
func TestRoughAnchor(t *testing.T) {
	k := Merge(Catalogue(), Kit{Heads: []Head{{Name: "600", Like: "battery head 500", Energy: 600}}})
	s := resolve(t, k, Want{Head: "600", Modifier: standardReflector})
	within(t, "600 Ws", s.Axial, 16000, 1.0/3)
	// The worked case of the trade table: two 500 Ws heads give 26,700 cd·s on axis.
	two := 2 * resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector}).Axial
	within(t, "two 500 Ws heads", two, 26700, 1.0/3)
}

// Losses on axis against the standard reflector. Source: trade table 3.7, each range 'common
// practice, no source' but where a number is given; the catalogue must lie inside the range (to
// 0.02 st).
func TestLossesOnAxis(t *testing.T) {
	k := Catalogue()
	std := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector}).Axial
	for _, c := range []struct {
		modifier string
		lo, hi   float64
	}{
		{"umbrella shoot-through 105", -2.5, -1.5}, {"umbrella white 105", -2, -1.5}, {"umbrella silver 105", -1, -0.5},
		{"parabolic 110", 0, 1}, {"softbox 60x90 one cloth", -1.5, -1}, {"softbox 60x90", -3, -2}, {"octa 120", -2.5,
			-2},
		{"octa 150", -2.5, -2}, {"strip 30x120", -3, -2.5}, {"beauty dish 55 white", -1,
			-0.5}, {"beauty dish 55 silver", 0, 0},
		{"snoot", -3, -1}, {"long throw reflector", 1, 2}, {"bare", -2.6, -1},
	} {
		got := math.Log2(resolve(t, k, Want{Head: "battery head 500", Modifier: c.modifier}).Axial / std)
		if got < c.lo-0.02 || got > c.hi+0.02 {
			t.Errorf("%s: %+.2f st, range %+.2f to %+.2f", c.modifier, got, c.lo, c.hi)
		}
	}
	for grid, want := range map[string]float64{"grid 40": -0.5, "grid 30": -1, "grid 20": -1.5, "grid 10": -2.5} {
		open := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector})
		cut := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector, Grid: grid})
		within(t, grid, cut.Expect(gridAt)/open.Expect(gridAt), math.Exp2(want), 1e-9)
	}
	for _, box := range []string{"softbox 60x90", "octa 120", "strip 30x120"} {
		open := resolve(t, k, Want{Head: "battery head 500", Modifier: box})
		cut := resolve(t, k, Want{Head: "battery head 500", Modifier: box, Grid: "egg crate 40"})
		within(t, box+" with egg crate", cut.Expect(gridAt)/open.Expect(gridAt), 0.5, 1e-9)
		if !(cut.Axial > 0.5*open.Axial && cut.Axial < open.Axial) {
			t.Errorf("%s with egg crate: %g of %g from afar", box, cut.Axial, open.Axial)
		}
	}
}

// A shoe flash at 6 ft against its own 24 mm beam [S8]: white umbrella and shoot-through about -2,
// a 28 in (71 cm) box with baffle about -3, the zoomed tube +1. Tolerance half a stop ('about',
// one practitioner, metered near by).
func TestShoeFlashLosses(t *testing.T) {
	k := Catalogue()
	const at = q.Metres(1.83)
	own := resolve(t, k, Want{Head: "shoe flash"}).Expect(at)
	for modifier, want := range map[string]float64{"umbrella white 105": -2, "umbrella shoot-through 105": -2,
		"softbox 60x60": -3} {
		got := resolve(t, k, Want{Head: "shoe flash", Modifier: modifier}).Expect(at)
		within(t, modifier, got/own, math.Exp2(want), 0.5)
	}
	within(t, "zoomed", resolve(t, k, Want{Head: "shoe flash zoomed"}).Expect(at)/own, 2, 0.1)
}

func TestBeamProfile(t *testing.T) {
	for _, beam := range []float64{12, 24, 55, 90, 110, 120, 150, 200, 300} {
		if got := at(beamProfile(beam), beam/2); math.Abs(got-0.5) > 0.005 {
			t.Errorf("beam %g: %g at half of it", beam, got)
		}
	}
	if beamProfile(120) != nil {
		t.Error("120 degrees is not Lambertian")
	}
	// B11.1, B11.2: even all round 4π, Lambertian π. Steps of one degree: 3e-5.
	if got := flux("sphere", beamProfile(360)); math.Abs(got-4*math.Pi) > 1e-9 {
		t.Errorf("even: %g", got)
	}
	if got := flux("disc", lambert()); math.Abs(got/math.Pi-1) > 3e-5 {
		t.Errorf("Lambertian by steps: %g", got)
	}
}

// A grid's angle is where nothing is left, and its light at half the middle spans about the same
// angle.
func TestGridCuts(t *testing.T) {
	k := Catalogue()
	for _, g := range k.Grids {
		s := resolve(t, k, Want{Head: "battery head 500", Modifier: "softbox 60x90", Grid: g.Name})
		cut := int(g.Cut)
		if s.Profile[cut] > 1e-9 || s.Profile[cut-1] <= 0 {
			t.Errorf("%s: %g at its angle, %g one degree inside", g.Name, s.Profile[cut], s.Profile[cut-1])
		}
		if s.Shape != "rectangle" || s.Width != 0.6 || s.Height != 0.9 {
			t.Errorf("%s: a gridded box is still a box, got %s %v x %v", g.Name, s.Shape, s.Width, s.Height)
		}
	}
}

// Near field. B3.5: a box of 0.6 x 0.9 m at 5000 cd/m2 gives 1104.96 lx at 1.5 m (derived, closed
// form). Disc: E = π L R²/(R²+d²). Sphere: I/d² from its centre; dome A8: half the solid angle's (1
// + cos).
func TestNearFace(t *testing.T) {
	box := emitter{"rectangle", 0.6, 0.9, nil}
	if got := 5000 * 0.6 * 0.9 * on(box, 1.5, false); math.Abs(got-1104.96) > 0.05 {
		t.Errorf("box: %.3f lx, want 1104.96", got)
	}
	square := emitter{"rectangle", 1, 1, nil}
	if got := 1000 * on(square, 1, false); math.Abs(got-752.275) > 0.1 {
		t.Errorf("B3.3: %.3f lx, want 752.275", got)
	}
	disc := emitter{"disc", 1, 0, nil}
	for _, d := range []float64{0.25, 0.5, 1, 3} {
		want := math.Pi * 0.25 / (0.25 + d*d) / (math.Pi * 0.25)
		within(t, "disc", on(disc, d, false), want, 1e-4)
	}
	ball := emitter{"sphere", 0.6, 0, beamProfile(360)}
	within(t, "ball", on(ball, 0.7, false), 1, 1e-12)
	for _, e := range []emitter{box, disc, ball, {"tube", 1, 0.04, nil}, {"point", 0, 0, nil}} {
		for _, dome := range []bool{false, true} {
			within(t, e.shape+" from afar", on(e, 100, dome)*1e4, 1, 0.02)
		}
	}
}

// An own reading makes the pair read what was read, with whatever near field and receptor.
func TestOwnReading(t *testing.T) {
	f8, err := q.ParseFNumber("f/8 + 0.3")
	if err != nil {
		t.Fatal(err)
	}
	own := Kit{Heads: []Head{{Name: "mine", Like: "battery head 500", Reads: []Reads{
		{FNumber: f8, ISO: 100, From: 2, Power: "1/1", Modifier: "softbox 60x90"}}}}}
	k := Merge(Catalogue(), own)
	s := resolve(t, k, Want{Head: "mine", Modifier: "softbox 60x90"})
	n := float64(f8)
	within(t, "reading", s.Expect(2), 250*n*n/100, 1e-9)
	if s.Uncertainty > 0.15 {
		t.Errorf("a measured pair is uncertain by %v", s.Uncertainty)
	}
	// The surprise moves the head in other modifiers, by a part of it and in the same direction.
	cat := Catalogue()
	before := resolve(t, cat, Want{Head: "battery head 500", Modifier: "softbox 60x90"})
	surprise := math.Log2(s.Axial / before.Axial)
	other := math.Log2(resolve(t, k, Want{Head: "mine", Modifier: "octa 120"}).Axial / resolve(t, cat,
		Want{Head: "battery head 500", Modifier: "octa 120"}).Axial)
	if other*surprise <= 0 || math.Abs(other) >= math.Abs(surprise) {
		t.Errorf("surprise %+.2f st moves the head by %+.2f st elsewhere", surprise, other)
	}
	// A head that has nothing but a reading, and at a quarter with a dome.
	only := Merge(Catalogue(), Kit{Heads: []Head{{Name: "only", Kind: "flash", Mount: "bayonet", Range: 6,
		Reads: []Reads{
			{FNumber: 8, From: 1.5, Power: "1/4", Modifier: "octa 90", Receptor: "dome"}}}}})
	o := resolve(t, only, Want{Head: "only", Modifier: "octa 90", Power: "1/4"})
	domed := o.Axial * on(emitter{o.Shape, float64(o.Width), float64(o.Height), o.Profile}, 1.5, true)
	within(t, "dome reading", domed, 330*64.0/100, 1e-9)
	// A3.5, A8.1: far off, a dome's reading means 0.4005 st more light than a flat one's.
	far := func(receptor string) float64 {
		k := Merge(Catalogue(), Kit{Heads: []Head{{Name: "x", Like: "battery head 500", Reads: []Reads{{FNumber: 8,
			From: 20, Modifier: standardReflector, Receptor: receptor}}}}})
		return resolve(t, k, Want{Head: "x", Modifier: standardReflector}).Axial
	}
	within(t, "dome over flat", far("dome")/far("flat"), 330.0/250, 1e-4)
	if up := resolve(t, only, Want{Head: "only", Modifier: standardReflector, Power: "1/4"}); !(up.Axial > o.Axial) {
		t.Error("the reflector gives less than the box")
	}
}

func TestGelsTakeTheirLight(t *testing.T) {
	k := Catalogue()
	s := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector})
	g := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector, Gels: []string{"full orange"}})
	// About -2/3 stop [S15], 0.9 in the reference's table (from memory): 0.5 to 1.1.
	if loss := math.Log2(s.Axial / g.Axial); loss < 0.5 || loss > 1.1 {
		t.Errorf("full orange loses %.2f st", loss)
	}
	// E5.9: 5600 K flash and +159 mired give 2962 K; the flash is not exactly 5600 K and the sheet
	// not exactly Planckian: 200 K.
	if cct, _, ok := spectrum.CCTOhno2013(g.Spectrum.XY()); !ok || math.Abs(cct-2962) > 200 {
		t.Errorf("flash behind full orange is %.0f K", cct)
	}
	two := resolve(t, k, Want{Head: "battery head 500", Modifier: standardReflector,
		Gels: []string{"neutral density 0.3", "neutral density 0.6"}})
	within(t, "0.3 + 0.6 density", two.Axial/s.Axial, math.Pow(10, -0.9), 1e-4)
}

func TestColourHeads(t *testing.T) {
	k := Catalogue()
	white := resolve(t, k, Want{Head: "rgb panel 300"})
	if len(white.Drives) != 4 || !white.InGamut {
		t.Fatalf("white: drives %v, in gamut %v", white.Drives, white.InGamut)
	}
	if d := spectrum.DeltaUVPrime(white.Spectrum.XY(), spectrum.White(5600).XY()); d > 1e-3 {
		t.Errorf("white misses 5600 K by %g", d)
	}
	neon, err := spectrum.Lamp("neon red")
	if err != nil {
		t.Fatal(err)
	}
	red := resolve(t, k, Want{Head: "rgb panel 300", Colour: Ask{Light: neon}})
	// Red, green and blue emitters miss the red of neon by a little (it lies outside the chord from
	// 630 to 525 nm): said, not hidden.
	if d := spectrum.DeltaUVPrime(red.Spectrum.XY(), neon.XY()); d > 0.03 || red.InGamut {
		t.Errorf("neon red missed by %g, in gamut %v", d, red.InGamut)
	}
	inside := spectrum.XY{X: 0.62, Y: 0.31}
	if s := resolve(t, k, Want{Head: "rgb panel 300",
		Colour: Ask{XY: inside}}); spectrum.DeltaUVPrime(s.Spectrum.XY(), inside) > 1e-3 || !s.InGamut {
		t.Errorf("xy 0.62, 0.31 missed: %+v", s.Spectrum.XY())
	}
	if st := math.Log2(red.Axial / white.Axial); st > -1.5 || st < -4 {
		t.Errorf("red is %+.1f st against white", st)
	}
	warm := resolve(t, k, Want{Head: "bicolour panel 300", Colour: Ask{Kelvin: 3200}})
	if cct, _, _ := spectrum.CCTOhno2013(warm.Spectrum.XY()); math.Abs(cct-3200) > 20 || !warm.InGamut {
		t.Errorf("bicolour at 3200 K gives %.0f K, in gamut %v", cct, warm.InGamut)
	}
	if low := resolve(t, k, Want{Head: "bicolour panel 300", Colour: Ask{Kelvin: 1900}}); low.InGamut {
		t.Error("1900 K passes for reached by a head of 2700 to 6500 K")
	}
	if _, err := k.Resolve(Want{Head: "battery head 500", Colour: Ask{Kelvin: 3200}}); err == nil {
		t.Error("a flash was asked for 3200 K and nothing was said")
	}
}

func TestUnknownNames(t *testing.T) {
	k := Catalogue()
	for _, w := range []Want{{Head: "batery head 500"}, {Head: "battery head 500", Modifier: "sofbox 60x90"},
		{Head: "battery head 500", Grid: "gird 20"},
		{Head: "battery head 500", Gels: []string{"ful orange"}}, {Head: "battery head 500",
			Power: "1/1024"}, {Head: "battery head 500", Power: "2/1"}, {Head: "battery head 500", Power: "loud"}} {
		if _, err := k.Resolve(w); err == nil {
			t.Errorf("%+v passed", w)
		} else if p, ok := err.(*Problem); ok && p.Fix == "" {
			t.Errorf("%+v: no fix in %q", w, err)
		}
	}
}

// A zoomed shoe flash: one stop on axis and half the beam at the long end (the catalogue's own
// figures), by the logarithm between; the two entries of the catalogue for its ends agree. Through
// a box the zoom wins nothing like that: the box gets the same light. Heads without a zoom say so.
func TestZoom(t *testing.T) {
	k := Catalogue()
	at := func(head string, mm float64, modifier string) Source {
		s, err := k.Resolve(Want{Head: head, Zoom: q.Metres(mm / 1000), Modifier: modifier})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	wide := at("shoe flash", 24, "").AxialFull
	for mm, st := range map[float64]float64{24: 0, 50.2: 0.5, 105: 1} {
		if got := math.Log2(at("shoe flash", mm, "").AxialFull / wide); math.Abs(got-st) > 0.002 {
			t.Errorf("at %g mm %.3f stops, want %.3f", mm, got, st)
		}
	}
	long, fixed := at("shoe flash", 105, ""), at("shoe flash zoomed", 0, "")
	if math.Abs(math.Log2(long.AxialFull/fixed.AxialFull)) > 0.05 {
		t.Errorf("zoomed %g cd s, the entry for it %g", long.AxialFull, fixed.AxialFull)
	}
	if st := math.Log2(at("shoe flash", 105, "softbox 60x60").AxialFull / at("shoe flash", 24,
		"softbox 60x60").AxialFull); st > 0.3 {
		t.Errorf("a box wins %.2f stops by the zoom behind it", st)
	}
	for head, mm := range map[string]float64{"battery head 500": 50, "shoe flash": 200} {
		if _, err := k.Resolve(Want{Head: head,
			Zoom: q.Metres(mm / 1000)}); err == nil || err.(*Problem).Code != "kit.zoom" {
			t.Errorf("%s at %g mm: %v", head, mm, err)
		}
	}
}
