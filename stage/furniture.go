package stage

import (
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/shoot"
)

// furniture builds a box object of a kind from simple parts inside its box; false where the kind is none. Its front is the long side that
// looks into the room.
func (s *Stage) furniture(o *shoot.Object, lo, size geom.Vec, f geom.Frame, mat int, path string) bool {
	if o.Kind == "" {
		return false
	}
	// Own frame: x along the front from its left, y to the back.
	c := lo.Add(f.Out(size.X/2, size.Y/2, 0))
	w, d := size.X, size.Y
	back := f.T
	if size.Y > size.X {
		w, d, back = size.Y, size.X, f.S
	}
	corners, _ := Outline(&s.Shoot.Room)
	mid := geom.Empty()
	for _, p := range corners {
		mid = mid.Grow(p)
	}
	if len(corners) > 0 && mid.Centre().Sub(c).Dot(back) > 0 {
		back = back.Neg()
	}
	along := back.Cross(geom.V(0, 0, 1))
	b := newSolid(c.AddMul(along, -w/2).AddMul(back, -d/2), geom.Frame{S: along, T: back, N: geom.V(0, 0, 1)})
	h := size.Z
	switch strings.ToLower(o.Kind) {
	case "washing machines":
		s.machines(b, w, d, h, mat, path)
	case "counter":
		s.counter(b, w, d, h, mat, path)
	case "bench":
		bench(b, w, d, h, mat, s.preset("dark grey", path))
	case "table":
		table(b, w, d, h, mat, s.preset("steel brushed", path))
	case "bottle":
		bottle(b, w, d, h, mat, s.preset("white gloss", path))
	case "cup":
		cup(b, w, d, h, mat)
	case "books":
		books(b, w, d, h, mat, s.preset("paper white", path))
	case "carton":
		carton(b, w, d, h, mat, s.preset("paper white", path))
	case "towels":
		towels(b, w, d, h, mat)
	case "basket":
		basket(b, w, d, h, mat, s.preset("white cotton", path))
	default:
		return false
	}
	s.fillMesh(orWord(o.Name, "the "+o.Kind), path, &b.mesh)
	if err := s.Scene.AddMesh(&b.mesh); err != nil {
		s.problem(diag.Error, "stage.object", path, "", "%s cannot be built: %v", o.Name, err)
	}
	return true
}

// machines is a row of front loaders under one slab, each about 0.65 m wide: enamel body, panel, round door in a steel ring, plinth.
func (s *Stage) machines(b *solid, w, d, h float64, mat int, path string) {
	n := max(1, int(math.Round(w/0.66)))
	step := w / float64(n)
	ring, dark, panel := s.preset("chrome", path), s.preset("black gloss", path), s.preset("pale grey", path)
	slab := min(0.04, h*0.05)
	b.box(geom.V(0, 0.012, h-slab), geom.V(w, d, h), 0.004, s.preset("dark grey", path))
	body := h - slab
	foot := 0.08
	b.box(geom.V(0.02, 0.06, 0), geom.V(w-0.02, d, foot+0.01), 0.002, dark)
	for i := range n {
		x0, x1 := float64(i)*step+0.003, float64(i+1)*step-0.003
		x := (x0 + x1) / 2
		b.box(geom.V(x0, 0.03, foot), geom.V(x1, d, body-0.002), 0.008, mat)
		// Control panel: proud of the body, with a coin box, a dial and a window.
		top := body - 0.02
		b.box(geom.V(x0+0.02, 0.02, top-0.13), geom.V(x1-0.02, 0.035, top), 0.004, panel)
		b.box(geom.V(x1-0.14, 0.008, top-0.11), geom.V(x1-0.05, 0.03, top-0.02), 0.004, ring)
		b.turned(geom.V(x0+0.10, 0.021, top-0.065), geom.V(0, -1, 0), [][2]float64{{0.034, 0}, {0.03, 0.016}, {0, 0.016}}, 24, ring)
		b.box(geom.V(x0+0.17, 0.016, top-0.09), geom.V(x0+0.30, 0.03, top-0.04), 0.002, dark)
		// Door: ring, hinge side left, a dished glass that shows the dark drum.
		r := min(0.21, step*0.34, (body-foot)*0.3)
		z := foot + (top-0.13-foot)*0.52
		c := geom.V(x, 0.031, z)
		out := geom.V(0, -1, 0)
		b.turned(c, out, [][2]float64{{r, 0}, {r, 0.012}, {r - 0.012, 0.026}, {r - 0.045, 0.026}, {r - 0.055, 0.012}}, 48, ring)
		rg := r - 0.055
		var dish [][2]float64
		for k := range 7 {
			t := float64(k) / 6 * math.Pi / 2
			dish = append(dish, [2]float64{rg * math.Cos(t), 0.012 + 0.03*math.Sin(t)})
		}
		dish[6][0] = 0
		b.turned(c, out, dish, 40, dark)
		b.box(geom.V(x+r-0.035, 0.0, z-0.04), geom.V(x+r-0.012, 0.012, z+0.04), 0.004, panel)
	}
}

// counter has a top that stands over, a body of panels and a plinth set back.
func (s *Stage) counter(b *solid, w, d, h float64, mat int, path string) {
	front := s.preset("white satin", path)
	b.box(geom.V(0, 0, h-0.038), geom.V(w, d, h), 0.005, mat)
	b.box(geom.V(0.03, 0.09, 0), geom.V(w-0.03, d-0.02, 0.1), 0.002, s.preset("dark grey", path))
	n := max(1, int(math.Round(w/0.55)))
	b.box(geom.V(0.025, 0.05, 0.09), geom.V(w-0.025, d-0.015, h-0.038), 0.002, front)
	for i := range n {
		x0, x1 := 0.025+(w-0.05)*float64(i)/float64(n), 0.025+(w-0.05)*float64(i+1)/float64(n)
		b.box(geom.V(x0+0.003, 0.03, 0.10), geom.V(x1-0.003, 0.051, h-0.05), 0.003, front)
		b.rod(geom.V(x1-0.05, 0.015, h-0.13), geom.V(x1-0.05, 0.015, h-0.27), 0.006, s.preset("steel brushed", path))
	}
}

// bench is a slatted seat on a frame of square tube.
func bench(b *solid, w, d, h float64, mat, metal int) {
	n := max(2, int(math.Round(d/0.09)))
	for i := range n {
		y0, y1 := d*float64(i)/float64(n)+0.005, d*float64(i+1)/float64(n)-0.005
		b.box(geom.V(0, y0, h-0.03), geom.V(w, y1, h), 0.006, mat)
	}
	const t = 0.03
	for _, x := range [2]float64{0.12, w - 0.12 - t} {
		b.box(geom.V(x, 0.02, h-0.06), geom.V(x+t, d-0.02, h-0.03), 0.002, metal)
		for _, y := range [2]float64{0.03, d - 0.03 - t} {
			b.box(geom.V(x, y, 0), geom.V(x+t, y+t, h-0.06), 0.002, metal)
		}
	}
}

// table is a top on four round legs.
func table(b *solid, w, d, h float64, mat, metal int) {
	b.box(geom.V(0, 0, h-0.025), geom.V(w, d, h), 0.004, mat)
	b.box(geom.V(0.06, 0.06, h-0.085), geom.V(w-0.06, d-0.06, h-0.025), 0.002, mat)
	for _, x := range [2]float64{0.07, w - 0.07} {
		for _, y := range [2]float64{0.07, d - 0.07} {
			b.rod(geom.V(x, y, 0), geom.V(x, y, h-0.03), 0.019, metal)
		}
	}
}
