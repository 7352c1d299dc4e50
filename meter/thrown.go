package meter

import (
	"math"

	"halfstop/geom"
	"halfstop/stage"
)

// What lights the face of a head that points elsewhere is the surface that it is thrown at, where
// that gives more than the head does straight. A surface counts as returning half; a head that
// sends the face half of its axial intensity or more points there (judgement).
const (
	thrownBelow = 0.5
	thrownBack  = 0.5
)

// thrown returns where the light of a head that does not shine on the face comes from: the middle
// of the patch that it lights on a wall, a ceiling, a board or a cloth, weighed by what the patch
// sends to the face, and the patch's diameter across that direction, m. ok is false where the head
// shines on the face itself, or nothing is lit.
//
// Rays leave the head by its distribution; each carries its flux to the first surface, which
// scatters it as a Lambertian one. A uniform disc has a variance of D²/16 along each diameter, so
// the patch counts as a disc of four times the geometric mean of its two standard deviations.
// Check: TestThrownOnAWall.
func thrown(s *stage.Stage, l *stage.Layer, face geom.Vec) (at geom.Vec, size float64, ok bool) {
	if l.Light < 0 || l.Source == nil || len(l.Bodies) == 0 {
		return at, 0, false
	}
	b := l.Bodies[0]
	part := func(c float64) float64 { // of the axial intensity, at the cosine from the axis
		if p := l.Source.Profile; len(p) > 0 {
			return p[min(len(p)-1, int(math.Acos(max(-1, min(1, c)))*180/math.Pi+0.5))]
		}
		return max(0, c)
	}
	through := s.Setup.Lights[l.Light].Through != ""
	switch b.Shape {
	case "rectangle", "disc":
	default:
		return at, 0, false // it shines all round
	}
	straight := part(face.Sub(b.At).Unit().Dot(b.Frame.N))
	if !through && straight >= thrownBelow {
		return at, 0, false
	}
	const rings, around = 40, 24
	const widest = 80 * math.Pi / 180
	type spot struct {
		at geom.Vec
		w  float64
	}
	var lit []spot
	sum := 0.0
	for i := range rings {
		sn, c := math.Sincos(widest * (float64(i) + 0.5) / rings)
		for k := range around {
			turn := 2 * math.Pi * (float64(k) + 0.5*float64(i%2)) / around
			d := b.Frame.N.Mul(c).Add(b.Frame.S.Mul(sn * math.Cos(turn))).Add(b.Frame.T.Mul(sn * math.Sin(turn)))
			from := b.At.AddMul(d, 0.03)
			t, hit := s.Scene.FirstHit(from, d)
			if !hit {
				continue
			}
			p := from.AddMul(d, t)
			n, flat := normalAt(s, from, d, t)
			to := face.Sub(p)
			if !flat || to.Len2() < 0.01 {
				continue
			}
			out := n.Dot(to.Unit())
			if through {
				out = math.Abs(out)
			}
			if w := part(c) * sn * max(0, out) / to.Len2(); w > 0 {
				lit = append(lit, spot{p, w})
				sum += w
				at = at.AddMul(p, w)
			}
		}
	}
	const each = widest / rings * 2 * math.Pi / around // solid angle of a ray, over the sine
	if !(sum > 0) || !through && sum*each*thrownBack/math.Pi < straight/face.Sub(b.At).Len2() {
		return at, 0, false
	}
	at = at.Mul(1 / sum)
	x, y := across(face.Sub(at).Unit())
	var xx, xy, yy float64
	for _, p := range lit {
		d := p.at.Sub(at)
		u, v := d.Dot(x), d.Dot(y)
		xx, xy, yy = xx+p.w*u*u, xy+p.w*u*v, yy+p.w*v*v
	}
	// The head's own face blurs the edge of the patch.
	own := b.Width * b.Width / 16
	xx, xy, yy = xx/sum+own, xy/sum, yy/sum+own
	return at, 4 * math.Pow(max(0, xx*yy-xy*xy), 0.25), true
}

// normalAt is the normal of what a ray meets at distance t, on the side of the ray, by two rays
// beside it.
func normalAt(s *stage.Stage, from, d geom.Vec, t float64) (geom.Vec, bool) {
	x, y := across(d)
	const aside = 1e-3
	dx, dy := d.AddMul(x, aside).Unit(), d.AddMul(y, aside).Unit()
	tx, okx := s.Scene.FirstHit(from, dx)
	ty, oky := s.Scene.FirstHit(from, dy)
	if !okx || !oky {
		return geom.Vec{}, false
	}
	p := from.AddMul(d, t)
	n := from.AddMul(dx, tx).Sub(p).Cross(from.AddMul(dy, ty).Sub(p))
	if n.Len2() == 0 {
		return geom.Vec{}, false
	}
	if n = n.Unit(); n.Dot(d) > 0 {
		n = n.Neg()
	}
	return n, true
}

// across returns two directions at right angles to d and to each other.
func across(d geom.Vec) (x, y geom.Vec) {
	up := geom.V(0, 0, 1)
	if math.Abs(d.Z) > 0.9 {
		up = geom.V(1, 0, 0)
	}
	x = d.Cross(up).Unit()
	return x, x.Cross(d)
}
