package figure

import "math"

// strand is a tapering three-sided hair along pts.
func strand(b *builder, m Part, pts []vec, w0, w1 float64) {
	base := int32(len(b.pos))
	n := len(pts)
	var x vec
	for i, p := range pts {
		var t vec
		if i == 0 {
			t = pts[1].sub(p)
		} else {
			t = p.sub(pts[i-1])
		}
		t = t.unit()
		if i == 0 {
			x = t.cross(vec{0.31, 0.2, 0.93}).unit()
		}
		x = x.sub(t.mul(x.dot(t))).unit() // carried along without twist
		y := t.cross(x)
		w := lerp(w0, w1, float64(i)/float64(n-1)) / 2
		for j := 0; j < 3; j++ {
			s, c := math.Sincos(float64(j) * 2 * math.Pi / 3)
			d := x.mul(c).add(y.mul(s))
			b.vertex(p.add(d.mul(w)), d, t, 0)
		}
		if i == 0 {
			continue
		}
		a := base + int32(i-1)*3
		for j := int32(0); j < 3; j++ {
			k := (j + 1) % 3
			b.tris(m, [3]int32{a + j, a + k, a + 3 + k}, [3]int32{a + j, a + 3 + k, a + 3 + j})
		}
	}
}

// ribbon is a flat lock along pts that lies on a surface of normals nrm, width wide in the middle
// and running out to points, shaded round.
func ribbon(b *builder, m Part, pts, nrm []vec, width float64) {
	last := len(pts) - 1
	base := int32(len(b.pos))
	for i, p := range pts {
		t := pts[min(i+1, last)].sub(pts[max(i-1, 0)]).unit()
		x := t.cross(nrm[i]).unit()
		n := x.cross(t)
		u := float64(i) / float64(last)
		w := width / 2 * (0.12 + 0.88*math.Sin(math.Pi*lerp(0.08, 0.96, u)))
		for _, s := range [2]float64{-1, 1} {
			b.vertex(p.add(x.mul(s*w)), n.add(x.mul(0.6*s)).unit(), t, 0)
		}
		if i > 0 {
			a := base + int32(i-1)*2
			b.tris(m, [3]int32{a, a + 1, a + 3}, [3]int32{a, a + 3, a + 2})
		}
	}
}

// ball is an ellipsoid of radii r round c.
func ball(b *builder, m Part, c, r vec) {
	const N, M = 12, 8
	base := int32(len(b.pos))
	for i := 0; i <= M; i++ {
		st, ct := math.Sincos(math.Pi * float64(i) / M)
		for j := 0; j < N; j++ {
			sp, cp := math.Sincos(2 * math.Pi * float64(j) / N)
			n := vec{st * cp, ct, st * sp}
			b.vertex(c.add(vec{n.X * r.X, n.Y * r.Y, n.Z * r.Z}), vec{n.X / r.X, n.Y / r.Y, n.Z / r.Z}.unit(), vec{}, 0)
		}
	}
	for i := int32(0); i < M; i++ {
		for j := int32(0); j < N; j++ {
			k := (j + 1) % N
			a := base + i*N
			b.tris(m, [3]int32{a + j, a + k, a + N + k}, [3]int32{a + j, a + N + k, a + N + j})
		}
	}
}

// tube is a round bar of radius r along pts with n sides; a closed one repeats its first point at
// the end.
func (b *builder) tube(m Part, pts []vec, r float64, n int, closed bool) {
	base := int32(len(b.pos))
	N := int32(n)
	last := len(pts) - 1
	var x vec
	for i, p := range pts {
		a, c := pts[max(i-1, 0)], pts[min(i+1, last)]
		if closed && (i == 0 || i == last) {
			a, c = pts[last-1], pts[1]
		}
		t := c.sub(a).unit()
		if i == 0 {
			x = t.cross(vec{0.31, 0.2, 0.93}).unit()
		}
		x = x.sub(t.mul(x.dot(t))).unit() // carried along without twist
		y := t.cross(x)
		for j := range n {
			s, co := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			d := x.mul(co).add(y.mul(s))
			b.vertex(p.add(d.mul(r)), d, vec{}, 0)
		}
		if i == 0 {
			continue
		}
		o := base + int32(i-1)*N
		for j := range N {
			k := (j + 1) % N
			b.tris(m, [3]int32{o + j, o + k, o + N + k}, [3]int32{o + j, o + N + k, o + N + j})
		}
	}
	if closed || b.g.plain {
		return
	}
	// round off the ends
	for _, e := range []int{0, last} {
		ball(b, m, pts[e], vec{r, r, r})
	}
}
