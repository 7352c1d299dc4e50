package sheet

import (
	"fmt"
	"math"
	"sort"
)

// gap2 is an interval along the horizontal axis of the paper, metres of the room.
type gap2 struct{ from, to float64 }

const (
	breakMM     = 7.0 // paper that a break takes
	leastBreak  = 3.0 // metres that are worth one
	besideLeft  = 15.0
	besideRight = 14.0
)

// along maps a place on the horizontal axis, metres, to millimetres from the left end of the
// drawing. A break is drawn with breakMM.
func (w *view) along(u float64) float64 {
	c := w.cutOut
	switch {
	case c.to <= c.from || u <= c.from:
		return (u - w.u0) * w.k
	case u >= c.to:
		return (u-w.u0-(c.to-c.from))*w.k + breakMM
	}
	return (c.from-w.u0)*w.k + (u-c.from)/(c.to-c.from)*breakMM
}

// needs returns the width and height of the drawing at the current scale, mm.
func (w *view) needs() (float64, float64) {
	w.wall = w.wallMM()
	w.chains()
	headroom, gutterLeft := w.overhead()
	plan, right := w.along(w.u1), math.Max(w.up.depth()+w.upLights.depth()+2, 14)
	width := gutterLeft + 2*w.wall + plan + right + gutterRight
	upper := headroom + 2*w.wall + (w.v1-w.v0)*w.k + w.across.depth() + w.acrossLights.depth() + 4
	lower := 2*w.wall + (w.top-w.bottom)*w.k
	if w.beside {
		return width + besideLeft + 2*w.wall + plan + besideRight, math.Max(upper, lower+6) + footroom
	}
	return width, upper + lower + footroom
}

// findBreak finds the longest interval along the horizontal axis without any part of the setup, an
// opening, an object or a single light of the place. The place's arrays of lights inside it are not
// drawn.
func (w *view) findBreak() gap2 {
	if w.close || len(w.p.Room.Outline) == 0 {
		return gap2{}
	}
	type taken struct{ lo, hi float64 }
	var t []taken
	add := func(margin float64, pts ...xy) {
		b := taken{math.Inf(1), math.Inf(-1)}
		for _, p := range pts {
			u := w.uv(p.x, p.y).x
			b.lo, b.hi = math.Min(b.lo, u), math.Max(b.hi, u)
		}
		t = append(t, taken{b.lo - margin, b.hi + margin})
	}
	p := w.p
	o := p.Room.Outline
	for i, c := range o {
		add(0.15, xy{c[0], c[1]})
		q := o[(i+1)%len(o)]
		a, b := w.uv(c[0], c[1]), w.uv(q[0], q[1])
		if math.Abs(a.x-b.x) > 1e-6 && math.Abs(a.y-b.y) > 1e-6 {
			add(0, xy{c[0], c[1]}, xy{q[0], q[1]}) // a slanting wall is not broken
		}
	}
	opening := func(wall int, from, width float64) {
		if wall < 1 || wall > len(o) {
			return
		}
		c, q := o[wall-1], o[wall%len(o)]
		l := math.Hypot(q[0]-c[0], q[1]-c[1])
		at := func(m float64) xy { return xy{c[0] + (q[0]-c[0])*m/l, c[1] + (q[1]-c[1])*m/l} }
		add(0.3, at(from), at(from+width))
	}
	for _, v := range p.Room.Windows {
		opening(v.Wall, v.From, v.Width)
	}
	for _, v := range p.Room.Doors {
		opening(v.Wall, v.From, v.Width)
	}
	for _, v := range p.Room.Outlets {
		add(0.3, xy{v.At[0], v.At[1]})
	}
	for _, v := range p.Objects {
		for _, f := range v.Foot {
			add(0.2, xy{f[0], f[1]})
		}
		if len(v.Foot) > 1 {
			var pts []xy
			for _, f := range v.Foot {
				pts = append(pts, xy{f[0], f[1]})
			}
			add(0.2, pts...)
		}
	}
	for _, v := range p.Sitters {
		add(1, xy{v.At[0], v.At[1]})
	}
	if c := p.Camera; c != nil {
		add(0.8, xy{c.At.X, c.At.Y})
	}
	for i := range p.Lights {
		l := &p.Lights[i]
		for _, b := range l.Bodies {
			if l.Fixed && len(l.Bodies) > 1 {
				continue
			}
			all, _ := b.cloud()
			pts := []xy{}
			for _, c := range all {
				pts = append(pts, xy{c.X, c.Y})
			}
			add(0.5, pts...)
		}
		if l.Stand != nil {
			add(0.6, xy{l.Stand.At[0], l.Stand.At[1]})
		}
	}
	for _, v := range p.Panels {
		for _, c := range v.cloud(0) {
			add(0.4, xy{c.X, c.Y})
		}
	}
	sort.Slice(t, func(i, j int) bool { return t[i].lo < t[j].lo })
	var best gap2
	end := math.Inf(1)
	for _, k := range t {
		if k.lo > end && k.lo-end > best.to-best.from {
			best = gap2{end, k.lo}
		}
		if math.IsInf(end, 1) {
			end = k.hi
		}
		end = math.Max(end, k.hi)
	}
	if best.to-best.from < leastBreak {
		return gap2{}
	}
	return best
}

// withoutBreak returns a copy of the plan without what lies in the break.
func (w *view) withoutBreak() *Plan {
	p := *w.p
	p.Lights = append([]Light(nil), p.Lights...)
	for i := range p.Lights {
		l := &p.Lights[i]
		if !l.Fixed || len(l.Bodies) < 2 {
			continue
		}
		var keep []Body
		for _, b := range l.Bodies {
			if u := w.uv(b.At.X, b.At.Y).x; u <= w.cutOut.from+b.Width/2 || u >= w.cutOut.to-b.Width/2 {
				keep = append(keep, b)
			}
		}
		l.Bodies = keep
	}
	return &p
}

// drawBreak leaves the break of a view blank and draws its two edges.
func (w *view) drawBreak(g *page, b rect) {
	if w.cutOut.to <= w.cutOut.from {
		return
	}
	x0 := b.x0 + w.along(w.cutOut.from)
	x1 := x0 + breakMM
	y0, y1 := b.y0-w.wall-1, b.y1+w.wall+1
	g.polygon(white, noInk, 0, rect{x0 + 1.5, y0, x1 - 1.5, y1}.poly())
	for _, x := range []float64{x0 + 1.5, x1 - 1.5} {
		m := (y0 + y1) / 2
		g.line(0.8*px, inkDim, xy{x, y0 - 1}, xy{x, m - 1.6}, xy{x - 1.3, m - 0.6}, xy{x + 1.3, m + 0.6},
			xy{x, m + 1.6}, xy{x, y1 + 1})
	}
}

// breakWords says what a break leaves out.
func (w *view) breakWords() string {
	if w.cutOut.to <= w.cutOut.from {
		return ""
	}
	axis, from, to := "x", w.cutOut.from, w.cutOut.to
	if w.turned {
		axis = "y"
	}
	return fmt.Sprintf(" Broken: %s %s to %s is not drawn.", axis, w.r.length(from), w.r.length(to))
}

// fit lays the drawing out at the largest scale that fits into a zone of the given size, in either
// orientation. In the open the setup alone is drawn, with what is about it, where that makes the
// scale half as large again: a street is no part of the work, and a lamp far off is told at the
// edge.
func fit(p *Plan, opt Options, x, y, width, height float64) (*view, error) {
	w, err := fitPart(p, opt, false, x, y, width, height)
	if len(p.Room.Outline) > 0 || p.Camera == nil && len(p.Sitters) == 0 || opt.Scale > 0 && err == nil {
		return w, err
	}
	if v, e := fitPart(p, opt, true, x, y, width, height); e == nil && (err != nil || 3*v.scale <= 2*w.scale) {
		return v, nil
	}
	return w, err
}

// fill is the share of a zone that the drawing takes in the direction in which it takes more.
func (w *view) fill(width, height float64) float64 {
	nw, nh := w.needs()
	return max(nw/width, nh/height)
}

// brokenFrom is the scale (1:n) from which a long room may be broken.
const brokenFrom = 75

// fitPart is fit for the whole place or for the setup alone. The section is under the plan, or
// beside it where that makes a larger scale. The length is broken where that makes the scale half
// as large again.
func fitPart(p *Plan, opt Options, close bool, x, y, width, height float64) (*view, error) {
	r := ruler{opt.Feet}
	scales := r.scales()
	if opt.Scale > 0 {
		scales = []int{opt.Scale}
	}
	var last *view
	search := func(broken bool) *view {
		for _, s := range scales {
			for _, form := range []struct{ turned, beside bool }{{false, false}, {true, false}, {false, true},
				{true, true}} {
				w := &view{p: p, r: r, close: close, turned: form.turned, beside: form.beside, scale: s,
					k: 1000 / float64(s)}
				w.gather()
				if w.u1 <= w.u0 || w.v1 <= w.v0 {
					continue
				}
				if broken {
					if w.cutOut = w.findBreak(); w.cutOut.to <= w.cutOut.from {
						continue
					}
				}
				nw, nh := w.needs()
				if !form.turned && !form.beside {
					last = w
				}
				if nw <= width && nh <= height {
					return w
				}
			}
		}
		return nil
	}
	best := search(false)
	if best == nil || best.scale >= brokenFrom && opt.Scale == 0 {
		whole := last
		if w := search(true); w != nil && (best == nil || 3*w.scale <= 2*best.scale) {
			w.p = w.withoutBreak()
			best = w
		}
		last = whole
	}
	if best == nil && last == nil {
		return nil, fmt.Errorf("the setup lies outside the room")
	}
	if best == nil {
		return nil,
			fmt.Errorf(
				"the drawing is %.1f × %.1f m in plan and %.1f m high, too large for %s even at %s: leave out "+
					"what lies far from the setup, or draw the room alone",
				last.u1-last.u0, last.v1-last.v0, last.top, map[Paper]string{A4: "A4", Letter: "US Letter"}[opt.Paper],
				r.scaleWords(last.scale))
	}
	best.set(x, y, width)
	return best, nil
}

// set places the views from the upper left corner of the zone.
func (w *view) set(x, y, width float64) {
	nw, nh := w.needs()
	w.zone = rect{x, y, x + width, y + nh}
	headroom, gutterLeft := w.overhead()
	plan := w.along(w.u1)
	left := x + gutterLeft + w.wall + (width-nw)/2
	pt0 := y + headroom + w.wall
	w.plan = rect{left, pt0, left + plan, pt0 + (w.v1-w.v0)*w.k}
	if w.beside {
		right := w.plan.x1 + w.wall + math.Max(w.up.depth()+w.upLights.depth()+2, 14) + gutterRight
		s0 := right + besideLeft + w.wall
		w.section = rect{s0, y + 6 + w.wall, s0 + plan, y + 6 + w.wall + (w.top-w.bottom)*w.k}
		w.planZone = rect{w.zone.x0 + 1, w.zone.y0 + 1, right, w.zone.y1 - footroom + 1}
		w.sectionZone = rect{right, w.zone.y0 + 1, w.zone.x1, w.zone.y1}
		return
	}
	s0 := w.plan.y1 + w.wall + w.across.depth() + w.acrossLights.depth() + 4 + w.wall
	w.section = rect{left, s0, w.plan.x1, s0 + (w.top-w.bottom)*w.k}
	w.planZone = rect{w.zone.x0 + 1, w.zone.y0 + 1, w.zone.x1 - 1, s0 - w.wall - 1}
	w.sectionZone = w.zone
}
