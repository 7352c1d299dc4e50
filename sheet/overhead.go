package sheet

import (
	"math"
	"sort"
	"strings"
)

// overheads draws the parts of the ceiling at another height, dashed as what lies over the cut, and
// gives the labels of their heights.
func (w *view) overheads(g *page) (labels []*label) {
	for _, o := range w.p.Room.Parts {
		pts := w.poly(o.Outline)
		g.add(item{subs: []sub{{pts, true}}, stroke: inkObj, width: 0.75 * px, dash: dashAbove})
		text := strings.TrimSpace(o.Name + " " + w.r.length(o.Height))
		if len(pts) == 0 || w.close && !boundsOf(pts).inside(w.plan.grow(0.1)) {
			continue
		}
		l := &label{what: "ceiling " + text, rank: 6,
			lines: []lettering{{faceSize, faceSize.clip(text, longestLabel)}}}
		l.within(pts)
		l.around(boundsOf(pts), edgeOf(pts), 50)
		labels = append(labels, l)
	}
	return labels
}

// overhead is a stretch of the section's ceiling along the drawing, metres.
type overhead struct{ u0, u1, z float64 }

// highest is the height of the room's highest ceiling.
func (r *Room) highest() float64 {
	top := r.Ceiling
	for _, o := range r.Parts {
		top = math.Max(top, o.Height)
	}
	return top
}

// profile gives the ceiling along the section, stretch by stretch.
func (w *view) profile(cut float64) []overhead {
	us := []float64{math.Inf(-1), math.Inf(1)}
	polys := make([][]xy, len(w.p.Room.Parts))
	for i, o := range w.p.Room.Parts {
		for _, c := range o.Outline {
			polys[i] = append(polys[i], w.uv(c[0], c[1]))
		}
		for k, a := range polys[i] {
			b := polys[i][(k+1)%len(polys[i])]
			if (a.y > cut) != (b.y > cut) {
				us = append(us, a.x+(b.x-a.x)*(cut-a.y)/(b.y-a.y))
			}
		}
	}
	sort.Float64s(us)
	var out []overhead
	for i := 1; i < len(us); i++ {
		mid := (us[i-1] + us[i]) / 2
		z, found := w.p.Room.Ceiling, false
		for k, o := range w.p.Room.Parts {
			if !math.IsInf(mid, 0) && !math.IsNaN(mid) && inPolygon(xy{mid, cut}, polys[k]) && (!found ||
				o.Height < z) {
				z, found = o.Height, true
			}
		}
		if us[i] > us[i-1] {
			out = append(out, overhead{us[i-1], us[i], z})
		}
	}
	return out
}
