package stage

import (
	"math"

	"halfstop/geom"
)

// Small things that give a place its scale: each fills the box that the shoot says. Sizes of their parts are common practice, no source.

// bottle is a body of round shoulders with a neck and a screw cap.
func bottle(b *solid, w, d, h float64, mat, lid int) {
	r, c := min(w, d)/2, geom.V(w/2, d/2, 0)
	neck := 0.42 * r
	profile := [][2]float64{{0, 0}, {0.9 * r, 0}, {r, 0.02 * h}, {r, 0.60 * h}}
	const n = 10
	for k := 1; k <= n; k++ { // the shoulder: half a wave from body to neck
		t := float64(k) / n
		profile = append(profile, [2]float64{neck + (r-neck)*(0.5+0.5*math.Cos(math.Pi*t)), h * (0.60 + 0.24*t)})
	}
	b.turned(c, geom.V(0, 0, 1), append(profile, [2]float64{neck, 0.90 * h}, [2]float64{0, 0.90 * h}), 40, mat)
	k := 1.12 * neck
	b.turned(c, geom.V(0, 0, 1), [][2]float64{{0, 0.88 * h}, {k, 0.88 * h}, {k, 0.985 * h}, {0.85 * k, h}, {0, h}}, 32, lid)
}

// cup is of paper: open, wider at its rolled rim.
func cup(b *solid, w, d, h float64, mat int) {
	r, c := min(w, d)/2, geom.V(w/2, d/2, 0)
	rim := 0.05 * r
	profile := [][2]float64{{0, 0.02 * h}, {0.68 * r, 0.02 * h}, {0.68 * r, 0}, {0.70 * r, 0}, {r - rim, h - 2*rim}}
	for k := range 7 { // over the rim
		sn, cs := math.Sincos(math.Pi * (float64(k)/6 - 0.5))
		profile = append(profile, [2]float64{r - rim + rim*cs, h - rim + rim*sn})
	}
	profile = append(profile, [2]float64{r - 1.6*rim, h - 2*rim}, [2]float64{0.66 * r, 0.05 * h}, [2]float64{0, 0.05 * h})
	b.turned(c, geom.V(0, 0, 1), profile, 40, mat)
}

// books is a stack of them, each a few centimetres thick and laid down by hand: two boards, a spine and the paper between.
func books(b *solid, w, d, h float64, mat, paper int) {
	n := max(1, int(math.Round(h/0.032)))
	t := h / float64(n)
	const board = 0.0025
	for i := range n {
		slack := 0.12 * min(w, d)
		x0, x1 := slack*hash2(int64(i), 21), w-slack*hash2(int64(i), 22)
		y0, y1 := slack*hash2(int64(i), 23), d-slack*hash2(int64(i), 24)
		z0, z1 := float64(i)*t, float64(i+1)*t-0.0003
		if i == n-1 {
			z1 = h
		}
		b.box(geom.V(x0, y0, z0), geom.V(x1, y1, z0+board), 0.0008, mat)
		b.box(geom.V(x0, y0, z1-board), geom.V(x1, y1, z1), 0.0008, mat)
		b.box(geom.V(x0, y0, z0), geom.V(x1, y0+2*board, z1), 0.002, mat) // spines to the front
		b.box(geom.V(x0+0.004, y0+2*board, z0+board), geom.V(x1-0.004, y1-0.005, z1-board), 0.0005, paper)
	}
}

// carton is a box of board with a lid that stands over by its own thickness, and a label.
func carton(b *solid, w, d, h float64, mat, label int) {
	const t = 0.003
	lid := min(0.03, 0.2*h)
	b.box(geom.V(t, t, 0), geom.V(w-t, d-t, h-t), 0.003, mat)
	b.box(geom.V(0, 0, h-lid), geom.V(w, d, h), 0.003, mat)
	b.box(geom.V(0.18*w, t/2, 0.2*h), geom.V(0.82*w, t, 0.72*h), 0.0003, label)
}

// towels is a stack of folded cloth, the folds to the front.
func towels(b *solid, w, d, h float64, mat int) {
	n := max(1, int(math.Round(h/0.045)))
	t := h / float64(n)
	for i := range n {
		in := 0.04 * w * hash2(int64(i), 31)
		x0, x1 := in, w-0.04*w*hash2(int64(i), 32)
		y0 := 0.06 * d * hash2(int64(i), 33)
		r, z := t/2, float64(i)*t
		// Two leaves, each a round fold in front and the open edges behind.
		for k := range 2 {
			zk := z + float64(k)*r
			b.fold(x0, x1, y0, d-0.02*d*hash2(int64(i), 34), zk, zk+r, mat)
		}
	}
}

// fold is a cushion of cloth from x0 to x1: round in front, its top and bottom swelling a little towards it, square behind.
func (s *solid) fold(x0, x1, y0, y1, z0, z1 float64, mat int) {
	const n = 12
	r, zc := (z1-z0)/2, (z0+z1)/2
	var ring []geom.Vec
	for k := range n + 1 {
		sn, cs := math.Sincos(math.Pi * (float64(k)/n - 0.5))
		ring = append(ring, geom.V(0, y0+r*(1-cs), zc+r*sn))
	}
	ring = append(ring, geom.V(0, y1, z1-0.1*r), geom.V(0, y1, z0+0.1*r))
	at := func(x float64, k int) geom.Vec { p := ring[k%len(ring)]; p.X = x; return p }
	for k := range ring {
		s.face(mat, at(x0, k), at(x1, k), at(x1, k+1), at(x0, k+1))
	}
	var left, right []geom.Vec
	for k := range ring {
		left = append(left, at(x0, len(ring)-1-k))
		right = append(right, at(x1, k))
	}
	s.face(mat, right...)
	s.face(mat, left...)
}

// basket is an open laundry basket of plastic: a floor, upright bars, two hoops and a rim, with cloth in it up to the rim.
func basket(b *solid, w, d, h float64, mat, cloth int) {
	const t, bar = 0.004, 0.012
	b.box(geom.V(t, t, 0), geom.V(w-t, d-t, 0.03), 0.004, mat)
	for _, z := range [2][2]float64{{0.45 * h, 0.45*h + 0.02}, {h - 0.03, h}} {
		out := 0.0
		if z[1] < h {
			out = t / 2
		}
		b.box(geom.V(out, out, z[0]), geom.V(w-out, out+2*t, z[1]), 0.002, mat)
		b.box(geom.V(out, d-out-2*t, z[0]), geom.V(w-out, d-out, z[1]), 0.002, mat)
		b.box(geom.V(out, out+2*t, z[0]), geom.V(out+2*t, d-out-2*t, z[1]), 0.002, mat)
		b.box(geom.V(w-out-2*t, out+2*t, z[0]), geom.V(w-out, d-out-2*t, z[1]), 0.002, mat)
	}
	row := func(l float64, put func(x float64)) {
		n := max(2, int(math.Round(l/0.032)))
		for i := range n {
			put((l-bar)*float64(i)/float64(n-1) + 0)
		}
	}
	row(w-2*t, func(x float64) {
		for _, y := range [2]float64{t, d - 2*t} {
			b.box(geom.V(t+x, y, 0.02), geom.V(t+x+bar, y+t, h-0.02), 0.001, mat)
		}
	})
	row(d-2*t, func(y float64) {
		for _, x := range [2]float64{t, w - 2*t} {
			b.box(geom.V(x, t+y, 0.02), geom.V(x+t, t+y+bar, h-0.02), 0.001, mat)
		}
	})
	// What lies in it: a few folds across each other.
	in := geom.V(3*t, 3*t, 0.03)
	n := 4
	for i := range n {
		z0, z1 := in.Z+(h-0.05)*float64(i)/float64(n), in.Z+(h-0.05)*float64(i+1)/float64(n)
		b.fold(in.X+0.01*float64(i%2), w-3*t-0.02*float64((i+1)%2), in.Y+0.02*hash2(int64(i), 41), d-3*t, z0, min(z1, h-0.01), cloth)
	}
}
