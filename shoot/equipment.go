package shoot

import (
	"errors"
	"fmt"

	"halfstop/diag"
	"halfstop/kind"
	"halfstop/kit"
	"halfstop/yamltext"
)

// ownKit is one text of own kit with the path of its entries.
type ownKit struct {
	kit  kit.Kit
	doc  *yamltext.Doc
	path string // of the kit in its text: 'kit.' in a shoot, '' in a file of kit
}

// equipment checks own kit, and every name of a head, modifier and the like against own kit and the
// catalogue.
func (c *checker) equipment(own []ownKit) {
	full := kit.Merge(kit.Catalogue(), c.file.Kit)
	for _, o := range own {
		for _, p := range full.CheckOwn(o.kit) {
			if path := p.Path(o.kit); path != "" {
				c.list = append(c.list, diag.Message{Code: p.Code, Pos: o.doc.Pos(o.path + path), Text: p.Text,
					Fix: p.Fix})
			}
		}
		for i, h := range o.kit.Heads {
			c.withinAt(o.doc.Pos(fmt.Sprintf("%sheads[%d].photometry", o.path, i)), h.Photometry)
		}
	}
	for i := range c.file.Setups {
		s := &c.file.Setups[i]
		for j := range s.Lights {
			c.fromKit(&full, &s.Lights[j], fmt.Sprintf("setups[%d].lights[%d]", i, j))
		}
		c.counts(&full, s, i)
		for j := range s.Panels {
			path := fmt.Sprintf("setups[%d].panels[%d]", i, j)
			known := append(nameList(full.Panels, func(p kit.PanelSpec) string { return p.Name }), kind.PanelWords()...)
			c.owned(path+".kind", "panel or kind of panel", s.Panels[j].Kind, known)
			c.owned(path+".stand", "stand in the kit called", s.Panels[j].Stand, nameList(full.Stands,
				func(s kit.Stand) string { return s.Name }))
		}
	}
}

// counts adds a message where a setup uses more of a thing at once than the kit has.
func (c *checker) counts(full *kit.Kit, s *Setup, setup int) {
	used := map[string]int{}
	take := func(list, name, path string, have int, ok bool) {
		if name == "" || !ok || have <= 0 {
			return
		}
		k := list + " " + fold(name)
		if used[k]++; used[k] == have+1 {
			m := c.say(path, "shoot.count", "take another, add one to the kit's have, or hire one",
				"%s uses more than %d of %s, and the kit has %d", s.Name, have, name, have)
			m.Severity = diag.Finding
		}
	}
	for j := range s.Lights {
		l := &s.Lights[j]
		if l.Off {
			continue
		}
		path := fmt.Sprintf("setups[%d].lights[%d].", setup, j)
		h, ok := full.FindHead(l.Head)
		take("head", l.Head, path+"head", h.Have, ok)
		m, ok := full.FindModifier(l.Modifier)
		take("modifier", l.Modifier, path+"modifier", m.Have, ok)
		g, ok := full.FindGrid(l.Grid)
		take("grid", l.Grid, path+"grid", g.Have, ok)
		for _, name := range l.Gel {
			x, ok := full.FindGel(name)
			take("gel", name, path+"gel", x.Have, ok)
		}
		t, ok := full.FindStand(l.Stand)
		take("stand", l.Stand, path+"stand", t.Have, ok)
	}
	for j := range s.Panels {
		path := fmt.Sprintf("setups[%d].panels[%d].", setup, j)
		p, ok := full.FindPanel(s.Panels[j].Kind)
		take("panel", s.Panels[j].Kind, path+"kind", p.Have, ok)
		t, ok := full.FindStand(s.Panels[j].Stand)
		take("stand", s.Panels[j].Stand, path+"stand", t.Have, ok)
	}
}

// fromKit checks the names in a light against the kit.
func (c *checker) fromKit(full *kit.Kit, l *Light, path string) {
	c.owned(path+".head", "head in the kit called", l.Head, nameList(full.Heads,
		func(h kit.Head) string { return h.Name }))
	if fold(l.Modifier) != "bare" {
		c.owned(path+".modifier", "modifier in the kit called", l.Modifier, nameList(full.Modifiers,
			func(m kit.Modifier) string { return m.Name }))
	}
	c.owned(path+".grid", "grid in the kit called", l.Grid, nameList(full.Grids,
		func(g kit.Grid) string { return g.Name }))
	c.owned(path+".stand", "stand in the kit called", l.Stand, nameList(full.Stands,
		func(s kit.Stand) string { return s.Name }))
	for i, g := range l.Gel {
		at := path + ".gel"
		if n := c.doc.Find(at); n != nil && n.Kind == yamltext.List {
			at = fmt.Sprintf("%s[%d]", at, i)
		}
		if g == "" || !c.said(at) {
			continue
		}
		if _, _, err := full.Transmittance(g); err != nil {
			var p *kit.Problem
			text, fix := err.Error(), ""
			if errors.As(err, &p) {
				text, fix = p.Text, p.Fix
			}
			c.say(at, "shoot.unknown-name", fix, "%s", text)
		}
	}
}

func nameList[T any](list []T, name func(T) string) []string {
	var out []string
	for _, e := range list {
		out = append(out, name(e))
	}
	return out
}

func (c *checker) owned(path, what, name string, known []string) {
	if name != "" && c.said(path) {
		c.refers(path, what, name, known)
	}
}
