package server

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"time"
)

// patched is what a page makes of an old value and a difference.
func patched(old any, d map[string]any) any {
	if v, ok := d["whole"]; ok {
		return v
	}
	parts, _ := d["parts"].(map[string]any)
	gone, _ := d["gone"].([]any)
	_, has := d["parts"]
	if !has && gone == nil {
		return nil
	}
	switch o := old.(type) {
	case []any:
		out := append([]any(nil), o...)
		for k, p := range parts {
			i, _ := strconv.Atoi(k)
			out[i] = patched(o[i], p.(map[string]any))
		}
		return out
	case map[string]any:
		out := map[string]any{}
		for k, v := range o {
			out[k] = v
		}
		for k, p := range parts {
			out[k] = patched(o[k], p.(map[string]any))
		}
		for _, k := range gone {
			delete(out, k.(string))
		}
		return out
	}
	panic(fmt.Sprintf("a difference of parts for %T", old))
}

// TestDifferences: what a page puts together of differences is, to the bit, what is told whole, for
// changes of every kind; and a place that moves takes a small part of the whole.
func TestDifferences(t *testing.T) {
	c := start(t, Options{})
	all := c.events()
	res, err := http.Get("http://" + c.s.Address + "/api/events?changes=1")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	short := make(chan string, 1000)
	go func() {
		in := bufio.NewScanner(res.Body)
		in.Buffer(nil, 1<<22)
		for in.Scan() {
			if data, ok := strings.CutPrefix(in.Text(), "data: "); ok && strings.Contains(data, `"kind":"readings"`) {
				short <- data
			}
		}
	}()
	ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	var readings, view any
	longest, moved, seen := 0, 0, 0
	next := func(rev int) {
		for end := time.After(30 * time.Second); ; {
			var e Event
			select {
			case e = <-all:
			case <-end:
				t.Fatalf("no readings of revision %d", rev)
			}
			if e.Kind != "readings" || e.Readings == nil {
				continue
			}
			var got map[string]any
			var data string
			select {
			case data = <-short:
			case <-end:
				t.Fatal("the short stream says less")
			}
			if err := json.Unmarshal([]byte(data), &got); err != nil {
				t.Fatal(err)
			}
			put := func(old any, whole, change string) any {
				if v, ok := got[whole]; ok {
					return v
				}
				if d, ok := got[change].(map[string]any); ok {
					return patched(old, d)
				}
				return old
			}
			readings, view = put(readings, "readings", "change"), put(view, "view", "view_change")
			same := func(what string, is any, want any) {
				var w any
				b, _ := json.Marshal(want)
				if json.Unmarshal(b, &w); !reflect.DeepEqual(is, w) {
					i, _ := json.Marshal(is)
					t.Fatalf("%s of revision %d, put together of differences:\n%s\nwhole:\n%s", what, e.Revision, i, b)
				}
			}
			same("readings", readings, e.Readings)
			if e.View != nil {
				same("the setup", view, e.View)
				longest, moved = max(longest, len(data)), len(data)
			}
			if seen++; e.Revision >= rev {
				return
			}
		}
	}
	next(1)
	for _, e := range [][]Edit{
		{{Set: "setups[0].lights[0].at", Value: "[4.21, 1.05]"}},
		{{Set: "setups[0].lights[0].off", Value: "true"}},
		{{Set: "setups[0].lights[0].off", Value: "false"}},
		{{Set: "setups[0].camera.iso", Value: "800"}},
		{{Delete: "setups[0].panels[0]"}},
		{{Append: "setups[0].lights", Value: "{name: more, role: accent, head: rgb panel 300, at: [3, 1.2], " +
			"height: 2 m, aim: [2, 2, 1], level: 10 %}"}},
		{{Set: "setups[0].camera.aperture", Value: "f/8"}},
		{{Set: "setups[0].notes", Value: "a note"}},
		{{Set: "setups[0].lights[1].at", Value: "[2.5, 1.3]"}},
	} {
		next(c.edit("change", "", e...).Revision)
	}
	if moved > longest/2 {
		t.Errorf("a light that moved takes %d bytes, all of it %d", moved, longest)
	}
	t.Logf("%d told; whole %d bytes, a light moved %d", seen, longest, moved)
}

// BenchmarkDifference is of a setup of which one light has moved.
func BenchmarkDifference(b *testing.B) {
	c := start(b, Options{})
	v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	var now SetupView
	if t, err := json.Marshal(v); err != nil || json.Unmarshal(t, &now) != nil {
		b.Fatal(err)
	}
	now.Lights[0].At[0] += 0.1
	for b.Loop() {
		if d := differ(reflect.ValueOf(&v), reflect.ValueOf(&now)); len(d.Parts) != 1 {
			b.Fatal(d)
		}
	}
}
