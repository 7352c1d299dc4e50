package stage

import (
	"fmt"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
)

// reveal is how far the glass of a framed window stands back from the wall's face, rebate a door's
// leaf in its lining, metres: common practice, no source.
const reveal, rebate = 0.12, 0.05

// fittings builds what makes a shell a room: skirting, linings of doors, frames of windows, battens
// of tubes. Each is there only when the shoot says so, because each takes or turns a little light.
func (s *Stage) fittings() {
	r := &s.Shoot.Room
	corners, ceiling := Outline(r)
	if len(corners) < 3 {
		return
	}
	gloss := "white gloss"
	add := func(b *kind.Solid, own int, path string) {
		if len(b.Tris) == 0 {
			return
		}
		m := s.mesh(b, own, path)
		s.fillMesh("what is fitted to the wall", path, m)
		if err := s.Scene.AddMesh(m); err != nil {
			s.problem(diag.Error, "stage.fittings", path, "", "%v", err)
		}
	}
	for n := 1; n <= len(corners); n++ {
		a, dir, length, in, ok := Wall(corners, n)
		if !ok {
			continue
		}
		// x along the wall from its start, y into the room, z up; as solid wants y to the back, the
		// frame is turned with it.
		b := kind.NewSolid(a, geom.Frame{S: dir, T: in, N: geom.V(0, 0, 1)})
		if h := float64(r.Skirting); h > 0 {
			mat := b.Surface(gloss)
			from := 0.0
			stretch := func(to float64) {
				if to-from > 0.03 {
					b.Box(geom.V(from, 0.0005, 0), geom.V(to, 0.016, h), 0.004, mat)
				}
			}
			const lining = 0.07
			for at := 0.0; ; {
				next, end := length, -1.0
				for _, d := range r.Doors {
					if d.Wall == n && float64(d.From) >= at && float64(d.From)-lining < next {
						next, end = float64(d.From)-lining, float64(d.From+d.Width)+lining
					}
				}
				stretch(next)
				if end < 0 {
					break
				}
				from, at = end, end
			}
			for _, d := range r.Doors {
				if d.Wall != n {
					continue
				}
				x0, x1, top := float64(d.From), float64(d.From+d.Width), float64(d.Head)
				if top == 0 {
					top = 2
				}
				b.Box(geom.V(x0-lining, 0.0005, 0), geom.V(x0, 0.022, top), 0.004, mat)
				b.Box(geom.V(x1, 0.0005, 0), geom.V(x1+lining, 0.022, top), 0.004, mat)
				b.Box(geom.V(x0-lining, 0.0005, top), geom.V(x1+lining, 0.022, top+lining), 0.004, mat)
				jamb := func(p, q, u, v geom.Vec) { b.Face(mat, p, q, u, v) }
				jamb(geom.V(x0, 0, 0), geom.V(x0, -rebate, 0), geom.V(x0, -rebate, top), geom.V(x0, 0, top))
				jamb(geom.V(x1, -rebate, 0), geom.V(x1, 0, 0), geom.V(x1, 0, top), geom.V(x1, -rebate, top))
				jamb(geom.V(x0, 0, top), geom.V(x0, -rebate, top), geom.V(x1, -rebate, top), geom.V(x1, 0, top))
				jamb(geom.V(x0, -rebate, 0.001), geom.V(x0, 0, 0.001), geom.V(x1, 0, 0.001), geom.V(x1, -rebate, 0.001))
				// A handle, on the side away from the hinge.
				x := x1 - 0.06
				if equal(d.Hinge, "end") {
					x = x0 + 0.06
				}
				b.Rod(geom.V(x, -rebate+0.001, 1.02), geom.V(x, 0.0, 1.02), 0.009, b.Surface("chrome"))
				b.Rod(geom.V(x-0.055, 0.0, 1.02), geom.V(x+0.055, 0.0, 1.02), 0.009, b.Surface("chrome"))
			}
		}
		for _, w := range r.Windows {
			if w.Wall != n || w.InCeiling || !w.Frame {
				continue
			}
			mat := b.Surface(gloss)
			x0, x1, z0, z1 := float64(w.From), float64(w.From+w.Width), float64(w.Sill), float64(w.Head)
			const out, bar = 0.07, 0.04
			const near, deep = -reveal + 0.003, -reveal + 0.045
			// The reveal: the thickness of the wall seen in the opening, plastered like the wall.
			const side = kind.Own // the wall's
			for _, q := range [4][4]geom.Vec{
				{geom.V(x0, 0, z0), geom.V(x0, -reveal, z0), geom.V(x0, -reveal, z1), geom.V(x0, 0, z1)},
				{geom.V(x1, -reveal, z0), geom.V(x1, 0, z0), geom.V(x1, 0, z1), geom.V(x1, -reveal, z1)},
				{geom.V(x0, -reveal, z0), geom.V(x0, 0, z0), geom.V(x1, 0, z0), geom.V(x1, -reveal, z0)},
				{geom.V(x0, 0, z1), geom.V(x0, -reveal, z1), geom.V(x1, -reveal, z1), geom.V(x1, 0, z1)},
			} {
				b.Face(side, q[0], q[1], q[2], q[3])
			}
			b.Box(geom.V(x0-out, 0.0005, z0), geom.V(x0, 0.025, z1), 0.004, mat)
			b.Box(geom.V(x1, 0.0005, z0), geom.V(x1+out, 0.025, z1), 0.004, mat)
			b.Box(geom.V(x0-out, 0.0005, z1), geom.V(x1+out, 0.03, min(z1+out, ceiling)), 0.004, mat)
			b.Box(geom.V(x0-out-0.02, 0.0005, z0-0.035), geom.V(x1+out+0.02, 0.10, z0), 0.006, mat)
			// The sash: a rim and one bar each way.
			b.Box(geom.V(x0, near, z0), geom.V(x0+bar, deep, z1), 0.004, mat)
			b.Box(geom.V(x1-bar, near, z0), geom.V(x1, deep, z1), 0.004, mat)
			b.Box(geom.V(x0+bar, near, z0), geom.V(x1-bar, deep, z0+bar), 0.004, mat)
			b.Box(geom.V(x0+bar, near, z1-bar), geom.V(x1-bar, deep, z1), 0.004, mat)
			x, z := (x0+x1)/2, z0+(z1-z0)*0.68
			b.Box(geom.V(x-bar/2, near, z0+bar), geom.V(x+bar/2, deep, z1-bar), 0.004, mat)
			b.Box(geom.V(x0+bar, near, z-bar/2), geom.V(x1-bar, deep, z+bar/2), 0.004, mat)
		}
		add(b, s.wallMaterial(n), "room")
	}
	for i := range r.Practicals {
		p := &r.Practicals[i]
		if !p.Housing || len(p.Path) < 2 {
			continue
		}
		path := fmt.Sprintf("room.practicals[%d]", i)
		pts := corners3(p.Path)
		for k := 1; k < len(pts); k++ {
			d := pts[k].Sub(pts[k-1])
			l := d.Len()
			if l < 1e-6 {
				continue
			}
			_, side := middle([]geom.Vec{pts[k-1], pts[k]})
			free := s.freeSide(pts[k-1].Lerp(pts[k], 0.5), side)
			along := d.Mul(1 / l)
			b := kind.NewSolid(pts[k-1], geom.Frame{S: along, T: free.Cross(along), N: free})
			mat := b.Surface("white gloss")
			r := float64(p.Diameter) / 2
			b.Box(geom.V(-0.04, -0.035, -r-0.06), geom.V(l+0.04, 0.035, -r-0.008), 0.006, mat)
			for _, x := range [2]float64{-0.03, l + 0.004} {
				b.Box(geom.V(x, -0.015, -r-0.012), geom.V(x+0.026, 0.015, r+0.004), 0.003, mat)
			}
			add(b, 0, path)
			// What faces the tube is lit by it as nothing else is.
			face := pts[k-1].AddMul(along, -0.04).AddMul(free.Cross(along), -0.035).AddMul(free, -r-0.008)
			s.Scene.AddRelay(face, along.Mul(l+0.08), free.Cross(along).Mul(0.07), s.preset("white gloss", path))
		}
	}
}
