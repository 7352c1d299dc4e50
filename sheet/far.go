package sheet

import (
	"math"
)

// This file tells what lies outside a drawing of a part of a place: lights far from the setup.

const (
	farAside = 1.5 // metres from camera, sitters and what is brought, from which a light is far
	farOver  = 1.0 // metres over them
)

// isFar reports whether a light is left out of a drawing of the setup alone: it stands on nothing
// that is brought, and lies far from camera, sitters and what is brought. It is told at the edge.
func (w *view) isFar(l *Light) bool {
	if !w.close || l.Stand != nil || len(l.Bodies) == 0 {
		return false
	}
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	top := 0.0
	grow := func(x, y, z float64) {
		lo, hi = xy{math.Min(lo.x, x), math.Min(lo.y, y)}, xy{math.Max(hi.x, x), math.Max(hi.y, y)}
		top = math.Max(top, z)
	}
	for _, s := range w.p.Sitters {
		grow(s.At[0], s.At[1], s.Floor+s.stature())
	}
	if c := w.p.Camera; c != nil {
		grow(c.At.X, c.At.Y, c.At.Z)
	}
	for i := range w.p.Lights {
		if o := &w.p.Lights[i]; o.Stand != nil {
			grow(o.Stand.At[0], o.Stand.At[1], o.Stand.Top)
			for _, b := range o.Bodies {
				grow(b.At.X, b.At.Y, b.At.Z)
			}
		}
	}
	for _, n := range w.p.Panels {
		grow(n.At.X, n.At.Y, n.At.Z)
	}
	b := l.Bodies[0].At
	return !(rect{lo.x, lo.y, hi.x, hi.y}).grow(farAside).has(xy{b.X, b.Y}) || b.Z > top+farOver
}

// farMark tells a light that lies outside the window: an arrow at the edge toward it, and its
// label. From is the sitter, at the light, both on paper.
func (w *view) farMark(g *page, window rect, from, at xy, l *Light, lines []lettering) *label {
	if window.has(at) || !window.has(from) {
		return nil
	}
	d := at.sub(from).unit()
	_, end, ok := clipLine(from, at, window.grow(-1))
	if !ok {
		return nil
	}
	tail := end.sub(d.mul(6))
	c := tinted(l.Colour, printY)
	side := xy{-d.y, d.x}.mul(1.1)
	g.line(1.4*px, c, tail, end)
	g.polygon(c, noInk, 0, []xy{end, end.sub(d.mul(2.6)).add(side), end.sub(d.mul(2.6)).sub(side)})
	t := &label{what: "far light " + l.Role, rank: 1, lines: lines}
	t.around(boundsOf([]xy{tail, end}), tail.lerp(end, 0.5), 70)
	return t
}
