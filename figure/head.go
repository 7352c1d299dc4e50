package figure

import "math"

// head holds the worked-out positions of one head. Origin: midline, eye line, at the depth of the
// ear canals.
type head struct {
	P                                    Params // already worn
	g                                    grain
	sx, sy, sz                           float64 // scale of the reference drawing, per axis, below the eye line
	top, menton, gonY, subnY, stoY, pogY float64
	ls, li                               float64 // lip borders at the midline
	glab, occ, nasZ, subnZ, tipZ, tipY   float64
	stoZ, lsZ, liZ, pogZ, menZ           float64
	zyg, gon, ipd, alar, lipH, neckW     float64
	eyeL                                 vec // left eyeball centre
	zf, w, zw, sq                        *spline
	mouth                                *spline
	helix, anti                          []vec // rims of the ear, in its own frame
	helixR, antiR                        []float64
	ear                                  frame
	lidU, lidD                           *spline
	asym                                 float64
	hb, hl                               float64 // cranium of the drawing, after fitting
	chinUp                               float64 // lift of the chin, after fitting
}

const refFace = 120.0

func newHead(P Params) *head {
	h := &head{P: P, g: grains[P.Detail]}
	h.sy = P.FaceHeight / refFace
	h.sz = P.HeadLength / 197
	h.sx = P.Bizygomatic / 140
	Y := func(y float64) float64 { return y * h.sy } // reference heights are for a face of refFace
	h.menton = 4*h.sy - P.FaceHeight
	h.top = h.menton + P.HeadHeight
	h.subnY = 4*h.sy - P.NoseHeight
	h.tipY = h.subnY + 8*h.sy
	k := (h.menton - h.subnY) / (-116 + 49.0) // mouth and chin share what the nose leaves
	h.ls, h.stoY, h.li = h.subnY-15*k, h.subnY-22.5*k, h.subnY-31.5*k
	h.pogY = h.subnY - 53*k
	h.gonY = Y(-77)
	h.glab, h.occ = P.HeadLength*97/197, -P.HeadLength*100/197
	h.nasZ = 93 * h.sz
	h.subnZ = 95.5 * h.sz
	h.tipZ = h.subnZ + P.NoseProtrusion
	h.stoZ, h.lsZ, h.liZ = 96*h.sz, 101.5*h.sz, 99*h.sz
	h.pogZ, h.menZ = 91*h.sz+P.Chin, 82*h.sz+P.Chin
	h.zyg, h.gon, h.ipd = P.Bizygomatic/2, P.Bigonial/2, P.Interpupillary/2
	h.alar, h.lipH, h.neckW = P.NoseBreadth/2, P.LipWidth/2, P.NeckBreadth/2
	h.hb, h.hl = P.HeadBreadth, P.HeadLength
	h.eyeL = vec{h.ipd, 0, 84.5*h.sz - 13}
	h.asym = P.Asymmetry
	h.draw()
	h.fit()
	return h
}

// draw lays out the curves from the figures held in h.
func (h *head) draw() {
	P := h.P
	sf := P.Soft
	Y := func(y float64) float64 { return y * h.sy }
	zs := h.sz
	h.zf = newSpline(
		h.menton-12, 78*zs+P.Chin, h.menton, 85*zs+P.Chin, h.pogY, 87.5*zs+P.Chin, (h.pogY+h.li)/2-1, 86.5*zs, h.stoY,
		91*zs, h.subnY, 91.5*zs,
		Y(-20), 87*zs, 0, 87.5*zs, 20, 93*zs, 45, 90*zs, 70, 80*zs)
	h.w = newSpline(
		h.menton-12, h.gon*(0.62-0.08*sf), h.menton, h.gon*(0.74-0.11*sf), Y(-104), h.gon*(0.89-0.08*sf), Y(-90),
		h.gon*(1.01-0.045*sf), Y(-72), h.gon*1.11, Y(-50), h.gon*0.56+h.zyg*0.525,
		Y(-20), h.zyg*0.945, 0, h.zyg*0.95, 20, h.zyg*0.9, 45, h.zyg*0.86, 70, h.zyg*0.8)
	h.zw = newSpline(h.menton-12, 12, Y(-100), 8, Y(-72), 2, Y(-40), 6, Y(-20), 12, 0, 10, 20, 6, 70, 0)
	h.sq = newSpline(h.menton-12, 0.1, Y(-100), 0.12, Y(-72), 0.05, Y(-40), 0.05, Y(-15), 0.2, 20, 0.38, 45, 0.3, 70,
		0.1)
	// palpebral opening: height of the lid edges over x, measured outward from the eyeball centre
	o := P.LidOpen
	h.lidU = newSpline(-17, -2.6, -14.5, -1.6, -10, 2.2*o, -4, 4.9*o, 0, 5.4*o, 5, 4.9*o, 10, 3.0*o+0.4, 14, 0.8, 17,
		0.2)
	h.lidD = newSpline(-17, -2.8, -14.5, -2.2, -10, -3.6, -4, -5.0, 0, -5.5, 5, -5.4, 10, -3.4, 14, 0.4, 17, 0.1)
	h.mouth = newSpline(-1.2, 0.5, -1, 0.35, -0.6, 0.05, -0.25, 0.3, 0, -0.35, 0.25, 0.3, 0.6, 0.05, 1, 0.35, 1.2, 0.5)
	up := vec{0.10, 0.965, -0.24}.unit()
	outw := vec{0.92, 0, 0.39}
	outw = outw.sub(up.mul(outw.dot(up))).unit()
	h.helix, h.helixR = rope(14, []vec{{8, 3, 3}, {11, 14, 4}, {6.5, 26, 4.6}, {-4, 31, 5}, {-14, 25.5, 5},
		{-18.5, 12, 4.6}, {-17, -4, 4}, {-12, -17, 3.2}}, []float64{2.0, 2.6, 3, 3.1, 3.1, 2.9, 2.5, 2.4})
	h.anti, h.antiR = rope(8, []vec{{-2, 21, 3.5}, {-8.5, 13, 4.2}, {-10.5, 2, 4.4}, {-7.5, -9, 4}, {-1, -14, 4}},
		[]float64{2, 2.6, 2.8, 2.6, 2.4})
	h.ear = frame{vec{h.hb/2*0.93 + 2.5, Y(-17), -13 * zs}, outw.cross(up), up, outw} // x runs forward, y up, z out
}

// warp adds the small left-right differences every living face has.
func (h *head) warp(p vec) vec {
	if h.asym == 0 {
		return p
	}
	a := h.asym
	p.X += a * (1.2*math.Sin(p.Y/38+0.6) + 0.5*math.Sin(p.Y/15)) * smooth(-20, 70, p.Z)
	p.Y += a * 0.9 * math.Sin(p.X/30+0.4) * smooth(-20, 70, p.Z)
	return p
}
func (h *head) unwarp(p vec) vec { // first-order inverse
	return p.sub(h.warp(p).sub(p))
}

func (h *head) skull(p vec) float64 { // cranium alone, p.X >= 0 or not
	hl := h.hl / 2
	cy := h.top - 90
	rx := h.hb / 2 * (1 - 0.0011*(p.Z+18))
	d := ellipsoid(p, vec{0, cy, h.glab - hl}, vec{rx, 90, hl})
	// parietal fullness and the bun of the occiput
	d = smin(d, ellipsoid(vec{math.Hypot(p.X, 9), p.Y, p.Z}, vec{24, cy + 12, h.glab - h.hl + 76*h.sz},
		vec{rx - 24, 60, 60 * h.sz}), 18)
	d = smin(d, ellipsoid(p, vec{0, cy - 28, h.glab - h.hl + 53*h.sz}, vec{52, 46, 50 * h.sz}), 18)
	return d
}

func (h *head) loft(p vec) float64 {
	w, zw := h.w.at(p.Y), h.zw.at(p.Y)
	dz := h.zf.at(p.Y) - zw
	z := p.Z - zw
	if z < 0 {
		dz = 70
	}
	c := h.sq.at(p.Y)
	qx, qz := p.X/w, z/dz
	qx2, qz2 := qx*qx, qz*qz
	s2 := qx2 + qz2 - c*min(qx2, 1.3)*min(qz2, 1.3)
	if s2 < 0.01 {
		return -min(w, dz) * 0.9
	}
	s := math.Sqrt(s2)
	gx, gz := qx*(1-c*min(qz2, 1.3))/w, qz*(1-c*min(qx2, 1.3))/dz
	g := math.Sqrt(gx*gx+gz*gz) / s
	if g < 1e-4 {
		g = 1e-4
	}
	d := (s - 1) / g
	return clamp(d, -60, 60)
}

// bust is head and neck, without the eyeballs, in head space.
func (h *head) bust(q vec) float64 {
	p := h.warp(q)
	a := vec{math.Abs(p.X), p.Y, p.Z}
	far := ellipsoid(p, vec{0, -20, 0}, vec{100, 150, 130})
	if far > 60 && p.Y > -120 {
		return far
	}
	if p.Y > h.menton+112 {
		return h.face(p, a)
	}
	neck := h.neck(p, a)
	if p.Y < h.menton-45 {
		return neck
	}
	d := h.face(p, a)
	d = smin(d, neck, 9)
	return d
}

func (h *head) face(p, a vec) float64 {
	zs, sy, sx := h.sz, h.sy, h.sx
	L, sf := h.P.Lean, h.P.Soft
	d := smax(h.loft(p), p.Y-44, 40)
	// under-plane of the jaw and the rear edge of the ramus
	m := vec{0, h.menton + 2.2 + h.chinUp, h.menZ}
	g := vec{0, h.gonY + 3, 2}
	t := g.sub(m).unit()
	n := vec{0, t.Z, -t.Y}
	d = smax(d, p.sub(m).dot(n)-0.022*a.X*a.X*0.2, 11)
	d = smax(d, -(p.Z + 6 + 0.12*(p.Y-h.gonY)), 12)
	d = smin(d, h.skull(p), 22)

	// --- planes of the forehead: front plane breaks at the temporal line, temple sinks behind it
	d -= bump(a, vec{30 * sx, 52, 84 * zs}, vec{30, 34, 34}, 1.6)
	d += bump(a, vec{74 * sx, 22, 34 * zs}, vec{46, 54, 50}, 2.3)
	// brow: glabella, superciliary arch, outer orbital rim
	B := 0.35 + 0.65*h.P.Brow
	d -= bump(p, vec{0, 19, 94 * zs}, vec{20, 15, 22}, 2.2*B)
	brow := []vec{{9, 15 + B, 88 * zs}, {h.ipd - 6, 19, 84.5 * zs}, {h.ipd + 12, 18, 74 * zs},
		{h.ipd + 20.5, 7, 60 * zs}, {h.ipd + 19, -9, 58 * zs}}
	br := chain(a, brow, []float64{5, 6, 5.5, 3.4, 2.4})
	if a.X < 30 {
		br = smin(br, chain(vec{-a.X, a.Y, a.Z}, brow[:2], []float64{5, 6}), 16)
	}
	d = smin(d, br-0.5*B+1.2*sf, 15+6*sf)
	// socket
	e := h.eyeL
	d += bump(a, vec{e.X - 1, e.Y + 1, 80 * zs}, vec{25, 17, 30}, 8.6-2.4*sf)
	d += bump(a, vec{e.X - 15, 5, 84 * zs}, vec{13, 16, 18}, 3.4-1.4*sf)
	d += bump(a, vec{e.X + 15, 0, 70 * zs}, vec{13, 14, 20}, 3-1.2*sf)
	// cheekbone: a box turned from front plane to side plane, and the arch running to the ear
	d = smin(d, ellipsoid(a, vec{h.zyg * 0.68, -24 * sy, 57 * zs}, vec{15 * sx, 12, 13.5}), 26+8*sf)
	d = smin(d, cone(a, vec{h.zyg * 0.80, -19 * sy, 46 * zs}, vec{h.zyg - 8, -13 * sy, 12 * zs}, 5.5, 5), 22+8*sf)
	d += bump(a, vec{h.gon + 3, -52 * sy, 50 * zs}, vec{32, 32, 46}, 2.6*L-1.6*sf)
	// malar fat and tear trough
	d -= bump(a, vec{e.X + 4, -32 * sy, 80 * zs}, vec{24, 20, 24}, 2.2*(1-L)+0.6)
	d += stroke(a, vec{e.X - 13, -9, 84 * zs}, vec{e.X + 4, -17, 80 * zs}, 11, 0.9)
	// barrel of the mouth and the fold beside it
	d -= bump(p, vec{0, h.stoY + 2, 92 * zs}, vec{h.lipH + 16, 34, 34}, 4.2)
	d += stroke(a, vec{h.alar + 5, h.subnY + 5, 87 * zs}, vec{h.lipH + 8, h.stoY - 2, 77 * zs}, 15, 1.25)
	d += bump(a, vec{h.lipH + 6, h.stoY - 2, 80 * zs}, vec{18, 20, 20}, 0.35)
	// chin
	d = smin(d, ellipsoid(p, vec{0, h.pogY + 1.5 + h.chinUp, h.pogZ - 14}, vec{(19 - 4*sf) * sx, 11.5, 14}), 13)
	ch := func(s float64) float64 {
		return ellipsoid(p, vec{s * (8 - 3.5*sf) * sx, h.pogY + 0.8 + h.chinUp, h.pogZ - 14.5}, vec{11, 9.5, 12})
	}
	d = smin(d, smin(ch(1), ch(-1), 22), 18)
	sul := (h.li + h.pogY) / 2
	d += bump(p, vec{0, sul + 1, h.liZ - 4}, vec{26, 11, 18}, 2.2)
	d += bump(a, vec{24, h.pogY + 2, 76 * zs}, vec{18, 20, 24}, 0.9)
	// jaw angle
	d = smin(d, ellipsoid(a, vec{h.gon - 9, h.gonY + 7, 12 * zs}, vec{10 - 1.5*sf, 15 - 3*sf, 15 - 3*sf}), 16+8*sf)

	d = h.nose(p, a, d)
	d = h.lips(p, a, d)
	d = h.eyelids(a, d)
	d = h.ears(a, d)
	return h.wrinkles(p, a, d)
}
