package stage

import (
	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/shoot"
)

// furniture builds a box object of a kind from simple parts inside its box; false where the kind is
// none. Its front is the long side that looks into the room.
func (s *Stage) furniture(o *shoot.Object, lo, size geom.Vec, f geom.Frame, mat int, path string) bool {
	k, ok := kind.FindObject(o.Kind)
	if !ok {
		return false
	}
	// Own frame: x along the front from its left, y to the back.
	c := lo.Add(f.Out(size.X/2, size.Y/2, 0))
	w, d := size.X, size.Y
	back := f.T
	if size.Y > size.X && !k.Fixed {
		w, d, back = size.Y, size.X, f.S
	}
	corners, _ := Outline(&s.Shoot.Room)
	mid := geom.Empty()
	for _, p := range corners {
		mid = mid.Grow(p)
	}
	if len(corners) > 0 && !k.Fixed && mid.Centre().Sub(c).Dot(back) > 0 {
		back = back.Neg()
	}
	along := back.Cross(geom.V(0, 0, 1))
	h, own := size.Z, geom.Frame{S: along, T: back, N: geom.V(0, 0, 1)}
	b := s.solid(furnitureKey{k.Word, c, own, w, d, h}, func() *kind.Solid {
		b := kind.NewSolid(c.AddMul(along, -w/2).AddMul(back, -d/2), own)
		k.Body(b, w, d, h)
		return b
	})
	m := s.mesh(b, mat, path)
	s.fillMesh(orWord(o.Name, "the "+string(o.Kind)), path, m)
	if err := s.Scene.AddMesh(m); err != nil {
		s.problem(diag.Error, "stage.object", path, "", "%s cannot be built: %v", o.Name, err)
	}
	for _, c := range b.Sheets {
		s.Scene.AddRelay(c.Corner, c.EX, c.EY, mat)
	}
	return true
}
