package shoot

import (
	"strings"
	"testing"

	"halfstop/diag"
)

// TestHere: a title is the place; shoots without one are one place only where date, place and room
// are the same, and what is no part of the room changes nothing.
func TestHere(t *testing.T) {
	here := func(text string) string {
		f, _, list := Parse("s", []byte("halfstop: 1\nsetups: [{name: a}]\n"+text), Options{})
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		return f.Here()
	}
	const room = "room: {size: [4, 5, 2.6], surfaces: {all: {diffuse: 0.5}}, practicals: [{name: bulb, kind: bulb, " +
		"emitter: {shape: sphere, size: 0.1 m}, at: [2, 2.5, 2.2], colour: 3000 K, flux: 800 lm}]}\n"
	bar := here(room)
	if here("shoot: {title: Bar}\n"+room) != "Bar" || !Untitled(bar) || Untitled("Bar") || !Untitled("") {
		t.Errorf("%q", bar)
	}
	if same := here(room + "kit: {heads: []}\n"); same != bar {
		t.Errorf("with a kit it is %q, not %q", same, bar)
	}
	seen := map[string]string{bar: "the bar"}
	for _, text := range []string{"", strings.Replace(room, "5, 2.6", "6, 2.6", 1),
		strings.Replace(room, "0.5}", "0.6}", 1), strings.Replace(room, "800", "900", 1),
		"shoot: {date: 2026-03-14}\n" + room,
		"shoot: {place: {latitude: 51, longitude: 2}}\n" + room} {
		if k := here(text); seen[k] != "" {
			t.Errorf("%q: it is the place of %q", text, seen[k])
		} else {
			seen[k] = text
		}
	}
}
