package trace

import (
	"fmt"
	"math"
	"slices"

	"halfstop/bvh"
	"halfstop/geom"
)

// Scene is what light meets and where it comes from. Fill it with the Add methods, then call
// Prepare once; after that any number of goroutines may trace it.
type Scene struct {
	Layers   int
	Emitters []*Emitter
	Medium   *Medium
	// Importance says how much of the work each layer is worth, in any unit; empty: all the same.
	// It changes noise, never the mean.
	Importance []float64

	mats    []*Material
	verts   [][3]float32
	normals [][3]float32 // per vertex; zero: flat
	strands [][3]float32 // per vertex; zero: none
	tones   []float32    // per vertex: multiplies the diffuse part; empty: ones
	tris    [][3]uint32
	triMat  []uint16

	opaque, clear      *bvh.Tree
	opaqueID, clearID  []uint32 // triangle of each primitive
	rects              []patch  // flat rectangles that may serve as relays
	mirrors            []flatMirror
	lit                []patch // every cell of them with the light that it passes on
	reused             bool    // trees and relays are taken over from a scene much like this one
	guides, deepGuides []patch // relays for the first vertex of a path, and for deeper ones
	all                []int   // every layer
	hittable           []*Emitter
	byLayer            [][]*Emitter
	lm                 []float64 // flux of each layer per unit
	clearBounds        geom.Box  // round all clear triangles
	bounds             geom.Box
	eps                float64 // how far a ray starts off a surface
}

// Medium is an even haze. Source: check-values G.
type Medium struct {
	Extinction float64 // per metre
	Albedo     float64 // share of the extinction that scatters
	G          float64 // Henyey–Greenstein mean cosine
	// Indoors says that it fills a room: it ends where a ray leaves the bounds of the scene, by a
	// window, say. Otherwise it is endless, and followed over hazeReach.
	Indoors bool
}

// AddMaterial takes m and returns its number; the error names the share that is out of range.
func (sc *Scene) AddMaterial(m Material) (int, error) {
	if err := m.Check(); err != nil {
		return 0, err
	}
	if len(sc.mats) >= math.MaxUint16 {
		return 0, fmt.Errorf("more than %d materials", math.MaxUint16)
	}
	m.id = len(sc.mats)
	m.prepare()
	sc.mats = append(sc.mats, &m)
	return len(sc.mats) - 1, nil
}

// Material returns material number id.
func (sc *Scene) Material(id int) *Material { return sc.mats[id] }

// AddEmitter takes e into its layer.
func (sc *Scene) AddEmitter(e *Emitter) {
	sc.Emitters = append(sc.Emitters, e)
	sc.Layers = max(sc.Layers, e.Layer+1)
}

func (sc *Scene) vertex(p geom.Vec) uint32 {
	sc.verts = append(sc.verts, [3]float32{float32(p.X), float32(p.Y), float32(p.Z)})
	sc.normals = append(sc.normals, [3]float32{})
	sc.bounds = sc.bounds.Grow(p)
	return uint32(len(sc.verts) - 1)
}

func (sc *Scene) tri(a, b, c uint32, mat int) {
	sc.tris = append(sc.tris, [3]uint32{a, b, c})
	sc.triMat = append(sc.triMat, uint16(mat))
}

// AddQuad adds a flat rectangle of centre c in frame f (S along w, T along h, N the front).
func (sc *Scene) AddQuad(c geom.Vec, f geom.Frame, w, h float64, mat int) {
	x, y := f.S.Mul(w/2), f.T.Mul(h/2)
	p := [4]geom.Vec{c.Sub(x).Sub(y), c.Add(x).Sub(y), c.Add(x).Add(y), c.Sub(x).Add(y)}
	var id [4]uint32
	for i := range p {
		id[i] = sc.vertex(p[i])
	}
	sc.tri(id[0], id[1], id[2], mat)
	sc.tri(id[0], id[2], id[3], mat)
	sc.relayRect(p[0], x.Mul(2), y.Mul(2), mat, 2, false)
}

// Rect is a part of a wall in the wall's own coordinates.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// AddWall adds the rectangle corner + x·ex + y·ey (0 ≤ x ≤ w, 0 ≤ y ≤ h; ex, ey unit, front towards
// ex × ey) less its holes.
func (sc *Scene) AddWall(corner, ex, ey geom.Vec, w, h float64, holes []Rect, mat int) {
	xs, ys := []float64{0, w}, []float64{0, h}
	for _, r := range holes {
		xs = append(xs, min(w, max(0, r.X0)), min(w, max(0, r.X1)))
		ys = append(ys, min(h, max(0, r.Y0)), min(h, max(0, r.Y1)))
	}
	xs, ys = distinct(xs), distinct(ys)
	f := geom.Frame{S: ex, T: ey, N: ex.Cross(ey)}
	for i := 1; i < len(xs); i++ {
		for j := 1; j < len(ys); j++ {
			cx, cy := (xs[i-1]+xs[i])/2, (ys[j-1]+ys[j])/2
			if !inHole(holes, cx, cy) {
				sc.AddQuad(corner.AddMul(ex, cx).AddMul(ey, cy), f, xs[i]-xs[i-1], ys[j]-ys[j-1], mat)
			}
		}
	}
}

func inHole(holes []Rect, x, y float64) bool {
	for _, r := range holes {
		if x > r.X0 && x < r.X1 && y > r.Y0 && y < r.Y1 {
			return true
		}
	}
	return false
}

// AddPolygon adds a flat simple polygon (corners in order; front by the right-hand rule), cut into
// triangles by ears. Less its holes where it is level and holes (in x and y) are given.
func (sc *Scene) AddPolygon(p []geom.Vec, mat int) error {
	tris, err := Triangulate(p)
	if err != nil {
		return err
	}
	id := make([]uint32, len(p))
	for i, q := range p {
		id[i] = sc.vertex(q)
	}
	for _, t := range tris {
		sc.tri(id[t[0]], id[t[1]], id[t[2]], mat)
	}
	// Where light falls on it, it may be a relay: offer its bounding rectangle, cell by cell.
	n := newell(p)
	f := geom.FrameOf(n)
	lo, hi := math.Inf(1), math.Inf(-1)
	lo2, hi2 := lo, hi
	for _, q := range p {
		d := q.Sub(p[0])
		lo, hi = min(lo, d.Dot(f.S)), max(hi, d.Dot(f.S))
		lo2, hi2 = min(lo2, d.Dot(f.T)), max(hi2, d.Dot(f.T))
	}
	sc.relayRect(p[0].AddMul(f.S, lo).AddMul(f.T, lo2), f.S.Mul(hi-lo), f.T.Mul(hi2-lo2), mat, len(tris), true)
	return nil
}

// AddBox adds a box in frame f with centre c and size s along f's axes; mats are the materials of
// -S, +S, -T, +T, -N, +N; a negative one leaves that face out. inward turns the fronts to the
// inside.
func (sc *Scene) AddBox(c geom.Vec, f geom.Frame, s geom.Vec, mats [6]int, inward bool) {
	type face struct {
		n, x, y geom.Vec
		d, w, h float64
	}
	faces := [6]face{
		{f.S.Neg(), f.T.Neg(), f.N, s.X, s.Y, s.Z}, {f.S, f.T, f.N, s.X, s.Y, s.Z},
		{f.T.Neg(), f.S, f.N, s.Y, s.X, s.Z}, {f.T, f.S.Neg(), f.N, s.Y, s.X, s.Z},
		{f.N.Neg(), f.T, f.S, s.Z, s.Y, s.X}, {f.N, f.S, f.T, s.Z, s.X, s.Y},
	}
	for i, q := range faces {
		if mats[i] < 0 {
			continue
		}
		fr := geom.Frame{S: q.x, T: q.y, N: q.n}
		if inward {
			fr = geom.Frame{S: q.x.Neg(), T: q.y, N: q.n.Neg()}
		}
		sc.AddQuad(c.AddMul(q.n, q.d/2), fr, q.w, q.h, mats[i])
	}
}

// AddDisc adds a flat disc as a 96-corner polygon of the same area.
func (sc *Scene) AddDisc(c geom.Vec, f geom.Frame, radius float64, mat int) {
	const n = 96
	r := radius * math.Sqrt(2*math.Pi/n/math.Sin(2*math.Pi/n))
	m := sc.vertex(c)
	first := uint32(len(sc.verts))
	for i := range n {
		s, k := math.Sincos(2 * math.Pi * float64(i) / n)
		sc.vertex(c.Add(f.Out(r*k, r*s, 0)))
	}
	for i := range uint32(n) {
		sc.tri(m, first+i, first+(i+1)%n, mat)
	}
	sc.relayRect(c.Sub(f.S.Mul(radius)).Sub(f.T.Mul(radius)), f.S.Mul(2*radius), f.T.Mul(2*radius), mat, n, true)
}

// AddCylinder adds an upright closed cylinder standing on foot, 64 sides of the same cross-section.
func (sc *Scene) AddCylinder(foot geom.Vec, radius, height float64, mat int) {
	sc.AddRod(foot, foot.Add(geom.V(0, 0, height)), radius, 64, mat)
}

// AddRod adds a closed cylinder from a to b with n sides.
func (sc *Scene) AddRod(a, b geom.Vec, radius float64, n int, mat int) {
	f := geom.FrameOf(b.Sub(a).Unit())
	r := radius * math.Sqrt(2*math.Pi/float64(n)/math.Sin(2*math.Pi/float64(n)))
	ca, cb := sc.vertex(a), sc.vertex(b)
	first := uint32(len(sc.verts))
	for i := range n {
		s, k := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		o := f.Out(r*k, r*s, 0)
		nrm := f.Out(k, s, 0)
		for _, p := range [2]geom.Vec{a.Add(o), b.Add(o)} {
			v := sc.vertex(p)
			sc.normals[v] = [3]float32{float32(nrm.X), float32(nrm.Y), float32(nrm.Z)}
		}
		sc.vertex(a.Add(o))
		sc.vertex(b.Add(o))
	}
	for i := range uint32(n) {
		j := (i + 1) % uint32(n)
		a0, b0, a1, b1 := first+4*i, first+4*i+1, first+4*j, first+4*j+1
		sc.tri(a0, a1, b1, mat)
		sc.tri(a0, b1, b0, mat)
		sc.tri(ca, a1+2, a0+2, mat)
		sc.tri(cb, b0+2, b1+2, mat)
	}
}

// AddSphere adds a ball as a subdivided icosahedron of 5,120 triangles with the ball's own volume,
// shaded smooth. inward turns its front to the inside.
func (sc *Scene) AddSphere(c geom.Vec, radius float64, mat int, inward bool) {
	pts, tris := icosphere(4)
	// Scale so that the enclosed volume is the ball's.
	vol := 0.0
	for _, t := range tris {
		vol += pts[t[0]].Dot(pts[t[1]].Cross(pts[t[2]])) / 6
	}
	r := radius * math.Cbrt(4*math.Pi/3/vol)
	first := uint32(len(sc.verts))
	for _, p := range pts {
		v := sc.vertex(c.AddMul(p, r))
		sc.normals[v] = [3]float32{float32(p.X), float32(p.Y), float32(p.Z)}
	}
	for _, t := range tris {
		a, b, k := first+t[0], first+t[1], first+t[2]
		if inward {
			b, k = k, b
		}
		sc.tri(a, b, k, mat)
	}
}

// Mesh is a triangle mesh ready for AddMesh; Normals, Strands and Tones may be empty.
type Mesh struct {
	Pos, Normals, Strands [][3]float32
	Tones                 []float32
	Tris                  [][3]uint32
	Mat                   []int // of each triangle
}

// AddMesh adds m. Indices out of range are an error.
func (sc *Scene) AddMesh(m *Mesh) error {
	for i, t := range m.Tris {
		for _, v := range t {
			if int(v) >= len(m.Pos) {
				return fmt.Errorf("triangle %d names corner %d of %d", i, v, len(m.Pos))
			}
		}
		if m.Mat[i] < 0 || m.Mat[i] >= len(sc.mats) {
			return fmt.Errorf("triangle %d has material %d of %d", i, m.Mat[i], len(sc.mats))
		}
	}
	first := uint32(len(sc.verts))
	if len(m.Pos) > 0 {
		lo, hi := m.Pos[0], m.Pos[0]
		for i, p := range m.Pos {
			if d := p[0] - p[0] + p[1] - p[1] + p[2] - p[2]; d != 0 { // NaN for Inf and NaN
				return fmt.Errorf("corner %d is not finite", i)
			}
			for k, v := range p {
				lo[k], hi[k] = min(lo[k], v), max(hi[k], v)
			}
		}
		for _, p := range [2][3]float32{lo, hi} {
			sc.bounds = sc.bounds.Grow(geom.V(float64(p[0]), float64(p[1]), float64(p[2])))
		}
	}
	sc.verts = append(sc.verts, m.Pos...)
	sc.normals = append(append(sc.normals, m.Normals[:min(len(m.Normals), len(m.Pos))]...),
		make([][3]float32, max(0, len(m.Pos)-len(m.Normals)))...)
	if len(m.Tones) > 0 {
		for len(sc.tones) < int(first) {
			sc.tones = append(sc.tones, 1)
		}
		sc.tones = append(sc.tones, m.Tones...)
	}
	if len(m.Strands) > 0 {
		for len(sc.strands) < int(first) {
			sc.strands = append(sc.strands, [3]float32{})
		}
		sc.strands = append(sc.strands, m.Strands...)
	}
	for i, t := range m.Tris {
		sc.tri(first+t[0], first+t[1], first+t[2], m.Mat[i])
	}
	return nil
}

// Triangles returns how many triangles the scene has.
func (sc *Scene) Triangles() int { return len(sc.tris) }

// EachTriangle calls f with the material and the corners (metres) of every triangle.
func (sc *Scene) EachTriangle(f func(mat int, corners [3]geom.Vec)) {
	for i, t := range sc.tris {
		f(int(sc.triMat[i]), [3]geom.Vec{sc.corner(t[0]), sc.corner(t[1]), sc.corner(t[2])})
	}
}

// Bounds returns the box round all surfaces; empty for none.
func (sc *Scene) Bounds() geom.Box { return sc.bounds }

// New returns an empty scene.
func New() *Scene { return &Scene{bounds: geom.Empty()} }

// Prepare builds the trees and finds the relays. It must be called once, after all Add calls.
func (sc *Scene) Prepare() error {
	sc.buildTrees(nil)
	sc.prepareLights()
	sc.findRelays()
	return nil
}

// plant builds the trees, or moves those of old where that has the same triangles in another place.
func (sc *Scene) buildTrees(old *Scene) {
	op, cl := make([][3]uint32, 0, len(sc.tris)), [][3]uint32(nil)
	sc.opaqueID, sc.clearID, sc.clearBounds = make([]uint32, 0, len(sc.tris)), nil, geom.Empty()
	for i, t := range sc.tris {
		m := sc.mats[sc.triMat[i]]
		if m.hasClear || m.Back != nil && m.Back.hasClear {
			cl = append(cl, t)
			for _, v := range t {
				sc.clearBounds = sc.clearBounds.Grow(sc.corner(v))
			}
			sc.clearID = append(sc.clearID, uint32(i))
		} else {
			op = append(op, t)
			sc.opaqueID = append(sc.opaqueID, uint32(i))
		}
	}
	sc.opaque, sc.clear = nil, nil
	if old != nil && slices.Equal(sc.tris, old.tris) && slices.Equal(sc.opaqueID, old.opaqueID) {
		sc.opaque = old.opaque.Refit(sc.verts, op, sc.stands(old, op))
	}
	if sc.opaque == nil {
		sc.opaque = bvh.Build(sc.verts, op)
	}
	if len(cl) > 0 {
		sc.clear = bvh.Build(sc.verts, cl)
	}
}

// stands counts the triangles, from the first, whose corners are where they were.
func (sc *Scene) stands(old *Scene, tris [][3]uint32) int {
	n := uint32(min(len(sc.verts), len(old.verts)))
	for v := range n {
		if sc.verts[v] != old.verts[v] {
			n = v
			break
		}
	}
	for i, t := range tris {
		if max(t[0], t[1], t[2]) >= n {
			return i
		}
	}
	return len(tris)
}

// ready works out what the tracing of the emitters and the mirrors needs.
func (sc *Scene) prepareLights() {
	size := 1.0
	for _, e := range sc.Emitters {
		if c, r := e.bounds(); !math.IsInf(r, 0) && len(sc.tris) == 0 {
			size = max(size, c.Len()+r)
		}
	}
	if len(sc.tris) > 0 {
		size = sc.bounds.Size().Len()
		for _, p := range [2]geom.Vec{sc.bounds.Lo, sc.bounds.Hi} {
			size = max(size, p.Len())
		}
	}
	sc.eps = 1e-5 * size
	sc.byLayer, sc.lm = make([][]*Emitter, sc.Layers), make([]float64, sc.Layers)
	sc.all, sc.hittable = make([]int, sc.Layers), nil
	for l := range sc.all {
		sc.all[l] = l
	}
	for i, e := range sc.Emitters {
		e.id, e.tinted, e.lm = i, e.Tint != Grey(1), e.flux()
		e.centre, e.radius = e.bounds()
		e.hittable = e.radius > 0
		if e.hittable {
			sc.hittable = append(sc.hittable, e)
		}
		e.axis, e.skyFalloff = e.face(), 4/(size*size)
		sc.lm[e.Layer] += e.lm
		sc.byLayer[e.Layer] = append(sc.byLayer[e.Layer], e)
	}
	sc.findMirrors()
}

// Flux is the light that a layer gives per unit emission, lm.
func (sc *Scene) Flux(layer int) float64 {
	sum := 0.0
	for _, e := range sc.Emitters {
		if e.Layer == layer {
			sum += e.flux()
		}
	}
	return sum
}

// Bytes estimates the memory that a scene of n triangles takes with its trees.
func Bytes(n int) int64 { return int64(n) * (12 + 2 + 4 + 120) }

// First returns the distance from o along d (unit) to the first surface, opaque or clear.
func (sc *Scene) FirstHit(o, d geom.Vec) (dist float64, ok bool) {
	id, h := sc.closest(o, d)
	return float64(h.T), id >= 0
}
