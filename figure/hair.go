package figure

import "math"

// hairline is a signed distance along the scalp, positive where hair grows.
func (h *head) hairline(p vec) float64 {
	a := math.Hypot(p.X, 9) - 3 // no crease on the midline
	zs := h.sz
	front := 0.62*p.Y - 0.78*p.Z/zs + 15 - (h.top-114)*0.62
	front -= 5 * smooth(22, 42, a) * smooth(66, 50, a) * smooth(30, 60, p.Y) // temple corner
	front += 2 * math.Sin(a/9+1)
	front = smin(front, 0.5*(p.Y+20)+0.35*(10-p.Z)+12, 8) // sideburn foot
	ear := math.Hypot(p.Y+14, (p.Z+9)*1.0) - 29
	if a < 45 {
		ear = 50
	}
	m := smin(front, ear, 10)
	nape := p.Y + 66 + 0.25*(p.Z+60) - 0.06*a
	return smin(m, nape, 8)
}

// hairMass is the outer form of the cut, without strands, pressed flat under a hat.
func (h *head) hairMass(p vec) float64 {
	d := h.cut(p)
	if h.P.Hat != NoHat && d < 1e2 {
		d = smax(d, h.skull(p)-lerp(3, 60, smooth(4, -16, h.hatLine(p))), 6)
	}
	return d
}

// longEnd is the height at which long hair ends, under the shoulders.
func (h *head) longEnd() float64 { return h.menton - 150 }

// longMass is long hair, parted at the side, over the back and the shoulders.
func (h *head) longMass(p vec, sk, m float64) float64 {
	top := sk + 2.5 - (14+2.5)*smooth(-3, 30, m+4)
	a := math.Abs(p.X)
	low := smooth(-30, h.menton-70, p.Y)
	cx := h.P.HeadBreadth/2 + lerp(18, 26, low) - 10*smooth(h.menton-60, h.longEnd(), p.Y)
	zc := lerp(-22, -62, low) * h.sz
	rz := lerp(98, 62, low) * h.sz
	y := max(0, p.Y+18) / 112
	s := math.Sqrt(p.X*p.X/(cx*cx) + y*y + (p.Z-zc)*(p.Z-zc)/(rz*rz))
	cur := (s - 1) * 70
	if cur < 30 {
		cur -= 3.5*noise(vec{p.X / 17, p.Y / 90, p.Z / 17}) + 2*math.Sin(p.Y/19+p.X/30)*low
	}
	end := h.longEnd() + 14*noise(vec{p.X / 16, 3, p.Z / 16}) - 12*(1-math.Abs(p.X)/cx)
	cur = smax(cur, end-p.Y, 10)
	fr := p.Z - lerp(26, 58, smooth(0, 90, p.Y)) - 0.10*(p.Y+40)*smooth(0, -60, p.Y) + 26*low
	cur = smax(cur, fr, 22)
	cur = smax(cur, (44-a)+0.9*(p.Z+25), 10) // open before throat and face
	return smin(top, cur, lerp(8, 26, smooth(-20, 30, p.Y)))
}

// shaved lays hairs of two millimetres all over the scalp.
func (h *head) shaved(b *builder) {
	w := 1.0
	if !h.g.lashes {
		w = 2.6
	}
	h.scatter(b, 7*h.g.edge, func(p vec) bool {
		return p.Y > -70 && h.hairline(p) > 2-5*b.rng.float() && !(math.Abs(p.X) > 70 && p.Y < 20 && p.Z > -36)
	}, func(p, n vec) {
		d := h.hairDir(p).add(vec{b.rng.float() - 0.5, b.rng.float() - 0.5, b.rng.float() - 0.5})
		h.hairlet(b, p, n, d, lerp(1.6, 3, b.rng.float()), w, 0.2)
	})
}

// cut is the form of each cut.
func (h *head) cut(p vec) float64 {
	sk := smin(h.skull(p), h.neck(p, vec{math.Abs(p.X), p.Y, p.Z}), 20)
	m := h.hairline(p)
	a := math.Abs(p.X)
	switch h.P.Hair {
	case Short:
		t := lerp(7, 21, smooth(25, 95, p.Y+0.25*p.Z))
		t = lerp(t, lerp(3.5, 11, smooth(-50, 30, p.Y)), smooth(-30, -80, p.Z)*smooth(80, 20, p.Y))
		t += bump(p, vec{8, h.top - 26, 66 * h.sz}, vec{62, 36, 46}, 13) // front lift
		t -= bump(p, vec{-36, h.top - 10, 20}, vec{11, 40, 70}, 7)       // the parting
		t += bump(p, vec{30, h.top - 14, 10}, vec{50, 40, 80}, 5)        // swept over
		return sk + 2.5 - (t+2.5)*smooth(-4, 20, m)
	case TiedBack:
		t := 8 + 4*smooth(40, 90, p.Y)
		d := sk + 2.5 - (t+2.5)*smooth(-3, 36, m)
		bun := ellipsoid(p, vec{0, 34, h.occ - 22}, vec{34, 32, 27})
		bun = smin(bun, cone(p, vec{0, 34, h.occ + 4}, vec{0, 34, h.occ - 10}, 20, 17), 8)
		return smin(d, bun, 9)
	case Shaved: // hairs alone are drawn; this is where they end
		return sk + 2.5 - 3.5*smooth(-4, 20, m)
	case Curly:
		t := lerp(24, 38, smooth(0, 95, p.Y+0.2*p.Z))
		t *= 0.45 + 0.55*smooth(-70, 0, p.Y)
		t += 4.5 * noise(p.mul(1.0/22)) * smooth(2, 24, m)
		return sk + 2.5 - (t+2.5)*smooth(-4, 34, m)
	case Long:
		return h.longMass(p, sk, m)
	case Bob:
		t := 13.0
		top := sk + 2.5 - (t+2.5)*smooth(-3, 30, m+4)
		cx := h.P.HeadBreadth/2 + 20
		y0 := -18.0
		x, y, z := p.X/cx, (p.Y-y0)/112, (p.Z+20*h.sz)/(104*h.sz)
		if p.Y < y0 {
			y *= 0.55 // falls straight below the ears
		}
		s := math.Sqrt(x*x + y*y + z*z)
		cur := (s - 1) * 78
		edge := h.menton + 24 + 0.10*p.Z // lower edge, a little longer in front
		cur = smax(cur, edge-p.Y, 7)
		fr := p.Z - lerp(30, 58, smooth(0, 90, p.Y)) - 0.10*(p.Y+40)*smooth(0, -60, p.Y)
		cur = smax(cur, fr, 26)
		cur = smax(cur, (46-a)+0.9*(p.Z+25), 10) // open in front of throat and face
		return smin(top, cur, lerp(8, 26, smooth(-20, 30, p.Y)))
	}
	return 1e3
}

// hairDir is the way the hair lies, not yet made tangent to the surface.
func (h *head) hairDir(p vec) vec {
	switch h.P.Hair {
	case TiedBack:
		tie := vec{0, 34, h.occ - 8}
		q := p.sub(tie)
		if p.Z < h.occ-6 { // round the bun
			c := p.sub(vec{0, 34, h.occ - 22})
			return vec{-c.Y, c.X, 0.5 * c.X}
		}
		return q.mul(-1)
	case Curly:
		q := p.mul(1.0 / 13)
		out := vec{p.X, p.Y - 20, p.Z + 10}.unit()
		return vec{noise(q), noise(q.add(vec{31, 7, 3})) - 0.35, noise(q.add(vec{5, 17,
			41}))}.mul(1.6).add(out.mul(0.2))
	case Bob, Long:
		s := 1.0
		if p.X < -14 {
			s = -1
		}
		w := smooth(35, 75, p.Y) * smooth(0, 50, p.Z)
		return vec{s * (1.1*smooth(50, 100, p.Y) + 1.3*w), -1 + 0.75*w, -0.9 * w}
	default:
		whorl := vec{-12, h.top - 14, -58}
		q := p.sub(whorl)
		out := vec{q.X, q.Y, q.Z}.unit()
		side := vec{1, 0.1, 0.25}
		if p.X < -36 {
			side = vec{-0.8, -1, 0.1}
		}
		w := smooth(40, 90, p.Y) * smooth(-40, 10, p.Z)
		back := vec{0, -0.6, -0.9}
		d := out.lerp(side, 0.75*w)
		// temples and sides comb back and down
		return d.lerp(back.add(vec{0, -0.3, 0}), 0.8*smooth(50, 66, math.Abs(p.X))*(1-w))
	}
}

// fineness is 1 where the grid holds single locks and less where it does not: what it cannot hold
// would come out as blotches.
func (h *head) fineness() float64 { return 1 - 0.65*smooth(3, 5, h.g.hair) }

// locks gives the streaky relief of the mass: noise drawn out along the lie of the hair.
func (h *head) locks(p vec, d vec) float64 {
	n := 0.0
	if h.P.Hair == Curly { // coils, not combed
		return 1.4*noise(p.mul(1.0/9)) + 0.5*noise(p.mul(1.0/4.5))
	}
	for i := -3; i <= 3; i++ {
		q := p.add(d.mul(float64(i) * 4.6))
		n += noise(q.mul(1.0 / 7))
	}
	return n / 4.5
}

// relief is how deep the locks are cut, mm: less toward the hairline, so that the mass runs out
// softly.
func (h *head) relief(p vec) float64 {
	r := 1.6 * smooth(-2, 16, h.hairline(p))
	if h.P.Hair == Curly {
		r *= 2.6
	}
	if h.P.Hair == Bob || h.P.Hair == Long { // but not on the sides, which hang free
		r = max(r, 2.0*max(smooth(46, 66, math.Abs(p.X)), smooth(25, -5, p.Y)))
	}
	return r
}

func (h *head) addHair(b *builder) {
	switch h.P.Hair {
	case NoHair:
		return
	case Shaved:
		h.shaved(b)
		return
	}
	f := func(p vec) float64 {
		d := h.hairMass(p)
		if math.Abs(d) > 6 {
			return d
		}
		dir := h.hairDir(p).unit()
		return d - h.fineness()*h.relief(p)*h.locks(p, dir)
	}
	c := h.g.hair
	st := func(float64) float64 { return c }
	y0 := h.menton + 20
	wide, back := 108.0, h.occ-58
	switch h.P.Hair {
	case Bob:
		y0 = h.menton + 5
	case Long:
		y0, wide = h.longEnd()-30, 124
	case Curly:
		wide = 128
	}
	s := extract(f, axis(-wide, wide, st), axis(y0, h.top+52, st), axis(back, 118*h.sz, st), 3.4)
	for i, p := range s.pos {
		n := s.nrm[i]
		d := h.hairDir(p)
		d = d.sub(n.mul(d.dot(n))).unit()
		s.tan[i] = d
		s.tone[i] = float32(clamp(0.5+0.9*h.fineness()*h.locks(p.mul(1.6), d), 0, 1))
	}
	// drop what lies inside the head
	keep := s.tri[:0]
	for _, t := range s.tri {
		in := true
		for _, v := range t {
			if h.bust(s.pos[v]) > -2.5 && (h.P.Hair != Short && s.pos[v].Z < 45 || h.hairline(s.pos[v]) > -9 ||
				s.pos[v].Y > 66) {
				in = false
			}
		}
		if !in {
			keep = append(keep, t)
		}
	}
	s.tri = keep
	b.add(s, as(HairStrand))
	// Combed locks lie over the mass as thin ribbons, each with its own lightness: they carry the
	// sheen in streaks. A few stand off, so that the outline breaks and takes the rim.
	for i := 0; i < h.g.locks && len(s.tri) > 0; i++ {
		p := s.pos[s.tri[b.rng.below(len(s.tri))][0]]
		stray := h.g.lashes && i%14 == 0 // from afar they are finer than a pixel
		if h.bust(p) < 0.5 {
			continue
		}
		h.lock(b, p, stray)
	}
	h.edgeHair(b)
}

// lock lays one lock from p along the lie of the hair.
func (h *head) lock(b *builder, p vec, stray bool) {
	L := lerp(18, 34, b.rng.float())
	switch h.P.Hair {
	case Bob:
		L *= 1.8
	case Long:
		L *= 2.6
	}
	// lower than a lock is wide, or it would throw a black shadow beside itself
	off, wild := lerp(0.3, 0.7, b.rng.float()), 0.08
	if h.P.Hair == Curly {
		off, wild = lerp(0.5, 3.5, b.rng.float()), 0.5
	}
	if stray {
		off, wild = lerp(2, 5, b.rng.float()), 0.30
	}
	jit := vec{b.rng.float() - 0.5, b.rng.float() - 0.5, b.rng.float() - 0.5}.mul(2 * wild)
	// p may be anywhere along it, as far as hair grows and lies the same way: so that partings and
	// hairlines are covered too
	way := h.hairDir(p).unit()
	if q := p.sub(way.mul(L * b.rng.float())); h.hairline(q) > -1 && h.hairDir(q).unit().dot(way) > 0.5 {
		if d, g := h.hairMass(q), gradient(h.hairMass, q, 1.5); math.Abs(d) < 12 && g.len() > 0.5 {
			p = q.sub(g.mul(d / g.dot(g)))
		}
	}
	const segs = 5
	var pts, nrm []vec
	for k := 0; k <= segs; k++ {
		d := h.hairMass(p)
		nn := gradient(h.hairMass, p, 1.5)
		l := nn.len()
		if l < 0.2 {
			break
		}
		nn = nn.mul(1 / l)
		u := float64(k) / segs
		dir := h.hairDir(p).unit()
		want := off*math.Sin(lerp(0.15, 0.96, u)*math.Pi) - 0.25 + h.fineness()*h.relief(p)*h.locks(p, dir)
		if stray {
			want = off*u - 0.4 + h.fineness()*h.relief(p)*h.locks(p, dir)
		}
		p = p.add(nn.mul(clamp(want-d/l, -4, 4)))
		pts, nrm = append(pts, p), append(nrm, nn)
		dir = dir.add(jit)
		dir = dir.sub(nn.mul(dir.dot(nn))).unit()
		p = p.add(dir.mul(L / segs))
	}
	if len(pts) < 4 {
		return
	}
	from := len(b.tone)
	if stray {
		strand(b, HairStrand, pts, 0.35, 0.1)
	} else {
		ribbon(b, HairStrand, pts, nrm, h.g.lockWidth*lerp(0.6, 1.5, b.rng.float()))
	}
	b.toned(from, float32(0.5-0.5*h.fineness()*b.rng.float()))
}

// toned sets the lightness of the vertices made since from.
func (b *builder) toned(from int, tone float32) {
	for j := from; j < len(b.tone); j++ {
		b.tone[j] = tone
	}
}

// edgeHair grows fine hairs along the hairline, so that the mass does not end like a cap.
func (h *head) edgeHair(b *builder) {
	for i, made := 0, 0; i < 60000 && made < h.g.edge; i++ {
		// a random ray from inside the skull
		z, ph := b.rng.float()*1.6-0.6, b.rng.float()*2*math.Pi
		r := math.Sqrt(max(0, 1-z*z))
		d := vec{r * math.Cos(ph), z, r * math.Sin(ph)}
		c := vec{0, h.top - 95, -5}
		p := c.add(vec{d.X * 110, d.Y * 130, d.Z * 140})
		m := h.hairline(c.add(vec{d.X * h.P.HeadBreadth / 2, d.Y * 92, d.Z * 97 * h.sz}))
		if m < -12 || m > 12 {
			continue
		}
		p, n := h.onSkin(p, d.mul(-1))
		m = h.hairline(p)
		lim := -1.0 - 6*b.rng.float()*b.rng.float()
		if m < lim || m > 6 || math.Abs(h.bust(p)) > 0.3 || (math.Abs(p.X) > 76*h.P.HeadBreadth/153 && p.Y < 30 &&
			p.Z > -40) {
			continue
		}
		made++
		dir := h.hairDir(p).unit().add(vec{b.rng.float() - 0.5, b.rng.float() - 0.5, b.rng.float() - 0.5}.mul(0.4))
		dir = dir.sub(n.mul(dir.dot(n))).unit()
		L := lerp(6, 14, b.rng.float())
		var pts, nrm []vec
		for k := 0; k <= 4; k++ {
			u := float64(k) / 4
			q := p.add(dir.mul(L * u)).add(n.mul(L * 0.10 * u))
			if dd := h.bust(q); k > 0 && dd < 0.3 {
				q = q.add(n.mul(0.45 - dd))
			}
			pts, nrm = append(pts, q), append(nrm, n)
		}
		from := len(b.tone)
		if h.g.lashes {
			strand(b, HairStrand, pts, 0.3, 0.08)
		} else {
			ribbon(b, HairStrand, pts, nrm, 0.5*h.g.lockWidth)
		}
		b.toned(from, float32(0.75+0.25*b.rng.float()))
	}
}
