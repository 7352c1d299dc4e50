package figure

import "math"

// folds: creases pulled from the armpit, bunching at the elbow, long slow hanging folds elsewhere;
// waist is the share of what gathers there. Positive lifts the cloth.
func (b *body) folds(p vec, heavy, waist float64) float64 {
	n := 2.2 * noise(vec{p.X / 80, p.Y / 150, p.Z / 80})
	for i := range b.sh {
		s, f := side(i), float64(i)*7.3
		up, down := b.sh[i].sub(b.el[i]).unit(), b.el[i].sub(b.wr[i]).unit()
		bend := 1 - up.dot(down)
		raised := 1 + up.Y*-1 // 0 hanging straight
		// fan from the armpit over chest and back
		r := p.sub(b.sh[i].add(vec{-s * 30, -92, 6}))
		if L := r.len(); L < 230 && L > 1 {
			c := vec{s * r.X / L * 1.9, r.Y / L * 1.9, L/260 + f}
			n += (1 - L/230) * smooth(35, 110, L) * (4.6 + 3*clamp(raised, 0, 1)) * ridge(noise(c))
		}
		// along the sleeve: slanted rings, gathered at the elbow and deepest inside its bend
		e := p.sub(b.el[i])
		if L := e.len(); L < 185 {
			t := e.dot(up.add(down).unit())
			in := clamp(e.dot(up.sub(down))/60, -1, 1) // towards the inside of the bend
			a := (1 - L/185) * (2.4 + 6.5*bend*(1+0.6*in))
			n += a * (ridge(noise(vec{(t + 0.45*e.X*s + 0.3*e.Z) / 34, e.X / 70, e.Z/70 + f})) - 0.3)
		}
		// pushed up over the cuff
		e = p.sub(b.wr[i])
		if t := e.dot(down); t < 130 && t > -40 && e.len() < 150 {
			n += smooth(130, 10, t) * 2.6 * ridge(noise(vec{(t + 0.3*e.X) / 26, e.X / 65, e.Z/65 + f}))
		}
	}
	// at the waist what is too long gathers aslant; under the chest it hangs in long slow folds
	q := b.rest(p)
	w := smooth(b.base-250*b.u, b.base-420*b.u, q.Y)
	n += waist * w * 4.2 * ridge(noise(vec{(q.X + 0.6*q.Y) / 105, q.Y / 52, q.Z / 120}))
	n += waist * smooth(b.base-140*b.u, b.base-330*b.u, q.Y) * 3.4 * noise(vec{q.X/48 + 0.3, q.Y / 330, q.Z / 60})
	return n * heavy
}

// ridge makes a sharp crest of a noise.
func ridge(n float64) float64 { return 1 - 2.8*(math.Sqrt(n*n+0.012)-0.05) }

// cover is trunk and sleeves joined, before thickness; flare widens the hem, not the cuffs.
func (b *body) cover(p vec, cuff, join, flare float64) float64 {
	r := b.rest(p)
	q := r
	q.Y = max(q.Y, b.pelvis.Y+8) // below the widest of the hips it hangs straight
	t := b.straight(q)
	if t < 120 {
		t = smin(t, b.yoke(r), 44)
		t -= flare * smooth(b.pelvis.Y+80, b.pelvis.Y-60, r.Y)
		if r.Y < b.pelvis.Y+60 && !b.sits() {
			t = smin(t, b.leg(b.chest.ap(p))-3, 40)
		}
		t = b.pocketed(p, t)
	}
	// sleeves run into the shoulder, but part from the trunk below the armpit
	k := lerp(join, 50, smooth(b.sh[0].Y-160, b.sh[0].Y-30, p.Y))
	return smin(t, b.arm(p, cuff), k)
}

// pocketed is the cloth over hands in pockets.
func (b *body) pocketed(p vec, d float64) float64 {
	if b.h.P.Hands != InPockets {
		return d
	}
	for i := range b.wr {
		f := b.hold[i].along.unit()
		d = smin(d, cone(p, b.wr[i].add(f.mul(30)), b.wr[i].add(f.mul(120)), 40*b.limb, 34*b.limb), 30)
	}
	return d
}

// yoke is what cloth bridges: from shoulder to shoulder over the hollow before the armpit, and from
// the fullest of the chest down towards the waist, so that a clothed chest is no egg between two
// arms.
func (b *body) yoke(p vec) float64 {
	y, u := b.base, b.u
	o := vec{0, y, -52}
	p = p.sub(o).mul(1 / u).add(o)
	sh := b.sh[0].sub(o).mul(1 / u).add(o)
	k, c, l := b.k/u, b.c/u, b.limb/u
	a := vec{math.Hypot(p.X, 40), p.Y, p.Z} // no crease on the midline
	d := cone(a, vec{20, y - 92, -42 + 22*(c-1)}, vec{sh.X - 40, sh.Y - 48, -44}, 78*c, 44*l)
	// across the front of the armpit
	d = smin(d, cone(p.abs(), vec{50, y - 116, -20 + 22*(c-1)}, vec{sh.X - 8, sh.Y - 104, -50}, 62*c, 45*l), 30)
	return u * smin(d, ellipsoid(p, vec{0, y - 285, -45}, vec{136 * k * (1 + 0.13*b.h.P.Girth), 225,
		103 * c * (1 + 0.16*b.h.P.Girth)}), 50)
}

// hem is where jumper and shirt end; on a seated sitter they bunch at the lap.
func (b *body) hem() float64 {
	if b.sits() {
		return b.pelvis.Y - 8*b.u
	}
	return b.pelvis.Y - 62*b.u
}

func (b *body) hemFlare() float64 {
	if b.sits() {
		return 6
	}
	return 8
}

// jumper is a knitted top, or a shirt's body, thick mm off the skin.
func (b *body) jumper(p vec, thick float64) float64 {
	d := b.cover(p, 2, 14, b.hemFlare())
	if d > 40 {
		return d - thick
	}
	d -= thick + b.folds(p, 1, 0.8)
	return smax(d, b.hem()-b.hang(p), 8)
}

// tee is a T-shirt: thin, with sleeves that end loose over the elbow.
func (b *body) tee(p vec) float64 {
	r := b.rest(p)
	q := r
	q.Y = max(q.Y, b.pelvis.Y+8)
	t := b.straight(q)
	if t < 120 {
		t = smin(t, b.yoke(r), 44)
		t -= 7 * smooth(b.pelvis.Y+110, b.pelvis.Y-60, r.Y)
		if r.Y < b.pelvis.Y+60 && !b.sits() {
			t = smin(t, b.leg(b.chest.ap(p))-3, 40)
		}
	}
	d := smin(t, b.sleeve(p), lerp(16, 46, smooth(b.sh[0].Y-130, b.sh[0].Y-30, p.Y)))
	if d > 40 {
		return d - 3
	}
	d -= 3 + b.folds(p, 0.85, 1.1)
	return smax(d, b.hem()-b.hang(p), 6)
}

// crew opens a neck hole; a plain mesh has the band round it in one piece.
func (b *body) crew(p vec, d float64) float64 {
	if !b.nearNeck(p) {
		return d
	}
	d = b.neckHole(p, d)
	if !b.h.g.plain {
		return d
	}
	_, _, ang := b.column(p)
	return smin(d, b.band(p), 5+12*smooth(1.4, 2.6, math.Abs(ang)))
}

// nearNeck is where a band or a hole can be.
func (b *body) nearNeck(p vec) bool {
	rho, v, _ := b.column(p)
	return rho <= 60 && v >= -60 && v <= 60
}

// band is the ribbed band round a jumper's neck: finer than the trunk's own grid, taken out by
// itself.
func (b *body) band(p vec) float64 {
	rho, v, ang := b.column(p)
	back := smooth(1.4, 2.6, math.Abs(ang))
	return math.Hypot(rho-9+3*back-0.3*max(0, -v), max(0, v-9, -9-16*back-v)) - 5.4
}

// nape raises the back of a shirt to meet its collar.
func (b *body) nape(p vec, d float64) float64 {
	rho, v, ang := b.column(p)
	back := smooth(1.4, 2.4, math.Abs(ang))
	if back == 0 || rho > 60 || v < -70 || v > 40 {
		return d
	}
	band := math.Hypot(rho-6, max(0, v-4, -26-v)) - 5
	return lerp(d, smin(d, band, 20), back)
}

// neckHole is a pit round the neck, without a band.
func (b *body) neckHole(p vec, d float64) float64 {
	if b.h.g.plain {
		return d
	}
	rho, v, ang := b.column(p)
	if rho > 40 {
		return d
	}
	floor := lerp(3, -40, smooth(2.0, 1.0, math.Abs(ang))) // the leaning neck would come out of the back
	return smax(d, -max(rho-5.5, floor-v), 3)
}

// collar of a shirt: stand and turned-down leaf with points, open at the throat.
func (b *body) collar(p vec) float64 {
	rho, v, ang := b.column(p)
	fa := math.Abs(ang)
	stand := max(math.Abs(rho-6)-2.4, math.Abs(v-12)-22)
	stand = smax(stand, (0.14+0.010*max(0, v))*60-fa*60, 2)
	pt := smooth(1.15, 0.35, fa) // toward the points
	back := smooth(1.2, 2.2, fa)
	low := lerp(-4-14*back, -30, pt*pt)
	top := 33.0 - 5*smooth(1.2, 0.2, fa)
	t := (top - v) / 40
	leaf := max(math.Abs(rho-(9+(17-7*back)*max(0, t)*(1-0.45*back*max(0, t))+4*pt*max(0, t)))-2.5, max(low-v, v-top))
	leaf = smax(leaf, (0.16+0.30*max(0, t)*max(0, t))*60-fa*60, 2)
	d := smin(stand, leaf, 1.5)
	// fold at the top
	fold := math.Hypot(rho-7.5, v-top) - 2.6
	fold = smax(fold, 0.17*60-fa*60, 2)
	return smin(d, fold, 2)
}

// placket is the buttoned strip down a shirt's front, with its buttons.
func (b *body) placket(p vec, d float64) float64 {
	if p.Z < 0 || math.Abs(p.X) > 26 || p.Y > b.base-10 {
		return d
	}
	d -= 1.4 * smooth(17, 14, math.Abs(p.X))
	t := math.Mod(b.base-38-p.Y, 82)
	if p.Y < b.base-30 && t > 0 {
		r := math.Hypot(p.X, t-12)
		d -= 1.6 * smooth(6, 4.4, r)
	}
	return d
}
