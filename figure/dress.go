package figure

import "math"

// dress has a round neck, short sleeves, a fitted waist and a skirt to the knee.
func (b *body) dress(p vec) float64 {
	d := smin(b.torso(p), b.sleeve(p), 34)
	if b.sits() {
		d = smin(d, b.lap(b.chest.ap(p)), 40)
	} else {
		d = smin(d, b.skirt(b.rest(p)), 30)
	}
	if d > 40 {
		return d - 4
	}
	d -= 4 + b.folds(p, lerp(0.4, 0.55, smooth(b.base-400, b.base-300, p.Y)), 1)
	if b.sits() {
		d = smax(d, b.underSeat(b.chest.ap(p)), 10)
	}
	// round neck, wider than a jumper's; deep in front
	rho, v, ang := b.column(p)
	deep := 30 * smooth(1.6, 0, math.Abs(ang))
	if rho < 150 {
		d = smax(d, -max(rho-24-0.5*deep, -14-deep-v), 5)
	}
	return d
}

// sleeve is the arm down to above the elbow.
func (b *body) sleeve(p vec) float64 {
	d := math.Inf(1)
	for i := range b.sh {
		ax := b.el[i].sub(b.sh[i]).unit()
		long, wide := 0.10*b.S, 41.0
		if b.h.P.Clothes == TShirt {
			long, wide = 0.118*b.S, 52
		}
		m := cone(p, b.sh[i].add(vec{0, -24, 0}), b.el[i], 48*b.limb, wide*b.limb)
		m = smax(m, p.sub(b.sh[i]).dot(ax)-long, 4)
		d = min(d, m)
	}
	return d
}

// skirt hangs from the hips in pleats that deepen to the hem.
func (b *body) skirt(p vec) float64 {
	top, hem := b.pelvis.Y+70, b.pelvis.Y-0.27*b.S
	t := clamp((top-p.Y)/(top-hem), 0, 1)
	rx := lerp(128*b.hipK, 225*b.hipK, math.Sqrt(t)*0.55+0.45*t)
	rz := lerp(92, 190, math.Sqrt(t)*0.4+0.6*t)
	x, z := p.X/rx, (p.Z+52)/rz
	s := math.Hypot(x, z)
	d := (s - 1) * min(rx, rz)
	if d < 40 && d > -40 {
		ang := math.Atan2(x, z)
		d -= t * (7*math.Sin(9*ang+1.4*math.Sin(3*ang)) + 4*math.Sin(17*ang+1))
	}
	if d < 120 { // over the knee that stands out
		for i := range b.kn {
			d = smin(d, cone(p, b.pel.inv(b.hip[i]), b.pel.inv(b.kn[i]), 90*b.limb, 78*b.limb), 40)
		}
	}
	return smax(d, max(p.Y-top, hem-p.Y), 8)
}

// lap is the skirt of a seated sitter: both thighs in one, ending at the knee with a short fall.
func (b *body) lap(p vec) float64 {
	l := b.limb
	d := smin(cone(p, b.hip[0], b.kn[0], 84*l, 68*l), cone(p, b.hip[1], b.kn[1], 84*l, 68*l), 30)
	mid0, mid1 := b.hip[0].lerp(b.hip[1], 0.5), b.kn[0].lerp(b.kn[1], 0.5)
	d = smin(d, cone(p, mid0, mid1.add(vec{0, 8, -8}), 82*l, 54*l), 70)
	d = smin(d, ellipsoid(b.pel.inv(p), b.pelvis, vec{170 * b.hipK, 105, 112}), 50)
	d = smax(d, p.Z-max(b.kn[0].Z, b.kn[1].Z)-62, 7)
	return d
}

// bareLeg is knee, calf and ankle, with the thigh above.
func (b *body) bareLeg(p vec) float64 {
	l := b.limb
	d := math.Inf(1)
	for i := range b.hip {
		kn, an := b.kn[i], b.an[i]
		m := cone(p, b.hip[i], kn, 74*l, 52*l)
		m = smin(m, cone(p, kn, an, 50*l, 32*l), 20)
		calf := kn.lerp(an, 0.30)
		back := vec{0, 0, -1}
		if b.sits() {
			back = vec{0, 0.1, -1}
		}
		m = smin(m, ball2(p, calf.add(back.mul(14)), kn.lerp(an, 0.45).add(back.mul(10)), 44*l), 34)
		d = min(d, m)
	}
	if b.sits() {
		d = smax(d, b.underSeat(p)+3, 8)
	}
	return d
}
