package sheet

import (
	"math"
	"sort"

	"halfstop/geom"
)

var faceSide = face{7.5, 600, black}

// drawSection draws a cut through the sitter, looking up the plan, with the lights projected on to
// it.
func (w *view) drawSection(g *page) (*ground, []*label, []*label) {
	s := w.section
	paper, g := g, &page{}
	q := newGround(rect{w.sectionZone.x0 + 1, s.y0 - w.wall - 2, w.sectionZone.x1 - 1, s.y1 + w.wall + 0.5})
	var labels []*label
	name := "A–A"
	title := xy{w.sectionZone.x0 + 5, s.y0 - w.wall + 2}
	if w.beside {
		title.y = s.y0 - w.wall - 1.4
	}
	paper.put(title, faceView, name)
	q.boxes = append(q.boxes, textBox(title, 9, 3.2, false))
	floor := w.floorY()

	// Furniture behind the cut, in thin lines.
	for _, o := range w.p.Objects {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, f := range o.Foot {
			x := w.section.x0 + w.along(w.uv(f[0], f[1]).x)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
		if hi > lo && o.Hi > o.Lo {
			b := rect{lo, floor - o.Hi*w.k, hi, floor - o.Lo*w.k}
			g.polygon(noInk, inkObj, 0.75*px, b.poly())
			q.ink(sub{b.poly(), true}, 0.5)
		}
	}
	walls := w.cutWalls(g)
	for _, p := range walls {
		q.solid(p)
	}

	// The height of the plan's cut.
	if h := w.p.ContourHeight; h > 0 && h < w.top {
		y := floor - h*w.k
		g.dashed(0.6*px, inkDim, []float64{1 * px, 3 * px}, xy{s.x0, y}, xy{s.x1, y})
		q.ink(sub{[]xy{{s.x0, y}, {s.x1, y}}, false}, 0.3)
		t := &label{what: "plan cut", rank: 4, lines: []lettering{{faceSize, "plan cut " + w.r.length(h)}}}
		lw, lh := t.size()
		for i := 0; i <= 40; i++ {
			x := s.x0 + 1 + (s.w()-lw-2)*float64(i)/40
			t.cands = append(t.cands, cand{box: rect{x, y - lh - 0.2, x + lw, y - 0.2}, cost: 0.2 * float64(i)},
				cand{box: rect{x, y + 0.4, x + lw, y + lh + 0.4}, cost: 1 + 0.2*float64(i)})
		}
		t.around(rect{s.x1, y, s.x1, y}, xy{s.x1, y}, 30)
		labels = append(labels, t)
	}

	// View lines of the lens.
	if c := w.p.Camera; c != nil && c.HalfHeight > 0 {
		n := c.Aim.Sub(c.At).Unit()
		fr := geom.UprightFrame(n)
		far := 3 * (w.u1 - w.u0 + w.top)
		frame := s.poly()
		for _, sgn := range []float64{-1, 1} {
			d := n.Add(fr.T.Mul(sgn * math.Tan(math.Min(c.HalfHeight, 1.5))))
			a, b := w.side(c.At), w.side(c.At.AddMul(d, far))
			for _, part := range within(sub{[]xy{a, b}, false}, frame) {
				g.add(item{subs: []sub{part}, stroke: inkDim, width: 0.75 * px})
				q.ink(part, 0.4)
				break
			}
		}
	}

	// Sitters.
	axis := xy{1, 0}
	if w.turned {
		axis = xy{0, 1}
	}
	for _, p := range w.p.Sitters {
		facing := p.Facing - math.Atan2(axis.y, axis.x)
		o := w.uv(p.At[0], p.At[1]).x
		parts := p.fromSide(facing)
		paper := make([][]xy, len(parts))
		for i, part := range parts {
			paper[i] = make([]xy, len(part))
			for j, v := range part {
				paper[i][j] = xy{w.section.x0 + w.along(o) + v.x*w.k, floor - v.y*w.k}
			}
			q.solid(paper[i])
		}
		for _, part := range paper {
			g.polygon(noInk, black, 2.8*px, part)
		}
		for _, part := range paper {
			g.polygon(white, noInk, 0, part)
		}
	}

	// Lights: stands first, then aim lines, then bodies.
	for _, l := range w.p.Lights {
		if l.Stand != nil && len(l.Bodies) > 0 {
			w.sideStand(g, q, l.Stand, l.Bodies[0].At)
		}
	}
	for _, n := range w.p.Panels {
		if n.Stand != nil {
			w.sideStand(g, q, n.Stand, n.At)
		}
	}
	for _, l := range w.p.Lights {
		if !l.aimed() {
			continue
		}
		b := l.Bodies[0]
		p0, p1, ok := clipLine(w.side(b.At), w.side(b.Aim), s)
		if !ok {
			continue
		}
		aim := sub{[]xy{p0, p1}, false}
		g.add(item{subs: []sub{aim}, stroke: tinted(l.Colour, printY), width: 1.1 * px, dash: dashAim})
		q.ink(aim, 0.5)
	}
	for _, n := range w.p.Panels {
		h := hull(w.sides(n.cloud(0.7 / w.k)))
		g.add(item{subs: []sub{{h, true}}, stroke: inkDim, width: 0.75 * px, dash: dashAbove})
		q.ink(sub{h, true}, 0.4)
	}
	for _, l := range w.p.houseFirst() {
		for i, b := range l.Bodies {
			all, front := b.cloud()
			pts := w.sides(all)
			drawBody(g, pts, w.sides(front), tinted(l.Colour, printY), false)
			for _, rod := range b.seams(w.viewer()) {
				g.line(0.55*px, tinted(l.Colour, printY), w.sides(rod)...)
			}
			h := hull(pts)
			q.solid(h)
			if i > 0 {
				continue
			}
			if w.isFar(&l) {
				if t := w.farMark(g, s, w.middle(), w.side(b.At), &l, []lettering{{faceSide,
					faceSide.clip(l.Role, longestLabel)}, {faceDist, w.r.length(b.At.Z)}}); t != nil {
					labels = append(labels, t)
					continue
				}
			}
			t := &label{what: "height " + l.Role, rank: 1,
				lines: []lettering{{faceSide, faceSide.clip(l.Role, longestLabel)}, {faceDist, w.r.length(b.At.Z)}}}
			if l.Stand == nil && l.Fixed {
				t.drop = 25
				t.rank = 3
			}
			t.around(boundsOf(h), boundsOf(h).mid(), 62)
			labels = append(labels, t)
		}
	}
	w.sideCamera(g, q)
	for _, b := range w.sectionDims(paper, q) {
		q.boxes = append(q.boxes, b.grow(0.4))
	}
	for _, l := range labels {
		l.shun(rect{s.x0 - w.wall, s.y0 - w.wall, s.x1 + w.wall, s.y1 + w.wall})
	}
	lost := q.place(labels)
	w.drawBreak(g, s)
	w.release(paper, g, s)
	for _, l := range labels {
		l.draw(paper)
	}
	return q, labels, lost
}

// middle is where the arrows of far lights start from in the section: the first sitter's head.
func (w *view) middle() xy {
	if len(w.p.Sitters) == 0 {
		return w.section.mid()
	}
	s := w.p.Sitters[0]
	return w.side(geom.V(s.At[0], s.At[1], s.Floor+0.93*s.stature()))
}

// viewer is the position of the section's viewer: at the foot of the plan.
func (w *view) viewer() geom.Vec {
	if w.turned {
		return geom.V(1, 0, 0)
	}
	return geom.V(0, -1, 0)
}

func (w *view) sides(pts []geom.Vec) []xy {
	out := make([]xy, len(pts))
	for i, p := range pts {
		out[i] = w.side(p)
	}
	return out
}

// sideStand draws a column with three feet, and the boom to the head.
func (w *view) sideStand(g *page, q *ground, s *Stand, head geom.Vec) {
	top := s.Top
	if top == 0 {
		top = head.Z
	}
	top -= s.Floor
	foot := w.side(geom.V(s.At[0], s.At[1], s.Floor))
	up := xy{foot.x, foot.y - top*w.k}
	spread := math.Min(0.9*s.Radius*1.3+0.1, top*0.6)
	knee := xy{foot.x, foot.y - math.Max(0.08, spread)*w.k}
	draw := func(a, b xy) {
		g.line(0.9*px, inkDim, a, b)
		q.ink(sub{[]xy{a, b}, false}, 0.5)
	}
	draw(up, xy{foot.x, foot.y - 0.08*w.k})
	if s.Radius > 0 {
		for _, k := range []float64{-1, 0.55} {
			draw(knee, xy{foot.x + k*s.Radius*w.k, foot.y})
		}
	}
	if h := w.side(head); h.sub(up).len() > 0.4 {
		draw(up, h)
	}
}

func (w *view) sideCamera(g *page, q *ground) {
	c := w.p.Camera
	if c == nil {
		return
	}
	o := w.side(c.At)
	if c.FootR > 0 {
		w.sideStand(g, q, &Stand{At: [2]float64{c.At.X, c.At.Y}, Radius: c.FootR}, c.At)
	}
	n := c.Aim.Sub(c.At)
	du := w.uv(n.X, n.Y).x - w.uv(0, 0).x
	a := math.Atan2(-n.Z, du)
	box := func(x0, x1, h float64) []xy {
		cs, sn := math.Cos(a), math.Sin(a)
		var pts []xy
		for _, p := range []xy{{x0, -h}, {x1, -h}, {x1, h}, {x0, h}} {
			pts = append(pts, xy{o.x + (p.x*cs-p.y*sn)*w.k, o.y + (p.x*sn+p.y*cs)*w.k})
		}
		return pts
	}
	g.polygon(white, black, 1.2*px, box(-0.02, 0.11, 0.045))
	g.polygon(black, black, 0.6*px, box(-0.13, -0.02, 0.06))
	q.solid(box(-0.13, 0.11, 0.06))
}

// sectionDims draws the ceiling and the lens height.
func (w *view) sectionDims(g *page, q *ground) []rect {
	var boxes []rect
	s, floor := w.section, w.floorY()
	if w.p.Room.Ceiling > 0 && !w.close {
		x := s.x0 - w.wall - 3.4
		boxes = append(boxes, span(g, xy{x, floor}, xy{x, floor - w.p.Room.Ceiling*w.k},
			w.r.length(w.p.Room.Ceiling)))
		q.ink(sub{[]xy{{x, floor}, {x, s.y0}}, false}, 4)
	}
	if c := w.p.Camera; c != nil && c.At.Z > 0 {
		x := s.x1 + w.wall + 4.4
		y := floor - c.At.Z*w.k
		boxes = append(boxes, span(g, xy{x, floor}, xy{x, y}, w.r.length(c.At.Z)))
		q.ink(sub{[]xy{{x, floor}, {x, y}}, false}, 4)
		g.line(0.5*px, inkDim, xy{s.x1 + w.wall + 0.8, y}, xy{x + 1.2, y})
		f := face{6.4, 400, inkSub}
		p := xy{x + 1.6, y + 0.8}
		g.put(p, f, "lens")
		boxes = append(boxes, textBox(p, f.width("lens"), f.size*pt, false))
	}
	return boxes
}

// cut is the place of the section, metres up the plan: through the first sitter, else the camera,
// else the middle.
func (w *view) cut() float64 {
	lo, hi := w.v0, w.v1
	if len(w.p.Room.Outline) > 0 {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, c := range w.p.Room.Outline {
			v := w.uv(c[0], c[1]).y
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	cut := (lo + hi) / 2
	if len(w.p.Sitters) > 0 {
		cut = w.uv(w.p.Sitters[0].At[0], w.p.Sitters[0].At[1]).y
	} else if w.p.Camera != nil {
		cut = w.uv(w.p.Camera.At.X, w.p.Camera.At.Y).y
	}
	if cut <= lo || cut >= hi {
		cut = (lo + hi) / 2
	}
	return cut + 1.234e-7 // never exactly through a corner
}

// cutMarks draws in the plan where A–A is cut and the direction of view: up the sheet.
func (w *view) cutMarks(g *page) []rect {
	y := w.plan.y1 - (w.cut()-w.v0)*w.k
	_, left := w.overhead()
	f := face{8, 600, black}
	var boxes []rect
	for _, x := range []float64{w.plan.x0 - w.wall - left + 5,
		w.plan.x1 + w.wall + w.up.depth() + w.upLights.depth() + 1.5} {
		g.rule(2.5*px, black, xy{x, y}, xy{x + 3.2, y})
		g.line(0.9*px, black, xy{x + 1.6, y}, xy{x + 1.6, y - 1.9})
		g.line(0.9*px, black, xy{x + 0.9, y - 1.1}, xy{x + 1.6, y - 1.9}, xy{x + 2.3, y - 1.1})
		g.putMid(xy{x + 1.6, y + 3.1}, f, "A")
		boxes = append(boxes, rect{x - 0.3, y - 2.2, x + 3.5, y + 3.4})
	}
	return boxes
}

// cutWalls draws floor, ceiling and the walls where the section cuts them, and returns the filled
// parts.
func (w *view) cutWalls(g *page) [][]xy {
	s, floor := w.section, w.floorY()
	if len(w.p.Room.Outline) == 0 {
		g.rule(2.5*px, black, xy{s.x0 - 3, floor}, xy{s.x1 + 3, floor})
		return [][]xy{rect{s.x0 - 3, floor - 0.1, s.x1 + 3, floor + 0.6}.poly()}
	}
	t := w.wall
	n := len(w.p.Room.Outline)
	var uv []xy
	for _, c := range w.p.Room.Outline {
		uv = append(uv, w.uv(c[0], c[1]))
	}
	cut := w.cut()
	type hit struct {
		u    float64
		wall int
		at   float64 // along the wall, metres
	}
	var hits []hit
	for i := range uv {
		a, b := uv[i], uv[(i+1)%n]
		if (a.y > cut) != (b.y > cut) {
			f := (cut - a.y) / (b.y - a.y)
			hits = append(hits, hit{a.x + (b.x-a.x)*f, i + 1, f * b.sub(a).len()})
		}
	}
	sort.Slice(hits, func(i, j int) bool { return hits[i].u < hits[j].u })
	x := func(u float64) float64 { return w.section.x0 + w.along(u) }
	y := func(z float64) float64 { return floor - z*w.k }
	ceiling := w.p.Room.Ceiling
	wallTop := ceiling
	if ceiling == 0 {
		wallTop = w.top
	}
	// The room beyond the cut: its whole width, and the visible edges.
	all := boundsOf(uv)
	over := w.profile(cut)
	g.line(0.75*px, inkObj, xy{x(all.x0), floor}, xy{x(all.x1), floor})
	if ceiling > 0 {
		g.line(0.75*px, inkObj, xy{x(all.x0), y(ceiling)}, xy{x(all.x1), y(ceiling)})
	}
	for i, c := range uv {
		if c.y > cut {
			_ = i
			g.line(0.75*px, inkObj, xy{x(c.x), floor}, xy{x(c.x), y(wallTop)})
		}
	}

	var solid, keep [][]xy
	add := func(r rect) {
		if r.x1-r.x0 > 0.01 && r.y1-r.y0 > 0.01 {
			solid = append(solid, r.poly())
		}
	}
	for i := 0; i+1 < len(hits); i += 2 {
		l, r := hits[i], hits[i+1]
		add(rect{x(l.u) - t, floor, x(r.u) + t, floor + t})
		if ceiling > 0 {
			for _, p := range over {
				u0, u1 := math.Max(p.u0, l.u), math.Min(p.u1, r.u)
				if u1 <= u0 {
					continue
				}
				x0, x1 := x(u0), x(u1)
				if u0 == l.u {
					x0 -= t
				}
				if u1 == r.u {
					x1 += t
				}
				add(rect{x0, y(p.z) - t, x1, y(p.z)})
			}
			for k := 1; k < len(over); k++ { // the upright sides between two heights
				if p, o := over[k-1], over[k]; o.u0 > l.u && o.u0 < r.u && p.z != o.z {
					hi, lo := math.Max(p.z, o.z), math.Min(p.z, o.z)
					x0, x1 := x(o.u0)-t, x(o.u0) // within what hangs lower
					if o.z < p.z {
						x0, x1 = x(o.u0), x(o.u0)+t
					}
					add(rect{x0, y(hi) - t, x1, y(lo)})
				}
			}
		}
		for k, h := range []hit{l, r} {
			x0, x1 := x(h.u)-t, x(h.u)
			if k == 1 {
				x0, x1 = x(h.u), x(h.u)+t
			}
			wallTop := wallTop
			if ceiling > 0 {
				in := h.u + 1e-6
				if k == 1 {
					in = h.u - 1e-6
				}
				for _, p := range over {
					if in >= p.u0 && in <= p.u1 {
						wallTop = p.z
					}
				}
			}
			keep = append(keep, rect{x0, y(wallTop), x1, floor}.poly())
			// Openings in the cut interrupt the wall between sill and head.
			type span struct{ lo, hi float64 }
			free := []span{{0, wallTop}}
			carve := func(lo, hi float64) {
				var next []span
				for _, p := range free {
					if hi <= p.lo || lo >= p.hi {
						next = append(next, p)
						continue
					}
					if lo > p.lo {
						next = append(next, span{p.lo, lo})
					}
					if hi < p.hi {
						next = append(next, span{hi, p.hi})
					}
				}
				free = next
			}
			for _, o := range w.p.Room.Windows {
				if o.Wall == h.wall && h.at >= o.From && h.at <= o.From+o.Width {
					carve(o.Sill, o.Head)
					c := inkDim
					if o.Colour != [3]float64{} {
						c = tinted(o.Colour, printY)
					}
					mid := (x0 + x1) / 2
					g.rule(0.6*px, inkDim, xy{x0, y(o.Sill)}, xy{x0, y(o.Head)})
					g.rule(0.6*px, inkDim, xy{x1, y(o.Sill)}, xy{x1, y(o.Head)})
					g.rule(1.7*px, c, xy{mid, y(o.Sill)}, xy{mid, y(o.Head)})
				}
			}
			for _, o := range w.p.Room.Doors {
				if o.Wall == h.wall && h.at >= o.From && h.at <= o.From+o.Width {
					head := o.Head
					if head == 0 {
						head = 2.05
					}
					carve(0, math.Min(head, wallTop))
					g.rule(0.75*px, inkDim, xy{x0, floor}, xy{x0, y(math.Min(head, wallTop))})
					g.rule(0.75*px, inkDim, xy{x1, floor}, xy{x1, y(math.Min(head, wallTop))})
				}
			}
			for _, p := range free {
				add(rect{x0, y(p.hi), x1, y(p.lo)})
			}
		}
	}
	var subs []sub
	for _, p := range solid {
		subs = append(subs, sub{p, true})
	}
	if len(subs) > 0 {
		g.add(item{subs: subs, fill: black})
	}
	return append(solid, keep...)
}
