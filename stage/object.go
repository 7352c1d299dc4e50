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
	scale := orOne(o.Scale)
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
	if !s.meshSize(o, &m, path) {
		return
	}
	s.fillMesh(orWord(o.Name, o.Mesh), path, &m)
	if err := s.Scene.AddMesh(&m); err != nil {
		s.problem(diag.Error, "stage.mesh", path+".mesh", "", "%s: %v", o.Mesh, err)
	}
}

// Sizes of a mesh in the set, metres: its longest side. Outside the first two it is told, outside
// the others it is a mistake of the unit. As lengths in package shoot; common practice, no source.
const (
	smallMesh, largeMesh = 0.01, 100.0
	leastMesh, mostMesh  = 1e-4, 10_000.0
)

// meshSize holds a mesh to what stands in a set, and names the scale that would make it so. It
// reports false where the mesh cannot be taken.
func (s *Stage) meshSize(o *shoot.Object, m *trace.Mesh, path string) bool {
	box := geom.Empty()
	for _, p := range m.Pos {
		box = box.Grow(geom.V(float64(p[0]), float64(p[1]), float64(p[2])))
	}
	size := box.Size()
	side := max(size.X, size.Y, size.Z)
	if len(m.Pos) == 0 || side >= smallMesh && side <= largeMesh {
		return true
	}
	fix := "give its scale: metres for one of its units"
	for _, unit := range []struct {
		name  string
		scale float64
	}{{"millimetres", 0.001}, {"centimetres", 0.01}, {"inches", 0.0254}} {
		if l := side * unit.scale; l >= 0.1 && l <= 20 {
			fix = fmt.Sprintf("it would be %.2g m of %s: write scale: %g", l, unit.name, unit.scale*orOne(o.Scale))
			break
		}
	}
	severity := diag.Finding
	if !(side >= leastMesh && side <= mostMesh) {
		severity = diag.Error
	}
	s.problem(severity, "stage.mesh-size", path+".mesh", fix,
		"the mesh %s is %.3g m long; %.2g m to %.0f m is what stands in a set",
		o.Mesh, side, smallMesh, largeMesh)
	return severity != diag.Error
}

func orOne(v float64) float64 {
	if v == 0 {
		return 1
	}
	return v
}
