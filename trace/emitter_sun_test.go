package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// TestSunBeam: through a hole of 1 × 1 m in the plane x = 0, the sun at 40° altitude square to it.
// Inside the patch level ground gets E sin h (D10.2's form); outside nothing; the edge of the
// shadow of a sill 2 m up the beam is 18.6 mm wide (D8.3: 2 m × 2 tan 0.2665°).
func TestSunBeam(t *testing.T) {
	const h = 40 * math.Pi / 180
	to := geom.V(-math.Cos(h), 0, math.Sin(h))
	f := geom.UprightFrame(geom.V(1, 0, 0))
	e := SunBeam(0, geom.V(0, 0, 2), f, 1, 1, to, 72000)
	lux := func(x, y float64) float64 {
		sum := 0.0
		const n = 64
		for i := range n {
			for j := range n {
				var s lightSample
				if e.sample(geom.V(x, y, 0), (float64(i)+0.5)/n, (float64(j)+0.5)/n, &s) {
					sum += s.le * max(0, s.w.Z) / s.pdf / (n * n)
				}
			}
		}
		return sum
	}
	middle := 2 / math.Tan(h)
	if got, want := lux(middle, 0), 72000*math.Sin(h); math.Abs(got-want) > 1e-4*want {
		t.Errorf("in the patch %.1f lx, want %.1f", got, want)
	}
	if got := lux(middle, 0.52); got != 0 {
		t.Errorf("beside the patch %.1f lx", got)
	}
	// Across the edge at y = 0.5: light falls from full to none over the width of the penumbra at
	// the edge's distance.
	edge := 2 / math.Sin(h) // metres along the beam
	width := 2 * edge * math.Tan(SunRadius)
	if a, b := lux(middle, 0.5-0.55*width), lux(middle, 0.5+0.55*width); a < 72000*math.Sin(h)*0.999 || b != 0 {
		t.Errorf("a penumbra of %.1f mm: %.0f lx inside it, %.0f outside", 1000*width, a, b)
	}
	if half := lux(middle, 0.5); math.Abs(half/(72000*math.Sin(h))-0.5) > 0.02 { // the grid's step
		t.Errorf("at the edge %.3f of the light", half/(72000*math.Sin(h)))
	}
	// hit agrees with sample: the same radiance and density.
	var s lightSample
	e.sample(geom.V(middle, 0, 0), 0.3, 0.6, &s)
	if d, le, pdf, ok := e.hit(geom.V(middle, 0, 0), s.w, 100); !ok || math.Abs(d-s.dist) > 1e-9 || le != s.le ||
		pdf != s.pdf {
		t.Error("hit and sample differ")
	}
	if got, want := e.flux(), 72000*math.Cos(h); math.Abs(got-want) > 1e-6*want {
		t.Errorf("%.1f lm through 1 m², want %.1f", got, want)
	}
}
