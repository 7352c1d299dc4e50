package sheet

import "math"

// edges returns the walls on paper with the outward normal of each, counted as in the plan.
func (w *view) edges() (a, b, out []xy) {
	pts := w.poly(w.p.Room.Outline)
	n := len(pts)
	sign := 1.0
	if areaOf(pts) < 0 {
		sign = -1
	}
	for i := range pts {
		p, q := pts[i], pts[(i+1)%n]
		d := q.sub(p).unit()
		a, b, out = append(a, p), append(b, q), append(out, xy{d.y * sign, -d.x * sign})
	}
	return
}

// corner is the outer corner between two walls with normals m and n: their mitre, limited at acute
// corners.
func corner(p, m, n xy, t float64) xy {
	s := m.add(n)
	l2 := s.x*s.x + s.y*s.y
	if l2 < 0.25 {
		return p.add(m.mul(t))
	}
	return p.add(s.mul(2 * t / l2))
}

// walls returns the cut walls as polygons without the openings.
func (w *view) walls() [][]xy {
	a, b, out := w.edges()
	n := len(a)
	if n < 3 {
		return nil
	}
	t := w.wall
	var polys [][]xy
	for i := range a {
		pa, pb := corner(a[i], out[(i+n-1)%n], out[i], t), corner(b[i], out[i], out[(i+1)%n], t)
		length := b[i].sub(a[i]).len()
		d := b[i].sub(a[i]).unit()
		// Free parts between the openings.
		type part struct{ from, to float64 }
		parts := []part{{0, length}}
		for _, o := range w.gaps(i+1, a[i], b[i]) {
			var next []part
			for _, p := range parts {
				if o.to <= p.from || o.from >= p.to {
					next = append(next, p)
					continue
				}
				if o.from > p.from {
					next = append(next, part{p.from, o.from})
				}
				if o.to < p.to {
					next = append(next, part{o.to, p.to})
				}
			}
			parts = next
		}
		for _, p := range parts {
			i0, i1 := a[i].add(d.mul(p.from)), a[i].add(d.mul(p.to))
			o0, o1 := i0.add(out[i].mul(t)), i1.add(out[i].mul(t))
			if p.from == 0 {
				o0 = pa
			}
			if p.to == length {
				o1 = pb
			}
			q := []xy{i0, i1, o1, o0}
			if areaOf(q) < 0 {
				q = []xy{i0, o0, o1, i1}
			}
			polys = append(polys, q)
		}
	}
	return polys
}

type gap struct {
	from, to float64 // mm on paper along the wall
}

// onWall maps a place on a wall, metres from its first corner, to paper. a and b are the corners of
// the wall there.
func (w *view) onWall(a, b xy, wall int, along float64) xy {
	if w.cutOut.to <= w.cutOut.from {
		return a.add(b.sub(a).unit().mul(along * w.k))
	}
	o := w.p.Room.Outline
	p, q := o[wall], o[(wall+1)%len(o)]
	l := math.Hypot(q[0]-p[0], q[1]-p[1])
	if l == 0 {
		return a
	}
	return w.at(p[0]+(q[0]-p[0])*along/l, p[1]+(q[1]-p[1])*along/l)
}

func (w *view) gaps(wall int, a, b xy) []gap {
	var out []gap
	add := func(from, width float64) {
		out = append(out, gap{w.onWall(a, b, wall-1, from).sub(a).len(),
			w.onWall(a, b, wall-1, from+width).sub(a).len()})
	}
	for _, o := range w.p.Room.Windows {
		if o.Wall == wall {
			add(o.From, o.Width)
		}
	}
	for _, o := range w.p.Room.Doors {
		if o.Wall == wall {
			add(o.From, o.Width)
		}
	}
	return out
}

// openings draws windows as a glazed gap and doors with their swing.
func (w *view) openings(g *page) {
	a, b, out := w.edges()
	t := w.wall
	for _, o := range w.p.Room.Windows {
		i := o.Wall - 1
		p, q := w.onWall(a[i], b[i], i, o.From), w.onWall(a[i], b[i], i, o.From+o.Width)
		n := out[i].mul(t)
		g.polygon(white, black, 0.75*px, []xy{p, q, q.add(n), p.add(n)})
		c := inkDim
		if o.Colour != [3]float64{} {
			c = tinted(o.Colour, printY)
		}
		g.rule(1.7*px, c, p.add(n.mul(0.5)), q.add(n.mul(0.5)))
	}
	for _, o := range w.p.Room.Doors {
		i := o.Wall - 1
		p, q := w.onWall(a[i], b[i], i, o.From), w.onWall(a[i], b[i], i, o.From+o.Width)
		n := out[i].mul(t)
		for _, e := range []xy{p, q} {
			g.rule(0.75*px, black, e, e.add(n))
		}
		if o.Open {
			continue
		}
		hinge, latch := p, q
		if o.HingeFar {
			hinge, latch = q, p
		}
		swing := out[i].mul(-o.Width * w.k)
		if o.Outward {
			hinge, latch = hinge.add(n), latch.add(n)
			swing = out[i].mul(o.Width * w.k)
		}
		open := hinge.add(swing)
		g.rule(1.2*px, black, hinge, open)
		var arc []xy
		r := o.Width * w.k
		a0 := math.Atan2(latch.y-hinge.y, latch.x-hinge.x)
		a1 := math.Atan2(open.y-hinge.y, open.x-hinge.x)
		da := math.Remainder(a1-a0, 2*math.Pi)
		for k := 0; k <= 24; k++ {
			s := a0 + da*float64(k)/24
			arc = append(arc, xy{hinge.x + r*math.Cos(s), hinge.y + r*math.Sin(s)})
		}
		g.line(0.6*px, inkObj, arc...)
	}
}

// openingBoxes are the glazed and open parts of the walls, where no lettering goes.
func (w *view) openingBoxes() [][]xy {
	a, b, out := w.edges()
	var boxes [][]xy
	for i := range a {
		d := b[i].sub(a[i]).unit()
		for _, o := range w.gaps(i+1, a[i], b[i]) {
			p, q, n := a[i].add(d.mul(o.from)), a[i].add(d.mul(o.to)), out[i].mul(w.wall)
			boxes = append(boxes, []xy{p, q, q.add(n), p.add(n)})
		}
	}
	return boxes
}
