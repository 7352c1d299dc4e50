package kit

import (
	"slices"
	"testing"

	"halfstop/geom"
	"halfstop/kind"
	"halfstop/material"
)

// Every kind of the tables has an entry in the catalogue, every entry is of a kind that fits its
// face and its mounts, and every surface that a kind names is there.
func TestCatalogueHasEveryKind(t *testing.T) {
	k := Catalogue()
	have := map[string]bool{}
	for _, m := range k.Modifiers {
		have["modifier "+string(m.Kind)] = true
		form, ok := kind.FindModifier(m.Kind)
		if !ok {
			t.Errorf("%s is of no kind: %q", m.Name, m.Kind)
			continue
		}
		if form.Shape != "" && (m.Face == nil || m.Face.Shape != form.Shape) {
			t.Errorf("%s: its face is not the %s of a %s", m.Name, form.Shape, m.Kind)
		}
		for _, x := range m.Mount {
			if !slices.Contains(form.Mounts, string(x)) {
				t.Errorf("%s goes on a %s, a %s does not", m.Name, x, m.Kind)
			}
		}
	}
	for _, h := range k.Heads {
		have["mount "+string(h.Mount)] = true
	}
	for _, p := range k.Panels {
		have["panel "+string(p.Kind)] = true
	}
	for _, s := range k.Stands {
		have["stand "+string(s.Kind)] = true
	}
	for sort, words := range map[string][]string{"modifier": kind.ModifierWords(), "mount": kind.MountWords(),
		"panel": kind.PanelWords(), "stand": kind.StandWords()} {
		for _, w := range words {
			if !have[sort+" "+w] && sort+w != "panelfabric" { // cloth is as large as it is cut
				t.Errorf("the catalogue has no %s of the kind %q", sort, w)
			}
		}
	}
	surfaces := func(what string, names ...string) {
		for _, n := range names {
			if _, err := material.Preset(n); n != "" && err != nil {
				t.Errorf("%s: %v", what, err)
			}
		}
	}
	for _, p := range kind.Panels() {
		surfaces(p.Word, p.Face)
	}
	for _, o := range kind.Objects() {
		b := kind.NewSolid(geom.Vec{}, geom.FrameOf(geom.V(0, 0, 1)))
		o.Body(b, o.Size[0], o.Size[1], o.Size[2])
		surfaces(o.Word, append(b.Surfaces, o.Surface)...)
	}
}

// A gel of the catalogue can be counted, with like or by
// its name alone; it stays the gel that it is.
func TestCountedGel(t *testing.T) {
	want, _, err := sheet("full orange")
	if err != nil {
		t.Fatal(err)
	}
	for _, own := range []GelSpec{{Name: "full orange", Like: "full orange", Have: 4}, {Name: "full orange", Have: 4}} {
		k := Merge(Catalogue(), Kit{Gels: []GelSpec{own}})
		if c, _, err := k.Transmittance("full orange"); err != nil || c.At(600) != want.At(600) {
			t.Errorf("%+v: %v", own, err)
		}
		if l := k.CheckOwn(Kit{Gels: []GelSpec{own}}); len(l) > 0 {
			t.Error(l[0])
		}
		if g, ok := k.FindGel("full orange"); !ok || g.Have != 4 {
			t.Errorf("%+v is not counted", g)
		}
	}
}
