package stage

import (
	"strings"
	"testing"

	"halfstop/geom"
)

// TestWallBefore: beside the inner corner of an L-shaped room a body that pokes through one wall
// lies behind the other as well, much deeper: it is told of the one that it came through.
func TestWallBefore(t *testing.T) {
	room := []geom.Vec{geom.V(0, 0, 0), geom.V(5, 0, 0), geom.V(5, 2.5, 0), geom.V(3, 2.5, 0), geom.V(3, 5, 0),
		geom.V(0, 5, 0)}
	for _, c := range []struct {
		x, y float64
		wall int
		far  float64
	}{{3.1, 3.2, 4, 0.1}, {3.6, 2.6, 3, 0.1}, {5.2, 1, 2, 0.2}, {2.9, 3.2, 0, 0}, {1, 5.3, 5, 0.3},
		{5.2, 2.8, 4, 2.2}} {
		if far, wall := wallBefore(room, geom.V(c.x, c.y, 1)); wall != c.wall || far < c.far-1e-9 || far > c.far+1e-9 {
			t.Errorf("(%g, %g): %.2f m behind wall %d, not %.2f m behind wall %d", c.x, c.y, far, wall, c.far,
				c.wall)
		}
	}
	f, d := staged(t, `halfstop: 1
room: {outline: [[0, 0], [5, 0], [5, 2.5], [3, 2.5], [3, 5], [0, 5]], ceiling: 3 m}
setups: [{name: one, camera: {at: [1, 0.5], height: 1.5 m, aim: sitter.face, lens: 50 mm}, sitter: {at: [1, 3]},
  lights: [{role: key, head: battery head 500, modifier: softbox 60x90, at: [2.8, 3.2], height: 2 m, aim: [0, 3.2, 2], power: 1/4}]}]
`)
	_, list := Build(f, d, 0, Options{Empty: true})
	said := ""
	for _, m := range list {
		if m.Code == "stage.through-wall" {
			said += m.Text + "\n"
		}
	}
	if !strings.Contains(said, "wall 4") || strings.Contains(said, "wall 3") {
		t.Errorf("a box that reaches past wall 4: %q", said)
	}
}
