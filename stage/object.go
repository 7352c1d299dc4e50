package stage

import (
	"fmt"
	"math"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/mesh"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/trace"
)

// objects builds furniture, screens, mirrors and the like.
func (s *Stage) objects(list []shoot.Object, base string) {
	for i := range list {
		o := &list[i]
		path := fmt.Sprintf("%s[%d]", base, i)
		mat := s.material(o.Surface, o.Back, path+".surface")
		turn := float64(o.Turn) * deg
		switch {
		case o.Box != nil:
			s.boxObject(o, turn, mat, path)
		case o.Quad != nil:
			w, h := sizes(o.Quad.Size)
			c := vec3(o.Quad.At)
			s.Scene.AddQuad(c, s.flatFrame(o.Quad, path), w, h, mat)
		case o.Disc != nil:
			d, _ := sizes(o.Disc.Size)
			s.Scene.AddDisc(vec3(o.Disc.At), s.flatFrame(o.Disc, path), d/2, mat)
		case o.Sphere != nil:
			c, r := vec3(o.Sphere.At), float64(o.Sphere.Diameter)/2
			s.Scene.AddSphere(c, r, mat, false)
			s.fill(orWord(o.Name, "a ball"), path, c.Sub(geom.V(r, r, r)), c.Add(geom.V(r, r, r)),
				func(p geom.Vec) bool { return p.Sub(c).Len() < r-surfaceDepth })
		case o.Cylinder != nil:
			c, r, h := vec3(o.Cylinder.At), float64(o.Cylinder.Diameter)/2, float64(o.Cylinder.Height)
			s.Scene.AddCylinder(c, r, h, mat)
			s.fill(orWord(o.Name, "a cylinder"), path, c.Sub(geom.V(r, r, 0)), c.Add(geom.V(r, r, h)),
				func(p geom.Vec) bool {
					d := p.Sub(c)
					return math.Hypot(d.X, d.Y) < r-surfaceDepth && d.Z > surfaceDepth && d.Z < h-surfaceDepth
				})
		case len(o.Polygon) > 0:
			p := make([]geom.Vec, len(o.Polygon))
			for k, c := range o.Polygon {
				p[k] = vec3(c)
			}
			if err := s.Scene.AddPolygon(p, mat); err != nil {
				s.problem(diag.Error, "stage.polygon", path, "list the corners in order round it", "%s: %v", o.Name,
					err)
			}
		case o.Mesh != "":
			s.meshObject(o, turn, mat, path)
		}
	}
}

func (s *Stage) flatFrame(f *shoot.FlatShape, path string) geom.Frame {
	n := s.direction(f.Facing, vec3(f.At), geom.V(0, 0, 1), path+".facing")
	return geom.UprightFrame(n).Roll(float64(f.Roll) * deg)
}

func sizes(a []q.Metres) (w, h float64) {
	if len(a) > 0 {
		w, h = float64(a[0]), float64(a[0])
	}
	if len(a) > 1 {
		h = float64(a[1])
	}
	return
}

func (s *Stage) boxObject(o *shoot.Object, turn float64, mat int, path string) {
	b := o.Box
	lo := place(b.At, 0)
	sz := vec3(b.Size)
	sin, cos := math.Sincos(turn)
	f := geom.Frame{S: geom.V(cos, sin, 0), T: geom.V(-sin, cos, 0), N: geom.V(0, 0, 1)}
	// The box turns about its low corner's edge.
	if !b.Inside && s.furniture(o, lo, sz, f, mat, path) {
		return
	}
	c := lo.Add(f.Out(sz.X/2, sz.Y/2, sz.Z/2))
	mats := [6]int{mat, mat, mat, mat, mat, mat}
	for k, name := range [6]string{"x-", "x+", "y-", "y+", "z-", "z+"} {
		if w, ok := b.Faces[name]; ok {
			mats[k] = s.material(w, nil, path+".box.faces."+name)
		}
	}
	s.Scene.AddBox(c, f, sz, mats, b.Inside)
	if !b.Inside {
		reach := geom.V(1, 1, 1).Mul(sz.Len() / 2)
		s.fill(orWord(o.Name, "an object"), path, c.Sub(reach), c.Add(reach), func(p geom.Vec) bool {
			d := p.Sub(c)
			return math.Abs(d.Dot(f.S)) < sz.X/2-surfaceDepth && math.Abs(d.Dot(f.T)) < sz.Y/2-surfaceDepth &&
				math.Abs(d.Dot(f.N)) < sz.Z/2-surfaceDepth
		})
	}
}

func (s *Stage) meshObject(o *shoot.Object, turn float64, mat int, path string) {
	if s.opt.Files == nil {
		s.problem(diag.Error, "stage.mesh", path+".mesh", "", "meshes cannot be read here: there is no folder")
		return
	}
	src, err := s.opt.Files(o.Mesh)
	if err != nil {
		s.problem(diag.Error, "stage.mesh", path+".mesh", "put the file into the shoot's folder",
			"the mesh %s cannot be read: %v", o.Mesh, err)
		return
	}
	read, err := mesh.Parse(o.Mesh, src)
	if err != nil {
		s.problem(diag.Error, "stage.mesh", path+".mesh", "", "%v", err)
		return
	}
	at := geom.Vec{}
	if o.At != nil {
		at = vec3(*o.At)
	}
	scale := o.Scale
	if scale == 0 {
		scale = 1
	}
	sin, cos := math.Sincos(turn)
	m := trace.Mesh{Tris: read.Tris, Mat: make([]int, len(read.Tris))}
	for i := range m.Mat {
		m.Mat[i] = mat
	}
	for _, p := range read.Pos {
		v := geom.V(float64(p[0])*scale, float64(p[1])*scale, float64(p[2])*scale)
		v = geom.V(v.X*cos-v.Y*sin, v.X*sin+v.Y*cos, v.Z).Add(at)
		m.Pos = append(m.Pos, [3]float32{float32(v.X), float32(v.Y), float32(v.Z)})
	}
	s.fillMesh(orWord(o.Name, o.Mesh), path, &m)
	if err := s.Scene.AddMesh(&m); err != nil {
		s.problem(diag.Error, "stage.mesh", path+".mesh", "", "%s: %v", o.Mesh, err)
	}
}
