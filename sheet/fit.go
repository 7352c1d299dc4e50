package sheet

import (
	"fmt"
	"math"
	"sort"

	"halfstop/geom"
)

// view maps the room to the paper: plan above, section below, one scale, a common horizontal axis.
type view struct {
	p *Plan
	r ruler

	close  bool    // only the setup and what is about it, for a large place
	turned bool    // the plan stands a quarter turn clockwise, so that a long room lies along the paper
	scale  int     // 1:scale
	k      float64 // mm a metre
	wall   float64 // mm

	u0, u1, v0, v1 float64 // what the plan shows, metres along and up the paper
	top            float64 // what the section shows over the floor, metres
	bottom         float64 // and under it (a lowered floor), metres, 0 or less

	beside bool // the section stands to the right of the plan, not under it
	cutOut gap2 // a stretch along the paper in which nothing of the setup stands, drawn as a break

	used    float64 // the share of its zone that the drawing takes, in the direction in which it takes more
	zone    rect    // the whole drawing
	plan    rect    // the shown part of the plan on paper
	section rect

	planZone, sectionZone rect // where the lettering of each may stand

	// where the outline has corners between its ends, metres along the horizontal and vertical axis
	corners              [2][]float64
	across, acrossLights chain
	up, upLights         chain
}

const (
	gutterLeft  = 16.0
	gutterRight = 4.0
	headroom    = 8.5 // over the plan: its name and the overall dimension
	footroom    = 8.5 // under the section: legend and scale bar
)

// uv maps a floor point of the room to metres along and up the paper.
func (w *view) uv(x, y float64) xy {
	if w.turned {
		return xy{y, -x}
	}
	return xy{x, y}
}

// at maps a floor point of the room to the plan on paper.
func (w *view) at(x, y float64) xy {
	q := w.uv(x, y)
	return xy{w.plan.x0 + w.along(q.x), w.plan.y1 - (q.y-w.v0)*w.k}
}

// side maps a point to the section on paper.
func (w *view) side(p geom.Vec) xy {
	return xy{w.section.x0 + w.along(w.uv(p.X, p.Y).x), w.floorY() - p.Z*w.k}
}

func (w *view) floorY() float64 { return w.section.y1 + w.bottom*w.k }

func (w *view) uvs(foot [][2]float64) []xy {
	out := make([]xy, len(foot))
	for i, f := range foot {
		out[i] = w.uv(f[0], f[1])
	}
	return out
}

func (w *view) poly(foot [][2]float64) []xy {
	out := make([]xy, len(foot))
	for i, f := range foot {
		out[i] = w.at(f[0], f[1])
	}
	return out
}

// gather finds the extent of what has to be shown.
func (w *view) gather() {
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	top := 0.0
	grow := func(x, y, z float64) {
		q := w.uv(x, y)
		lo = xy{math.Min(lo.x, q.x), math.Min(lo.y, q.y)}
		hi = xy{math.Max(hi.x, q.x), math.Max(hi.y, q.y)}
		top = math.Max(top, z)
		w.bottom = math.Min(w.bottom, z)
	}
	p := w.p
	if !w.close {
		for _, c := range p.Room.Outline {
			grow(c[0], c[1], p.Room.Ceiling)
		}
	}
	for _, o := range p.Objects {
		if w.close {
			break
		}
		for _, c := range o.Foot {
			grow(c[0], c[1], o.Lo)
			grow(c[0], c[1], o.Hi)
		}
	}
	for _, s := range p.Sitters {
		grow(s.At[0]-0.3, s.At[1]-0.3, s.Floor)
		grow(s.At[0]+0.3, s.At[1]+0.3, s.stature()+s.Floor)
	}
	if c := p.Camera; c != nil {
		grow(c.At.X-0.2, c.At.Y-0.2, c.At.Z)
		grow(c.At.X+0.2, c.At.Y+0.2, c.At.Z)
	}
	for i := range p.Lights {
		l := &p.Lights[i]
		if w.isFar(l) {
			continue
		}
		for _, b := range l.Bodies {
			all, _ := b.cloud()
			for _, c := range all {
				grow(c.X, c.Y, c.Z)
			}
		}
		if s := l.Stand; s != nil {
			grow(s.At[0], s.At[1], s.Top)
		}
	}
	for _, o := range p.Room.Outlets {
		if w.close {
			break
		}
		grow(o.At[0], o.At[1], 0)
	}
	for _, n := range p.Panels {
		for _, c := range n.cloud(0) {
			grow(c.X, c.Y, c.Z)
		}
	}
	if math.IsInf(lo.x, 0) {
		lo, hi, top = xy{-1, -1}, xy{1, 1}, 1
	}
	if w.close && len(p.Room.Outline) == 0 {
		near := rect{lo.x, lo.y, hi.x, hi.y}.grow(1)
		for _, o := range p.Objects {
			b := boundsOf(w.uvs(o.Foot))
			if !b.inside(near) || o.Hi > top+farOver {
				continue
			}
			for _, c := range o.Foot {
				grow(c[0], c[1], o.Hi)
			}
		}
	}
	if w.close {
		lo, hi = lo.sub(xy{0.7, 0.7}), hi.add(xy{0.7, 0.7})
		if len(p.Room.Outline) > 0 {
			b := boundsOf(w.uvs(p.Room.Outline))
			lo, hi = xy{math.Max(lo.x, b.x0), math.Max(lo.y, b.y0)}, xy{math.Min(hi.x, b.x1), math.Min(hi.y, b.y1)}
		}
		top += 0.5
		if p.Room.Ceiling > 0 {
			top = math.Min(top, p.Room.highest())
		}
		w.u0, w.u1, w.v0, w.v1, w.top = lo.x, hi.x, lo.y, hi.y, top
		return
	}
	if len(p.Room.Outline) == 0 {
		lo, hi = lo.sub(xy{0.4, 0.4}), hi.add(xy{0.4, 0.4})
	}
	if p.Room.Ceiling == 0 {
		top += 0.25
	}
	for _, c := range p.Room.Outline {
		q := w.uv(c[0], c[1])
		w.corners[0] = append(w.corners[0], q.x)
		w.corners[1] = append(w.corners[1], q.y)
	}
	for i, ends := range [][2]float64{{lo.x, hi.x}, {lo.y, hi.y}} {
		w.corners[i] = inner(w.corners[i], ends[0], ends[1])
	}
	w.u0, w.u1, w.v0, w.v1, w.top = lo.x, hi.x, lo.y, hi.y, math.Max(top, p.Room.highest())
}

// inner sorts the marks and keeps each once, with the two ends. Nil where nothing lies between
// them.
func inner(marks []float64, lo, hi float64) []float64 {
	sort.Float64s(marks)
	out := []float64{lo}
	for _, m := range marks {
		if m > out[len(out)-1]+0.005 && m < hi-0.005 {
			out = append(out, m)
		}
	}
	if len(out) == 1 {
		return nil
	}
	return append(out, hi)
}

// overhead is the space over the plan, mm: its name, the overall dimension and, for a room with
// more corners, their chain.
func (w *view) overhead() (top, left float64) {
	top, left = headroom, gutterLeft
	if w.corners[0] != nil {
		top += cornerRow
	}
	if w.corners[1] != nil {
		left += cornerRow
	}
	return
}

const cornerRow = 4.6

// chains collects the dimensioned marks at the current scale.
func (w *view) chains() {
	p := w.p
	collect := func(pick func(q xy) float64, lo, hi float64, paper func(m float64) float64) (main, lights chain) {
		var a, b []mark
		add := func(list *[]mark, x, y float64, name string) {
			m := pick(w.uv(x, y))
			if m < lo-1e-6 || m > hi+1e-6 {
				return
			}
			*list = append(*list, mark{at: paper(m), real: m - lo, name: faceHead.clip(name, 24)})
		}
		if len(p.Room.Outline) > 0 && !w.close {
			// The walls nearest the drawing's edges end the chains.
			a = append(a, mark{0, 0, ""}, mark{paper(hi), hi - lo, ""})
			b = append(b, a...)
		}
		for i, s := range p.Sitters {
			name := s.Name
			if name == "" {
				name = "sitter"
				if len(p.Sitters) > 1 {
					name = fmt.Sprintf("sitter %d", i+1)
				}
			}
			add(&a, s.At[0], s.At[1], name)
		}
		if c := p.Camera; c != nil {
			add(&a, c.At.X, c.At.Y, "camera")
		}
		for _, l := range p.Lights {
			if l.Stand != nil {
				add(&b, l.Stand.At[0], l.Stand.At[1], l.Role)
			}
		}
		if len(b) == 2 && len(p.Room.Outline) > 0 && !w.close {
			b = nil
		}
		for _, m := range [][]mark{a, b} {
			sort.SliceStable(m, func(i, j int) bool { return m[i].real < m[j].real })
		}
		main, lights = newChain(a, w.r), newChain(b, w.r)
		if lights.levels > mostLevels || len(b) > mostMarks {
			lights = chain{} // the table has each stand's place; here nobody could read it
		}
		return main, lights
	}
	w.across, w.acrossLights = collect(func(q xy) float64 { return q.x }, w.u0, w.u1, w.along)
	w.up, w.upLights = collect(func(q xy) float64 { return q.y }, w.v0, w.v1,
		func(m float64) float64 { return (m - w.v0) * w.k })
}

// mostLevels is the greatest number of lines of figures that a chain of the lights may have. With
// more, the table alone gives their places.
const mostLevels = 3

// mostMarks is the greatest number of places, walls included, in such a chain.
const mostMarks = 8

func (w *view) wallMM() float64 {
	if len(w.p.Room.Outline) == 0 {
		return 0
	}
	t := w.p.Room.Wall
	if t == 0 {
		t = 0.10
	}
	return math.Max(5*px, math.Min(t*w.k, 6))
}
