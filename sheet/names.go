package sheet

import (
	"fmt"
	"math"
	"strings"
)

// This file names the furniture of a plan.

// fewestAlike is how many things told apart by a number alone are named once: 'step ×12'.
const fewestAlike = 3

// named is one or more things with one label.
type named struct {
	name  string
	parts [][]xy // their outlines on paper, as far as they are drawn
}

// stem is a name without the number that counts it, and whether it has one.
func stem(name string) (string, bool) {
	s := strings.TrimRight(strings.TrimRight(name, "0123456789."), " -/")
	return s, s != "" && s != name
}

// objects gathers the furniture by its labels. In a view of a part it is what lies in the window.
func (w *view) objects() (out []named) {
	count := map[string]int{}
	for _, o := range w.p.Objects {
		if s, ok := stem(o.Name); ok {
			count[s]++
		}
	}
	at := map[string]int{}
	for _, o := range w.p.Objects {
		pts := w.poly(o.Foot)
		if w.close {
			pts = clipPolygon(pts, w.plan)
		}
		if o.Name == "" || len(pts) < 2 {
			continue
		}
		name := o.Name
		if s, ok := stem(name); ok && count[s] >= fewestAlike {
			name = s
		}
		i, ok := at[name]
		if !ok {
			i = len(out)
			at[name] = i
			out = append(out, named{name: name})
		}
		out[i].parts = append(out[i].parts, pts)
	}
	return out
}

// objectNames makes the labels of the furniture.
func (w *view) objectNames() (labels []*label) {
	for _, o := range w.objects() {
		name := o.name
		if n := len(o.parts); n > 1 {
			name = fmt.Sprintf("%s ×%d", name, n)
		}
		l := &label{what: "object " + o.name, rank: 6, drop: 60,
			lines: []lettering{{faceSize, faceSize.clip(name, longestLabel)}}}
		for _, pts := range o.parts {
			l.within(pts)
			if len(l.cands) > 900 {
				break
			}
			l.around(boundsOf(pts), edgeOf(pts), 70)
		}
		labels = append(labels, l)
	}
	return labels
}

// within adds candidates inside an outline, where the label fits.
func (l *label) within(pts []xy) {
	b := boundsOf(pts)
	w, h := l.size()
	if b.w() < w || b.h() < h {
		return
	}
	for _, f := range [][2]float64{{.5, .5}, {.25, .5}, {.75, .5}, {.5, .25}, {.5, .75}, {.12, .5}, {.88, .5},
		{.2, .2}, {.8, .2}, {.2, .8}, {.8, .8}, {0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		c := xy{b.x0 + w/2 + (b.w()-w)*f[0], b.y0 + h/2 + (b.h()-h)*f[1]}
		if inPolygon(c, pts) {
			l.cands = append(l.cands, cand{box: rect{c.x - w/2, c.y - h/2, c.x + w/2, c.y + h/2}})
		}
	}
}

// edgeOf is the place of an outline that a leader goes to: its middle where that lies inside, else
// the middle of its longest side.
func edgeOf(pts []xy) xy {
	if c := boundsOf(pts).mid(); inPolygon(c, pts) {
		return c
	}
	best, longest := pts[0], -1.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		if d := q.sub(p).len(); d > longest {
			best, longest = p.lerp(q, 0.5), d
		}
	}
	return best
}

// farAbove tells a far light at the edge of the plan: its way from the sitter, and its height.
func (w *view) farAbove(g *page, l *Light) *label {
	from := w.plan.mid()
	words := w.r.length(l.Bodies[0].At.Z) + " " + w.r.unit() + " high"
	if len(w.p.Sitters) > 0 {
		s := w.p.Sitters[0].At
		from = w.at(s[0], s[1])
		away := math.Hypot(l.Bodies[0].At.X-s[0], l.Bodies[0].At.Y-s[1])
		words = w.r.length(away) + " " + w.r.unit() + " from the sitter, " + words
	}
	at := w.at(l.Bodies[0].At.X, l.Bodies[0].At.Y)
	return w.farMark(g, w.plan, from, at, l, []lettering{{faceName, faceName.clip(l.Role, longestLabel)},
		{faceSize, words}})
}
