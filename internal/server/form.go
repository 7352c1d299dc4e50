package server

import (
	"net/http"
	"slices"
	"strconv"

	"halfstop/diag"
	"halfstop/kit"
	"halfstop/material"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

// FormView is what every setting of the file is: forms are made from it.
type FormView struct {
	Groups map[string]shoot.FormGroup `json:"groups" doc:"by name; 'file' is the file itself"`
}

// TreeView is what the text says, value by value, draft or not.
type TreeView struct {
	Revision int                 `json:"revision"`
	Root     *TreeNode           `json:"root" doc:"null: the text cannot be read as YAML; its messages say where"`
	Names    map[string][]string `json:"names" doc:"what there is to name: heads, modifiers, surfaces, points, …"`
}

// TreeNode is one value as written.
type TreeNode struct {
	Kind  string      `json:"kind" words:"none|text|list|map"`
	Text  string      `json:"text,omitempty" doc:"of a single value, without quotes"`
	Keys  []string    `json:"keys,omitempty" doc:"of a map, in the order of the text"`
	Items []*TreeNode `json:"items,omitempty" doc:"of a list; of a map, one for each key"`
	Line  int         `json:"line,omitempty"`
}

func (s *Server) getForm(w http.ResponseWriter, r *http.Request) error {
	return giveTagged(w, r, FormView{shoot.Form()})
}

func (s *Server) getTree(w http.ResponseWriter, r *http.Request) error {
	b := s.book
	b.mu.Lock()
	rev, name, text, good := b.rev, b.file.Name, b.text, b.good
	b.mu.Unlock()
	doc, _ := yamltext.Parse(name, text)
	v := TreeView{Revision: rev, Names: namesOf(good)}
	if doc != nil && doc.Root != nil {
		v.Root = treeOf(doc.Root)
	}
	return give(w, v)
}

func treeOf(n *yamltext.Node) *TreeNode {
	t := &TreeNode{Kind: [...]string{"none", "text", "list", "map"}[n.Kind], Text: n.Text, Line: n.Pos.Line}
	for _, v := range n.Items {
		t.Items = append(t.Items, treeOf(v))
	}
	for _, f := range n.Fields {
		t.Keys, t.Items = append(t.Keys, f.Key.Text), append(t.Items, treeOf(f.Value))
	}
	return t
}

// placed names the setting of each message that has a place in the text.
func placed(doc *yamltext.Doc, list diag.List) diag.List {
	if doc == nil {
		return list
	}
	out := slices.Clone(list)
	for i := range out {
		if p := &out[i].Pos; p.Known() && p.File == doc.Name {
			p.Path = doc.PathAt(p.Line, p.Col)
		}
	}
	return out
}

// namesOf lists what a setting may name.
func namesOf(m *model) map[string][]string {
	own := kit.Kit{}
	var f shoot.File
	if m != nil {
		f, own = *m.job.File, m.job.File.Kit
	}
	k := kit.Merge(kit.Catalogue(), own)
	v := map[string][]string{"gels": some(k.GelNames()), "lamps": spectrum.Names(),
		"shell": {"all", "walls", "floor", "ceiling"}, "faces": {"x-", "x+", "y-", "y+", "z-", "z+"},
		"directions": {"camera", "sitter", "key", "up", "down", "x+", "x-", "y+", "y-"}, "surfaces": material.Presets()}
	add := func(list, name string) {
		if name != "" && !slices.Contains(v[list], name) {
			v[list] = append(v[list], name)
		}
	}
	for _, h := range k.Heads {
		add("heads", h.Name)
	}
	for _, x := range k.Modifiers {
		add("modifiers", x.Name)
	}
	for _, g := range k.Grids {
		add("grids", g.Name)
	}
	for _, x := range k.Stands {
		add("stands", x.Name)
	}
	for _, x := range k.Panels {
		add("panels", x.Name)
	}
	for _, x := range k.Things {
		add("things", x.Name)
	}
	for _, x := range own.Surfaces {
		add("surfaces", x.Name)
	}
	for i := range max(len(f.Room.Outline), 4*min(1, len(f.Room.Size))) {
		add("shell", "wall "+strconv.Itoa(i+1))
	}
	for _, c := range f.Room.Circuits {
		add("circuits", c.Name)
	}
	colour := func(of, name string) {
		if name != "" {
			add("colours", "like "+of+"."+name)
		}
	}
	for _, p := range f.Room.Practicals {
		add("house", p.Name)
		add("targets", "practicals."+p.Name)
		colour("practicals", p.Name)
	}
	for _, w := range f.Room.Windows {
		add("house", w.Name)
		colour("windows", w.Name)
	}
	v["sitter"] = shoot.AnatomicalNames()
	v["points"] = shoot.AnatomicalNames()
	for _, s := range f.Setups {
		for _, l := range s.Lights {
			name := l.Name
			if name == "" {
				name = l.Role
			}
			add("lights", name)
			colour("lights", name)
		}
		for _, p := range s.Panels {
			add("panels of the setup", p.Name)
		}
		for _, p := range s.Points {
			add("points", p.Name)
			add("targets", "points."+p.Name)
		}
	}
	for _, n := range v["sitter"] {
		add("targets", "sitter."+n)
	}
	add("targets", "ceiling")
	add("targets", "floor")
	for _, white := range []string{"2856 K", "3200 K", "4300 K", "5600 K", "6500 K"} {
		add("colours", white)
	}
	for _, l := range v["lamps"] {
		add("colours", l)
	}
	return v
}
