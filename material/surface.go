package material

import (
	"fmt"
	"maps"
	"math"
	"strings"
	"sync"

	"halfstop/spectrum"
)

// Surface is what something is made of. The four curves are shares of the light that arrives (0 to
// 1, ends held, empty: 0):
//
//   - Diffuse: sent back evenly in all directions, the coat's gloss not counted (as an instrument
//     with its gloss trap open reads it).
//   - Mirror: sent back about the mirror direction with roughness Rough. With Conductor, it is the
//     metal's reflectance at normal incidence.
//   - Transmit: scattered through evenly to the other side.
//   - Clear: straight through.
//
// Rough and CoatRough are 0 (polished) to 1; GGX alpha is their square. Coat is the refractive
// index of a clear layer on top, whose Fresnel reflection comes on top of Diffuse; 0 for none. (A
// renderer that takes Diffuse as the albedo under the coat is darker by the coat's few per cent:
// 0.06 stop at n 1.5.) A surface with Clear and Coat alone is a pane: Coat is the index of the
// glass and Clear what the glass itself lets through, the two faces not counted.
type Surface struct {
	Name                             string
	Diffuse, Mirror, Transmit, Clear spectrum.Curve
	Rough                            float64
	Coat                             float64
	CoatRough                        float64
	Conductor                        bool
	Source                           string
}

// CoatReflectance returns what the coat reflects at normal incidence, ((n−1)/(n+1))²; 0 without a
// coat. Check: F1.1.
func (s Surface) CoatReflectance() float64 {
	if !(s.Coat > 0) {
		return 0
	}
	r := (s.Coat - 1) / (s.Coat + 1)
	return r * r
}

// Pane tells whether the surface is a clear pane with two faces.
func (s Surface) Pane() bool {
	return s.Coat > 0 && !s.Clear.Empty() && s.Diffuse.Empty() && s.Mirror.Empty() && s.Transmit.Empty()
}

// Total returns how much light comes back at normal incidence: diffuse, mirror and coat together;
// of a pane, both faces (all orders).
func (s Surface) Total() spectrum.Curve {
	out := spectrum.Curve{Start: 360, Step: 1, V: make([]float64, 471)}
	r := s.CoatReflectance()
	for i := range out.V {
		nm := 360 + float64(i)
		if s.Pane() {
			a := s.Clear.AtHeld(nm)
			out.V[i] = r + (1-r)*(1-r)*a*a*r/(1-r*r*a*a)
			continue
		}
		out.V[i] = s.Diffuse.AtHeld(nm) + s.Mirror.AtHeld(nm) + r
	}
	return out
}

// Check reports a surface that could not exist: a share that is negative or not a number, more
// light leaving than arriving at some wavelength (the coat's reflection at normal incidence
// counted), a roughness outside 0 to 1, a coat outside 1 to 3.
func (s Surface) Check() error {
	parts := []struct {
		name string
		c    spectrum.Curve
	}{{"diffuse", s.Diffuse}, {"mirror", s.Mirror}, {"transmit", s.Transmit}, {"clear", s.Clear}}
	for _, p := range parts {
		if err := p.c.Check(); err != nil {
			return fmt.Errorf("%s of %q: %w", p.name, s.Name, err)
		}
	}
	if !(s.Rough >= 0 && s.Rough <= 1) || !(s.CoatRough >= 0 && s.CoatRough <= 1) {
		return fmt.Errorf("roughness %g, %g of %q is not between 0 and 1", s.Rough, s.CoatRough, s.Name)
	}
	if s.Coat != 0 && !(s.Coat >= 1 && s.Coat <= 3) {
		return fmt.Errorf("refractive index %g of the coat of %q is not between 1 and 3", s.Coat, s.Name)
	}
	// Every sample of every curve is looked at, since a peak may lie between whole nanometres.
	for _, p := range parts {
		for i := range p.c.V {
			nm := p.c.Start + float64(i)*p.c.Step
			sum := s.CoatReflectance()
			if s.Pane() {
				sum = 0
			}
			for _, q := range parts {
				sum += q.c.AtHeld(nm)
			}
			if sum > 1+1e-9 {
				return fmt.Errorf(
					"%q gives back %.1f %% of the light at %g nm: diffuse %.3f + mirror %.3f + transmit %.3f + "+
						"clear %.3f + coat %.3f is over 1",
					s.Name, 100*sum, nm, s.Diffuse.AtHeld(nm), s.Mirror.AtHeld(nm), s.Transmit.AtHeld(nm),
					s.Clear.AtHeld(nm), s.CoatReflectance())
			}
		}
	}
	return nil
}

// LuminousTransmittance returns the share of D65 light that goes through at normal incidence,
// scattered and straight.
func (s Surface) LuminousTransmittance() float64 {
	if s.Pane() {
		r := s.CoatReflectance()
		through := s.Clear.ResampleHeld(360, 1, 471)
		for i, a := range through.V {
			through.V[i] = (1 - r) * (1 - r) * a / (1 - r*r*a*a)
		}
		return spectrum.LuminousRatio(d65(), through)
	}
	return spectrum.LuminousRatio(d65(), s.Transmit) + spectrum.LuminousRatio(d65(), s.Clear)
}

// Stops returns what the surface takes from light through it, in stops; +Inf where nothing passes.
// Check: F4.
func (s Surface) Stops() float64 { return -math.Log2(s.LuminousTransmittance()) }

// presets reads surfaces.csv once.
var presets = sync.OnceValue(func() []Surface {
	var out []Surface
	_, cells := rows("surfaces.csv", "|")
	for _, r := range cells {
		s := Surface{Name: r[0], Rough: number(r[5]), Coat: number(r[6]), CoatRough: number(r[7]),
			Conductor: r[8] == "1", Source: r[9]}
		for k, c := range []*spectrum.Curve{&s.Diffuse, &s.Mirror, &s.Transmit, &s.Clear} {
			curve, err := parseColour(r[1+k])
			if err != nil {
				panic("surfaces.csv: " + s.Name + ": " + err.Error())
			}
			*c = curve
		}
		if rest, ok := strings.CutPrefix(s.Source, "CP"); ok {
			s.Source = "common practice, no source" + rest
		}
		s.Source = strings.Replace(s.Source, "level CP", "level common practice", 1)
		out = append(out, s)
	}
	return out
})

// presetIndex finds presets by the spectrum.NameKey of their names and aliases; an alias goes
// before a name.
var presetIndex = sync.OnceValue(func() map[string]int {
	names := map[string]int{}
	for i, s := range presets() {
		if _, taken := names[spectrum.NameKey(s.Name)]; !taken {
			names[spectrum.NameKey(s.Name)] = i
		}
	}
	at := maps.Clone(names)
	for other, of := range aliases {
		at[spectrum.NameKey(other)] = names[spectrum.NameKey(of)]
	}
	return at
})

// aliases are other words for a preset.
var aliases = map[string]string{
	"white paint": "white emulsion", "white wall": "white emulsion", "off white": "off-white emulsion",
	"off-white paint": "off-white emulsion", "black": "black paint", "white": "white emulsion",
	"grey": "mid grey", "linoleum": "lino grey", "lino": "lino grey", "enamel": "enamel white", "brick": "red brick",
	"wood": "light wood", "carpet": "carpet grey", "tiles": "tile white",
	"glass": "glass clear", "steel": "steel brushed", "foam board": "white board", "white foam board": "white board",
	"black foam board": "black board", "velvet": "black velvet",
	"silk": "full silk", "grid cloth": "full grid cloth", "frost": "light frost", "silver": "silver reflector",
	"gold": "gold reflector", "18 % grey": "grey card", "umbrella": "umbrella white",
	"full diffusion": "full white diffusion", "half diffusion": "half white diffusion",
	"quarter diffusion": "quarter white diffusion", "eighth diffusion": "eighth white diffusion",
	"flannel": "grey flannel", "stage cloth": "black stage cloth", "blackout cloth": "black stage cloth",
	"net": "single net", "scrim": "single net", "red": "red paint", "blue": "blue paint", "green": "green paint",
	"yellow": "yellow paint", "cream": "cream emulsion", "brown": "dark wood",
	"plywood": "light wood", "parquet": "light wood lacquered", "window glass": "glass clear", "screen": "screen off",
	"muslin unbleached": "muslin", "cyclorama": "white emulsion", "paper": "paper white",
}

// Preset returns a surface by name (any case, words in any order). Error: a name not known, with
// the nearest that is. Every preset passes Check. Check: TestPresets.
func Preset(name string) (Surface, error) {
	if i, ok := presetIndex()[spectrum.NameKey(name)]; ok {
		return presets()[i], nil
	}
	return Surface{}, fmt.Errorf("no surface is called %q; the nearest is %q", name, spectrum.Nearest(name, Presets()))
}

// Presets lists the names of Preset in the order of the table: paint and shell, glass and metal,
// charts and blacks, cloths on frames, clothes.
func Presets() []string {
	var out []string
	for _, s := range presets() {
		out = append(out, s.Name)
	}
	return out
}
