package meter

import (
	"fmt"
	"math"
	"testing"

	"halfstop/geom"
)

// TestPatternsOnFaces: five sitters, standing and seated, turned, lowered and by the wall, with the
// key where portrait handbooks put it from their nose: the name is theirs, and the light does on
// the face what the name means. Butterfly: both cheeks are lit. Loop: the nose's shadow leaves the
// far cheek lit. Rembrandt: a part of the far cheek is lit, a part in the nose's shadow. Split: the
// far cheek is dark. (Common practice, no source; the angles as in TestPatterns of optics.)
func TestPatternsOnFaces(t *testing.T) {
	const src = `halfstop: 1
room: {size: [8, 6, 3.4]}
setups:
  - name: s
    camera: {at: [6.5, 3], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {%s}
    lights: [%s]
`
	for _, sitter := range []string{
		"at: [3, 3], faces: camera",
		"at: [3, 3], faces: camera, turn: 35 deg, skin: 8",
		"at: [2.4, 3.6], faces: camera, pose: seated, tilt: -12 deg, stature: 1.6 m",
		"at: [3, 1.6], faces: camera, turn: -60 deg, hair: none",
		"at: [4, 4], faces: camera, turn: 20 deg, tilt: 8 deg, stature: 1.9 m",
	} {
		bare := staged(t, fmt.Sprintf(src, sitter, ""))
		face := bare.Sitter.Landmarks["face"]
		f := geom.UprightFrame(face.Normal)
		for _, c := range []struct {
			around, above float64
			want          string
		}{{0, 45, "butterfly"}, {-30, 35, "loop"}, {32, 32, "loop"}, {56, 42, "Rembrandt"}, {-56, 42, "Rembrandt"},
			{88, 12, "split"}, {-88, 12, "split"}} {
			a, e := c.around*math.Pi/180, c.above*math.Pi/180
			at := face.At.Add(f.Out(math.Sin(a)*math.Cos(e), math.Sin(e), math.Cos(a)*math.Cos(e)).Mul(1.2))
			key := fmt.Sprintf("{role: key, at: [%.4f, %.4f, %.4f], aim: sitter.face, "+
				"emitter: {shape: disc, size: 0.05, intensity: 1000 cd}}", at.X, at.Y, at.Z)
			s := staged(t, fmt.Sprintf(src, sitter, key))
			facts := FactsOf(s, CameraOf(s), nil)
			if len(facts.Lights) != 1 || facts.Lights[0].Pattern.Name != c.want {
				t.Errorf("{%s}, %g° round and %g° up: %+v, want %s", sitter, c.around, c.above, facts.Lights, c.want)
				continue
			}
			// The part of the cheek, 4 cm each way under the eye, that the key reaches.
			lit := func(name string) float64 {
				l, n, all := s.Sitter.Landmarks[name], 0, 0
				side := f.S.Mul(math.Copysign(1, l.At.Sub(face.At).Dot(f.S)))
				for x := -2.0; x <= 2; x++ {
					for y := -2.0; y <= 2; y++ {
						from := l.At.AddMul(f.S, x/100).AddMul(f.T, y/100).AddMul(f.N.Add(side.Mul(0.5)).Unit(), 0.06)
						d, ok := s.Scene.FirstHit(from, f.N.Add(side.Mul(0.5)).Unit().Neg())
						if !ok || d > 0.12 {
							continue
						}
						all++
						p := from.AddMul(f.N.Add(side.Mul(0.5)).Unit(), -d+0.003)
						if s.Scene.Unoccluded(p, at.AddMul(p.Sub(at).Unit(), 0.02)) {
							n++
						}
					}
				}
				return float64(n) / float64(max(1, all))
			}
			near, far := lit("cheek left"), lit("cheek right")
			if c.around < 0 {
				near, far = far, near
			}
			is := map[string]bool{"butterfly": near > 0.8 && far > 0.8, "loop": near > 0.8 && far > 0.75,
				"Rembrandt": near > 0.8 && far > 0.1 && far < 0.7, "split": near > 0.8 && far < 0.05}[c.want]
			if !is {
				t.Errorf("{%s}, %g° round and %g° up, %s: %.0f %% of the near cheek is lit, %.0f %% of the far", sitter,
					c.around, c.above, c.want, 100*near, 100*far)
			}
		}
	}
}
