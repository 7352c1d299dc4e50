package figure

import "math"

func (h *head) neck(p, a vec) float64 {
	w := h.neckW
	m := h.menton
	k := w / 58
	// column leaning forward, flaring to the trapezius
	r0 := vec{0, m + 40, -26 * h.sz}
	r1 := vec{0, m - 85, -46 * h.sz}
	ab := r1.sub(r0)
	t := clamp(p.sub(r0).dot(ab)/ab.dot(ab), 0, 1.4)
	c := r0.add(ab.mul(t))
	rx, rz := lerp(w*0.90, w*0.98, t), lerp(w*0.92, w*0.95, t)
	x, z := (p.X-c.X)/rx, (p.Z-c.Z)/rz
	s := math.Sqrt(x*x + z*z)
	d := (s - 1) * min(rx, rz)
	// trapezius: ridge from the nape to the shoulder
	trap := func(q vec) float64 {
		t := cone(q, vec{16 * k, m + 34, -62 * h.sz}, vec{46 * k, m - 64, -74 * h.sz}, 18*k, 22*k)
		return smin(t, cone(q, vec{46 * k, m - 64, -74 * h.sz}, vec{h.P.Biacromial * 0.42, m - 96, -66 * h.sz}, 22*k,
			18*k), 24)
	}
	d = smin(d, smin(trap(a), trap(vec{-a.X, a.Y, a.Z}), 26), 32)
	// sternomastoid, from behind the ear to the notch; hollow in front of it; larynx
	mid := vec{w * 0.64, m - 2, -4}
	scm := smin(cone(a, vec{w*0.95 - 6, m + 62, -14 * h.sz}, mid, 8.5*k, 6.5*k), cone(a, mid, vec{14 * k, m - 78, 2},
		6.5*k, 5.5*k), 7)
	d = smin(d, scm, 11)
	d = smin(d, cone(p, vec{0, m + 22, -4}, vec{0, m - 76, -2}, 26*k, 15*k), 20)
	d -= bump(p, vec{0, m - 36, 30}, vec{17, 22, 22}, 4.5*h.P.Larynx)
	d += bump(p, vec{0, m - 80, 10}, vec{13, 13, 18}, 5)
	// collar bones and the top of the chest
	d = smin(d, cone(a, vec{12, m - 84, 4}, vec{h.P.Biacromial * 0.40, m - 86, -48}, 6, 6), 20)
	d = smin(d, ellipsoid(p, vec{0, m - 160, -45 * h.sz}, vec{h.P.Biacromial * 0.42, 82, 58}), 34)
	// close the top inside the skull
	return smax(d, p.Y-(m+95), 10)
}
