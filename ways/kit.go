package ways

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/geom"
	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

// modifiers proposes other modifiers for a light: those with a greater axial level, and one size up
// and down of the same kind.
func (g *generator) modifiers(l int, more bool) {
	ly, w := g.lightOf(l)
	if may := g.base.stage.Setup.May; may != nil && len(may.Modifier) > 0 && !names(may.Modifier, ly) {
		return
	}
	k := g.base.stage.Kit()
	h, ok := k.FindHead(w.Head)
	if mount, _ := kind.FindMount(h.Mount); !ok || !mount.Any {
		return
	}
	type fit struct {
		name  string
		axial float64
		own   bool
	}
	var fits []fit
	now, _ := k.FindModifier(w.Modifier)
	for _, m := range k.Modifiers {
		if strings.EqualFold(m.Name,
			now.Name) || !swaps(m) || !g.owned(m.Name) && m.Kind != now.Kind && m.Name != "standard reflector" {
			continue
		}
		want, err := g.base.stage.Wanted(w)
		if err != nil {
			return
		}
		want.Modifier, want.Grid = m.Name, ""
		src, err := k.Resolve(want)
		if err != nil || more != (src.AxialFull > ly.Source.AxialFull*1.1) {
			continue
		}
		fits = append(fits, fit{m.Name, src.AxialFull, g.owned(m.Name)})
	}
	slices.SortStableFunc(fits, func(a, b fit) int {
		if a.own != b.own {
			if a.own {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.axial, a.axial)
	})
	i := ly.Light
	for _, m := range fits[:min(2, len(fits))] {
		needs, taken := g.needs(m.name)
		c := change{kind: "modifier", words: fmt.Sprintf("%s on %s instead of %s", m.name, ly.Name,
			orDefault(w.Modifier, "bare")), action: "modifier", layers: []string{ly.Name},
			needs: needs, taken: taken, apply: func(s *shoot.Setup) {
				s.Lights[i].Modifier,
					s.Lights[i].Grid = m.name, ""
			},
			edits: []yamltext.Edit{{Path: ly.Path + ".modifier", Value: m.name}}}
		if w.Grid != "" {
			c.deletes = []string{ly.Path + ".grid"}
		}
		g.add(c)
	}
}

// swaps reports whether a modifier may replace another.
func swaps(m kit.Modifier) bool {
	k, ok := kind.FindModifier(m.Kind)
	return ok && k.Swap
}

// panelKind returns the kind of a panel, from the kit where it names one of its own.
func (g *generator) panelKind(p *shoot.Panel) kind.Panel {
	word := p.Kind
	if k, ok := g.base.stage.Kit().FindPanel(p.Kind); ok {
		word = string(k.Kind)
	}
	k, _ := kind.FindPanel(word)
	return k
}

// cloth proposes a thinner cloth, or none, for a light that shines through one.
func (g *generator) cloth(w *shoot.Light) {
	for i := range g.base.stage.Setup.Panels {
		p := &g.base.stage.Setup.Panels[i]
		if !g.panelKind(p).Passes || w.Through == "" || !strings.EqualFold(w.Through, p.Name) {
			continue
		}
		path := fmt.Sprintf("setups[%d].panels[%d]", g.setup, i)
		if p.Surface == nil && !strings.Contains(p.Face+p.Kind, "half") {
			g.add(change{kind: "cloth", words: "half silk in the place of the " + p.Name, action: "cloth",
				everything: true, apply: func(s *shoot.Setup) { s.Panels[i].Face = "half silk" },
				edits: []yamltext.Edit{{Path: path + ".face", Value: "half silk"}}})
		}
		g.add(change{kind: "cloth", words: "take the " + p.Name + " away", action: "cloth", everything: true,
			apply:   func(s *shoot.Setup) { s.Panels = slices.Delete(s.Panels, i, i+1) },
			deletes: []string{path}})
	}
}

// otherHeads proposes stronger heads of the kit in place of a light, with its colour matched.
func (g *generator) otherHeads(l int) {
	ly, w := g.lightOf(l)
	k := g.base.stage.Kit()
	i := ly.Light
	var heads []string
	for _, h := range k.Heads {
		if g.owned(h.Name) && !strings.EqualFold(h.Name, w.Head) {
			heads = append(heads, h.Name)
		}
	}
	tried := 0
	for _, name := range heads {
		h, _ := k.FindHead(name)
		colour, gels, how := w.Colour, []string(nil), ""
		want := kit.Want{Head: name, FlatC: g.base.stage.Shoot.House.FlatC,
			DomeC: g.base.stage.Shoot.House.DomeC, Files: g.job.Files}
		if mount, _ := kind.FindMount(h.Mount); mount.Reflector {
			want.Modifier = "standard reflector"
		}
		if mixes(k, name) {
			if c, err := g.base.stage.LightOf(colour); err == nil {
				want.Colour = kit.Ask{Light: c}
			}
		} else {
			colour = shoot.Spectrum{}
			bare, err := k.Resolve(want)
			if err != nil {
				continue
			}
			// Gels match the colour of the light that it replaces.
			if spectrum.DeltaUVPrime(bare.Spectrum.XY(), ly.Spectrum.XY()) > 0.01 {
				stacks, err := gelStacks(context.Background(), k, bare.Spectrum, ly.Spectrum, nil, 1)
				if err != nil || len(stacks) == 0 {
					continue
				}
				gels, how = stacks[0].gels, ", "+g.beside(stacks[0].match.UV, ly.Spectrum.XY())
				want.Gels = gels
			}
		}
		src, err := k.Resolve(want)
		if err != nil || src.Flash == ly.Flash && src.AxialFull < ly.Source.AxialFull*1.2 {
			continue
		}
		if tried++; tried > 3 {
			return
		}
		needs, taken := g.needs(name)
		words := fmt.Sprintf("%s as %s", name, ly.Name)
		if len(gels) > 0 {
			var said []string
			for _, n := range gels {
				said = append(said, gelSaid(n))
			}
			words += " with " + list(said)
			for _, x := range gels {
				needs = append(needs, x+" gel")
			}
		}
		c := change{kind: "head", words: words, detail: strings.TrimPrefix(how, ", "), action: "head",
			layers: []string{ly.Name}, needs: needs, taken: taken,
			apply: func(s *shoot.Setup) {
				n := &s.Lights[i]
				n.Head, n.Modifier, n.Grid, n.Gel, n.Colour, n.Power, n.Level, n.Outlet = name, want.Modifier, "",
					gels, colour, "", nil, ""
			},
			edits: []yamltext.Edit{{Path: ly.Path + ".head", Value: name}}}
		if want.Modifier != "" {
			c.edits = append(c.edits, yamltext.Edit{Path: ly.Path + ".modifier", Value: want.Modifier})
		}
		if len(gels) > 0 || len(w.Gel) > 0 {
			c.edits = append(c.edits, yamltext.Edit{Path: ly.Path + ".gel", Value: gelText(slices.Clone(gels))})
		}
		gone := func(key string, is bool) {
			if is {
				c.deletes = append(c.deletes, ly.Path+"."+key)
			}
		}
		gone("colour", w.Colour.Set() && !colour.Set())
		gone("level", w.Level != nil && src.Flash)
		gone("power", w.Power != "" && !src.Flash)
		gone("grid", w.Grid != "")
		gone("outlet", w.Outlet != "")
		gone("modifier", w.Modifier != "" && want.Modifier == "")
		g.add(c)
	}
}

// beside ends the name of a second light beside one.
const beside = " second"

// second proposes another equal light beside a light.
func (g *generator) second(l int) {
	ly, w := g.lightOf(l)
	b := ly.Bodies[0]
	side := max(0.35, float64(ly.Source.Width)+0.05)
	across := geom.V(b.Frame.S.X, b.Frame.S.Y, 0)
	if g.base.stage.Sitter != nil {
		// On the side away from the nose, where it fills nothing.
		round := func(sign float64) float64 {
			return math.Abs(anglesOf(g.base.stage, b.At.AddMul(across, sign*side)))
		}
		if round(-1) > round(1) {
			across = across.Mul(-1)
		}
	}
	needs, taken := g.needsMore(w.Head, 1)
	n := *w
	n.Name = ly.Name + beside
	n.Role = ""
	if w.Modifier != "" {
		// The same on both where there are two, else what else there is.
		for _, m := range slices.Concat([]string{w.Modifier}, g.spare()) {
			more, gone := g.needs(m)
			if n.Modifier = m; len(gone) == 0 {
				needs = append(needs, more...)
				break
			}
			n.Modifier = ""
		}
		if n.Modifier == "" {
			n.Modifier = w.Modifier
			_, gone := g.needs(w.Modifier)
			needs, taken = append(needs, w.Modifier), append(taken, gone...)
		}
	}
	if n.Modifier != w.Modifier {
		n.Grid = ""
	} else if w.Grid != "" {
		more, gone := g.needs(w.Grid)
		needs, taken = append(needs, more...), append(taken, gone...)
	}
	var s strings.Builder
	fmt.Fprintf(&s, "{name: %s, head: %s", n.Name, yamltext.Quote(n.Head, true))
	for _, f := range [][2]string{{"modifier", n.Modifier}, {"grid", n.Grid}, {"colour", colourText(n.Colour)},
		{"power", n.Power}, {"aim", n.Aim.Name}, {"through", n.Through}, {"stand", n.Stand}} {
		if f[1] != "" {
			v := f[1]
			if f[0] != "colour" {
				v = yamltext.Quote(v, true)
			}
			fmt.Fprintf(&s, ", %s: %s", f[0], v)
		}
	}
	if n.Aim.Name == "" && n.Aim.At != [3]float64{} {
		fmt.Fprintf(&s, ", aim: [%g, %g, %g]", n.Aim.At[0], n.Aim.At[1], n.Aim.At[2])
	}
	if len(n.Gel) > 0 {
		fmt.Fprintf(&s, ", gel: %s", gelText(slices.Clone(n.Gel)))
	}
	if n.Level != nil {
		fmt.Fprintf(&s, ", level: %s", n.Level)
	}
	if n.Feather != 0 {
		fmt.Fprintf(&s, ", feather: %g deg", float64(n.Feather))
	}
	words := "a second " + w.Head + " beside " + ly.Name
	if n.Modifier != w.Modifier {
		words += " with the " + n.Modifier
	}
	for _, sign := range []float64{1, -1} {
		p := b.At.AddMul(across, sign*side)
		n := n
		n.At, n.Height = []q.Metres{q.Metres(round(p.X)), q.Metres(round(p.Y))}, q.Metres(round(p.Z))
		c := change{kind: "second head", words: words, action: "head", layers: []string{n.Name}, needs: needs,
			taken: taken, apply: func(s *shoot.Setup) { s.Lights = append(s.Lights, n) },
			adds: []yamltext.Edit{{Path: fmt.Sprintf("setups[%d].lights", g.setup),
				Value: fmt.Sprintf("%s, at: [%g, %g], height: %g m}", s.String(), float64(n.At[0]), float64(n.At[1]),
					float64(n.Height))}}}
		file, set := g.copy()
		c.apply(set)
		var err error
		if c.built, err = g.build(file); err == nil && inArea(w, p) {
			g.add(c)
			return
		}
		if sign < 0 && err != nil {
			g.refuse("second head", words, err)
		}
	}
}

// spare returns the modifiers of the shoot's own kit that are made to go in each other's place, as
// they are listed.
func (g *generator) spare() (out []string) {
	for _, own := range g.job.File.Kit.Modifiers {
		if m, ok := g.base.stage.Kit().FindModifier(own.Name); ok && swaps(m) {
			out = append(out, m.Name)
		}
	}
	return out
}

// trade proposes that a light and a stronger one of the setup swap heads and what is on them.
func (g *generator) trade(l int) {
	ly, w := g.lightOf(l)
	i := ly.Light
	for m := range g.base.stage.Layers {
		o := &g.base.stage.Layers[m]
		if m == l || o.Light < 0 || o.Source == nil || o.Flash != ly.Flash ||
			o.Source.AxialFull < ly.Source.AxialFull*1.2 {
			continue
		}
		v := &g.base.stage.Setup.Lights[o.Light]
		if v.Lock || v.Head == w.Head && v.Modifier == w.Modifier {
			continue
		}
		k := o.Light
		a, b := ly.Path, o.Path
		c := change{kind: "trade", words: ly.Name + " and " + o.Name + " trade heads", action: "trade",
			layers: []string{ly.Name, o.Name},
			apply: func(s *shoot.Setup) {
				x, y := &s.Lights[i], &s.Lights[k]
				x.Head, y.Head = y.Head, x.Head
				x.Power, y.Power, x.Level, y.Level = "", "", nil, nil
			},
			edits: []yamltext.Edit{{Path: a + ".head", Value: v.Head}, {Path: b + ".head", Value: w.Head}}}
		g.add(c)
	}
}

// owned reports whether a thing belongs to this shoot: counted in its own kit, or used in a setup.
func (g *generator) owned(name string) bool { return g.count(name) > 0 }

// count returns how many of a thing there are: by the kit, else the most that one setup uses.
func (g *generator) count(name string) int {
	k := &g.job.File.Kit
	have := -1
	look := func(n string, h int) {
		if strings.EqualFold(n, name) {
			have = h
		}
	}
	for _, x := range k.Heads {
		look(x.Name, x.Have)
	}
	for _, x := range k.Modifiers {
		look(x.Name, x.Have)
	}
	for _, x := range k.Grids {
		look(x.Name, x.Have)
	}
	for _, x := range k.Panels {
		look(x.Name, x.Have)
	}
	if have > 0 {
		return have
	}
	most := max(0, have+1) // in the kit without a count: one
	for i := range g.job.File.Setups {
		most = max(most, uses(&g.job.File.Setups[i], name))
	}
	return most
}

func uses(s *shoot.Setup, name string) (n int) {
	for _, l := range s.Lights {
		for _, x := range []string{l.Head, l.Modifier, l.Grid} {
			if strings.EqualFold(x, name) {
				n++
			}
		}
	}
	for _, p := range s.Panels {
		if strings.EqualFold(p.Kind, name) {
			n++
		}
	}
	return
}

// needs returns that a thing is needed, and whether it is in use here or in the next setup.
func (g *generator) needs(name string) (needs, taken []string) { return g.needsMore(name, 1) }

func (g *generator) needsMore(name string, n int) (needs, taken []string) {
	have := g.count(name)
	switch here := uses(g.base.stage.Setup, name); {
	case have == 0 && g.everyday(name):
	case have == 0:
		taken = []string{name + ", not in this shoot's kit"}
	case here+n > have:
		taken = []string{name + ", in use here"}
	case g.setup+1 < len(g.job.File.Setups) && uses(&g.job.File.Setups[g.setup+1], name)+n > have:
		taken = []string{name + ", wanted in the next setup"}
	}
	return []string{name}, taken
}

// everyday reports whether a thing is one that every crew has (gels, grids, boards, flags), where
// the shoot's kit says nothing of its kind.
func (g *generator) everyday(name string) bool {
	own, k := &g.job.File.Kit, g.base.stage.Kit()
	if _, ok := k.FindPanel(name); ok {
		return len(own.Panels) == 0
	}
	if slices.ContainsFunc(k.GelNames(), func(n string) bool { return strings.EqualFold(n, name) }) {
		return len(own.Gels) == 0
	}
	return slices.ContainsFunc(k.Grids, func(x kit.Grid) bool { return strings.EqualFold(x.Name, name) }) &&
		len(own.Grids) == 0
}

func orDefault(s, d string) string {
	if s == "" {
		return d
	}
	return s
}
