package figure

import (
	"math"
	"slices"
)

// builder gathers the pieces, in drawing space.
type builder struct {
	pos, nrm, tan []vec
	tone          []float32
	tri           [][3]int32
	part          []Part
	rng           stream
	g             grain
}

func (b *builder) vertex(p, n, t vec, tone float32) int32 {
	b.pos, b.nrm, b.tan, b.tone = append(b.pos, p), append(b.nrm, n), append(b.tan, t), append(b.tone, tone)
	return int32(len(b.pos) - 1)
}

func (b *builder) tris(m Part, t ...[3]int32) {
	b.tri = append(b.tri, t...)
	for range t {
		b.part = append(b.part, m)
	}
}

// add takes a piece over; part decides by the middle and the mean tone of a triangle.
func (b *builder) add(s *surf, part func(c vec, tone float32) Part) {
	base := int32(len(b.pos))
	b.pos, b.nrm, b.tan, b.tone = append(b.pos, s.pos...), append(b.nrm, s.nrm...), append(b.tan, s.tan...),
		append(b.tone, s.tone...)
	for _, t := range s.tri {
		c := s.pos[t[0]].add(s.pos[t[1]]).add(s.pos[t[2]]).mul(1.0 / 3)
		tn := (s.tone[t[0]] + s.tone[t[1]] + s.tone[t[2]]) / 3
		b.tris(part(c, tn), [3]int32{t[0] + base, t[1] + base, t[2] + base})
	}
}

// as is the part rule of a piece all of one stuff.
func as(m Part) func(vec, float32) Part { return func(vec, float32) Part { return m } }

// span is a run of vertices.
type span struct{ from, to int }

func (s span) has(i int) bool { return i >= s.from && i < s.to }

// Build draws the sitter. It depends on nothing but p, and the same p gives the same mesh, vertex
// for vertex, on one kind of processor. Figures out of range are clamped. Counts and times of each
// Detail are in the package comment. Checks: TestMeshSound, TestRepeatable, TestClamp, FuzzBuild.
func Build(p Params) *Mesh { return DrawHead(p).Build(p) }

// Head is a head drawn once, level and straight, with neck, eyes, hair and glasses: half the cost
// of a sitter. Keep it under its Params.HeadKey to turn the head, change the pose or the clothes
// without drawing it again. It is never changed after DrawHead, so goroutines may share it.
type Head struct {
	key  uint64
	b    builder
	neck span
}

// HeadKey is a fingerprint of what the head's drawing depends on: not of its turn, tilt and roll,
// nor, under clothes that cover the shoulders, of pose and garment. Check: TestHeadKept.
func (p Params) HeadKey() uint64 {
	p.Turn, p.Tilt, p.Roll = 0, 0, 0
	if p.Clothes != Dress && p.Clothes != Bare {
		p.Pose, p.Hands, p.Rest, p.Seat, p.Clothes = Standing, AsPosed, 0, 0, Jumper
	}
	return p.Key()
}

// DrawHead draws the head of p.
func DrawHead(p Params) *Head {
	d := &Head{key: p.HeadKey()}
	p = p.worn()
	h := newHead(p)
	b := &d.b
	b.rng, b.g = stream(p.Seed), h.g
	newBody(h).skin(b)
	d.neck = span{0, len(b.pos)}
	h.addEyes(b)
	h.addHair(b)
	h.addBeard(b)
	h.addHat(b)
	if p.Glasses {
		h.addGlasses(b)
	}
	return d
}

// Build finishes the sitter p on this head. If the head is another's (HeadKey differs) it is drawn
// anew.
func (d *Head) Build(p Params) *Mesh {
	if p.HeadKey() != d.key {
		d = DrawHead(p)
	}
	p = p.worn()
	h := newHead(p)
	bd := newBody(h)
	b := &builder{rng: d.b.rng, g: d.b.g, tri: slices.Clone(d.b.tri), part: slices.Clone(d.b.part)}
	b.pos, b.nrm, b.tan, b.tone = slices.Clone(d.b.pos), slices.Clone(d.b.nrm), slices.Clone(d.b.tan),
		slices.Clone(d.b.tone)
	marks := bd.landmarks()

	// turn the head: the skull moves as one, the neck follows in part
	if t := bd.turning(); t.on {
		for i := range b.pos {
			r := t.whole
			if d.neck.has(i) {
				r = t.at(b.pos[i])
			}
			b.pos[i] = r.about(b.pos[i], t.pivot)
			b.nrm[i], b.tan[i] = r.ap(b.nrm[i]), r.ap(b.tan[i])
		}
	}

	// the body, then what is above the legs to where the chest is carried
	var legs span
	if !p.headOnly {
		legs = bd.add(b)
	}
	for i := range b.pos {
		if legs.has(i) {
			continue
		}
		b.pos[i] = bd.chest.ap(b.pos[i])
		b.nrm[i], b.tan[i] = bd.chest.r.ap(b.nrm[i]), bd.chest.r.ap(b.tan[i])
	}
	return b.finish(vec{0, bd.ground, bd.middle()}, marks)
}

// finish crosses over to scene space; ground is the point that comes to the origin.
func (b *builder) finish(ground vec, marks map[string]mark) *Mesh {
	m := &Mesh{Tri: make([][3]uint32, 0, len(b.tri)), Part: make([]Part, 0, len(b.tri)),
		Landmarks: map[string]Landmark{}}
	// keep only vertices that a triangle uses
	to := make([]uint32, len(b.pos))
	for _, t := range b.tri {
		for _, k := range t {
			to[k] = 1
		}
	}
	for i, used := range to {
		if used == 0 {
			continue
		}
		to[i] = uint32(len(m.Pos))
		m.Pos = append(m.Pos, narrow(toScene(b.pos[i].sub(ground)).Mul(0.001)))
		m.Nrm = append(m.Nrm, narrow(toScene(b.nrm[i].unit())))
		t := b.tan[i]
		if t.dot(t) > 0 {
			t = t.unit()
		}
		m.Tan = append(m.Tan, narrow(toScene(t)))
		m.Tone = append(m.Tone, b.tone[i])
	}
	for i, t := range b.tri {
		q := [3]uint32{to[t[0]], to[t[1]], to[t[2]]}
		if q[0] == q[1] || q[1] == q[2] || q[2] == q[0] || flat(m, q) {
			continue
		}
		m.Tri = append(m.Tri, q)
		m.Part = append(m.Part, b.part[i])
	}
	for k, l := range marks {
		m.Landmarks[k] = Landmark{toScene(l.at.sub(ground)).Mul(0.001), toScene(l.nrm.unit())}
	}
	if b.g.plain {
		m.fitLandmarks(b.g)
	}
	return m
}

// flat reports a triangle without area.
func flat(m *Mesh, t [3]uint32) bool {
	a := wide(m.Pos[t[0]])
	n := wide(m.Pos[t[1]]).Sub(a).Cross(wide(m.Pos[t[2]]).Sub(a))
	return !(n.Len2() > 1e-24)
}

// turning is how head and neck follow the turn, tilt and roll asked.
type turning struct {
	on     bool
	whole  rot
	pivot  vec
	menton float64
}

// turning is the head's turn against the chest; a standing sitter's head stays level where the
// chest is not.
func (b *body) turning() turning {
	h := b.h
	asked := euler(h.P.Turn.Radians(), h.P.Tilt.Radians(), h.P.Roll.Radians())
	t := turning{menton: h.menton, whole: asked}
	// level again: the chest's own turn is taken off
	c := b.chest.r
	t.whole = asked.then(rot{{c[0].X, c[1].X, c[2].X}, {c[0].Y, c[1].Y, c[2].Y}, {c[0].Z, c[1].Z, c[2].Z}})
	t.on = t.whole != euler(0, 0, 0)
	t.pivot = h.nod()
	return t
}

// nod is where the head turns on the neck.
func (h *head) nod() vec { return vec{0, h.menton + 68, -12 * h.sz} }

// at is the turn of a point of the neck or head: whole from the jaw up, none at the collar.
func (t *turning) at(p vec) rot {
	w := smooth(t.menton-72, t.menton+24, p.Y+0.35*p.Z)
	if w >= 1 {
		return t.whole
	}
	return t.whole.part(w)
}

// part is the share w of a turn, about the same axis (Rodrigues' formula).
func (r rot) part(w float64) rot {
	axis := vec{r[2].Y - r[1].Z, r[0].Z - r[2].X, r[1].X - r[0].Y}
	sin := axis.len() / 2
	if sin < 1e-9 {
		return euler(0, 0, 0)
	}
	u := axis.mul(1 / (2 * sin))
	a := math.Atan2(sin, (r[0].X+r[1].Y+r[2].Z-1)/2) * w
	s, c := math.Sincos(a)
	turn := func(v vec) vec { return v.mul(c).add(u.cross(v).mul(s)).add(u.mul(u.dot(v) * (1 - c))) }
	x, y, z := turn(vec{1, 0, 0}), turn(vec{0, 1, 0}), turn(vec{0, 0, 1})
	return rot{{x.X, y.X, z.X}, {x.Y, y.Y, z.Y}, {x.Z, y.Z, z.Z}}
}
