package sheet

import (
	"math"

	"halfstop/geom"
	"halfstop/kind"
)

// cloud returns the vertices of a light's body and of its emitting face, metres.
func (b Body) cloud() (all, front []geom.Vec) {
	n := b.Aim.Sub(b.At).Unit()
	if n.Len2() == 0 {
		n = geom.V(0, 0, -1)
	}
	fr := geom.UprightFrame(n).Roll(b.Roll)
	w, h := b.Width/2, b.Height/2
	if h == 0 {
		h = w
	}
	depth := math.Max(b.Depth, 0.03)
	ring := func(sides int, turn, k, z float64) []geom.Vec {
		var out []geom.Vec
		for i := 0; i < sides; i++ {
			a := 2*math.Pi*float64(i)/float64(sides) + turn
			out = append(out, b.At.Add(fr.Out(w*k*math.Cos(a), w*k*math.Sin(a), z)))
		}
		return out
	}
	box := func(k, z float64) []geom.Vec {
		var out []geom.Vec
		for _, c := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			out = append(out, b.At.Add(fr.Out(w*k*c[0], h*k*c[1], z)))
		}
		return out
	}
	if sections := b.Symbol.At(b.Depth); len(sections) > 0 {
		outline := func(s [2]float64) []geom.Vec {
			switch {
			case b.Symbol.Sides > 0:
				n := b.Symbol.Sides
				return ring(n, math.Pi/float64(n), s[0]*corners(n), -depth*s[1])
			case b.Shape == Rectangle:
				return box(s[0], -depth*s[1])
			}
			return ring(32, 0, s[0], -depth*s[1])
		}
		for _, s := range sections {
			all = append(all, outline(s)...)
		}
		return all, outline([2]float64{1, 0})
	}
	switch b.Shape {
	case Rectangle:
		front = box(1, 0)
		back := 1.0
		if depth > 0.15 {
			back = 0.35
		}
		all = append(append(all, front...), box(back, -depth)...)
	case Octagon:
		front = ring(8, math.Pi/8, 1/math.Cos(math.Pi/8), 0)
		back := 1.0
		if depth > 0.15 {
			back = 0.3
		}
		all = append(append(all, front...), ring(8, math.Pi/8, back, -depth)...)
	case Umbrella:
		front = ring(24, 0, 1, 0)
		all = append(all, front...)
		for _, k := range []float64{0.25, 0.5, 0.75} {
			all = append(all, ring(24, 0, math.Sqrt(1-k*k), -depth*k)...)
		}
		all = append(all, b.At.Add(fr.Out(0, 0, -depth)))
	case Ball:
		for i := -6; i <= 6; i++ {
			a := math.Pi / 2 * float64(i) / 6
			all = append(all, ring(24, 0, math.Cos(a), w*math.Sin(a))...)
		}
	case Tube:
		h = math.Max(b.Height/2, 0.01)
		front = box(1, 0)
		all = append(append(all, front...), box(1, -2*h)...)
	default:
		front = ring(32, 0, 1, 0)
		back := 1.0
		if depth > 0.15 {
			back = 0.6
		}
		all = append(append(all, front...), ring(32, 0, back, -depth)...)
	}
	return all, front
}

// seams returns the rods of an octagon or an umbrella on the side towards a viewer at v, and an
// umbrella's shaft.
func (b Body) seams(v geom.Vec) (out [][]geom.Vec) {
	n := max(b.Symbol.Sides, b.Symbol.Ribs)
	sections := b.Symbol.At(b.Depth)
	if n == 0 || len(sections) < 2 || b.Depth <= kind.ShallowDepth {
		return nil
	}
	axis := b.Aim.Sub(b.At).Unit()
	fr := geom.UprightFrame(axis).Roll(b.Roll)
	k, turn := 1.0, 0.0
	if b.Symbol.Sides > 0 {
		k, turn = corners(n), math.Pi/float64(n)
	}
	for i := range n {
		sn, cs := math.Sincos(2*math.Pi*float64(i)/float64(n) + turn)
		if fr.Out(cs, sn, 0).Dot(v) < -0.05 {
			continue
		}
		var rod []geom.Vec
		for _, s := range sections {
			r := b.Width / 2 * k * s[0]
			rod = append(rod, b.At.Add(fr.Out(r*cs, r*sn, -b.Depth*s[1])))
		}
		out = append(out, rod)
	}
	if b.Symbol.Ribs > 0 {
		out = append(out, []geom.Vec{b.At.AddMul(axis, -b.Depth-0.06), b.At.AddMul(axis, 0.15)})
	}
	return out
}

// corners is the ratio of the circumradius of a face of n sides to the radius of the disc of the
// same area. The figures of a light are of that disc: an octagon of 1.50 m over its corners counts
// as a disc of 1.42 m.
func corners(n int) float64 {
	a := 2 * math.Pi / float64(n)
	return math.Sqrt(a / math.Sin(a))
}

// cloud returns the vertices of a panel: a board 40 mm thick, or with the half thickness least
// where 40 mm would be too thin to hatch.
func (p Panel) cloud(least float64) []geom.Vec {
	n := p.Normal.Unit()
	if n.Len2() == 0 {
		n = geom.V(0, 0, 1)
	}
	fr := geom.UprightFrame(n)
	half := math.Max(0.02, least)
	var out []geom.Vec
	if p.Round {
		for i := 0; i < 32; i++ {
			a := 2 * math.Pi * float64(i) / 32
			for _, z := range []float64{-half, half} {
				out = append(out, p.At.Add(fr.Out(p.Width/2*math.Cos(a), p.Width/2*math.Sin(a), z)))
			}
		}
		return out
	}
	for _, c := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		for _, z := range []float64{-half, half} {
			out = append(out, p.At.Add(fr.Out(p.Width/2*c[0], p.Height/2*c[1], z)))
		}
	}
	return out
}

// sizeWords of a light's face.
func (l Light) sizeWords(r ruler) string {
	if l.Size != "" {
		return l.Size
	}
	if len(l.Bodies) == 0 {
		return ""
	}
	b := l.Bodies[0]
	h := b.Height
	if h == 0 {
		h = b.Width
	}
	switch b.Shape {
	case Rectangle:
		return r.size(b.Width, h, false)
	case Tube:
		return r.length(b.Width)
	}
	if n := b.Symbol.Sides; n > 0 {
		return r.size(b.Width*corners(n), 0, true)
	}
	return r.size(b.Width, 0, true)
}
