package meta

import (
	"go/ast"
	"path"
	"strings"
	"testing"
)

// TestExamples: every room of the engine shows how it is used, by an example that is run.
func TestExamples(t *testing.T) {
	rooms, shown := map[string]bool{}, map[string]bool{}
	for _, s := range sources(t) {
		if outside(s.room) || path.Dir(s.path) != s.room {
			continue
		}
		rooms[s.room] = true
		if !s.test {
			continue
		}
		for _, d := range s.tree.Decls {
			f, ok := d.(*ast.FuncDecl)
			if ok && strings.HasPrefix(f.Name.Name, "Example") && strings.Contains(s.between(f.Pos(), f.End()),
				"// Output:") {
				shown[s.room] = true
			}
		}
	}
	for room := range rooms {
		if !shown[room] {
			t.Errorf("%s has no runnable example (func Example… with // Output:)", room)
		}
	}
}
