package trace

import (
	"context"
	"math"
	"testing"

	"halfstop/geom"
)

// Haze in a room ends at its window: a spot that looks out through one reads what it reads before a
// black wall that fills the window, and light that leaves does not come back. Endless haze goes on
// outside and is brighter. Bound: four standard errors of both.
func TestIndoorHaze(t *testing.T) {
	read := func(closed, indoors bool) (mean, se float64) {
		sc := New()
		black := mat(t, sc, Material{})
		// A room of 4 × 2 × 2 m; its far end is the window.
		wall := func(c, n geom.Vec, w, h float64) { sc.AddQuad(c, geom.UprightFrame(n), w, h, black) }
		wall(geom.V(0, 0, 0), geom.V(1, 0, 0), 2, 2)
		wall(geom.V(2, -1, 0), geom.V(0, 1, 0), 4, 2)
		wall(geom.V(2, 1, 0), geom.V(0, -1, 0), 4, 2)
		if closed {
			wall(geom.V(4, 0, 0), geom.V(-1, 0, 0), 2, 2)
		}
		sc.Medium = &Medium{Extinction: 0.5, Albedo: 0.9, G: -0.3, Indoors: indoors}
		sc.AddEmitter(Sphere(0, geom.V(2.5, 0.4, 0.5), 0.05, up, 1000, nil, nil))
		if err := sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		eye := Receptor{Kind: Spot, At: geom.V(0.5, 0, 0), Facing: geom.V(1, 0, 0), Angle: 1e-3}
		out, err := sc.Measure(context.Background(), []Receptor{eye}, MeasureOptions{Seed: 1, Most: 1024})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range out[0].Parts {
			v := float64(p[0][8])
			mean += v / Reps
			se += v * v / Reps
		}
		return mean, math.Sqrt((se - mean*mean) / (Reps - 1))
	}
	a, ea := read(true, true)
	b, eb := read(false, true)
	if math.Abs(a-b) > 4*math.Hypot(ea, eb) || !(a > 0) {
		t.Errorf("through the window %g ± %g, before a black wall there %g ± %g", b, eb, a, ea)
	}
	if c, ec := read(false, false); c < b+4*math.Hypot(eb, ec) {
		t.Errorf("endless haze %g ± %g is no brighter than that of the room, %g ± %g", c, ec, b, eb)
	}
}
