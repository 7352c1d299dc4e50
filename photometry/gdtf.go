package photometry

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"

	"halfstop/diag"
)

// Fixture is what a description of a fixture (GDTF, DIN SPEC 15800) carries of light and of
// dialling it. Zero: not said.
type Fixture struct {
	Name     string
	Kilos    float64
	Watts    float64
	Lumens   float64 // of all its beams
	Kelvin   float64
	Beam     float64 // full angle at half of the intensity, degrees
	Radius   float64 // of the face, metres
	Width    float64 // of a rectangular face, metres; else 0
	Height   float64
	Lamp     string
	Usual    []string // figures that are the format's own defaults: perhaps nobody measured them
	Emitters []Emission
	Modes    []FixtureMode
	Ignored  []string
}

// Emission is one emitter of a colour-mixing head.
type Emission struct {
	Name     string
	XY       [2]float64   // chromaticity; 0: not said
	Spectrum [][2]float64 // nm and energy; empty: not measured
}

// FixtureMode is one way of dialling a fixture over the network.
type FixtureMode struct {
	Name     string
	Channels []FixtureChannel // in the order of their slots, gaps filled
}

// FixtureChannel is one channel of a mode.
type FixtureChannel struct {
	Attribute string // as the format names it; empty: a gap
	Fine      bool   // the next slot is its low part
	Rest      float64
}

// Bounds on an archive.
const (
	mostArchive = 64 << 20
	mostFiles   = 4096
)

// ParseGDTF reads description.xml of a GDTF archive. Nothing else in it is unpacked; a member that
// would land outside a folder refuses the whole archive.
//
// Nil where the list holds an error. Codes: photometry.*. Source: element and attribute names of
// DIN SPEC 15800 from memory. Check: TestGDTF, TestGDTFRefused, FuzzGDTF.
func ParseGDTF(name string, src []byte) (*Fixture, diag.List) {
	t := &text{name: name}
	if len(src) > mostArchive {
		t.add(diag.Error, 0, 0, 0, "photometry.too-large", "", "the archive has %d bytes; %d are read at most",
			len(src), mostArchive)
		return nil, t.list
	}
	z, err := zip.NewReader(bytes.NewReader(src), int64(len(src)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		t.add(diag.Error, 0, 0, 0, "photometry.archive",
			"fetch the file anew: a GDTF file is a zip archive, and this one may be cut short",
			"it is no archive that can be opened: %v", strings.TrimPrefix(err.Error(), "zip: "))
		return nil, t.list
	}
	if len(z.File) > mostFiles {
		t.add(diag.Error, 0, 0, 0, "photometry.too-large", "", "the archive has %d members; %d are read at most",
			len(z.File), mostFiles)
		return nil, t.list
	}
	var found *zip.File
	pictures, models := 0, 0
	for _, m := range z.File {
		p := strings.ReplaceAll(m.Name, `\`, "/")
		if path.IsAbs(p) || slices.Contains(strings.Split(p, "/"), "..") || strings.Contains(p, ":") {
			t.add(diag.Error, 0, 0, 0, "photometry.outside", "do not trust this file",
				"a member of the archive, %q, would lie outside it", clip(m.Name))
			return nil, t.list
		}
		switch {
		case p == "description.xml":
			found = m
		case strings.HasPrefix(p, "models/"):
			models++
		case strings.HasPrefix(p, "wheels/") || strings.HasSuffix(p, ".png") || strings.HasSuffix(p, ".svg"):
			pictures++
		}
	}
	if found == nil {
		t.add(diag.Error, 0, 0, 0, "photometry.format", "", "the archive has no description.xml, so it is no GDTF file")
		return nil, t.list
	}
	in, err := found.Open()
	if err != nil {
		t.add(diag.Error, 0, 0, 0, "photometry.archive", "", "description.xml cannot be unpacked: %v", err)
		return nil, t.list
	}
	raw, err := io.ReadAll(io.LimitReader(in, maxBytes+1)) // whatever size the archive claims
	if err != nil || len(raw) > maxBytes {
		t.add(diag.Error, 0, 0, 0, "photometry.too-large", "",
			"description.xml unpacks to more than %d bytes, or badly: %v", maxBytes, err)
		return nil, t.list
	}
	t = open(name+": description.xml", raw)
	root := t.tree()
	if root == nil {
		return nil, t.list
	}
	ft := root.child("FixtureType")
	if root.name != "GDTF" || ft == nil {
		t.add(diag.Error, root.line, root.col, 1, "photometry.format", "",
			"description.xml describes no FixtureType of a GDTF file")
		return nil, t.list
	}
	f := t.fixture(ft)
	for _, x := range []struct {
		n    int
		says string
	}{{pictures, "pictures of wheels and of the fixture"}, {models, "its models in three dimensions"}} {
		if x.n > 0 {
			f.Ignored = append(f.Ignored, fmt.Sprintf("%s (%d)", x.says, x.n))
		}
	}
	if t.failed() {
		return nil, t.list
	}
	return f, t.list
}

func (t *text) fixture(ft *node) *Fixture {
	f := &Fixture{Name: strings.Join(strings.Fields(ft.attr["Name"]), " ")}
	if n := strings.Join(strings.Fields(ft.attr["LongName"]), " "); n != "" {
		f.Name = n
	}
	attr := func(n *node, name string, lo, hi float64) float64 {
		s, ok := n.attr[name]
		if !ok {
			return 0
		}
		x, ok := number(s)
		if !ok || x < lo || x > hi {
			t.add(diag.Error, n.line, n.col, 1, "photometry.number", fmt.Sprintf("write a number from %g to %g", lo,
				hi),
				"%s of %s is %q", name, n.name, clip(s))
			return 0
		}
		return x
	}
	parts := partsOf(ft)
	beams := 0
	// A part that is referred to shines as often as it is: pixels of one head share a description.
	parts.walk(parts.body, func(n *node) {
		if n.name == "Beam" {
			lm, kelvin, angle := attr(n, "LuminousFlux", 0, 1e7), attr(n, "ColorTemperature", 0, 1e5), attr(n,
				"BeamAngle", 0, 180)
			f.Lumens += lm
			f.Watts += attr(n, "PowerConsumption", 0, 1e6)
			if beams == 0 {
				f.Kelvin, f.Beam, f.Lamp = kelvin, angle, n.attr["LampType"]
				f.Radius = attr(n, "BeamRadius", 0, 10)
				if ratio := attr(n, "RectangleRatio", 0, 1000); n.attr["BeamType"] == "Rectangle" && ratio > 0 &&
					f.Radius > 0 {
					// The radius is that of the circle round it.
					f.Height = 2 * f.Radius / math.Hypot(1, ratio)
					f.Width = ratio * f.Height
				}
				for _, d := range []struct {
					is, usual float64
					says      string
				}{{lm, 10000, "10,000 lm"}, {kelvin, 6000, "6000 K"}, {angle, 25, "25° beam"}, {f.Radius, 0.05,
					"0.05 m radius"}} {
					if d.is == d.usual {
						f.Usual = append(f.Usual, d.says)
					}
				}
			}
			beams++
		}
	})
	if beams > 1 {
		f.Radius *= math.Sqrt(float64(beams)) // one face of the same area
		f.Width, f.Height = f.Width*math.Sqrt(float64(beams)), f.Height*math.Sqrt(float64(beams))
		f.Ignored = append(f.Ignored, fmt.Sprintf("where each of its %d beams sits: they are taken as one face", beams))
	}
	if phys := ft.child("PhysicalDescriptions"); phys != nil {
		phys.each("Weight", func(n *node) { f.Kilos = attr(n, "Value", 0, 10000) })
		if e := phys.child("Emitters"); e != nil {
			for _, n := range e.children {
				if n.name == "Emitter" {
					f.Emitters = append(f.Emitters, t.emission(n))
				}
			}
		}
		for _, n := range phys.children {
			if (n.name == "Filters" || n.name == "CRIs" || n.name == "DMXProfiles") && len(n.children) > 0 {
				f.Ignored = append(f.Ignored, n.name)
			}
		}
	}
	if w := ft.child("Wheels"); w != nil && len(w.children) > 0 {
		f.Ignored = append(f.Ignored, "wheels")
	}
	if m := ft.child("DMXModes"); m != nil {
		for _, n := range m.children {
			if n.name == "DMXMode" && len(f.Modes) < 64 {
				f.Modes = append(f.Modes, t.mode(n, f, parts))
			}
		}
	}
	return f
}

func (t *text) emission(n *node) Emission {
	e := Emission{Name: n.attr["Name"]}
	if c := strings.Split(n.attr["Color"], ","); len(c) == 3 {
		x, ok1 := number(strings.TrimSpace(c[0]))
		y, ok2 := number(strings.TrimSpace(c[1]))
		if ok1 && ok2 && x > 0 && y > 0 && x+y <= 1 {
			e.XY = [2]float64{x, y}
		}
	}
	// The measurement at full drive, where there are more.
	most := -1.0
	for _, m := range n.children {
		if m.name != "Measurement" {
			continue
		}
		drive, _ := number(m.attr["Physical"])
		if drive <= most {
			continue
		}
		var pairs [][2]float64
		for _, p := range m.children {
			nm, ok1 := number(p.attr["WaveLength"])
			v, ok2 := number(p.attr["Energy"])
			if p.name == "MeasurementPoint" && ok1 && ok2 && nm >= 100 && nm <= 20000 && v >= 0 {
				pairs = append(pairs, [2]float64{nm, v})
			}
		}
		slices.SortStableFunc(pairs, func(a, b [2]float64) int { return int(math.Copysign(1, a[0]-b[0])) })
		pairs = slices.CompactFunc(pairs, func(a, b [2]float64) bool { return a[0] == b[0] })
		if len(pairs) >= 2 {
			most, e.Spectrum = drive, pairs
		}
	}
	return e
}

// geometry is the tree of a fixture's parts.
type geometry struct {
	tops  []*node
	named map[string]*node // those at the top
	body  *node            // the part that the first mode drives; nil: all
}

func partsOf(ft *node) *geometry {
	g := &geometry{named: map[string]*node{}}
	referred := map[string]bool{}
	all := ft.child("Geometries")
	if all == nil {
		return g
	}
	all.each("GeometryReference", func(n *node) { referred[n.attr["Geometry"]] = true })
	for _, c := range all.children {
		g.named[c.attr["Name"]] = c
		if !referred[c.attr["Name"]] {
			g.tops = append(g.tops, c)
		}
	}
	if m := ft.child("DMXModes").child("DMXMode"); m != nil {
		g.body = g.named[m.attr["Geometry"]]
	}
	return g
}

// mostParts bounds a tree whose references multiply.
const mostParts = 20_000

// walk visits a part (nil: all at the top), what lies under it, and what these refer to.
func (g *geometry) walk(n *node, f func(*node)) {
	left := mostParts
	var visit func(n *node, deep int)
	visit = func(n *node, deep int) {
		if n == nil || deep > mostDeep || left == 0 {
			return
		}
		left--
		f(n)
		if n.name == "GeometryReference" {
			visit(g.named[n.attr["Geometry"]], deep+1)
		}
		for _, c := range n.children {
			visit(c, deep+1)
		}
	}
	if n != nil {
		visit(n, 0)
		return
	}
	for _, top := range g.tops {
		visit(top, 0)
	}
}

// offsets are what is added to the slots of a part's channels, once for each time that it is
// referred to from a mode's body; nil: it is no such part.
func (g *geometry) offsets(body *node, part string) (out []int) {
	g.walk(body, func(n *node) {
		if n.name != "GeometryReference" {
			return
		}
		within := n.attr["Geometry"] == part
		if t := g.named[n.attr["Geometry"]]; t != nil && !within {
			g.walk(t, func(c *node) { within = within || c.attr["Name"] == part })
		}
		if !within {
			return
		}
		at := 1
		for _, b := range n.children {
			if k, err := strconv.Atoi(b.attr["DMXOffset"]); b.name == "Break" && err == nil {
				at = k
				break
			}
		}
		out = append(out, at-1)
	})
	return out
}

// mode lists a mode's channels by their slots.
func (t *text) mode(n *node, f *Fixture, parts *geometry) FixtureMode {
	m := FixtureMode{Name: n.attr["Name"]}
	body := parts.named[n.attr["Geometry"]]
	by := map[int]FixtureChannel{}
	last, elsewhere := 0, 0
	n.each("DMXChannel", func(c *node) {
		var slots []int
		for s := range strings.SplitSeq(c.attr["Offset"], ",") {
			if k, err := strconv.Atoi(strings.TrimSpace(s)); err == nil && k >= 1 && k <= 512 {
				slots = append(slots, k)
			}
		}
		if len(slots) == 0 {
			return // virtual
		}
		if k, err := strconv.Atoi(c.attr["DMXBreak"]); err == nil && k > 1 {
			elsewhere++
			return
		}
		ch := FixtureChannel{}
		if l := c.child("LogicalChannel"); l != nil {
			ch.Attribute = l.attr["Attribute"]
			if fn := l.child("ChannelFunction"); fn != nil {
				ch.Rest = dmxValue(fn.attr["Default"])
			}
		}
		if v, ok := c.attr["Default"]; ok { // up to DataVersion 1.0
			ch.Rest = dmxValue(v)
		}
		ch.Fine = len(slots) > 1 && slots[1] == slots[0]+1
		if len(slots) > 2 || len(slots) == 2 && !ch.Fine {
			f.Ignored = append(f.Ignored, fmt.Sprintf("the fine parts of %s in mode %s, which lie apart",
				ch.Attribute, m.Name))
		}
		offsets := []int{0}
		if body != nil {
			if o := parts.offsets(body, c.attr["Geometry"]); len(o) > 0 {
				offsets = o
			}
		}
		for _, add := range offsets {
			if add >= 0 && add+slots[len(slots)-1] <= 512 {
				by[add+slots[0]] = ch
				last = max(last, add+slots[len(slots)-1])
			}
		}
	})
	if elsewhere > 0 {
		f.Ignored = append(f.Ignored, fmt.Sprintf("%d channels of mode %s that have an address of their own", elsewhere,
			m.Name))
	}
	for k := 1; k <= last; k++ {
		ch := by[k]
		m.Channels = append(m.Channels, ch)
		if ch.Fine {
			k++
		}
	}
	return m
}

// dmxValue reads '128/1' (value over bytes) as a share.
func dmxValue(s string) float64 {
	a, b, ok := strings.Cut(s, "/")
	v, e1 := strconv.ParseUint(strings.TrimSpace(a), 10, 32)
	bytes := 1
	if ok {
		if n, err := strconv.Atoi(strings.TrimRight(strings.TrimSpace(b), "s")); err == nil && n >= 1 && n <= 4 {
			bytes = n
		}
	}
	if e1 != nil {
		return 0
	}
	return min(1, float64(v)/(math.Pow(256, float64(bytes))-1))
}
