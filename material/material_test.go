package material

import (
	"math"
	"strings"
	"testing"

	"halfstop/spectrum"
)

// near fails the test where got is further than tol from want; id is the row of the reference
// values.
func near(t *testing.T, id string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", id, got, want, tol)
	}
}

func preset(t *testing.T, name string) Surface {
	t.Helper()
	s, err := Preset(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Every preset exists by its name and its words turned round, keeps energy, has a source; unknown
// names get a suggestion.
func TestPresets(t *testing.T) {
	seen := map[string]bool{}
	for _, n := range Presets() {
		if seen[n] {
			t.Errorf("%q is there twice", n)
		}
		seen[n] = true
		s := preset(t, n)
		if err := s.Check(); err != nil {
			t.Error(err)
		}
		if s.Source == "" {
			t.Errorf("%q has no source", n)
		}
		words := strings.Fields(n)
		if again := preset(t, words[len(words)-1]+" "+strings.Join(words[:len(words)-1], " ")); again.Name != n {
			t.Errorf("%q turned round is %q", n, again.Name)
		}
	}
	for other, of := range aliases {
		if s := preset(t, other); s.Name != of {
			t.Errorf("%q gives %q", other, s.Name)
		}
		if seen[other] {
			t.Errorf("the alias %q hides a preset", other)
		}
	}
	for _, n := range []string{"off-white gloss", "grey lino", "white enamel", "navy wool", "Full Silk",
		"black foam board"} {
		preset(t, n)
	}
	if _, err := Preset("of white glos"); err == nil || !strings.Contains(err.Error(), `"off-white gloss"`) {
		t.Error(err)
	}
	t.Logf("%d presets", len(seen))
}

// Reflectances of the trade list stand in its ranges (common practice, no source), measured patches
// at their measured value.
func TestReflectances(t *testing.T) {
	for _, c := range []struct {
		name   string
		lo, hi float64
	}{
		{"white emulsion", 0.80, 0.88}, {"off-white emulsion", 0.69, 0.71}, {"pale grey", 0.49, 0.51},
		{"mid grey", 0.29, 0.31}, {"concrete", 0.25, 0.40}, {"red brick", 0.15, 0.25},
		{"light wood", 0.40, 0.50}, {"dark wood", 0.10, 0.15}, {"carpet grey", 0.05, 0.15},
		{"carpet beige", 0.05, 0.1501}, {"asphalt", 0.07, 0.12}, {"grass", 0.10, 0.20}, {"foliage", 0.10, 0.20},
		{"grey card", 0.1799, 0.1801}, {"white board", 0.85, 0.92}, {"silver reflector", 0.75, 0.85},
		{"black board", 0.04, 0.05}, {"black velvet", 0.003, 0.01}, {"black stage cloth", 0.01, 0.03},
		{"chart white", 0.88, 0.92},
	} {
		s := preset(t, c.name)
		if Y := s.LuminousReflectance(); Y < c.lo || Y > c.hi {
			t.Errorf("%s: %.3f is not in %g to %g", c.name, Y, c.lo, c.hi)
		}
	}
	// The chart's own names give the visual density of its greys; 10^−D within 0.012, half a step
	// of the density's second digit and the print's spread.
	for name, D := range map[string]float64{"white 9.5 (.05 D)": 0.05, "neutral 8 (.23 D)": 0.23,
		"neutral 6.5 (.44 D)": 0.44, "neutral 5 (.70 D)": 0.70, "neutral 3.5 (1.05 D)": 1.05, "black 2 (1.5 D)": 1.5} {
		near(t, name, spectrum.LuminousRatio(d65(), patches()[name]), math.Pow(10, -D), 0.012)
	}
}

// F1.1 and F3, F4: closed forms.
func TestClosedForms(t *testing.T) {
	near(t, "F1.1", Surface{Coat: 1.5}.CoatReflectance(), 0.04, 1e-5)
	stops := func(a, b Surface) float64 { return math.Log2(b.LuminousReflectance() / a.LuminousReflectance()) }
	near(t, "F3.1", stops(preset(t, "grey card"), preset(t, "perfect white")), 2.47393, 1e-3)
	near(t, "F3.2", stops(preset(t, "black velvet"), preset(t, "perfect white")), 7.64386, 1e-3)
	for _, c := range []struct {
		id       string
		t, stops float64
	}{{"F4.1", 0.7, 0.514573}, {"F4.2", 0.5, 1}, {"F4.3", 0.35, 1.51457}, {"F4.4", 0.25, 2}} {
		half := spectrum.Constant(c.t / 2)
		near(t, c.id, Surface{Transmit: half, Clear: half}.Stops(), c.stops, 1e-3)
	}
	if s := (Surface{}).Stops(); !math.IsInf(s, 1) {
		t.Errorf("nothing passes: %g", s)
	}
}

// A pane keeps energy and passes what clear float glass does (0.90 at 3 to 4 mm, common practice);
// without absorption its two faces of n 1.52 reflect 2r/(1+r) (closed form).
func TestPane(t *testing.T) {
	g := preset(t, "window glass")
	if !g.Pane() {
		t.Fatal("no pane")
	}
	near(t, "transmittance", g.LuminousTransmittance(), 0.90, 0.01)
	if sum := g.LuminousTransmittance() + g.LuminousReflectance(); sum > 1 || sum < 0.97 {
		t.Errorf("through and back: %.3f", sum)
	}
	ideal := Surface{Clear: spectrum.Constant(1), Coat: 1.52}
	r := ideal.CoatReflectance()
	near(t, "two faces", ideal.LuminousReflectance(), 2*r/(1+r), 1e-9)
	near(t, "through and back", ideal.LuminousReflectance()+ideal.LuminousTransmittance(), 1, 1e-9)
	if err := ideal.Check(); err != nil {
		t.Error(err)
	}
}

// Cloths take what the trade says (common practice, no source; makers differ by ±0.3 stop).
func TestCloths(t *testing.T) {
	for name, want := range map[string]float64{"quarter silk": 0.5, "half silk": 1, "full silk": 1.8,
		"quarter grid cloth": 1, "half grid cloth": 1.5, "full grid cloth": 2.3, "muslin": 2,
		"full white diffusion": 1.5, "half white diffusion": 0.75, "quarter white diffusion": 0.33,
		"eighth white diffusion": 0.25, "opal": 0.5, "light frost": 0.25, "heavy frost": 2, "single net": 0.5,
		"double net": 1} {
		near(t, name, preset(t, name).Stops(), want, 0.3)
	}
	// Muslin warms by 100 to 300 K; taken at 5,600 K.
	m := preset(t, "muslin")
	k, _, _ := spectrum.CCTOhno2013(spectrum.White(5600).Mul(m.Transmit).XY())
	if k > 5500 || k < 5200 {
		t.Errorf("muslin makes 5600 K into %.0f K", k)
	}
	t.Logf("muslin makes 5600 K into %.0f K", k)
}

// F5. Source: Cooksey, Allen, Tsai 2017 (NIST M38597).
func TestSkinGroups(t *testing.T) {
	for _, c := range []struct {
		id   string
		name string
		nm   float64
		want float64
	}{
		{"F5.1", "mean_all", 450, 0.2523}, {"F5.2", "lowest10", 450, 0.1252}, {"F5.3", "p30_70", 450, 0.2646},
		{"F5.4", "highest10", 450, 0.3283},
		{"F5.5", "mean_all", 550, 0.3161}, {"F5.6", "lowest10", 550, 0.1871}, {"F5.7", "p30_70", 550, 0.3259},
		{"F5.8", "highest10", 550, 0.3944},
		{"F5.9", "mean_all", 650, 0.5566}, {"F5.10", "lowest10", 650, 0.3872}, {"F5.11", "p30_70", 650, 0.5763},
		{"F5.12", "highest10", 650, 0.6288},
	} {
		s, err := SkinGroup(c.name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.id, s.At(c.nm), c.want, 0.002)
	}
	level := func(name string) float64 {
		s, err := SkinGroup(name)
		if err != nil {
			t.Fatal(err)
		}
		return spectrum.LuminousRatio(d65(), s)
	}
	near(t, "F5.13", level("lowest10"), 0.216081, 0.002)
	near(t, "F5.14", level("mean_all"), 0.359207, 0.002)
	near(t, "F5.15", level("highest10"), 0.438149, 0.002)
	near(t, "F5.16", math.Log2(level("highest10")/level("lowest10")), 1.01985, 0.02)
	if _, err := SkinGroup("sd_all"); err == nil {
		t.Error("a spread is no skin")
	}
}

// F6. Source: Jacques 1998; the second form from memory. They agree at 550 nm.
func TestMelanin(t *testing.T) {
	near(t, "F6.1", MelanosomeAbsorption(550), 494.466, 1)
	near(t, "F6.2", 1.70e12*math.Pow(550, -3.48), MelanosomeAbsorption(550), 1)
	near(t, "melanin(550)", melanin(550), 1, 1e-12)
}

// Skin runs evenly in lightness from body 0.41 to 0.05; each step is darker at every wavelength;
// energy kept; spectra stay near the measured groups in their range and redden with depth.
func TestSkin(t *testing.T) {
	last := spectrum.Curve{}
	for k := 1.0; k <= 10; k += 0.25 {
		s := Skin(k)
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		if !last.Empty() {
			for i := range last.V {
				if s.Diffuse.V[i] > last.V[i]+1e-9 {
					t.Fatalf("skin %g is lighter than the step before at %g nm", k, 380+5*float64(i))
				}
			}
		}
		last = s.Diffuse
	}
	body := func(k float64) float64 { return spectrum.LuminousRatio(d65(), Skin(k).Diffuse) }
	near(t, "palest", body(1), 0.41, 1e-3)
	near(t, "deepest", body(10), 0.05, 1e-3)
	if Y := Skin(10).LuminousReflectance(); Y < 0.05 || Y > 0.10 {
		t.Errorf("deepest with gloss: %.3f is outside the trade's 0.05 to 0.10", Y)
	}
	// At the level of a measured group the whole spectrum is that group's.
	for _, g := range skinGroups[:4] {
		measured, _ := SkinGroup(g)
		want := spectrum.LuminousRatio(d65(), measured)
		lo, hi := 1.0, 10.0
		for range 40 {
			if m := (lo + hi) / 2; Skin(m).LuminousReflectance() > want {
				lo = m
			} else {
				hi = m
			}
		}
		got := Skin(lo).Total()
		for nm := 400.0; nm <= 720; nm += 20 {
			near(t, g, got.At(nm), measured.At(nm), 0.003)
		}
		t.Logf("%s is skin %.2f", g, lo)
	}
	near(t, "held", body(-3), body(1), 0)
	near(t, "held", body(99), body(10), 0)
	near(t, "NaN", body(math.NaN()), body(MiddleSkin), 0)
	for k := 1.0; k <= 10; k++ {
		d := Skin(k).Diffuse
		lab := d65().Mul(d).XYZ().Lab(d65().XYZ())
		t.Logf("skin %2.0f: body %.3f, L* %.1f a* %.1f b* %.1f; 450/550/650 nm %.3f %.3f %.3f", k, body(k), lab.L,
			lab.A, lab.B, d.At(450), d.At(550), d.At(650))
	}
}

func TestHair(t *testing.T) {
	level := map[string]float64{}
	for _, c := range HairColours() {
		h := Hair(c)
		if err := h.Check(); err != nil {
			t.Error(err)
		}
		if h.Name != c+" hair" {
			t.Errorf("%s gives %s", c, h.Name)
		}
		level[c] = spectrum.LuminousRatio(d65(), h.Diffuse)
	}
	if !(level["black"] < level["dark brown"] && level["dark brown"] < level["brown"] &&
		level["brown"] < level["blonde"] && level["blonde"] < level["white"]) {
		t.Errorf("%v", level)
	}
	if Hair("purple").Name != "dark brown hair" {
		t.Error("an unknown colour is not dark brown")
	}
}

func TestCheck(t *testing.T) {
	half := spectrum.Constant(0.5)
	for want, s := range map[string]Surface{
		"over 1":        {Diffuse: half, Transmit: half, Coat: 1.5},
		"peak":          {Diffuse: spectrum.Curve{Start: 500, Step: 0.25, V: []float64{0.2, 0.2, 1.4, 0.2}}},
		"negative":      {Mirror: spectrum.Constant(-0.1)},
		"not a number":  {Clear: spectrum.Constant(math.NaN())},
		"roughness":     {Diffuse: half, Rough: 1.2},
		"roughness NaN": {Diffuse: half, CoatRough: math.NaN()},
		"index":         {Diffuse: half, Coat: 0.5},
		"index NaN":     {Diffuse: half, Coat: math.NaN()},
		"step":          {Diffuse: spectrum.Curve{Start: 400, Step: 0, V: []float64{0.1, 0.2}}},
		"infinite":      {Diffuse: spectrum.Constant(math.Inf(1))},
		"all four together": {Diffuse: half, Mirror: spectrum.Constant(0.3), Transmit: spectrum.Constant(0.15),
			Clear: spectrum.Constant(0.1)},
	} {
		if s.Check() == nil {
			t.Errorf("%s: taken", want)
		}
	}
	for _, s := range []Surface{{}, {Diffuse: half, Transmit: half}, {Diffuse: spectrum.Constant(0.96), Coat: 1.5},
		Grey(math.NaN()), Grey(7), Grey(-1)} {
		if err := s.Check(); err != nil {
			t.Error(err)
		}
	}
}

func FuzzPreset(f *testing.F) {
	for _, s := range []string{"full silk", "", "GREY lino", "½", "\x00", "patch foliage"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if s, err := Preset(name); err == nil && s.Check() != nil {
			t.Fatal(s.Check())
		}
		if g, err := FindGel(name); err == nil && g.Transmittance.Check() != nil {
			t.Fatal(g.Transmittance.Check())
		}
		if err := Hair(name).Check(); err != nil {
			t.Fatal(err)
		}
	})
}

// Colour cells never panic and never pass a value outside 0 to 1 unseen by Check.
func FuzzColour(f *testing.F) {
	for _, s := range []string{"0.5", "380:0.1 700:0.9 = 0.4", "= 1", "patch foliage = 0.1", "400:1", "400:x 500:1",
		"400:1 400:1", "nan", "380:0 700:0 = 0.5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, cell string) {
		if len(cell) > 300 {
			return
		}
		c, err := parseColour(cell)
		if err == nil && !c.Empty() && c.Check() != nil {
			t.Fatalf("%q: %v", cell, c.Check())
		}
	})
}

// The default skin is the middle of the measured people: the mean of the middle forty of a hundred
// (Cooksey, Allen, Tsai 2017), to 0.03 stops. The scale and its inverse agree to a hundredth of a
// step.
func TestMiddleSkin(t *testing.T) {
	g, err := SkinGroup("p30_70")
	if err != nil {
		t.Fatal(err)
	}
	if st := math.Log2(SkinReflectance(MiddleSkin) / spectrum.LuminousRatio(d65(), g)); math.Abs(st) > 0.03 {
		t.Errorf("the default skin is %.2f stops off the middle group", st)
	}
	for _, k := range []float64{1.5, 4, 9} {
		if got, ok := SkinOfReflectance(SkinReflectance(k)); !ok || math.Abs(got-k) > 0.01 {
			t.Errorf("skin %g comes back as %.3f, %v", k, got, ok)
		}
	}
	if k, ok := SkinOfReflectance(0.8); ok || k > 1.01 {
		t.Errorf("80 %% is skin %g, %v", k, ok)
	}
}
