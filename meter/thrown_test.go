package meter

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/optics"
)

// TestThrownOnAWall: the shadow edge of a light thrown at a wall is that of the patch on the wall,
// not of the reflector. The patch is held against the irradiance of the wall summed over the wall's
// plane (inverse square and cosine law), to 5 %, what the steps of both sums differ by. A light on
// the face is left as it is.
func TestThrownOnAWall(t *testing.T) {
	for _, c := range []struct {
		name, modifier, at, aim string
		height                  string
		wall                    geom.Vec // a point of the plane
		normal                  geom.Vec
	}{
		{"wall from near", "standard reflector", "[1.2, 3.0]", "[0, 3.0, 1.7]", "1.7", geom.V(0, 0, 0),
			geom.V(1, 0, 0)},
		{"wall from afar", "standard reflector, grid: grid 20", "[2.4, 4.2]", "[0, 4.2, 1.7]", "1.7", geom.V(0, 0, 0),
			geom.V(1, 0, 0)},
		{"ceiling", "standard reflector", "[3.2, 2.2]", "[3.3, 2.3, 3.4]", "1.8", geom.V(0, 0, 3.4), geom.V(0, 0, -1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := staged(t, `halfstop: 1
room: {size: [8, 8, 3.4], surfaces: {all: 0.6}}
setups:
  - name: a
    camera: {at: [1, 6.5], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: [4, 3.6], stature: 1.7 m, faces: camera}
    lights:
      - {role: key, head: battery head 200, modifier: `+c.modifier+`, at: `+c.at+`, height: `+c.height+` m, aim: `+
				c.aim+`}
`)
			face := s.Sitter.Landmarks["face"].At
			b := s.Layers[0].Bodies[0]
			profile := s.Layers[0].Source.Profile
			// The plane in squares of 2 cm.
			x, y := across(c.normal)
			o := b.At.AddMul(c.normal, -b.At.Sub(c.wall).Dot(c.normal))
			var sum, uu, vv, uv float64
			var mid geom.Vec
			type patch struct {
				p geom.Vec
				w float64
			}
			var all []patch
			room := geom.Box{Lo: geom.V(-0.01, -0.01, -0.01), Hi: geom.V(8.01, 8.01, 3.41)}
			for i := -300; i <= 300; i++ {
				for k := -300; k <= 300; k++ {
					p := o.AddMul(x, 0.02*float64(i)).AddMul(y, 0.02*float64(k))
					if !room.Contains(p) {
						continue
					}
					d := p.Sub(b.At)
					cos := d.Unit().Dot(b.Frame.N)
					if cos < 0.17 {
						continue
					}
					e := profile[int(math.Acos(cos)*180/math.Pi+0.5)] * -d.Unit().Dot(c.normal) / d.Len2()
					to := face.Sub(p)
					w := e * max(0, to.Unit().Dot(c.normal)) / to.Len2()
					all = append(all, patch{p, w})
					sum, mid = sum+w, mid.AddMul(p, w)
				}
			}
			mid = mid.Mul(1 / sum)
			x, y = across(face.Sub(mid).Unit())
			for _, q := range all {
				d := q.p.Sub(mid)
				u, v := d.Dot(x), d.Dot(y)
				uu, uv, vv = uu+q.w*u*u, uv+q.w*u*v, vv+q.w*v*v
			}
			want := 4 * math.Pow(uu*vv-uv*uv, 0.25) / math.Sqrt(sum)
			at, size, ok := thrown(s, &s.Layers[0], face)
			if !ok || math.Abs(size/want-1) > 0.05 || at.Sub(mid).Len() > 0.05*want {
				t.Errorf("patch of %.2f m at %v, want %.2f m at %v", size, at, want, mid)
			}
			if size < 2*b.Width {
				t.Errorf("the patch, %.2f m, is no larger than the reflector, %.2f m", size, b.Width)
			}
			f := FactsOf(s, CameraOf(s), nil).Lights[0]
			if p := float64(f.Penumbra); math.Abs(p/(float64(optics.NoseGap)*size/at.Sub(face).Len())-1) > 1e-6 {
				t.Errorf("shadow edge %.4f m", p)
			}
		})
	}
	s := staged(t, `halfstop: 1
room: {size: [8, 8, 3.4], surfaces: {all: 0.6}}
setups:
  - name: a
    camera: {at: [1, 6.5], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: [4, 3.6], stature: 1.7 m, faces: camera}
    lights:
      - {role: key, head: battery head 200, modifier: octa 90, at: [2.4, 4], height: 2 m, aim: sitter.face}
`)
	if _, _, ok := thrown(s, &s.Layers[0], s.Sitter.Landmarks["face"].At); ok {
		t.Error("a key on the face counts as thrown")
	}
}
