package material

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"halfstop/spectrum"
)

// Gel is a colour sheet for a lamp.
type Gel struct {
	Name          string
	Transmittance spectrum.Curve // 0 to 1, ends held
	Nominal       float64        // colour temperature of the light it is made for, K
	// shift of that light, mired; positive is warmer; 0 for deep colours, where it means nothing
	Mired    float64
	DuvShift float64 // shift of that light in Duv, positive is greener; 0 for deep colours
	Stops    float64 // what it takes from that light
	Deep     bool    // a deep colour: no colour temperature afterwards
	Source   string
}

// On returns the light after the gel; several gels are put on one after the other.
func (g Gel) On(light spectrum.Curve) spectrum.Curve { return light.Mul(g.Transmittance) }

// StopsOn returns what the gel takes from a given light, in stops; +Inf if nothing is left.
func (g Gel) StopsOn(light spectrum.Curve) float64 {
	return -math.Log2(spectrum.LuminousRatio(light, g.Transmittance))
}

// gels builds every gel of gels.csv once.
var gels = sync.OnceValue(func() []Gel {
	var out []Gel
	_, cells := rows("gels.csv", "|")
	for _, r := range cells {
		g := Gel{Name: r[0], Nominal: number(r[2]), Source: r[7]}
		light := spectrum.White(g.Nominal)
		kind, y := r[1], number(r[5])
		parts, stacked := strings.CutPrefix(kind, "stack ")
		var err error
		switch {
		case stacked:
			g.Transmittance = spectrum.Constant(1).ResampleHeld(gelStart, 1, gelCount)
			for _, p := range strings.Split(parts, "+") {
				g.Transmittance = g.Transmittance.Mul(find(out, strings.TrimSpace(p)).Transmittance)
			}
		case kind == "convert":
			g.Transmittance, err = conversion(g.Nominal, number(r[3]), y)
		case kind == "green":
			g.Transmittance, err = greenShift(g.Nominal, number(r[4]), y)
		case kind == "nd":
			g.Transmittance = spectrum.Constant(y)
		case kind == "deep":
			g.Deep = true
			g.Transmittance, err = deepColour(light, r[6], y)
		default:
			err = fmt.Errorf("no kind %q", kind)
		}
		if err != nil {
			panic("gels.csv: " + g.Name + ": " + err.Error())
		}
		g.Stops = g.StopsOn(light)
		if !g.Deep && kind != "nd" {
			g.Mired, g.DuvShift = shift(light, g.Transmittance)
		}
		out = append(out, g)
	}
	return out
})

func find(all []Gel, name string) Gel {
	for _, g := range all {
		if g.Name == name {
			return g
		}
	}
	panic("gels.csv: no gel " + name)
}

// shift returns the mired and Duv shift a transmittance gives a light.
func shift(light, t spectrum.Curve) (mired, duv float64) {
	k0, d0, _ := spectrum.CCTOhno2013(light.XY())
	k1, d1, _ := spectrum.CCTOhno2013(light.Mul(t).XY())
	return 1e6/k1 - 1e6/k0, d1 - d0
}

const gelStart, gelCount = 360, 421

// gelTop is the clear sheet under the dye: two faces of plastic and a little haze. Common practice.
const gelTop = 0.90

// sheet returns gelTop·exp(−density(nm)).
func sheet(density func(nm float64) float64) spectrum.Curve {
	out := spectrum.Curve{Start: gelStart, Step: 1, V: make([]float64, gelCount)}
	for i := range out.V {
		out.V[i] = math.Min(1, gelTop*math.Exp(-density(gelStart+float64(i))))
	}
	return out
}

func bell(nm, centre, width float64) float64 {
	return math.Exp(-4 * math.Ln2 * (nm - centre) * (nm - centre) / (width * width))
}

// conversion builds an orange or blue sheet for light of colour temperature from that shifts it by
// mired onto the white of the new temperature (so that Duv stays that of white light) and passes
// the luminous share y.
//
// Density is two smooth steps (orange: a plateau in the blue, a second step into the red, as such
// dyes have; blue: the same the other way round) over an even grey. The grey may lift the sheet
// above gelTop by a little; Check of the table is that nothing passes more than it gets.
func conversion(from, mired, y float64) (spectrum.Curve, error) {
	light := spectrum.White(from)
	_, d0, _ := spectrum.CCTOhno2013(light.XY())
	_, d1, _ := spectrum.CCTOhno2013(spectrum.White(1e6 / (1e6/from + mired)).XY())
	step := func(nm, at, width float64) float64 { return 1 / (1 + math.Exp((nm-at)/width)) }
	build := func(p [3]float64) spectrum.Curve {
		return sheet(func(nm float64) float64 {
			if mired > 0 {
				return p[0]*step(nm, 575, 17) + p[1]*step(nm, 490, 22) + p[2]
			}
			return p[0]*(1-step(nm, 570, 25)) + p[1]*(1-step(nm, 500, 25)) + p[2]
		})
	}
	size := math.Abs(mired) / 160
	return solve(light, build, [3]float64{0.6 * size, 0.6 * size, 0}, mired, d1-d0, y)
}

// greenDye is the density of a dye that takes green (amount above 0) or everything else (below 0).
func greenDye(nm, amount float64) float64 {
	b := bell(nm, 545, 120)
	if amount >= 0 {
		return amount * b
	}
	return -amount * (1 - b)
}

// greenShift builds a plus-green (duv above 0) or minus-green sheet that leaves the mired where it
// is.
func greenShift(from, duv, y float64) (spectrum.Curve, error) {
	light := spectrum.White(from)
	build := func(p [3]float64) spectrum.Curve {
		return sheet(func(nm float64) float64 {
			return greenDye(nm, p[0]) + p[1]*(nm-550)/200 + p[2]
		})
	}
	return solve(light, build, [3]float64{-15 * duv, 0, 0.05}, 0, duv, y)
}

// solve finds the three parameters for which the sheet has the wanted mired and Duv shift and
// luminous transmission (Newton, halved steps).
func solve(light spectrum.Curve, build func([3]float64) spectrum.Curve, p [3]float64, mired, duv,
	y float64) (spectrum.Curve, error) {
	miss := func(p [3]float64) [3]float64 {
		t := build(p)
		m, d := shift(light, t)
		return [3]float64{(m - mired) / 10, (d - duv) * 500, 10 * math.Log(spectrum.LuminousRatio(light, t)/y)}
	}
	norm := func(e [3]float64) float64 { return e[0]*e[0] + e[1]*e[1] + e[2]*e[2] }
	e := miss(p)
	for range 40 {
		if norm(e) < 1e-8 {
			return build(p), nil
		}
		var j [3][3]float64
		for k := range p {
			q := p
			const h = 1e-4
			q[k] += h
			f := miss(q)
			for r := range f {
				j[r][k] = (f[r] - e[r]) / h
			}
		}
		step, ok := solve3(j, e)
		if !ok {
			break
		}
		moved := false
		for s := 1.0; s > 1e-3; s /= 2 {
			q := [3]float64{p[0] - s*step[0], p[1] - s*step[1], p[2] - s*step[2]}
			if f := miss(q); norm(f) < norm(e) {
				p, e, moved = q, f, true
				break
			}
		}
		if !moved {
			break
		}
	}
	if norm(e) > 1e-3 {
		return spectrum.Curve{}, fmt.Errorf("no sheet has %g mired, %g Duv and transmits %g: misses %v at %v", mired,
			duv, y, e, p)
	}
	return build(p), nil
}

// solve3 solves a 3×3 system by Cramer's rule.
func solve3(a [3][3]float64, b [3]float64) (x [3]float64, ok bool) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
			m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	d := det(a)
	if d == 0 || math.IsNaN(d) {
		return x, false
	}
	for k := range x {
		m := a
		for r := range m {
			m[r][k] = b[r]
		}
		x[k] = det(m) / d
	}
	return x, true
}

// deepColour scales the density of a shape (as a thicker or thinner dye would) until the luminous
// transmission is y.
func deepColour(light spectrum.Curve, shape string, y float64) (spectrum.Curve, error) {
	base, err := parseShape(shape)
	if err != nil {
		return base, err
	}
	base = base.ResampleHeld(gelStart, 1, gelCount)
	at := func(power float64) spectrum.Curve {
		return sheet(func(nm float64) float64 { return -power * math.Log(math.Min(1, base.AtHeld(nm)/gelTop)) })
	}
	lo, hi := 0.05, 6.0
	for range 50 {
		if m := (lo + hi) / 2; spectrum.LuminousRatio(light, at(m)) > y {
			lo = m
		} else {
			hi = m
		}
	}
	if got := spectrum.LuminousRatio(light, at(lo)); math.Abs(got-y) > 1e-3*y {
		return base, fmt.Errorf("transmits %g, not %g", got, y)
	}
	return at(lo), nil
}

var fractions = strings.NewReplacer("3/4", "three-quarter", "1/2", "half", "1/4", "quarter", "1/8", "eighth", "¾",
	"three-quarter ", "½", "half ", "¼", "quarter ", "⅛", "eighth ")

// FindGel returns a gel by name; see GelNames. 'half warm' and '1/2 orange' are the half orange,
// 'nd 0.6' is neutral density 0.6, 'half orange for flash' the half made for 5600 K. Error: a name
// not known, with the nearest that is.
func FindGel(name string) (Gel, error) {
	name = strings.ToLower(name)
	if s, ok := strings.CutSuffix(name, " for flash"); ok {
		name = s + " 5600"
	}
	words := strings.Fields(fractions.Replace(name))
	for i, w := range words {
		switch w {
		case "warm", "warming":
			words[i] = "orange"
		case "cool", "cooling":
			words[i] = "blue"
		case "nd":
			words[i] = "neutral density"
		case "magenta":
			// 'half magenta' is the half minus green; 'magenta' alone is a deep colour.
			if len(words) > 1 {
				words[i] = "minus green"
			}
		}
	}
	key := strings.Join(words, " ")
	for _, g := range gels() {
		if spectrum.SameWords(g.Name, key) {
			return g, nil
		}
	}
	return Gel{}, fmt.Errorf("no gel is called %q; the nearest is %q", name, spectrum.Nearest(key, Gels()))
}

// Gels lists the names of gels in the order of the table: correction sheets, then neutral density,
// then deep colours.
func Gels() []string {
	var out []string
	for _, g := range gels() {
		out = append(out, g.Name)
	}
	return out
}
