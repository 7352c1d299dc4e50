package photometry

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"halfstop/diag"
)

// TM33 is what a file of luminaire optical data (ANSI/IES TM-33) carries beside the intensities.
type TM33 struct {
	Name     string
	Kelvin   float64      // of its first emitter; 0: not said
	Watts    float64      // of all emitters
	Lumens   float64      // rated, of all emitters; 0: not said
	Spectrum [][2]float64 // nm and value of the first emitter that has one
	Ignored  []string     // elements that are there and are not read
}

// ParseTM33 reads ANSI/IES TM-33 of 2018 (root LuminaireOpticalData) and 2023 (root IESTM33-22):
// intensities of all emitters together, size, colour, watts, spectrum.
//
// Nil where the list holds an error. Codes: photometry.*. Source: element names as public readers
// have them; neither edition was readable. Angles are type C, in degrees; a table that begins or
// ends short of the axis is held there. Check: TestTM33, FuzzTM33.
func ParseTM33(name string, src []byte) (*Web, *TM33, diag.List) {
	t := open(name, src)
	if t.failed() {
		return nil, nil, t.list
	}
	root := t.tree()
	if root == nil {
		return nil, nil, t.list
	}
	if root.name != "LuminaireOpticalData" && !strings.HasPrefix(root.name, "IESTM33") {
		t.add(diag.Error, root.line, root.col, 1, "photometry.format", "",
			"the file is XML whose root is %q, so it is no TM-33 file", clip(root.name))
		return nil, nil, t.list
	}
	head := root.child("Header")
	about := &TM33{Name: strings.Join(strings.Fields(head.said("Description", "CatalogNumber")), " ")}
	var sum *grid33
	for _, e := range root.children {
		if e.name != "Emitter" {
			continue
		}
		times := max(1, e.figure("Quantity"))
		about.Lumens += times * e.figure("RatedLumens")
		about.Watts += times * e.figure("InputWatts", "InputWattage")
		if about.Kelvin == 0 {
			about.Kelvin = e.figure("CCT", "FixedCCT")
		}
		if len(about.Spectrum) == 0 {
			about.Spectrum = t.spectrum33(e)
		}
		d := e.child("IntensityDistribution", "LuminousData", "LuminousIntensity")
		if d == nil {
			continue
		}
		g := t.grid33(d, times)
		if t.failed() {
			return nil, nil, t.list
		}
		switch {
		case g == nil:
		case sum == nil:
			sum = g
		case slices.Equal(sum.h, g.h) && slices.Equal(sum.v, g.v):
			for i := range g.cd {
				for j := range g.cd[i] {
					sum.cd[i][j] += g.cd[i][j]
				}
			}
		default:
			t.add(diag.Caution, e.line, e.col, 1, "photometry.emitters", "import it as a file of its own",
				"this emitter has other angles than the first; its light is not counted")
		}
	}
	for _, c := range root.children {
		if !slices.Contains([]string{"Version", "Header", "Luminaire", "Emitter"}, c.name) {
			about.Ignored = append(about.Ignored, c.name)
		}
	}
	if sum == nil {
		t.add(diag.Error, root.line, root.col, 1, "photometry.dark", "ask the maker for a file with intensities",
			"the file holds no table of intensities")
		return nil, nil, t.list
	}
	// The rest is as of any other table: it is written as LM-63 and read as such.
	w, list := parseLM63(open(name, sum.lm63(about, root.child("Luminaire"))), Options{})
	if w == nil {
		for _, m := range list { // places in what was written mean nothing to a person
			t.add(m.Severity, root.line, root.col, 1, m.Code, m.Fix, "%s", m.Text)
		}
		return nil, nil, t.list
	}
	w.Name, w.Edition = about.Name, root.name
	return w, about, t.list
}

// grid33 is a full table of intensities.
type grid33 struct {
	h, v []float64
	cd   [][]float64 // [h][v]
}

// grid33 gathers the values under d; nil where there are none.
func (t *text) grid33(d *node, times float64) *grid33 {
	k := times
	d.each("Multiplier", func(n *node) {
		if x, ok := number(n.text); ok && x >= 0 {
			k *= x
		}
	})
	ty := ""
	d.each("PhotometryType", func(n *node) { ty = n.text })
	if ty != "" && !strings.HasSuffix(ty, "C") {
		t.add(diag.Error, d.line, d.col, 1, "photometry.type", "ask the maker for type C",
			"the table is of type %q; type C is read", clip(ty))
		return nil
	}
	type place struct{ h, v float64 }
	values := map[place]float64{}
	add := func(n *node) {
		if t.failed() || len(n.children) > 0 { // a list may be called like its items
			return
		}
		angle := func(names ...string) float64 {
			for _, a := range names {
				if s, ok := n.attr[a]; ok {
					if x, ok := number(s); ok && x >= -360 && x <= 360 {
						return x
					}
					t.add(diag.Error, n.line, n.col, 1, "photometry.number", "write degrees",
						"the angle %q is no number of degrees",
						clip(s))
					return 0
				}
			}
			t.add(diag.Error, n.line, n.col, 1, "photometry.number", `write <IntData h="0" v="0">`,
				"the value has no angle %s", names[0])
			return 0
		}
		p := place{h: angle("h", "horz", "horizontal")}
		if !t.failed() {
			p.v = angle("v", "vert", "vertical")
		}
		if t.failed() {
			return
		}
		x, ok := number(n.text)
		if !ok || x < 0 || x > 1e12 {
			t.add(diag.Error, n.line, n.col, 1, "photometry.number", "write candelas, zero or more",
				"%q at %g, %g is no intensity",
				clip(n.text), p.h, p.v)
			return
		}
		if _, twice := values[p]; twice {
			t.add(diag.Error, n.line, n.col, 1, "photometry.twice", "leave one", "the angles %g, %g are there twice",
				p.h, p.v)
			return
		}
		values[p] = x * k
	}
	d.each("IntData", add)
	d.each("IntensityData", add)
	if t.failed() || len(values) == 0 {
		return nil
	}
	g := &grid33{}
	for p := range values {
		g.h, g.v = append(g.h, p.h), append(g.v, p.v)
	}
	sort.Float64s(g.h)
	sort.Float64s(g.v)
	g.h, g.v = slices.Compact(g.h), slices.Compact(g.v)
	if len(g.h)*len(g.v) != len(values) {
		t.add(diag.Error, d.line, d.col, 1, "photometry.short", "add what is missing",
			"%d by %d angles make %d values; the table has %d", len(g.h), len(g.v), len(g.h)*len(g.v), len(values))
		return nil
	}
	for _, h := range g.h {
		var row []float64
		for _, v := range g.v {
			row = append(row, values[place{h, v}])
		}
		g.cd = append(g.cd, row)
	}
	g.close()
	return g
}

// close brings the table to what LM-63 asks: up to the axis, and the whole turn.
func (g *grid33) close() {
	pad := func(at float64, first bool) {
		for i, row := range g.cd {
			if first {
				g.cd[i] = append([]float64{row[0]}, row...)
			} else {
				g.cd[i] = append(row, row[len(row)-1])
			}
		}
		if first {
			g.v = append([]float64{at}, g.v...)
		} else {
			g.v = append(g.v, at)
		}
	}
	if v := g.v[0]; v > 0 && v < 90 {
		pad(0, true)
	} else if v > 90 {
		pad(90, true)
	}
	if v := g.v[len(g.v)-1]; v < 90 {
		pad(90, false)
	} else if v > 90 && v < 180 {
		pad(180, false)
	}
	if n := len(g.h); g.h[0] == 0 && g.h[n-1] > 180 && g.h[n-1] < 360 {
		g.h, g.cd = append(g.h, 360), append(g.cd, slices.Clone(g.cd[0]))
	}
	if len(g.h) == 1 {
		g.h[0] = 0
	}
}

// lm63 writes the table. Sizes are millimetres in TM-33.
func (g *grid33) lm63(a *TM33, lum *node) []byte {
	var b strings.Builder
	size := lum.child("Dimensions")
	metres := func(name string) float64 { return max(0, size.figure(name)) / 1000 }
	width, length, height := metres("Width"), metres("Length"), 0.0
	if strings.EqualFold(lum.said("Circular"), "true") || strings.EqualFold(size.said("Circular"), "true") ||
		width == 0 && length > 0 { // round by the habit of EULUMDAT
		width, length = -max(width, length), -max(width, length)
	}
	fmt.Fprintf(&b, "IES:LM-63-2019\n[TEST] TM-33\nTILT=NONE\n1 -1 1 %d %d 1 2 %g %g %g\n1 1.00001 %g\n", len(g.v),
		len(g.h),
		width, length, height, a.Watts)
	row := func(list []float64) {
		for i, x := range list {
			if i > 0 && i%12 == 0 {
				b.WriteByte('\n')
			}
			b.WriteString(digits(x) + " ")
		}
		b.WriteByte('\n')
	}
	row(g.v)
	row(g.h)
	for _, r := range g.cd {
		row(r)
	}
	return []byte(b.String())
}

// spectrum33 is an emitter's spectrum in either way of writing it: two lists, or one value an
// element.
func (t *text) spectrum33(e *node) (out [][2]float64) {
	d := e.child("SpectralDistribution", "SpectralData")
	if d == nil {
		return nil
	}
	put := func(nm, v string) {
		x, ok1 := number(nm)
		y, ok2 := number(v)
		if ok1 && ok2 && x >= 100 && x <= 20000 && y >= 0 && !math.IsInf(y, 0) {
			out = append(out, [2]float64{x, y})
		}
	}
	if waves, values := strings.Fields(d.said("Wavelengths")), strings.Fields(d.said("Values")); len(waves) > 0 &&
		len(waves) == len(values) {
		for i := range waves {
			put(waves[i], values[i])
		}
	}
	for _, name := range []string{"SpecData", "SpectralData", "Data"} {
		d.each(name, func(n *node) {
			for _, a := range []string{"w", "wavelength", "Wavelength"} {
				if s, ok := n.attr[a]; ok {
					put(s, n.text)
					return
				}
			}
		})
	}
	slices.SortFunc(out, func(a, b [2]float64) int { return int(math.Copysign(1, a[0]-b[0])) })
	out = slices.CompactFunc(out, func(a, b [2]float64) bool { return a[0] == b[0] })
	if len(out) < 2 {
		return nil
	}
	return out
}
