package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "plant", Says: "a leafy plant in a pot", Size: [3]float64{0.6, 0.6, 1.1},
	Surface: "foliage", Foot: Round, Body: plant})

// plant has a pot of a fifth of its height and some eighty leaves on arching stems.
func plant(b *Solid, w, d, h float64) {
	pot, earth := b.Surface("red brick"), b.Surface("dark wood")
	r, c := 0.30*min(w, d), geom.V(w/2, d/2, 0)
	ph := min(0.22*h, 0.3)
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{0, 0}, {0.72 * r, 0}, {r, 0.9 * ph}, {1.06 * r, 0.9 * ph}, {1.06 * r,
		ph}, {0.92 * r, ph},
		{0.9 * r, 0.9 * ph}, {0, 0.9 * ph}}, 32, pot)
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{0.9 * r, 0.905 * ph}, {0, 0.91 * ph}}, 24, earth)
	const stems = 13
	for i := range stems {
		k := int64(i)
		a := 2 * math.Pi * (float64(i)*0.381966 + 0.1*Hash2(k, 3))
		s, co := math.Sincos(a)
		out := 0.42 * min(w, d) * (0.35 + 0.65*Hash2(k, 1))
		top := ph + (h-ph)*(0.55+0.40*Hash2(k, 2))
		if i == 0 { // the tallest
			top, out = h-0.03, 0.2*out
			b.Bar(c.Add(geom.V(co*out, s*out, top)), c.Add(geom.V(co*out, s*out, h)), 0.002, 6, Own)
		}
		at := func(t float64) geom.Vec { // an arch
			return c.Add(geom.V(co*out*t*t, s*out*t*t, 0.9*ph+(top-0.9*ph)*(t*(1.5-0.5*t))))
		}
		const n = 6
		for j := range n {
			b.Bar(at(float64(j)/n), at(float64(j+1)/n), 0.004-0.0004*float64(j), 6, Own)
		}
		for j := range 7 {
			t := 0.3 + 0.7*float64(j)/6
			p := at(t)
			turn := a + float64(j)*2.4
			sn, cs := math.Sincos(turn)
			l := 0.085 * math.Sqrt(h) * (0.7 + 0.6*Hash2(k, int64(10+j)))
			l = min(l, (0.49*min(w, d)-math.Hypot(p.X-c.X, p.Y-c.Y))*0.95, (h-p.Z)/0.5)
			if l < 0.02 {
				continue
			}
			b.leaf(p, geom.V(cs, sn, 0.55-0.5*t), l, 0.42*l)
		}
	}
}

// leaf is a blade with a fold along its middle.
func (s *Solid) leaf(p, way geom.Vec, long, wide float64) {
	way = way.Unit()
	across := way.Cross(geom.V(0, 0, 1)).Unit()
	up := across.Cross(way)
	at := func(u, v float64) geom.Vec {
		b := math.Sin(math.Pi*math.Pow(u, 0.8)) * wide / 2
		return p.Add(way.Mul(long * u)).Add(across.Mul(b * v)).Add(up.Mul(0.35*math.Abs(v)*b - 0.30*long*u*u))
	}
	const n = 5
	for i := range n {
		u0, u1 := float64(i)/n, float64(i+1)/n
		for _, v := range [2]float64{-1, 1} {
			a, b, c, d := at(u0, 0), at(u1, 0), at(u1, v), at(u0, v)
			if v > 0 {
				b, d = d, b
			}
			s.Face(Own, a, b, c, d)
		}
	}
}
