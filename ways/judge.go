package ways

import (
	"math"

	"halfstop/meter"
	"halfstop/spectrum"
	"halfstop/stage"
)

// softer is the width of the key's shadow edge on the face relative to the base; 1 where there is
// no key.
func (f *finder) softer(r *rig) float64 {
	if r == nil || r.stage.Sitter == nil {
		return 1
	}
	a, b := keyFacts(f.base.stage), keyFacts(r.stage)
	if a == nil || b == nil || !(a.Penumbra > 0.0005) || !(b.Penumbra > 0.0005) {
		return 1
	}
	return float64(b.Penumbra / a.Penumbra)
}

// keyFacts returns the facts of the key light.
func keyFacts(s *stage.Stage) *meter.LightFacts {
	if k := s.LayerNamed("key"); k >= 0 {
		return factsOf(s, k)
	}
	return nil
}

// factsOf returns the facts of a light; nil where it has none.
func factsOf(s *stage.Stage, l int) *meter.LightFacts {
	facts := meter.FactsOf(s, meter.CameraOf(s), nil)
	for i := range facts.Lights {
		if facts.Lights[i].Name == s.Layers[l].Name {
			return &facts.Lights[i]
		}
	}
	return nil
}

// colour returns a measure of the difference of two colours in the picture: at equal luminance,
// under the camera's white, at the level of mid-grey.
func (f *finder) colour() func(a, b [3]float64) float64 {
	white := f.base.stage.White
	lab := func(c [3]float64) spectrum.Lab {
		k := 0.18 / math.Max(c[1], 1e-12)
		return spectrum.XYZ{X: c[0] * k, Y: c[1] * k, Z: c[2] * k}.Lab(white)
	}
	return func(a, b [3]float64) float64 { return spectrum.DeltaE2000(lab(a), lab(b)) }
}
