package kit

import "fmt"

// Check looks through a complete kit (Merge(Catalogue(), own)) for entries that make no sense by
// themselves: a `like` that names nothing, a name twice, a level said twice or not at all, a face
// that cannot be, a gel without colour. Heads with a photometric file are looked at without it.
// Check: TestCatalogueLoads, TestCheckFinds.
func (k *Kit) Check() []*Problem { return k.check(func(any) bool { return true }) }

// CheckOwn is Check for the entries of own only; k is Merge(Catalogue(), own).
func (k *Kit) CheckOwn(own Kit) []*Problem {
	mine := map[string]bool{}
	mark(mine, "kit.Head", own.Heads)
	mark(mine, "kit.Modifier", own.Modifiers)
	mark(mine, "kit.Grid", own.Grids)
	mark(mine, "kit.GelSpec", own.Gels)
	return k.check(func(e any) bool {
		name, _ := nameOf(e)
		return mine[fmt.Sprintf("%T", e)+"\x00"+name]
	})
}

func mark[T any](into map[string]bool, kind string, entries []T) {
	for _, e := range entries {
		name, _ := nameOf(e)
		into[kind+"\x00"+name] = true
	}
}

// Path says where in own the entry at fault stands, as a path of the file: 'heads[2].guide number';
// ” where it is not in own.
func (p *Problem) Path(own Kit) string {
	i := -1
	switch p.List {
	case "heads":
		i = index(own.Heads, p.Name)
	case "modifiers":
		i = index(own.Modifiers, p.Name)
	case "grids":
		i = index(own.Grids, p.Name)
	case "gels":
		i = index(own.Gels, p.Name)
	case "panels":
		i = index(own.Panels, p.Name)
	case "stands":
		i = index(own.Stands, p.Name)
	case "surfaces":
		i = index(own.Surfaces, p.Name)
	case "things":
		i = index(own.Things, p.Name)
	}
	if i < 0 {
		return ""
	}
	path := fmt.Sprintf("%s[%d]", p.List, i)
	if p.Key != "" {
		path += "." + p.Key
	}
	return path
}

// index is the last entry of a name: where it is there twice, the second is at fault.
func index[T any](entries []T, name string) int {
	for i := len(entries) - 1; i >= 0; i-- {
		if n, _ := nameOf(entries[i]); n == key(name) {
			return i
		}
	}
	return -1
}

func (k *Kit) check(wanted func(entry any) bool) []*Problem {
	var out []*Problem
	out = append(out, names("heads", k.Heads)...)
	out = append(out, names("modifiers", k.Modifiers)...)
	out = append(out, names("grids", k.Grids)...)
	out = append(out, names("gels", k.Gels)...)
	out = append(out, names("panels", k.Panels)...)
	out = append(out, names("stands", k.Stands)...)
	out = append(out, names("surfaces", k.Surfaces)...)
	out = append(out, names("things", k.Things)...)
	reported := map[string]bool{}
	for _, p := range out {
		reported[p.List+"\x00"+key(p.Name)] = true
	}
	// One mistake, one message: an entry with a message is not checked further.
	add := func(list, name string, err error) {
		if err == nil || reported[list+"\x00"+key(name)] {
			return
		}
		reported[list+"\x00"+key(name)] = true
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
		if !wanted(h) || h.Photometry != "" && len(h.levels()) == 1 {
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
		if !wanted(m) || key(m.Name) == "bare" {
			continue
		}
		_, err := k.faceOf(m)
		add("modifiers", m.Name, err)
		if m.gain() > 4 || m.gain() < -8 {
			add("modifiers", m.Name, &Problem{Code: "kit.gain", Key: "gain",
				Text: fmt.Sprintf("a gain of %s cannot be",
					signed(m.gain())), Fix: "write stops against the standard reflector: -2 st is two lost"})
		}
	}
	for _, g := range k.Grids {
		if wanted(g) && !(g.Cut > 1 && g.Cut < 90) {
			add("grids", g.Name, &Problem{Code: "kit.grid", Key: "cut",
				Text: fmt.Sprintf("a grid that cuts at %s cannot be", g.Cut), Fix: "write its angle: cut: 40 deg"})
		}
	}
	for _, g := range k.Gels {
		if !wanted(g) {
			continue
		}
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
			out = append(out, &Problem{Code: "kit.no-name", List: list, Key: "name", Text: "an entry has no name",
				Fix: "write name"})
			continue
		}
		if seen[name] {
			out = append(out, &Problem{Code: "kit.twice", List: list, Name: name, Key: "name",
				Text: fmt.Sprintf("%q is there twice", name), Fix: "rename one"})
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
