package figure

import "math"

// body is trunk, limbs and clothes in drawing space. Arms (sh, el, wr) are in chest space, legs
// where they are.
type body struct {
	h            *head
	S            float64 // stature
	base         float64 // height of the notch above the breast bone
	k, c, hipK   float64 // breadth of shoulders, depth of chest, breadth of hips against the drawing's own
	u            float64 // size of the trunk against the drawing's own; 1 for the grown
	limb         float64 // thickness of limbs against the drawing's own
	sh, el, wr   [2]vec  // shoulder, elbow, wrist; left, right
	hip          [2]vec
	kn, an       [2]vec
	pelvis       vec
	seatY        float64    // height of the seat, for who sits
	ground       float64    // height of the floor
	chest, pel   motion     // where trunk and pelvis are carried
	toe, heel    [2]float64 // feet turned out and heels raised, radians
	hold         [2]hold
	thigh, shank float64
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
	b.limb = (0.35 + 0.65*S/1756*lerp(1, 0.84, P.Bust)) * (1 + 0.12*P.Girth)
	lift := S - h.top // height of the eyes over the floor
	low, lowSh := 0.0, 0.0
	b.u = 1
	if P.child() { // shorter legs under a longer trunk and a larger head
		low = grown(P.Years, func(i int) float64 { return growth[i].sit }) - 0.524
		lowSh = 0.9 * (P.HeadHeight + 80 - 310*S/1756) / S
		b.base = h.menton - 72
		b.limb *= 0.94
	}
	Y := func(f float64) float64 { return f*S - lift }
	b.pelvis = vec{0, Y(0.53 - low), -52}
	if P.child() {
		b.u = clamp((b.base-b.pelvis.Y)/516, 0.4, 1)
	}
	for i := range b.sh {
		s := side(i)
		b.sh[i] = vec{s * (P.Biacromial/2 - 30*b.u), Y(shoulderShare - lowSh), -58}
		b.hip[i] = vec{s * 86 * b.hipK, Y(hipShare - low), -52}
		b.kn[i] = vec{s * 88 * b.hipK, Y(kneeShare - low*0.5), -45}
		b.an[i] = vec{s * 82 * b.hipK, Y(ankleShare), -75}
	}
	b.thigh, b.shank = b.hip[0].Y-b.kn[0].Y, b.kn[0].Y-b.an[0].Y
	b.seatY = b.hip[0].Y - seatToHip*S
	b.carry()
	return b
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

// sits reports a pose over a seat.
func (b *body) sits() bool { return b.h.P.Pose == Seated || b.h.P.Pose == Stool || b.h.P.Pose == Floor }

// middle is the depth that comes over the origin: the hips.
func (b *body) middle() float64 { return -52 }

// torso without clothes.
func (b *body) torso(p vec) float64 { return b.straight(b.rest(p)) }

// straight is the trunk before it is bent.
func (b *body) straight(q vec) float64 {
	P := b.h.P
	// a child's is drawn as large as the grown's, then shrunk about the notch of the breast bone
	u := b.u
	y := b.base
	o := vec{0, y, -52}
	at := func(v vec) vec { return v.sub(o).mul(1 / u).add(o) }
	p := at(q)
	a := p.abs()
	k, c, hk, G, F := b.k/u, b.c/u, b.hipK/u, P.Girth, P.Bust
	sh, pelvis := at(b.sh[0]), at(b.pelvis)
	d := ellipsoid(p, vec{0, y - 165, -52}, vec{150 * k, 205, 110 * c})
	pec := func(q vec) float64 { return ellipsoid(q, vec{66 * k, y - 135, 8 * c}, vec{80 * k, 76, 34 * c}) }
	d = smin(d, smin(pec(a), pec(vec{-a.X, a.Y, a.Z}), 40), 70)
	if F > 0 {
		d = smin(d, ellipsoid(a, vec{70 * k, y - 168, 24 * c}, vec{58 * k, 62 * F, 54 * F}), 38)
	}
	// slope from the neck to the shoulder point
	d = smin(d, cone(a, vec{34 * k, y - 2, -66}, vec{sh.X - 12, sh.Y + 3, -60}, 37, 37), 44)
	waist := 1 + 0.15*G - 0.12*F
	d = smin(d, ellipsoid(p, vec{0, y - 350, -48 + 14*max(G, 0)}, vec{138 * k * waist, 150, 94 * c * (1 + 0.20*G)}), 60)
	d = smin(d, ellipsoid(p, pelvis.add(vec{0, 16, 0}), vec{164 * hk, 118, 110 * (1 + 0.08*G)}), 60)
	d *= u
	if q.Y > y-60 && q.Y < y+140 {
		_, v, _ := b.column(q)
		n := smin(d, smax(b.h.neck(q, q.abs()), v-8-0.6*max(0, math.Abs(q.X)-55), 6), 16)
		d = lerp(d, n, smooth(y-60, y-15, q.Y))
	}
	return d
}

// arm is both arms as far as cuff mm beyond the wrist.
func (b *body) arm(p vec, cuff float64) float64 {
	k := b.limb
	d := math.Inf(1)
	for i := range b.sh {
		m := cone(p, b.sh[i].add(vec{-side(i) * 5, -31, 0}), b.el[i], 45.5*k, 37*k)
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
		if c := b.h.P.Clothes; c == Dress || c == TShirt { // what the sleeve hides is left out
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
