package meta

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

const module = "halfstop/"

// layers of the engine, lowest first. A room imports lower layers only, never its own.
var layers = [][]string{
	{"parallel"},
	{"quantity", "geom", "diag", "sample", "bvh", "content"},
	{"spectrum", "photometry", "figure", "yamltext", "kind", "mesh", "learn", "photo"},
	{"material", "daylight", "optics", "kit", "scan", "begin"},
	{"trace", "shoot", "dmx"},
	{"meter", "stage", "day", "picture", "denoise"},
	{"balance", "sheet", "render"},
	{"ways", "testframe"},
	{"answer", "scout"},
	{"papers", "record"},
}

// within are imports inside one layer, each with its reason. One that nothing uses any more is an
// error, so the list stays true.
var within = map[[2]string]string{
	{"sample", "geom"}:  "directions are geom.Vec; an array returned by value was measured 2.5 to 4 times slower",
	{"kit", "material"}: "gels, cloths and panels of the kit are made of materials",
	{"meter", "stage"}:  "a reading is of a staged setup: its receptors, camera and lights",
}

func layerOf(room string) int {
	return slices.IndexFunc(layers, func(l []string) bool { return slices.Contains(l, room) })
}

// TestLayers holds the imports of the engine to the table, tests included: a test that needs a
// higher room belongs there.
func TestLayers(t *testing.T) {
	used := map[[2]string]bool{}
	for _, s := range sources(t) {
		if outside(s.room) {
			continue
		}
		from := layerOf(s.room)
		if from < 0 {
			t.Errorf("%s: room %q is not in the table of layers", s.path, s.room)
			continue
		}
		for _, p := range s.imports {
			rest, ok := strings.CutPrefix(p, module)
			if !ok {
				continue
			}
			room, _, _ := strings.Cut(rest, "/")
			if room == s.room {
				continue
			}
			if outside(room) {
				t.Errorf("%s imports %s: the engine does not know the outside world", s.path, p)
				continue
			}
			pair := [2]string{s.room, room}
			if within[pair] != "" {
				used[pair] = true
				continue
			}
			if to := layerOf(room); to < 0 || to >= from {
				t.Errorf("%s imports %s: layer %d may not import layer %d", s.path, p, from, to)
			}
		}
	}
	for _, pair := range slices.SortedFunc(maps.Keys(within), func(a, b [2]string) int {
		return strings.Compare(a[0],
			b[0])
	}) {
		if !used[pair] {
			t.Errorf("nothing in %s imports %s any more: take the exception out", pair[0], pair[1])
		}
	}
}

// outside are the folders that touch the world, and the page.
func outside(room string) bool {
	return room == "cmd" || room == "internal" || room == "web" || room == ".ci" || strings.HasSuffix(room, ".go")
}

// TestPage: only the server knows the page.
func TestPage(t *testing.T) {
	for _, s := range sources(t) {
		for _, p := range s.imports {
			if p == module+"web" && !strings.HasPrefix(s.path, "internal/server/") && !strings.HasPrefix(s.path,
				"web/") {
				t.Errorf("%s imports the page; only internal/server does", s.path)
			}
		}
	}
}
