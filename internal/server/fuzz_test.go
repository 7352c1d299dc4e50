package server

import (
	"net/http/httptest"
	"reflect"
	"strings"
	"testing"

	"halfstop/yamltext"
)

// FuzzBodies: any body of a change is taken or refused with words, and edits
// of a text give a text that is bounded by what was sent, or nothing.
func FuzzBodies(f *testing.F) {
	const src = "halfstop: 1\nsetups:\n  - name: a\n    lights: [{role: key, at: [1, 2, 3]}, {role: fill}]\n"
	for _, s := range []string{`{"revision":1,"name":"n","edits":[{"set":"setups[0].name","value":"b"}]}`,
		`{"edits":[{"append":"setups[0].lights","value":"{role: rim}"},{"move":"setups[0].lights[0]","value":"1"}]}`,
		`{"edits":[{"copy":"setups[0]","value":"0"},{"delete":"setups[1].lights[fill]"},{"rename":"setups","value":"s"}]}`, `{"text":"a"}`, `{"take":"theirs"}`, `[]`, `{"edits":[{"set":"a.b.c.d[5].e","value":"x"}]}`} {
		f.Add(s)
	}
	kinds := []reflect.Type{reflect.TypeFor[Change](), reflect.TypeFor[TextChange](), reflect.TypeFor[DiskAnswer](),
		reflect.TypeFor[Step]()}
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
