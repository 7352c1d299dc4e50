package figure

import "math"

// leg is both legs without clothes, plain.
func (b *body) leg(p vec) float64 {
	l := b.limb
	d := math.Inf(1)
	for i := range b.hip {
		m := cone(p, b.hip[i], b.kn[i], 77*l, 56*l)
		m = smin(m, cone(p, b.kn[i], b.an[i], 56*l, 47*l), 12)
		d = min(d, m)
	}
	return d
}

func (b *body) trousers(p vec) float64 {
	d := smin(b.leg(p), ellipsoid(p, b.pelvis.add(vec{0, 10, 0}), vec{162 * b.hipK, 105, 110 * (1 + 0.08*b.h.P.Girth)}),
		40)
	if d > 40 {
		return d
	}
	n := 3 * noise(vec{p.X / 70, p.Y / 140, p.Z / 70})
	for i := range b.kn {
		f := float64(i)
		ax := b.hip[i].sub(b.an[i]).unit()
		bend := 1 - b.hip[i].sub(b.kn[i]).unit().dot(b.kn[i].sub(b.an[i]).unit())
		e := p.sub(b.kn[i])
		if L := e.len(); L < 150 {
			n += (1 - L/150) * (2 + 3.5*bend) * ridge(noise(vec{(e.dot(ax) + 0.4*e.X) / 40, e.X / 60, e.Z/70 + f}))
		}
		e = p.sub(b.hip[i])
		if L := e.len(); L < 170 {
			n += (1 - L/170) * 4.5 * ridge(noise(vec{e.X / 80, (e.Y + e.Z) / 34, f}))
		}
		e = p.sub(b.an[i])
		if L := e.len(); L < 130 {
			n += (1 - L/130) * 4.5 * ridge(noise(vec{(e.Y + 0.3*e.X) / 32, e.X / 60, e.Z/60 + f}))
		}
	}
	stand := 1.0
	if b.h.P.Pose == Seated {
		stand = 0.6
	}
	d -= lerp(6+n, 0, smooth(b.pelvis.Y-60, b.pelvis.Y, p.Y)*stand)
	waist := p.Y - b.pelvis.Y - 60
	if b.h.P.Pose == Seated {
		waist -= 1.3 * max(0, p.Z-b.pelvis.Z-70) // thighs may rise over the waist on a low seat
		d = smax(d, b.underSeat(p), 12)
	}
	return smax(d, waist, 6)
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
		s := side(i)
		fl := a.Y - ankleShare*b.S
		if q := p.sub(a); q.len() > 330 {
			d = min(d, q.len()-230)
			continue
		}
		heel := vec{a.X, fl + 36, a.Z - 14}
		ballF := vec{a.X + s*16, fl + 27, a.Z + 112*k}
		toe := vec{a.X + s*22, fl + 24, a.Z + 166*k}
		m := cone(p, heel, ballF, 34, 37*k)
		m = smin(m, cone(p, ballF, toe, 36*k, 27*k), 12)
		m = smin(m, cone(p, a, vec{a.X + s*8, fl + 48, a.Z + 58}, 38, 30), 30)
		// sole with a heel
		sole := max(m-2.5, max(p.Y-(fl+15), fl-p.Y))
		m = smin(smax(m, fl+10-p.Y, 3), sole, 2)
		d = min(d, m)
	}
	return d
}

// legOuter is what a light meets at the legs.
func (b *body) legOuter(p vec) float64 {
	if b.h.P.Clothes == Dress {
		return min(b.bareLeg(p), b.dress(p))
	}
	d := b.trousers(p)
	if b.h.P.Clothes == Coat {
		d = min(d, b.coat(p))
	}
	return d
}
