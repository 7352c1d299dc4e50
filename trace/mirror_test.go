package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// A room with a perfect mirror for a wall is half of a room twice as long with two lamps: with lamps of no size (found in their images
// only) and of some.
func TestMirrorWall(t *testing.T) {
	ball := func(c geom.Vec) *Emitter {
		return Sphere(0, c, 0.1, up, 1000/(4*math.Pi*math.Pi*0.01), nil, nil)
	}
	point := func(c geom.Vec) *Emitter { return Point(0, c, up, 1000/(4*math.Pi), nil, 0, nil, 0) }
	for name, lamp := range map[string]func(geom.Vec) *Emitter{"ball": ball, "point": point} {
		recs := []Receptor{{Kind: Flat, At: geom.V(0.001, 0.6, 0.8), Facing: geom.V(1, 0, 0)}, {Kind: Flat, At: geom.V(1.5, 1.2, 0.001), Facing: up}}
		half := New()
		w, m := mat(t, half, Material{Diffuse: Grey(0.5)}), mat(t, half, Material{Mirror: Grey(1)})
		half.AddBox(geom.V(1, 1, 1), geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: up}, geom.V(2, 2, 2), [6]int{w, m, w, w, w, w}, true)
		half.AddEmitter(lamp(geom.V(1.2, 1, 1.1)))
		a := measureAll(t, half, recs, Measuring{Seed: 1, Most: 512})
		whole := New()
		w = mat(t, whole, Material{Diffuse: Grey(0.5)})
		box(whole, 4, 2, 2, w)
		whole.AddEmitter(lamp(geom.V(1.2, 1, 1.1)))
		whole.AddEmitter(lamp(geom.V(2.8, 1, 1.1)))
		b := measureAll(t, whole, recs, Measuring{Seed: 2, Most: 512})
		for i := range recs {
			x, sx := meanOf(&a[i], 0)
			y, sy := meanOf(&b[i], 0)
			t.Logf("%s %d: %.2f ± %.2f, %.2f ± %.2f", name, i, x, sx, y, sy)
			same(t, name, x, sx, y, sy)
			if e := math.Abs(math.Log2(x / y)); e > 0.05 {
				t.Errorf("%s: %.3f st apart", name, e)
			}
		}
	}
}

// Mirrors of any flat outline show a lamp without size: C3.1 with a disc and with a triangle.
func TestMirrorOutlines(t *testing.T) {
	for name, add := range map[string]func(*Scene, int){
		"disc":     func(sc *Scene, m int) { sc.AddDisc(geom.Vec{}, upright(up), 1, m) },
		"triangle": func(sc *Scene, m int) { _ = sc.AddPolygon([]geom.Vec{{X: -1, Y: -1}, {X: 1, Y: -1}, {Y: 1}}, m) },
		"kite":     func(sc *Scene, m int) { _ = sc.AddPolygon([]geom.Vec{{X: -1}, {Y: -1}, {X: 1}, {Y: 1}}, m) },
	} {
		sc := New()
		add(sc, mat(t, sc, Material{Mirror: Grey(0.9)}))
		sc.AddEmitter(Point(0, geom.V(0, 0, 1), up, 1000, nil, 0, nil, 0))
		out := measureAll(t, sc, []Receptor{{Kind: Flat, At: geom.V(0, 0, 3), Facing: down}, {Kind: Flat, At: geom.V(3.2, 3.2, 3), Facing: down}}, Measuring{Seed: 1, Most: 64})
		within(t, name, float64(out[0].Bounced[0][8]), 56.25, 0.02)
		if b := out[1].Bounced[0][8]; b != 0 {
			t.Errorf("%s: %g lx by a mirror too small for it", name, b)
		}
	}
}
