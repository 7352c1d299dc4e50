package figure

import "math"

// addGlasses sets two thin flat panes in a frame with bridge and sidepieces. Drawn by eye after a
// common adult frame: panes 49 x 39 mm, 13 mm in front of the cornea, leaning in 8 degrees at the
// foot.
func (h *head) addGlasses(b *builder) {
	n, sides := 40, 8
	if h.g.plain {
		n, sides = 16, 4
	}
	w, t := 24.5, 19.5
	k := h.P.Bizygomatic / 137
	w *= k
	lean := 8 * math.Pi / 180
	var outline [2][]vec
	fwd := 0.0
	place := func(s, x, y float64) vec { // on the pane of side s, x outward
		z := h.eyeL.Z + corneaApex + 13 + fwd + y*math.Tan(lean) - 0.06*(x+w)
		return vec{s * (h.ipd*1.02 + 0.5 + x), y - 2.5, z}
	}
	shape := func(i int) (x, y float64) { // a rounded oblong, fuller below the outer corner
		a := 2 * math.Pi * float64(i) / float64(n)
		c, s := math.Cos(a), math.Sin(a)
		e := 0.72
		x = w * math.Copysign(math.Pow(math.Abs(c), e), c)
		y = t * math.Copysign(math.Pow(math.Abs(s), e), s)
		return x, y - 0.05*math.Abs(x)*smooth(0, -t, y)
	}
	// stand off until no rim touches brow, cheek or nose
	for range 24 {
		clear := math.Inf(1)
		for i := range n {
			x, y := shape(i)
			clear = min(clear, h.bust(place(1, x, y)))
		}
		if clear > 2.2 {
			break
		}
		fwd += 0.7
	}
	for i := range 2 {
		s := side(i)
		for j := range n {
			x, y := shape(j)
			outline[i] = append(outline[i], place(s, x, y))
		}
		h.pane(b, outline[i], s)
		b.tube(Rim, append(append([]vec{}, outline[i]...), outline[i][0]), 1.25, sides, true)
		// sidepiece: from the outer upper corner back over the ear and down behind it
		hx, hy := w+1.0, t*0.45
		hinge := place(s, hx, hy)
		e := h.ear.out(vec{6, 24, -1})
		e.X *= s
		over := h.ear.out(vec{-12, 22, -4})
		over.X *= s
		down := h.ear.out(vec{-20, 2, -7})
		down.X *= s
		turn := hinge.add(vec{s * 3, 0, -4})
		pts, _ := rope(n/2, []vec{hinge, turn, turn.lerp(e, 0.5).add(vec{s * 2.5, 1, 0}), e, over, down},
			make([]float64, 6))
		for q := range pts { // never inside the head
			if d := h.bust(pts[q]); d < 1.6 {
				g := gradient(h.bust, pts[q], 0.6).unit()
				pts[q] = pts[q].add(g.mul(min(1.6-d, 6)))
			}
		}
		b.tube(Rim, pts, 1.25, sides, false)
	}
	// bridge
	l, r := place(1, -w*0.96, t*0.32), place(-1, -w*0.96, t*0.32)
	mid := l.lerp(r, 0.5).add(vec{0, 3, 2})
	pts, _ := rope(8, []vec{l, l.lerp(mid, 0.5).add(vec{0, 1.5, 1}), mid, r.lerp(mid, 0.5).add(vec{0, 1.5, 1}), r},
		make([]float64, 5))
	b.tube(Rim, pts, 1.4, sides, false)
}

// pane fills an outline, which must be flat and star-shaped about its middle.
func (h *head) pane(b *builder, outline []vec, s float64) {
	var c vec
	for _, p := range outline {
		c = c.add(p.mul(1 / float64(len(outline))))
	}
	n := outline[0].sub(c).cross(outline[len(outline)/4].sub(c)).unit().mul(s)
	mid := b.vertex(c, n, vec{}, 0)
	first := int32(len(b.pos))
	for _, p := range outline {
		b.vertex(p, n, vec{}, 0)
	}
	N := int32(len(outline))
	for j := range N {
		k := (j + 1) % N
		t := [3]int32{mid, first + j, first + k}
		if s < 0 {
			t[1], t[2] = t[2], t[1]
		}
		b.tris(Glass, t)
	}
}
