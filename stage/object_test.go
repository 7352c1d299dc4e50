package stage

import (
	"fmt"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/shoot"
)

// TestMeshSize: a mesh in millimetres is told with the scale that it wants, one of kilometres is
// an error, one of its size is neither.
func TestMeshSize(t *testing.T) {
	for _, c := range []struct {
		side     float64
		severity diag.Severity
		none     bool
		fix      string
	}{
		{side: 0.8, none: true},
		{side: 1800, severity: diag.Finding, fix: "write scale: 0.001"},
		{side: 90_000, severity: diag.Error, fix: "give its scale"},
		{side: 0.003, severity: diag.Finding, fix: "give its scale"},
	} {
		obj := fmt.Sprintf("v 0 0 0\nv %[1]g 0 0\nv 0 %[1]g 0\nv 0 0 %[1]g\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n",
			c.side)
		src := "halfstop: 1\nroom: {size: [4, 4, 2.5], objects: [{name: cast, mesh: cast.obj, at: [1, 1, 0]}]}\n" +
			"setups:\n  - name: a\n    points: [{name: p, at: [2, 2, 1], facing: up}]\n"
		f, doc, l := shoot.Parse("s.yaml", []byte(src), shoot.Options{})
		if f == nil || l.Has(diag.Error) {
			t.Fatal(l.Text())
		}
		_, list := Build(f, doc, 0, Options{Files: func(string) ([]byte, error) { return []byte(obj), nil }})
		var got *diag.Message
		for i := range list {
			if list[i].Code == "stage.mesh-size" {
				got = &list[i]
			}
		}
		if c.none != (got == nil) {
			t.Errorf("a mesh of %g m: %v", c.side, got)
			continue
		}
		if got != nil && (got.Severity != c.severity || !strings.Contains(got.Fix, c.fix)) {
			t.Errorf("a mesh of %g m: %s, %q", c.side, got.Severity, got.Fix)
		}
	}
}
