package figure

import (
	"maps"
	"math"
	"slices"
	"strings"

	"halfstop/geom"
)

// mark is a landmark in drawing space.
type mark struct{ at, nrm vec }

// strike follows a ray from o along the unit d to the first place where f is not positive. It steps
// by a share of f, which suffices for fields that overrate the distance by up to a half, then
// halves the last step. False if it runs out at far.
func strike(f field, o, d vec, far float64) (vec, bool) {
	t, last := 0.0, 0.0
	for i := 0; i < 400 && t < far; i++ {
		v := f(o.add(d.mul(t)))
		if v <= 0 {
			for k := 0; k < 24; k++ {
				m := (t + last) / 2
				if f(o.add(d.mul(m))) <= 0 {
					t = m
				} else {
					last = m
				}
			}
			return o.add(d.mul(t)), true
		}
		last = t
		t += max(0.5*v, 0.15)
	}
	return o.add(d.mul(t)), false
}

// outer is the outermost surface of head, neck and hair, without the relief of the locks.
func (h *head) outer(p vec) float64 {
	d := min(h.bust(p), h.hairMass(p))
	if h.P.Hat != NoHat {
		d = min(d, h.crown(p))
	}
	return d
}

// landmarks lists the points of doc.go in the finished pose, drawing space. They are taken from the
// full drawing, whatever the level of detail, so that all levels share them.
func (b *body) landmarks() map[string]mark {
	full, fine := *b.h, *b
	full.g.plain = false
	fine.h = &full
	b = &fine
	h := b.h
	lm := map[string]mark{}
	turn := b.turning()
	lean := func(m mark) mark {
		return mark{b.chest.ap(m.at), b.chest.r.ap(m.nrm)}
	}
	head := func(name string, m mark) { // moves with the skull
		lm[name] = lean(mark{turn.whole.about(m.at, turn.pivot), turn.whole.ap(m.nrm)})
	}
	on := func(f field, o, d vec) mark {
		p, _ := strike(f, o, d.unit(), 700)
		return mark{p, gradient(f, p, 1.2).unit()}
	}
	front := func(name string, x, y float64) mark {
		m := on(h.outer, h.unwarp(vec{x, y, 190}), vec{0, 0, -1})
		head(name, m)
		return m
	}

	// face
	e := h.eyeL
	for i, n := range []string{"eye left", "eye right"} {
		c := h.unwarp(vec{side(i) * e.X, e.Y, e.Z})
		g := h.gaze(c)
		head(n, mark{c.add(g.mul(corneaApex)), g})
	}
	l, r := lm["eye left"], lm["eye right"]
	lm["eyes"] = mark{l.at.lerp(r.at, 0.5), l.nrm.add(r.nrm).unit()}
	front("nose tip", 0, h.tipY)
	front("sellion", 0, 4*h.sy)
	front("subnasale", 0, h.subnY-1.5)
	front("forehead", 0, 46)
	front("chin", 0, h.pogY)
	head("menton", on(h.bust, vec{0, h.menton - 60, h.menZ}, vec{0, 1, 0}))
	for i, n := range []string{"cheek left", "cheek right"} {
		front(n, side(i)*(h.ipd+10), -30*h.sy)
	}
	// the middle of the face: half way down the ridge of the nose, where neither brow nor nose
	// throws a shadow, with the face's own direction
	f := on(h.outer, h.unwarp(vec{0, lerp(4*h.sy, h.tipY, 0.5), 190}), vec{0, 0, -1})
	head("face", mark{f.at, vec{0, 0, 1}})
	// ears and hair
	for i, n := range []string{"left", "right"} {
		s := side(i)
		// the flat of the ear, or the hair that covers it
		from, ax := h.ear.out(vec{-11, 2, 70}), h.ear.z
		if s < 0 {
			from, ax = from.mirror(), ax.mirror()
		}
		ear := on(h.outer, from, ax.mul(-1))
		if h.hairMass(ear.at) > 1 {
			ear.nrm = ax
		}
		head("ear "+n, ear)
		head("hair "+n, on(h.outer, vec{s * 130, h.top - 20, -20}, vec{-s * 0.8, -0.6, 0}))
		head("hair edge "+n, h.edge(s))
	}
	head("crown", on(h.outer, vec{0, h.top + 90, -12}, vec{0, -1, 0}))
	head("hair back", on(h.outer, vec{0, 40, h.occ - 140}, vec{0, 0, 1}))

	// trunk
	t := on(h.bust, vec{0, h.menton - 52, 160}, vec{0, 0, -1})
	q := turn.at(t.at)
	lm["throat"] = lean(mark{q.about(t.at, turn.pivot), q.ap(t.nrm)})
	lm["chest"] = lean(on(b.outer, vec{0, b.base - 105, 300}, vec{0, 0, -1}))
	for i, n := range []string{"left", "right"} {
		s := side(i)
		sh := b.sh[i]
		lm["shoulder "+n] = lean(on(b.outer, sh.add(vec{s * 14, 200, 0}), vec{0, -1, 0}))
		hf := b.handFrame(i)
		k := b.handScale()
		hand := func(p vec) float64 {
			d := b.hand(hf.in(p), k, &b.hold[i])
			if h.P.Hands == InPockets {
				d = min(d, b.outer(p))
			}
			return d
		}
		from := 80.0
		if h.P.Hands == InPockets {
			from = 220
		}
		lm["hand "+n] = lean(on(hand, hf.out(vec{0, 70 * k, from}), hf.z.mul(-1)))
		lm["knee "+n] = on(b.legOuter, b.kn[i].add(vec{0, 0, 200}), vec{0, 0, -1})
		lm["foot "+n] = on(b.shoes, b.an[i].add(vec{s * 18, 160, 85}), vec{0, -1, 0})
	}
	mid := func(a, c mark) mark { return mark{a.at.lerp(c.at, 0.5), a.nrm.add(c.nrm).unit()} }
	lm["knees"] = mid(lm["knee left"], lm["knee right"])
	lm["feet"] = mid(lm["foot left"], lm["foot right"])
	return lm
}

// edge is the outline of the head seen from the front at the height of the temple, on the side s,
// taken a little round the back where the surface looks 25 degrees backwards: where a light from
// behind draws its rim.
func (h *head) edge(s float64) mark {
	const y = 34.0
	best := mark{}
	found := false
	for z := 20.0; z > -95*h.sz; z -= 3 {
		p, ok := strike(h.outer, vec{s * 190, y, z}, vec{-s, 0, 0}, 170)
		if !ok {
			continue
		}
		n := gradient(h.outer, p, 3).unit()
		best, found = mark{p, n}, true
		if n.Z < -math.Sin(25*math.Pi/180) {
			break
		}
	}
	if !found {
		best = mark{vec{s * h.hb / 2, y, -20}, vec{s, 0, 0}}
	}
	return best
}

// fitLandmarks draws a coarse mesh on to its landmarks: round each one the surface is shifted along
// the landmark's normal by what it misses it, fading out over three cells. So the landmarks of all
// levels are the same points and none floats or is buried.
func (m *Mesh) fitLandmarks(g grain) {
	order := slices.Sorted(maps.Keys(m.Landmarks))
	// neighbours disturb each other, so go round five times
	for k := range 5 * len(order) {
		name := order[k%len(order)]
		l := m.Landmarks[name]
		switch name {
		case "eyes", "knees", "feet": // midpoints, on no surface
			continue
		}
		cell := 0.0012 * g.face
		switch {
		case strings.HasPrefix(name, "hair"), name == "crown":
			cell = 0.0015 * g.hair
		case name == "chest", strings.HasPrefix(name, "shoulder"):
			cell = 0.0015 * g.trunk
		case strings.HasPrefix(name, "knee"):
			cell = 0.0015 * g.leg
		case strings.HasPrefix(name, "hand"), strings.HasPrefix(name, "foot"):
			cell = 0.0015 * g.hand
		}
		const reach = 0.012
		best, found := 0.0, false
		for i, t := range m.Tri {
			a := wide(m.Pos[t[0]])
			if a.Sub(l.At).Len2() > 0.0064 || m.Part[i] == Glass || m.Part[i] == Rim {
				continue
			}
			h, ok := pierce(l.At.AddMul(l.Normal, reach), l.Normal.Neg(), a, wide(m.Pos[t[1]]), wide(m.Pos[t[2]]))
			if ok && h <= 2*reach && (!found || h < best) {
				best, found = h, true
			}
		}
		if !found {
			continue
		}
		shift := best - reach // how far the surface lies under the landmark
		for i, p := range m.Pos {
			d := wide(p).Sub(l.At).Len()
			if d < 3*cell && l.Normal.Dot(wide(m.Nrm[i])) > 0 {
				m.Pos[i] = narrow(wide(p).AddMul(l.Normal, shift*smooth(3*cell, 1.2*cell, d)))
			}
		}
	}
}

// pierce is the distance along d from o to the triangle a, b, c, either side (Möller and Trumbore
// 1997).
func pierce(o, d, a, b, c geom.Vec) (float64, bool) {
	e1, e2 := b.Sub(a), c.Sub(a)
	p := d.Cross(e2)
	det := e1.Dot(p)
	if det == 0 {
		return 0, false
	}
	s := o.Sub(a)
	u := s.Dot(p) / det
	q := s.Cross(e1)
	v := d.Dot(q) / det
	t := e2.Dot(q) / det
	return t, u >= 0 && v >= 0 && u+v <= 1 && t >= 0
}
