package content

import (
	"fmt"
	"testing"
)

// TestHash: contents that differ in a value, its kind of list, the order or the length have other
// keys, the same ones the same.
func TestHash(t *testing.T) {
	make := map[string]func(h *Hash){
		"nothing": func(*Hash) {},
		"zero":    func(h *Hash) { h.Int(0) }, "one": func(h *Hash) { h.Int(1) },
		"false": func(h *Hash) { h.Bool(false) },
		"1 2":   func(h *Hash) { h.Floats(1, 2) }, "2 1": func(h *Hash) {
			h.Floats(2,
				1)
		}, "1": func(h *Hash) { h.Floats(1) },
		"list of 0": func(h *Hash) { h.Floats32([]float32{0}) },
		"ab c":      func(h *Hash) { h.Text("ab"); h.Text("c") }, "a bc": func(h *Hash) { h.Text("a"); h.Text("bc") },
		"long": func(h *Hash) { h.Text("12345678") }, "longer": func(h *Hash) { h.Text("123456780") },
		"place": func(h *Hash) {
			h.Triples([][3]float32{{1, 2,
				3}})
		}, "other": func(h *Hash) { h.Triples([][3]float32{{1, 3, 2}}) },
	}
	seen := map[Key]string{}
	for name, add := range make {
		var a, b Hash
		add(&a)
		add(&b)
		if a.Key() != b.Key() {
			t.Errorf("%s: two keys", name)
		}
		if was, ok := seen[a.Key()]; ok {
			t.Errorf("%s and %s have one key", name, was)
		}
		seen[a.Key()] = name
	}
	var plus, minus Hash
	plus.Floats(0)
	zero := 0.0
	minus.Floats(-zero)
	if plus.Key() != minus.Key() {
		t.Error("0 and -0 differ")
	}
	all := map[Key]bool{}
	for i := range 100000 {
		var h Hash
		h.Text(fmt.Sprint(i % 317))
		h.Int(i)
		all[h.Key()] = true
	}
	if len(all) != 100000 {
		t.Errorf("%d keys of 100000 contents", len(all))
	}
}
