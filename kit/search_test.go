package kit

import (
	"strings"
	"testing"
)

// TestSearch: what a photographer would say finds what they mean in the generic catalogue; the
// figures are those of docs/kit.md.
func TestSearch(t *testing.T) {
	own, list := Decode("own.yaml", []byte(`
heads: [{name: my head, like: battery head 500, have: 2, owner: hire}]
gels: [{name: full orange, like: full orange, have: 4}]
`))
	if len(list) > 0 {
		t.Fatal(list.Text())
	}
	k := Merge(Catalogue(), own)
	all := k.Entries(own)
	if !all[0].Own || all[0].Name != "my head" || all[0].Owner != "hire" || all[1].Own && all[1].Name != "full orange" {
		t.Errorf("own things are not first: %+v", all[:2])
	}
	for _, c := range []struct {
		query     string
		with, not string // names, by semicolons
	}{
		{"soft, 60 cm, under 1 kg", "softbox 60x60", "softbox 100x100;octa 150;standard reflector"},
		{"soft 60 cm under 1 kg", "softbox 60x60", "octa 150"},
		{"soft, 0,6 m", "softbox 60x60;softbox 60x90", "octa 150"},
		{"60x90", "softbox 60x90", "softbox 60x60"},
		{"90 x 60 cm", "softbox 60x90", "softbox 60x60"},
		{"soft boxes over 1 m", "octa 150;strip 30x120", "softbox 60x60"},
		{"flash over 400 Ws battery", "battery head 500", "mains head 500;battery head 200"},
		{"hire", "my head", "battery head 500"},
		{"stand carries 9 kg", "heavy stand 400;roller stand", "light stand"},
		{"boom", "boom stand;light boom", "light stand"},
		{"stand, 3.5 m high", "heavy stand 400;boom stand", "light stand 300"},
		{"clamp", "clamp", "light stand"},
		{"cable", "extension 10 m", "sandbag"},
		{"orange gel", "full orange", "full blue"},
		{"silk", "", "softbox 60x60"},
		{"colour led", "", "battery head 500"},
	} {
		found, _ := Search(all, c.query)
		names := map[string]bool{}
		for _, e := range found {
			names[e.Name] = true
		}
		if len(found) == 0 {
			t.Errorf("%q finds nothing", c.query)
		}
		for n := range strings.SplitSeq(c.with, ";") {
			if n != "" && !names[n] {
				t.Errorf("%q does not find %s", c.query, n)
			}
		}
		for n := range strings.SplitSeq(c.not, ";") {
			if names[n] {
				t.Errorf("%q finds %s", c.query, n)
			}
		}
	}
	if found, alone := Search(all, "soft, under 1 g"); len(found) > 0 || len(alone) != 2 ||
		!strings.HasSuffix(alone[1], "fits 0") {
		t.Errorf("%d %q", len(found), alone)
	}
}
