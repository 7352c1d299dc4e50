package figure

import "math"

// skin draws head and neck, and the bare trunk where nothing covers it.
func (b *body) skin(o *builder) {
	h, g := b.h, b.h.g
	P := h.P
	c := g.face
	bare := P.Clothes == Bare && !P.headOnly
	lo := h.menton - 175
	reach := P.Biacromial*0.40 + 34
	switch {
	case bare, P.Clothes == Dress:
		lo = h.menton - 190
		reach = P.Biacromial/2 + 70
	case !P.headOnly:
		lo = b.coverFrom() - 3*c
	}
	coarse := func(y float64) float64 { return 1 + 2.4*smooth(h.menton-15, h.menton-70, y) }
	xs := sym(axis(0, reach, func(x float64) float64 {
		if g.plain {
			return c * (1 + 0.5*smooth(30, 60, x) + 2*smooth(90, 130, x))
		}
		return c * (0.9 - 0.3*band(x, h.ipd-18, h.ipd+18) + 0.1*smooth(50, 60, x) - 0.25*band(x, h.hb/2-4, h.hb/2+20) +
			2.4*smooth(104, 135, x))
	}))
	ys := axis(lo, h.top+8, func(y float64) float64 {
		if g.plain {
			return c * (1 + 0.9*smooth(45, 85, y) + 1.6*smooth(h.menton, h.menton-40, y))
		}
		fine := 0.5*band(y, -9, 11) + 0.38*band(y, h.li-5, h.ls+4)
		return c * (coarse(y) - fine + 1.6*smooth(45, 85, y))
	})
	zs := axis(-135*h.sz-8, h.tipZ+8, func(z float64) float64 {
		if g.plain {
			return c * (1 + 0.9*smooth(45, 0, z))
		}
		return c * (1 + 1.3*smooth(-38, -60, z) - 0.4*band(z, h.eyeL.Z, h.eyeL.Z+14))
	})
	f := field(h.bust)
	if bare || P.Clothes == Dress {
		f = b.bareBust
	}
	s := extract(f, xs, ys, zs, 1.6)
	for i, p := range s.pos {
		s.tone[i] = float32(h.lipTone(h.warp(p)))
	}
	if !P.headOnly {
		s.tri = b.uncovered(s)
	}
	o.add(s, func(_ vec, t float32) Part {
		if t > 0.5 {
			return Lip
		}
		return Skin
	})
}

// coverFrom is the height under which clothes hide the skin.
func (b *body) coverFrom() float64 { return b.base - 62 }

// uncovered drops skin that clothes hide.
func (b *body) uncovered(s *surf) [][3]int32 {
	h := b.h
	keep := s.tri[:0]
	for _, t := range s.tri {
		p := s.pos[t[0]]
		switch h.P.Clothes {
		case Bare:
			if p.Y < b.base-104 { // the trunk's own grid takes over
				continue
			}
		case Dress:
			rho, v, ang := b.column(p)
			if v < 40 && rho > 36+15*smooth(1.6, 0, math.Abs(ang)) || p.Y < b.base-104 {
				continue
			}
		default:
			if p.Y < b.coverFrom() || (math.Abs(p.X) > h.neckW+34 && p.Y < h.menton) {
				continue
			}
		}
		keep = append(keep, t)
	}
	return keep
}

// bareBust is head, neck and bare shoulders in one.
func (b *body) bareBust(p vec) float64 {
	d := b.h.bust(p)
	if p.Y > b.base+70 {
		return d
	}
	return smin(d, b.bareTrunk(p), 14)
}

// bareTrunk is trunk and arms without clothes.
func (b *body) bareTrunk(p vec) float64 { return smin(b.torso(p), b.bareArm(p), 16) }

// box is the smallest box round pts with a margin m.
func box(m float64, pts ...vec) (lo, hi vec) {
	lo, hi = vec{1e9, 1e9, 1e9}, vec{-1e9, -1e9, -1e9}
	for _, p := range pts {
		lo = vec{min(lo.X, p.X), min(lo.Y, p.Y), min(lo.Z, p.Z)}
		hi = vec{max(hi.X, p.X), max(hi.Y, p.Y), max(hi.Z, p.Z)}
	}
	g := vec{m, m, m}
	return lo.sub(g), hi.add(g)
}

// put extracts f in the box lo, hi with cells of c.
func (o *builder) put(f field, lo, hi vec, c float64, part func(vec, float32) Part) {
	st := func(float64) float64 { return c }
	// a margin of one cell, so that no surface is cut by the grid
	m := vec{c, c, c}
	lo, hi = lo.sub(m), hi.add(m)
	o.add(extract(f, axis(lo.X, hi.X, st), axis(lo.Y, hi.Y, st), axis(lo.Z, hi.Z, st), 2.2), part)
}

// add draws trunk, limbs and clothes; it returns the vertices that a tilt about the hips leaves
// where they are.
func (b *body) add(o *builder) span {
	P, g := b.h.P, b.h.g
	y := b.base
	lo, hi := box(85, b.sh[0], b.sh[1], b.el[0], b.el[1], b.wr[0], b.wr[1], b.pelvis, vec{0, y, 110}, vec{0, y, -180},
		vec{0, y + 60, 0})
	if w := b.pelvis.Y - 150; lo.Y > w {
		lo.Y = w
	}
	lo.X, hi.X = min(lo.X, -P.HipBreadth*0.62), max(hi.X, P.HipBreadth*0.62)
	switch P.Clothes {
	case Jumper:
		o.put(func(p vec) float64 { return b.crew(p, b.jumper(p, 5)) }, lo, hi, g.trunk, as(Cloth))
		if !g.plain {
			b.addBand(o, Cloth)
		}
	case TShirt:
		o.put(func(p vec) float64 { return b.crew(p, b.tee(p)) }, lo, hi, g.trunk, as(Cloth))
		if !g.plain {
			b.addBand(o, Cloth)
		}
		l3, h3 := box(60, b.sh[0], b.sh[1], b.el[0], b.el[1], b.wr[0], b.wr[1])
		o.put(b.bareArm, l3, h3, g.arm, as(Skin))
	case Shirt:
		if g.plain {
			o.put(b.shirt, lo, hi, g.trunk, as(ShirtCloth))
			break
		}
		o.put(b.shirt, lo, hi, g.trunk, as(ShirtCloth))
		c := vec{0, y + 18, -34}
		o.put(b.collar, c.sub(vec{120, 75, 130}), c.add(vec{120, 85, 130}), g.fine, as(ShirtCloth))
	case Coat, Jacket:
		lo.Y = min(lo.Y, b.coatHem()-50)
		if g.plain {
			o.put(b.coat, lo, hi, g.trunk, func(c vec, _ float32) Part {
				if b.veeEdge(c) < -3 {
					return ShirtCloth
				}
				return Cloth
			})
			break
		}
		o.put(b.coat, lo, hi, g.trunk, as(Cloth))
		o.put(b.lapels, vec{-160, y - 280, -170}, vec{160, y + 80, 140}, g.fine, as(Cloth))
		b.addBand(o, ShirtCloth)
		l2, h2 := box(20, vec{-150, y - 360, 0}, vec{150, y + 40, 80}, vec{0, y, -130})
		o.put(func(p vec) float64 { // the coat hides the back
			return smax(smax(b.front(p), y-340-p.Y, 4), -62-p.Z, 4)
		}, l2, h2, g.trunk*0.8, as(ShirtCloth))
	case Dress:
		low := vec{0, min(b.kn[0].Y-60, b.seatY), 0}
		l2, h2 := box(60, b.sh[0], b.sh[1], b.kn[0], b.kn[1], b.pelvis, vec{240 * b.hipK, y, 110},
			vec{-240 * b.hipK, y, -250}, vec{0, y + 50, 180}, low, b.kn[0].add(vec{20, 0, 50}),
			b.kn[1].add(vec{-20, 0, 50}))
		o.put(b.dress, l2, h2, g.trunk, as(Cloth))
		l3, h3 := box(60, b.sh[0], b.sh[1], b.el[0], b.el[1], b.wr[0], b.wr[1])
		o.put(b.bareArm, l3, h3, g.arm, as(Skin))
	case Bare:
		cut := y - 100
		o.put(func(p vec) float64 { return smin(b.bareTrunk(p), b.h.bust(p), 14) }, lo, vec{hi.X, min(hi.Y, cut+6),
			hi.Z}, lerp(g.arm, g.trunk, 0.5), as(Skin))
	}
	s := b.handScale()
	for i := range b.wr {
		f := b.handFrame(i)
		l, u := box(25, f.out(vec{-60, -40, -70}), f.out(vec{70, 200, 30}), f.out(vec{70, -40, 30}),
			f.out(vec{-60, 200, -70}))
		o.put(func(p vec) float64 { return b.hand(f.in(p), s, &b.hold[i]) }, l, u, g.hand, as(Skin))
	}
	legs := span{from: len(o.pos)}
	leg := func(f field, m Part) {
		l, u := box(130, b.hip[0], b.hip[1], b.kn[0], b.kn[1], b.an[0], b.an[1], b.pelvis)
		o.put(f, l, u, g.leg, as(m))
	}
	if P.Clothes == Dress {
		leg(b.bareLeg, Skin)
	} else {
		leg(b.trousers, Trousers)
	}
	for i, a := range b.an {
		l, u := box(70, a, a.add(vec{side(i) * 24, -40, 175}), a.add(vec{0, 20, -20}))
		l.Y = a.Y - ankleShare*b.S - 8
		o.put(func(p vec) float64 { return b.shoes(p) }, l, u, g.shoe, as(Shoe))
	}
	legs.to = len(o.pos)
	return legs
}

// addBand draws the band round the neck of what is made of m.
func (b *body) addBand(o *builder, m Part) {
	c := vec{0, b.base + 18, -34}
	o.put(b.band, c.sub(vec{100, 70, 100}), c.add(vec{100, 70, 100}), b.h.g.fine, as(m))
}

// shirt is the shirt's body.
func (b *body) shirt(p vec) float64 {
	if b.h.g.plain {
		return b.crew(p, b.jumper(p, 3))
	}
	return b.nape(p, b.neckHole(p, b.placket(p, b.jumper(p, 3))))
}

// outer is what a light meets at the trunk.
func (b *body) outer(p vec) float64 {
	switch b.h.P.Clothes {
	case Jumper:
		return min(b.crew(p, b.jumper(p, 5)), b.band(p))
	case Shirt:
		return b.shirt(p)
	case TShirt:
		return min(b.bareArm(p), min(b.crew(p, b.tee(p)), b.band(p)))
	case Coat, Jacket:
		if b.h.g.plain {
			return b.coat(p)
		}
		return min(b.coat(p), min(b.lapels(p), b.front(p)))
	case Dress:
		return min(b.bareBust(p), b.dress(p))
	}
	return b.bareBust(p)
}
