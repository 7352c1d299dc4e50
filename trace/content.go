package trace

import (
	"math"

	"halfstop/content"
	"halfstop/geom"
)

// Mark is a place in the order in which surfaces are added to a scene; see SurfaceKey.
type Mark struct{ verts, tris int }

// Triangles is how many triangles were there.
func (m Mark) Triangles() int { return m.tris }

// Mark gives the place that the scene has come to.
func (sc *Scene) Mark() Mark { return Mark{len(sc.verts), len(sc.tris)} }

// SurfaceKey is the content key of the surfaces added between two marks: corners, normals, tones,
// strands, triangles and what each is made of. It does not depend on what was added before.
func (sc *Scene) SurfaceKey(from, to Mark) content.Key {
	var h content.Hash
	h.Triples(sc.verts[from.verts:to.verts])
	h.Triples(sc.normals[from.verts:to.verts])
	h.Floats32(sc.tones[min(len(sc.tones), from.verts):min(len(sc.tones), to.verts)])
	h.Triples(sc.strands[min(len(sc.strands), from.verts):min(len(sc.strands), to.verts)])
	keys := make([]content.Key, len(sc.mats))
	base := uint32(from.verts)
	for i := from.tris; i < to.tris; i++ {
		t, m := sc.tris[i], sc.triMat[i]
		if keys[m] == 0 {
			keys[m] = sc.mats[m].key()
		}
		h.Word(uint64(t[0]-base) | uint64(t[1]-base)<<32)
		h.Word(uint64(t[2]-base) ^ uint64(keys[m]))
	}
	return h.Key()
}

// MaterialsKey is the content key of all materials, in the order of their numbers.
func (sc *Scene) MaterialsKey() content.Key {
	var h content.Hash
	for _, m := range sc.mats {
		h.Keys(m.key())
	}
	return h.Key()
}

// MediumKey is the content key of the haze.
func (sc *Scene) MediumKey() content.Key {
	var h content.Hash
	if m := sc.Medium; m != nil {
		h.Floats(m.Extinction, m.Albedo, m.G)
		if m.Indoors {
			h.Text("indoors")
		}
	}
	return h.Key()
}

// key is the content key of a material. A texture, which is a function, goes by the material's name
// and its values at 64 places.
func (m *Material) key() content.Key {
	var h content.Hash
	h.Text(m.Name)
	for _, b := range [5]*Band{&m.Diffuse, &m.Trans, &m.Mirror, &m.Clear, &m.Second} {
		h.Floats32(b[:])
	}
	h.Floats(m.Alpha, m.Coat, m.CoatAlpha, m.Glass)
	h.Bool(m.Strand)
	if m.Texture != nil {
		for i := range 64 {
			x := geom.V(goldenShift(0, i)*5, goldenShift(0.5, 3*i)*5, goldenShift(0.25, 7*i)*3)
			h.Floats(float64(m.Texture(x, [3]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}}[i%3])))
		}
	}
	if m.Back != nil {
		h.Keys(m.Back.key())
	}
	return h.Key()
}

// EmitterKey is the content key of a layer's emitters: where they are, their shape, and how their
// light is spread over directions, but not how much there is of it (Flux). Functions of direction
// go by their values at 512 directions.
func (sc *Scene) EmitterKey(layer int) content.Key {
	var h content.Hash
	for _, e := range sc.Emitters {
		if e.Layer == layer {
			h.Keys(e.key())
		}
	}
	return h.Key()
}

func (e *Emitter) key() content.Key {
	var h content.Hash
	h.Floats32(e.Tint[:])
	vecs := func(list ...geom.Vec) {
		for _, v := range list {
			h.Floats(v.X, v.Y, v.Z)
		}
	}
	frame := func(f *geom.Frame) { vecs(f.S, f.T, f.N) }
	beam := func(b Beam) {
		h.Int(len(b))
		h.Floats(b...)
	}
	web := func(f func(geom.Vec) float64) {
		if h.Bool(f != nil); f == nil {
			return
		}
		for i := range 512 { // an even spiral over the sphere
			z := 1 - (2*float64(i)+1)/512
			sin, cos := math.Sincos(2 * math.Pi * goldenShift(0, i))
			r := math.Sqrt(1 - z*z)
			h.Floats(f(geom.V(r*cos, r*sin, z)))
		}
	}
	switch s := e.shape.(type) {
	case *rectangle:
		h.Text("rectangle")
		vecs(s.corner, s.ex, s.ey, s.n)
		beam(s.beam)
		web(s.dir)
		h.Bool(s.both)
	case *disc:
		h.Text("disc")
		vecs(s.c)
		frame(&s.f)
		h.Floats(s.r)
		beam(s.beam)
		web(s.web)
		h.Bool(s.both)
	case *octagon:
		h.Text("octagon")
		vecs(s.c)
		frame(&s.f)
		h.Floats(s.in)
		beam(s.beam)
	case *sphere:
		h.Text("sphere")
		vecs(s.c, s.axis)
		h.Floats(s.r)
		beam(s.beam)
		web(s.web)
	case *tube:
		h.Text("tube")
		vecs(s.a, s.axis)
		h.Floats(s.l, s.r)
	case *point:
		h.Text("point")
		vecs(s.p, s.axis)
		h.Floats(s.edge)
		beam(s.beam)
		web(s.web)
	case *polygon:
		h.Text("polygon")
		vecs(s.p...)
		h.Bool(s.both)
	case *sky:
		h.Text("sky")
		web(s.radiance)
	case *sun:
		h.Text("sun")
		frame(&s.f)
		h.Floats(s.cosMax)
	case *sunBeam:
		h.Text("sun beam")
		vecs(s.corner, s.ex, s.ey, s.n, s.to)
	default:
		panic("trace: an emitter of a shape without a content key")
	}
	return h.Key()
}

// sameAs reports whether two emitters are of one content and give the same light.
func (e *Emitter) sameAs(o *Emitter) bool {
	return e.Layer == o.Layer && e.flux() == o.flux() && e.key() == o.key()
}
