package spectrum

import (
	"math"
	"slices"
	"testing"
)

type named struct {
	name string
	c    Curve
}

func shape(t testing.TB, pairs ...float64) Curve {
	t.Helper()
	var p [][2]float64
	for i := 0; i+1 < len(pairs); i += 2 {
		p = append(p, [2]float64{pairs[i], pairs[i+1]})
	}
	c, err := Smooth(p)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// studyLights are lamps, gelled flash (shapes ours), single LEDs and mixes; white tells which are
// judged under their own white.
func studyLights(t testing.TB) (lights []named, white []bool) {
	add := func(name string, c Curve, w bool) {
		lights = append(lights, named{name, c.grid().PerLuminance()})
		white = append(white, w)
	}
	for _, n := range []string{"D65", "D50", "A", "tungsten 2700", "xenon flash", "white led 2700", "white led 4000",
		"white led 5600", "measured white led", "fluorescent 4000",
		"fluorescent cool white", "triphosphor 3000", "measured triphosphor"} {
		l, err := Lamp(n)
		if err != nil {
			t.Fatal(err)
		}
		add(n, l, true)
	}
	rgb := Drives{Primaries: []Primary{{"r", Gaussian(630, 18), 300, false}, {"g", Gaussian(525, 33), 700, false},
		{"b", Gaussian(465, 22), 90, false}}}
	mix := func(c XY) Curve {
		d, _, _ := rgb.Solve(c)
		return rgb.Light(d)
	}
	add("RGB white 5600", mix(White(5600).XY()), true)
	add("RGB white 3200", mix(White(3200).XY()), true)
	add("RGB magenta", mix(XY{0.36, 0.18}), false)
	add("RGB amber", mix(XY{0.52, 0.42}), false)
	add("RGB cyan", mix(XY{0.18, 0.32}), false)
	for _, n := range []string{"led red", "led green", "led blue", "neon red", "neon blue", "neon pink"} {
		l, err := Lamp(n)
		if err != nil {
			t.Fatal(err)
		}
		add(n, l, false)
	}
	flash, _ := Lamp("xenon flash")
	add("flash, orange gel", flash.Mul(shape(t, 380, 0.2, 450, 0.28, 500, 0.36, 550, 0.5, 600, 0.74, 650, 0.86, 780,
		0.9)), true)
	add("flash, red gel", flash.Mul(shape(t, 380, 0.006, 560, 0.008, 580, 0.03, 600, 0.25, 620, 0.62, 650, 0.84, 780,
		0.88)), false)
	add("flash, deep blue gel", flash.Mul(shape(t, 380, 0.25, 430, 0.48, 460, 0.36, 490, 0.13, 520, 0.03, 560, 0.01,
		620, 0.008, 680, 0.012, 720, 0.2, 780, 0.6)), false)
	add("flash, green gel", flash.Mul(shape(t, 380, 0.01, 450, 0.04, 480, 0.18, 505, 0.48, 530, 0.56, 560, 0.36, 590,
		0.1, 630, 0.03, 690, 0.05, 730, 0.25, 780, 0.5)), false)
	return lights, white
}

// studyPaths are one to three reflections and cloth transmission over the 24-patch chart, skin,
// walls and fabrics.
func studyPaths(t testing.TB) (paths [][]named) {
	table := func(file string, keep func(string) bool) (out []named) {
		names, rows := readTest(t, file)
		for j := 1; j < len(names); j++ {
			if !keep(names[j]) {
				continue
			}
			var p [][2]float64
			for _, r := range rows {
				p = append(p, [2]float64{r[0], r[j]})
			}
			c, err := Smooth(p)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, named{names[j], c})
		}
		return out
	}
	patches := table("patches24.csv", func(string) bool { return true })
	skins := table("skin.csv", func(n string) bool { return n != "sd_all" })
	deep := skins[1].c.Scale(1)
	for i := range deep.V {
		deep.V[i] *= math.Exp(-1.2 * math.Pow(550/(deep.Start+deep.Step*float64(i)), 3.33))
	}
	skins = append(skins, named{"deep skin", deep})
	walls := []named{
		{"white wall", shape(t, 380, 0.35, 400, 0.62, 420, 0.8, 450, 0.86, 550, 0.88, 780, 0.88)},
		{"cream wall", shape(t, 380, 0.18, 420, 0.36, 460, 0.52, 510, 0.7, 560, 0.79, 620, 0.82, 780, 0.83)},
		{"red wall", shape(t, 380, 0.05, 500, 0.045, 560, 0.05, 585, 0.12, 610, 0.38, 640, 0.56, 700, 0.62, 780, 0.65)},
		{"blue wall", shape(t, 380, 0.25, 440, 0.38, 470, 0.38, 510, 0.24, 550, 0.12, 600, 0.07, 660, 0.06, 700, 0.08,
			780, 0.14)},
		{"green wall", shape(t, 380, 0.06, 450, 0.08, 490, 0.18, 520, 0.32, 550, 0.3, 590, 0.17, 640, 0.09, 700, 0.1,
			780, 0.2)},
		{"brick", shape(t, 380, 0.05, 450, 0.07, 520, 0.1, 560, 0.14, 590, 0.22, 620, 0.29, 660, 0.33, 700, 0.35, 780,
			0.38)},
		{"wood", shape(t, 380, 0.12, 430, 0.2, 480, 0.29, 530, 0.38, 580, 0.48, 630, 0.56, 700, 0.64, 780, 0.68)},
	}
	fabrics := []named{
		{"navy", shape(t, 380, 0.05, 430, 0.06, 460, 0.06, 500, 0.045, 550, 0.032, 600, 0.028, 650, 0.03, 700, 0.08,
			780, 0.25)},
		{"red dress", shape(t, 380, 0.05, 500, 0.04, 560, 0.045, 590, 0.12, 620, 0.35, 660, 0.5, 700, 0.56, 780, 0.62)},
		{"emerald", shape(t, 380, 0.05, 450, 0.07, 490, 0.15, 520, 0.2, 550, 0.16, 600, 0.07, 660, 0.05, 700, 0.08, 780,
			0.2)},
		{"denim", shape(t, 380, 0.14, 430, 0.18, 460, 0.19, 500, 0.15, 560, 0.1, 620, 0.075, 670, 0.08, 700, 0.14, 780,
			0.35)},
	}
	cloths := []named{
		{"muslin", shape(t, 380, 0.16, 420, 0.2, 480, 0.23, 560, 0.25, 780, 0.27)},
		{"red cloth", shape(t, 380, 0.02, 550, 0.02, 580, 0.06, 610, 0.25, 650, 0.4, 780, 0.45)},
		{"blue cloth", shape(t, 380, 0.2, 450, 0.3, 490, 0.22, 540, 0.09, 600, 0.04, 680, 0.05, 720, 0.2, 780, 0.4)},
	}
	single := slices.Concat(patches, skins, walls, fabrics)
	for _, r := range single {
		paths = append(paths, []named{r})
	}
	for _, w := range walls {
		for _, s := range skins {
			paths = append(paths, []named{w, s})
		}
	}
	for i, w := range walls {
		for _, v := range walls[:i+1] {
			for _, s := range skins[1:] {
				paths = append(paths, []named{w, v, s})
			}
		}
	}
	for _, c := range cloths {
		for _, r := range single {
			paths = append(paths, []named{c, r})
		}
	}
	return paths
}

// The sixteen windows against 1 nm, over 28 lights and 385 paths: mean ΔE2000 ≤ 0.1, largest ≤ 1.5
// on visible paths (at least 0.5 % of the light's luminance left; darker ones have no meaning in a
// picture). Exposure is set so that the truth has L* 60; white lights are judged after CAT16 from
// their own white, the others under D65. Source: own study.
func TestWindowsAgainst1nm(t *testing.T) {
	lights, white := studyLights(t)
	paths := studyPaths(t)
	products := make([][gridCount]float64, len(paths))
	bands := make([]Band, len(paths))
	for i, p := range paths {
		bands[i] = One()
		for j := range products[i] {
			products[i][j] = 1
			for _, r := range p {
				products[i][j] *= r.c.AtHeld(gridStart + float64(j))
			}
		}
		for _, r := range p {
			bands[i] = bands[i].Mul(r.c.Windows())
		}
	}
	var all []float64
	worst, worstStops := 0.0, 0.0
	var worstLight, worstPath string
	visible, negative := 0, 0
	for l, light := range lights {
		fold := FoldCIE(light.c)
		own := light.c.XY().XYZ(1)
		adapt := Adaptation{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
		if white[l] {
			adapt = CAT16(own, WhiteD65)
		}
		var these []float64
		for i := range paths {
			var truth [3]float64
			for k := range truth {
				for j, s := range light.c.V {
					truth[k] += s * products[i][j] * cmf[k][j] * Km
				}
			}
			if truth[1] < 0.005 {
				continue
			}
			visible++
			got := fold.XYZ(&bands[i])
			if got.X < 0 || got.Y < 0 || got.Z < 0 {
				negative++
			}
			scale := Lab{L: 60}.XYZ(WhiteD65).Y / truth[1]
			want := XYZ{truth[0], truth[1], truth[2]}.Scale(scale)
			de := DeltaE2000(adapt.XYZ(want).Lab(WhiteD65), adapt.XYZ(got.Scale(scale)).Lab(WhiteD65))
			these = append(these, de)
			worstStops = math.Max(worstStops, math.Abs(math.Log2(got.Y/truth[1])))
			if de > worst {
				worst, worstLight, worstPath = de, light.name, ""
				for _, r := range paths[i] {
					worstPath += r.name + " "
				}
			}
		}
		slices.Sort(these)
		t.Logf("%-22s %3d paths: mean %.3f, 95 %% %.3f, max %.3f", light.name, len(these), mean(these),
			these[len(these)*95/100], these[len(these)-1])
		all = append(all, these...)
	}
	slices.Sort(all)
	t.Logf("%d lights x %d paths, %d visible: mean %.4f, 95 %% %.3f, max %.3f (%s; %s), worst %.3f stops", len(lights),
		len(paths), visible, mean(all), all[len(all)*95/100], worst, worstLight, worstPath, worstStops)
	if m := mean(all); m > 0.1 || worst > 1.5 || negative > 0 {
		t.Errorf("mean %.4f (limit 0.1), max %.3f (limit 1.5), %d negative", m, worst, negative)
	}
}

func mean(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

// White transport gives the light's own white at Y = 1; grey transport scales; a sensor that is the
// observer reads the same.
func TestFold(t *testing.T) {
	for _, n := range Names() {
		l, err := Lamp(n)
		if err != nil {
			t.Fatal(err)
		}
		f := FoldCIE(l)
		one := One()
		w := f.XYZ(&one)
		c := l.XYZ()
		near(t, n+" X", w.X, c.X, 2e-5)
		near(t, n+" Y", w.Y, 1, 2e-5)
		near(t, n+" Z", w.Z, c.Z, 2e-5*math.Max(1, c.Z))
		g := FoldSensor(l, [3]Curve{{gridStart, 1, cmf[0][:]}, {gridStart, 1, cmf[1][:]}, {gridStart, 1, cmf[2][:]}})
		if f.W != g.W {
			t.Errorf("%s: the observer as a sensor reads otherwise", n)
		}
	}
	var dark Fold
	if f := FoldCIE(Curve{}); f != dark {
		t.Error("darkness has weights")
	}
	nan := One()
	nan[3] = float32(math.NaN())
	d65, _ := Lamp("D65")
	f := FoldCIE(d65)
	for _, v := range f.Apply(&nan) {
		if math.IsNaN(v) {
			t.Error("NaN passed on")
		}
	}
}

// No positive transport reads negative, whatever it is: the guard.
func FuzzFoldGuard(f *testing.F) {
	f.Add(uint64(1))
	f.Add(uint64(0xffff0000ffff))
	f.Add(uint64(0x8000000000000001))
	light, _ := Lamp("neon red")
	folds := []Fold{FoldCIE(light), FoldCIE(Gaussian(450, 18)), FoldCIE(White(5600))}
	f.Fuzz(func(t *testing.T, bits uint64) {
		var b Band
		for i := range b {
			b[i] = float32(bits>>(4*i)&15) / 15
		}
		for k := range folds {
			for _, v := range folds[k].Apply(&b) {
				if !(v >= 0) || math.IsInf(v, 0) {
					t.Fatalf("%v gives %g", b, v)
				}
			}
		}
	})
}

func FuzzLamp(f *testing.F) {
	for _, s := range []string{"neon red", "white led 5600 K", "5600", "", "1e300", "NaN", "-3 K", "tungsten ½",
		"flash flash 3000", "inf k"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		c, err := Lamp(name)
		if err != nil {
			return
		}
		if err := c.Check(); err != nil || c.Empty() {
			t.Fatalf("%q: %v", name, err)
		}
	})
}

func FuzzPairs(f *testing.F) {
	f.Add(400.0, 0.1, 500.0, 0.9, 600.0, 0.2)
	f.Add(400.0, 0.1, 400.0001, 0.9, 20000.0, 0.2)
	f.Add(700.0, 0.0, 100.0, 1e300, 600.5, 0.2)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g float64) {
		for _, make := range []func([][2]float64) (Curve, error){OfPairs, Smooth} {
			out, err := make([][2]float64{{a, b}, {c, d}, {e, g}})
			if err != nil {
				continue
			}
			if len(out.V) > 2_000_000 {
				t.Fatalf("%d samples", len(out.V))
			}
			if err := out.Check(); err != nil && b < 1e200 && d < 1e200 && g < 1e200 {
				t.Fatal(err)
			}
		}
	})
}
