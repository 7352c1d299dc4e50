package stage

import (
	"math"
	"strings"
	"testing"

	"halfstop/figure"
	"halfstop/geom"
)

const leaningShoot = `halfstop: 1
room:
  size: [6, 5, 3]
  surfaces: {walls: mid grey, floor: dark grey, ceiling: mid grey}
  objects:
    - {name: counter, kind: counter, box: {at: [4, 0], size: [1.5, 0.6, 0.95]}, surface: white gloss}
    - {name: bench, kind: bench, box: {at: [0, 4.4], size: [1.5, 0.5, 0.45]}, surface: light wood}
setups:
  - name: one
    camera: {at: [3, 2.5], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: AT, faces: camera, pose: POSE}
`

// Back or side touch what is leaned on, and do not enter it; the feet stay.
func TestLeaning(t *testing.T) {
	build := func(at, pose string) (*Stage, string) {
		f, d := staged(t, strings.NewReplacer("AT", at, "POSE", pose).Replace(leaningShoot))
		s, list := Build(f, d, 0, Options{Detail: figure.Shadow})
		if s == nil {
			t.Fatal(list)
		}
		words := ""
		for _, m := range list {
			words += m.Code + " "
		}
		return s, words
	}
	reach := func(s *Stage, lo, hi float64, way geom.Vec) float64 {
		far := math.Inf(-1)
		for _, p := range s.Sitter.Pos {
			if z := float64(p[2]); z >= lo && z <= hi {
				far = max(far, geom.V(float64(p[0]), float64(p[1]), z).Dot(way))
			}
		}
		return far
	}
	// Back to the wall x = 0.
	s, words := build("[0.45, 2.5]", "leaning")
	if x := -reach(s, 0.85, 1.3, geom.V(-1, 0, 0)); math.Abs(x-0.002) > 1e-4 || strings.Contains(words, "leaning") {
		t.Errorf("back at x = %.4f, the wall at 0 (%s)", x, words)
	}
	stand, _ := build("[0.45, 2.5]", "standing")
	// who leans has one foot crossed before the other
	if a, b := s.Sitter.Landmarks["feet"].At, stand.Sitter.Landmarks["feet"].At; a.Sub(b).Len() > 0.10 {
		t.Errorf("feet moved from %v to %v", b, a)
	}
	// Against a counter's edge: y = 0.6.
	s, _ = build("[4.8, 0.9]", "leaning")
	if y := -reach(s, 0.78, 0.949, geom.V(0, -1, 0)); math.Abs(y-0.602) > 1e-3 {
		t.Errorf("hips at y = %.4f, the counter's edge at 0.6", y)
	}
	// Nothing near.
	if _, words = build("[2, 2]", "leaning"); !strings.Contains(words, "stage.leaning") {
		t.Errorf("no finding in the middle of the room: %q", words)
	}
}

// A seated sitter has a stool under the seat, unless furniture of that height is there already.
func TestStool(t *testing.T) {
	under := func(at string) int {
		f, d := staged(t, strings.NewReplacer("AT", at, "POSE", "seated").Replace(leaningShoot))
		s, list := Build(f, d, 0, Options{Detail: figure.Shadow})
		if s == nil {
			t.Fatal(list)
		}
		return s.Scene.Triangles() - len(s.Sitter.Tri)
	}
	free, bench := under("[2, 2]"), under("[0.7, 4.6]")
	if free-bench < 300 {
		t.Errorf("%d triangles beside a sitter on nothing, %d beside one on a bench", free, bench)
	}
}
