package kit

import (
	"flag"
	"os"
	"strings"
	"testing"

	"halfstop/material"
	q "halfstop/quantity"
)

var update = flag.Bool("update", false, "write generated files")

func TestReferenceFresh(t *testing.T) {
	const file = "../docs/kit.md"
	want := Reference()
	for _, n := range cited(want) {
		if sources[n] == "" {
			t.Errorf("[%s] is cited and not described in sources.csv", n)
		}
	}
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if strings.ReplaceAll(string(got), "\r\n", "\n") != want {
		t.Error("docs/kit.md is not what the catalogue says; renew it with -update")
	}
}

// Every figure of the catalogue says where it comes from.
func TestCatalogueHasSources(t *testing.T) {
	k := Catalogue()
	need := func(list, name, source string) {
		if source == "" {
			t.Errorf("%s %q has no source", list, name)
		}
	}
	for _, x := range k.Heads {
		need("head", x.Name, x.Source)
		if x.Uncertainty == 0 || x.Weight == 0 || x.Depth == 0 || x.Feed == "" {
			t.Errorf("head %q lacks uncertainty, weight, depth or feed", x.Name)
		}
	}
	for _, x := range k.Modifiers {
		need("modifier", x.Name, x.Source)
	}
	for _, x := range k.Grids {
		need("grid", x.Name, x.Source)
	}
	for _, x := range k.Panels {
		need("panel", x.Name, x.Source)
		for _, face := range []string{x.Face, x.Back} {
			if _, err := material.Preset(face); face != "" && err != nil {
				t.Errorf("panel %q: %v", x.Name, err)
			}
		}
	}
	for _, x := range k.Stands {
		need("stand", x.Name, x.Source)
	}
	for _, x := range k.Things {
		need("thing", x.Name, x.Source)
	}
}

// GuideNumber is the guide number in metres of a flash source at the setting, at ISO 100 and meter
// constant c (0: 250); 0 for continuous light. Check: TestGuideNumber.
func (s Source) GuideNumber(c float64) q.Metres {
	if !s.Flash {
		return 0
	}
	if c == 0 {
		c = 250
	}
	return guideNumber(s.Axial, c, 100)
}
