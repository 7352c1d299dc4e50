package stage

import (
	"math"

	"halfstop/content"
	"halfstop/diag"
	"halfstop/geom"
	"halfstop/trace"
)

// filled is a thing that a place can be inside of: furniture, an object, what is fitted to the
// walls.
type filled struct {
	name, path string
	box        geom.Box
	in         func(p geom.Vec) bool // asked only inside box
}

// surfaceDepth is how deep a place must lie to be inside a plain solid, metres: a point set on a
// surface, and rounded, is on it.
const surfaceDepth = 0.002

// fill remembers a solid.
func (s *Stage) fill(name, path string, lo, hi geom.Vec, in func(p geom.Vec) bool) {
	s.solids = append(s.solids, filled{name, path, geom.Empty().Grow(lo).Grow(hi), in})
}

// fillMesh remembers a mesh of closed parts.
func (s *Stage) fillMesh(name, path string, m *trace.Mesh) {
	b := geom.Empty()
	for _, p := range m.Pos {
		b = b.Grow(geom.V(float64(p[0]), float64(p[1]), float64(p[2])))
	}
	if len(m.Tris) == 0 {
		return
	}
	var key content.Key // hashed once it is asked
	s.fill(name, path, b.Lo, b.Hi, func(p geom.Vec) bool {
		if key == 0 {
			var h content.Hash
			h.Triples(m.Pos)
			for _, t := range m.Tris {
				h.Word(uint64(t[0]) | uint64(t[1])<<32)
				h.Int(int(t[2]))
			}
			key = h.Key()
		}
		return s.inside(insideKey{key, p}, func() bool { return turnsRound(m, p) > 0.75 })
	})
}

// turnsRound is how often the surface of a mesh goes round a place: its solid angle over 4π,
// without sign. One inside a closed mesh, none outside, about a half on it; a mesh with gaps gives
// what it covers. After van Oosterom and Strackee, The solid angle of a plane triangle, IEEE
// Transactions on Biomedical Engineering 30 (1983), and Jacobson and others, Robust inside-outside
// segmentation using generalized winding numbers, ACM Transactions on Graphics 32 (2013).
func turnsRound(m *trace.Mesh, p geom.Vec) float64 {
	at := func(i uint32) (geom.Vec, float64) {
		q := m.Pos[i]
		v := geom.V(float64(q[0]), float64(q[1]), float64(q[2])).Sub(p)
		return v, v.Len()
	}
	sum := 0.0
	for _, t := range m.Tris {
		a, la := at(t[0])
		b, lb := at(t[1])
		c, lc := at(t[2])
		y, x := a.Dot(b.Cross(c)), la*lb*lc+a.Dot(b)*lc+b.Dot(c)*la+c.Dot(a)*lb
		if math.Abs(y) < 0.2*x { // most are far: the arc tangent's series, to 2e-6
			r := y / x
			sum += 2 * r * (1 - r*r*(1.0/3-r*r/5))
		} else {
			sum += 2 * math.Atan2(y, x)
		}
	}
	return math.Abs(sum) / (4 * math.Pi)
}

// checkPointInside finds points that lie inside a thing, where nothing lights them and no meter can
// be held.
func (s *Stage) checkPointInside() {
	for _, p := range s.Points {
		if p.Sitter {
			continue
		}
		at := p.At
		if p.Incident != nil {
			at = p.Incident.At
		}
		for _, o := range s.solids {
			if !o.box.Contains(at) || !o.in(at) {
				continue
			}
			s.problem(diag.Finding, "stage.point-inside", p.Path, "move it onto the surface",
				"the point %s at %s is inside %s: no light reaches it there", p.Name, xyz(at), o.name)
			s.remark(o.path, "it is here")
			break
		}
	}
}
