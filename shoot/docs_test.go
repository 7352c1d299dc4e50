package shoot

import (
	"bytes"
	"flag"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"halfstop/kind"
	"halfstop/yamltext"
)

var update = flag.Bool("update", false, "write the generated documents")

// The generated documents stand in docs as they would be generated now.
func TestDocsAreFresh(t *testing.T) {
	for name, want := range map[string][]byte{"../docs/shoot-file.md": Reference(),
		"../docs/shoot.schema.json": Schema()} {
		if *update {
			if err := os.WriteFile(name, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(name)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is stale (%v): run go test ./shoot -run TestDocsAreFresh -update", name, err)
		}
	}
}

// Every example of the reference is a shoot without a mistake.
func TestReferenceExamples(t *testing.T) {
	blocks := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllSubmatch(mustRead(t, "../docs/shoot-file.md"), -1)
	if len(blocks) < 7 {
		t.Fatalf("%d examples", len(blocks))
	}
	for _, b := range blocks {
		if _, _, l := Parse("example", b[1], Options{}); len(l) > 0 {
			t.Errorf("%s\n%s", b[1], l.Text())
		}
	}
}

// Every setting says what it means, and every default can be read.
func TestEverySettingIsDocumented(t *testing.T) {
	for _, g := range groups() {
		for _, f := range yamltext.Fields(g.typ) {
			if f.Tag.Get("doc") == "" && !strings.HasPrefix(g.path, "kit") && f.Key != "name" && f.Key != "like" {
				t.Errorf("%s.%s has no meaning", g.path, f.Key)
			}
		}
	}
	var f File
	yamltext.Defaults(&f)
	if f.House.DomeC != 330 {
		t.Error("defaults are not filled")
	}
	for _, text := range []string{
		"halfstop: 1\nsetups: [{name: a, camera: {at: [1, 1, 1]}, sitter: {at: [0, 0]}, lights: [{head: battery " +
			"head 500, at: [1, 1, 1]}], may: {}, haze: {density: light}, points: [{name: p, on: sitter.face}], " +
			"look: [{point: p, stops: 0}]}]\n"} {
		if _, _, l := Parse("defaults", []byte(text), Options{}); len(l) > 0 {
			t.Error(l.Text())
		}
	}
}

// What a window's tag allows before it is what kind knows.
func TestCoverWords(t *testing.T) {
	f, ok := reflect.TypeFor[Window]().FieldByName("Cover")
	if got := f.Tag.Get("words"); !ok || got != strings.Join(kind.CoverWords(), "|") {
		t.Errorf("the tag allows %q, kind knows %q", got, kind.CoverWords())
	}
}
