package meta

import (
	"go/ast"
	"strings"
	"testing"
)

// banned imports of engine rooms, each with its reason. What stands here also bans what lies below
// it.
var banned = map[string]string{
	"os":            "the engine has no disk; the store hands it bytes",
	"io/ioutil":     "the engine has no disk",
	"path/filepath": "the engine has no disk",
	"net":           "the engine has no network",
	"log":           "the engine has no log; it returns diag messages",
	"flag":          "the engine has no command line",
	"math/rand":     "use sample: a number must depend on seed, stream, index and dimension only",
	"crypto/rand":   "use sample",
	"unsafe":        "only the glue of assembly may need it",
	"syscall":       "the engine has no system",
	"plugin":        "the engine is one binary",
	"html/template": "rooms draw with their own writers",
}

// others are modules from outside that an engine room may import.
var others = map[string][]string{
	"bvh":      {"golang.org/x/sys/cpu"},
	"yamltext": {"github.com/goccy/go-yaml"},
	"sheet":    {"golang.org/x/image"},
	"picture":  {"golang.org/x/image"},
	"photo":    {"golang.org/x/image"},
}

// clock are the functions of package time that read it.
var clock = map[string]bool{"Now": true, "Since": true, "Until": true, "Sleep": true, "After": true, "Tick": true,
	"NewTimer": true, "NewTicker": true, "AfterFunc": true}

// TestPurity: pure functions and values, no disk, network, clock, log or process state. Tests of a
// room may read files and clocks.
func TestPurity(t *testing.T) {
	for _, s := range sources(t) {
		if s.test || outside(s.room) {
			continue
		}
		for _, p := range s.imports {
			for b, why := range banned {
				if p == b || strings.HasPrefix(p, b+"/") {
					if b == "unsafe" && s.room == "bvh" {
						continue
					}
					t.Errorf("%s imports %s: %s", s.path, p, why)
				}
			}
			if first, _, _ := strings.Cut(p, "/"); strings.Contains(first, ".") {
				ok := false
				for _, m := range others[s.room] {
					ok = ok || p == m || strings.HasPrefix(p, m+"/")
				}
				if !ok {
					t.Errorf("%s imports %s: not among the modules that room may use", s.path, p)
				}
			}
		}
		ast.Inspect(s.tree, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := sel.X.(*ast.Ident); ok && x.Name == "time" && x.Obj == nil && clock[sel.Sel.Name] {
					t.Errorf("%s uses time.%s: time comes in as an argument", s.path, sel.Sel.Name)
				}
			}
			return true
		})
	}
}

// TestCgo: the program is built without it.
func TestCgo(t *testing.T) {
	for _, s := range sources(t) {
		for _, p := range s.imports {
			if p == "C" {
				t.Errorf("%s uses cgo", s.path)
			}
		}
	}
}
