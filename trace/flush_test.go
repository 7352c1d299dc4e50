package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// Light flush with a wall must be seen from beside the wall at any slant: two endless planes, B8.1
// and B8.2 (here 200 m wide, which leaves out under 0.1 %), one glowing in its own plane.
func TestFlushWithWall(t *testing.T) {
	sc := New()
	sc.AddQuad(geom.Vec{}, upright(up), 200, 200, mat(t, sc, Material{Diffuse: Grey(0.5)}))
	sc.AddQuad(geom.V(0, 0, 1), upright(down), 200, 200, mat(t, sc, Material{Diffuse: Grey(0.8)}))
	sc.AddEmitter(Rectangle(0, geom.Vec{}, upright(up), 200, 200, 100/math.Pi, nil, false))
	d, b, se := measureOne(t, sc, Receptor{Kind: Flat, At: geom.V(0, 0, 0.99), Facing: down}, 512)
	t.Logf("%.2f ± %.2f", d+b, se)
	within(t, "B8.1", d+b, 166.667, 0.02)
	// Straight light alone, 80° off: a rectangle in the plane of a wall, by Lambert's law for a far
	// small face.
	sc = New()
	sc.AddQuad(geom.Vec{}, upright(up), 100, 100, mat(t, sc, Material{}))
	sc.AddEmitter(Rectangle(0, geom.Vec{}, upright(up), 0.1, 0.1, 1000, nil, false))
	p := geom.V(3*math.Sin(80*math.Pi/180), 0, 3*math.Cos(80*math.Pi/180))
	d, _, _ = measureOne(t, sc, Receptor{Kind: Flat, At: p, Facing: p.Mul(-1.0 / 3)}, 256)
	within(t, "80°", d, 1000*0.01*math.Cos(80*math.Pi/180)/9, 0.02)
}
