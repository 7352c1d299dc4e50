package figure

import "math"

// body is trunk, limbs and clothes in drawing space, head level; a tilt about the hips turns what
// lies above them afterwards.
type body struct {
	h          *head
	S          float64 // stature
	base       float64 // height of the notch above the breast bone
	k, c, hipK float64 // breadth of shoulders, depth of chest, breadth of hips against the drawing's own
	limb       float64 // thickness of limbs against the drawing's own
	sh, el, wr [2]vec  // shoulder, elbow, wrist; left, right
	hip        [2]vec
	kn, an     [2]vec
	pelvis     vec
	seatY      float64 // height of the seat, for Seated
}

// Shares of stature from ANSUR II's means (data/ansur2.csv), the mean of both sexes: trochanterion
// 0.516, mid-patella 0.277, lateral malleolus 0.040, acromion 0.820, acromion to radiale 0.191,
// radiale to stylion 0.150, hand 0.110. The joints lie off those points of the skin by what is
// drawn here: hip joint 0.003 under the trochanter, shoulder joint 0.026 under the acromion and so
// the upper arm shorter by 0.018, ankle 0.004 over the malleolus's mark, knee at the patella's
// middle. Check: TestSegments.
const (
	hipShare, kneeShare, ankleShare, shoulderShare = 0.513, 0.277, 0.044, 0.794
	upperArmShare, forearmShare, handShare         = 0.173, 0.150, 0.110
	seatToHip                                      = 0.050 // hip joint over the seat, share of stature, drawn by eye
)

func newBody(h *head) *body {
	P := h.P
	S := float64(P.Stature) * 1000
	b := &body{h: h, S: S, base: h.menton - 80}
	b.k, b.c, b.hipK = P.Biacromial/415, P.ChestDepth/245, P.HipBreadth/345
	b.limb = (0.35 + 0.65*S/1756*lerp(1, 0.90, P.Bust)) * (1 + 0.12*P.Girth)
	lift := S - h.top // height of the eyes over the floor
	Y := func(f float64) float64 { return f*S - lift }
	b.pelvis = vec{0, Y(0.53), -52}
	for i := range b.sh {
		s := side(i)
		b.sh[i] = vec{s * (P.Biacromial/2 - 30), Y(shoulderShare), -58}
		b.hip[i] = vec{s * 86 * b.hipK, Y(hipShare), -52}
		b.kn[i] = vec{s * 88 * b.hipK, Y(kneeShare), -45}
		b.an[i] = vec{s * 82, Y(ankleShare), -75}
	}
	b.seatY = b.hip[0].Y - seatToHip*S
	if P.Pose == Seated {
		b.sit()
	}
	up, fo := upperArmShare*S, forearmShare*S
	for i, s := range []float64{1, -1} {
		var d1, d2 vec
		switch P.Pose {
		case Seated: // hands rest on the thighs, wherever the seat has put them
			t := b.hip[i].lerp(b.kn[i], 0.66)
			n := b.kn[i].sub(b.hip[i]).unit()
			over := vec{0, 1, 0}.sub(n.mul(n.Y)).unit()
			t = t.add(over.mul(70*b.limb + 22)).add(n.mul(-40)).add(vec{-s * 8, 0, 0})
			if r, ok := b.tilt(); ok { // the arm is drawn before the trunk tilts
				t = rot{{r[0].X, r[1].X, r[2].X}, {r[0].Y, r[1].Y, r[2].Y}, {r[0].Z, r[1].Z, r[2].Z}}.about(t, b.pelvis)
			}
			b.el[i] = elbow(b.sh[i], t, up, fo, vec{s * 0.75, -0.3, -0.6})
			b.wr[i] = b.el[i].add(t.sub(b.el[i]).unit().mul(fo))
			continue
		case Leaning: // arms loosely folded low, one hand over the other wrist
			d1 = vec{s * 0.24, -0.96, 0.12}
			d2 = vec{s * -0.66, -0.30 - 0.12*s, 0.62 + 0.1*s}
		default:
			d1 = vec{s * 0.15, -0.98, -0.05}
			d2 = vec{s * 0.08, -0.96, 0.26}
		}
		if P.Girth > 0 {
			d1.X += s * 0.10 * P.Girth
		}
		b.el[i] = b.sh[i].add(d1.unit().mul(up))
		b.wr[i] = b.el[i].add(d2.unit().mul(fo))
	}
	return b
}

// sit bends the legs: feet flat on the floor under the knees where the seat allows it, else hanging
// from a high stool.
func (b *body) sit() {
	S := b.S
	floor := b.floor()
	thigh := (hipShare - kneeShare) * S
	knee := floor + kneeShare*S
	rise := clamp((knee-b.hip[0].Y)/thigh, -0.55, 0.55)
	for i := range b.kn {
		s := side(i)
		out := 0.20
		d := vec{s * out, rise, 0}
		d.Z = math.Sqrt(max(0, 1-out*out-rise*rise))
		b.kn[i] = b.hip[i].add(d.mul(thigh))
		b.an[i] = b.kn[i].add(vec{0, -1, -0.06}.unit().mul((kneeShare - ankleShare) * S))
		if lo := floor + ankleShare*S; b.an[i].Y < lo {
			b.an[i].Y = lo
		}
	}
}

// elbow bends an arm of lengths a and c from the shoulder s to the wrist t, towards the pole.
func elbow(s, t vec, a, c float64, pole vec) vec {
	d := t.sub(s)
	l := clamp(d.len(), math.Abs(a-c)+1, a+c-1)
	d = d.unit()
	x := (a*a - c*c + l*l) / (2 * l)
	y := math.Sqrt(max(0, a*a-x*x))
	n := pole.sub(d.mul(pole.dot(d))).unit()
	return s.add(d.mul(x)).add(n.mul(y))
}

// floor in drawing space.
func (b *body) floor() float64 {
	if b.h.P.Pose == Seated {
		return b.seatY - float64(b.h.P.Seat)*1000
	}
	return b.h.top - b.S
}

// middle is the depth that comes over the origin: the hips.
func (b *body) middle() float64 { return -52 }

// tilt is the turn of everything above the hips.
func (b *body) tilt() (rot, bool) {
	switch b.h.P.Pose {
	case Seated:
		if b.h.P.Clothes == Dress { // its skirt lies on the thighs
			return rot{}, false
		}
		return euler(0, 0.07, 0), true
	case Leaning:
		return euler(0.05, -0.04, 0.10), true
	}
	return rot{}, false
}

// torso without clothes.
func (b *body) torso(p vec) float64 {
	P := b.h.P
	a := p.abs()
	k, c, G, F := b.k, b.c, P.Girth, P.Bust
	y := b.base
	d := ellipsoid(p, vec{0, y - 165, -52}, vec{150 * k, 205, 110 * c})
	pec := func(q vec) float64 { return ellipsoid(q, vec{66 * k, y - 135, 8 * c}, vec{80 * k, 76, 34 * c}) }
	d = smin(d, smin(pec(a), pec(vec{-a.X, a.Y, a.Z}), 40), 70)
	if F > 0 {
		d = smin(d, ellipsoid(a, vec{70 * k, y - 168, 24 * c}, vec{58 * k, 62 * F, 54 * F}), 38)
	}
	// slope from the neck to the shoulder point
	d = smin(d, cone(a, vec{34 * k, y - 2, -66}, vec{b.sh[0].X - 12, b.sh[0].Y + 3, -60}, 37, 37), 44)
	waist := 1 + 0.15*G - 0.06*F
	d = smin(d, ellipsoid(p, vec{0, y - 350, -48 + 14*max(G, 0)}, vec{138 * k * waist, 150, 94 * c * (1 + 0.20*G)}), 60)
	d = smin(d, ellipsoid(p, b.pelvis.add(vec{0, 16, 0}), vec{164 * b.hipK, 118, 110 * (1 + 0.08*G)}), 60)
	if p.Y > y-60 && p.Y < y+140 {
		_, v, _ := b.column(p)
		n := smin(d, smax(b.h.neck(p, a), v-8-0.6*max(0, math.Abs(p.X)-55), 6), 16)
		d = lerp(d, n, smooth(y-60, y-15, p.Y))
	}
	return d
}

// arm is both arms as far as cuff mm beyond the wrist.
func (b *body) arm(p vec, cuff float64) float64 {
	k := b.limb
	d := math.Inf(1)
	for i := range b.sh {
		m := cone(p, b.sh[i].add(vec{0, -26, 0}), b.el[i], 47*k, 37*k)
		m = smin(m, cone(p, b.el[i], b.wr[i], 37*k, 26*k), 16)
		ax := b.wr[i].sub(b.el[i]).unit()
		m = smax(m, p.sub(b.wr[i]).dot(ax)-cuff, 4)
		d = min(d, m)
	}
	return d
}

// bareArm is the arms with their muscles, to a little over the wrist.
func (b *body) bareArm(p vec) float64 {
	k := b.limb
	d := math.Inf(1)
	for i := range b.sh {
		s := side(i)
		sh, el, wr := b.sh[i].add(vec{-s * 6, -16, 0}), b.el[i], b.wr[i]
		m := cone(p, sh, el, 44*k, 33*k)
		m = smin(m, sphere(p, sh.add(vec{s * 10, -14, 0}), 44*k), 30) // deltoid
		m = smin(m, ball2(p, sh.lerp(el, 0.58).add(vec{0, 0, 9}), sh.lerp(el, 0.4), 34*k), 26)
		fo := el.lerp(wr, 0.26)
		m = smin(m, cone(p, el, wr, 33*k, 23*k), 16)
		m = smin(m, ball2(p, fo, el.lerp(wr, 0.44), 34*k), 24)
		ax := wr.sub(el).unit()
		m = smax(m, p.sub(wr).dot(ax)-14, 3)
		if b.h.P.Clothes == Dress { // what the sleeve hides is left out
			up := el.sub(sh).unit()
			m = smax(m, 0.055*b.S-p.sub(sh).dot(up), 3)
		}
		d = min(d, m)
	}
	return d
}

// ball2 is a short capsule.
func ball2(p, a, b vec, r float64) float64 { return cone(p, a, b, r, r*0.94) }

// column is the neck as a plain leaning elliptic column: rho mm outside it, v mm up its axis from
// the collar seat, and the angle (0 in front).
func (b *body) column(p vec) (rho, v, ang float64) {
	h := b.h
	w := h.neckW
	seat := vec{0, b.base + 22, -36 * h.sz}
	ax := vec{0, 0.93, 0.36}.unit()
	q := p.sub(seat)
	v = q.dot(ax)
	c := seat.add(ax.mul(v))
	r := p.sub(c)
	fz := vec{0, -ax.Z, ax.Y}
	x, z := r.X/(w*1.10), r.dot(fz)/(w*1.0)
	if z < 0 {
		z *= 0.84 // the nape is fuller
	}
	s := math.Hypot(x, z)
	return (s - 1) * w, v, math.Atan2(x, z)
}
