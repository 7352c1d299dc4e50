package sheet

import (
	"math"
	"sort"
)

// label is a piece of lettering whose place is not yet found.
type label struct {
	what   string // for tests and messages
	lines  []lettering
	cands  []cand
	rank   int     // placed first when low
	drop   float64 // cost of leaving it out; 0: it must be there
	chosen int     // index into cands; −1: left out
	cost   []float64

	anchor   xy // where a leader goes to
	anchored bool
}

type lettering struct {
	face face
	text string
}

// cand is a candidate place for a label.
type cand struct {
	box    rect
	leader []xy // line from the box to the thing; nil where they touch
	cost   float64
}

// size returns the width and height of the label's box, mm, with a margin.
func (l *label) size() (w, h float64) {
	for _, t := range l.lines {
		w = math.Max(w, t.face.width(t.text))
		h += t.face.size * pt * leading
	}
	return w + 0.8, h + 0.3
}

const leading = 1.18

// draw draws the label in its chosen place.
func (l *label) draw(g *page) {
	if l.chosen < 0 {
		return
	}
	c := l.cands[l.chosen]
	if len(c.leader) > 1 {
		g.line(0.5*px, inkDim, c.leader...)
	}
	y := c.box.y0 + 0.15
	for _, t := range l.lines {
		h := t.face.size * pt
		y += h * leading
		x := c.box.mid().x - t.face.width(t.text)/2
		g.add(item{text: t.text, at: xy{x, y - h*0.27}, size: h, weight: t.face.weight, fill: t.face.ink, halo: 0.35})
	}
}

// ground holds what labels must keep clear of and what they should not cross.
type ground struct {
	zone  rect
	hard  []solid // nothing may cover these
	boxes []rect  // lettering that is already fixed
	nx    int
	ny    int
	sum   []float64 // summed-area table of how much line lies where
	raw   []float64
}

// solid is a shape that no label may cover.
type solid struct {
	poly []xy
	box  rect
}

const cell = 0.5 // mm, of the line density

func newGround(zone rect) *ground {
	q := &ground{zone: zone, nx: int(zone.w()/cell) + 2, ny: int(zone.h()/cell) + 2}
	q.raw = make([]float64, q.nx*q.ny)
	return q
}

func (q *ground) solid(poly []xy) {
	if len(poly) > 0 {
		q.hard = append(q.hard, solid{poly, boundsOf(poly)})
	}
}

// ink adds lines that a label should not cross; weight is the cost per millimetre.
func (q *ground) ink(s sub, weight float64) {
	n := len(s.pts)
	for i := 0; i < n; i++ {
		j := i + 1
		if j == n {
			if !s.closed {
				break
			}
			j = 0
		}
		a, b := s.pts[i], s.pts[j]
		if p, r, ok := clipLine(a, b, q.zone); ok {
			a, b = p, r
		} else {
			continue
		}
		l := b.sub(a).len()
		steps := int(l/cell*2) + 1
		for k := 0; k < steps; k++ {
			p := a.lerp(b, (float64(k)+0.5)/float64(steps))
			x, y := int((p.x-q.zone.x0)/cell), int((p.y-q.zone.y0)/cell)
			if x >= 0 && y >= 0 && x < q.nx && y < q.ny {
				q.raw[y*q.nx+x] += weight * l / float64(steps)
			}
		}
	}
}

// seal builds the summed-area table after the last line (Crow 1984).
func (q *ground) seal() {
	w := q.nx + 1
	q.sum = make([]float64, w*(q.ny+1))
	for y := 0; y < q.ny; y++ {
		row := 0.0
		for x := 0; x < q.nx; x++ {
			row += q.raw[y*q.nx+x]
			q.sum[(y+1)*w+x+1] = q.sum[y*w+x+1] + row
		}
	}
}

func (q *ground) lines(b rect) float64 {
	w := q.nx + 1
	cl := func(v float64, n int) int { return max(0, min(n, int(math.Round(v)))) }
	x0, x1 := cl((b.x0-q.zone.x0)/cell, q.nx), cl((b.x1-q.zone.x0)/cell, q.nx)
	y0, y1 := cl((b.y0-q.zone.y0)/cell, q.ny), cl((b.y1-q.zone.y0)/cell, q.ny)
	return q.sum[y1*w+x1] - q.sum[y0*w+x1] - q.sum[y1*w+x0] + q.sum[y0*w+x0]
}

const blocked = 1e6

// static is the cost of a place by itself.
func (q *ground) static(c cand) float64 {
	if !c.box.inside(q.zone) {
		return blocked
	}
	for _, b := range q.boxes {
		if b.overlaps(c.box) {
			return blocked
		}
	}
	for _, s := range q.hard {
		if touches(c.box, s.poly) {
			return blocked
		}
	}
	cost := c.cost + q.lines(c.box)
	for i := 0; i+1 < len(c.leader); i++ {
		a, b := c.leader[i], c.leader[i+1]
		for _, r := range q.boxes {
			if _, _, ok := clipLine(a, b, r); ok {
				cost += 30
			}
		}
		for _, s := range q.hard {
			if lineTouches(a.lerp(b, 0.02), a.lerp(b, 0.9), s) {
				cost += 12
			}
		}
	}
	return cost
}

func lineTouches(a, b xy, s solid) bool {
	if _, _, ok := clipLine(a, b, s.box); !ok {
		return false
	}
	for i, p := range s.poly {
		if _, ok := crossAt(a, b, p, s.poly[(i+1)%len(s.poly)]); ok {
			return true
		}
	}
	return false
}

// between is the cost of two chosen places together.
func between(a, b cand) float64 {
	if a.box.overlaps(b.box) {
		return blocked
	}
	cost := 0.0
	for i := 0; i+1 < len(a.leader); i++ {
		if _, _, ok := clipLine(a.leader[i], a.leader[i+1], b.box); ok {
			cost += 40
		}
		for j := 0; j+1 < len(b.leader); j++ {
			if _, ok := crossAt(a.leader[i], a.leader[i+1], b.leader[j], b.leader[j+1]); ok {
				cost += 15
			}
		}
	}
	for i := 0; i+1 < len(b.leader); i++ {
		if _, _, ok := clipLine(b.leader[i], b.leader[i+1], a.box); ok {
			cost += 40
		}
	}
	return cost
}

// place finds a place for every label: greedy by rank, then local search in which each label moves
// to its best place given the others, then evictions for labels that are still blocked. It is
// deterministic. It returns the labels that must be there and have no free place; the caller
// reports them.
func (q *ground) place(labels []*label) []*label {
	q.seal()
	for _, l := range labels {
		l.cost = make([]float64, len(l.cands))
		l.chosen = -1
		var keep []cand
		var cost []float64
		for _, c := range l.cands {
			if s := q.static(c); s < blocked {
				keep = append(keep, c)
				cost = append(cost, s)
			}
		}
		l.cands, l.cost = keep, cost
		if l.drop == 0 && l.anchored && len(keep) < fewPlaces {
			q.anywhere(l)
		}
	}
	order := append([]*label(nil), labels...)
	sort.SliceStable(order, func(i, j int) bool { return order[i].rank < order[j].rank })

	// The best place given the others, and what it costs.
	best := func(l *label, others []*label) (int, float64) {
		at, low := -1, math.Inf(1)
		if l.drop > 0 {
			low = l.drop
		}
		for i, c := range l.cands {
			cost := l.cost[i]
			for _, o := range others {
				if cost >= low {
					break
				}
				if o != l && o.chosen >= 0 {
					cost += between(c, o.cands[o.chosen])
				}
			}
			if cost < low-1e-9 {
				at, low = i, cost
			}
		}
		return at, low
	}
	for _, l := range order {
		at, cost := best(l, order)
		if cost < blocked {
			l.chosen = at
		}
	}
	for round := 0; round < 12; round++ {
		moved := false
		for _, l := range order {
			was := l.chosen
			at, cost := best(l, order)
			if cost >= blocked {
				at = -1
			}
			if at != was {
				l.chosen = at
				moved = true
			}
		}
		if !moved {
			break
		}
	}

	// A label without a place takes the one that evicts the fewest, least often evicted labels.
	// Those search again.
	disturbed := map[*label]int{}
	var queue []*label
	for _, l := range order {
		if l.chosen < 0 && l.drop == 0 && len(l.cands) > 0 {
			queue = append(queue, l)
		}
	}
	for steps := 0; len(queue) > 0 && steps < 600; steps++ {
		l := queue[0]
		queue = queue[1:]
		at, low := -1, math.Inf(1)
		for i, c := range l.cands {
			cost := l.cost[i]
			for _, o := range order {
				if o != l && o.chosen >= 0 && o.cands[o.chosen].box.overlaps(c.box) {
					if o.drop > 0 {
						cost += o.drop
					} else {
						cost += 200 * float64(1+disturbed[o])
					}
				}
			}
			if cost < low {
				at, low = i, cost
			}
		}
		l.chosen = at
		disturbed[l]++
		for _, o := range order {
			if o != l && o.chosen >= 0 && o.cands[o.chosen].box.overlaps(l.cands[at].box) {
				o.chosen = -1
				if n, cost := best(o, order); cost < blocked && n >= 0 {
					o.chosen = n
				} else if o.drop == 0 {
					queue = append(queue, o)
				}
			}
		}
	}
	var lost []*label
	for _, l := range labels {
		if l.chosen < 0 && l.drop == 0 {
			lost = append(lost, l)
		}
	}
	return lost
}

// fewPlaces is how many free places a label that must be there has to have near its thing. With
// fewer, the whole drawing is searched.
const fewPlaces = 8

// anywhere adds the free places of the whole drawing, with a leader.
func (q *ground) anywhere(l *label) {
	w, h := l.size()
	for y := q.zone.y0; y+h < q.zone.y1; y += 2.5 {
		for x := q.zone.x0; x+w < q.zone.x1; x += 4 {
			box := rect{x, y, x + w, y + h}
			c := cand{box: box, leader: []xy{nearestOn(box, l.anchor), l.anchor}}
			c.cost = 5 + 0.6*c.leader[0].sub(l.anchor).len()
			if s := q.static(c); s < blocked {
				l.cands, l.cost = append(l.cands, c), append(l.cost, s)
			}
		}
	}
}

// around adds candidates round a thing: near ones first, then farther ones with a leader.
func (l *label) around(body rect, anchor xy, reach float64) {
	w, h := l.size()
	l.anchor, l.anchored = anchor, true
	for ring, d := range []float64{0.9, 2.4, 4.5, 7, 10, 14, 19, 25, 32, 40, 50, 62} {
		if d > reach {
			break
		}
		n := 16
		if ring > 3 {
			n = 24
		}
		for i := 0; i < n; i++ {
			a := 2 * math.Pi * (float64(i) + 0.5*float64(ring%2)) / float64(n)
			cs, sn := math.Cos(a), math.Sin(a)
			// Move the box round the body grown by half the box.
			hx, hy := body.w()/2+w/2+d, body.h()/2+h/2+d
			t := math.Min(hx/math.Max(1e-9, math.Abs(cs)), hy/math.Max(1e-9, math.Abs(sn)))
			c := body.mid().add(xy{cs * t, sn * t})
			box := rect{c.x - w/2, c.y - h/2, c.x + w/2, c.y + h/2}
			k := cand{box: box, cost: 0.55*d + 0.35*float64(ring)}
			if d > 3 {
				k.leader = []xy{nearestOn(box, anchor), anchor}
				k.cost += 3
			}
			l.cands = append(l.cands, k)
		}
	}
}

// along adds candidates on a line, in its gaps. from and to bound the part used, 0 to 1.
func (l *label) along(s sub, from, to, step float64) {
	w, h := l.size()
	pts := s.pts
	if s.closed {
		pts = append(append([]xy(nil), pts...), pts[0])
	}
	total := 0.0
	for i := 0; i+1 < len(pts); i++ {
		total += pts[i+1].sub(pts[i]).len()
	}
	next, done := total*from+step/2, 0.0
	for i := 0; i+1 < len(pts); i++ {
		a, b := pts[i], pts[i+1]
		d := b.sub(a).len()
		for next <= done+d && next <= total*to && len(l.cands) < 400 {
			p := a.lerp(b, (next-done)/math.Max(d, 1e-9))
			mid := math.Abs(next/total - (from+to)/2)
			l.cands = append(l.cands, cand{box: rect{p.x - w/2, p.y - h/2, p.x + w/2, p.y + h/2}, cost: mid * 2})
			next += step
		}
		done += d
	}
}

func nearestOn(b rect, p xy) xy {
	return xy{math.Max(b.x0, math.Min(b.x1, p.x)), math.Max(b.y0, math.Min(b.y1, p.y))}
}

// keepTo raises the cost of places that are as near to another thing as to the label's own.
func (l *label) keepTo(own []xy, others [][]xy) {
	bounds := make([]rect, len(others))
	for i, o := range others {
		bounds[i] = boundsOf(o).grow(8)
	}
	for i, c := range l.cands {
		mine := -1.0
		for k, o := range others {
			if !bounds[k].overlaps(c.box) || (len(o) == len(own) && o[0] == own[0]) {
				continue
			}
			if mine < 0 {
				mine = gapTo(c.box, own)
			}
			if d := gapTo(c.box, o); d < mine+1.5 && d < 8 {
				l.cands[i].cost += 1 + 0.7*(8-d)
			}
		}
	}
}

// shun raises the cost of places outside the room.
func (l *label) shun(room rect) {
	for i, c := range l.cands {
		if !c.box.inside(room) {
			l.cands[i].cost += 9
		}
	}
}

// gapTo is the distance from a box to a polygon; 0 where they touch.
func gapTo(b rect, poly []xy) float64 {
	if touches(b, poly) {
		return 0
	}
	d := math.Inf(1)
	corners := b.poly()
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		for _, c := range corners {
			d = math.Min(d, distanceTo(c, p, q))
		}
		d = math.Min(d, nearestOn(b, p).sub(p).len())
	}
	return d
}
