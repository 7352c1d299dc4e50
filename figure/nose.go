package figure

func (h *head) nose(p, a vec, d float64) float64 {
	if p.Z < 50 || p.Y > 45 || p.Y < h.stoY-5 || a.X > 40 {
		return d
	}
	T := vec{0, h.tipY, h.tipZ}
	W := h.alar / 18
	sf := h.P.Soft
	// bridge: narrow top plane on wide side planes, so the section is a wedge
	rh := vec{0, lerp(4, h.tipY, 0.45), lerp(h.nasZ, h.tipZ, 0.64)}
	top := smin(cone(p, vec{0, 10, h.nasZ - 6}, rh.sub(vec{0, 0, 5.2}), 5.2, 5.0), cone(p, rh.sub(vec{0, 0, 5.2}),
		T.sub(vec{0, -1.5, 7.5}), 5.0, 5.2), 3)
	side := cone(a, vec{2, 6, h.nasZ - 13}, vec{5.0 * W, h.tipY + 4, h.subnZ - 5}, 9.3*W, 11.0*W)
	n := smin(top, side, 12)
	// tip: ball with two defining points
	n = smin(n, sphere(p, T.sub(vec{0, -0.8, 7.0 - 0.6*sf}), 6.6-0.6*sf), 9)
	n = smin(n, sphere(a, T.sub(vec{-2.8, -0.3, 5.9}), 5.0), 4)
	// under-plane: a small triangle from the lip to the tip
	under := h.subnY + 0.6 + 0.06*(p.Z-h.subnZ) - p.Y
	n = smax(n, under, 4)
	d = smin(d, n, lerp(5, 14, smooth(h.subnY, h.subnY+18, p.Y)))
	// wings
	wf := frame{o: vec{h.alar - 8.2, h.subnY + 6.4, h.subnZ - 1.5}}
	wf.z = vec{-0.42, -0.12, 0.9}.unit()
	wf.x = vec{0.95, 0.0, 0.4}
	wf.x = wf.x.sub(wf.z.mul(wf.x.dot(wf.z))).unit()
	wf.y = wf.z.cross(wf.x)
	d += bump(a, vec{h.alar + 1.5, h.subnY + 8, h.subnZ - 8}, vec{5, 8, 8}, 0.9) // crease behind the wing
	d = smin(d, ellipsoidIn(a, &wf, vec{5.2, 7.0, 12}), 10)
	// above the wing
	d += stroke(a, vec{h.alar - 4.5, h.subnY + 14, h.subnZ + 1}, vec{h.alar - 7, h.subnY + 10, h.subnZ + 9}, 4.5, 0.3)
	// columella and nostrils
	d = smin(d, cone(p, vec{0, h.tipY - 4.0, h.tipZ - 7}, vec{0, h.subnY + 2.0, h.subnZ - 4}, 3.0, 4), 4)
	nf := frame{o: vec{6.6 * W, h.subnY + 0.6, h.subnZ + 4.0}}
	nf.z = vec{-0.40, 0.30, 0.86}.unit()
	nf.x = vec{0.9, 0, 0.42}
	nf.x = nf.x.sub(nf.z.mul(nf.x.dot(nf.z))).unit()
	nf.y = nf.z.cross(nf.x)
	d = smax(d, -ellipsoidIn(a, &nf, vec{2.5 * W, 4.6, 5.6}), 1.8)
	return d
}
