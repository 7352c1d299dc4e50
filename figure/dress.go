package figure

import "math"

// dress has a round neck, short sleeves, a fitted waist and a skirt to the knee.
func (b *body) dress(p vec) float64 {
	d := smin(b.torso(p), b.sleeve(p), 34)
	if b.h.P.Pose == Seated {
		d = smin(d, b.lap(p), 40)
	} else {
		d = smin(d, b.skirt(p), 30)
	}
	if d > 40 {
		return d - 4
	}
	d -= 4 + b.folds(p, lerp(0.4, 0.55, smooth(b.base-400, b.base-300, p.Y)), 1)
	if b.h.P.Pose == Seated {
		d = smax(d, b.underSeat(p), 10)
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
		m := cone(p, b.sh[i].add(vec{0, -24, 0}), b.el[i], 48*b.limb, 41*b.limb)
		ax := b.el[i].sub(b.sh[i]).unit()
		m = smax(m, p.sub(b.sh[i]).dot(ax)-0.10*b.S, 5)
		d = min(d, m)
	}
	return d
}

// skirt hangs from the hips in pleats that deepen to the hem.
func (b *body) skirt(p vec) float64 {
	top, hem := b.pelvis.Y+70, b.kn[0].Y-30
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
	return smax(d, max(p.Y-top, hem-p.Y), 8)
}

// lap is the skirt of a seated sitter: both thighs in one, ending at the knee with a short fall.
func (b *body) lap(p vec) float64 {
	a := p.abs()
	l := b.limb
	d := cone(a, b.hip[0], b.kn[0], 84*l, 68*l)
	mid0, mid1 := b.hip[0], b.kn[0]
	mid0.X, mid1.X = 0, 0
	d = smin(d, cone(p, mid0, mid1.add(vec{0, 8, -8}), 82*l, 54*l), 70)
	d = smin(d, ellipsoid(p, b.pelvis, vec{170 * b.hipK, 105, 112}), 50)
	d = smax(d, p.Z-b.kn[0].Z-62, 7)
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
		if b.h.P.Pose == Seated {
			back = vec{0, 0.1, -1}
		}
		m = smin(m, ball2(p, calf.add(back.mul(14)), kn.lerp(an, 0.45).add(back.mul(10)), 44*l), 34)
		d = min(d, m)
	}
	if b.h.P.Pose == Seated {
		d = smax(d, b.underSeat(p)+3, 8)
	}
	return d
}
