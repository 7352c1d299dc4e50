package stage

import (
	"math"

	"halfstop/content"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/material"
	"halfstop/mesh"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/trace"
)

// model puts a figure of the shoot's own in a person's place. It stands on its lowest point. Its
// landmarks are those of a drawn figure whose eyes are as high, each carried on to the model along
// its own normal; what no ray finds keeps the drawn place. shape takes in what the figure is,
// wherever it stands. Above the throat it is of skin, below of
// the sitter's cloth. Check: TestModel.
func (s *Stage) model(w *shoot.Sitter, p figure.Params, at, dir geom.Vec, path string,
	shape *content.Hash) *figure.Mesh {
	src, err := []byte(nil), error(nil)
	if s.opt.Files == nil {
		s.problem(diag.Error, "stage.mesh", path+".model.mesh", "", "meshes cannot be read here: there is no folder")
		return s.opt.Mesh(p).Placed(at, figure.YawTo(dir))
	}
	if src, err = s.opt.Files(w.Model.Mesh); err != nil {
		s.problem(diag.Error, "stage.mesh", path+".model.mesh", "put the file into the shoot's folder",
			"the mesh %s cannot be read: %v", w.Model.Mesh, err)
		return s.opt.Mesh(p).Placed(at, figure.YawTo(dir))
	}
	read, err := mesh.Parse(w.Model.Mesh, src)
	if err != nil || len(read.Tris) == 0 {
		s.problem(diag.Error, "stage.mesh", path+".model.mesh", "write it anew from the program that made it",
			"%s: %v", w.Model.Mesh, err)
		return s.opt.Mesh(p).Placed(at, figure.YawTo(dir))
	}
	scale := w.Model.Scale
	if scale == 0 {
		scale = 1
	}
	facing := s.direction(w.Model.Facing, geom.Vec{}, geom.V(0, 1, 0), path+".model.facing")
	sin, cos := math.Sincos(-figure.YawTo(facing)) // to y+
	turn := func(v geom.Vec) geom.Vec { return geom.V(v.X*cos-v.Y*sin, v.X*sin+v.Y*cos, v.Z) }
	low := math.Inf(1)
	for _, v := range read.Pos {
		low = min(low, float64(v[2])*scale)
	}
	eyes := turn(vec3(w.Model.Eyes))
	m := &figure.Mesh{Tri: read.Tris, Part: make([]figure.Part, len(read.Tris)),
		Landmarks: map[string]figure.Landmark{}}
	// the drawn figure with its eyes as high
	p.Detail, p.Hair = figure.Shadow, figure.NoHair
	high := eyes.Z - low
	if !(high > 0.2 && high < 2.3) {
		s.problem(diag.Error, "stage.model", path+".model.eyes",
			"check scale, and that eyes are in the file's own axes, z up",
			"the eyes are %.2f m over the figure's lowest point", high)
		return s.opt.Mesh(p).Placed(at, figure.YawTo(dir))
	}
	drawn := s.opt.Mesh(p)
	if p.Pose == figure.Standing {
		p.Stature *= q.Metres(high / drawn.Landmarks["eyes"].At.Z)
		drawn = s.opt.Mesh(p)
	}
	from := drawn.Landmarks["eyes"].At
	// the model's eyes come where the drawn ones are
	move := geom.V(from.X-eyes.X, from.Y-eyes.Y, -low)
	for _, v := range read.Pos {
		q := turn(geom.V(float64(v[0])*scale, float64(v[1])*scale, float64(v[2])*scale)).Add(move)
		m.Pos = append(m.Pos, [3]float32{float32(q.X), float32(q.Y), float32(q.Z)})
	}
	m.Nrm, m.Tan, m.Tone = normals(m), make([][3]float32, len(m.Pos)), make([]float32, len(m.Pos))
	neck := drawn.Landmarks["throat"].At.Z + high - from.Z
	for i, t := range m.Tri {
		if float64(m.Pos[t[0]][2]) < neck {
			m.Part[i] = figure.Cloth
		}
	}
	for name, l := range drawn.Landmarks {
		l.At.Z += high - from.Z
		if hit, ok := meets(m, l.At.AddMul(l.Normal, 0.25), l.Normal.Neg(), 0.5); ok {
			l.At = hit
		}
		m.Landmarks[name] = l
	}
	shape.Triples(m.Pos)
	m = m.Placed(at, figure.YawTo(dir))
	if s.opt.Empty {
		return m
	}
	t := trace.Mesh{Pos: m.Pos, Normals: m.Nrm, Tris: m.Tri, Mat: make([]int, len(m.Tri))}
	skin := s.add(Material(material.Skin(s.skinOf(w, path))), path)
	cloth := s.add(Material(s.surface(w.Cloth, path+".cloth")), path)
	for i, part := range m.Part {
		t.Mat[i] = skin
		if part == figure.Cloth {
			t.Mat[i] = cloth
		}
	}
	if err := s.Scene.AddMesh(&t); err != nil {
		s.problem(diag.Error, "stage.mesh", path+".model.mesh", "", "%s: %v", w.Model.Mesh, err)
	}
	return m
}

// normals are those of the vertices, weighted by the triangles round them.
func normals(m *figure.Mesh) [][3]float32 {
	sum := make([]geom.Vec, len(m.Pos))
	at := func(i uint32) geom.Vec {
		v := m.Pos[i]
		return geom.V(float64(v[0]), float64(v[1]), float64(v[2]))
	}
	for _, t := range m.Tri {
		n := at(t[1]).Sub(at(t[0])).Cross(at(t[2]).Sub(at(t[0])))
		for _, k := range t {
			sum[k] = sum[k].Add(n)
		}
	}
	out := make([][3]float32, len(sum))
	for i, n := range sum {
		if n.Len2() == 0 {
			n = geom.V(0, 0, 1)
		}
		n = n.Unit()
		out[i] = [3]float32{float32(n.X), float32(n.Y), float32(n.Z)}
	}
	return out
}

// meets is where a ray first meets the mesh within far, by looking at every triangle (Möller and
// Trumbore 1997).
func meets(m *figure.Mesh, o, d geom.Vec, far float64) (geom.Vec, bool) {
	at := func(i uint32) geom.Vec {
		v := m.Pos[i]
		return geom.V(float64(v[0]), float64(v[1]), float64(v[2]))
	}
	best := far
	for _, t := range m.Tri {
		a := at(t[0])
		e1, e2 := at(t[1]).Sub(a), at(t[2]).Sub(a)
		h := d.Cross(e2)
		det := e1.Dot(h)
		if det == 0 {
			continue
		}
		v := o.Sub(a)
		k := v.Cross(e1)
		u, w, l := v.Dot(h)/det, d.Dot(k)/det, e2.Dot(k)/det
		if u >= 0 && w >= 0 && u+w <= 1 && l >= 0 && l < best {
			best = l
		}
	}
	return o.AddMul(d, best), best < far
}
