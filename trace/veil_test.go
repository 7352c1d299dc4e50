package trace

import (
	"context"
	"math"
	"testing"

	"halfstop/geom"
)

// TestVeil: what haze adds before a black wall is the airlight of check-values G3.2; before a grey
// wall it is more by what the wall lights; and what is left of the whole is the wall's own light
// less what the haze takes: L = ρ/π·I cosθ/r²·exp(−σ(r + d)).
func TestVeil(t *testing.T) {
	for _, rho := range []float32{0, 0.5} {
		sc := New()
		sc.AddQuad(geom.V(3, 0, 0), geom.UprightFrame(geom.V(-1, 0, 0)), 2, 2,
			mat(t, sc, Material{Diffuse: Grey(float64(rho))}))
		sc.Medium = &Medium{Extinction: 0.02, Albedo: 1e-3}
		sc.AddEmitter(Point(0, geom.V(0, 0, 1), down, 1000, nil, 0, nil, 0))
		if err := sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		eye := Receptor{Kind: Spot, At: geom.V(-3, 0, 0), Facing: geom.V(1, 0, 0), Angle: 1e-4}
		out, err := sc.Measure(context.Background(), []Receptor{eye, {Kind: Flat, Facing: up}},
			MeasureOptions{Seed: 1, Most: 2048})
		if err != nil {
			t.Fatal(err)
		}
		veil := float64(out[0].Airlight[0][8])
		if rho == 0 {
			within(t, "G3.2 as veil", veil*1e3, 3.63806, 0.02)
		} else if veil*1e3 < 3.63806 {
			t.Errorf("veil %g before a wall that lights the haze too, under that before a black one", veil*1e3)
		}
		whole := out[0].Total(0)
		rest := float64(whole[8]) - veil
		r := math.Hypot(3, 1)
		want := float64(rho) / math.Pi * 1000 * (3 / r) / (r * r) * math.Exp(-0.02*(r+6))
		if rho == 0 && math.Abs(rest) > 1e-6*veil || rho > 0 && math.Abs(math.Log2(rest/want)) > 0.02 {
			t.Errorf("reflectance %g: %g besides the veil, want %g", rho, rest, want)
		}
		if out[1].Airlight != nil {
			t.Error("a flat receptor has no way to an eye")
		}
	}
}
