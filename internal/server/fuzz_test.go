package server

import (
	"encoding/json"
	"net/http/httptest"
	"reflect"
	"slices"
	"strings"
	"testing"

	"halfstop/yamltext"
)

// bodies are the shapes that routes take, of the whole table: a new route is fuzzed by standing
// in it.
func bodies(t testing.TB) (kinds []reflect.Type) {
	for _, r := range routes {
		switch k := reflect.TypeOf(r.in); {
		case k != nil && !slices.Contains(kinds, k):
			kinds = append(kinds, k)
		case k == nil && r.method != "GET" && !bodiless[r.method+" "+r.path]:
			t.Errorf("%s %s takes no shape that is known: give it one, or say here what it takes", r.method, r.path)
		}
	}
	return kinds
}

// bodiless are the routes other than GET whose body is no JSON, with what fuzzes it.
var bodiless = map[string]bool{
	"POST /api/scout/photo":     true, // photo.FuzzExif, and the decoders of the standard library
	"POST /api/kit/import":      true, // photometry.FuzzTM33, FuzzGDTF, FuzzLM63, …
	"POST /api/learn/keep":      true, // no body
	"POST /api/scout/scan":      true, // mesh.FuzzGLB, FuzzOBJ, FuzzPLY, FuzzSTL
	"POST /api/scout/scan/drop": true, // no body
}

// TestRoutesAreFuzzed: FuzzBodies reaches the body of every route.
func TestRoutesAreFuzzed(t *testing.T) {
	if n := len(bodies(t)); n < 20 {
		t.Errorf("%d shapes", n)
	}
}

// FuzzBodies: any body of a change is taken or refused with words, and edits
// of a text give a text that is bounded by what was sent, or nothing.
func FuzzBodies(f *testing.F) {
	const src = "halfstop: 1\nsetups:\n  - name: a\n    lights: [{role: key, at: [1, 2, 3]}, {role: fill}]\n"
	for _, s := range []string{`{"revision":1,"name":"n","edits":[{"set":"setups[0].name","value":"b"}]}`,
		`{"edits":[{"append":"setups[0].lights","value":"{role: rim}"},{"move":"setups[0].lights[0]","value":"1"}]}`,
		`{"edits":[{"copy":"setups[0]","value":"0"},{"delete":"setups[1].lights[fill]"},{"rename":"setups","value":"s"}]}`, `{"text":"a"}`, `{"take":"theirs"}`, `[]`, `{"edits":[{"set":"a.b.c.d[5].e","value":"x"}]}`} {
		f.Add(s)
	}
	kinds := bodies(f)
	for _, k := range kinds { // as a page sends it, with nothing said
		b, err := json.Marshal(reflect.New(k).Interface())
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, body string) {
		for _, k := range kinds {
			r := httptest.NewRequest("POST", "/api/x", strings.NewReader(body))
			r.Header.Set("Content-Type", "application/json")
			into := reflect.New(k)
			if err := take(httptest.NewRecorder(), r, into.Interface()); err != nil {
				if err.Error() == "" {
					t.Fatalf("%q refused without a word", body)
				}
				continue
			}
			c, ok := into.Interface().(*Change)
			if !ok || len(c.Edits) > 50 {
				continue
			}
			doc, _ := yamltext.Parse("x", []byte(src))
			out, err := edited(doc, doc.Source(), c.Edits)
			// A copy doubles at most; each edit writes its path and
			// its value, indented, with what quoting adds.
			if most := len(src) << min(len(c.Edits), 20) * 4; err == nil && len(out) > most+200*len(body) {
				t.Fatalf("%q made %d bytes", body, len(out))
			}
		}
	})
}
