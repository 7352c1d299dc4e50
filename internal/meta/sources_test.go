package meta

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// source is one Go file of this module.
type source struct {
	path    string // from the module's root, with slashes
	room    string // its first folder
	test    bool
	lines   int
	made    bool // generated
	imports []string
	tree    *ast.File
	set     *token.FileSet
	text    []byte
}

// at is 'file:line'.
func (s *source) at(line int) string { return fmt.Sprintf("%s:%d", s.path, line) }

// between is the text from one place to another.
func (s *source) between(from, to token.Pos) string {
	return string(s.text[s.set.Position(from).Offset:s.set.Position(to).Offset])
}

// place is 'file:line' of a node.
func (s *source) place(at token.Pos) string {
	return s.at(s.set.Position(at).Line)
}

// file is any text file that could be committed.
type file struct {
	path string
	text []byte
}

// root is the module's folder: the nearest above with a go.mod.
var root = sync.OnceValue(func() string {
	dir, err := os.Getwd()
	if err != nil {
		panic(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			panic("no go.mod above the test")
		}
		dir = up
	}
})

// skipped folders hold what is not the project's own text.
var skipped = map[string]bool{".git": true, "node_modules": true, "out": true, "testdata/fuzz": true}

// files reads every text file under the root, at most 4 MB each.
var files = sync.OnceValue(func() (all []file) {
	err := filepath.WalkDir(root(), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(root(), path)
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			if skipped[d.Name()] {
				return fs.SkipDir
			}
			return nil
		}
		if i, err := d.Info(); err != nil || !d.Type().IsRegular() || i.Size() > 4<<20 {
			return nil
		}
		b, err := os.ReadFile(path)
		if err != nil || bytes.IndexByte(b, 0) >= 0 {
			return nil
		}
		all = append(all, file{rel, b})
		return nil
	})
	if err != nil {
		panic(err)
	}
	return all
})

// sources parses the Go files of this module; modules inside it (bvh/gen) are not part of it.
func sources(t *testing.T) []source {
	t.Helper()
	all, err := parsed()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 50 {
		t.Fatalf("only %d Go files under %s: the test looks in the wrong place", len(all), root())
	}
	return all
}

var parsed = sync.OnceValues(func() (all []source, err error) {
	inner := map[string]bool{}
	for _, f := range files() {
		if dir, ok := strings.CutSuffix(f.path, "/go.mod"); ok {
			inner[dir+"/"] = true
		}
	}
	for _, f := range files() {
		if !strings.HasSuffix(f.path, ".go") || strings.Contains(f.path, "/testdata/") {
			continue
		}
		other := false
		for dir := range inner {
			other = other || strings.HasPrefix(f.path, dir)
		}
		if other {
			continue
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, f.path, f.text, parser.ParseComments)
		if err != nil {
			return nil, err
		}
		room, _, _ := strings.Cut(f.path, "/")
		s := source{path: f.path, room: room, test: strings.HasSuffix(f.path, "_test.go"),
			lines: bytes.Count(f.text, []byte("\n")), made: ast.IsGenerated(tree), tree: tree, set: set, text: f.text}
		for _, i := range tree.Imports {
			p, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return nil, err
			}
			s.imports = append(s.imports, p)
		}
		all = append(all, s)
	}
	return all, nil
})
