package material

import (
	"fmt"
	"math"
	"sync"

	"halfstop/spectrum"
)

// The two ends of the skin scale: body reflectance (gloss not counted) under D65. The pale end is
// the lightest tenth of the NIST subjects less the gloss; the deep end is the trade's 0.05 to 0.10
// (gloss counted), common practice, no source.
const skinPale, skinDeep = 0.41, 0.05

// skinIndex is the refractive index of the outermost layer, 1.40 to 1.45 in use; skinRough is the
// square root of GGX alpha 0.3.
const skinIndex, skinRough = 1.40, 0.55

// skinGroups are the measured groups, darkest first.
var skinGroups = []string{"lowest10", "p10_30", "p30_70", "p70_90", "highest10"}

var skinTable = sync.OnceValue(func() map[string]spectrum.Curve { return columns("skin.csv") })

// SkinGroup returns measured skin reflectance, gloss included: 'mean_all', 'lowest10', 'p10_30',
// 'p30_70', 'p70_90' or 'highest10' of 100 subjects ranked at 550 nm, 380 to 730 nm. Source:
// Cooksey, Allen, Tsai 2017 (NIST, DOI 10.18434/M38597). Check: TestSkinGroups (F5).
func SkinGroup(name string) (spectrum.Curve, error) {
	c, ok := skinTable()[name]
	if !ok || name == "sd_all" {
		return spectrum.Curve{}, fmt.Errorf("no skin group is called %q; the nearest is %q", name,
			spectrum.Nearest(name, append([]string{"mean_all"}, skinGroups...)))
	}
	return c, nil
}

// skinFloor is the body reflectance that no amount of melanin takes away: light sent back above it.
// Fitted: with it the measured step from the lightest to the darkest tenth (1.13, 0.83, 0.51 in
// natural density at 450, 550, 650 nm) comes near the fall of melanin absorption with wavelength.
const skinFloor = 0.02

// melanin is the absorption of melanosomes relative to 550 nm: nm^−3.33. Source: Jacques (from
// memory; agrees at 550 nm with his published nm^−3.48 form). Check: TestMelanin (F6).
func melanin(nm float64) float64 { return MelanosomeAbsorption(nm) / MelanosomeAbsorption(550) }

// MelanosomeAbsorption returns the absorption coefficient of the inside of a melanosome, per cm, at
// nm. Check: TestMelanin (F6.1).
func MelanosomeAbsorption(nm float64) float64 { return 6.6e11 * math.Pow(nm, -3.33) }

// Skin returns the skin of a face on a scale from 1 (very pale) to 10 (very deep); parts of a step
// are allowed, values outside are held, not a number reads as MiddleSkin.
//
// Steps are even in lightness L* between body reflectances 0.41 and 0.05 under D65 (gloss adds
// 0.028). Down to the darkest tenth measured the spectrum lies between the measured groups; deeper,
// that group is seen through more melanin, absorbing as λ^−3.33, over a floor of 0.02. The coat is
// the dry sheen of skin, n 1.40, GGX alpha 0.3 (common practice). Source: NIST forearm data;
// Jacques. Check: TestSkin.
func Skin(k float64) Surface {
	if math.IsNaN(k) {
		k = MiddleSkin
	}
	k = math.Max(1, math.Min(10, k))
	return skins.get(k, func() Surface { return skinOf(k) })
}

// skins remembers: finding a skin takes a millisecond, and a stage that is built anew with every
// move of a hand asks for the same one.
var skins remembered

type remembered struct {
	mu sync.Mutex
	of map[float64]Surface
}

// get gives what was made of k, and makes it where it was not. What is remembered is bounded.
func (r *remembered) get(k float64, make func() Surface) Surface {
	r.mu.Lock()
	defer r.mu.Unlock()
	s, ok := r.of[k]
	if !ok {
		s = make()
		if r.of == nil || len(r.of) >= mostSkins {
			r.of = map[float64]Surface{}
		}
		r.of[k] = s
	}
	return s
}

const mostSkins = 64

// skinOf makes a skin of a step within the scale.
func skinOf(k float64) Surface {
	s := Surface{Name: fmt.Sprintf("skin %.3g", k), Coat: skinIndex, CoatRough: skinRough,
		Source: "between NIST forearm groups (Cooksey, Allen, Tsai 2017), gloss taken off; deeper by added " +
			"melanin (Jacques)"}
	white := spectrum.XYZ{X: 1, Y: 1, Z: 1}
	lightness := func(Y float64) float64 { return spectrum.XYZ{X: Y, Y: Y, Z: Y}.Lab(white).L }
	L := lightness(skinPale) + (k-1)/9*(lightness(skinDeep)-lightness(skinPale))
	want := spectrum.Lab{L: L}.XYZ(white).Y
	s.Diffuse = skinBody(want, s.CoatReflectance())
	return s
}

// MiddleSkin is the step of the scale in the middle of the hundred people measured (their forearms;
// a face may be a little darker). Check: TestMiddleSkin.
const MiddleSkin = 2.0

// SkinReflectance is the luminous reflectance of Skin under D65, gloss included.
func SkinReflectance(k float64) float64 { return spectrum.LuminousRatio(d65(), Skin(k).Total()) }

// SkinOfReflectance is the step of the scale with a luminous reflectance under D65, gloss included;
// ok is false for one that lies outside the scale by more than a tenth of itself, and the nearest
// end is given. Check: TestMiddleSkin.
func SkinOfReflectance(rho float64) (k float64, ok bool) {
	pale, deep := SkinReflectance(1), SkinReflectance(10)
	lo, hi := 1.0, 10.0
	for range 30 {
		if m := (lo + hi) / 2; SkinReflectance(m) > rho {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2, rho < pale*1.1 && rho > deep/1.1
}

// skinBody returns the body reflectance with luminous level want.
func skinBody(want, gloss float64) spectrum.Curve {
	body := func(name string) spectrum.Curve {
		c, err := SkinGroup(name)
		if err != nil {
			panic(err)
		}
		out := spectrum.Curve{Start: 380, Step: 5, V: make([]float64, 81)}
		for i := range out.V {
			// The table ends at 730 nm; skin is nearly level there, so its end value is held.
			out.V[i] = math.Max(0, c.AtHeld(380+5*float64(i))-gloss)
		}
		return out
	}
	level := func(c spectrum.Curve) float64 { return spectrum.LuminousRatio(d65(), c) }
	low := body(skinGroups[0])
	if at := level(low); want < at {
		// More melanin over the darkest group: find how much by halving.
		through := func(m float64) spectrum.Curve {
			out := low.Scale(1)
			for i := range out.V {
				a := math.Exp(-m * melanin(out.Start+float64(i)*out.Step))
				out.V[i] = skinFloor + (out.V[i]-skinFloor)*a
			}
			return out
		}
		lo, hi := 0.0, 10.0
		for range 50 {
			if m := (lo + hi) / 2; level(through(m)) > want {
				lo = m
			} else {
				hi = m
			}
		}
		return through(lo)
	}
	for i := 1; i < len(skinGroups); i++ {
		high := body(skinGroups[i])
		a, b := level(low), level(high)
		if want <= b || i == len(skinGroups)-1 {
			f := (want - a) / (b - a)
			out := low.Scale(1)
			for j := range out.V {
				out.V[j] = math.Max(0, low.V[j]+f*(high.V[j]-low.V[j]))
			}
			return out
		}
		low = high
	}
	return low
}

var hairs = sync.OnceValue(func() []Surface {
	var out []Surface
	_, cells := rows("hair.csv", "|")
	for _, r := range cells {
		c, err := parseColour(r[1])
		if err != nil {
			panic("hair.csv: " + r[0] + ": " + err.Error())
		}
		out = append(out, Surface{Name: r[0] + " hair", Diffuse: c, Coat: 1.55, CoatRough: 0.45, Mirror: innerSheen(c),
			Rough:  0.63,
			Source: "common practice, no source; sheen of the fibre after Marschner et al. 2003"})
	}
	return out
})

// innerSheen is the light that has been through a fibre and back, in the colour of the hair: 8 % of
// what a clear fibre gets (about what a glass thread of n 1.55 sends back so), times the root of
// the mass's reflectance, which stands for the way through one fibre. Common practice, no source.
func innerSheen(mass spectrum.Curve) spectrum.Curve {
	out := mass.Scale(1)
	for i, v := range out.V {
		out.V[i] = 0.08 * math.Sqrt(math.Max(0, v))
	}
	return out
}

// Hair returns a mass of hair: diffuse, with two sheens that a renderer lays along the strands: the
// gloss of keratin (n 1.55; spread along the fibre by GGX alpha 0.2, the 5° to 10° measured on
// fibres) and the tinted, wider one from within. Source: Marschner et al. 2003. Colours as in
// HairColours; an unknown one gives dark brown. Common practice, no source. Check: TestHair.
func Hair(colour string) Surface {
	all := hairs()
	for _, h := range all {
		if spectrum.SameWords(h.Name, colour+" hair") || spectrum.SameWords(h.Name, colour) {
			return h
		}
	}
	return all[1]
}
