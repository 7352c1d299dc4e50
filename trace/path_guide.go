package trace

import (
	"math"

	"halfstop/geom"
)

// pathGuide is what training paths learned: by which directions light comes to each receptor, and
// to the cells of the surfaces that their paths met. It finds what next-event estimation and relays
// do not: light through a gap, round two corners. A path follows it with a fixed probability, so it
// changes noise and never the mean. Sources: Jensen 1995, 'Importance driven path tracing'; Müller,
// Gross and Novák 2017, 'Practical path guiding'. Check: TestPathGuide.
type pathGuide struct {
	size  float64 // of a cell, metres
	first []*directionTree
	cells map[uint64]*directionTree
	// portals are the openings through which light comes, each seen from the dark side only.
	portals []patch
}

const (
	firstTreeShare = 0.3  // how often a path follows the guide at its first vertex
	deepTreeShare  = 0.15 // and at the next ones
	portalShare    = 0.25 // how often a path goes to an opening through which light comes
	relayCut       = 0.3  // of their usual share that relays keep beside it
)

// learn makes the trees of the receptors ids, and those of all cells, from the samples found so
// far.
func (g *pathGuide) learn(found [][]trained, ids []int) {
	cells := map[uint64][]guideSample{}
	own := make([][]guideSample, len(found))
	for i, list := range found {
		for _, s := range list {
			if s.cell == 0 {
				own[i] = append(own[i], s.guideSample)
			} else {
				cells[s.cell] = append(cells[s.cell], s.guideSample)
			}
		}
	}
	for _, i := range ids {
		g.first[i] = newDirectionTree(own[i])
	}
	clear(g.cells)
	for k, s := range cells {
		if t := newDirectionTree(s); t != nil {
			g.cells[k] = t
		}
	}
}

// cellKey names the lattice cell of p on a surface that faces n; never 0.
func cellKey(size float64, p, n geom.Vec) uint64 {
	face := uint64(5)
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch {
	case x >= y && x >= z:
		face = 1
		if n.X < 0 {
			face = 2
		}
	case y >= z:
		face = 3
		if n.Y < 0 {
			face = 4
		}
	case n.Z < 0:
		face = 6
	}
	i := func(v float64) uint64 { return uint64(int64(math.Floor(v/size))+1<<19) & (1<<20 - 1) }
	return face<<60 | i(p.X)<<40 | i(p.Y)<<20 | i(p.Z)
}

// trained is one training sample, of the receptor (cell 0) or of a cell.
type trained struct {
	cell uint64
	guideSample
}

// trainer follows a training path and notes for its first vertices the direction taken and the
// light that came of it.
type trainer struct {
	weights  []float64 // by layer
	size     float64
	out      []trained
	segments []litSegment
	path     [6]trainedVertex
	n        int
	beyond   bool // the path has more vertices than are noted
}

type trainedVertex struct {
	trained
	p    geom.Vec
	lit  bool    // next-event estimation found light here
	left bool    // the path has gone on from here
	inv  float64 // 1 over the throughput before the vertex
	sum  float64
}

// arrive notes that the path has come to v with throughput beta.
func (t *trainer) arrive(v *vertex, beta *Band) {
	if t.beyond = t.n == len(t.path); t.beyond {
		return
	}
	t.path[t.n] = trainedVertex{p: v.p, inv: 1 / max(1e-30, float64(meanBand(beta)))}
	t.n++
}

// record notes that the path leaves v along d; jx and jy move its place by
// up to half a cell, so that cells learn from their neighbours.
func (t *trainer) record(v *vertex, d geom.Vec, jx, jy float64) {
	if t.beyond {
		return
	}
	s := &t.path[t.n-1]
	s.left = true
	u, w := mapDirection(d)
	s.u, s.v = float32(u), float32(w)
	if t.n > 1 && v.kind != inMedium {
		f := geom.FrameOf(v.ng)
		s.cell = cellKey(t.size, v.p.AddMul(f.S, (jx-0.5)*t.size).AddMul(f.T, (jy-0.5)*t.size), v.ng)
	}
}

// sees notes that next-event estimation found light at the vertex.
func (t *trainer) sees() {
	if !t.beyond {
		t.path[t.n-1].lit = true
	}
}

// add takes light that the path brought, as in accumulator.add.
func (t *trainer) add(layer int, beta, f *Band, k float64) {
	x := 0.0
	for b := range f {
		x += float64(beta[b] * f[b])
	}
	x *= k * t.weights[layer] / Bands
	for i := range t.path[:t.n] {
		if t.path[i].left {
			t.path[i].sum += x
		}
	}
}

// end keeps what the path found and readies for the next.
func (t *trainer) end() {
	for i := range t.path[:t.n] {
		s := &t.path[i]
		if !(s.sum > 0) {
			break
		}
		s.weight = float32(s.sum * s.inv)
		if i == 0 || s.cell != 0 && i <= deepGuideVertices {
			t.out = append(t.out, s.trained)
		}
		if i+1 < t.n && !s.lit && t.path[i+1].lit {
			t.segments = append(t.segments, litSegment{s.p, t.path[i+1].p, s.sum * s.inv})
		}
	}
	t.n = 0
}

// prepareTree readies the path guide at w.cur, which depth vertices lie before: trees at the first
// vertices, portals at all.
func (w *integrator) prepareTree(depth int) {
	v := w.cur
	v.tree, v.treeProb, v.portalProb = nil, 0, 0
	g := w.learned
	if g == nil || v.kind == inMedium {
		return
	}
	v.guideProb *= relayCut
	switch {
	case depth <= w.directDepth:
		v.tree, v.treeProb = g.first[w.receptor], firstTreeShare
	case depth <= w.directDepth+deepGuideVertices:
		v.tree, v.treeProb = g.cells[cellKey(g.size, v.p, v.ng)], deepTreeShare
	}
	if v.tree == nil {
		v.treeProb = 0
	}
	if len(g.portals) > 0 {
		if v.portals.prepare(g.portals, v.p, nil); v.portals.total > 0 {
			v.portalProb = portalShare
		}
	}
}
