package kit

import "fmt"

// Check looks through a complete kit (Merge(Catalogue(), own)) for entries that make no sense by themselves: a `like` that names
// nothing, a name twice, a level said twice or not at all, a face that cannot be, a gel without colour. Heads with a photometric
// file are looked at without it.
// Check: TestCatalogueLoads, TestCheckFinds.
func (k *Kit) Check() []*Problem {
	var out []*Problem
	out = append(out, names("heads", k.Heads)...)
	out = append(out, names("modifiers", k.Modifiers)...)
	out = append(out, names("grids", k.Grids)...)
	out = append(out, names("gels", k.Gels)...)
	out = append(out, names("panels", k.Panels)...)
	out = append(out, names("stands", k.Stands)...)
	out = append(out, names("surfaces", k.Surfaces)...)
	out = append(out, names("things", k.Things)...)
	told := map[string]bool{}
	for _, p := range out {
		told[p.List+"\x00"+key(p.Name)] = true
	}
	// One mistake, one message: an entry that was told of is not looked at further.
	add := func(list, name string, err error) {
		if err == nil || told[list+"\x00"+key(name)] {
			return
		}
		told[list+"\x00"+key(name)] = true
		p, ok := err.(*Problem)
		if !ok {
			p = &Problem{Code: "kit.entry", Text: err.Error()}
		}
		if p.List == "" {
			p.List, p.Name = list, name
		}
		out = append(out, p)
	}
	for _, h := range k.Heads {
		if h.Photometry != "" && len(h.levels()) == 1 {
			continue
		}
		_, err := k.Resolve(Want{Head: h.Name, Modifier: h.RatedWith})
		add("heads", h.Name, err)
		for _, r := range h.Reads {
			_, err := k.Resolve(Want{Head: h.Name, Modifier: r.Modifier, Grid: r.Grid})
			add("heads", h.Name, err)
		}
	}
	for _, m := range k.Modifiers {
		if key(m.Name) == "bare" {
			continue
		}
		_, err := k.faceOf(m)
		add("modifiers", m.Name, err)
		if m.gain() > 4 || m.gain() < -8 {
			add("modifiers", m.Name, &Problem{Code: "kit.gain", Key: "gain", Text: fmt.Sprintf("a gain of %s cannot be", signed(m.gain())), Fix: "write stops against the standard reflector: -2 st is two lost"})
		}
	}
	for _, g := range k.Grids {
		if !(g.Cut > 1 && g.Cut < 90) {
			add("grids", g.Name, &Problem{Code: "kit.grid", Key: "cut", Text: fmt.Sprintf("a grid that cuts at %s cannot be", g.Cut), Fix: "write its angle: cut: 40 deg"})
		}
	}
	for _, g := range k.Gels {
		_, _, err := k.Transmittance(g.Name)
		add("gels", g.Name, err)
	}
	return out
}

// names looks for entries without a name, names twice, and a like that names nothing.
func names[T any](list string, entries []T) (out []*Problem) {
	seen := map[string]bool{}
	for _, e := range entries {
		name, _ := nameOf(e)
		if name == "" {
			out = append(out, &Problem{Code: "kit.no-name", List: list, Key: "name", Text: "an entry has no name", Fix: "write name"})
			continue
		}
		if seen[name] {
			out = append(out, &Problem{Code: "kit.twice", List: list, Name: name, Key: "name", Text: fmt.Sprintf("%q is there twice", name), Fix: "rename one"})
		}
		seen[name] = true
	}
	for _, e := range entries {
		name, like := nameOf(e)
		if like != "" && like != name && !seen[like] && list != "gels" && list != "surfaces" {
			p := unknown("entry", "kit.unknown-like", entries, like)
			p.List, p.Name, p.Key = list, name, "like"
			out = append(out, p)
		}
	}
	return out
}
