package kind

import (
	"math"
	"slices"
	"testing"

	"halfstop/geom"
)

var upright = geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)}

// A kind with a part missing fails here: its words, its mount, its body, its drawing.
func TestKindsAreComplete(t *testing.T) {
	said := func(sort, word, says string) {
		if word == "" || says == "" {
			t.Errorf("%s %q: says %q", sort, word, says)
		}
	}
	for _, m := range Modifiers() {
		said("modifier", m.Word, m.Says)
		for _, w := range m.Mounts {
			if _, ok := FindMount(w); !ok {
				t.Errorf("modifier %s: no mount %q", m.Word, w)
			}
		}
		if len(m.Mounts) == 0 || m.Body == nil {
			t.Errorf("modifier %s: mounts %v, body %v", m.Word, m.Mounts, m.Body != nil)
			continue
		}
		shape := m.Shape
		if shape == "" {
			shape = "disc"
		}
		if !slices.Contains([]string{"rectangle", "disc", "sphere"}, shape) {
			t.Errorf("modifier %s: face %q", m.Word, shape)
		}
		if r := BuildRig(m.Word, geom.Vec{}, upright, Rig{Shape: shape, Width: 0.6, Height: 0.6,
			Depth: 0.3}); shape != "sphere" && len(r.Tris) < 20 {
			t.Errorf("modifier %s: a body of %d triangles", m.Word, len(r.Tris))
		}
		drawn(t, "modifier "+m.Word, m.Symbol)
	}
	for _, m := range Mounts() {
		said("mount", m.Word, m.Says)
	}
	for _, p := range Panels() {
		said("panel", p.Word, p.Says)
		if p.Face == "" || p.Hatch == 0 || p.Fills && p.Passes {
			t.Errorf("panel %s: face %q, hatch %d, fills %v and passes %v", p.Word, p.Face, p.Hatch, p.Fills, p.Passes)
		}
	}
	for _, s := range Stands() {
		said("stand", s.Word, s.Says)
		if s.Feet != (s.Brace > 0) || (s.Arm || s.Plate) && !s.Feet {
			t.Errorf("stand %s: %+v", s.Word, s)
		}
	}
	for _, g := range glasses.list {
		said("glass", g.Word, g.Says)
		if g.Panes < 0 || g.Panes > 2 || g.Tint < 0 || g.Tint > 1 || g.Diffuse < 0 || g.Diffuse > 1 ||
			g.Tint > 0 && (g.Dirty || g.Panes != 1 || g.Diffuse > 0) {
			t.Errorf("glass %s: %+v", g.Word, g)
		}
	}
	for _, c := range covers.list {
		said("cover", c.Word, c.Says)
		if c.Straight < 0 || c.Scattered < 0 || c.Straight+c.Scattered > 1 {
			t.Errorf("cover %s: lets %g and %g through", c.Word, c.Straight, c.Scattered)
		}
	}
	for _, p := range Practicals() {
		said("practical", p.Word, p.Says)
		if p.Colour == "" || p.PerWatt <= 0 && p.Flux <= 0 || p.Ripple < 0 || p.Ripple > 1 || p.Mark == 0 ||
			p.PerWatt > 220 {
			t.Errorf("practical %s: %+v", p.Word, p)
		}
	}
	for _, o := range Objects() {
		said("object", o.Word, o.Says)
		if o.Body == nil || o.Foot == 0 || o.Surface == "" || o.Size[0]*o.Size[1]*o.Size[2] == 0 {
			t.Errorf("object %s: body %v, foot %d, surface %q, size %v", o.Word, o.Body != nil, o.Foot, o.Surface,
				o.Size)
		}
	}
}

// drawn holds a symbol to a closed body: it begins at its face's full size, ends no further than
// its depth, and no section lies before the last.
func drawn(t *testing.T, what string, y Symbol) {
	for _, depth := range []float64{0.1, 0.5} {
		s := y.At(depth)
		widest := 0.0
		for i, c := range s {
			widest = max(widest, c[0])
			if c[0] < 0 || math.Abs(c[1]) > 1 || i > 0 && c[1] <= s[i-1][1] {
				t.Errorf("%s: section %d is %v", what, i, c)
			}
		}
		if len(s) < 2 || widest != 1 {
			t.Errorf("%s: a symbol of %d sections, %g of the face at the widest", what, len(s), widest)
		}
	}
}

// Words find their kinds without regard to case, and no word stands twice.
func TestWordsAreUnique(t *testing.T) {
	for sort, words := range map[string][]string{"modifier": ModifierWords(), "panel": PanelWords(),
		"stand": StandWords(), "object": ObjectWords(), "mount": MountWords(), "glass": GlassWords(),
		"cover": CoverWords(), "practical": PracticalWords()} {
		s := slices.Sorted(slices.Values(words))
		if n := len(slices.Compact(s)); n != len(words) {
			t.Errorf("%s: %v", sort, words)
		}
	}
	if m, ok := FindModifier(" OCTA"); !ok || m.Word != "octa" {
		t.Error("octa is not found by case")
	}
	if _, ok := FindPanel("sheet of lead"); ok {
		t.Error("a word that is none is found")
	}
}
