package figure

func (h *head) ears(a vec, d float64) float64 {
	f := &h.ear
	q := f.in(a)
	if q.len() > 60 {
		return d
	}
	s := h.P.EarLength / 63
	q = q.mul(1 / s)
	if h.g.plain { // a slab that a coarse grid can hold
		e := smin(ellipsoid(q, vec{-4, 1, 1}, vec{16, 31, 7.5}), ellipsoid(q, vec{-1, 2, -8}, vec{12, 20, 12}), 6)
		return smin(d, e*s*0.8, 3)
	}
	// plate, cupped
	cup := q
	cup.Z -= 0.012*(q.X-6)*(q.X-6) + 0.004*q.Y*q.Y - 3
	e := ellipsoid(cup, vec{-3, 2, 2}, vec{16, 28, 3})
	e = smin(e, ellipsoid(cup, vec{-1, 4, -5}, vec{11, 18, 8}), 6) // root into the skull
	// helix, antihelix, lobe
	e = smin(e, chain(cup, h.helix, h.helixR), 2.2)
	e = smin(e, chain(cup, h.anti, h.antiR), 3)
	e = smin(e, ellipsoid(cup, vec{-3, -23, 1.6}, vec{8, 8.5, 3.4}), 4)
	// concha
	e = smax(e, -ellipsoid(cup, vec{-0.5, -2, 6}, vec{7.2, 10, 7}), 2.5)
	// scapha
	e += stroke(cup, vec{-13, 22, 6}, vec{-15, 6, 6}, 4.2, 1.6) + stroke(cup, vec{2, 25, 6}, vec{-10, 22, 6}, 4, 1.4)
	// tragus
	e = smin(e, ellipsoid(cup, vec{7.5, -5, 3.6}, vec{3, 5.5, 3.2}), 2.5)
	return smin(d, e*s*0.8, 3)
}
