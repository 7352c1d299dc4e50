package figure

import "slices"

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
		p.Pose, p.Seat, p.Clothes = Standing, 0, Jumper
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
	if t := h.turning(); t.on {
		for i := range b.pos {
			r := t.whole
			if d.neck.has(i) {
				r = t.at(b.pos[i])
			}
			b.pos[i] = r.about(b.pos[i], t.pivot)
			b.nrm[i], b.tan[i] = r.ap(b.nrm[i]), r.ap(b.tan[i])
		}
	}

	// the body, then the tilt of everything above the hips
	var legs span
	if !p.headOnly {
		legs = bd.add(b)
	}
	if r, ok := bd.tilt(); ok {
		for i := range b.pos {
			if legs.has(i) {
				continue
			}
			b.pos[i] = r.about(b.pos[i], bd.pelvis)
			b.nrm[i], b.tan[i] = r.ap(b.nrm[i]), r.ap(b.tan[i])
		}
	}
	return b.finish(vec{0, bd.floor(), bd.middle()}, marks)
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
		m.settle(b.g)
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
	on              bool
	yaw, pitch, rol float64
	whole           rot
	pivot           vec
	menton          float64
}

func (h *head) turning() turning {
	t := turning{yaw: h.P.Turn.Radians(), pitch: h.P.Tilt.Radians(), rol: h.P.Roll.Radians(), menton: h.menton}
	t.on = t.yaw != 0 || t.pitch != 0 || t.rol != 0
	t.whole = euler(t.yaw, t.pitch, t.rol)
	t.pivot = vec{0, h.menton + 68, -12 * h.sz}
	return t
}

// at is the turn of a point of the neck or head: whole from the jaw up, none at the collar.
func (t *turning) at(p vec) rot {
	w := smooth(t.menton-72, t.menton+24, p.Y+0.35*p.Z)
	if w >= 1 {
		return t.whole
	}
	return euler(t.yaw*w, t.pitch*w, t.rol*w)
}
