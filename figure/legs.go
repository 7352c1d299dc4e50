package figure

import "math"

// leg is both legs without clothes, plain.
func (b *body) leg(p vec) float64 {
	l := b.limb
	d := math.Inf(1)
	for i := range b.hip {
		m := cone(p, b.hip[i], b.kn[i], 76*l, 55*l)
		m = smin(m, cone(p, b.kn[i], b.an[i].add(vec{0, -16, 0}), 53*l, 46*l+4), 14)
		// calf: cloth hangs from it to the heel
		m = smin(m, cone(p, b.kn[i].lerp(b.an[i], 0.3).add(vec{0, 0, -10}), b.an[i].add(vec{0, 0, -12}), 48*l, 42*l),
			24)
		d = min(d, m)
	}
	return d
}

func (b *body) trousers(p vec) float64 {
	u := b.pel.inv(p) // in the straight pelvis
	d := smin(b.leg(p), ellipsoid(u, b.pelvis.add(vec{0, 10 * b.u, 0}), vec{162 * b.hipK, 105 * b.u,
		110 * b.u * (1 + 0.08*b.h.P.Girth)}),
		40)
	if d > 40 {
		return d
	}
	n := 2.5 * noise(vec{p.X / 70, p.Y / 150, p.Z / 70})
	for i := range b.kn {
		f := float64(i)
		up, down := b.hip[i].sub(b.kn[i]).unit(), b.kn[i].sub(b.an[i]).unit()
		bend := 1 - up.dot(down)
		// behind the knee and over it: short folds across, deeper the more it bends
		e := p.sub(b.kn[i])
		if L := e.len(); L < 170 {
			t := e.dot(up.add(down).unit())
			n += (1 - L/170) * (2.5 + 6*bend) * ridge(noise(vec{(t + 0.5*e.X) / 46, e.X / 75, e.Z/85 + f}))
		}
		// from the crotch, fanning over the thigh
		e = p.sub(b.hip[i].add(vec{-side(i) * 60, -40, 30}))
		if L := e.len(); L < 210 && L > 1 {
			n += (1 - L/210) * smooth(20, 90, L) * 5.5 * ridge(noise(vec{2.2 * e.X / L, 2.2 * e.Y / L, L/260 + f}))
		}
		// the break over the shoe
		e = p.sub(b.an[i].add(down.mul(20)))
		if t := e.dot(down); t < 190 && e.len() < 260 {
			n += smooth(190, 20, t) * 6.5 * ridge(noise(vec{(t + 0.45*e.X + 0.25*e.Z) / 42, e.X / 80, e.Z/80 + f}))
		}
	}
	stand := 1.0
	if b.sits() {
		stand = 0.45
	}
	d -= lerp(6+n, -7, smooth(b.cover0(), b.cover0()+50*b.u, u.Y)*stand)
	waist := u.Y - b.pelvis.Y - 60*b.u
	if b.sits() {
		waist -= 1.3 * max(0, u.Z-b.pelvis.Z-70) // thighs may rise over the waist on a low seat
		d = smax(d, b.underSeat(p), 12)
	}
	return smax(d, waist, 6)
}

// cover0 is the height of the straight trunk from which something is worn over the trousers.
func (b *body) cover0() float64 {
	if c := b.h.P.Clothes; (c == Coat || c == Jacket) && !b.sits() {
		return b.coatHem()
	}
	return b.hem()
}

// underSeat is positive where the seat presses cloth and flesh flat: under its plane, as far
// forward as a seat reaches.
func (b *body) underSeat(p vec) float64 {
	return b.seatY - p.Y - 7*max(0, p.Z-b.hip[0].Z-130)
}

func (b *body) shoes(p vec) float64 {
	d := math.Inf(1)
	k := b.S / 1756
	for i := range b.an {
		a := b.an[i]
		if l := p.sub(a).len(); l > 330 {
			d = min(d, l-230)
			continue
		}
		// in the foot's own place: x outward, y up from the sole, z to the toes
		q := b.footIn(i, p)
		fl := -ankleShare * b.S
		heel := vec{0, fl + 36, -14}
		ballF := vec{2, fl + 27, 112 * k}
		toe := vec{3, fl + 24, 166 * k}
		m := cone(q, heel, ballF, 34, 37*k)
		m = smin(m, cone(q, ballF, toe, 36*k, 27*k), 12)
		m = smin(m, cone(q, vec{}, vec{0, fl + 48, 58}, 38, 30), 30)
		// sole with a heel
		sole := max(m-2.5, max(q.Y-(fl+15), fl-q.Y))
		m = smin(smax(m, fl+10-q.Y, 3), sole, 2)
		d = min(d, m)
	}
	return d
}

// footIn takes p to the place of foot i: its ankle at the origin, z to the toes, level on its sole,
// turned out and raised at the heel as the pose says.
func (b *body) footIn(i int, p vec) vec {
	q := p.sub(b.an[i])
	s, c := math.Sincos(side(i) * b.toe[i])
	q = vec{q.X*c - q.Z*s, q.Y, q.X*s + q.Z*c}
	if h := b.heel[i]; h != 0 {
		s, c := math.Sincos(h)
		q = vec{q.X, q.Y*c + q.Z*s, -q.Y*s + q.Z*c}
	}
	return q
}

// legOuter is what a light meets at the legs.
func (b *body) legOuter(p vec) float64 {
	if b.h.P.Clothes == Dress {
		return min(b.bareLeg(p), b.dress(b.chest.inv(p)))
	}
	d := b.trousers(p)
	if c := b.h.P.Clothes; c == Coat || c == Jacket {
		d = min(d, b.coat(b.chest.inv(p)))
	}
	return d
}
