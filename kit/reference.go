package kit

import (
	_ "embed"
	"fmt"
	"math"
	"regexp"
	"sort"
	"strings"

	"halfstop/kind"
	"halfstop/material"
	q "halfstop/quantity"
	"halfstop/spectrum"
)

// Reference is docs/kit.md: the catalogue with what every figure rests on, worked through Resolve.
// Check: TestReferenceFresh.
func Reference() string {
	k := Catalogue()
	var b strings.Builder
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	p("<!-- Generated from kit/catalogue; do not edit. Renew: go test ./kit -run TestReferenceFresh -update -->")
	p("# The generic kit\n")
	p("Starting values for a plan, not anybody's data sheet. Most are marked 'common practice, no source'; each " +
		"says its uncertainty as one")
	p("standard deviation in stops. One own reading for a head and a modifier (`reads:` in the kit) beats them all.\n")
	p("Mains, stands and haze are planning hints only: the plate on the stand, the venue and licensed people decide.\n")

	p("## Flash heads\n")
	p("Guide numbers at full power, metres, ISO 100, C = 250 lx·s, on axis from afar.\n")
	p("| head | energy | GN bare | GN standard reflector | GN softbox 60x90 | turns down to | kg | ± st | source |")
	p("|---|---|---|---|---|---|---|---|---|")
	for _, h := range k.Heads {
		if h.Kind != "flash" {
			continue
		}
		p("| %s | %s | %.0f | %.0f | %.0f | %s | %s | %s | %s |", h.Name, h.Energy, k.guide(h, "bare"), k.guide(h,
			standardReflector), k.guide(h, "softbox 60x90"),
			h.Dial().Print(-h.Range), unitless(h.Weight), unitless(h.Uncertainty), h.Source)
	}
	p("\n## Continuous heads\n")
	p("Lux on axis at full, in the rated white, as the head stands, at 1 m (near field included) and 3 m.\n")
	p("| head | lx at 1 m | lx at 3 m | face | draws | feed | kg | ± st | source |")
	p("|---|---|---|---|---|---|---|---|---|")
	for _, h := range k.Heads {
		if h.Kind != "continuous" {
			continue
		}
		s, err := k.Resolve(Want{Head: h.Name})
		if err != nil {
			continue
		}
		p("| %s | %.0f | %.0f | %s | %s | %s | %s | %s | %s |", h.Name, s.Expect(1), s.Expect(3), h.Face.text(),
			h.Watts, h.Feed, unitless(h.Weight), unitless(h.Uncertainty), h.Source)
	}
	p("\n## Modifiers\n")
	p("Gain on axis, from afar, against the standard reflector; negative is lost.\n")
	p("| modifier | face | gain | depth | kg | ± st | source |")
	p("|---|---|---|---|---|---|---|")
	for _, m := range k.Modifiers {
		face := "as the head"
		if m.Face != nil {
			face = m.Face.text()
		} else if m.On != "" {
			face = "on " + m.On
		}
		if m.Cut > 0 {
			face += fmt.Sprintf(", cut at %s", m.Cut)
		}
		p("| %s | %s | %+.2f st | %s | %s | %s | %s |", m.Name, face, m.gain(), shown(m.Depth), unitless(m.Weight),
			unitless(m.Uncertainty), m.Source)
	}
	p("\n## What fits what\n")
	p("By mount; others can be tied on, which a resolved light says.\n")
	p("| mount | heads | modifiers |")
	p("|---|---|---|")
	for _, m := range kind.Mounts() {
		var heads, mods []string
		for _, h := range k.Heads {
			if string(h.Mount) == m.Word {
				heads = append(heads, h.Name)
			}
		}
		for _, x := range k.Modifiers {
			if x.Kind != "bare" && fits(x, Head{Mount: kind.MountWord(m.Word)}) {
				mods = append(mods, x.Name)
			}
		}
		p("| %s: %s | %s | %s |", m.Word, m.Says, strings.Join(heads, ", "), or(strings.Join(mods, ", "), "none"))
	}
	p("\n## Gels\n")
	p("Shift and loss on a flash of 5600 K and on tungsten of 3200 K, worked out from each sheet's transmittance. " +
		"Orange is sold in two families under the same words: made for 6500 K, and ('5600' here) made for flash. " +
		"The shift that the sheet's data page states decides which one yours is.\n")
	p("| gel | mired on 5600 K | loss on 5600 K | mired on 3200 K | loss on 3200 K |")
	p("|---|---|---|---|---|")
	for _, name := range material.Gels() {
		c, _, err := sheet(name)
		if err != nil {
			continue
		}
		row := "| " + name
		for _, t := range []float64{5600, 3200} {
			light := spectrum.White(t)
			shift := "–" // strong colours have no correlated temperature
			if a, _, ok := spectrum.CCTOhno2013(light.XY()); ok {
				if b, duv, ok := spectrum.CCTOhno2013(light.Mul(c).XY()); ok && math.Abs(duv) < 0.03 {
					shift = fmt.Sprintf("%+.0f", 1e6/b-1e6/a)
				}
			}
			row += fmt.Sprintf(" | %s | %.1f st", shift, -math.Log2(spectrum.LuminousRatio(light, c)))
		}
		p("%s |", row)
	}
	p("\n## Grids\n")
	p("Gain on axis, metered at 2 m, against the modifier without it.\n")
	p("| grid | shuts at | gain on axis | kg | ± st | source |")
	p("|---|---|---|---|---|---|")
	for _, g := range k.Grids {
		p("| %s | %s | %s | %s | %s | %s |", g.Name, g.Cut, *g.Gain, unitless(g.Weight), unitless(g.Uncertainty),
			g.Source)
	}
	p("\n## Panels\n")
	p("| panel | kind | size | kg | source |")
	p("|---|---|---|---|---|")
	for _, x := range k.Panels {
		p("| %s | %s | %s x %s | %s | %s |", x.Name, x.Kind, x.Size[0], x.Size[1], unitless(x.Weight), x.Source)
	}
	p("\n## Stands\n")
	p("| stand | kind | carries | height | feet | reach | kg | source |")
	p("|---|---|---|---|---|---|---|---|")
	for _, x := range k.Stands {
		p("| %s | %s | %s | %s to %s | %s | %s | %s | %s |", x.Name, x.Kind, shown(x.Load), shown(x.Lowest),
			shown(x.Highest), shown(x.Footprint), shown(x.Reach), unitless(x.Weight), x.Source)
	}
	p("\n## Things\n")
	p("| thing | kind | kg | draws | source |")
	p("|---|---|---|---|---|")
	for _, x := range k.Things {
		p("| %s | %s | %s | %s | %s |", x.Name, x.Kind, unitless(x.Weight), shown(x.Watts), x.Source)
	}
	p("\n## Sources\n")
	for _, n := range cited(b.String()) {
		p("- [%s] %s", n, sources[n])
	}
	return b.String()
}

// guide is a guide number in metres at ISO 100, C = 250.
func (k *Kit) guide(h Head, modifier string) q.Metres {
	s, err := k.Resolve(Want{Head: h.Name, Modifier: modifier})
	if err != nil {
		return 0
	}
	return guideNumber(s.AxialFull, 250, 100)
}

// unitless prints a quantity without its unit, '–' for zero.
func unitless[T interface {
	~float64
	fmt.Stringer
}](x T) string {
	return strings.TrimPrefix(strings.Fields(shown(x))[0], "+")
}

// shown prints a quantity, '–' for zero.
func shown[T interface {
	~float64
	fmt.Stringer
}](x T) string {
	if x == 0 {
		return "–"
	}
	return x.String()
}

func (f *Face) text() string {
	if f == nil {
		return "point"
	}
	s := f.Shape
	for i, x := range f.Size {
		if i > 0 {
			s += " x"
		}
		s += " " + x.String()
	}
	switch {
	case f.Beam > 0:
		s += fmt.Sprintf(", %s", f.Beam)
	case f.Shape == "sphere":
		s += ", even"
	default:
		s += ", Lambertian"
	}
	return s
}

//go:embed sources.csv
var sourcesCSV string

// sources describes each [S..] mark.
var sources = func() map[string]string {
	out := map[string]string{}
	for _, line := range strings.Split(sourcesCSV, "\n") {
		if n, text, ok := strings.Cut(line, "|"); ok && !strings.HasPrefix(line, "#") {
			out[n] = text
		}
	}
	return out
}()

var citation = regexp.MustCompile(`\[(S\d+b?)\]`)

func cited(text string) (out []string) {
	seen := map[string]bool{}
	for _, m := range citation.FindAllStringSubmatch(text, -1) {
		if !seen[m[1]] {
			seen[m[1]] = true
			out = append(out, m[1])
		}
	}
	sort.Slice(out,
		func(i, j int) bool { return len(out[i]) < len(out[j]) || len(out[i]) == len(out[j]) && out[i] < out[j] })
	return out
}
