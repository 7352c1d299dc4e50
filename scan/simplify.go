package scan

import (
	"math"

	"halfstop/mesh"
)

// simplify makes a mesh of at most so many triangles and says by how much a corner was moved at
// most, metres: all corners of a cell of a grid become one, at the place that lies best on the
// planes of the triangles that meet there (quadric clustering, Lindstrom 2000; quadrics, Garland
// and Heckbert 1997). The grid is the finest that does.
func simplify(tris []tri, most int) (*mesh.Mesh, float64) {
	cellFor := func(size float64) (*mesh.Mesh, float64) { return cluster(tris, size) }
	m, moved := cellFor(0.001)
	if len(m.Tris) <= most {
		return m, moved
	}
	lo, hi := 0.001, 0.002
	for {
		if m, moved = cellFor(hi); len(m.Tris) <= most || hi > 2 {
			break
		}
		lo, hi = hi, hi*2
	}
	for range 4 {
		mid := (lo + hi) / 2
		if n, d := cellFor(mid); len(n.Tris) <= most {
			hi, m, moved = mid, n, d
		} else {
			lo = mid
		}
	}
	return m, moved
}

// quadric is the sum of squared distances to planes: the upper triangle of a symmetric matrix, a
// vector, and the mean of the corners for where it is flat.
type quadric struct {
	a     [6]float64
	b     [3]float64
	mean  [3]float64
	n     float64
	index uint32
}

func cluster(tris []tri, size float64) (*mesh.Mesh, float64) {
	type key [3]int32
	cells := map[key]*quadric{}
	of := func(p [3]float64) key {
		return key{int32(math.Floor(p[0] / size)), int32(math.Floor(p[1] / size)), int32(math.Floor(p[2] / size))}
	}
	var order []*quadric
	for i := range tris {
		t := &tris[i]
		d := t.n[0]*t.p[0][0] + t.n[1]*t.p[0][1] + t.n[2]*t.p[0][2]
		for k := range 3 {
			q := cells[of(t.p[k])]
			if q == nil {
				q = &quadric{}
				cells[of(t.p[k])] = q
				order = append(order, q)
			}
			w := t.area
			n := t.n
			for c, v := range [6]float64{n[0] * n[0], n[0] * n[1], n[0] * n[2], n[1] * n[1], n[1] * n[2],
				n[2] * n[2]} {
				q.a[c] += w * v
			}
			for c := range 3 {
				q.b[c] += w * d * n[c]
				q.mean[c] += t.p[k][c]
			}
			q.n++
		}
	}
	m := &mesh.Mesh{Format: "scan"}
	place := make([][3]float64, len(order))
	for i, q := range order {
		q.index = uint32(i)
		for c := range 3 {
			q.mean[c] /= q.n
		}
		place[i] = q.best(size)
		m.Pos = append(m.Pos, [3]float32{float32(place[i][0]), float32(place[i][1]), float32(place[i][2])})
	}
	moved := 0.0
	for i := range tris {
		t := &tris[i]
		var idx [3]uint32
		for k := range 3 {
			q := cells[of(t.p[k])]
			idx[k] = q.index
			p := place[q.index]
			moved = max(moved, math.Sqrt(sq(p[0]-t.p[k][0])+sq(p[1]-t.p[k][1])+sq(p[2]-t.p[k][2])))
		}
		if idx[0] != idx[1] && idx[1] != idx[2] && idx[0] != idx[2] {
			m.Tris = append(m.Tris, idx)
		}
	}
	return m, moved
}

func sq(x float64) float64 { return x * x }

// best is the place of least squared distance to the planes, held near the mean of the corners by
// a small weight (Tikhonov) so that flat and straight places stay where they are; never outside
// the cell's reach.
func (q *quadric) best(size float64) [3]float64 {
	trace := q.a[0] + q.a[3] + q.a[5]
	k := 1e-3*trace + 1e-12
	a := [3][3]float64{{q.a[0] + k, q.a[1], q.a[2]}, {q.a[1], q.a[3] + k, q.a[4]}, {q.a[2], q.a[4], q.a[5] + k}}
	var b [3]float64
	for c := range 3 {
		b[c] = q.b[c] + k*q.mean[c]
	}
	det := a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) +
		a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	if !(math.Abs(det) > 1e-30) {
		return q.mean
	}
	var p [3]float64
	for c := range 3 {
		m := a
		for r := range 3 {
			m[r][c] = b[r]
		}
		p[c] = (m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
			m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])) / det
	}
	if d := math.Sqrt(sq(p[0]-q.mean[0]) + sq(p[1]-q.mean[1]) + sq(p[2]-q.mean[2])); !(d < size) {
		return q.mean
	}
	return p
}
