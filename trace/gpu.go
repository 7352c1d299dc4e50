package trace

import (
	"context"
	"fmt"
	"math"

	"halfstop/bvh"
	"halfstop/geom"
)

// GPUScene is a scene as the page's graphics processor reads it: flat lists of 32-bit numbers. The
// page's tracer is web/src/gpu/trace.wgsl; docs/decisions/0009 says how the two are kept equal.
type GPUScene struct {
	Nodes    []bvh.BinaryNode
	Roots    [3]int   // of what stands, of what a hand can move, of what is clear; -1: none
	Bodies   [][2]int // roots of what is solid and what is clear of each body that is carried as a whole; -1: none
	Counts   [3]int   // triangles below Roots
	Tris     []GPUTriangle
	Shades   []GPUShading
	Mats     []float32 // gpuMaterial numbers each, front and back of each material
	Sheens   []float32 // tables of hair
	Emitters []float32 // gpuEmitter numbers each, layer by layer
	Tables   []float32 // beams and portals
	Layers   [][2]int  // first emitter and how many
	Foreign  []bool    // layers with an emitter that the page's tracer has no code for
	Guides   []float32 // gpuGuide numbers each: the relays
	Mirrors  []float32 // 16 numbers each: flat mirrors and panes in which the lights are seen
	Shares   []float32 // what each relay passes on of each layer, front and back
	Eps      float32   // how far a ray starts off a surface, metres
	ClearLo  [3]float32
	ClearHi  [3]float32 // bounds of all that is clear, metres
	// From here on Tris and Nodes are of what a hand can move.
	FirstMoving, FirstMovingNode int
	ClearMoves                   bool // some of what a hand can move is clear, and lies among what is clear

	nodeAt, triAt int
	bodies        [][2]int
}

// GPUTriangle is a triangle: a corner, its sides (metres), and what it is of.
type GPUTriangle struct {
	A   [3]float32
	Mat uint32
	E1  [3]float32
	ID  uint32
	E2  [3]float32
	_   uint32
}

// GPUShading is what a triangle's corners hold beside their place: normals and strands packed by
// octahedron (Meyer et al. 2010, 'On floating-point normal vectors'), 0 for none; tones in bytes.
type GPUShading struct {
	N     [3]uint32
	Tones uint32
	S     [3]uint32
	_     uint32
}

// MostBodies is how many bodies the page's tracer carries as a whole, by place and turn.
const MostBodies = 4

// How many numbers each record has.
const (
	gpuMaterial = 4 * 52
	gpuEmitter  = 4 * 12
	gpuGuide    = 4 * 4
)

// Kinds of emitters.
const (
	gpuRect = iota
	gpuDisc
	gpuOct
	gpuTube
	gpuSphere
	gpuPoint
)

// GPU lists the scene for a graphics processor. Triangles from number moving on lie below a root of
// their own, and so do those of each body, given by its first triangle and the one after its last;
// bodies come before what moves, at most MostBodies of them. Layers with an emitter of a kind that
// the page's tracer has no code for are Foreign. Check: TestGPUScene; TestLivePicture of
// internal/e2e.
func (sc *Scene) GPU(moving int, bodies ...[2]int) *GPUScene {
	l := &GPUScene{Eps: float32(sc.eps), bodies: bodies}
	if sc.clear != nil {
		l.ClearLo, l.ClearHi = f32(sc.clearBounds.Lo), f32(sc.clearBounds.Hi)
	}
	l.lay(sc, moving, true)
	for _, m := range sc.mats {
		l.material(m)
		if m.Back != nil {
			l.material(m.Back)
		} else {
			l.material(m)
		}
	}
	l.lights(sc)
	return l
}

// GPUMoving lists again what a hand can move, and all light: the triangles from number moving on
// that are not clear, below a root of their own, as if node nodes and tri triangles came before.
func (sc *Scene) GPUMoving(moving, node, tri int) *GPUScene {
	l := &GPUScene{Eps: float32(sc.eps), nodeAt: node, triAt: tri}
	l.lay(sc, moving, false)
	l.lights(sc)
	return l
}

// lay builds the trees of what stands, of each body, of what is clear and, last so that it can be
// sent again alone, of what a hand can move; of that only unless whole.
func (l *GPUScene) lay(sc *Scene, moving int, whole bool) {
	isClear := make([]bool, len(sc.tris))
	for _, id := range sc.clearID {
		isClear[id] = true
	}
	for i := moving; i < len(sc.tris); i++ {
		l.ClearMoves = l.ClearMoves || isClear[i]
	}
	// Below which root a triangle lies: 0 stands, 1 moves, 2 clear, then two for each body.
	kind := func(i int) int {
		for k, b := range l.bodies {
			if i >= b[0] && i < b[1] {
				if isClear[i] {
					return 4 + 2*k
				}
				return 3 + 2*k
			}
		}
		switch {
		case isClear[i]:
			return 2
		case i >= moving:
			return 1
		}
		return 0
	}
	kinds := make([][]uint32, 3+2*len(l.bodies))
	first := 0
	if !whole {
		first = moving
	}
	for i := first; i < len(sc.tris); i++ {
		k := kind(i)
		kinds[k] = append(kinds[k], uint32(i))
	}
	l.Roots = [3]int{-1, -1, -1}
	if whole {
		l.Roots[0], l.Roots[2] = l.tree(sc, kinds[0]), l.tree(sc, kinds[2])
		for k := range l.bodies {
			l.Bodies = append(l.Bodies, [2]int{l.tree(sc, kinds[3+2*k]), l.tree(sc, kinds[4+2*k])})
		}
	}
	l.FirstMoving, l.FirstMovingNode = len(l.Tris), len(l.Nodes)
	l.Roots[1] = l.tree(sc, kinds[1])
	for k := range l.Counts {
		l.Counts[k] = len(kinds[k])
	}
}

// tree lists triangles below a root of their own and gives its number; -1 for none.
func (l *GPUScene) tree(sc *Scene, ids []uint32) int {
	if len(ids) == 0 {
		return -1
	}
	part := make([][3]uint32, len(ids))
	for i, id := range ids {
		part[i] = sc.tris[id]
	}
	root := l.nodeAt + len(l.Nodes)
	nodes, order, _ := bvh.BuildBinary(sc.verts, part, root, l.triAt+len(l.Tris))
	l.Nodes = append(l.Nodes, nodes...)
	for _, o := range order {
		l.triangle(sc, ids[o])
	}
	return root
}

// lights lists emitters and relays.
func (l *GPUScene) lights(sc *Scene) {
	l.Foreign = make([]bool, sc.Layers)
	for layer := range sc.Layers {
		first := len(l.Emitters) / gpuEmitter
		for _, e := range sc.byLayer[layer] {
			if !l.emitter(e) {
				l.Foreign[layer] = true
			}
		}
		l.Layers = append(l.Layers, [2]int{first, len(l.Emitters)/gpuEmitter - first})
	}
	for i := range sc.mirrors {
		m := &sc.mirrors[i]
		l.Mirrors = append(l.Mirrors, vec4(m.corner, 0)...)
		l.Mirrors = append(l.Mirrors, vec4(m.ex, m.lx)...)
		l.Mirrors = append(l.Mirrors, vec4(m.ey, m.ly)...)
		l.Mirrors = append(l.Mirrors, vec4(m.n, 0)...)
	}
	for i := range sc.guides {
		p := &sc.guides[i]
		l.Guides = append(l.Guides, vec4(p.corner, p.f)...)
		l.Guides = append(l.Guides, vec4(p.ex, p.b)...)
		l.Guides = append(l.Guides, vec4(p.ey, p.lx*p.ly)...)
		l.Guides = append(l.Guides, vec4(p.n, 0)...)
		for k := range p.front {
			l.Shares = append(l.Shares, float32(p.front[k]), float32(p.back[k]))
		}
	}
}

// Relays is how many relays are listed.
func (l *GPUScene) Relays() int { return len(l.Guides) / gpuGuide }

func f32(a geom.Vec) [3]float32 { return [3]float32{float32(a.X), float32(a.Y), float32(a.Z)} }

func vec4(a geom.Vec, w float64) []float32 {
	return []float32{float32(a.X), float32(a.Y), float32(a.Z), float32(w)}
}

func (l *GPUScene) triangle(sc *Scene, id uint32) {
	t := sc.tris[id]
	a := sc.verts[t[0]]
	out := GPUTriangle{A: a, Mat: uint32(sc.triMat[id]), ID: id}
	s := GPUShading{Tones: 0xffffff}
	for c := range 3 {
		out.E1[c], out.E2[c] = sc.verts[t[1]][c]-a[c], sc.verts[t[2]][c]-a[c]
	}
	for k, v := range t {
		s.N[k] = octahedral(sc.normals[v])
		if int(v) < len(sc.strands) {
			s.S[k] = octahedral(sc.strands[v])
		}
		if int(v) < len(sc.tones) {
			s.Tones &^= 0xff << (8 * k)
			s.Tones |= uint32(min(1, max(0, sc.tones[v]))*255+0.5) << (8 * k)
		}
	}
	l.Tris, l.Shades = append(l.Tris, out), append(l.Shades, s)
}

// octahedral packs a direction into 2 × 16 bits; 0 for none.
func octahedral(n [3]float32) uint32 {
	x, y, z := float64(n[0]), float64(n[1]), float64(n[2])
	k := math.Abs(x) + math.Abs(y) + math.Abs(z)
	if k == 0 {
		return 0
	}
	x, y = x/k, y/k
	if z < 0 {
		x, y = (1-math.Abs(y))*math.Copysign(1, x), (1-math.Abs(x))*math.Copysign(1, y)
	}
	q := func(v float64) uint32 { return uint32(math.Round((v + 1) / 2 * 65534)) }
	return (q(x)+1)<<16 | (q(y) + 1)
}

func (l *GPUScene) material(m *Material) {
	// The flags are DIFFUSE, TRANS and so on of trace.wgsl, in this order.
	var flags float32
	for i, on := range []bool{m.hasDiffuse, m.hasTrans, m.hasMirror, m.hasClear, m.Strand, m.hasSecond, m.Glass > 0} {
		if on {
			flags += float32(int(1) << i)
		}
	}
	out := make([]float32, 0, gpuMaterial)
	for _, b := range []*Band{&m.Diffuse, &m.Trans, &m.Mirror, &m.Clear, &m.Second} {
		out = append(out, b[:]...)
	}
	coatAvg, mirrorAvg := 0.0, 0.0
	var coat, mirror, wide [36]float32
	if m.coatLobe != nil {
		copy(coat[:], m.coatLobe.e[:])
		coatAvg = m.coatLobe.avg
		wide = coat
	}
	if m.mirrorLobe != nil {
		copy(mirror[:], m.mirrorLobe.e[:])
		mirrorAvg = m.mirrorLobe.avg
	}
	if b := m.regularised; b != nil && b.wideCoatLobe != nil {
		copy(wide[:], b.wideCoatLobe.e[:])
	}
	// Behind the 33 numbers of the coat's table: the pattern and its most.
	coat[33], coat[34] = float32(m.Pattern), m.maxTexture
	sheen := func(s *sheen) float32 {
		if s == nil {
			return -1
		}
		at := len(l.Sheens)
		for i := range s.table.e {
			l.Sheens = append(l.Sheens, s.table.e[i][:]...)
		}
		l.Sheens = append(l.Sheens, float32(s.along), float32(s.sin), float32(s.cos), float32(s.index),
			float32(s.table.avg))
		return float32(at)
	}
	out = append(out, flags, float32(m.Alpha), float32(m.Coat), float32(m.CoatAlpha),
		float32(m.Glass), float32(coatAvg), float32(mirrorAvg), meanBand(&m.Mirror),
		meanBand(&m.Diffuse), meanBand(&m.Trans), sheen(m.coatSheen), sheen(m.backSheen))
	out = append(append(append(out, coat[:]...), mirror[:]...), wide[:]...)
	l.Mats = append(l.Mats, append(out, make([]float32, gpuMaterial-len(out))...)...)
}

func (l *GPUScene) beam(b Beam) float64 {
	if b == nil {
		return -1
	}
	at := len(l.Tables)
	for i := range 181 {
		l.Tables = append(l.Tables, float32(b[min(i, len(b)-1)]))
	}
	return float64(at)
}

// portal lists what comes through a rectangle by direction: 64 × 64 levels of its shares along the
// rectangle's sides. What lies outside the hemisphere takes its edge.
func (l *GPUScene) portal(r *rectangle) float64 {
	if r.dir == nil {
		return -1
	}
	at := len(l.Tables)
	ex, ey := r.ex.Mul(1/r.lx), r.ey.Mul(1/r.ly)
	for i := range 64 {
		for j := range 64 {
			x, y := (float64(j)+0.5)/32-1, (float64(i)+0.5)/32-1
			if q := math.Hypot(x, y); q > 0.999 {
				x, y = x/q*0.999, y/q*0.999
			}
			w := ex.Mul(x).AddMul(ey, y).AddMul(r.n, -math.Sqrt(1-x*x-y*y))
			l.Tables = append(l.Tables, float32(r.dir(w)))
		}
	}
	return float64(at)
}

// web lists what a light measured by direction sends, relative to its axis: by 181 degrees off the
// axis and 24 steps round it, counted from the frame that frameOf of trace.wgsl builds.
func (l *GPUScene) web(web func(geom.Vec) float64, axis geom.Vec) float64 {
	if web == nil {
		return -1
	}
	at := len(l.Tables)
	f := geom.FrameOf(geom.V(axis.X, axis.Y, axis.Z+0)) // a height of −0 is one of 0 there
	for i := range 181 {
		s, c := math.Sincos(float64(i) * math.Pi / 180)
		for j := range 24 {
			t, r := math.Sincos(float64(j) * math.Pi / 12)
			l.Tables = append(l.Tables, float32(web(f.S.Mul(s*r).AddMul(f.T, s*t).AddMul(f.N, c))))
		}
	}
	return float64(at)
}

// emitter lists: kind, layer, luminance, beam; centre, radius; axis, flux; two or three vectors of
// shape; table by direction, two-sided; tint.
func (l *GPUScene) emitter(e *Emitter) bool {
	k := 0
	le, beam, portal, both := 0.0, -1.0, -1.0, 0.0
	var p [4][]float32
	for i := range p {
		p[i] = make([]float32, 4)
	}
	switch s := e.shape.(type) {
	case *rectangle:
		k, le, beam, portal = gpuRect, s.le, l.beam(s.beam), l.portal(s)
		if s.both {
			both = 1
		}
		p = [4][]float32{vec4(s.corner, s.lx*s.ly), vec4(s.ex, s.lx), vec4(s.ey, s.ly), vec4(s.n, 0)}
	case *disc:
		k, le, beam, portal = gpuDisc, s.le, l.beam(s.beam), l.web(s.web, s.f.N)
		if s.both {
			both = 1
		}
		p = [4][]float32{vec4(s.c, s.r), vec4(s.f.S, 0), vec4(s.f.T, 0), vec4(s.f.N, 0)}
	case *octagon:
		k, le, beam = gpuOct, s.le, l.beam(s.beam)
		p = [4][]float32{vec4(s.c, s.in), vec4(s.f.S, 0), vec4(s.f.T, 0), vec4(s.f.N, 0)}
	case *tube:
		k, le = gpuTube, s.le
		p[0], p[1] = vec4(s.a, s.r), vec4(s.axis, s.l)
	case *sphere:
		k, le, beam, portal = gpuSphere, s.le, l.beam(s.beam), l.web(s.web, s.axis)
		p[0], p[1] = vec4(s.c, s.r), vec4(s.axis, 0)
	case *point:
		k, le, beam, portal = gpuPoint, s.i, l.beam(s.beam), l.web(s.web, s.axis)
		p[0], p[1] = vec4(s.p, s.edge), vec4(s.axis, 0)
	default:
		return false
	}
	out := []float32{float32(k), float32(e.Layer), float32(le), float32(beam)}
	out = append(out, vec4(e.centre, e.radius)...)
	out = append(out, vec4(e.axis, e.lm)...)
	for i := range p {
		out = append(out, p[i]...)
	}
	out = append(out, float32(portal), float32(both), 0, 0)
	out = append(out, e.Tint[:]...)
	l.Emitters = append(l.Emitters, append(out, make([]float32, gpuEmitter-len(out))...)...)
	return true
}

// GPUCells are the cells of the irradiance cache in which a live picture's paths end: places only,
// their light is gathered by the page.
type GPUCells struct {
	Lo, N [3]int // first cell of the lattice, and how many there are along each axis
	// At holds numbers of cells by face, z, y, x: six faces of bare surfaces, then six under a
	// coat; -1 for none.
	At []float32
	// Places holds 64 numbers a cell: eight places with how many are known, each with its normal
	// and the side of the material (gpuMaterial, from 1) whose coat lies over it, 0 for none.
	Places []float32
}

// GPUCells looks for the cells that matter to a lens; size is that of a cell, metres. Haze has
// none. The error is that of ctx.
func (sc *Scene) GPUCells(ctx context.Context, lens *Lens, size float64) (*GPUCells, error) {
	a := sc.newIrradianceCache(ctx, lens, size, 1)
	if a == nil {
		return nil, ctx.Err()
	}
	out := &GPUCells{}
	l, h := sc.bounds.Lo.Array(), sc.bounds.Hi.Array()
	total := 12
	for k := range 3 {
		out.Lo[k] = int(math.Floor(l[k]/size)) - 1
		out.N[k] = int(math.Floor(h[k]/size)) + 2 - out.Lo[k]
		total *= out.N[k]
	}
	if total > 1<<22 {
		return nil, fmt.Errorf("the room has %d cells of %.2f m; at most %d are listed", total, size, 1<<22)
	}
	out.At = make([]float32, (total+3)/4*4)
	for i := range out.At {
		out.At[i] = -1
	}
	coats := map[*lobe]float64{nil: 0}
	for i, m := range sc.mats {
		for back, side := range []*Material{m, m.Back} {
			if side != nil && side.Coat > 0 && side.coatLobe != nil {
				coats[side.coatLobe] = float64(2*i + back + 1)
			}
		}
	}
	number := make([]int, len(a.list)) // without those in haze
	for c := range a.list {
		q := &a.list[c]
		if q.haze {
			continue
		}
		number[c] = len(out.Places) / 64
		known := min(q.n, cachePoints)
		for k := range cachePoints {
			p := &q.at[k%known]
			out.Places = append(out.Places, vec4(p.p, float64(known))...)
			out.Places = append(out.Places, vec4(p.n, coats[p.coat])...)
		}
	}
	for key, c := range a.cells {
		face := int(key&^coatedCell>>60) - 1
		i := func(shift int) int { return int(key>>shift&(1<<20-1)) - 1<<19 }
		x, y, z := i(40)-out.Lo[0], i(20)-out.Lo[1], i(0)-out.Lo[2]
		if face < 0 || min(x, y, z) < 0 || x >= out.N[0] || y >= out.N[1] || z >= out.N[2] {
			continue
		}
		if key&coatedCell != 0 {
			face += 6
		}
		out.At[((face*out.N[2]+z)*out.N[1]+y)*out.N[0]+x] = float32(number[c])
	}
	return out, nil
}
