package stage

import (
	"strings"
	"testing"
)

// What stands, hangs and shows is told: each line of a room of its own, with the words that must be
// said, and the same room put right, of which they must not be.
func TestStandsAndFrame(t *testing.T) {
	const room = `halfstop: 1
room:
  size: [6, 5, 3]
  surfaces: {all: mid grey}
  doors: [{name: back door, wall: 1, from: 0.5 m, width: 0.9 m}]
  objects: [{name: bar, kind: counter, box: {at: [2, 0], size: [2, 0.6, 1.1]}, surface: dark wood}]
setups:
  - name: one
    camera: {at: [5.5, 2.5], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: [2, 2.5], faces: camera}
    lights: [{role: key, head: HEAD, modifier: MOD, at: [AT], height: HIGH, aim: sitter.face, power: 1/4STAND}]
    panels: [{name: board, kind: board, size: [1, 1.4], at: [BOARD], height: 1.2 m, aim: sitter.face}]
`
	ok := map[string]string{"HEAD": "battery head 500", "MOD": "softbox 60x90", "AT": "3.6, 4.0", "HIGH": "2.0 m",
		"STAND": "", "BOARD": "2.4, 1.5"}
	check := func(change ...string) string {
		m := map[string]string{}
		for k, v := range ok {
			m[k] = v
		}
		for i := 0; i < len(change); i += 2 {
			m[change[i]] = change[i+1]
		}
		src := room
		for k, v := range m {
			src = strings.ReplaceAll(src, k, v)
		}
		_, list := raised(t, src, Options{})
		return list.Text()
	}
	if got := check(); got != "" {
		t.Errorf("nothing is wrong, yet:\n%s", got)
	}
	for _, c := range []struct {
		want   string
		change []string
	}{
		{"would stand in bar", []string{"AT", "3, 0.7"}},
		{"cannot be spread: a wall", []string{"AT", "4.4, 4.45"}},
		{"in the swing of back door", []string{"AT", "1.2, 0.9"}},
		{"grip stand carries 8 kg", []string{"HEAD", "led point 600", "STAND", ", stand: grip stand"}},
		{"write stand: heavy stand 400", []string{"HEAD", "battery head 1000", "MOD", "octa 150"}},
		{"of the arm", []string{"HEAD", "battery head 1000", "STAND", ", stand: light boom"}},
		{"light stand goes to 2.6 m", []string{"HIGH", "2.8 m", "MOD", "snoot", "STAND", ", stand: light stand"}},
		// No corner of this box and not its middle lie in the frame; an edge crosses it.
		{"key is in the frame: it comes in over the", []string{"MOD", "octa 150", "AT", "3.4, 3.1", "HIGH", "1.6 m"}},
		{"board is in the frame: it comes in over the", []string{"BOARD", "2.4, 2.0"}},
	} {
		if got := check(c.change...); !strings.Contains(strings.ReplaceAll(got, "\n", " "), c.want) {
			t.Errorf("%v: not said %q:\n%s", c.change, c.want, got)
		}
	}
}

// What stands where nothing can be is told, of every kind of thing.
func TestPlaces(t *testing.T) {
	const room = `halfstop: 1
room:
  size: [6, 5, 3]
  surfaces: {all: mid grey}
  practicals: [{name: lamp, kind: bulb, emitter: {shape: sphere, size: 6 cm, flux: 800 lm}, at: [LAMP, 2, 2]}]
  objects: [{name: crate, box: {at: [CRATE, 0.2], size: [0.5, 0.5, 0.5]}}]
setups:
  - name: one
    camera: {at: [CAM], height: 0.3 m, aim: [2, 2.5, 1]}
    lights: [{role: key, head: battery head 500, at: [3, 4], height: 2 m, aim: [AIM], power: 1/4}]
`
	for _, c := range []struct{ old, new, want string }{{"", "", ""}, {"LAMP", "7",
		"lamp at 7.00, 2.00, 2.00 is in a wall or outside"},
		{"CRATE", "-9", "crate has its middle at"}, {"CAM", "1.2, 0.4", "is inside crate"}, {"AIM", "3, 4, 2",
			"aims at the place where it is itself"}} {
		src := room
		if c.old != "" {
			src = strings.ReplaceAll(src, c.old, c.new)
		}
		src = strings.NewReplacer("LAMP", "2", "CRATE", "1", "CAM", "5, 2.5", "AIM", "2, 2.5, 1").Replace(src)
		f, d := staged(t, src)
		_, list := Build(f, d, 0, Options{})
		if got := strings.ReplaceAll(list.Text(), "\n", " "); c.want == "" && got != "" || !strings.Contains(got,
			c.want) {
			t.Errorf("%s %s: not said %q:\n%s", c.old, c.new, c.want, got)
		}
	}
}
