package meta

import (
	"bytes"
	"maps"
	"os"
	"path"
	"strings"
	"testing"
)

// tooLong is the length from which a Go file should be two.
const tooLong = 600

// long are files that may pass it, with the most they may have and the reason.
var long = map[string]struct {
	most int
	why  string
}{}

// TestLength: one idea a file.
func TestLength(t *testing.T) {
	gone := maps.Clone(long)
	for _, s := range sources(t) {
		if s.made {
			continue
		}
		limit := tooLong
		if l, ok := long[s.path]; ok {
			delete(gone, s.path)
			limit = l.most
			if s.lines < tooLong {
				t.Errorf("%s is short enough now: take it off the list", s.path)
			}
		}
		if s.lines >= limit {
			t.Errorf("%s has %d lines; the limit is %d", s.path, s.lines, limit)
		}
	}
	for path := range gone {
		t.Errorf("there is no %s any more: take it off the list", path)
	}
}

// TestDoc: every package says what it is for, in doc.go or in the file named after it; commands
// anywhere.
func TestDoc(t *testing.T) {
	has, needs := map[string]bool{}, map[string]string{}
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		dir := path.Dir(s.path)
		needs[dir] = s.path
		if s.tree.Doc != nil && len(s.tree.Doc.Text()) > 80 && (path.Base(s.path) == "doc.go" ||
			path.Base(s.path) == path.Base(dir)+".go" || s.tree.Name.Name == "main") {
			has[dir] = true
		}
	}
	for dir := range needs {
		if !has[dir] {
			t.Errorf("%s: no doc.go with a package comment that says what it is for", dir)
		}
	}
}

// TestPaths: nothing committed may name a place on the machine it was written on, or a host that
// serves packages. The patterns are put together here so that this file does not match itself.
func TestPaths(t *testing.T) {
	bad := []string{"/" + "work/", "/" + "tmp/", "/" + "home/", "/" + "root/", "C:" + `\Users`,
		"proxy.golang" + ".org", "sum.golang" + ".org", "registry.npm" + "js", "pypi" + ".org", "files.python" +
			"hosted"}
	for _, f := range files() {
		for _, b := range bad {
			i := bytes.Index(f.text, []byte(b))
			// a word before the slash makes it a part of something else: 'paper/work/…'
			for i > 0 && b[0] == '/' && isWord(f.text[i-1]) {
				j := bytes.Index(f.text[i+1:], []byte(b))
				if j < 0 {
					i = -1
					break
				}
				i += 1 + j
			}
			if i >= 0 {
				t.Errorf("%s:%d: %q", f.path, 1+bytes.Count(f.text[:i], []byte("\n")), b)
			}
		}
	}
}

func isWord(c byte) bool {
	return c == '_' || c == '.' || c == '-' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' ||
		c >= 0x80
}

// TestNoMerge: no file carries marks of an unfinished merge, or a carriage return in Go source.
func TestNoMerge(t *testing.T) {
	for _, f := range files() {
		if bytes.Contains(f.text, []byte("\n<<<<"+"<<< ")) || strings.HasSuffix(f.path, ".go") &&
			bytes.Contains(f.text, []byte("\r\n")) {
			t.Errorf("%s: marks of a merge, or carriage returns", f.path)
		}
	}
}

// TestRoot: nothing lies in the root that was only to be looked at. Git's own list is not asked:
// a tree without git is held to it too.
func TestRoot(t *testing.T) {
	list, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		switch strings.ToLower(path.Ext(f.Name())) {
		case ".png", ".jpg", ".pdf", ".svg", ".html", ".yaml", ".json", ".csv", ".patch", ".exr", ".gltf", ".mvr":
			t.Errorf("%s lies in the root: take it away, or put it where it belongs", f.Name())
		}
	}
}
