package sheet

import (
	"fmt"
	"math"

	"halfstop/geom"
)

// Faces of the drawing's lettering.
var (
	faceView  = face{9, 600, black}
	faceName  = face{9, 600, black}
	faceSize  = face{7, 400, grey(0x33)}
	faceSmall = face{6.2, 400, inkSub}
	faceLevel = face{7.1, 600, black}
	faceDist  = face{7.5, 400, black}
	faceMark  = face{7.1, 600, black}
)

var (
	dashContinuous = []float64{7 * px, 2.5 * px}
	dashFoot       = []float64{2 * px, 2 * px}
	dashAbove      = []float64{3 * px, 2 * px}
	dashAim        = []float64{9 * px, 3 * px, 1.5 * px, 3 * px}
)

// longestLabel is the greatest width of a name on the drawing, mm. The tables have it in full.
const longestLabel = 38.0

// drawPlan draws the plan. It returns the ground and the labels for tests.
func (w *view) drawPlan(g *page) (*ground, []*label, []*label) {
	paper, g := g, &page{}
	q := newGround(w.planZone)
	var labels []*label
	room := w.poly(w.p.Room.Outline)
	name := "Plan"
	if w.close {
		name = "Plan, part"
	}
	corner := xy{w.zone.x0 + 5, w.plan.y0 - w.wall - 1.4}
	q.boxes = append(q.boxes, textBox(corner, paper.put(corner, faceView, name), 3.2, false))

	q.boxes = append(q.boxes, w.north(paper)...)

	// The depth of field and the angle of view.
	w.planCamera(g, q, room)

	// Furniture.
	for _, o := range w.p.Objects {
		pts := w.poly(o.Foot)
		it := item{subs: []sub{{pts, true}}, stroke: inkObj, width: 0.75 * px}
		if w.p.ContourHeight > 0 && o.Lo > w.p.ContourHeight {
			it.dash = dashAbove
		}
		g.add(it)
		q.ink(sub{pts, true}, 0.5)
	}

	labels = append(labels, w.objectNames()...)
	labels = append(labels, w.overheads(g)...)
	// Contours come after the labels, so that their lines leave gaps.
	type line struct {
		s     sub
		width float64
		ink   ink
		dash  []float64
	}
	var lines []line
	for _, l := range w.p.Lights {
		if l.Field == nil {
			continue
		}
		f := l.Field.calmed()
		for _, lv := range w.levels(l, f) {
			it := line{width: 0.95 * px, ink: tinted(l.Colour, printY)}
			switch {
			case lv == 0:
				it.width = 1.7 * px
			case lv > 0:
				it.width = 1.2 * px
			}
			if l.Kind != Flash {
				it.dash = dashContinuous
			}
			for _, s := range f.contours(float64(lv)) {
				s = rounded(s)
				for i, p := range s.pts {
					s.pts[i] = w.at(p.x, p.y)
				}
				s = thinned(s, 0.02)
				for _, c := range within(s, w.clipTo(room)) {
					if lengthOf(c) < 4 {
						continue
					}
					it.s = c
					lines = append(lines, it)
					q.ink(c, 0.8)
					t := &label{what: "contour " + l.Role + " " + levelWord(lv), rank: 5, drop: 14,
						lines: []lettering{{faceLevel, levelWord(lv)}}}
					t.along(c, 0, 1, 3)
					labels = append(labels, t)
				}
			}
		}
	}

	// Bodies are drawn over the contours, in one list so that they are in order of height.
	var bodies [][]xy
	for _, l := range w.p.Lights {
		for _, b := range l.Bodies {
			all, _ := b.cloud()
			bodies = append(bodies, hull(w.above(all)))
		}
	}
	for _, b := range bodies {
		q.solid(b)
	}
	for _, s := range w.p.Sitters {
		sh, _, nose := s.fromAbove()
		pts := w.onPaper(sh)
		q.solid(pts)
		q.solid(w.onPaper(nose[:]))
	}
	for _, n := range w.p.Panels {
		h := hull(w.above(n.cloud(0.7 / w.k)))
		q.solid(h)
		bodies = append(bodies, h)
	}
	walls := w.walls()
	for _, s := range walls {
		q.solid(s)
	}
	for _, s := range w.openingBoxes() {
		q.solid(s)
	}

	// Aim lines with their length.
	for _, l := range w.p.Lights {
		if !l.aimed() {
			continue
		}
		b := l.Bodies[0]
		s := w.aimLine(b)
		if lengthOf(s) < 1 {
			continue
		}
		q.ink(s, 0.6)
		t := &label{what: "aim " + l.Role, rank: 3, drop: 40,
			lines: []lettering{{faceDist, w.r.length(b.Aim.Sub(b.At).Len())}}}
		t.along(s, 0.12, 0.88, 1.2)
		labels = append(labels, t)
	}

	// Names of lights.
	for _, l := range w.p.Lights {
		if len(l.Bodies) == 0 {
			continue
		}
		all, _ := l.Bodies[0].cloud()
		h := hull(w.above(all))
		if w.isFar(&l) {
			if t := w.farAbove(g, &l); t != nil {
				labels = append(labels, t)
				continue
			}
		}
		t := &label{what: "light " + l.Role, rank: 0,
			lines: []lettering{{faceName, faceName.clip(l.Role, longestLabel)}}}
		if s := l.sizeWords(w.r); s != "" {
			t.lines = append(t.lines, lettering{faceSize, faceSize.clip(s, longestLabel)})
		}
		t.around(boundsOf(h), boundsOf(h).mid(), 70)
		t.keepTo(h, bodies)
		t.shun(w.plan.grow(w.wall))
		labels = append(labels, t)
	}
	for _, n := range w.p.Panels {
		h := hull(w.above(n.cloud(0.7 / w.k)))
		name := n.Name
		if name == "" {
			name = string(n.Kind)
		}
		t := &label{what: "panel " + name, rank: 2,
			lines: []lettering{{faceSize, faceSize.clip(name, longestLabel-16) + " " + w.r.size(n.Width, n.Height,
				n.Round || n.Height == 0)}}}
		t.lines = append(t.lines,
			lettering{faceSmall, fmt.Sprintf("%s · %s · %s", w.r.length(n.At.X), w.r.length(n.At.Y),
				w.r.length(n.At.Z))})
		t.around(boundsOf(h), boundsOf(h).mid(), 50)
		t.keepTo(h, bodies)
		t.shun(w.plan.grow(w.wall))
		labels = append(labels, t)
	}
	for i, s := range w.p.Sitters {
		if s.Name == "" {
			continue
		}
		sh, _, _ := s.fromAbove()
		b := boundsOf(w.onPaper(sh))
		t := &label{what: "sitter " + s.Name, rank: 1 + i,
			lines: []lettering{{faceSize, faceSize.clip(s.Name, longestLabel)}}}
		t.around(b, b.mid(), 50)
		labels = append(labels, t)
	}
	a, b, out := w.edges()
	for _, o := range w.p.Room.Windows {
		if o.Name == "" || w.close {
			continue
		}
		i := o.Wall - 1
		p, r := w.onWall(a[i], b[i], i, o.From), w.onWall(a[i], b[i], i, o.From+o.Width)
		m := p.lerp(r, 0.5).add(out[i].mul(w.wall / 2))
		t := &label{what: "window " + o.Name, rank: 7, drop: 60,
			lines: []lettering{{faceSize, faceSize.clip(o.Name, longestLabel)}}}
		t.around(boundsOf([]xy{p, r.add(out[i].mul(w.wall))}), m, 32)
		t.shun(w.plan.grow(w.wall))
		labels = append(labels, t)
	}
	for _, o := range w.p.Room.Outlets {
		c := w.at(o.At[0], o.At[1])
		if !w.plan.grow(w.wall + 0.1).has(c) {
			continue
		}
		b := rect{c.x - 1, c.y - 1, c.x + 1, c.y + 1}
		q.solid(b.poly())
		t := &label{what: "outlet " + o.Name, rank: 1,
			lines: []lettering{{faceMark, faceMark.clip(o.Name, longestLabel)}}}
		t.around(b, c, 26)
		labels = append(labels, t)
	}

	// Dimensions are fixed lettering.
	for _, b := range w.planDims(paper, q) {
		q.boxes = append(q.boxes, b.grow(0.5))
	}
	q.boxes = append(q.boxes, w.cutMarks(paper)...)
	if c := w.p.Camera; c != nil {
		q.solid(w.cameraBox())
	}
	lost := q.place(labels)

	// Lines with their gaps.
	var boxes []rect
	for _, l := range labels {
		if l.chosen >= 0 {
			boxes = append(boxes, l.cands[l.chosen].box)
		}
	}
	for _, c := range lines {
		for _, s := range without(c.s, boxes) {
			g.add(item{subs: []sub{s}, stroke: c.ink, width: c.width, dash: c.dash})
		}
	}
	w.planStands(g)
	for _, l := range w.p.Lights {
		if !l.aimed() {
			continue
		}
		b := l.Bodies[0]
		for _, s := range without(w.aimLine(b), boxes) {
			g.add(item{subs: []sub{s}, stroke: tinted(l.Colour, printY), width: 1.1 * px, dash: dashAim})
		}
	}
	for _, n := range w.p.Panels {
		drawPanel(g, hull(w.above(n.cloud(0.7/w.k))), n.Kind)
	}
	for _, l := range w.p.houseFirst() {
		for _, b := range l.Bodies {
			all, front := b.cloud()
			drawBody(g, w.above(all), w.above(front), tinted(l.Colour, printY),
				w.p.Room.Ceiling > 0 && b.At.Z > w.p.ContourHeight+0.9 && l.Stand == nil)
			for _, rod := range b.seams(geom.V(0, 0, 1)) {
				g.line(0.55*px, tinted(l.Colour, printY), w.above(rod)...)
			}
		}
		if l.Stand != nil {
			c := w.at(l.Stand.At[0], l.Stand.At[1])
			g.line(0.6*px, inkDim, xy{c.x - 0.7, c.y}, xy{c.x + 0.7, c.y})
			g.line(0.6*px, inkDim, xy{c.x, c.y - 0.7}, xy{c.x, c.y + 0.7})
		}
	}
	for _, s := range w.p.Sitters {
		sh, head, nose := s.fromAbove()
		g.polygon(white, black, 1.4*px, w.onPaper(sh))
		g.polygon(white, black, 1.2*px, w.onPaper(head))
		g.line(1.6*px, black, w.onPaper(nose[:])...)
	}
	w.drawCamera(g)
	if len(walls) > 0 {
		var subs []sub
		for _, s := range walls {
			subs = append(subs, sub{s, true})
		}
		g.add(item{subs: subs, fill: black})
	}
	w.openings(g)
	w.originMark(g)
	for _, o := range w.p.Room.Outlets {
		c := w.at(o.At[0], o.At[1])
		g.polygon(white, black, 1.2*px, circle(c, 0.95))
		g.line(1.2*px, black, xy{c.x - 0.4, c.y}, xy{c.x + 0.4, c.y})
	}
	w.drawBreak(g, w.plan)
	w.release(paper, g, w.plan)
	for _, l := range labels {
		l.draw(paper)
	}
	return q, labels, lost
}

// aimLine is the line from a body to its aim, as far as the drawing extends.
func (w *view) aimLine(b Body) sub {
	p, q, ok := clipLine(w.at(b.At.X, b.At.Y), w.at(b.Aim.X, b.Aim.Y), w.plan.grow(w.wall/2))
	if !ok {
		return sub{}
	}
	return sub{[]xy{p, q}, false}
}

// release puts what was drawn on a view's own page on to the paper. With a part of the place, only
// what lies in the window.
func (w *view) release(paper, g *page, window rect) {
	if !w.close {
		paper.items = append(paper.items, g.items...)
		return
	}
	window = window.grow(w.wall)
	frame := window.poly()
	for _, it := range g.items {
		if it.text != "" || it.img != nil {
			paper.add(it)
			continue
		}
		if it.fill.on {
			f := it
			f.stroke, f.subs = noInk, nil
			for _, s := range it.subs {
				if p := clipPolygon(s.pts, window); len(p) > 2 {
					f.subs = append(f.subs, sub{p, true})
				}
			}
			if len(f.subs) > 0 {
				paper.add(f)
			}
		}
		if it.stroke.on {
			l := it
			l.fill, l.subs = noInk, nil
			for _, s := range it.subs {
				l.subs = append(l.subs, within(s, frame)...)
			}
			if len(l.subs) > 0 {
				paper.add(l)
			}
		}
	}
	paper.add(item{subs: []sub{{frame, true}}, stroke: inkDim, width: 0.75 * px, dash: dashAim})
}

// clipTo is the polygon that contours keep to.
func (w *view) clipTo(room []xy) []xy {
	if len(room) >= 3 {
		return room
	}
	return w.plan.poly()
}

func lengthOf(s sub) float64 {
	l := 0.0
	for i := 0; i+1 < len(s.pts); i++ {
		l += s.pts[i+1].sub(s.pts[i]).len()
	}
	if s.closed && len(s.pts) > 1 {
		l += s.pts[0].sub(s.pts[len(s.pts)-1]).len()
	}
	return l
}

// manyFields is how many lights may have three contours each. With more lights each has one, since
// more cannot be told apart.
const manyFields = 6

// levels returns the levels of a light to draw: those asked for, or three about its level at the
// sitter, clamped to the range of the field.
func (w *view) levels(l Light, f *Field) []int {
	if l.Levels != nil {
		return l.Levels
	}
	mid := math.NaN()
	if len(w.p.Sitters) > 0 {
		mid = f.at(w.p.Sitters[0].At[0], w.p.Sitters[0].At[1])
	}
	top := int(math.Floor(f.top() - 0.05))
	m := top
	if !math.IsNaN(mid) && !math.IsInf(mid, 0) {
		m = int(math.Round(mid))
	}
	m = max(-2, min(m, top-1))
	m = min(m, 3)
	fields := 0
	for _, o := range w.p.Lights {
		if o.Field != nil {
			fields++
		}
	}
	if fields > manyFields {
		return []int{m}
	}
	var out []int
	for lv := m - 1; lv <= m+1; lv++ {
		out = append(out, lv)
	}
	return out
}

// above projects points to the plan on paper.
func (w *view) above(pts []geom.Vec) []xy {
	out := make([]xy, len(pts))
	for i, p := range pts {
		out[i] = w.at(p.X, p.Y)
	}
	return out
}

func (w *view) onPaper(pts []xy) []xy {
	out := make([]xy, len(pts))
	for i, p := range pts {
		out[i] = w.at(p.x, p.y)
	}
	return out
}

func (w *view) planStands(g *page) {
	ring := func(s *Stand) {
		if s != nil && s.Radius > 0 {
			g.add(item{subs: []sub{{circle(w.at(s.At[0], s.At[1]), s.Radius*w.k), true}}, stroke: inkDim,
				width: 0.75 * px, dash: dashFoot})
		}
	}
	for _, l := range w.p.Lights {
		ring(l.Stand)
		if l.Stand != nil && len(l.Bodies) > 0 {
			a, b := w.at(l.Stand.At[0], l.Stand.At[1]), w.at(l.Bodies[0].At.X, l.Bodies[0].At.Y)
			if a.sub(b).len() > 0.5 {
				g.line(1.1*px, inkDim, a, b)
			}
		}
	}
	for _, n := range w.p.Panels {
		ring(n.Stand)
	}
	if c := w.p.Camera; c != nil && c.FootR > 0 {
		g.add(item{subs: []sub{{circle(w.at(c.At.X, c.At.Y), c.FootR*w.k), true}}, stroke: inkDim, width: 0.75 * px,
			dash: dashFoot})
	}
}

// drawBody draws a light's body: its silhouette, pale, and its emitting face as a heavier line.
func drawBody(g *page, all, front []xy, c ink, overhead bool) {
	h := hull(all)
	it := item{subs: []sub{{h, true}}, fill: c.pale(), stroke: c, width: 1.4 * px}
	if overhead {
		it.dash, it.fill = dashAbove, noInk
	}
	g.add(it)
	if len(front) > 2 && !overhead {
		f := hull(front)
		g.add(item{subs: []sub{{f, true}}, stroke: c, width: 0.9 * px})
		if math.Abs(areaOf(f)) < 0.35*math.Abs(areaOf(h)) {
			g.add(item{subs: []sub{{f, true}}, stroke: c, width: 1.6 * px})
		}
	}
}

// planCamera draws the angle of view and the hatched depth of field.
func (w *view) planCamera(g *page, q *ground, room []xy) {
	c := w.p.Camera
	if c == nil {
		return
	}
	n := c.Aim.Sub(c.At)
	flat := math.Hypot(n.X, n.Y)
	if flat < 1e-6 || c.HalfWidth <= 0 {
		return
	}
	d, s := xy{n.X / flat, n.Y / flat}, xy{-n.Y / flat, n.X / flat}
	tan := math.Tan(math.Min(c.HalfWidth, 1.5))
	point := func(dist, off float64) xy {
		return w.at(c.At.X+d.x*dist+s.x*off, c.At.Y+d.y*dist+s.y*off)
	}
	far := 2 * (w.u1 - w.u0 + w.v1 - w.v0)
	clip := w.clipTo(room)
	if c.Near > 0 && c.Far > c.Near {
		cosTilt := flat / n.Len()
		near, back := c.Near*cosTilt, math.Min(c.Far*cosTilt, far)
		band := []xy{point(near, -near*tan), point(near, near*tan), point(back, back*tan), point(back, -back*tan)}
		for _, h := range hatch(band, -math.Pi/4, 5*px) {
			for _, part := range within(h, clip) {
				g.add(item{subs: []sub{part}, stroke: grey(0x9a), width: 0.9 * px * 0.7})
				q.ink(part, 0.12)
			}
		}
		edges := [][]xy{{band[0], band[1]}, {band[2], band[3]}}
		for _, e := range edges {
			for _, part := range within(sub{e, false}, clip) {
				g.add(item{subs: []sub{part}, stroke: grey(0x77), width: 0.6 * px})
			}
		}
	}
	for _, side := range []float64{-1, 1} {
		for _, part := range within(sub{[]xy{point(0.05, side*0.05*tan), point(far, side*far*tan)}, false}, clip) {
			if part.pts[0].sub(point(0, 0)).len() > 0.5*w.k && !inPolygon(point(0.05, 0), clip) {
				continue
			}
			g.add(item{subs: []sub{part}, stroke: inkDim, width: 0.75 * px})
			q.ink(part, 0.4)
			break // behind the first wall the lens sees nothing
		}
	}
}

// cameraBox is the camera's outline in the plan.
func (w *view) cameraBox() []xy {
	c := w.p.Camera
	n := c.Aim.Sub(c.At)
	a := math.Atan2(n.Y, n.X)
	return w.onPaper(turnedBox(xy{c.At.X, c.At.Y}, a, -0.13, 0.10, 0.075))
}

func turnedBox(o xy, a, x0, x1, half float64) []xy {
	cs, sn := math.Cos(a), math.Sin(a)
	var out []xy
	for _, p := range []xy{{x0, -half}, {x1, -half}, {x1, half}, {x0, half}} {
		out = append(out, xy{o.x + p.x*cs - p.y*sn, o.y + p.x*sn + p.y*cs})
	}
	return out
}

func (w *view) drawCamera(g *page) {
	c := w.p.Camera
	if c == nil {
		return
	}
	n := c.Aim.Sub(c.At)
	a := math.Atan2(n.Y, n.X)
	o := xy{c.At.X, c.At.Y}
	g.polygon(white, black, 1.2*px, w.onPaper(turnedBox(o, a, -0.02, 0.11, 0.05)))
	g.polygon(black, black, 0.6*px, w.onPaper(turnedBox(o, a, -0.13, -0.02, 0.075)))
}

// planDims draws the overall dimensions and the chains, and returns the boxes of the figures.
func (w *view) planDims(g *page, q *ground) []rect {
	var boxes []rect
	p := w.plan
	t := w.wall
	if len(w.p.Room.Outline) > 0 && !w.close {
		y, x := p.y0-t-2.6, p.x0-t-3.4
		if c := w.corners[0]; c != nil {
			boxes = append(boxes, cornerChain(g, c, func(m float64) xy { return xy{p.x0 + w.along(m), y} }, w.r)...)
			q.ink(sub{[]xy{{p.x0, y}, {p.x1, y}}, false}, 4)
			y -= cornerRow
		}
		if c := w.corners[1]; c != nil {
			boxes = append(boxes, cornerChain(g, c, func(m float64) xy { return xy{x, p.y1 - (m-w.v0)*w.k} }, w.r)...)
			q.ink(sub{[]xy{{x, p.y0}, {x, p.y1}}, false}, 4)
			x -= cornerRow
		}
		boxes = append(boxes, span(g, xy{p.x0, y}, xy{p.x1, y}, w.r.length(w.u1-w.u0)))
		boxes = append(boxes, span(g, xy{x, p.y1}, xy{x, p.y0}, w.r.length(w.v1-w.v0)))
		for _, e := range [][2]xy{{{p.x0, y - 1.4}, {p.x0, y + 1.6}}, {{p.x1, y - 1.4}, {p.x1, y + 1.6}},
			{{x - 1.4, p.y0}, {x + 1.6, p.y0}}, {{x - 1.4, p.y1}, {x + 1.6, p.y1}}} {
			g.line(0.6*px, inkDim, e[0], e[1])
		}
		q.ink(sub{[]xy{{p.x0, y}, {p.x1, y}}, false}, 4)
		q.ink(sub{[]xy{{x, p.y0}, {x, p.y1}}, false}, 4)
	}
	for _, c := range [][]sub{w.across.band(p.x0, p.y1+t, false),
		w.acrossLights.band(p.x0, p.y1+t+w.across.depth(), false),
		w.up.band(p.x1+t, p.y1, true), w.upLights.band(p.x1+t+w.up.depth(), p.y1, true)} {
		for _, s := range c {
			q.ink(s, 4)
		}
	}
	boxes = append(boxes, w.across.drawAcross(g, p.x0, p.y1+t)...)
	boxes = append(boxes, w.acrossLights.drawAcross(g, p.x0, p.y1+t+w.across.depth())...)
	boxes = append(boxes, w.up.drawUp(g, p.x1+t, p.y1)...)
	boxes = append(boxes, w.upLights.drawUp(g, p.x1+t+w.up.depth(), p.y1)...)
	return boxes
}
