package figure

import "math"

// hold is how one hand is held, in chest space: which way its fingers and its thumb point, how far
// the fingers bend and how far they stand apart.
type hold struct {
	along, thumb vec
	curl, spread float64
}

// motion is a rigid motion of drawing space: a turn about a pivot, then a shift.
type motion struct {
	r            rot
	pivot, shift vec
}

func (m *motion) ap(p vec) vec { return m.r.about(p, m.pivot).add(m.shift) }

func (m *motion) inv(p vec) vec {
	q := p.sub(m.shift).sub(m.pivot)
	return m.r.back(q).add(m.pivot)
}

// back turns the other way: by the transpose.
func (r rot) back(v vec) vec { return r[0].mul(v.X).add(r[1].mul(v.Y)).add(r[2].mul(v.Z)) }

// then is the turn r, then s.
func (r rot) then(s rot) rot {
	x, y, z := s.ap(r.ap(vec{1, 0, 0})), s.ap(r.ap(vec{0, 1, 0})), s.ap(r.ap(vec{0, 0, 1}))
	return rot{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}}
}

const degree = math.Pi / 180

// Trunk, arms and head are drawn straight ('chest space'); chest takes them to where they are, and
// pel takes the straight pelvis to where it is. rest bends the trunk between the two.

// rest is the place in the straight trunk of the point p of chest space.
func (b *body) rest(p vec) vec {
	w := smooth(b.pelvis.Y+50*b.u, b.base-220*b.u, p.Y)
	if w >= 1 {
		return p
	}
	return b.pel.inv(b.chest.ap(p)).lerp(p, w)
}

// hang is the height at which p hangs from the hips: what hangs is level, however they are carried.
func (b *body) hang(p vec) float64 { return b.chest.ap(p).Y - b.pel.shift.Y }

// carry sets joints and hands for the pose. Weight is on the right leg where one bears more. The
// head stays where it is, over the bearing foot, so that readings on it do not depend on how the
// hips are carried.
func (b *body) carry() {
	P, S := b.h.P, b.S
	level := euler(0, 0, 0)
	nod := b.h.nod()
	b.chest = motion{r: level, pivot: nod}
	b.pel = motion{r: level, pivot: b.pelvis}
	b.ground = b.h.top - S
	b.toe = [2]float64{16 * degree, 10 * degree}
	if P.headOnly {
		return
	}
	foot := func(i int, x, z, lift float64) {
		b.an[i] = vec{x * S / 1756, b.ground + ankleShare*S + lift, -75 + z*S/1756}
	}
	pole := [2]vec{{0.22, 0, 1}, {-0.12, 0, 1}}
	switch P.Pose {
	case Seated, Stool, Floor:
		b.seated()
		return
	case Walking:
		b.pel.r = euler(-7*degree, 2*degree, -2*degree)
		b.chest.r = euler(0, 2*degree, 1*degree)
		reach := 0.195 * S // of each foot from under the hips
		leg := b.thigh + b.shank
		b.ground = b.hip[0].Y - math.Sqrt(leg*leg-reach*reach) - ankleShare*S + 8
		b.toe, b.heel = [2]float64{7 * degree, 8 * degree}, [2]float64{-9 * degree, 38 * degree}
		b.an[0] = vec{46, b.ground + b.ankleHeight(0), b.hip[0].Z + reach*1.02}
		b.an[1] = vec{-44, b.ground + b.ankleHeight(1), b.hip[0].Z - reach*1.06}
		pole = [2]vec{{0.1, 0, 1}, {-0.1, 0, 1}}
	case Leaning:
		b.pel.r, b.pel.shift = euler(-4*degree, -5*degree, -2*degree), vec{-8, -7, 0}
		b.chest.r = euler(0, 5*degree, 1.5*degree)
		foot(1, -74, 40, 0)
		foot(0, -18, 150, 0) // crossed before the other
		b.toe = [2]float64{-4 * degree, 14 * degree}
		pole[0] = vec{0.5, 0, 1}
	default:
		b.pel.r, b.pel.shift = euler(-7*degree, -1.5*degree, -4.5*degree), vec{-19 * b.hipK, -9, 4}
		b.chest.r = euler(0, -1.5*degree, 2.2*degree)
		foot(1, -56, 0, 0)
		foot(0, 112, 58, 0)
		b.toe = [2]float64{30 * degree, 9 * degree}
	}
	b.legs(pole)
	b.arms()
}

// ankleHeight is how high an ankle stands over the floor with its heel as far raised as it is: the
// foot stands on its ball, or on its heel.
func (b *body) ankleHeight(i int) float64 {
	s, c := math.Sincos(b.heel[i])
	if s > 0 {
		return ankleShare*b.S*c + 112*b.S/1756*s
	}
	return ankleShare*b.S*c - 30*s
}

// legs bends them from the hips to the ankles.
func (b *body) legs(pole [2]vec) {
	for i := range b.hip {
		b.hip[i] = b.pel.ap(b.hip[i])
		b.kn[i] = elbow(b.hip[i], b.an[i], b.thigh, b.shank, pole[i])
	}
}

// seated bends the legs over a seat: one foot a little before the other, flat on the floor where
// the seat allows it, else on the ring of a stool.
func (b *body) seated() {
	P, S := b.h.P, b.S
	b.chest = motion{r: euler(0, 5*degree, 1.5*degree), pivot: b.pelvis.add(vec{0, 40, 0})}
	b.pel = motion{r: euler(-3*degree, -8*degree, 0), pivot: b.hip[0].lerp(b.hip[1], 0.5)}
	b.ground = b.seatY - float64(P.Seat)*1000
	floor := b.ground + ankleShare*S
	thigh, shank := b.thigh, b.shank
	b.toe = [2]float64{14 * degree, 20 * degree}
	pole := [2]vec{{0.35, 1, 0.6}, {-0.35, 1, 0.6}}
	hz := b.hip[0].Z
	switch {
	case P.Pose == Floor: // one knee drawn up, the other leg folded before it
		b.chest.r = euler(0, 13*degree, 3*degree)
		b.pel.r = euler(0, -14*degree, 0)
		b.ground = b.seatY
		floor = b.ground + ankleShare*S
		b.an[0] = vec{135, floor, hz + 0.52*thigh + 60}
		b.an[1] = vec{70, floor + 5, hz + 0.66*thigh}
		pole = [2]vec{{0.25, 1, 0.4}, {-1, 0.28, 0.5}}
		b.toe = [2]float64{10 * degree, 60 * degree}
	case P.Pose == Stool || P.Seat > 0.58: // one foot on the ring, the other reaches down
		ring := max(floor, b.seatY-0.33*S+ankleShare*S)
		b.an[0] = vec{112, ring, hz + 0.20*S}
		d := thigh + shank - 12
		drop := b.hip[1].Y - floor
		if drop < d {
			b.an[1] = vec{-170, floor, hz + min(0.42*S, math.Sqrt(d*d-drop*drop)*0.9)}
		} else {
			b.an[1] = vec{-150, b.hip[1].Y - 0.80*d, hz + 0.56*d*0.8}
		}
		pole = [2]vec{{0.5, 0.8, 0.8}, {-0.5, 0.8, 0.8}}
	default:
		b.an[0] = vec{118, floor, hz + 0.97*thigh + 40}
		b.an[1] = vec{-128, floor, hz + 0.97*thigh - 70}
		drop := b.hip[0].Y - floor // a low seat leaves the shins aslant, a high one the knees low
		if far := math.Hypot(0.97*thigh, drop); far > thigh+shank-20 {
			for i := range b.an {
				b.an[i].Z = hz + math.Sqrt(max(0, (thigh+shank-20)*(thigh+shank-20)-drop*drop))
			}
		}
		b.heel[1] = 10 * degree
		b.an[1].Y = b.ground + b.ankleHeight(1)
	}
	b.legs(pole)
	b.arms()
}

// arms sets elbows, wrists and hands. Places are in chest space; a place of the world (a thigh, a
// table) is taken there first.
func (b *body) arms() {
	P, S := b.h.P, b.S
	up, fo := upperArmShare*S, forearmShare*S
	k := S / 1756
	g := P.Hands
	if g == AsPosed {
		g = [...]Gesture{Standing: Hanging, Seated: OnThighs, Leaning: Folded, Walking: Swinging, Stool: OnThighs,
			Floor: RoundKnee}[P.Pose]
	}
	for i := range b.sh {
		s := side(i)
		one := g
		switch { // what only one hand does
		case g == OneOnHip && i == 0, g == Holding && i == 1, g == AtChin && i == 0, g == OnSurface && i == 1:
			one = Hanging
			if P.Pose == Seated || P.Pose == Stool {
				one = OnThighs
			}
		case g == AtChin:
			one = AtChin
		}
		if P.Pose == Floor && (one == Hanging || one == InPockets || one == Swinging || one == OnSurface) {
			one = RoundKnee // there is no room under the shoulders
		}
		pole := vec{s * 0.75, -0.35, -0.7}
		reach := func(wrist vec, bend vec, h hold) {
			b.el[i] = elbow(b.sh[i], wrist, up, fo, bend)
			b.wr[i] = b.el[i].add(wrist.sub(b.el[i]).unit().mul(fo))
			b.hold[i] = h
		}
		hang := func(d1, d2 vec, h hold) {
			d1.X += s * (0.10*max(0, P.Girth) + 0.03*(b.hipK*345/345-1))
			b.el[i] = b.sh[i].add(d1.unit().mul(up))
			b.wr[i] = b.el[i].add(d2.unit().mul(fo))
			b.hold[i] = h
		}
		waist := b.base - 395*k
		switch one {
		case OnThighs, InLap:
			f, in, lift := 0.74, 4.0, 62*b.limb+16
			if i == 1 {
				f = 0.56
			}
			t := b.hip[i].lerp(b.kn[i], f)
			n := b.kn[i].sub(b.hip[i]).unit()
			if one == InLap { // one hand lies in the other
				t = b.hip[0].lerp(b.hip[1], 0.5).lerp(b.kn[0].lerp(b.kn[1], 0.5), 0.42).add(vec{s * 52,
					float64(i) * 20, 0})
				in, lift = 0, 58*b.limb+14
				n = vec{-s * 0.9, 0, 0.5}.unit()
			}
			over := vec{0, 1, 0}.sub(n.mul(n.Y)).unit()
			t = b.chest.inv(t.add(over.mul(lift)).add(n.mul(-44 * k)).add(vec{-s * in, 0, 0}))
			h := hold{along: b.chest.r.back(n.add(vec{-s * 0.16, -0.14, 0}).unit()),
				thumb: b.chest.r.back(vec{-s, 0.1, 0.25}), curl: 0.42, spread: 0.010}
			if one == InLap {
				h.thumb, h.curl = b.chest.r.back(vec{0, 1, 0.4}), 0.75
			}
			reach(t, vec{s * 0.8, -0.25, -0.6}, h)
		case Folded: // forearms across, one hand round the other arm
			w := vec{-s * 92 * b.k, waist + 128*k - s*14*k, 118*b.c + s*14 + 26*P.Bust}
			reach(w, vec{s * 0.7, -1, 0.2}, hold{along: vec{-s, 0.18, -0.30}, thumb: vec{0, 1, 0.15},
				curl: 0.62, spread: 0.006})
		case Clasped:
			w := vec{s * 46, waist - 95*k - 14*float64(i), 124*b.c + 34*float64(i) + 18*max(0, P.Girth)}
			reach(w, pole, hold{along: vec{-s * 0.75, -0.62, 0.25}, thumb: vec{-s * 0.2, 0.5, 0.9}, curl: 0.7,
				spread: 0.004})
		case OnHips, OneOnHip:
			w := b.chest.inv(b.pel.ap(b.pelvis.add(vec{s * 178 * b.hipK, 104 * k, 12})))
			reach(w, vec{s * 1.2, -0.1, -0.75}, hold{along: vec{-s * 0.42, -0.62, 0.62}, thumb: vec{s * 0.1, 0.35, -1},
				curl: 0.55, spread: 0.008})
		case InPockets: // wrists at the pockets, the hands in the cloth
			w := b.chest.inv(b.pel.ap(b.pelvis.add(vec{s * 166 * b.hipK, 4 * k, 22})))
			reach(w, pole, hold{along: vec{-s * 0.25, -0.93, 0.22}, thumb: vec{-s * 0.3, 0.1, 1}, curl: 1.5,
				spread: 0.002})
		case Swinging:
			f := -s // the arm of the leg that is behind swings forward
			hang(vec{s * 0.17, -0.95, 0.34*f - 0.04}, vec{-s * 0.04, -0.90, 0.38*f + 0.22},
				hold{along: vec{-s * 0.02, -0.88, 0.36*f + 0.20}, thumb: vec{-s * 0.3, 0.2, 1}, curl: 1.15,
					spread: 0.003})
		case AtChin:
			w := vec{s * 8, b.h.menton - 122*k, 100 * b.c}
			reach(w, vec{s * 0.5, -1, 0.1}, hold{along: vec{-s * 0.15, 0.95, -0.02}, thumb: vec{-s, 0.3, -0.3},
				curl:   1.15,
				spread: 0.003})
		case Holding:
			w := vec{s * 96, b.base - 262*k, 196*b.c + 30*P.Bust}
			reach(w, vec{s * 0.9, -0.8, -0.2}, hold{along: vec{-s * 0.42, 0.22, 0.88}, thumb: vec{-s * 0.1, 1, -0.2},
				curl:   1.0,
				spread: 0.004})
		case OnSurface:
			b.onSurface(i, reach)
		case RoundKnee:
			if i == 0 { // hand over the knee that is drawn up
				t := b.chest.inv(b.kn[0].add(vec{-10, 48 * b.limb, -20}))
				reach(t, vec{1, -0.2, -0.3}, hold{along: vec{-0.1, -0.25, 1}, thumb: vec{-1, 0.1, 0.2}, curl: 0.95,
					spread: 0.008})
			} else { // and one on the floor behind
				t := b.chest.inv(vec{-235 * k, b.ground + 62*k, b.hip[1].Z - 165*k})
				reach(t, vec{-1, 0.2, -0.4}, hold{along: b.chest.r.back(vec{-0.55, -0.34, -0.62}),
					thumb: b.chest.r.back(vec{0.5, 0, -0.9}),
					curl:  0.30, spread: 0.012})
			}
		default:
			if i == 0 {
				hang(vec{0.150, -0.98, -0.10}, vec{-0.035, -0.93, 0.34},
					hold{along: vec{-0.05, -0.97, 0.22}, thumb: vec{-0.42, 0, 1}, curl: 0.95, spread: 0.004})
				break
			}
			hang(vec{-0.165, -0.985, -0.04}, vec{0.00, -0.975, 0.20},
				hold{along: vec{0.02, -0.99, 0.12}, thumb: vec{0.38, 0, 1}, curl: 0.8, spread: 0.005})
		}
	}
}

// onSurface lays a hand on what is Params.Rest high: beside the hips where the sitter leans back on
// it, else before them.
func (b *body) onSurface(i int, reach func(vec, vec, hold)) {
	P, S := b.h.P, b.S
	s, k := side(i), S/1756
	top := b.ground + float64(P.Rest)*1000
	w := vec{s * (236 + 40*max(0, P.Girth)) * b.k, top + 40*k, -96}
	along := vec{s * 0.50, -0.22, 0.84} // heel of the hand on the edge
	if P.Pose != Leaning {
		w = vec{s * 210 * b.k, top + 30*k, 175}
		along = vec{-s * 0.25, -0.12, 1}
	}
	w = b.chest.inv(w)
	l := w.sub(b.sh[i]).len()
	// out of reach: hang towards it
	if most := (upperArmShare + forearmShare) * S * 0.985; l > most {
		w = b.sh[i].add(w.sub(b.sh[i]).mul(most / l))
	}
	reach(w, vec{s * 0.8, 0.2, -1}, hold{along: b.chest.r.back(along), thumb: b.chest.r.back(vec{-s, 0, 0.1}),
		curl: 0.22, spread: 0.013})
}
