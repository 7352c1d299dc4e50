package kind

import (
	"math"

	"halfstop/geom"
)

var _ = modifiers.add(Modifier{
	Word: "doors", Says: "four flaps on a reflector or a lens", Mounts: []string{"bayonet", "lens", "frame"},
	Body:     doorsBody,
	Symbol:   Symbol{Sections: [][2]float64{{1, 0}, {0.6, 1}}, Flat: straight},
	HotHeads: true,
})

func doorsBody(r *Solid, b Rig) {
	shell{boxed: true}.build(r, b)
	if b.Shape == "disc" && b.Depth > 0.05 {
		r.leaves(b.Width/2, r.Surface(hard))
	}
}

// leaves are four barn doors half open, outside the cone that the light keeps to.
func (s *Solid) leaves(w float64, mat int) {
	const long, thick = 0.13, 0.0015
	for k := range 4 {
		sn, cs := math.Sincos(float64(k) * math.Pi / 2)
		at := func(out, side, z float64) geom.Vec { return geom.V(out*cs-side*sn, out*sn+side*cs, z) }
		a, b := at(w, -0.8*w, 0.002), at(w, 0.8*w, 0.002)
		o := w + long*math.Sin(50*math.Pi/180)
		c, d := at(o, 1.1*w, long*math.Cos(50*math.Pi/180)), at(o, -1.1*w, long*math.Cos(50*math.Pi/180))
		s.Face(mat, a, b, c, d)
		u := at(thick, 0, 0)
		s.Face(mat, d.Add(u), c.Add(u), b.Add(u), a.Add(u))
	}
}
