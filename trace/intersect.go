package trace

import (
	"math"

	"halfstop/bvh"
	"halfstop/geom"
)

// closest finds the nearest surface of both trees; id is its triangle, -1 for none.
func (sc *Scene) closest(o, d geom.Vec) (id int, h bvh.Hit) {
	r := bvh.Ray{O: [3]float32{float32(o.X), float32(o.Y), float32(o.Z)},
		D:    [3]float32{float32(d.X), float32(d.Y), float32(d.Z)},
		TMax: math.MaxFloat32}
	h = sc.opaque.Closest(&r)
	id = -1
	if h.Prim != bvh.NoHit {
		id = int(sc.opaqueID[h.Prim])
	}
	if sc.clear != nil {
		dist := 1e30
		if id >= 0 {
			r.TMax = h.T
			dist = float64(h.T)
		}
		if sc.missesClear(o, d, dist) {
			return id, h
		}
		if c := sc.clear.Closest(&r); c.Prim != bvh.NoHit {
			return int(sc.clearID[c.Prim]), c
		}
	}
	return id, h
}

// visible reports whether light passes from o along w over dist; dimmed says that clear things are
// in the way, which let pass as much as pass then holds.
func (sc *Scene) visible(o, w geom.Vec, dist float64, pass *Band) (ok, dimmed bool) {
	dist -= 2 * sc.eps
	if dist <= 0 {
		return true, false
	}
	r := bvh.Ray{O: [3]float32{float32(o.X), float32(o.Y), float32(o.Z)},
		D:    [3]float32{float32(w.X), float32(w.Y), float32(w.Z)},
		TMax: float32(min(dist, 1e30))}
	if sc.opaque.Occluded(&r) {
		return false, false
	}
	if sc.clear == nil || sc.missesClear(o, w, dist) {
		return true, false
	}
	left := dist
	for range 32 {
		r.O = [3]float32{float32(o.X), float32(o.Y), float32(o.Z)}
		r.TMax = float32(min(left, 1e30))
		h := sc.clear.Closest(&r)
		if h.Prim == bvh.NoHit {
			break
		}
		id := sc.clearID[h.Prim]
		m := sc.mats[sc.triMat[id]]
		ng := sc.faceNormal(int(id))
		cos := -w.Dot(ng)
		m = m.side(cos > 0)
		var p Band
		m.passes(math.Abs(cos), &p)
		if !dimmed {
			*pass, dimmed = p, true
		} else {
			mulBand(pass, &p)
		}
		if maxBand(pass) == 0 {
			return false, true
		}
		step := float64(h.T) + sc.eps/max(0.1, math.Abs(cos))
		o = o.AddMul(w, step)
		if left -= step; left <= 0 {
			break
		}
	}
	return true, dimmed
}

// pastClear reports whether the way from o along w over dist stays on one side of the box round all
// clear things.
func (sc *Scene) missesClear(o, w geom.Vec, dist float64) bool {
	a, b := sc.clearBounds.Lo, sc.clearBounds.Hi
	e := o.AddMul(w, min(dist, 1e30))
	return o.X < a.X && e.X < a.X || o.X > b.X && e.X > b.X || o.Y < a.Y && e.Y < a.Y || o.Y > b.Y && e.Y > b.Y ||
		o.Z < a.Z && e.Z < a.Z || o.Z > b.Z && e.Z > b.Z
}

func (sc *Scene) corner(i uint32) geom.Vec {
	p := sc.verts[i]
	return geom.V(float64(p[0]), float64(p[1]), float64(p[2]))
}

func (sc *Scene) faceNormal(id int) geom.Vec {
	t := sc.tris[id]
	a := sc.corner(t[0])
	return sc.corner(t[1]).Sub(a).Cross(sc.corner(t[2]).Sub(a)).Unit()
}

// surface fills w.next from a hit.
func (w *integrator) fillSurface(id int, h bvh.Hit, d geom.Vec, sharpCoats bool) {
	sc, n := w.sc, w.next
	t := sc.tris[id]
	a, b, c := sc.corner(t[0]), sc.corner(t[1]), sc.corner(t[2])
	u, v := float64(h.U), float64(h.V)
	n.kind, n.lightsSampled, n.imageProb, n.guideProb = onSurface, false, 0, 0
	n.p = a.Mul(1-u-v).AddMul(b, u).AddMul(c, v)
	n.ng = b.Sub(a).Cross(c.Sub(a)).Unit()
	n.wo, n.coatOnly = d.Neg(), false
	front := n.ng.Dot(d) < 0
	n.m = sc.mats[sc.triMat[id]].side(front)
	if !sharpCoats {
		n.m = n.m.regularised
	}
	n.n = n.ng
	if na := sc.normals[t[0]]; na != ([3]float32{}) {
		nb, nc := sc.normals[t[1]], sc.normals[t[2]]
		k := [3]float64{1 - u - v, u, v}
		n.n = geom.V(float64(na[0])*k[0]+float64(nb[0])*k[1]+float64(nc[0])*k[2],
			float64(na[1])*k[0]+float64(nb[1])*k[1]+float64(nc[1])*k[2],
			float64(na[2])*k[0]+float64(nb[2])*k[1]+float64(nc[2])*k[2]).Unit()
	}
	if n.n.Dot(n.ng) < 0 {
		n.n = n.n.Neg()
	}
	if !front {
		n.ng, n.n = n.ng.Neg(), n.n.Neg()
	}
	// A shading normal that the way back does not see is bent until it does.
	if c := n.n.Dot(n.wo); c < 0.01 {
		n.n = n.n.AddMul(n.wo, 0.01-c).Unit()
	}
	n.frame = geom.FrameOf(n.n)
	if n.m.Strand {
		n.alignToStrand(sc, t, u, v)
	}
	w.applyTexture(n, t, h)
}
