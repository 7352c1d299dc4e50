package figure

import "math"

// hand i in its own frame: y from wrist to knuckles, z out of the back of the hand, x toward the
// thumb.
func (b *body) handFrame(i int) frame {
	y, thumb := b.hold[i].along.unit(), b.hold[i].thumb
	x := thumb.sub(y.mul(thumb.dot(y))).unit()
	z := x.cross(y)
	if i == 1 {
		z = z.mul(-1)
	}
	return frame{b.wr[i], x, y, z}
}

// handScale is the hand's size against the drawing's own 190 mm.
func (b *body) handScale() float64 { return b.S * handShare / 190 * lerp(1, 0.95, b.h.P.Bust) }

// hand in its own frame, scaled by s: palm pads, four fingers of three joints, thumb, knuckles,
// tendons.
func (b *body) hand(q vec, s float64, hd *hold) float64 {
	curl := hd.curl
	q = q.mul(1 / s)
	if l := q.sub(vec{0, 90, -10}).len(); l > 150 {
		return (l - 110) * s
	}
	// wrist and palm: thick on the thumb side, arched across the knuckles
	d := cone(q, vec{0, -18, 0}, vec{0, 8, 0}, 22.5, 22)
	d = smax(d, math.Abs(q.Z)-18, 10)
	palm := ellipsoid(q, vec{1, 52, -1}, vec{41, 52, 14.5})
	palm = smin(palm, cone(q, vec{24, 22, -9}, vec{31, 52, -12}, 14, 11), 12)  // thumb pad
	palm = smin(palm, cone(q, vec{-26, 20, -8}, vec{-30, 62, -6}, 12, 10), 12) // heel, little-finger side
	d = smin(d, palm, 14)
	if b.h.g.plain { // a mitten
		tip := vec{0, 90 + 84*math.Cos(0.7*curl), -84 * math.Sin(0.7*curl)}
		for _, x := range []float64{18, -16} {
			d = smin(d, cone(q, vec{x, 84, 0}, tip.add(vec{x * 0.8, 0, 0}), 13, 10), 18)
		}
		d = smin(d, cone(q, vec{24, 20, -8}, vec{50, 104, -29}, 14, 9), 11)
		return d * s
	}
	// fingers: index .. little
	kx := [4]float64{28, 9.5, -9.5, -27}
	ky := [4]float64{88, 94, 89, 79}
	l := [4][3]float64{{43, 26, 22}, {47, 30, 23}, {43, 28, 23}, {34, 21, 20}}
	r := [4][4]float64{{10, 9, 8, 6.6}, {10.2, 9.3, 8.2, 6.8}, {9.6, 8.7, 7.7, 6.4}, {8.6, 7.6, 6.7, 5.8}}
	for i := range kx {
		p := vec{kx[i], ky[i], 1.5}
		a := curl * (0.30 + 0.10*float64(i))
		sp := kx[i] * hd.spread
		prev := p
		f := math.Inf(1)
		for j := 0; j < 3; j++ {
			dir := vec{sp, math.Cos(a), -math.Sin(a)}.unit()
			nx := prev.add(dir.mul(l[i][j]))
			f = smin(f, cone(q, prev, nx, r[i][j], r[i][j+1]), 1.2)
			f = smin(f, sphere(q, nx.add(vec{0, 0, 0.6}), r[i][j+1]*1.03), 1.5)
			prev = nx
			a += curl * (0.50 - 0.1*float64(j))
		}
		d = smin(d, f, 5)
		// knuckle and tendon
		d = smin(d, ellipsoid(q, vec{kx[i], ky[i] - 2, 6}, vec{8, 9, 6}), 6)
		d = smin(d, cone(q, vec{kx[i] * 0.45, 30, 7}, vec{kx[i], ky[i] - 6, 9}, 2.0, 2.6), 8)
	}
	// thumb
	p0, p1, p2, p3 := vec{24, 20, -8}, vec{43, 52, -18}, vec{50, 84, -24}, vec{50, 110, -30}
	t := cone(q, p0, p1, 14, 11.5)
	t = smin(t, cone(q, p1, p2, 11.5, 9.6), 4)
	t = smin(t, cone(q, p2, p3, 9.8, 7.6), 3)
	d = smin(d, t, 11)
	return d * s
}
